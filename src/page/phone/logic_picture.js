// What there is to show of a round that is played: its picture at any time, and its summary.
"use strict";

const SecondballMachine = (() => {
  const { GATE_CLOSED, MENU, PART_WORDS, READING_WORDS, SHADOW_KEYS, ballAt, counts, isClean, isRecalled, permille, targetOf } =
    SecondballResults;

  /** The middle of sorted times, or half-way between the two in the middle; null when there is none. */
  function middleOf(times) {
    if (times.length === 0) return null;
    const half = Math.floor(times.length / 2);
    return times.length % 2 === 1 ? times[half] : Math.floor((times[half - 1] + times[half]) / 2);
  }

  /** A round: acts with their time go in, a picture and reports come out. */
  class Machine extends SecondballPlaying {

    phase(nowMs) {
      const state = this.state;
      if (state.is === "ball") return nowMs < state.contactMs ? "toss" : "flight";
      if (state.is === "what") return nowMs < state.contactMs ? "toss" : "what";
      return state.is;
    }

    isInPlay() {
      const is = this.state.is;
      return this.current !== null && is !== "feedback" && is !== "between" && is !== "paused" && is !== "over";
    }

    picture(nowMs) {
      const script = this.script;
      const phase = this.phase(nowMs);
      const ball = this.current;
      const counted = this.taken.filter(counts);
      const reading = ball ? ball.reading : null;
      const isAsked = !["ready", "call", "done", "paused", "over"].includes(phase);
      const isSeen = isAsked && phase !== "toss" && phase !== "between";
      const contactMs = this.state.contactMs === undefined ? null : this.state.contactMs;
      const inPlay = this.isInPlay() ? 1 : 0;
      return {
        phase,
        opponent: script.opponent,
        ball_number: Math.max(counted.length + inPlay, this.beganMs === null ? 0 : 1),
        balls: counted.length + this.queue.length + inPlay,
        due: script.serves.filter((cue) => cue.is_due).length,
        left_s: this.leftS(nowMs),
        in_window: counted.filter(script.how === "shadow" ? isRecalled : isClean).length,
        answers: counted.length,
        part: ball ? this.partShown(ball.part) : null,
        switch: script.gate_percent !== null && phase === "ready" ? script.switches[0].name : null,
        under: this.underShown(phase),
        of_turn: ball ? ball.of_turn : 0,
        words: ball && isSeen ? this.words(phase, ball) : null,
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
        stroke: phase === "target" ? script.palette.strokes[this.state.stroke] : null,
        feedback: phase === "feedback" ? this.feedback() : null,
        call: phase === "call" ? this.callCard() : null,
        shadow_answer:
          ball && phase === "own"
            ? script.palette.choices[this.right(ball.serve, ball.part)].shown
            : null,
        serves:
          phase === "ready"
            ? script.serves
                .filter((cue) => this.isShown || cue.under === null)
                .map((cue) => [
                  cue.under === null ? cue.short : `"${script.switches[cue.under[0]].name}": ${cue.short}`,
                  this.isShown ? script.palette.choices[cue.right].shown : "",
                ])
            : [],
      };
    }

    /**
     * How much of a ball is not said any more, as its pattern is known: 0 nothing, 1 all but the short word, 2 the
     * labels too. After a wrong answer everything is said again, and if it was the first of a day, on the next day too.
     */
    faded(serve) {
      if (!this.script.fades) return 0;
      const known = Math.min(this.script.serves[serve].right_days, 2);
      const own = this.taken.filter((one) => one.serve === serve && counts(one)).reverse();
      const right = own.slice(0, 2).findIndex((one) => !isRecalled(one) || one.gave !== "right");
      return right < 0 ? known : Math.min(known, right);
    }

    /** The serve in words, as far as they may be seen. */
    words(phase, ball) {
      const { how, has_words } = this.script;
      const cue = this.script.serves[ball.serve];
      const faded = this.faded(ball.serve);
      if (how === "snap") {
        if (!has_words) return null;
        if (faded === 2 && phase === "flight") return cue.is_alike ? cue.tell || cue.short : null;
        return faded > 0 ? cue.short : cue.words;
      }
      if (how === "shadow") return cue.short;
      if (how === "read" && phase !== "do" && phase !== "feedback") return ball.reading === "tell" ? cue.tell : null;
      return cue.words;
    }

    /** The switches that stand, as far as they are called. */
    underShown(phase) {
      const { gate_percent, switches, under } = this.script;
      const ball = phase === "call" ? null : this.current;
      const isCalled = ball && ball.part === "after" && gate_percent === null && ball.switch !== null;
      return isCalled ? switches[ball.switch].name : under;
    }

    /** The part of the round in words; after a gate that stayed shut, that there will be no call. */
    partShown(part) {
      if (part !== "plain") return this.script.gate_percent === null ? null : PART_WORDS[part];
      return this.gate && !this.gate.is_open ? GATE_CLOSED : null;
    }

    ballSeen(phase, nowMs, contactMs) {
      const ball = this.current;
      if (!ball || contactMs === null || (phase !== "flight" && phase !== "what")) return null;
      const tMs = nowMs - contactMs;
      if (tMs < 0) return null;
      if (ball.reading === "tell") return null;
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
      const open = this.open && this.open.of === this.state ? this.open.cell : null;
      const isFaded = how === "snap" && this.current !== null && this.faded(this.current.serve) === 2;
      return this.script.palette.choices.map((choice, place) => {
        const plain = choice.cell === open ? "open" : "plain";
        const mark = !last ? plain : place === right ? "right" : place === last.given ? "given" : "plain";
        // Two at one place keep their words.
        const label = isFaded && choice.parts === 1 && mark === "plain" ? "" : choice.label;
        return { cell: choice.cell, parts: choice.parts, keys: choice.keys, words: choice.shown, label, mark };
      });
    }

    menu(phase) {
      const lines = (words) =>
        words.slice(0, MENU.length).map((text, place) => ({ key: MENU[place], words: text }));
      if (phase === "stroke" || phase === "target") return lines(this.script.palette.strokes);
      if (phase === "what") return lines(this.script.serves.map((cue) => cue.short));
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
          wrong_bat: null,
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
      return {
        verdict: verdicts[last.gave] || last.outcome,
        is_right: isRecalled(last),
        is_let: false,
        right: choices[this.right(last.serve, last.part)].shown,
        given: last.gave === "right" ? null : this.givenShown(last),
        wrong_bat: this.wrongBat(last),
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

    /** What becomes of the ball, when what was given is right for the serve that looks like it. */
    wrongBat(last) {
      const cue = this.script.serves[last.serve];
      if (last.gave === "right" || last.given === null || cue.twin === null) return null;
      return last.given === this.script.serves[cue.twin].right ? cue.wrong_bat : null;
    }

    /** What was given, in words: a choice of the palette, or what a stroke and a target make. */
    givenShown(last) {
      const { choices, strokes, lanes } = this.script.palette;
      if (last.given !== null) return choices[last.given].shown;
      if (last.built === null) return null;
      const [stroke, cell] = last.built;
      const { lane, depth } = targetOf(lanes, cell);
      return `${strokes[stroke]}, ${depth} to the ${lane}`;
    }

    callCard() {
      const ball = this.current;
      const place = ball && ball.switch !== null ? ball.switch : 0;
      const round = this.script.switches[place];
      if (!ball || ball.call === null || !round) return null;
      const shown = (choice) => this.script.palette.choices[choice].shown;
      const changes = [];
      this.script.serves.forEach((cue, serve) => {
        const isOfDay = cue.under !== null && cue.under[0] === place;
        if (ball.call === "stay" || (!isOfDay && cue.changed === null)) return;
        const base = shown(isOfDay ? cue.under[1] : cue.right);
        // What is asked from memory is not shown before its first answer.
        const isHidden = cue.is_due && !this.taken.some((one) => one.serve === serve);
        const changed = isHidden ? "" : shown(isOfDay ? cue.right : cue.changed);
        changes.push(ball.call === "switch" ? [cue.short, base, changed] : [cue.short, changed, base]);
      });
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
            words: cue.short,
            receive: this.script.palette.choices[cue.right].shown,
            asked: own.length,
            right: right.length,
            in_window: own.filter(isClean).length,
            middle_ms: middleOf(times),
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
        tempo_permille: this.tempo.reached,
        gate: this.gate,
        is_interrupted: this.isInterrupted,
      };
    }
  }

  return Machine;
})();
