// The rules the page's logic stands on: keys, scripts as they are packed, windows, tempo, results. No document, no
// clock, no storage; times are whole milliseconds.
"use strict";

const SecondballResults = (() => {
  // The rules of results; the same numbers stand in `memory::result` and a test holds them together.
  const LEAST_RAW_MS = 150;
  const SPARE_SHARE = 0.6;
  const SPARE_AFTER_DAYS = 3;
  const MENU = "123456789";
  const LETTERS = "qweasdzxc";
  // The depths of the rows of the square, far row first.
  const DEPTHS = ["long", "half-long", "short"];
  const DIGITS = "789456123";
  const SHADOW_KEYS = [["y", "played it"], ["l", "late"], ["n", "no"]];
  const PART_WORDS = {
    gate: "first, each serve once",
    before: "before the call",
    after: "after the call",
    back: "after switching back",
  };
  const GATE_CLOSED = "no switch yet: the plan first";
  const READING_WORDS = { tell: "by the tell", flight: "the whole flight", cut: "flight cut off", twins: "twins mixed" };

  /** Lane and depth of a cell of the square, in words. */
  function targetOf(lanes, cell) {
    return { lane: lanes[cell % 3].replace("_", " "), depth: DEPTHS[Math.floor(cell / 3)] };
  }

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
  const READINGS = [null, "tell", "flight", "cut", "twins"];

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
      serves: packed.serves.map(([place, days, isOld, isDue]) => {
        const cue = page.cues[place];
        const ofDay = { counted_days: days, has_recent_old_answer: isOld === 1, is_due: isDue === 1 };
        return { ...cue, ...ofDay, frames: frames(cue.frames) };
      }),
      palette: page.palettes[packed.palette],
      balls: packed.balls.map((ball) => ({
        serve: ball[0],
        toss_ms: ball[1],
        part: PARTS[ball[2] || 0],
        call: CALLS[ball[3] || 0],
        reading: READINGS[ball[4] || 0],
        of_turn: ball[5] || 0,
        switch: ball[6] ? ball[6] - 1 : null,
      })),
      tempo: page.tempos[packed.tempo],
      durations: page.durations[packed.durations],
    };
  }

  /**
   * The script with the right days of this phone on top of what home knew: what is known is said no more, and the
   * first answer of a day that was wrong brings the words back. `answers` are those home did not have.
   */
  function faded(script, answers, today) {
    const daysOf = (cue) => {
      const right = script.palette.choices[cue.right].receive;
      const isOwn = ({ deck, serve, right: other }) => deck === script.deck && serve === cue.serve && other === right;
      const firsts = new Map();
      for (const { day, fact } of answers) {
        const isCounted = fact.k === "answer" && !fact.let && !["read", "film"].includes(fact.how);
        if (isCounted && isOwn(fact) && !firsts.has(day)) firsts.set(day, fact);
      }
      let days = cue.right_days;
      for (const [day, { given, ms, window, how, shown }] of firsts) {
        const behaviour = { given: given === undefined ? "right" : "wrong", raw_ms: ms, window_ms: window, kind: how };
        if (shown) continue;
        if (outcome(behaviour, { counted_days: 0 }) === "wrong") days = 0;
        else if (day < today) days += 1;
      }
      return days;
    };
    return { ...script, serves: script.serves.map((cue) => ({ ...cue, right_days: daysOf(cue) })) };
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
      this.level = rules.start_permille;
      this.isFirst = rules.first_eased_permille > 0;
      this.streak = 0;
      this.wasHarder = null;
      this.reversals = [];
    }

    /** The present tempo; the first ball of a day is easier. */
    get permille() {
      if (!this.isFirst) return this.level;
      const eased = Math.floor((this.level * (1000 + this.rules.first_eased_permille) + 500) / 1000);
      return Math.min(eased, this.rules.most_permille);
    }

    /** The tempo that was reached: where it has settled, else where it stands. */
    get reached() {
      const late = this.reversals.slice(2);
      const even = late.slice(late.length % 2);
      if (even.length < 4) return this.level;
      const sum = even.reduce((all, one) => all + one, 0);
      return Math.floor((sum + Math.floor(even.length / 2)) / even.length);
    }

    copy() {
      return Object.assign(new Tempo(this.rules), this, { reversals: this.reversals.slice() });
    }

    answered(isSuccess) {
      const wasFirst = this.isFirst;
      this.isFirst = false;
      if (this.rules.is_fixed || wasFirst) return;
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
      if (this.wasHarder !== null && this.wasHarder !== isHarder) this.reversals.push(this.level);
      this.wasHarder = isHarder;
      const rules = this.rules;
      const step = this.reversals.length < 2 ? rules.step_permille : rules.fine_step_permille;
      const shrunk = 1000 - Math.min(step, 900);
      const next = isHarder
        ? Math.floor((this.level * shrunk + 500) / 1000)
        : Math.floor((this.level * 1000 + Math.floor(shrunk / 2)) / shrunk);
      this.level = Math.min(Math.max(next, rules.least_permille), rules.most_permille);
    }
  }

  /** The rules for somebody who stands at a tempo: on from there; only the first ball of a day is easier. */
  function resumed(rules, permille, isNewDay) {
    return {
      ...rules,
      start_permille: Math.min(Math.max(permille, rules.least_permille), rules.most_permille),
      step_permille: rules.fine_step_permille,
      first_eased_permille: isNewDay ? 150 : 0,
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

  return {
    LEAST_RAW_MS,
    LET,
    LETTERS,
    MENU,
    GATE_CLOSED,
    PART_WORDS,
    READING_WORDS,
    SHADOW_KEYS,
    Tempo,
    ballAt,
    cellOfKey,
    counts,
    faded,
    isClean,
    isRecalled,
    keyMs,
    keyTime,
    outcome,
    permille,
    resumed,
    targetOf,
    unpack,
    windowMs,
  };
})();
