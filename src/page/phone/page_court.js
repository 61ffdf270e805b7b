// The drawn table of a round: the receives where they land on their half, the flying ball and its shadow, the
// bar of the window. It draws what it is told and knows no rule.
"use strict";

const Court = (() => {
  const court = document.getElementById("court");
  const cells = document.getElementById("cells");
  const ball = document.getElementById("ball");
  const shade = document.getElementById("shadow");
  const bar = document.getElementById("window");
  // The drawn stretch of the table's length, millimetres from the server's end line.
  const FROM_MM = -200;
  const LONG_MM = 3200;
  const WIDE_MM = 1525 / 0.92;
  const FEW = window.matchMedia("(prefers-reduced-motion: reduce)");

  const percent = (frameMm) => [
    50 + (frameMm.y_mm / WIDE_MM) * 100,
    ((frameMm.x_mm - FROM_MM) / LONG_MM) * 100,
  ];

  function placeBall(at) {
    if (!at) {
      ball.hidden = true;
      shade.hidden = true;
      return;
    }
    const box = court.getBoundingClientRect();
    const [left, top] = percent(at);
    const x = (Math.min(Math.max(left, 2), 98) / 100) * box.width;
    const y = (Math.min(Math.max(top, 1.5), 98.5) / 100) * box.height;
    const high = Math.max(0, at.z_mm);
    const lift = (high / LONG_MM) * box.height * 0.8;
    // Nearer and higher is larger.
    const size = 0.8 + Math.max(0, at.x_mm) / 6000 + high / 1200;
    ball.hidden = false;
    shade.hidden = false;
    ball.style.transform = `translate(${x}px, ${Math.max(8, y - lift)}px) scale(${size})`;
    shade.style.transform = `translate(${x}px, ${y}px)`;
  }

  /** The ball with few movements: where it was hit, then each bounce. */
  function still(frames, at) {
    let last = frames[0];
    for (let i = 1; i + 1 < frames.length && frames[i].t_ms <= at.t_ms; i += 1) {
      const isBounce = frames[i].z_mm <= frames[i - 1].z_mm && frames[i].z_mm < frames[i + 1].z_mm;
      if (isBounce) last = frames[i];
    }
    return last;
  }

  /** What moves: the ball of this picture, and what is left of its window. */
  function move(picture, machine) {
    const current = machine.current;
    if (picture.phase === "toss" && current) {
      const first = machine.script.serves[current.serve].frames[0];
      const part = picture.toss_permille / 1000;
      const up = FEW.matches ? 0 : 4 * part * (1 - part);
      placeBall({ ...first, z_mm: first.z_mm + up * 450 });
    } else if (picture.ball && current) {
      const frames = machine.script.serves[current.serve].frames;
      placeBall(FEW.matches ? still(frames, picture.ball) : picture.ball);
    } else {
      placeBall(null);
    }
    const left = picture.countdown_permille === null ? 0 : picture.countdown_permille / 1000;
    bar.style.transform = `scaleX(${FEW.matches ? Math.ceil(left * 4) / 4 : left})`;
  }

  /** Puts buttons where they stand on their half: `[cell, button]` each, cell 0 to 8 by rows. */
  function put(placed) {
    cells.dataset.sign = "";
    const inCell = (cell) => placed.filter((one) => one[0] === cell).map((one) => one[1]);
    const places = Array.from({ length: 9 }, (_, cell) => {
      const place = el("div", { class: "place" }, inCell(cell));
      place.style.gridTemplateColumns = `repeat(${Math.max(1, inCell(cell).length)}, 1fr)`;
      return place;
    });
    const most = (of) => Math.max(...of.map((cell) => inCell(cell).length));
    cells.style.gridTemplateColumns = [0, 1, 2].map((column) => (most([column, column + 3, column + 6]) > 1 ? "1.42fr" : "1fr")).join(" ");
    // A row without a receive is low.
    cells.style.gridTemplateRows = [0, 3, 6].map((row) => (most([row, row + 1, row + 2]) > 0 ? "minmax(0, 1fr)" : "22px")).join(" ");
    cells.replaceChildren(...places);
  }

  /** The receives that can be tapped, or the nine targets. A field says the stroke, its place where it goes. */
  function offer(picture) {
    const isAsked = ["toss", "flight", "do"].includes(picture.phase) || picture.asks_target;
    const wanted = picture.asks_target
      ? Array.from({ length: 9 }, (_, cell) => {
          const { lane, depth } = SecondballLogic.targetOf(picture.lanes, cell);
          const words = `${lane}, ${depth}`;
          return { cell, keys: SecondballLogic.LETTERS[cell], words, label: words, mark: "plain", key: SecondballLogic.LETTERS[cell] };
        })
      : picture.palette;
    const sign = JSON.stringify([wanted, isAsked]);
    if (cells.dataset.sign === sign) return;
    const marks = { right: " (right)", given: " (given)", plain: "", open: "" };
    put(
      wanted.map((cell, choice) => [
        cell.cell,
        el(
          "button",
          {
            type: "button",
            class: cell.mark === "plain" ? "" : cell.mark,
            disabled: !isAsked,
            "aria-label": cell.words + marks[cell.mark],
            [cell.key ? "data-key" : "data-choice"]: cell.key || String(choice),
          },
          el("span", { text: cell.label || "·" }),
          el("kbd", { text: cell.keys, "aria-hidden": "true" }),
        ),
      ]),
    );
    cells.dataset.sign = sign;
  }

  /** Nothing flies, and no window runs. */
  function rest() {
    placeBall(null);
    bar.style.transform = "scaleX(0)";
  }

  return { move, offer, put, rest };
})();
