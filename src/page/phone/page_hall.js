// In the hall: a serve seen, a serve that is new, and the debrief of a match in one minute.
"use strict";

const Hall = (() => {
  const root = document.getElementById("hall");
  let opponent = 0;
  let told = "";

  function done(text) {
    told = text;
    draw();
    document.getElementById("hall-told").focus();
  }

  /** One choice among words; choosing it again takes it back. */
  function choice(name, asks, words) {
    const group = el("fieldset", { "data-field": name }, el("legend", { text: asks }));
    const row = el("div", { class: "row" });
    for (const [word, shown] of words) {
      const button = el("button", { type: "button", class: "small", text: shown, "aria-pressed": "false", "data-word": word });
      button.addEventListener("click", () => {
        const wasOn = button.getAttribute("aria-pressed") === "true";
        for (const other of row.children) other.setAttribute("aria-pressed", "false");
        button.setAttribute("aria-pressed", wasOn ? "false" : "true");
      });
      row.append(button);
    }
    group.append(row);
    return group;
  }

  const chosen = (form, name) => {
    const on = [...form.querySelectorAll(`fieldset[data-field] button[aria-pressed="true"]`)].find(
      (button) => button.closest("fieldset").dataset.field === name,
    );
    return on ? on.dataset.word : null;
  };

  const written = (id) => document.getElementById(id).value.trim();

  function opponentChoice() {
    const select = el("select", { id: "hall-opponent" });
    PAGE.opponents.forEach((one, place) => select.append(el("option", { value: place, text: one.name, selected: place === opponent })));
    select.append(el("option", { value: -1, text: "Somebody new", selected: opponent === -1 }));
    select.addEventListener("change", () => {
      opponent = Number(select.value);
      told = "";
      draw();
    });
    return [el("label", { for: "hall-opponent", text: "Opponent" }), select];
  }

  function seenCard(one) {
    return el(
      "div",
      { class: "card" },
      el("h2", { text: "A serve you know, seen again" }),
      el(
        "div",
        { class: "rounds" },
        one.serves.map(([id, words]) =>
          el("button", {
            type: "button",
            text: words || id,
            onclick: () => {
              Keep.add({ k: "seen", deck: one.key, serve: id, times: 1 });
              done(`Kept: seen once more, ${words || id}`);
            },
          }),
        ),
      ),
    );
  }

  function newCard(one) {
    const form = el("form", { class: "card", novalidate: true }, el("h2", { text: "A serve that is new" }));
    if (!one) form.append(el("label", { for: "new-opponent", text: "Who?" }), el("input", { id: "new-opponent", maxlength: 80, autocomplete: "off" }));
    form.append(el("p", { class: "quiet", text: "Everything may stay open." }));
    for (const vocabulary of PAGE.words) form.append(choice(vocabulary.field, vocabulary.asks, vocabulary.words));
    form.append(
      el("label", { for: "new-tell", text: "What gives it away?" }),
      el("input", { id: "new-tell", maxlength: 200, autocomplete: "off" }),
      el("p", {}, el("button", { type: "submit", class: "deed", text: "Keep this serve" })),
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const name = one ? one.name : written("new-opponent");
      if (name === "") {
        told = "Say who serves it.";
        document.getElementById("hall-told").textContent = told;
        document.getElementById("new-opponent").focus();
        return;
      }
      const serve = { id: "new", sure: "seen", last_seen: Keep.today() };
      for (const vocabulary of PAGE.words) {
        const word = chosen(form, vocabulary.field);
        if (word !== null) serve[vocabulary.field] = word;
      }
      const tell = written("new-tell");
      if (tell !== "") serve.tells = [tell];
      Keep.add({ k: "scouted", deck: one ? one.key : null, opponent: name, serve });
      done(`Kept: a new serve of ${name}`);
    });
    return form;
  }

  function debriefCard(one) {
    const form = el("form", { class: "card", novalidate: true }, el("h2", { text: "Debrief: one minute" }));
    form.append(
      el("label", { for: "debrief-games", text: "Points of each game, yours first" }),
      el("input", { id: "debrief-games", placeholder: "11-8 9-11 11-6", autocomplete: "off", maxlength: 80 }),
    );
    one.serves.forEach(([id, words], place) => {
      form.append(
        el(
          "details",
          {},
          el("summary", { class: "tap", text: words || id }),
          choice(`many-${place}`, "How many points?", [["few", "few"], ["some", "some"], ["many", "many"]]),
          choice(`going-${place}`, "How did it go?", [["well", "well"], ["even", "even"], ["badly", "badly"]]),
          choice(`read-${place}`, "Had they read your answer?", [["yes", "yes"], ["no", "no"]]),
        ),
      );
    });
    form.append(
      el("label", { for: "debrief-new", text: "Serves that were new" }),
      el("input", { id: "debrief-new", maxlength: 300, autocomplete: "off" }),
      el("label", { for: "debrief-sentence", text: "One sentence" }),
      el("textarea", { id: "debrief-sentence", rows: 2, maxlength: 500 }),
      el("p", {}, el("button", { type: "submit", class: "deed", text: "Keep the debrief" })),
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const typed = written("debrief-games");
      const games = [...typed.matchAll(/(\d{1,2})\s*[-:]\s*(\d{1,2})/g)].map((game) => [Number(game[1]), Number(game[2])]);
      const serves = [];
      one.serves.forEach(([id], place) => {
        const many = chosen(form, `many-${place}`);
        const going = chosen(form, `going-${place}`);
        // Half an answer is taken at its middle.
        if (many === null && going === null) return;
        const serve = { serve: id, many: many || "some", going: going || "even" };
        if (chosen(form, `read-${place}`) === "yes") serve.read = true;
        serves.push(serve);
      });
      const fresh = written("debrief-new");
      const sentence = written("debrief-sentence");
      if (games.length === 0 && serves.length === 0 && fresh === "" && sentence === "") {
        document.getElementById("hall-told").textContent = "Nothing is filled in yet.";
        return;
      }
      const fact = { k: "debrief", deck: one.key, match: `${Keep.today()}-${Date.now().toString(36).slice(-5)}` };
      if (games.length > 0) fact.games = games;
      if (serves.length > 0) fact.serves = serves;
      if (fresh !== "") fact.new = [fresh];
      if (sentence !== "") fact.sentence = sentence;
      Keep.add(fact);
      done(`Kept: the debrief against ${one.name}`);
    });
    return form;
  }

  function draw() {
    const one = opponent >= 0 ? PAGE.opponents[opponent] : null;
    const cards = one ? [one.serves.length > 0 ? seenCard(one) : null, newCard(one), debriefCard(one)] : [newCard(null)];
    root.replaceChildren(
      ...opponentChoice(),
      el("p", { id: "hall-told", role: "status", tabindex: "-1", text: told }),
      ...cards.filter((card) => card !== null),
    );
  }

  return { draw };
})();
