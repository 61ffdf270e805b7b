// The logic of the phone page: plays the scripts that were written at home. It knows no document, no
// clock and no storage, so that it runs in a test beside the program that wrote the scripts. Times are
// whole milliseconds. It chooses nothing: serves, orders, tosses and palettes come with the script.
"use strict";

const SecondballLogic = (() => {
  // The rules of results; the same numbers stand in `memory::result` and a test holds them together.
  const LEAST_RAW_MS = 150;
  const SPARE_SHARE = 0.6;
  const SPARE_AFTER_DAYS = 3;
  const MENU = "123456789";
  const LETTERS = "qweasdzxc";
  const DIGITS = "789456123";
  const SHADOW_KEYS = [["r", "right"], ["l", "late"], ["w", "wrong"]];
  const PART_WORDS = {
    gate: "first, each serve once",
    before: "before the call",
    after: "after the call",
    back: "after switching back",
  };
  const READING_WORDS = { words: "words and flight", cut: "flight cut off", twins: "twins mixed" };

  /** The cell of the square that a key names, or -1. */
  function cellOfKey(key) {
    const plain = key === "y" ? "z" : key;
    const letter = LETTERS.indexOf(plain);
    return letter >= 0 ? letter : DIGITS.indexOf(plain);
  }

  function permille(part, whole) {
    return Math.min(1000, Math.floor((part * 1000) / Math.max(1, whole)));
  }

  // ---- scripts as they are packed in the page

  const PARTS = ["plain", "gate", "before", "after", "back"];
  const CALLS = [null, "stay", "switch", "back"];
  const READINGS = [null, "words", "cut", "twins"];

  /** A script as it was written, from the page's tables. */
  function unpack(page, number) {
    const packed = page.scripts[number];
    const frames = (place) => {
      const flat = page.frames[place];
      const list = [];
      for (let i = 0; i < flat.length; i += 4) {
        list.push({ t_ms: flat[i], x_mm: flat[i + 1], y_mm: flat[i + 2], z_mm: flat[i + 3] });
      }
      return list;
    };
    return {
      ...packed,
      serves: packed.serves.map((place) => {
        const cue = page.cues[place];
        return { ...cue, frames: frames(cue.frames) };
      }),
      palette: page.palettes[packed.palette],
      balls: packed.balls.map((ball) => ({
        serve: ball[0],
        toss_ms: ball[1],
        part: PARTS[ball[2] || 0],
        call: CALLS[ball[3] || 0],
        reading: READINGS[ball[4] || 0],
        of_turn: ball[5] || 0,
      })),
      tempo: page.tempos[packed.tempo],
      durations: page.durations[packed.durations],
    };
  }

  // ---- windows and tempo

  /** The window of a decision at a tempo, key time included. */
  function windowMs(decisionMs, tempoPermille, keyMs) {
    return Math.floor((decisionMs * tempoPermille + 500) / 1000) + keyMs;
  }

  /** A staircase as `drill::tempo` climbs it. */
  class Tempo {
    constructor(rules) {
      this.rules = rules;
      this.permille = rules.start_permille;
      this.streak = 0;
      this.wasHarder = null;
      this.reversals = 0;
    }

    copy() {
      return Object.assign(new Tempo(this.rules), this);
    }

    answered(isSuccess) {
      if (this.rules.is_fixed) return;
      if (isSuccess) {
        this.streak += 1;
        if (this.streak >= this.rules.downs) {
          this.streak = 0;
          this.step(true);
        }
      } else {
        this.streak = 0;
        this.step(false);
      }
    }

    step(isHarder) {
      if (this.wasHarder !== null && this.wasHarder !== isHarder) this.reversals += 1;
      this.wasHarder = isHarder;
      const rules = this.rules;
      const step = this.reversals < 2 ? rules.step_permille : rules.fine_step_permille;
      const shrunk = 1000 - Math.min(step, 900);
      const next = isHarder
        ? Math.floor((this.permille * shrunk + 500) / 1000)
        : Math.floor((this.permille * 1000 + Math.floor(shrunk / 2)) / shrunk);
      this.permille = Math.min(Math.max(next, rules.least_permille), rules.most_permille);
    }
  }

  /** The rules for somebody who last played at a tempo: one step easier than that. */
  function resumed(rules, lastPermille) {
    const start = Math.floor((lastPermille * 1150 + 500) / 1000);
    return {
      ...rules,
      start_permille: Math.min(Math.max(start, rules.least_permille), rules.most_permille),
    };
  }

  function middle(times) {
    if (times.length < 3) return null;
    const sorted = [...times].sort((a, b) => a - b);
    const half = Math.floor(sorted.length / 2);
    return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  }

  /** How long this player needs to find one key of n, from single presses among two and six. */
  function keyTime(ofTwoMs, ofSixMs) {
    const two = middle(ofTwoMs);
    const six = middle(ofSixMs);
    if (two === null || six === null) return null;
    const b = Math.max(0, (six - two) / (Math.log2(6) - 1));
    return { a_ms: Math.max(0, two - b), b_ms: b };
  }

  function keyMs(time, keys) {
    const whole = time.a_ms + time.b_ms * Math.log2(Math.max(1, keys));
    return Math.round(Math.min(Math.max(whole, 150), 1500));
  }

  // ---- results

  const LET = "let";

  /** `let`, or the grade: wrong, late, in time, to spare. */
  function outcome(behaviour, behind) {
    if (behaviour.raw_ms < LEAST_RAW_MS) return LET;
    if (behaviour.given !== "right") return "wrong";
    if (behaviour.kind === "think") return "in time";
    const time = behaviour.raw_ms;
    const window = behaviour.window_ms;
    if (time > 2 * window) return "wrong";
    if (time > window) return "late";
    const isEarly = time <= SPARE_SHARE * window;
    if (isEarly && behind.counted_days >= SPARE_AFTER_DAYS && !behind.recent_old_answer) {
      return "to spare";
    }
    return "in time";
  }

  const isClean = (one) => one.outcome === "in time" || one.outcome === "to spare";
  const isRecalled = (one) => isClean(one) || one.outcome === "late";
  const counts = (one) => one.outcome !== LET;

  // ---- the machine

  /** A round being played: acts with their time go in, a picture and reports come out. */
  class Machine {
    constructor(script, input) {
      this.script = script;
      this.input = input;
      this.state = { is: "ready" };
      this.queue = script.balls.slice();
      this.current = null;
      this.tempo = new Tempo(script.tempo);
      this.taken = [];
      this.repaired = [];
      this.before = null;
      this.gate = null;
      this.beganMs = null;
      this.pausedMs = 0;
      this.tossFromMs = 0;
      this.isInterrupted = false;
    }

    isDone() {
      return this.state.is === "done";
    }

    /** What happened at a time: `key`, `tick`, `pause` or `interrupt`. Gives the reports. */
    act(nowMs, what, key) {
      const said = this.pass(nowMs);
      if (what === "interrupt") {
        this.isInterrupted = !this.isDone();
        said.push(...this.finish());
      } else if (what === "pause") {
        said.push(...this.pause(nowMs));
      } else if (what === "key") {
        said.push(...this.key(nowMs, key.toLowerCase()));
      }
      return said;
    }

    /** The next time at which something happens by itself, or null. */
    nextMs() {
      const state = this.state;
      if (state.is === "ball") return state.contactMs + 2 * this.windowMs() + 1;
      if (state.is === "shadow") return state.sinceMs + this.script.durations.shadow_ms;
      if (state.is === "feedback" || state.is === "between") return state.untilMs;
      return null;
    }

    pass(nowMs) {
      const said = [];
      for (;;) {
        const dueMs = this.nextMs();
        if (dueMs === null || dueMs > nowMs) return said;
        if (this.state.is === "ball") said.push(...this.noAnswer(dueMs));
        else if (this.state.is === "shadow") this.state = { is: "own" };
        else said.push(...this.advance(dueMs));
      }
    }

    windowMs() {
      if (!this.current) return 0;
      const decisionMs = this.script.serves[this.current.serve].decision_ms;
      return windowMs(decisionMs, this.tempo.permille, this.script.key_ms);
    }

    right(serve, part) {
      const cue = this.script.serves[serve];
      return part === "after" && cue.changed !== null ? cue.changed : cue.right;
    }

    old(serve, part) {
      const cue = this.script.serves[serve];
      if (part === "after") return cue.changed === null ? null : cue.right;
      return part === "back" ? cue.changed : null;
    }

    reason(serve, part) {
      const cue = this.script.serves[serve];
      return part === "after" && cue.changed !== null ? cue.changed_reason : cue.reason;
    }

    spills(serve, part) {
      if (this.script.serves[serve].changed !== null) return [];
      if (part !== "after" && part !== "back") return [];
      const right = this.right(serve, part);
      return this.script.serves
        .filter((cue) => cue.changed !== null)
        .map((cue) => (part === "after" ? cue.changed : cue.right))
        .filter((choice) => choice !== right);
    }

    gave(choice) {
      const ball = this.current;
      if (!ball) return "other";
      if (choice === this.right(ball.serve, ball.part)) return "right";
      if (choice === this.old(ball.serve, ball.part)) return "old_answer";
      return this.spills(ball.serve, ball.part).includes(choice) ? "spill" : "other";
    }

    placeInCell(cell) {
      return this.script.palette.choices.findIndex((choice) => choice.cell === cell);
    }

    choiceOfKey(key) {
      const cell = cellOfKey(key);
      return cell < 0 ? -1 : this.placeInCell(cell);
    }

    key(nowMs, key) {
      const isGo = key === " " || key === "\n" || key === "\r";
      if (key === "u" || key === "\b") return this.undo(nowMs);
      const state = this.state;
      switch (state.is) {
        case "ready":
          if (!isGo) return [];
          this.beganMs = nowMs;
          return this.advance(nowMs);
        case "call":
          if (isGo) this.startBall(nowMs);
          return [];
        case "ball":
          return this.snapKey(nowMs, state.contactMs, key);
        case "stroke": {
          const stroke = MENU.indexOf(key);
          if (stroke >= 0 && stroke < this.script.palette.strokes.length) {
            this.state = { is: "target", sinceMs: state.sinceMs, stroke };
          }
          return [];
        }
        case "target":
          return this.targetKey(nowMs, state, key);
        case "what":
          return this.whatKey(nowMs, state.contactMs, key);
        case "do":
          return this.doKey(nowMs, state, key);
        case "shadow":
        case "own":
          return this.ownKey(nowMs, key);
        case "feedback":
        case "between":
          return isGo ? this.advance(nowMs) : [];
        case "paused":
          if (!isGo) return [];
          this.pausedMs += Math.max(0, nowMs - state.atMs);
          if (state.isCall) {
            this.state = { is: "call" };
            return [];
          }
          return this.advance(nowMs);
        default:
          return [];
      }
    }

    advance(nowMs) {
      const wasFeedback = this.state.is === "feedback";
      if (wasFeedback && this.isAlone()) {
        this.state = { is: "paused", atMs: nowMs, isCall: false };
        return [];
      }
      this.judgeGate();
      const limitMs = this.script.limit_ms;
      const hasLimit = this.beganMs !== null && limitMs !== null;
      const playedMs = Math.max(0, Math.max(0, nowMs - this.beganMs) - this.pausedMs);
      const next = this.queue[0];
      if (!next || (hasLimit && playedMs >= limitMs)) return this.finish();
      if (wasFeedback && next.of_turn === 1 && next.call === null) {
        const untilMs = nowMs + this.script.durations.between_turns_ms;
        this.state = { is: "between", untilMs };
        return [];
      }
      this.current = this.queue.shift();
      if (this.current.call !== null) {
        this.before = null;
        this.state = { is: "call" };
      } else {
        this.startBall(nowMs);
      }
      return [];
    }

    /** Two balls in a row went by without a key: the player has gone to the door. */
    isAlone() {
      const last = this.taken.slice(-2).filter((one) => one.gave === "nothing");
      return last.length === 2 && this.queue.length > 0;
    }

    startBall(nowMs) {
      if (!this.current) return;
      const contactMs = nowMs + this.current.toss_ms;
      this.tossFromMs = nowMs;
      const starts = {
        snap: { is: "ball", contactMs },
        think: { is: "stroke", sinceMs: nowMs },
        read: { is: "what", contactMs },
        shadow: { is: "shadow", sinceMs: nowMs },
      };
      this.state = starts[this.script.how];
    }

    judgeGate() {
      const round = this.script.switch;
      if (!round) return;
      const isPast = this.queue.length === 0 || this.queue[0].part !== "gate";
      if (this.gate || !isPast || this.beganMs === null) return;
      const gate = this.taken.filter((one) => one.part === "gate" && counts(one));
      const inWindow = gate.filter(isClean).length;
      const isOpen = gate.length > 0 && inWindow * 100 >= gate.length * round.gate_percent;
      this.gate = { in_window: inWindow, of: gate.length, is_open: isOpen };
      if (!isOpen) {
        this.queue = this.queue
          .filter((ball) => ball.part === "before")
          .map((ball) => ({ ...ball, part: "plain", call: null }));
      }
    }

    pause(nowMs) {
      const is = this.state.is;
      if (is === "paused" || is === "ready") {
        this.isInterrupted = true;
        return this.finish();
      }
      if (is === "done") return [];
      // A ball broken off is a let: it comes again.
      if (is !== "call" && is !== "feedback" && is !== "between") this.playAgain();
      this.state = { is: "paused", atMs: nowMs, isCall: is === "call" };
      return [];
    }

    playAgain() {
      if (this.current) this.insertLater(this.current, 2);
    }

    insertLater(ball, later) {
      let samePart = 0;
      while (samePart < this.queue.length && this.queue[samePart].part === ball.part) samePart += 1;
      this.queue.splice(Math.min(later, samePart), 0, { ...ball, call: null });
    }

    canUndo(nowMs) {
      const state = this.state;
      switch (state.is) {
        case "feedback":
        case "between":
        case "paused":
        case "stroke":
        case "shadow":
          return true;
        case "ball":
        case "what":
          return nowMs < state.contactMs;
        default:
          return false;
      }
    }

    undo(nowMs) {
      if (!this.canUndo(nowMs) || !this.before) return [];
      const before = this.before;
      this.before = null;
      this.taken.pop();
      this.tempo = before.tempo;
      this.queue = before.queue;
      this.repaired = before.repaired;
      this.insertLater(before.ball, 2);
      this.current = null;
      const said = [];
      for (let i = 0; i < before.reports; i += 1) said.push({ undo: true });
      if (this.state.is !== "paused") said.push(...this.advance(nowMs));
      return said;
    }

    finish() {
      if (this.isDone()) return [];
      this.state = { is: "done" };
      this.current = null;
      return [{ done: true }];
    }

    // ---- answers

    snapKey(nowMs, contactMs, key) {
      const choice = this.choiceOfKey(key);
      if (choice < 0) return [];
      return this.take(nowMs, {
        how: "snap",
        gave: this.gave(choice),
        choice,
        text: null,
        rawMs: nowMs - contactMs,
        windowMs: this.windowMs(),
        isRecognised: null,
      });
    }

    noAnswer(nowMs) {
      return this.take(nowMs, {
        how: "snap",
        gave: "nothing",
        choice: null,
        text: "",
        rawMs: nowMs - this.state.contactMs,
        windowMs: this.windowMs(),
        isRecognised: null,
      });
    }

    targetKey(nowMs, state, key) {
      const cell = cellOfKey(key);
      const ball = this.current;
      if (cell < 0 || !ball) return [];
      const choices = this.script.palette.choices;
      const agrees = (place) =>
        choices[place].stroke === state.stroke && choices[place].targets.includes(cell);
      const right = this.right(ball.serve, ball.part);
      const old = this.old(ball.serve, ball.part);
      let choice = null;
      if (agrees(right)) choice = right;
      else if (old !== null && agrees(old)) choice = old;
      else {
        const found = choices.findIndex((_, place) => agrees(place));
        choice = found < 0 ? null : found;
      }
      const meant = choices.find(
        (one) => one.stroke === state.stroke && one.targets.includes(cell),
      );
      const text = meant ? meant.receive : this.script.built[state.stroke][cell];
      return this.take(nowMs, {
        how: "think",
        gave: choice === null ? "other" : this.gave(choice),
        choice,
        text,
        rawMs: nowMs - state.sinceMs,
        windowMs: 0,
        isRecognised: null,
      });
    }

    whatKey(nowMs, contactMs, key) {
      const serve = MENU.indexOf(key);
      if (serve < 0 || serve >= this.script.serves.length || !this.current) return [];
      const rawMs = nowMs - contactMs;
      if (rawMs < this.script.durations.least_ms) {
        return this.take(nowMs, {
          how: "read",
          gave: "other",
          choice: null,
          text: null,
          rawMs,
          windowMs: 0,
          isRecognised: null,
        });
      }
      const isRecognised = serve === this.current.serve;
      const takenFor = isRecognised ? null : `taken for ${this.script.serves[serve].serve}`;
      const answer = this.fact("read", takenFor, rawMs, 0, false);
      this.state = { is: "do", sinceMs: nowMs, isRecognised };
      return [{ answer }];
    }

    doKey(nowMs, state, key) {
      const choice = this.choiceOfKey(key);
      if (choice < 0) return [];
      return this.take(nowMs, {
        how: "think",
        gave: this.gave(choice),
        choice,
        text: null,
        rawMs: nowMs - state.sinceMs,
        windowMs: 0,
        isRecognised: state.isRecognised,
      });
    }

    ownKey(nowMs, key) {
      const windowMs = this.script.durations.shadow_ms;
      const own = { r: 0, 1: 0, l: 1, 2: 1, w: 2, 3: 2 }[key];
      if (own === undefined) return [];
      return this.take(nowMs, {
        how: "shadow",
        gave: own === 2 ? "other" : "right",
        choice: null,
        text: own === 2 ? "" : null,
        rawMs: windowMs + (own === 1 ? 1 : 0),
        windowMs,
        isRecognised: null,
      });
    }

    take(nowMs, given) {
      const ball = this.current;
      if (!ball) return [];
      const cue = this.script.serves[ball.serve];
      const kinds = { snap: "snap", think: "think", read: "think", shadow: "shadow" };
      const result = outcome(
        {
          given: given.gave === "right" || given.gave === "old_answer" ? given.gave : "wrong",
          raw_ms: given.rawMs,
          window_ms: given.windowMs,
          kind: kinds[given.how],
        },
        { counted_days: cue.counted_days, recent_old_answer: cue.has_recent_old_answer },
      );
      const isLet = result === LET;
      let text = null;
      if (given.gave !== "right") {
        if (given.text !== null) text = given.text;
        else if (given.choice !== null) text = this.script.palette.choices[given.choice].receive;
      }
      const answer = this.fact(given.how, text, given.rawMs, given.windowMs, isLet);
      const taken = {
        serve: ball.serve,
        part: ball.part,
        gave: given.gave,
        given: given.choice,
        ms: Math.max(0, given.rawMs),
        window_ms: given.windowMs,
        outcome: result,
        is_recognised: given.isRecognised,
      };
      if (isLet) {
        this.before = null;
        this.playAgain();
      } else {
        this.before = {
          ball: { ...ball },
          tempo: this.tempo.copy(),
          queue: this.queue.slice(),
          repaired: this.repaired.slice(),
          reports: given.isRecognised === null ? 1 : 2,
        };
        if (given.how === "snap") this.tempo.answered(isClean(taken));
        const isAgain =
          !isRecalled(taken) &&
          this.script.repair_after > 0 &&
          ball.part === "plain" &&
          !this.repaired.includes(ball.serve);
        if (isAgain) {
          this.repaired.push(ball.serve);
          this.insertLater(ball, this.script.repair_after);
        }
      }
      const durations = this.script.durations;
      const isShort = isClean(taken) || isLet;
      const lastsMs = isShort ? durations.feedback_ms : durations.long_feedback_ms;
      this.taken.push(taken);
      this.state = { is: "feedback", untilMs: nowMs + lastsMs };
      return [{ answer }];
    }

    /** The fact of an answer, as the journal at home keeps it. */
    fact(how, given, rawMs, windowMs, isLet) {
      const ball = this.current;
      const receive = (choice) => this.script.palette.choices[choice].receive;
      const fact = {
        k: "answer",
        deck: this.script.deck,
        serve: this.script.serves[ball.serve].serve,
        right: receive(this.right(ball.serve, ball.part)),
      };
      if (given !== null) fact.given = given;
      fact.how = how;
      fact.ms = Math.max(0, rawMs);
      fact.window = windowMs;
      fact.motor = how === "snap" ? this.script.key_ms : 0;
      fact.input = this.input;
      if (isLet) fact.let = true;
      const isStage = ball.part === "before" || ball.part === "after" || ball.part === "back";
      if (isStage && this.script.switch) {
        const old = this.old(ball.serve, ball.part);
        fact.switch = { name: this.script.switch.name, stage: ball.part };
        if (old !== null) fact.switch.old = receive(old);
      }
      return fact;
    }

    // ---- what there is to show

    phase(nowMs) {
      const state = this.state;
      if (state.is === "ball") return nowMs < state.contactMs ? "toss" : "flight";
      if (state.is === "what") return nowMs < state.contactMs ? "toss" : "what";
      return state.is;
    }

    isInPlay() {
      const is = this.state.is;
      return this.current !== null && is !== "feedback" && is !== "between" && is !== "paused";
    }

    picture(nowMs) {
      const script = this.script;
      const phase = this.phase(nowMs);
      const ball = this.current;
      const counted = this.taken.filter(counts);
      const reading = ball ? ball.reading : null;
      const isAsked = !["ready", "call", "done", "paused"].includes(phase);
      const isSeen = isAsked && phase !== "toss" && phase !== "between";
      const showsWords =
        script.how === "snap"
          ? script.has_words
          : script.how !== "read" || reading === "words" || phase === "do" || phase === "feedback";
      const contactMs = this.state.contactMs === undefined ? null : this.state.contactMs;
      const inPlay = this.isInPlay() ? 1 : 0;
      return {
        phase,
        opponent: script.opponent,
        ball_number: Math.max(counted.length + inPlay, this.beganMs === null ? 0 : 1),
        balls: counted.length + this.queue.length + inPlay,
        in_window: counted.filter(isClean).length,
        answers: counted.length,
        part: ball && ball.part !== "plain" ? PART_WORDS[ball.part] : null,
        under: script.under,
        of_turn: ball ? ball.of_turn : 0,
        words: ball && showsWords && isSeen ? script.serves[ball.serve].words : null,
        reading: reading && isAsked ? READING_WORDS[reading] : null,
        toss_permille:
          phase === "toss" && contactMs !== null
            ? permille(Math.max(0, nowMs - this.tossFromMs), contactMs - this.tossFromMs)
            : null,
        ball: this.ballSeen(phase, nowMs, contactMs),
        countdown_permille: this.countdown(phase, nowMs, contactMs),
        tempo_permille: script.how === "snap" ? this.tempo.permille : null,
        palette: this.cells(phase),
        lanes: script.palette.lanes,
        menu: this.menu(phase),
        asks_target: phase === "target",
        feedback: phase === "feedback" ? this.feedback() : null,
        call: phase === "call" ? this.callCard() : null,
        shadow_answer:
          ball && phase === "own"
            ? script.palette.choices[this.right(ball.serve, ball.part)].shown
            : null,
        serves:
          phase === "ready"
            ? script.serves.map((cue) => [cue.words, script.palette.choices[cue.right].shown])
            : [],
      };
    }

    ballSeen(phase, nowMs, contactMs) {
      const ball = this.current;
      if (!ball || contactMs === null || (phase !== "flight" && phase !== "what")) return null;
      const tMs = nowMs - contactMs;
      if (tMs < 0) return null;
      const isCut = ball.reading === "cut" || ball.reading === "twins";
      if (isCut && tMs > this.script.durations.cut_ms) return null;
      return ballAt(this.script.serves[ball.serve].frames, tMs);
    }

    countdown(phase, nowMs, contactMs) {
      let windowMs = null;
      let fromMs = null;
      if (phase === "flight" && contactMs !== null) {
        windowMs = this.windowMs();
        fromMs = contactMs;
      } else if (phase === "shadow") {
        windowMs = this.script.durations.shadow_ms;
        fromMs = this.state.sinceMs;
      }
      if (windowMs === null) return null;
      const goneMs = Math.min(Math.max(0, nowMs - fromMs), windowMs);
      return permille(windowMs - goneMs, windowMs);
    }

    cells(phase) {
      const how = this.script.how;
      const isShown = how === "snap" || (how === "read" && (phase === "do" || phase === "feedback"));
      if (!isShown) return [];
      const newest = this.taken[this.taken.length - 1];
      const last = phase === "feedback" && newest && counts(newest) ? newest : null;
      const right = last ? this.right(last.serve, last.part) : null;
      return this.script.palette.choices.map((choice, place) => ({
        cell: choice.cell,
        key: LETTERS[choice.cell],
        words: choice.shown,
        brief: choice.brief,
        mark: !last ? "plain" : place === right ? "right" : place === last.given ? "given" : "plain",
      }));
    }

    menu(phase) {
      const lines = (words) =>
        words.slice(0, MENU.length).map((text, place) => ({ key: MENU[place], words: text }));
      if (phase === "stroke" || phase === "target") return lines(this.script.palette.strokes);
      if (phase === "what") return lines(this.script.serves.map((cue) => cue.words));
      if (phase === "own" || phase === "shadow") {
        return SHADOW_KEYS.map(([key, words]) => ({ key, words }));
      }
      return [];
    }

    feedback() {
      const last = this.taken[this.taken.length - 1];
      if (!last) return null;
      const choices = this.script.palette.choices;
      if (!counts(last)) {
        return {
          verdict:
            last.ms === 0
              ? "let: a key before contact is a guess"
              : `let: within ${this.script.durations.least_ms} ms nobody has seen it`,
          is_right: false,
          is_let: true,
          right: "",
          given: null,
          reasons: [],
          ms: null,
          window_ms: null,
          was: null,
          can_undo: false,
        };
      }
      const verdicts = {
        old_answer: "wrong: the old answer",
        spill: "wrong: the switch belongs to another serve",
        nothing: "no answer: counts as wrong",
      };
      const isTimed = last.window_ms > 0 && this.script.how === "snap";
      const reason = this.reason(last.serve, last.part);
      const isOther = last.given !== null && last.gave !== "right";
      return {
        verdict: verdicts[last.gave] || last.outcome,
        is_right: isRecalled(last),
        is_let: false,
        right: choices[this.right(last.serve, last.part)].shown,
        given: isOther ? choices[last.given].shown : null,
        reasons: ["why", "expect", "then"]
          .filter((name) => reason[name] !== null)
          .map((name) => [name, reason[name]]),
        ms: isTimed && last.gave !== "nothing" ? last.ms : null,
        window_ms: isTimed ? last.window_ms : null,
        was:
          last.is_recognised === null
            ? null
            : [this.script.serves[last.serve].words, last.is_recognised],
        can_undo: this.before !== null,
      };
    }

    callCard() {
      const ball = this.current;
      const round = this.script.switch;
      if (!ball || ball.call === null || !round) return null;
      const shown = (choice) => this.script.palette.choices[choice].shown;
      const changes = this.script.serves
        .filter((cue) => cue.changed !== null && ball.call !== "stay")
        .map((cue) =>
          ball.call === "switch"
            ? [cue.words, shown(cue.right), shown(cue.changed)]
            : [cue.words, shown(cue.changed), shown(cue.right)],
        );
      return { call: ball.call, name: round.name, cue: round.cue, changes };
    }

    /** The round in numbers. */
    summary() {
      const counted = this.taken.filter(counts);
      const serves = this.script.serves
        .map((cue, serve) => {
          const own = counted.filter((one) => one.serve === serve);
          const right = own.filter((one) => one.gave === "right" && isRecalled(one));
          const times = right.map((one) => one.ms).sort((a, b) => a - b);
          return {
            serve: cue.serve,
            words: cue.words,
            receive: this.script.palette.choices[cue.right].shown,
            asked: own.length,
            right: right.length,
            in_window: own.filter(isClean).length,
            middle_ms: times.length > 0 ? times[Math.floor(times.length / 2)] : null,
          };
        })
        .filter((serve) => serve.asked > 0);
      return {
        answers: counted.length,
        right: counted.filter((one) => one.gave === "right" && isRecalled(one)).length,
        in_window: counted.filter(isClean).length,
        lets: this.taken.length - counted.length,
        old_answers: counted.filter((one) => one.gave === "old_answer").length,
        spills: counted.filter((one) => one.gave === "spill").length,
        serves,
        tempo_permille: this.tempo.permille,
        gate: this.gate,
        is_interrupted: this.isInterrupted,
      };
    }
  }

  /** Where the ball is at a time after contact; between frames on a straight line. */
  function ballAt(frames, tMs) {
    const after = frames.findIndex((frame) => frame.t_ms >= tMs);
    if (frames.length === 0) return null;
    if (after < 0) return frames[frames.length - 1];
    if (after === 0) return frames[0];
    const from = frames[after - 1];
    const to = frames[after];
    const span = Math.max(1, to.t_ms - from.t_ms);
    const between = (a, b) => a + Math.trunc(((b - a) * (tMs - from.t_ms)) / span);
    return {
      t_ms: tMs,
      x_mm: between(from.x_mm, to.x_mm),
      y_mm: between(from.y_mm, to.y_mm),
      z_mm: between(from.z_mm, to.z_mm),
    };
  }

  // ---- the caller of a rehearsal

  /**
   * Counts a launcher's balls: blocks, rests, calls, skipped balls, results. `session` was written at
   * home; `delayMs` is the time between starting and the first ball.
   */
  class Caller {
    constructor(session, delayMs) {
      this.session = session;
      this.delayMs = delayMs;
      this.block = 0;
      this.ball = 0;
      this.out = null;
      this.state = { is: "ready" };
      this.tally = { made: 0, missed: 0, wrong: 0 };
      this.skipped = 0;
      this.entered = [];
    }

    current() {
      return this.session.blocks[this.block] || null;
    }

    /** Milliseconds from one ball to the next: a ball thrown away takes one throw. */
    gapMs(ball) {
      const block = this.current();
      return ball.role === "throw_away" ? block.throw_ms : block.throw_ms * block.receive_every;
    }

    nextMs() {
      const state = this.state;
      if (state.is === "running") return state.dueMs;
      if (state.is === "resting") return state.untilMs;
      return null;
    }

    /** What happened: `go`, `tick`, `skip`, `pause`, `next`, `made`, `missed`, `wrong`, `undo`. */
    act(nowMs, what) {
      const said = this.pass(nowMs);
      const state = this.state;
      if (what === "go") {
        if (state.is === "ready" || state.is === "resting") said.push(...this.begin(nowMs));
        else if (state.is === "paused") said.push(...this.resume(nowMs));
        else if (state.is === "waiting") said.push(...this.schedule(nowMs, this.delayMs, false));
      } else if (what === "skip" && state.is === "running") {
        // The launcher left one out: the same ball is waited for once more.
        this.skipped += 1;
        const ball = this.current().balls[this.ball];
        this.state = { ...state, dueMs: state.dueMs + this.gapMs(ball) };
      } else if (what === "pause" && (state.is === "running" || state.is === "waiting")) {
        this.state = { is: "paused", was: state, atMs: nowMs };
      } else if (what === "next" && state.is !== "done" && state.is !== "ready") {
        said.push(...this.endBlock(nowMs));
      } else if (what === "made" || what === "missed" || what === "wrong") {
        said.push(...this.enter(what));
      } else if (what === "undo") {
        said.push(...this.takeBack());
      }
      return said;
    }

    pass(nowMs) {
      const said = [];
      for (;;) {
        const dueMs = this.nextMs();
        if (dueMs === null || dueMs > nowMs) return said;
        if (this.state.is === "running") said.push(...this.leaves(dueMs));
        else {
          this.state = { is: "ready" };
          said.push({ say: "rest over", block: this.block });
        }
      }
    }

    begin(nowMs) {
      this.ball = 0;
      this.out = null;
      this.tally = { made: 0, missed: 0, wrong: 0 };
      return this.schedule(nowMs, this.delayMs, true);
    }

    /** The next ball is due after a time; what is called before it is said now. */
    schedule(nowMs, afterMs, asksFirst) {
      const ball = this.current().balls[this.ball];
      const said = [{ announce: ball, block: this.block, ball: this.ball }];
      // Own serves and calls are waited for when a person feeds; a launcher does not wait.
      const holds = asksFirst && this.ball > 0 && this.session.waits && ball.cues.length > 0;
      this.state = holds ? { is: "waiting" } : { is: "running", dueMs: nowMs + afterMs };
      return said;
    }

    leaves(dueMs) {
      const block = this.current();
      this.out = { block: this.block, ball: this.ball, entered: null };
      const said = [{ out: block.balls[this.ball], block: this.block, ball: this.ball }];
      this.ball += 1;
      if (this.ball >= block.balls.length) {
        // The last ball is still to be played and entered before the rest begins.
        this.state = { is: "ending" };
        said.push({ say: "last ball", block: this.block });
      } else {
        said.push(...this.schedule(dueMs, this.gapMs(block.balls[this.ball]), true));
      }
      return said;
    }

    endBlock(nowMs) {
      const restS = this.current().rest_s;
      this.block += 1;
      this.ball = 0;
      this.out = null;
      if (!this.current()) {
        this.state = { is: "done" };
        return [{ say: "done" }];
      }
      this.state = { is: "resting", untilMs: nowMs + restS * 1000 };
      return [{ say: "rest", seconds: restS }];
    }

    resume(nowMs) {
      const { was, atMs } = this.state;
      const restMs = was.dueMs === undefined ? 0 : Math.max(0, was.dueMs - atMs);
      this.state = was.is === "waiting" ? was : { is: "running", dueMs: nowMs + restMs };
      return [];
    }

    /** The result of the ball that is out. */
    enter(result) {
      const out = this.out;
      if (!out || out.entered !== null) return [];
      const ball = this.session.blocks[out.block].balls[out.ball];
      if (ball.role !== "receive" || !ball.serve || !ball.right) return [];
      out.entered = result;
      this.tally[result] += 1;
      this.entered.push(out);
      const fact = { k: "ball", deck: this.session.deck, serve: ball.serve, right: ball.right, made: 0, missed: 0 };
      fact[result] = 1;
      return [{ fact }];
    }

    takeBack() {
      const out = this.entered[this.entered.length - 1];
      if (!out || out.block !== this.block) return [];
      this.entered.pop();
      this.tally[out.entered] -= 1;
      out.entered = null;
      return [{ undo: true }];
    }

    picture(nowMs) {
      const block = this.current();
      const state = this.state;
      const next = block ? block.balls[this.ball] || null : null;
      return {
        is: state.is,
        block,
        block_number: this.block + 1,
        blocks: this.session.blocks.length,
        ball_number: this.ball,
        balls: block ? block.balls.length : 0,
        next,
        out: this.out ? this.session.blocks[this.out.block].balls[this.out.ball] : null,
        entered: this.out ? this.out.entered : null,
        due_ms: this.nextMs() === null ? null : Math.max(0, this.nextMs() - nowMs),
        tally: { ...this.tally },
        skipped: this.skipped,
        can_undo: this.entered.length > 0 && this.entered[this.entered.length - 1].block === this.block,
      };
    }
  }

  // ---- days, lists, answers kept

  /** The player's day at an instant of the local clock: it ends at the rollover hour. */
  function dayOf(date, rolloverHour) {
    const shifted = new Date(date.getTime() - rolloverHour * 3600000);
    const two = (number) => String(number).padStart(2, "0");
    return `${shifted.getFullYear()}-${two(shifted.getMonth() + 1)}-${two(shifted.getDate())}`;
  }

  /**
   * The lists of a day: its own, and those of earlier days on this page of which nothing was answered
   * since. Each with how many of its patterns were answered today.
   */
  function listsOf(page, day, answers) {
    const first = new Map();
    for (const one of answers) {
      const key = `${one.fact.deck}/${one.fact.serve}/${one.fact.right}`;
      if (one.fact.k !== "answer" || one.fact.let || one.fact.how === "read") continue;
      if (!first.has(key)) first.set(key, new Set());
      first.get(key).add(one.day);
    }
    const answeredOn = (pattern, from, to) => {
      const days = first.get(pattern);
      return !!days && [...days].some((on) => on >= from && on <= to);
    };
    const found = [];
    for (const entry of page.days) {
      if (entry.day > day) continue;
      for (const list of entry.lists) {
        const left = list.patterns.filter((pattern) => !answeredOn(pattern, entry.day, day));
        found.push({ day: entry.day, list, left });
      }
    }
    // What an earlier day left over is shown until a later list asks for all of it again.
    const isAskedAgain = (one, later) =>
      later.day > one.day && one.left.every((pattern) => later.list.patterns.includes(pattern));
    return found
      .filter((one) => one.day === day || one.left.length > 0)
      .filter((one) => one.day === day || !found.some((later) => isAskedAgain(one, later)))
      .map((one) => ({ ...one, left: one.left.length, of: one.list.patterns.length }));
  }

  /** Events not yet at home, in order, by what home said it has (`sitting` to highest number). */
  function notAtHome(events, receipts) {
    return events.filter((event) => !(receipts[event.sitting] >= event.n));
  }

  /** The answers as text: plain ASCII, so that no way of sending it changes a letter. */
  function exported(page, events, madeMs) {
    const body = {
      secondball: "phone",
      format: page.format,
      home: page.home,
      version: page.version,
      made: madeMs,
      count: events.length,
      events: events.map((event) => ({
        sitting: event.sitting,
        n: event.n,
        at: event.at,
        day: event.day,
        fact: event.fact,
      })),
    };
    return JSON.stringify(body).replace(
      /[\u007f-\uffff]/g,
      (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`,
    );
  }

  return {
    Machine,
    Caller,
    Tempo,
    ballAt,
    cellOfKey,
    dayOf,
    exported,
    keyMs,
    keyTime,
    listsOf,
    notAtHome,
    outcome,
    resumed,
    unpack,
    windowMs,
    LETTERS,
  };
})();

if (typeof globalThis !== "undefined") globalThis.SecondballLogic = SecondballLogic;
