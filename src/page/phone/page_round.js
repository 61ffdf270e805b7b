// The round on the screen: starting, going on, ending; keys and touches in, time, what is kept. The table and the pad
// are `page_court.js`'s, the words `page_panel.js`'s, measuring `page_taps.js`'s. It decides nothing; the machine of
// `logic.js` does.
"use strict";

const Round = (() => {
  const byId = (id) => document.getElementById(id);
  const screen = byId("round");
  const cells = byId("cells");
  const panel = byId("panel");
  const [say, strip] = [byId("say"), byId("strip")];
  // So long after a verdict a tap was meant for the ball, milliseconds.
  const DEAF_MS = 350;

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
  let deafUntil = 0;
  let reel = null;

  const nowMs = (stamp) =>
    Math.max(0, Math.round((stamp === undefined ? performance.now() : stamp) - startedMs + alreadyMs));

  // ---- starting, going on, ending

  /** A script with what this phone's own answers made known. */
  function scriptOf(number) {
    const answers = SecondballLogic.notAtHome(Keep.standing(), PAGE.receipts);
    return SecondballLogic.faded(SecondballLogic.unpack(PAGE, number), answers, Keep.today());
  }

  /** Plays a script: a new round. `id` names it, so that its orders come in turn. */
  function start(number, id, done) {
    const state = Keep.get("state") || {};
    const script = scriptOf(number);
    const isTap = window.matchMedia("(pointer: coarse)").matches;
    const input = isTap ? "tap" : "keys";
    const time = (state.keyTime || {})[input];
    if (time) script.key_ms = SecondballLogic.keyMs(time, script.palette.choices.length);
    const last = (state.tempos || {})[script.deck];
    const isNewDay = !last || last.day !== Keep.today();
    if (last && last.permille) script.tempo = SecondballLogic.resumed(script.tempo, last.permille, isNewDay);
    const restMs = state.restMs === undefined ? script.durations.feedback_ms : state.restMs;
    round = {
      made: PAGE.made,
      rest_ms: restMs,
      number,
      id,
      input,
      key_ms: script.key_ms,
      tempo: script.tempo,
      acts: [],
      kept: [],
    };
    open(script, done);
  }

  /** Plays a round of film; `film` runs the clips and completes the answers. */
  function showFilm(script, film, done) {
    const isTap = window.matchMedia("(pointer: coarse)").matches;
    const state = Keep.get("state") || {};
    const restMs = state.restMs === undefined ? script.durations.feedback_ms : state.restMs;
    round = { rest_ms: restMs, input: isTap ? "tap" : "keys", acts: [], kept: [] };
    const time = (state.keyTime || {})[round.input];
    if (time) script.key_ms = SecondballLogic.keyMs(time, script.palette.choices.length);
    reel = film;
    reel.onLost = close;
    reel.mount(screen.querySelector(".court"));
    open(script, done);
  }

  function open(script, done) {
    // How long a right answer stands is the player's; one who is late has twice as long.
    script.durations = { ...script.durations, feedback_ms: round.rest_ms, long_feedback_ms: 2 * round.rest_ms };
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
    const script = scriptOf(kept.number);
    script.key_ms = kept.key_ms;
    script.tempo = kept.tempo || script.tempo;
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
    const isStill = !machine || ["ready", "paused", "over", "done"].includes(machine.state.is);
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
    screen.dataset.hand = (Keep.get("state") || {}).hand || "right";
    shown = "";
    Awake.on();
    draw();
    Court.fit();
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
    if (reel) reel.close();
    reel = null;
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
      if (one.answer) round.kept.push(Keep.add(reel ? reel.taken(one.answer) : one.answer));
      if (one.undo && round.kept.length > 0) Keep.undo(round.kept.pop());
    }
    // A round of film is not gone on with: its clips are chosen anew.
    if (!reel && machine.isDone()) remember();
    else if (!reel && (what !== "tick" || said.length > 0)) Keep.put("round", round);
    draw();
  }

  /** After a round: its tempo and how often it was played. */
  function remember() {
    Keep.drop("round");
    const state = Keep.get("state") || {};
    if (machine.script.how === "snap" && machine.taken.length >= 6 && !machine.script.tempo.is_fixed) {
      const reached = { day: Keep.today(), permille: machine.tempo.reached };
      state.tempos = { ...state.tempos, [machine.script.deck]: reached };
    }
    if (round.id) state.played = { ...state.played, [round.id]: ((state.played || {})[round.id] || 0) + 1 };
    Keep.put("state", state);
  }

  // ---- drawing

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
    Court.move(picture, machine);
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

  function draw() {
    if (!machine || warmUp) return;
    const at = nowMs();
    const picture = machine.picture(at);
    if (picture.phase === "feedback" && shown !== "feedback") deafUntil = performance.now() + DEAF_MS;
    shown = picture.phase;
    const tempo =
      picture.tempo_permille === null ? "" : `, ${(picture.tempo_permille / 1000).toFixed(1)} x match time`;
    const part = picture.part ? `, ${picture.part}` : "";
    const under = picture.under ? `, switch: ${picture.under}` : "";
    const reading = picture.reading ? `, ${picture.reading}` : "";
    const of = picture.left_s === null ? ` of ${picture.balls}` : `, ${Math.ceil(picture.left_s / 60)} min left`;
    byId("round-count").textContent =
      `${picture.opponent}: ball ${picture.ball_number}${of}${tempo}${part}${under}${reading}`;
    const ofBalls = Math.max(0, picture.ball_number - 1) / Math.max(1, picture.balls);
    const way = picture.left_s === null ? ofBalls : Math.max(0, 1 - (picture.left_s * 1000) / machine.limitMs);
    byId("way").style.width = `${100 * way}%`;
    byId("round-note").textContent = Keep.trouble() || "";
    byId("round-pause").hidden = ["ready", "paused", "over", "done"].includes(picture.phase);
    Court.offer(picture, machine.script.palette);
    drawWords(picture, machine.state.untilMs === undefined || machine.state.untilMs === null ? null : machine.state.untilMs - at);
    Court.move(picture, machine);
    if (reel) reel.follow(machine, nowMs);
    schedule(picture);
  }

  /** What is said, in the slot, under the pad or instead of both: anew only where it is another. */
  function drawWords(picture, restMs) {
    const sign = JSON.stringify([picture.phase, picture.words, picture.feedback, picture.call, picture.serves, picture.answers, picture.shadow_answer, restMs === null]);
    if (panel.dataset.sign === sign) return;
    panel.dataset.sign = sign;
    const hadFocus = panel.contains(document.activeElement) || strip.contains(document.activeElement);
    panel.replaceChildren(...Panel.boxes(picture, machine));
    // Which serve a film was is told with the answer.
    const words = reel && picture.feedback && !picture.feedback.is_let ? machine.script.serves[machine.current.serve].short : picture.words;
    say.replaceChildren(...Panel.said({ ...picture, words }));
    strip.replaceChildren(...Panel.strip(picture, restMs));
    screen.dataset.phase = picture.phase;
    // What can be scrolled can be reached by keys.
    say.tabIndex = say.scrollHeight > say.clientHeight ? 0 : -1;
    if (hadFocus || ["call", "paused", "over", "done"].includes(picture.phase)) focusPanel();
  }

  function focusPanel() {
    const first = panel.querySelector("button") || strip.querySelector(".deed");
    if (first) first.focus({ preventScroll: true });
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
    } else if (button.dataset.choice !== undefined) act("choice", Number(button.dataset.choice), stamp);
    else if (button.dataset.key !== undefined) act("key", button.dataset.key, stamp);
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
    const isDeaf = event.detail > 0 && event.timeStamp < deafUntil && (warmUp || shown === "feedback") && event.target.closest("#strip, #panel");
    if (!isOfTouch && !isDeaf) pressed(event.target, event.timeStamp);
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
      // A second one leaves; what was begun stays, to be gone on with.
      if (["ready", "paused", "done"].includes(machine.state.is)) close();
      else act("pause");
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
    const isStill = machine && ["ready", "paused", "over", "done"].includes(machine.state.is);
    if (document.visibilityState === "hidden" && machine && !warmUp && !isStill) act("pause");
  });
  window.addEventListener("resize", () => {
    if (screen.hidden) return;
    Court.fit();
    draw();
  });

  /** Nothing goes on in a page that works in another tab. */
  function halt() {
    if (machine && !["ready", "paused", "over", "done"].includes(machine.state.is)) act("pause");
  }

  /** The screen for something that is no round: what is pressed there, and what comes after it. */
  function lend(pressed, done) {
    machine = null;
    warmUp = { pressed };
    onEnd = done;
    Court.rest();
    byId("round-pause").hidden = true;
    for (const one of [say, strip, panel]) one.replaceChildren();
    panel.dataset.sign = "";
    screen.dataset.phase = "";
    show();
  }

  /** Nothing that is tapped now was meant for what comes next. */
  function deafen() {
    deafUntil = performance.now() + DEAF_MS;
  }

  return { scriptOf, start, showFilm, goOn, brokenOff, forget, halt, lend, deafen, stepBack };
})();
