// The page around its parts: what is today, which sheet, what is still to be brought home.
"use strict";

(() => {
  const byId = (id) => document.getElementById(id);
  const VIEWS = [["today", "Today"], ["sheet", "Sheet"], ["table", "Table"], ["hall", "Hall"], ["film", "Film"], ["bring", "Bring home"]];
  let view = "today";
  let sheet = PAGE.foremost;
  let exported = [];

  const { count, spoken } = Today;

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
    document.body.classList.remove("calling");
    for (const [name] of VIEWS) byId(`view-${name}`).hidden = name !== view;
    for (const button of byId("nav").children) {
      if (button.dataset.view === view) button.setAttribute("aria-current", "page");
      else button.removeAttribute("aria-current");
    }
    if (view === "today") Today.draw(draw);
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
  const network = () => {
    const isKept = location.protocol === "file:" || (navigator.serviceWorker && navigator.serviceWorker.controller);
    byId("network").textContent = isKept ? "Works without a network." : "Not kept for use without a network yet.";
  };
  network();
  if (navigator.storage && navigator.storage.persist && Keep.hasStorage()) navigator.storage.persist().catch(() => {});
  if (location.protocol.startsWith("http")) {
    document.head.append(el("link", { rel: "manifest", href: "manifest.webmanifest" }));
    if ("serviceWorker" in navigator) {
      navigator.serviceWorker.addEventListener("controllerchange", network);
      navigator.serviceWorker.register("worker.js").catch(() => {});
    }
  }
})();
