// Rounds of the player's own film: which mark comes next, where it goes black, when answers look learnt by heart. No
// document, no clock, no storage; times are whole milliseconds.
"use strict";

const SecondballFilm = (() => {
  /** Milliseconds from contact to black, from easy to hard. */
  const CUTS = [200, 100, 0, -100];
  /** The film runs so long before contact. */
  const LEAD_MS = 1500;
  /** So many right in time in a row make the cut earlier. */
  const RUN = 3;
  /** So many answers in a row to one lonely mark, all right, may be memory of the clip. */
  const BY_HEART = 6;

  /** Where film goes black: earlier after three right in a row, later after a wrong one. */
  class Ladder {
    constructor(step) {
      this.step = Math.min(Math.max(step || 0, 0), CUTS.length - 1);
      this.run = 0;
    }

    get cutMs() {
      return CUTS[this.step];
    }

    answered(isRight) {
      this.run = isRight ? this.run + 1 : 0;
      if (!isRight) this.step = Math.max(0, this.step - 1);
      else if (this.run >= RUN) {
        this.run = 0;
        this.step = Math.min(CUTS.length - 1, this.step + 1);
      }
    }
  }

  /** `count` of these marks in random order, none twice in a row; all come before one comes again. */
  function order(marks, count, random) {
    const found = [];
    let left = [];
    while (found.length < count && marks.length > 1) {
      if (left.length === 0) left = marks.slice();
      const last = found[found.length - 1];
      const open = left.filter((mark) => mark !== last);
      if (open.length === 0) {
        left = marks.slice();
        continue;
      }
      const next = open[Math.floor(random() * open.length)];
      left.splice(left.indexOf(next), 1);
      found.push(next);
    }
    return found;
  }

  /** The marks that can be asked for: of serves that have a receive in this script. */
  function askable(script, marks) {
    const serves = script.serves.map((cue) => cue.serve);
    return marks.filter((mark) => serves.includes(mark.serve));
  }

  /** A round of film from a round of the same serves: window and pad stay, no ball is drawn. */
  function scriptOf(script, marks) {
    const serves = script.serves.map((cue) => ({ ...cue, frames: [], changed: null, under: null, right_days: 0 }));
    return {
      ...script,
      how: "snap",
      has_words: false,
      serves,
      gate_percent: null,
      limit_ms: null,
      balls: marks.map((mark) => ({
        serve: script.serves.findIndex((cue) => cue.serve === mark.serve),
        toss_ms: Math.min(LEAD_MS, mark.at_ms),
        part: "plain",
        call: null,
        reading: null,
        of_turn: 0,
        switch: null,
      })),
      tempo: { ...script.tempo, is_fixed: true, start_permille: 1000, first_eased_permille: 0 },
    };
  }

  /** Serves with one mark whose last answers were all right: the clip may be known by heart. */
  function byHeart(marks, answers) {
    const of = new Map();
    for (const mark of marks) of.set(mark.serve, (of.get(mark.serve) || 0) + 1);
    return [...of].filter(([serve, many]) => {
      const own = answers.filter((one) => one.serve === serve && !one.let).slice(-BY_HEART);
      return many === 1 && own.length === BY_HEART && own.every((one) => one.given === undefined);
    }).map(([serve]) => serve);
  }

  return { CUTS, LEAD_MS, Ladder, askable, byHeart, order, scriptOf };
})();

if (typeof globalThis !== "undefined") globalThis.SecondballFilm = SecondballFilm;
