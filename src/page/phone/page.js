// The page around its parts: what is today, which sheet, what is still to be brought home.
"use strict";

(() => {
  const byId = (id) => document.getElementById(id);
  const VIEWS = [["today", "Today"], ["sheet", "Sheet"], ["table", "Table"], ["hall", "Hall"], ["film", "Film"], ["bring", "Home"]];
  let view = "today";
  let sheet = 0;
  let exported = [];

  const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
  const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

  /** A day `2026-12-05` as `Sat 5 Dec`. */
  function spoken(day) {
    const date = new Date(`${day}T12:00:00Z`);
    return `${DAYS[date.getUTCDay()]} ${date.getUTCDate()} ${MONTHS[date.getUTCMonth()]}`;
  }

  const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);
  const count = (number, noun) => `${number} ${noun}${number === 1 ? "" : "s"}`;

  function awayWords(away) {
    if (away.answers + away.lets + away.others === 0) return "Everything is at home";
    const parts = [];
    if (away.answers > 0) parts.push(count(away.answers, "answer"));
    if (away.lets > 0) parts.push(count(away.lets, "let"));
    if (away.others > 0) parts.push(count(away.others, away.answers + away.lets > 0 ? "other note" : "note"));
    const last = parts.pop();
    return `${parts.length > 0 ? `${parts.join(", ")} and ` : ""}${last} not yet brought home`;
  }

  function drawKept() {
    byId("kept").textContent = awayWords(Keep.away());
    const box = byId("storage");
    const text = Keep.hasStorage()
      ? Keep.trouble()
      : "This browser keeps nothing after the page is closed. Answers are held while it is open: bring them home before you close it.";
    box.hidden = !text;
    box.textContent = text || "";
  }

  // ---- today

  function play(scripts, id) {
    const played = ((Keep.get("state") || {}).played || {})[id] || 0;
    Round.start(scripts[played % scripts.length], id, draw);
  }

  /** How it is held, how long a right answer stands, how quick its taps are. */
  function thisPhone() {
    const state = Keep.get("state") || {};
    const choice = (id, words, field, plain, options) =>
      el("div", {}, el("label", { for: id, text: words }), el("select", { id, onchange: (event) => Keep.put("state", { ...Keep.get("state"), [field]: JSON.parse(event.target.value) }) }, options.map(([value, text]) => el("option", { value: JSON.stringify(value), text, selected: value === (state[field] === undefined ? plain : state[field]) }))));
    return el(
      "details",
      {},
      el("summary", { class: "tap", text: "This phone" }),
      choice("phone-hand", "Held in", "hand", "right", [["right", "the right hand"], ["left", "the left hand"]]),
      choice("phone-rest", "A right answer stands for", "restMs", 1400, [[700, "0.7 s"], [1400, "1.4 s"], [2500, "2.5 s"], [4000, "4 s"]]),
      el("p", { class: "quiet", text: state.keyTime ? "Your taps are measured." : "Taps not measured yet: a middling time is left for the tap itself." }),
      el("button", { type: "button", text: "Measure my taps", onclick: () => Taps.measure(draw) }),
    );
  }

  function drawToday() {
    const day = Keep.today();
    const entry = PAGE.days.find((one) => one.day === day);
    const lists = SecondballLogic.listsOf(PAGE, day, Keep.standing());
    const parts = [];
    const broken = Round.brokenOff();
    if (broken) {
      parts.push(
        el(
          "div",
          { class: "card" },
          el("h2", { text: "A round was broken off" }),
          el("p", { text: `${count(broken.kept.length, "answer")} of it ${broken.kept.length === 1 ? "is" : "are"} kept.` }),
          el(
            "div",
            { class: "row" },
            el("button", { type: "button", class: "deed", text: "Go on with it", onclick: () => Round.goOn(draw) }),
            el("button", { type: "button", text: "Leave it", onclick: () => { Round.forget(); draw(); } }),
          ),
        ),
      );
    }
    for (const change of PAGE.changes) parts.push(el("p", { class: "note due", text: `Change due by the points: ${change}` }));
    if (PAGE.event) parts.push(el("p", { text: `${PAGE.event[0]}: ${PAGE.event[1]}` }));
    if (!entry) {
      const isOver = PAGE.days.length > 0 && day > PAGE.days[PAGE.days.length - 1].day;
      parts.push(el("p", { class: "note", text: isOver ? "The lists on this page are used up. Make a new page at home; the rounds below still work." : "This page has no list for today." }));
    }
    for (const one of lists) {
      const opponent = PAGE.opponents[one.list.opponent];
      const isDone = one.left === 0;
      const title = opponent.name;
      parts.push(
        el(
          "div",
          { class: "card" },
          el("h2", { text: title }),
          el("p", { text: isDone ? `${count(one.of, "answer")}: done today` : `${one.left} of ${count(one.of, "answer")} to give${one.day === day ? "" : `, left from ${spoken(one.day)}`}` }),
          el("button", { type: "button", class: isDone ? "" : "deed", text: isDone ? "Once more" : "Drill", "data-list": true, onclick: () => Round.start(one.list.script, `list ${one.day} ${one.list.script}`, draw) }),
        ),
      );
    }
    if (entry && lists.length === 0) parts.push(el("p", { text: entry.is_off ? "A day off." : "Nothing to answer today." }));
    for (const note of entry ? entry.notes : []) parts.push(el("p", { class: "quiet", text: `${sentence(note)}.` }));
    PAGE.opponents.forEach((opponent) => {
      if (opponent.rounds.length === 0) return;
      parts.push(
        el("h2", { text: opponent.name }),
        el(
          "div",
          { class: "rounds" },
          opponent.rounds.map((round) =>
            el(
              "button",
              { type: "button", "data-round": round.name, onclick: () => play(round.scripts, `${opponent.key} ${round.name}`) },
              el("strong", { text: round.name }),
              el("span", { text: round.about }),
            ),
          ),
        ),
      );
    });
    parts.push(thisPhone());
    if (PAGE.days.length > 1) {
      parts.push(
        el("h2", { text: "Days on this page" }),
        el(
          "table",
          { class: "days" },
          el("caption", { class: "unseen", text: "Answers each day asks for" }),
          el("tbody", {}, PAGE.days.map((one) => {
            const listed = one.lists.reduce((sum, list) => sum + list.patterns.length, 0);
            const answers = one.expected === null ? listed : one.expected;
            return el("tr", {}, el("th", { scope: "row", text: one.spoken }), el("td", { text: one.is_off ? "off" : count(answers, "answer") }));
          })),
        ),
      );
    }
    byId("today-title").textContent = entry ? `Today, ${entry.spoken}` : "Today";
    byId("today").replaceChildren(...parts);
  }

  // ---- sheets

  function drawSheet() {
    const sheets = [...document.querySelectorAll(".sheet")];
    sheets.forEach((one, place) => {
      one.hidden = place !== sheet;
    });
    const choice = byId("sheet-choice");
    if (PAGE.opponents.length > 1) {
      const select = el("select", { id: "sheet-select" });
      PAGE.opponents.forEach((one, place) => select.append(el("option", { value: place, text: one.name, selected: place === sheet })));
      select.addEventListener("change", () => {
        sheet = Number(select.value);
        drawSheet();
        byId("sheet-select").focus();
      });
      choice.replaceChildren(el("label", { for: "sheet-select", text: "Opponent" }), select);
    }
    const notes = PAGE.opponents[sheet] ? PAGE.opponents[sheet].notes : [];
    byId("sheet-notes").replaceChildren(...(notes.length > 0 ? [el("h2", { text: "Notes" }), ...notes.map((text) => el("p", { text }))] : []));
  }

  // ---- bringing home

  function drawBring() {
    const away = Keep.away();
    const parts = [el("p", { id: "bring-away", text: `${awayWords(away)}.` })];
    if (away.all.length > 0) {
      const text = SecondballLogic.exported(PAGE, away.all, Date.now());
      const name = `secondball-answers-${Keep.today()}.json`;
      const remember = () => { exported = away.all; byId("bring-read").hidden = false; };
      const area = el("textarea", { id: "bring-text", rows: 6, readonly: true, "aria-describedby": "bring-how" });
      area.value = text;
      const copied = el("p", { role: "status", id: "bring-copied" });
      const share = () => {
        const file = new File([text], name, { type: "application/json" });
        navigator.share({ files: [file], title: name }).then(remember).catch(() => {});
      };
      const canShare = (() => {
        try {
          return navigator.canShare && navigator.canShare({ files: [new File(["x"], name, { type: "application/json" })] });
        } catch (_) {
          return false;
        }
      })();
      parts.push(
        el(
          "div",
          { class: "row" },
          el("button", { type: "button", class: "deed", id: "bring-save", text: "Save as a file", onclick: () => {
            // A data link needs no permission of the page's policy for blobs, and no network.
            const link = el("a", { href: `data:application/json;charset=utf-8,${encodeURIComponent(text)}`, download: name });
            document.body.append(link);
            link.click();
            link.remove();
            remember();
          } }),
          canShare ? el("button", { type: "button", text: "Share the file", onclick: share }) : null,
          el("button", { type: "button", id: "bring-copy", text: "Copy the text", onclick: async () => {
            remember();
            try {
              await navigator.clipboard.writeText(text);
              copied.textContent = "Copied.";
            } catch (_) {
              area.focus();
              area.select();
              let isDone = false;
              try { isDone = document.execCommand("copy"); } catch (_) { isDone = false; }
              copied.textContent = isDone ? "Copied." : "Selected: copy it with your device's own menu.";
            }
          } }),
        ),
        copied,
        el("p", { id: "bring-how", text: `At home: secondball phone read ${name}, or paste the text into: secondball phone read -` }),
        el("p", { class: "quiet", text: "Reading the same answers twice changes nothing." }),
        el("label", { for: "bring-text", text: "The answers as text" }),
        area,
        el("div", { id: "bring-read", class: "card", hidden: exported.length === 0 },
          el("p", { text: "Has home read them? Then they need not be counted here any more." }),
          el("button", { type: "button", id: "bring-mark", text: "They are at home", onclick: () => { Keep.markHome(exported); exported = []; draw(); } })),
      );
      exported = exported.filter((one) => away.all.some((other) => other.sitting === one.sitting && other.n === one.n));
    } else {
      parts.push(el("p", { text: "Answers you give here are kept in this browser until you bring them home." }));
    }
    if (Keep.canBringBack()) {
      parts.push(
        el("div", { class: "card" },
          el("p", { text: "You said that the last answers are at home. If they are not, bring them back." }),
          el("button", { type: "button", id: "bring-back", text: "Bring them back", onclick: () => { Keep.bringBack(); draw(); } })),
      );
    }
    parts.push(el("p", { class: "quiet", text: `Page of ${spoken(new Date(PAGE.made).toISOString().slice(0, 10))}, home ${PAGE.home}, secondball ${PAGE.version}.` }));
    byId("bring").replaceChildren(...parts);
  }

  // ---- views

  function draw() {
    drawKept();
    for (const [name] of VIEWS) byId(`view-${name}`).hidden = name !== view;
    for (const button of byId("nav").children) {
      if (button.dataset.view === view) button.setAttribute("aria-current", "page");
      else button.removeAttribute("aria-current");
    }
    if (view === "today") drawToday();
    if (view === "sheet") drawSheet();
    if (view === "table") Table.draw();
    if (view === "hall") Hall.draw();
    if (view === "film") Film.draw();
    if (view === "bring") drawBring();
  }

  function show(name) {
    view = name;
    draw();
    window.scrollTo(0, 0);
    byId("main").focus({ preventScroll: true });
  }

  function go(name) {
    if (name !== view) history.pushState({ view: name }, "");
    show(name);
  }

  // A step back goes one view back inside the page, and out of a round.
  history.replaceState({ view }, "");
  window.addEventListener("popstate", (event) => {
    if (Round.stepBack()) return;
    const name = event.state && event.state.view;
    if (VIEWS.some(([known]) => known === name) && name !== view) show(name);
  });

  byId("nav").replaceChildren(...VIEWS.map(([name, words]) => el("button", { type: "button", text: words, "data-view": name, onclick: () => go(name) })));
  byId("nav").hidden = false;
  Keep.onChange(drawKept);
  Keep.tidy();
  draw();
  document.documentElement.dataset.ready = "yes";
  performance.mark("ready");

  // A day that ends while the page is open, and answers given in another tab.
  let day = Keep.today();
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible" || byId("round").hidden === false || Table.isRunning()) return;
    if (Keep.today() !== day) {
      day = Keep.today();
      if (view === "today") draw();
    }
  });
  Keep.hear(drawKept);
  window.addEventListener("beforeunload", (event) => {
    const isLost = (!Keep.hasStorage() || Keep.trouble()) && Keep.away().all.length > 0;
    if (isLost) event.preventDefault();
  });
  if (navigator.storage && navigator.storage.persist && Keep.hasStorage()) navigator.storage.persist().catch(() => {});
  if (location.protocol.startsWith("http")) {
    document.head.append(el("link", { rel: "manifest", href: "manifest.webmanifest" }));
    if ("serviceWorker" in navigator) navigator.serviceWorker.register("worker.js").catch(() => {});
  }
})();
