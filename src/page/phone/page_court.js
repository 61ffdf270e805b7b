// The drawn table of a round, and the pad under it: the flying ball and its shadow, the window closing on the net,
// the receives where they land on their half. It draws what it is told and knows no rule.
"use strict";

/** A small drawn sign of the page. */
function icon(name) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  made.setAttribute("class", "i");
  made.setAttribute("aria-hidden", "true");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  use.setAttribute("href", `#${name}`);
  made.append(use);
  return made;
}

const Court = (() => {
  const byId = (id) => document.getElementById(id);
  const cells = byId("cells");
  const [ball, shade, bat, trail, fall, zone, back, end, bar, ticks] = ["ball", "shadow", "bat", "trail", "fall", "zone", "back", "end", "window", "ticks"].map(byId);
  const FEW = window.matchMedia("(prefers-reduced-motion: reduce)");
  const TAPE = 256;

  // A high camera behind the receiver: half the table's width on the picture, so far from their end line.
  const half = (xM) => 1 / (0.011655 - 0.00153 * Math.min(xM, 3));
  const on = (xM, share) => [180 + share * half(xM), 5.1846 * half(xM) - 394.5];

  function place({ x_mm, y_mm, z_mm }) {
    const [x, y] = on(x_mm / 1000, y_mm / 762.5);
    const clamp = (value, least, most) => Math.min(Math.max(value, least), most);
    return [clamp(x, 12, 348), clamp(y - (Math.max(0, z_mm) / 736) * half(x_mm / 1000), -6, 300), clamp(y, -6, 306)];
  }

  const points = (frames, ground) => frames.map((frame) => { const [x, y, low] = place(frame); return `${x.toFixed(1)},${(ground ? low : y).toFixed(1)}`; }).join(" ");

  /** The corners of a place of their half, and its middle. */
  function ofCell(cell) {
    const [row, column] = [Math.floor(cell / 3), cell % 3];
    const [far, near] = [row * 0.4567, (row + 1) * 0.4567];
    const [left, right] = [(2 * column) / 3 - 1, (2 * column) / 3 - 1 / 3];
    const corners = [on(near, left), on(near, right), on(far, right), on(far, left)];
    return { corners: corners.map((one) => one.join()).join(" "), middle: on((far + near) / 2, (left + right) / 2) };
  }

  function put(shape, x, y, size) {
    shape.style.transform = `translate(${x}px, ${y}px) scale(${size})`;
    shape.style.display = "";
  }

  function placeBall(at) {
    for (const shape of [ball, shade]) shape.style.display = at ? "" : "none";
    if (!at) return;
    const [x, y, low] = place(at);
    const size = half(at.x_mm / 1000) / 134;
    put(ball, x, y, size);
    put(shade, x, low, size);
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

  /** What moves: the ball of this picture, where it has been, and what is left of its window. */
  function move(picture, machine) {
    const cue = machine.current && machine.script.serves[machine.current.serve];
    const frames = cue ? cue.frames : [];
    let been = [];
    ball.classList.toggle("home", false);
    if (picture.phase === "toss" && frames.length > 0) {
      const part = picture.toss_permille / 1000;
      placeBall({ ...frames[0], z_mm: frames[0].z_mm + (FEW.matches ? 0 : 4 * part * (1 - part) * 220) });
    } else if (picture.ball && cue) {
      been = [...frames.filter((one) => one.t_ms < picture.ball.t_ms), picture.ball];
      placeBall(FEW.matches ? still(frames, picture.ball) : picture.ball);
    } else if (picture.phase !== "feedback") placeBall(null);
    const isPlayed = ["toss", "flight", "what"].includes(picture.phase) && frames.length > 0;
    bat.style.display = isPlayed ? "" : "none";
    if (isPlayed) put(bat, ...place(frames[0]).slice(0, 2), 1);
    trail.setAttribute("points", points(been));
    fall.setAttribute("points", points(been, true));
    draw(picture, machine, frames);
    const left = picture.countdown_permille === null ? 0 : picture.countdown_permille / 1000;
    const wide = TAPE * (FEW.matches ? Math.ceil(left * 5) / 5 : left);
    bar.setAttribute("x", 180 - wide / 2);
    bar.setAttribute("width", wide);
    const isTimed = picture.phase === "flight" || picture.phase === "toss";
    const match = isTimed && cue ? 1 - SecondballLogic.windowMs(cue.decision_ms, 1000, machine.script.key_ms) / machine.windowMs() : 0;
    ticks.setAttribute("d", match > 0 ? [-1, 1].map((side) => `M${180 + (side * TAPE * match) / 2} 122v18`).join("") : "");
  }

  /** After an answer: the ball goes where it was to go, or shows what became of it. */
  function draw(picture, machine, frames) {
    const told = picture.feedback;
    const right = picture.palette.find((one) => one.mark === "right");
    const isShown = Boolean(told && right);
    zone.setAttribute("points", isShown ? ofCell(right.cell).corners : "");
    zone.setAttribute("class", told && told.is_right ? "hit" : "want");
    const wrong = told && told.wrong_bat ? told.wrong_bat.frames : [];
    back.setAttribute("points", points(wrong));
    end.style.display = isShown ? "" : "none";
    if (!told) return;
    end.firstElementChild.setAttribute("class", told.is_right ? "okd" : "nod");
    end.lastElementChild.setAttribute("d", told.is_right ? "M-6 0l4 5 8-9" : "M-5-5l10 10M5-5l-10 10");
    trail.setAttribute("points", points(frames));
    if (!isShown) return;
    if (told.is_right) {
      const [x, y] = ofCell(right.cell).middle;
      ball.classList.toggle("home", true);
      put(ball, x, y, 0.5);
      shade.style.display = "none";
      put(end, x, y, 1);
    } else if (wrong.length > 0) {
      const [x, y] = place(wrong[wrong.length - 1]);
      placeBall(null);
      put(end, x, y, 1);
    } else {
      placeBall(null);
      end.style.display = "none";
    }
  }

  // ---- the pad

  const MARKS = { right: ", right", given: ", given", open: ", once more or the one beside it" };

  /** Lays buttons where they stand on their half: `[cell, button]` each, cell 0 to 8 by rows. */
  function lay(placed) {
    const inCell = (cell) => placed.filter((one) => one[0] === cell).map((one) => one[1]);
    const most = (of) => Math.max(...of.map((cell) => inCell(cell).length));
    const wide = [0, 1, 2].map((column) => most([column, column + 3, column + 6]));
    cells.className = "half";
    cells.replaceChildren(
      ...[0, 3, 6].map((row) => {
        const of = [row, row + 1, row + 2];
        // A row without a receive is low.
        const made = el("div", { class: `lanes${most(of) === 0 ? " bare" : most(of) > 1 ? " shared" : ""}` }, of.map((cell) => el("div", { class: `place of-${inCell(cell).length}` }, inCell(cell))));
        made.style.gridTemplateColumns = wide.map((parts) => `${[1, 1, 1.42, 2.2][parts]}fr`).join(" ");
        return made;
      }),
    );
    fit();
  }

  /** What does not fit side by side lies one above the other, and only then in smaller letters: with all its words. */
  function fit() {
    const fields = [...cells.querySelectorAll("button span")];
    const shown = fields.map((one) => one.textContent);
    for (const one of fields) one.textContent = one.dataset.whole;
    const isOut = (span) => span.scrollWidth > span.parentElement.clientWidth - 4 || span.parentElement.scrollHeight > span.parentElement.clientHeight;
    const isCut = () => fields.some(isOut) || cells.scrollHeight > cells.clientHeight;
    cells.classList.remove("stacked", "small", "tight");
    for (const name of ["stacked", "small", "tight"]) if (isCut()) cells.classList.add(name);
    fields.forEach((one, nth) => { one.textContent = shown[nth]; });
  }

  /** The receives that can be tapped, the nine targets, or a menu. A field says the stroke, its place where it goes. */
  function offer(picture, palette) {
    const isMenu = picture.menu.length > 0 && !picture.asks_target;
    const isAsked = isMenu || picture.asks_target || ["toss", "flight", "do"].includes(picture.phase);
    const targets = () =>
      Array.from({ length: 9 }, (_, cell) => {
        const { lane, depth } = SecondballLogic.targetOf(picture.lanes, cell);
        return { cell, words: `${lane}, ${depth}`, label: `${lane}, ${depth}`, keys: SecondballLogic.LETTERS[cell] };
      });
    const wanted = isMenu ? picture.menu.map((one) => ({ words: one.words, label: one.words, keys: one.key })) : picture.asks_target ? targets() : picture.palette;
    const sign = JSON.stringify(wanted.map((one) => [one.cell, one.words]));
    if (cells.dataset.sign !== sign) {
      const buttons = wanted.map((one, nth) =>
        el(
          "button",
          { type: "button", [isMenu || picture.asks_target ? "data-key" : "data-choice"]: isMenu || picture.asks_target ? one.keys : String(nth) },
          el("span", { "data-whole": one.cell === undefined || picture.asks_target ? one.label : palette.choices[nth].label }),
          el("kbd", { text: one.keys, "aria-hidden": "true" }),
        ),
      );
      if (isMenu) {
        cells.className = "half list";
        cells.replaceChildren(...buttons);
      } else lay(buttons.map((button, nth) => [wanted[nth].cell, button]));
      cells.dataset.sign = sign;
    }
    [...cells.querySelectorAll("button")].forEach((button, nth) => {
      const one = wanted[nth];
      const mark = one.mark && one.mark !== "plain" ? one.mark : "";
      button.className = mark;
      button.disabled = !isAsked;
      button.setAttribute("aria-label", one.words + (MARKS[mark] || ""));
      // A field that needs no word any more keeps its place.
      const text = one.label || "\u00b7";
      if (button.firstElementChild.textContent !== text) button.firstElementChild.textContent = text;
    });
  }

  /** Fields without words, one of them lit. */
  function light(lit, among) {
    cells.dataset.sign = "";
    lay(among.map((cell) => [cell, el("button", { type: "button", class: cell === lit ? "lit" : "", text: cell === lit ? "here" : "", "aria-label": cell === lit ? "here" : "not this one", "data-cell": cell })]));
  }

  /** Nothing flies, and no window runs. */
  function rest() {
    for (const shape of [ball, shade, bat, end]) shape.style.display = "none";
    for (const line of [trail, fall, back, zone]) line.setAttribute("points", "");
    bar.setAttribute("width", 0);
    ticks.setAttribute("d", "");
  }

  return { move, offer, light, rest, fit };
})();
