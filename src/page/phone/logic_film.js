// Rounds of the player's own film: which mark comes next, where it goes black, when answers look learnt by heart. No
// document, no clock, no storage; times are whole milliseconds.
"use strict";

const SecondballFilm = (() => {
  /** Milliseconds from contact to black, from easy to hard. */
  const CUTS = [200, 100, 0, -100];
  /** The film runs so long before contact, and so long at least before it goes black. */
  const LEAD_MS = 1500;
  const LEAST_MS = 300;
  /** So many right in time in a row make the cut earlier. */
  const RUN = 3;
  /** So many answers in a row to one lonely mark, all right, may be memory of the clip. */
  const BY_HEART = 6;
  /** After so many right days a serve is asked by its flight alone. */
  const FLIGHT_ALONE = 2;

  /** The cuts that a film of this length and these frames can show of a contact: two frames apart. */
  function cutsOf(atMs, { ms, frame_ms: frameMs }) {
    const filmed = CUTS.filter((cut) => atMs + cut >= LEAST_MS && !(atMs + cut > ms));
    const apart = (found, cut) => (found.length > 0 && found[found.length - 1] - cut < 2 * (frameMs || 0) ? found : [...found, cut]);
    return filmed.reduce(apart, []);
  }

  /** Why a film cannot show every cut of a contact: `early`, `late` or `coarse`; null where it can. */
  function lacks(atMs, film) {
    if (atMs + CUTS[CUTS.length - 1] < LEAST_MS) return "early";
    if (atMs + CUTS[0] > film.ms) return "late";
    return cutsOf(atMs, film).length < CUTS.length ? "coarse" : null;
  }

  /** Where film goes black: earlier after three right in a row, later after a wrong one; only at `cuts`. */
  class Ladder {
    constructor(step, cuts = CUTS) {
      this.steps = CUTS.map((_, nth) => nth).filter((nth) => cuts.includes(CUTS[nth]));
      const next = this.steps.findIndex((nth) => nth >= (step || 0));
      this.place = next < 0 ? this.steps.length - 1 : next;
      this.run = 0;
    }

    get step() {
      return this.steps[this.place];
    }

    get cutMs() {
      return CUTS[this.step];
    }

    /** Of these cuts the one asked for, or the next easier one, or the next harder. */
    cutOf(cuts) {
      const easier = cuts.filter((cut) => cut >= this.cutMs);
      return easier.length > 0 ? Math.min(...easier) : Math.max(...cuts);
    }

    /** An answer at another cut than the one asked for moves nothing. */
    answered(isRight, cutMs) {
      if (cutMs !== this.cutMs) return;
      this.run = isRight ? this.run + 1 : 0;
      if (!isRight) this.place = Math.max(0, this.place - 1);
      else if (this.run >= RUN) {
        this.run = 0;
        this.place = Math.min(this.steps.length - 1, this.place + 1);
      }
    }
  }

  /**
   * `count` of these marks in random order, none twice in a row; all come before one comes again. Every other time
   * a twin that is left comes next.
   */
  function order(marks, count, random, areTwins = () => false) {
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
      const twins = last && random() < 0.5 ? open.filter((mark) => areTwins(mark.serve, last.serve)) : [];
      const among = twins.length > 0 ? twins : open;
      const next = among[Math.floor(random() * among.length)];
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

  /** Whether two serves of a script look alike. */
  const areTwins = (script) => (one, other) => {
    const cue = script.serves.find((of) => of.serve === one);
    return cue !== undefined && cue.twin !== null && script.serves[cue.twin].serve === other;
  };

  /** The marks of serves that film comes next for: a script's that are asked by their flight alone. */
  const due = (script, marks) => marks.filter((mark) => script.serves.some((cue) => cue.serve === mark.serve && cue.right_days >= FLIGHT_ALONE));

  /** A round of film from a round of the same serves: window and pad stay, no ball is drawn. */
  function scriptOf(script, marks) {
    const serves = script.serves.map((cue) => ({ ...cue, frames: [], changed: null, under: null, right_days: 0 }));
    return {
      ...script,
      how: "snap",
      is_film: true,
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

  return { Ladder, areTwins, askable, byHeart, cutsOf, due, lacks, order, scriptOf };
})();

if (typeof globalThis !== "undefined") globalThis.SecondballFilm = SecondballFilm;
