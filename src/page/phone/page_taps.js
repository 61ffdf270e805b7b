// The time a tap takes, measured with nothing to remember: so that windows ask about memory and not about fingers.
"use strict";

const Taps = (() => {
  const byId = (id) => document.getElementById(id);

  function measure(done) {
    const input = window.matchMedia("(pointer: coarse)").matches ? "tap" : "keys";
    const times = { 2: [], 6: [] };
    const seen = { 2: 0, 6: 0 };
    let place = 0;
    let since = 0;
    const prompt = () => {
      const [lit, among] = PAGE.warm_up[place];
      byId("round-count").textContent = `Measuring taps: ${place + 1} of ${PAGE.warm_up.length}`;
      Court.light(lit, among);
      since = performance.now();
    };
    const end = () => {
      const time = SecondballLogic.keyTime(times[2], times[6]);
      if (time) {
        const state = Keep.get("state") || {};
        Keep.put("state", { ...state, keyTime: { ...state.keyTime, [input]: time } });
      }
      const text = time ? `One field of six takes you ${(SecondballLogic.keyMs(time, 6) / 1000).toFixed(2)} s. Every window leaves that time.` : "That was too quick to be measured.";
      // The last tap must not fall through to what stands under it.
      Round.deafen();
      byId("say").replaceChildren();
      byId("strip").replaceChildren();
      byId("panel").replaceChildren(el("div", { class: "box" }, el("p", { class: "verdict", text: "Measured" }), el("p", { text }), el("div", { class: "row" }, el("button", { type: "button", class: "deed", text: "Done", "data-leave": true }))));
      byId("panel").querySelector("button").focus({ preventScroll: true });
    };
    const pressed = (cell, stamp) => {
      const entry = PAGE.warm_up[place];
      if (!entry || cell !== entry[0]) return;
      const among = entry[1].length;
      seen[among] += 1;
      if (seen[among] > 2) times[among].push(Math.round((stamp || performance.now()) - since));
      place += 1;
      if (place < PAGE.warm_up.length) prompt();
      else end();
    };
    Round.lend(pressed, done);
    byId("say").replaceChildren(el("p", { class: "word", text: "Tap the lit field" }));
    byId("strip").replaceChildren(Panel.leave("Not now"));
    prompt();
  }

  return { measure };
})();
