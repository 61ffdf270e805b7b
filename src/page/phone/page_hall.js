// In the hall: a serve seen, a serve that is new, and the debrief of a match in one minute.
"use strict";

const Hall = (() => {
  const root = document.getElementById("hall");
  /** A second tap on the same button so soon is a slip of the finger, milliseconds. */
  const TWICE_MS = 700;
  let opponent = PAGE.foremost < PAGE.opponents.length ? PAGE.foremost : -1;
  let drawn = null;

  /** Says something; what was kept just now can be taken back. */
  function tell(text, id) {
    const take = () => {
      Keep.undo(id);
      tell("Taken back.");
      document.getElementById("hall-told").focus();
    };
    document.getElementById("hall-told").replaceChildren(
      el("span", { text }),
      id ? el("button", { type: "button", class: "small", id: "hall-undo", text: "Take back", onclick: take }) : "",
    );
  }

  function done(text, id) {
    tell(text, id);
    document.getElementById("hall-told").focus();
  }

  // ---- what is half written stays, whatever happens to the page

  const field = (group) => group.closest("fieldset").dataset.field;

  function draft(form, name) {
    const key = `draft:${name}`;
    const keep = () => {
      const typed = [...form.querySelectorAll("input, textarea")].filter((one) => one.value !== "").map((one) => [one.id, one.value]);
      const pressed = [...form.querySelectorAll('fieldset button[aria-pressed="true"]')].map((one) => [field(one), one.dataset.word]);
      if (typed.length + pressed.length > 0) Keep.put(key, { typed, pressed });
      else Keep.drop(key);
    };
    const was = Keep.get(key) || { typed: [], pressed: [] };
    for (const [id, value] of was.typed) {
      const own = [...form.querySelectorAll("input, textarea")].find((one) => one.id === id);
      if (own) own.value = value;
    }
    for (const button of form.querySelectorAll("fieldset button")) {
      if (was.pressed.some(([of, word]) => of === field(button) && word === button.dataset.word)) {
        button.setAttribute("aria-pressed", "true");
        const details = button.closest("details");
        if (details) details.open = true;
      }
    }
    form.addEventListener("input", keep);
    form.addEventListener("click", keep);
    return form;
  }

  /** A form that was kept begins anew. */
  function renew(form, name, make) {
    Keep.drop(`draft:${name}`);
    form.replaceWith(make());
  }

  /** What is wrong with the points of the games, or null. */
  function gamesWrong(typed, games) {
    const rest = typed.replace(/\d{1,2}\s*[-:]\s*\d{1,2}/g, "").replace(/[\s,;/]/g, "");
    if (rest !== "") return `Not understood: ${rest}. Write the games as 11-8 9-11.`;
    for (const [mine, theirs] of games) {
      const [most, least] = [Math.max(mine, theirs), Math.min(mine, theirs)];
      const isOver = most === 11 ? least <= 9 : most > 11 && most - least === 2;
      if (!isOver) return `${mine}-${theirs} is no score of a game: 11 points, or two ahead from 10-10.`;
    }
    const won = games.filter(([mine, theirs]) => mine > theirs).length;
    if (Math.max(won, games.length - won) > 4) return "A match is won with four games at most.";
    return null;
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
      draw();
    });
    return [el("label", { for: "hall-opponent", text: "Opponent" }), select];
  }

  let last = { id: null, at: 0 };

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
            onclick: (event) => {
              if (last.id === id && event.timeStamp - last.at < TWICE_MS) return;
              last = { id, at: event.timeStamp };
              tell(`Kept: seen once more, ${words || id}. `, Keep.add({ k: "seen", deck: one.key, serve: id, times: 1 }));
            },
          }),
        ),
      ),
    );
  }

  function newCard(one) {
    const draftName = `new:${one ? one.key : ""}`;
    const form = el("form", { class: "card", novalidate: true }, el("h2", { text: one ? `A serve of ${one.name} that is new` : "A serve that is new" }));
    if (!one) form.append(el("label", { for: "new-opponent", text: "Who?" }), el("input", { id: "new-opponent", maxlength: 80, autocomplete: "off" }));
    form.append(el("p", { class: "quiet", text: "What you did not see may stay open." }));
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
        tell("Say who serves it.");
        document.getElementById("new-opponent").focus();
        return;
      }
      const serve = { id: "new", sure: "seen", last_seen: Keep.today() };
      const bare = Object.keys(serve).length;
      for (const vocabulary of PAGE.words) {
        const word = chosen(form, vocabulary.field);
        if (word !== null) serve[vocabulary.field] = word;
      }
      const tell = written("new-tell");
      if (tell !== "") serve.tells = [tell];
      if (Object.keys(serve).length === bare) {
        done("Choose at least one thing about the serve, or write what gives it away.");
        return;
      }
      const id = Keep.add({ k: "scouted", deck: one ? one.key : null, opponent: name, serve });
      renew(form, draftName, () => newCard(one));
      done(`Kept: a new serve of ${name}. `, id);
    });
    return draft(form, draftName);
  }

  function debriefCard(one) {
    const draftName = `debrief:${one.key}`;
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
      if (typed === "" && serves.length === 0 && fresh === "" && sentence === "") {
        done("Nothing is filled in yet.");
        return;
      }
      const wrong = gamesWrong(typed, games);
      if (wrong) {
        tell(wrong);
        document.getElementById("debrief-games").focus();
        return;
      }
      const fact = { k: "debrief", deck: one.key, match: `${Keep.today()}-${Date.now().toString(36).slice(-5)}` };
      if (games.length > 0) fact.games = games;
      if (serves.length > 0) fact.serves = serves;
      if (fresh !== "") fact.new = [fresh];
      if (sentence !== "") fact.sentence = sentence;
      const id = Keep.add(fact);
      renew(form, draftName, () => debriefCard(one));
      done(`Kept: the debrief against ${one.name}. `, id);
    });
    return draft(form, draftName);
  }

  function draw() {
    if (drawn === opponent) return;
    drawn = opponent;
    const one = opponent >= 0 ? PAGE.opponents[opponent] : null;
    const cards = one ? [debriefCard(one), one.serves.length > 0 ? seenCard(one) : null, el("details", { class: "fold" }, el("summary", { class: "tap", text: "A new serve" }), newCard(one))] : [newCard(null)];
    root.replaceChildren(
      ...opponentChoice(),
      el("p", { id: "hall-told", class: "told", role: "status", tabindex: "-1" }),
      ...cards.filter((card) => card !== null),
    );
  }

  return { draw };
})();
