// The caller at the table: counts the launcher's balls, shows and speaks what comes next, takes results
// with one thumb. Counting is `logic.js`'s; here are the screen, the voice and the clock.
"use strict";

const Table = (() => {
  const root = document.getElementById("table");
  let caller = null;
  let timer = 0;
  let kept = [];
  let isSpeaking = false;
  let announced = null;

  const canSpeak = "speechSynthesis" in window;

  function speak(text) {
    if (!isSpeaking || !canSpeak || !text) return;
    const said = new SpeechSynthesisUtterance(text);
    said.lang = "en";
    said.rate = 1.1;
    // Late words are worse than none.
    window.speechSynthesis.cancel();
    window.speechSynthesis.speak(said);
  }

  /** A ball in words: calls first, then the serve and the receive. */
  function words(ball) {
    if (!ball) return "";
    const calls = ball.cues.map((cue) => cue.says);
    if (ball.role === "throw_away") return "Let this one go";
    const receive = ball.receive || "";
    return [...calls, receive].filter((text) => text !== "").join(". ");
  }

  function act(what) {
    if (!caller) return;
    const said = caller.act(Math.round(performance.now()), what);
    for (const one of said) {
      if (one.fact) kept.push(Keep.add(one.fact));
      if (one.undo && kept.length > 0) Keep.undo(kept.pop());
      if (one.announce) {
        announced = one.announce;
        speak(words(one.announce));
      }
      if (one.say === "last ball") speak("Last ball of the block");
      if (one.say === "rest") speak(`Rest. ${one.seconds} seconds`);
      if (one.say === "rest over") speak("Rest over");
      if (one.say === "done") {
        speak("That was the last block");
        Awake.off();
      }
    }
    // Ticks redraw only what moves, so that a thumb on its way to a button finds it there.
    if (what !== "tick" || said.length > 0) draw();
    else count();
    schedule();
  }

  function schedule() {
    clearTimeout(timer);
    if (caller && caller.nextMs() !== null) timer = setTimeout(() => act("tick"), 200);
  }

  function count() {
    const place = document.getElementById("table-due");
    const picture = caller.picture(Math.round(performance.now()));
    if (place && picture.due_ms !== null) place.textContent = `${Math.ceil(picture.due_ms / 1000)} s`;
  }

  const button = (text, what, look) =>
    el("button", { type: "button", class: look || "", text, "data-act": what, onclick: () => act(what) });

  function begin() {
    const delay = Number(document.getElementById("table-delay").value) || 10;
    isSpeaking = document.getElementById("table-voice").checked;
    caller = new SecondballLogic.Caller(PAGE.caller, delay * 1000);
    kept = [];
    announced = null;
    Awake.on();
    draw();
  }

  function leave() {
    clearTimeout(timer);
    caller = null;
    Awake.off();
    draw();
  }

  function start() {
    const session = PAGE.caller;
    const balls = session.blocks.reduce((sum, block) => sum + block.balls.length, 0);
    root.replaceChildren(
      el(
        "div",
        { class: "card" },
        el("h2", { text: `${session.opponent}, ${session.launcher}` }),
        el("p", { text: `${session.blocks.length} blocks, ${balls} balls. Warm up ${session.warm_up_min} minutes first.` }),
        el("label", { for: "table-delay", text: "Seconds from starting to the first ball" }),
        el("input", { id: "table-delay", type: "number", inputmode: "numeric", min: "1", max: "120", value: "10" }),
        el(
          "p",
          {},
          el("label", { class: "row" }, el("input", { id: "table-voice", type: "checkbox", class: "tick", checked: canSpeak, disabled: !canSpeak }), canSpeak ? " Speak the calls" : " This browser has no voice"),
        ),
        el("button", { type: "button", class: "deed", text: "Start the session", onclick: begin }),
      ),
      el("h2", { text: "Before the first ball" }),
      el("ul", {}, session.cautions.map((text) => el("li", { text }))),
    );
  }

  function draw() {
    if (!PAGE.caller) {
      root.replaceChildren(
        el("p", { text: "No session at the table is on this page." }),
        el("p", { text: "At home: secondball phone write DIR --rehearse OPPONENT" }),
      );
      return;
    }
    if (!caller) {
      start();
      return;
    }
    const picture = caller.picture(Math.round(performance.now()));
    const parts = [];
    if (picture.is === "done") {
      parts.push(el("p", { class: "big", text: "Done" }), el("p", { text: "Pick up the balls, wipe the floor. The results are kept; bring them home." }), el("button", { type: "button", class: "deed", text: "Close", onclick: leave }));
      root.replaceChildren(...parts);
      return;
    }
    const block = picture.block;
    parts.push(el("h2", { text: `Block ${picture.block_number} of ${picture.blocks}: ${block.name}` }));
    if (picture.is === "ready" || picture.is === "resting") {
      if (picture.is === "resting") {
        parts.push(el("p", { class: "big", text: "Rest, pick up balls" }), el("p", { class: "count-down", id: "table-due", text: `${Math.ceil(picture.due_ms / 1000)} s` }));
      }
      parts.push(
        el("ul", {}, [...block.set_up, ...block.notes].map((text) => el("li", { text }))),
        el("p", { text: `${picture.balls} balls, one every ${(block.throw_ms * block.receive_every / 1000).toFixed(1)} s` }),
        el("div", { class: "row" }, button("Start the block", "go", "deed"), button("Leave it out", "next")),
      );
    } else {
      parts.push(running(picture));
    }
    parts.push(el("p", {}, el("button", { type: "button", text: "End the session", onclick: leave })));
    root.replaceChildren(...parts);
  }

  function running(picture) {
    const next = picture.next;
    const out = picture.out;
    const heads = { running: "next", paused: "paused; next", waiting: "wait; next", ending: "last ball" };
    const coming = next
      ? [
          el("p", { class: "quiet", text: `${heads[picture.is]}: ball ${picture.ball_number + 1} of ${picture.balls}${next.score ? `, ${next.score[0]}-${next.score[1]}` : ""}` }),
          next.cues.map((cue) => el("p", { class: "call", text: cue.says })),
          el("p", { class: "big", text: next.role === "throw_away" ? "Let this one go" : next.receive || "your own choice" }),
          next.words ? el("p", { text: next.words }) : null,
        ]
      : [el("p", { class: "big", text: "Last ball of the block" })];
    const entry = (what, words) =>
      el("button", { type: "button", text: words, "data-act": what, "aria-pressed": picture.entered === what ? "true" : "false", onclick: () => act(what) });
    const canEnter = out && out.role === "receive" && out.right;
    return el(
      "div",
      {},
      el("div", { class: "card", "aria-live": "polite" }, coming),
      picture.due_ms === null ? null : el("p", { class: "count-down", id: "table-due", "aria-hidden": "true", text: `${Math.ceil(picture.due_ms / 1000)} s` }),
      el("p", { text: canEnter ? `Ball ${picture.is === "ending" ? picture.balls : picture.ball_number}: ${out.receive}` : "Nothing to enter yet" }),
      el("div", { class: "result", role: "group", "aria-label": "Result of the last ball" }, entry("made", "made"), entry("missed", "missed"), entry("wrong", "wrong receive")),
      el("p", { class: "quiet", text: `${picture.tally.made} made, ${picture.tally.missed} missed, ${picture.tally.wrong} wrong; ${picture.skipped} skipped by the launcher` }),
      el(
        "div",
        { class: "row" },
        picture.is === "running" ? button("Ball did not come", "skip") : null,
        picture.is === "running" ? button("Pause", "pause") : null,
        picture.is === "paused" || picture.is === "waiting" ? button("Go on", "go", "deed") : null,
        button(picture.is === "ending" ? "To the rest" : "End the block", "next", picture.is === "ending" ? "deed" : ""),
        picture.can_undo ? button("Take back", "undo") : null,
      ),
    );
  }

  return { draw, isRunning: () => caller !== null };
})();
