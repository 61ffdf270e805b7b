// The day: one card with what it is for and one button; the rest folded by opponent.
"use strict";

const Today = (() => {
  /** Rounds of film that wait, as they were found last. */
  let films = [];
  const byId = (id) => document.getElementById(id);
  const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
  const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

  /** A day `2026-12-05` as `Sat 5 Dec`. */
  function spoken(day) {
    const date = new Date(`${day}T12:00:00Z`);
    return `${DAYS[date.getUTCDay()]} ${date.getUTCDate()} ${MONTHS[date.getUTCMonth()]}`;
  }

  const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);
  const count = (number, noun) => `${number} ${noun}${number === 1 ? "" : "s"}`;

  const fold = (words, ...inside) => el("details", { class: "fold" }, el("summary", { class: "tap", text: words }), inside);

  function play(scripts, id, done) {
    const played = ((Keep.get("state") || {}).played || {})[id] || 0;
    Round.start(scripts[played % scripts.length], id, done);
  }

  function brokenCard(broken, done) {
    return el(
      "div",
      { class: "card" },
      el("h2", { text: "A round was broken off" }),
      el("p", { text: `${count(broken.kept.length, "answer")} of it ${broken.kept.length === 1 ? "is" : "are"} kept.` }),
      el(
        "div",
        { class: "row" },
        el("button", { type: "button", class: "deed", text: "Go on with it", onclick: () => Round.goOn(done) }),
        el("button", { type: "button", text: "Leave it", onclick: () => { Round.forget(); done(); } }),
      ),
    );
  }

  /** The event, and how many days are left. */
  function ahead(day) {
    if (!PAGE.event || PAGE.event[2] < day) return [];
    const days = Math.round((Date.parse(PAGE.event[2]) - Date.parse(day)) / 86400000);
    const words = days === 0 ? "today" : days === 1 ? "tomorrow" : `in ${days} days`;
    return [el("p", { class: "quiet", text: `${PAGE.event[0]}, ${PAGE.event[1]}` }), el("p", { class: "big", text: words })];
  }

  const left = (one) => (one.left === 0 ? `${count(one.of, "answer")}: done today` : `${one.left} of ${count(one.of, "answer")} to give`);

  /** What is wrong is read for longer: so much more, milliseconds, spread over all balls. */
  const READ_MS = 1000;

  /** A ball with its toss, its window and the time an answer is read, milliseconds. */
  function ballMs(script) {
    const { restMs = script.durations.feedback_ms, tempos } = Keep.get("state") || {};
    const permille = (tempos || {})[script.deck] ? tempos[script.deck].permille : script.tempo.start_permille;
    const each = script.balls.map((ball) => ball.toss_ms + SecondballLogic.windowMs(script.serves[ball.serve].decision_ms, permille, script.key_ms));
    return each.reduce((sum, one) => sum + one, 0) / Math.max(1, each.length) + restMs + READ_MS;
  }

  function drill(one, done) {
    const script = SecondballLogic.unpack(PAGE, one.list.script);
    const balls = script.limit_ms ? Math.round(script.limit_ms / ballMs(script)) : script.balls.length;
    const minutes = Math.max(1, Math.round((script.limit_ms || balls * ballMs(script)) / 60000));
    const text = `${one.left === 0 ? "Once more: " : ""}${count(balls, "ball")}, ${count(minutes, "minute")}`;
    return el("button", { type: "button", class: "deed wide", text, "data-list": true, onclick: () => Round.start(one.list.script, `list ${one.day} ${one.list.script}`, done) });
  }

  /** How many of a hundred serves will be answered right at the event: now, and with the list that is left. */
  function ready(entry, isLeft) {
    if (!entry.right) return entry.ready ? [el("h2", { text: entry.ready })] : [];
    const [now, then] = entry.right;
    const text = isLeft && then > now ? `${now} now, ${then} with today's list` : `${isLeft ? now : then} as it stands`;
    return [el("h2", { text }), el("p", { class: "quiet", text: "of 100 of their serves right that day" })];
  }

  function dayCard(entry, lists, day, done) {
    const main = lists.find((one) => one.left > 0) || lists[0];
    const opponent = PAGE.opponents[main ? main.list.opponent : PAGE.foremost];
    const speed = opponent && ((Keep.get("state") || {}).tempos || {})[opponent.key];
    const isOver = !entry && PAGE.days.length > 0 && day > PAGE.days[PAGE.days.length - 1].day;
    const missing = isOver ? "The lists on this page are used up: make a new one at home. Every round below still works." : "This page has no list for today.";
    return el(
      "div",
      { class: "card day" },
      ahead(day),
      opponent ? el("p", { text: `against ${opponent.name}` }) : null,
      entry ? ready(entry, lists.some((one) => one.left > 0)) : null,
      speed ? el("p", { text: `Speed: ${(speed.permille / 1000).toFixed(1)} times match time` }) : null,
      entry ? null : el("p", { class: "note", text: missing }),
      PAGE.changes.map((change) => el("p", { class: "note due", text: change.replace(/ \(secondball [^)]*\)/, "") })),
      entry ? entry.notes.map((note) => el("p", { class: "quiet", text: note })) : null,
      main ? el("p", { class: "quiet", text: `${left(main)}${main.day === day ? "" : `, left from ${spoken(main.day)}`}` }) : entry ? el("p", { text: entry.is_off ? "A day off." : "Nothing to answer today." }) : null,
      main ? drill(main, done) : null,
      films.map((film) => filmButton(film, done)),
    );
  }

  const filmWords = ({ serves, minutes }) => `${count(serves, "serve")}, ${count(minutes, "minute")}`;
  const filmButton = (film, done) =>
    el("button", { type: "button", class: "wide", "data-film": film.opponent.key, text: `Film: ${filmWords(film)}`, onclick: () => Film.play(film.opponent, film, done) });

  /** Another list of an opponent, and the rounds at any time. */
  function opponentFold(opponent, lists, done) {
    const rounds = opponent.rounds.map((round) =>
      el(
        "button",
        { type: "button", "data-round": round.name, onclick: () => play(round.scripts, `${opponent.key} ${round.name}`, done) },
        el("strong", { text: round.name }),
        el("span", { text: round.about }),
      ),
    );
    // Words and flight, then flight, then film: it stands before the round of drawn balls.
    const film = films.find((one) => one.opponent === opponent);
    if (film) {
      const read = opponent.rounds.findIndex((round) => round.name === "Read");
      const text = [el("strong", { text: "Read film" }), el("span", { text: filmWords(film) })];
      rounds.splice(Math.max(read, 0), 0, el("button", { type: "button", onclick: () => Film.play(opponent, film, done) }, text));
    }
    return fold(opponent.name, lists.map((one) => el("div", {}, el("p", { text: left(one) }), drill(one, done))), el("div", { class: "rounds" }, rounds));
  }

  /** How it is held, how long a right answer stands, how quick its taps are. */
  function thisPhone(done) {
    const state = Keep.get("state") || {};
    const choice = (id, words, field, plain, options) => {
      const keep = (event) => Keep.put("state", { ...Keep.get("state"), [field]: JSON.parse(event.target.value) });
      const now = state[field] === undefined ? plain : state[field];
      const made = options.map(([value, text]) => el("option", { value: JSON.stringify(value), text, selected: value === now }));
      return el("div", {}, el("label", { for: id, text: words }), el("select", { id, onchange: keep }, made));
    };
    return fold(
      "This phone",
      choice("phone-hand", "Held in", "hand", "right", [["right", "the right hand"], ["left", "the left hand"]]),
      choice("phone-rest", "A right answer stands for", "restMs", 1400, [[700, "0.7 s"], [1400, "1.4 s"], [2500, "2.5 s"], [4000, "4 s"]]),
      el("p", { class: "quiet", text: state.keyTime ? "Your taps are measured." : "Taps not measured yet: a middling time is left for the tap itself." }),
      el("button", { type: "button", text: "Measure my taps", onclick: () => Taps.measure(done) }),
    );
  }

  function days() {
    const rows = PAGE.days.map((one) => {
      const listed = one.lists.reduce((sum, list) => sum + list.patterns.length, 0);
      const answers = one.expected === null ? listed : one.expected;
      return el("tr", {}, el("th", { scope: "row", text: one.spoken }), el("td", { text: one.is_off ? "off" : count(answers, "answer") }));
    });
    return fold("Days on this page", el("table", { class: "days" }, el("caption", { class: "unseen", text: "Answers each day asks for" }), el("tbody", {}, rows)));
  }

  /** Looks for film that waits; drawn anew only where that is other than before. */
  async function look(done) {
    const sign = (all) => JSON.stringify(all.map((one) => [one.opponent.key, filmWords(one)]));
    const found = await Film.waiting();
    const isNews = sign(found) !== sign(films);
    films = found;
    if (isNews && !byId("view-today").hidden && byId("round").hidden) done();
  }

  function draw(done) {
    look(done);
    const day = Keep.today();
    const entry = PAGE.days.find((one) => one.day === day);
    const lists = SecondballLogic.listsOf(PAGE, day, Keep.standing());
    const broken = Round.brokenOff();
    const main = lists.find((one) => one.left > 0) || lists[0];
    const ofOpponent = (place) => lists.filter((one) => one !== main && one.list.opponent === place);
    byId("today-title").textContent = entry ? `Today, ${entry.spoken}` : "Today";
    byId("today").replaceChildren(
      ...[
        broken ? brokenCard(broken, done) : null,
        dayCard(entry, lists, day, done),
        ...PAGE.opponents.map((opponent, place) => (opponent.rounds.length > 0 ? opponentFold(opponent, ofOpponent(place), done) : null)),
        PAGE.days.length > 1 ? days() : null,
        thisPhone(done),
      ].filter((one) => one !== null),
    );
  }

  return { draw, count, spoken };
})();
