// The same page in two tabs: the one opened last works, the other says so, so that nothing is counted twice and
// no round writes over another one's place.
"use strict";

(() => {
  const KEY = "tab";
  let notice = null;

  function stand() {
    if (notice) return;
    Round.halt();
    Table.hide();
    for (const other of document.querySelectorAll("main, .top, .nav, .round")) other.inert = true;
    // What the other tab wrote is read afresh.
    const here = el("button", { type: "button", class: "deed", id: "tab-here", text: "Go on here", onclick: () => location.reload() });
    notice = el(
      "section",
      { class: "elsewhere", role: "alertdialog", "aria-labelledby": "tab-title" },
      el("h1", { id: "tab-title", text: "This page is open in another tab" }),
      el("p", { text: "It goes on there. Everything given here is kept." }),
      here,
    );
    document.body.append(notice);
    here.focus();
  }

  Keep.put(KEY, Keep.sitting());
  Keep.hear((key, value) => {
    if (key === KEY && value !== null && value !== JSON.stringify(Keep.sitting())) stand();
  });
})();
