// A round being played, act by act: it plays the script that was written at home and chooses nothing.
"use strict";

const SecondballPlaying = (() => {
  const { LET, MENU, Tempo, cellOfKey, counts, isClean, isRecalled, outcome, windowMs } = SecondballResults;

  /** A round being played: acts with their time go in, a picture and reports come out. */
  class Playing {
    constructor(script, input) {
      this.script = script;
      this.input = input;
      this.state = { is: "ready" };
      this.open = null;
      this.queue = script.balls.slice();
      this.current = null;
      this.tempo = new Tempo(script.tempo);
      this.taken = [];
      this.repaired = [];
      this.before = null;
      this.gate = null;
      this.beganMs = null;
      this.pausedMs = 0;
      this.limitMs = script.limit_ms;
      this.tossFromMs = 0;
      this.isShown = false;
      this.isInterrupted = false;
    }

    isDone() {
      return this.state.is === "done";
    }

    /** What happened at a time: `key`, `choice`, `tick`, `pause` or `interrupt`. Gives the reports. */
    act(nowMs, what, key) {
      const said = this.pass(nowMs);
      if (what === "interrupt") {
        this.isInterrupted = !this.isDone();
        said.push(...this.finish());
      } else if (what === "pause") {
        said.push(...this.pause(nowMs));
      } else if (what === "key") {
        said.push(...this.key(nowMs, key.toLowerCase()));
      } else if (what === "choice" && (this.state.is === "ball" || this.state.is === "do")) {
        said.push(...this.give(nowMs, key, 0));
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
      if (cue.under !== null) return cue.under[1];
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

    firstIn(cell) {
      return this.script.palette.choices.findIndex((choice) => choice.cell === cell);
    }

    /** The choice that a second key, of this other cell, names within a cell; -1 for none. */
    within(cell, other) {
      if (Math.floor(cell / 3) !== Math.floor(other / 3)) return -1;
      const first = this.firstIn(cell);
      const isTwo = this.script.palette.choices[first].parts === 2;
      return first + (isTwo ? Number(other % 3 > Math.min(cell % 3, 1)) : other % 3);
    }

    /** A key of the square: its receive, or the place it opens for a second key. */
    paletteKey(nowMs, key) {
      const cell = cellOfKey(key);
      if (cell < 0) return [];
      // What was opened before the state changed is open no more.
      const open = this.open && this.open.of === this.state ? this.open : null;
      const part = open ? this.within(open.cell, cell) : -1;
      if (part >= 0) return this.give(nowMs, part, Math.min(nowMs - open.sinceMs, this.script.key_ms));
      const choice = this.firstIn(cell);
      if (choice < 0) return [];
      const fromMs = this.state.is === "ball" ? this.state.contactMs : this.state.sinceMs;
      const isLet = nowMs < fromMs + this.script.durations.least_ms;
      if (this.script.palette.choices[choice].parts === 1 || isLet) return this.give(nowMs, choice, 0);
      this.open = { cell, sinceMs: nowMs, of: this.state };
      return [];
    }

    /** Gives a choice of the palette, `typedMs` after it was decided. */
    give(nowMs, choice, typedMs) {
      if (!this.script.palette.choices[choice]) return [];
      const isRead = this.state.is === "do";
      return this.take(nowMs, {
        how: isRead ? "think" : "snap",
        gave: this.gave(choice),
        choice,
        text: null,
        rawMs: nowMs - typedMs - (isRead ? this.state.sinceMs : this.state.contactMs),
        windowMs: isRead ? 0 : this.windowMs(),
        isRecognised: isRead ? this.state.isRecognised : null,
      });
    }

    key(nowMs, key) {
      const isGo = key === " " || key === "\n" || key === "\r";
      if (key === "u" || key === "\b") return this.undo(nowMs);
      const state = this.state;
      switch (state.is) {
        case "ready":
          if (key === "?") this.isShown = true;
          if (!isGo) return [];
          this.beganMs = nowMs;
          return this.advance(nowMs);
        case "call":
          if (isGo) this.startBall(nowMs);
          return [];
        case "ball":
        case "do":
          return this.paletteKey(nowMs, key);
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
        case "shadow":
        case "own":
          return this.ownKey(nowMs, key);
        case "feedback":
          if (key === "h") this.state = { is: "feedback", untilMs: null };
        // falls through
        case "between":
          return isGo ? this.advance(nowMs) : [];
        case "over":
          if (isGo) return this.finish();
          if (key !== "m") return [];
          this.limitMs += this.script.durations.more_ms;
          this.pausedMs += Math.max(0, nowMs - state.atMs);
          return this.advance(nowMs);
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

    /** What is left of the minutes, whole seconds. */
    leftS(nowMs) {
      if (this.limitMs === null) return null;
      const { is, atMs } = this.state;
      const untilMs = is === "paused" || is === "over" ? atMs : nowMs;
      const playedMs = this.beganMs === null ? 0 : Math.max(0, untilMs - this.beganMs - this.pausedMs);
      return Math.ceil(Math.max(0, this.limitMs - playedMs) / 1000);
    }

    advance(nowMs) {
      const wasFeedback = this.state.is === "feedback";
      this.judgeGate();
      const hasLimit = this.beganMs !== null && this.limitMs !== null;
      const playedMs = Math.max(0, Math.max(0, nowMs - this.beganMs) - this.pausedMs);
      if (this.queue.length === 0 && this.limitMs !== null) {
        this.queue = this.script.balls.slice(this.script.again_from);
      }
      const next = this.queue[0];
      if (!next) return this.finish();
      if (hasLimit && playedMs >= this.limitMs) {
        this.state = { is: "over", atMs: nowMs };
        return [];
      }
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
      const percent = this.script.gate_percent;
      if (percent === null) return;
      const isPast = this.queue.length === 0 || this.queue[0].part !== "gate";
      if (this.gate || !isPast || this.beganMs === null) return;
      const gate = this.taken.filter((one) => one.part === "gate" && counts(one));
      const inWindow = gate.filter(isClean).length;
      const isOpen = gate.length > 0 && inWindow * 100 >= gate.length * percent;
      this.gate = { in_window: inWindow, of: gate.length, is_open: isOpen };
      if (!isOpen) {
        this.queue = this.queue
          .filter((ball) => ball.part === "before")
          .map((ball) => ({ ...ball, part: "plain", call: null }));
      }
    }

    pause(nowMs) {
      const is = this.state.is;
      if (is === "over") return this.finish();
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
        case "over":
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
      if (this.state.is === "target") {
        this.state = { is: "stroke", sinceMs: this.state.sinceMs };
        return [];
      }
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
      if (this.state.is !== "paused" && this.state.is !== "over") said.push(...this.advance(nowMs));
      return said;
    }

    finish() {
      if (this.isDone()) return [];
      this.state = { is: "done" };
      this.current = null;
      return [{ done: true }];
    }

    // ---- answers

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
        built: [state.stroke, cell],
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

    ownKey(nowMs, key) {
      const windowMs = this.script.durations.shadow_ms;
      const own = { y: 0, 1: 0, l: 1, 2: 1, n: 2, 3: 2 }[key];
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
        built: given.built || null,
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
          !this.repaired.includes(ball.serve);
        if (isAgain) {
          this.repaired.push(ball.serve);
          this.insertLater(ball, this.script.repair_after);
        }
      }
      const durations = this.script.durations;
      const lastsMs = isClean(taken) || isLet ? durations.feedback_ms : isRecalled(taken) ? durations.long_feedback_ms : null;
      this.taken.push(taken);
      // What was wrong is read, however long that takes.
      this.state = { is: "feedback", untilMs: lastsMs === null ? null : nowMs + lastsMs };
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
      if (how === "snap") fact.tempo = this.tempo.permille;
      fact.input = this.input;
      if (this.isShown) fact.shown = true;
      if (isLet) fact.let = true;
      const isStage = ball.part === "before" || ball.part === "after" || ball.part === "back";
      if (isStage && this.script.gate_percent !== null) {
        const old = this.old(ball.serve, ball.part);
        fact.switch = { name: this.script.switches[0].name, stage: ball.part };
        if (old !== null) fact.switch.old = receive(old);
      }
      return fact;
    }
  }

  return Playing;
})();
