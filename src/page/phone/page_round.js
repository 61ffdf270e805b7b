// The round on the screen: the drawn table with the receives where they land, the flying ball, the panel
// with calls, menus and what came of an answer. It decides nothing; the machine of `logic.js` does.
"use strict";

const Round = (() => {
  const byId = (id) => document.getElementById(id);
  const screen = byId("round");
  const court = byId("court");
  const cells = byId("cells");
  const ball = byId("ball");
  const shade = byId("shadow");
  const panel = byId("panel");
  // The drawn stretch of the table's length, millimetres from the server's end line.
  const FROM_MM = -200;
  const LONG_MM = 3200;
  const WIDE_MM = 1525 / 0.92;
  const FEW = window.matchMedia("(prefers-reduced-motion: reduce)");

  let machine = null;
  let round = null;
  let startedMs = 0;
  let alreadyMs = 0;
  let shown = "";
  let frame = 0;
  let timer = 0;
  let onEnd = () => {};
  let warmUp = null;
  let cameFrom = null;

  const nowMs = (stamp) =>
    Math.max(0, Math.round((stamp === undefined ? performance.now() : stamp) - startedMs + alreadyMs));

  // ---- starting, going on, ending

  /** Plays a script: a new round. `id` names it, so that its orders come in turn. */
  function start(number, id, done) {
    const state = Keep.get("state") || {};
    const script = SecondballLogic.unpack(PAGE, number);
    const isTap = window.matchMedia("(pointer: coarse)").matches;
    const input = isTap ? "tap" : "keys";
    const time = (state.keyTime || {})[input];
    if (time) script.key_ms = SecondballLogic.keyMs(time, script.palette.choices.length);
    const permille = (state.tempos || {})[script.deck];
    if (permille) script.tempo = SecondballLogic.resumed(script.tempo, permille);
    round = {
      made: PAGE.made,
      number,
      id,
      input,
      key_ms: script.key_ms,
      start_permille: script.tempo.start_permille,
      acts: [],
      kept: [],
    };
    open(script, done);
  }

  function open(script, done) {
    machine = new SecondballLogic.Machine(script, round.input);
    onEnd = done;
    startedMs = performance.now();
    alreadyMs = 0;
    show();
  }

  /** A round that was broken off by closing the page; null when there is none. */
  function brokenOff() {
    const kept = Keep.get("round");
    const isOurs = kept && kept.made === PAGE.made && PAGE.scripts[kept.number];
    return isOurs && kept.acts.length > 1 ? kept : null;
  }

  /** Plays the acts of a broken round again, without keeping its answers twice, and pauses. */
  function goOn(done) {
    const kept = brokenOff();
    if (!kept) return;
    const script = SecondballLogic.unpack(PAGE, kept.number);
    script.key_ms = kept.key_ms;
    script.tempo = { ...script.tempo, start_permille: kept.start_permille };
    round = kept;
    open(script, done);
    for (const [at, what, key] of kept.acts) {
      machine.act(at, what, key);
      alreadyMs = at;
    }
    startedMs = performance.now();
    if (machine.state.is !== "paused") act("pause");
    draw();
  }

  function forget() {
    Keep.drop("round");
  }

  // A step back inside the browser pauses a ball, and leaves a round that is paused.
  let isMarked = false;
  let isLeaving = false;

  /** The browser went a step back; true when that was the round's. */
  function stepBack() {
    if (isLeaving) {
      isLeaving = false;
      return true;
    }
    if (screen.hidden) return false;
    isMarked = false;
    const isStill = !machine || ["ready", "paused", "done"].includes(machine.state.is);
    if (isStill) {
      // What was begun stays, to be gone on with.
      close();
      return true;
    }
    act("pause");
    mark();
    return true;
  }

  function mark() {
    history.pushState({ ...history.state, round: true }, "");
    isMarked = true;
  }

  function show() {
    mark();
    cameFrom = document.activeElement;
    screen.hidden = false;
    document.body.style.overflow = "hidden";
    for (const other of document.querySelectorAll("main, .top, .nav")) other.inert = true;
    shown = "";
    Awake.on();
    draw();
    focusPanel();
  }

  function close() {
    cancelAnimationFrame(frame);
    clearTimeout(timer);
    screen.hidden = true;
    document.body.style.overflow = "";
    for (const other of document.querySelectorAll("main, .top, .nav")) other.inert = false;
    Awake.off();
    if (isMarked) {
      isMarked = false;
      isLeaving = true;
      history.back();
    }
    machine = null;
    warmUp = null;
    onEnd();
    if (cameFrom && cameFrom.isConnected) cameFrom.focus();
  }

  // ---- acts

  function act(what, key, stamp) {
    if (!machine) return;
    const at = nowMs(stamp);
    const said = machine.act(at, what, key);
    // A tick is written down only when something came of it: played again, it must come again.
    if (what !== "tick" || said.length > 0) {
      round.acts.push(key === undefined ? [at, what] : [at, what, key]);
    }
    for (const one of said) {
      if (one.answer) round.kept.push(Keep.add(one.answer));
      if (one.undo && round.kept.length > 0) Keep.undo(round.kept.pop());
    }
    if (machine.isDone()) remember();
    else if (what !== "tick" || said.length > 0) Keep.put("round", round);
    draw();
  }

  /** After a round: its tempo and how often it was played. */
  function remember() {
    Keep.drop("round");
    const state = Keep.get("state") || {};
    if (machine.script.how === "snap" && machine.taken.length >= 6 && !machine.script.tempo.is_fixed) {
      state.tempos = { ...state.tempos, [machine.script.deck]: machine.tempo.permille };
    }
    if (round.id) state.played = { ...state.played, [round.id]: ((state.played || {})[round.id] || 0) + 1 };
    Keep.put("state", state);
  }

  // ---- drawing

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

  function moving() {
    if (!machine || warmUp) return;
    const at = nowMs();
    const dueMs = machine.nextMs();
    if (dueMs !== null && dueMs <= at) {
      act("tick");
      return;
    }
    const picture = machine.picture(at);
    // Contact changes what there is to see, and nothing was pressed.
    if (picture.phase !== shown) {
      draw();
      return;
    }
    drawMoving(picture);
    schedule(picture);
  }

  function schedule(picture) {
    cancelAnimationFrame(frame);
    clearTimeout(timer);
    if (["toss", "flight", "what", "shadow"].includes(picture.phase)) {
      frame = requestAnimationFrame(moving);
    } else if (machine.nextMs() !== null) {
      timer = setTimeout(moving, Math.max(0, machine.nextMs() - nowMs()));
    }
  }

  function drawMoving(picture) {
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
    byId("window").style.transform = `scaleX(${FEW.matches ? Math.ceil(left * 4) / 4 : left})`;
  }

  function draw() {
    if (!machine || warmUp) return;
    const picture = machine.picture(nowMs());
    shown = picture.phase;
    const tempo =
      picture.tempo_permille === null ? "" : `, ${(picture.tempo_permille / 1000).toFixed(1)} x match time`;
    const part = picture.part ? `, ${picture.part}` : "";
    const under = picture.under ? `, switch: ${picture.under}` : "";
    const reading = picture.reading ? `, ${picture.reading}` : "";
    byId("round-count").textContent =
      `${picture.opponent}: ball ${picture.ball_number} of ${picture.balls}${tempo}${part}${under}${reading}`;
    const cue = picture.phase === "toss" ? "..." : picture.words || "";
    if (byId("cue").textContent !== cue) byId("cue").textContent = cue;
    byId("round-pause").hidden = ["ready", "paused", "done"].includes(picture.phase);
    drawCells(picture);
    drawPanel(picture);
    drawMoving(picture);
    schedule(picture);
  }

  const DEPTHS = ["long", "half-long", "short"];

  function drawCells(picture) {
    const isAsked = ["toss", "flight", "do"].includes(picture.phase);
    const wanted = picture.asks_target
      ? Array.from({ length: 9 }, (_, cell) => ({
          cell,
          key: SecondballLogic.LETTERS[cell],
          words: `${picture.lanes[cell % 3].replace("_", " ")}, ${DEPTHS[Math.floor(cell / 3)]}`,
          mark: "plain",
        }))
      : picture.palette;
    const sign = JSON.stringify([wanted, isAsked || picture.asks_target]);
    if (cells.dataset.sign === sign) return;
    cells.dataset.sign = sign;
    cells.replaceChildren(
      ...wanted.map((cell) => {
        const marks = { right: " (right)", given: " (given)", plain: "" };
        const button = el(
          "button",
          {
            type: "button",
            class: cell.mark === "plain" ? "" : cell.mark,
            disabled: !(isAsked || picture.asks_target),
            "data-key": cell.key,
          },
          el("span", { text: cell.words + marks[cell.mark] }),
          el("kbd", { text: cell.key, "aria-hidden": "true" }),
        );
        button.style.gridRow = String(1 + Math.floor(cell.cell / 3));
        button.style.gridColumn = String(1 + (cell.cell % 3));
        return button;
      }),
    );
  }

  const go = (text) => el("button", { type: "button", class: "deed", text, "data-go": true });
  const leave = (text) => el("button", { type: "button", text, "data-leave": true });

  function drawPanel(picture) {
    const sign = JSON.stringify([
      picture.phase,
      picture.feedback,
      picture.call,
      picture.menu,
      picture.answers,
      picture.shadow_answer,
    ]);
    if (panel.dataset.sign === sign) return;
    panel.dataset.sign = sign;
    const boxes = [];
    if (picture.phase === "ready") boxes.push(readyBox(picture));
    if (picture.call) boxes.push(callBox(picture.call));
    if (picture.feedback) boxes.push(feedbackBox(picture.feedback));
    if (picture.phase === "paused") {
      boxes.push(
        el(
          "div",
          { class: "box" },
          el("p", { class: "verdict", text: "Paused" }),
          el("p", { text: "Every answer so far is kept. The ball broken off comes again." }),
          el("div", { class: "row" }, go("Go on"), leave("End the round")),
        ),
      );
    }
    if (picture.phase === "done") boxes.push(doneBox(machine.summary()));
    if (picture.shadow_answer) {
      boxes.push(el("div", { class: "box" }, el("p", { class: "verdict", text: picture.shadow_answer })));
    }
    if (picture.menu.length > 0 && !picture.asks_target) {
      boxes.push(
        el(
          "div",
          { class: "box menu", role: "group", "aria-label": picture.phase === "what" ? "Which serve was it?" : "Which stroke?" },
          el("p", { text: picture.phase === "what" ? "Which serve was it?" : "Which stroke?" }),
          picture.menu.map((line) => el("button", { type: "button", text: line.words, "data-key": line.key })),
        ),
      );
    }
    if (picture.asks_target) boxes.push(el("div", { class: "box" }, el("p", { text: "To where on their half?" })));
    if (picture.phase === "do") boxes.push(el("div", { class: "box" }, el("p", { text: "What do you do against it?" })));
    const hadFocus = panel.contains(document.activeElement);
    panel.replaceChildren(...boxes);
    if (hadFocus || ["call", "paused", "done"].includes(picture.phase)) focusPanel();
    const said = picture.feedback ? `${picture.feedback.verdict}. ${picture.feedback.right}` : "";
    byId("verdict").textContent = said;
  }

  function focusPanel() {
    const first = panel.querySelector("button");
    if (first) first.focus({ preventScroll: true });
  }

  function readyBox(picture) {
    const how = {
      snap: "The ball flies in its real time. Tap the receive where it lands on their half, before the bar runs out. A tap before contact is a let.",
      think: "No clock. Choose the stroke, then the target.",
      read: "Say which serve it was, then what you do against it.",
      shadow: "Play the stroke standing, then say how it was.",
    }[machine.script.how];
    return el(
      "div",
      { class: "box" },
      el("p", { class: "verdict", text: `${picture.opponent}: ${picture.balls} balls` }),
      el("p", { text: how }),
      el("div", { class: "row" }, go("Begin"), leave("Not now")),
    );
  }

  function callBox(call) {
    const words = { stay: "STAY", switch: "SWITCH", back: "BACK TO THE PLAN" }[call.call];
    return el(
      "div",
      { class: "box", role: "alert" },
      el("p", { class: "call", text: call.call === "switch" ? `${words}: ${call.name}` : words }),
      call.cue && call.call === "switch" ? el("p", { text: `When ${call.cue}` }) : null,
      call.call === "stay" ? el("p", { text: "Everything stays as it is." }) : null,
      call.changes.map(([serve, old, now]) =>
        el("p", {}, el("span", { text: `${serve}: not ` }), el("s", { text: old }), el("span", { text: ", now " }), el("strong", { text: now })),
      ),
      call.changes.length > 0 ? el("p", { class: "quiet", text: "Everything else stays." }) : null,
      el("div", { class: "row" }, go("Play on")),
    );
  }

  function feedbackBox(feedback) {
    const time =
      feedback.ms === null ? "" : `Took ${(feedback.ms / 1000).toFixed(2)} s (window ${(feedback.window_ms / 1000).toFixed(2)} s)`;
    const isLate = feedback.verdict === "late";
    const look = feedback.is_let ? ["", ""] : isLate ? ["late", "Right, but "] : feedback.is_right ? ["good", "✓ "] : ["bad", "✕ "];
    // A touch of the table, not a key.
    const verdict = feedback.is_let ? feedback.verdict.replace("let: a key before contact", "Let: a touch before contact").replace(/^let/, "Let") : feedback.verdict;
    return el(
      "div",
      { class: "box" },
      el("p", { class: `verdict ${look[0]}`, text: look[1] + verdict }),
      time ? el("p", { class: "took", text: time }) : null,
      feedback.was ? el("p", { text: `It was: ${feedback.was[0]}${feedback.was[1] ? ", recognised" : ", not recognised"}` }) : null,
      feedback.right ? el("p", {}, el("strong", { text: feedback.right })) : null,
      feedback.given ? el("p", { text: `Given: ${feedback.given}` }) : null,
      feedback.reasons.map(([name, words]) => el("p", { text: `${name.charAt(0).toUpperCase()}${name.slice(1)}: ${words}` })),
      el(
        "div",
        { class: "row" },
        go("Next"),
        feedback.can_undo ? el("button", { type: "button", text: "Take back", "data-key": "u" }) : null,
      ),
    );
  }

  function doneBox(summary) {
    const gate =
      summary.gate && !summary.gate.is_open
        ? el("p", { text: `The switch waits: ${summary.gate.in_window} of ${summary.gate.of} in the window, 4 in 5 are needed first.` })
        : null;
    const wrong = [
      summary.old_answers > 0 ? `${summary.old_answers} the old answer` : null,
      summary.spills > 0 ? `${summary.spills} spilled to another serve` : null,
      summary.lets > 0 ? `${summary.lets} let${summary.lets === 1 ? "" : "s"}, not counted` : null,
    ].filter((text) => text !== null);
    return el(
      "div",
      { class: "box" },
      el("p", { class: "verdict", text: `${summary.right} of ${summary.answers} right, ${summary.in_window} in the window` }),
      wrong.length > 0 ? el("p", { text: wrong.join(", ") }) : null,
      gate,
      summary.serves.map((serve) =>
        el("p", { class: "quiet", text: `${serve.right} of ${serve.asked} right${serve.middle_ms === null || machine.script.how !== "snap" ? "" : `, middle time ${serve.middle_ms} ms`}: ${serve.words}` }),
      ),
      el("div", { class: "row" }, el("button", { type: "button", class: "deed", text: "Done", "data-leave": true })),
    );
  }

  // ---- input: a touch counts when it comes down; a click without one comes from a reader or a keyboard

  function pressed(target, stamp) {
    const button = target.closest("button");
    if (!button || button.disabled) return false;
    if (warmUp) {
      if (button.dataset.cell !== undefined) warmUp.pressed(Number(button.dataset.cell), stamp);
      else if (button.dataset.leave !== undefined) close();
      return true;
    }
    if (button.id === "round-pause") act("pause");
    else if (button.dataset.go !== undefined) act("key", " ", stamp);
    else if (button.dataset.leave !== undefined) {
      if (machine && !machine.isDone()) act("interrupt");
      if (machine && machine.taken.length === 0) forget();
      close();
    } else if (button.dataset.key !== undefined) act("key", button.dataset.key, stamp);
    else return false;
    return true;
  }

  let lastDown = -1;
  cells.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    lastDown = event.timeStamp;
    if (pressed(event.target, event.timeStamp)) event.preventDefault();
  });
  screen.addEventListener("click", (event) => {
    const isOfTouch = cells.contains(event.target) && event.timeStamp - lastDown < 1000 && event.detail > 0;
    if (!isOfTouch) pressed(event.target, event.timeStamp);
  });
  document.addEventListener("keydown", (event) => {
    if (screen.hidden || event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
    if (warmUp) {
      const cell = SecondballLogic.cellOfKey(event.key.toLowerCase());
      if (event.key === "Escape") close();
      else if (cell >= 0) warmUp.pressed(cell, event.timeStamp);
      return;
    }
    if (!machine) return;
    if (event.key === "Escape" || event.key === "p") {
      if (machine.state.is === "ready" || machine.isDone()) close();
      else if (machine.state.is !== "paused") act("pause");
      event.preventDefault();
      return;
    }
    const isOnButton = event.target.closest && event.target.closest("button");
    if (event.key === " " || event.key === "Enter") {
      // A focused button answers by itself.
      if (!isOnButton || isOnButton.disabled) act("key", " ", event.timeStamp);
    } else if (event.key === "Backspace") act("key", "\b", event.timeStamp);
    else if (event.key.length === 1) act("key", event.key, event.timeStamp);
  });
  document.addEventListener("visibilitychange", () => {
    const isStill = machine && ["ready", "paused", "done"].includes(machine.state.is);
    if (document.visibilityState === "hidden" && machine && !warmUp && !isStill) act("pause");
  });
  window.addEventListener("resize", () => {
    if (machine && !warmUp) draw();
  });

  // ---- the time a tap takes

  /** Measures taps with nothing to remember: so that windows ask about memory and not about fingers. */
  function measure(done) {
    const input = window.matchMedia("(pointer: coarse)").matches ? "tap" : "keys";
    const times = { 2: [], 6: [] };
    const seen = { 2: 0, 6: 0 };
    let place = 0;
    let since = 0;
    onEnd = done;
    machine = null;
    const prompt = () => {
      const entry = PAGE.warm_up[place];
      byId("cue").textContent = "Tap the marked field, as quickly as you can.";
      byId("round-count").textContent = `Measuring taps: ${place + 1} of ${PAGE.warm_up.length}`;
      cells.dataset.sign = "";
      cells.replaceChildren(
        ...entry[1].map((cell) => {
          const button = el("button", {
            type: "button",
            class: cell === entry[0] ? "lit" : "",
            text: cell === entry[0] ? "here" : "",
            "aria-label": cell === entry[0] ? "here" : "not this one",
            "data-cell": cell,
          });
          button.style.gridRow = String(1 + Math.floor(cell / 3));
          button.style.gridColumn = String(1 + (cell % 3));
          return button;
        }),
      );
      since = performance.now();
    };
    warmUp = {
      pressed(cell, stamp) {
        const entry = PAGE.warm_up[place];
        if (!entry || cell !== entry[0]) return;
        const among = entry[1].length;
        seen[among] += 1;
        if (seen[among] > 2) times[among].push(Math.round((stamp || performance.now()) - since));
        place += 1;
        if (place < PAGE.warm_up.length) prompt();
        else {
          const time = SecondballLogic.keyTime(times[2], times[6]);
          if (time) {
            const state = Keep.get("state") || {};
            state.keyTime = { ...state.keyTime, [input]: time };
            Keep.put("state", state);
          }
          close();
        }
      },
    };
    show();
    byId("round-pause").hidden = true;
    panel.dataset.sign = "";
    placeBall(null);
    byId("window").style.transform = "scaleX(0)";
    panel.replaceChildren(el("div", { class: "box" }, el("p", { text: "Nothing to remember here: 18 taps show how long your finger takes, and every window leaves that time." }), el("div", { class: "row" }, leave("Not now"))));
    prompt();
  }

  /** Nothing goes on in a page that works in another tab. */
  function halt() {
    if (machine && !["ready", "paused", "done"].includes(machine.state.is)) act("pause");
  }

  return { start, goOn, brokenOff, forget, halt, measure, stepBack };
})();
