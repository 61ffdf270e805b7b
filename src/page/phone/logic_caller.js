// The caller of a session at the table: counts a launcher's balls, blocks, rests, calls, results. It knows no
// clock, no voice and no storage; the session was written at home.
"use strict";

const SecondballCaller = (() => {
  /** From a ball's leaving to the moment its answer may be shown, at most: it has been played by then. */
  const PLAYED_MS = 2000;

  /** Balls counted one by one; `delayMs` is the time between starting and the first ball. */
  class Caller {
    constructor(session, delayMs) {
      this.session = session;
      this.delayMs = delayMs;
      this.block = 0;
      this.ball = 0;
      this.out = null;
      this.state = { is: "ready" };
      // By block and ball, `2/14`.
      this.results = {};
      this.skips = {};
      // What was done, newest last, so that it can be taken back.
      this.deeds = [];
    }

    /** Where the session stands, to be kept. */
    place() {
      const isBegun = !["ready", "resting", "done"].includes(this.state.is);
      const { block, ball, results, skips, deeds } = this;
      return { block, ball, is_begun: isBegun, is_ending: this.state.is === "ending", is_done: this.state.is === "done", results, skips, deeds };
    }

    /** A session gone on with where it was left: it waits, and the number of the next ball can be set. */
    static from(session, delayMs, place) {
      const caller = new Caller(session, delayMs);
      const { block, ball, results, skips, deeds } = place;
      Object.assign(caller, { block, ball, results, skips, deeds });
      if (place.is_begun && ball > 0) caller.out = { block, ball: ball - 1, atMs: -PLAYED_MS };
      if (place.is_ending) caller.state = { is: "ending" };
      else if (place.is_begun) caller.state = { is: "paused", why: "left", restMs: null };
      return caller;
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

    /**
     * What happened: `go`, `tick`, `skip`, `pause`, `hidden`, `next`, `made`, `missed`, `wrong`, `undo`, and while it
     * is paused `earlier` and `later`, which set the number of the next ball.
     */
    act(nowMs, what) {
      const said = this.pass(nowMs);
      const state = this.state;
      const isCounting = state.is === "running" || state.is === "waiting";
      if (what === "go") {
        if (state.is === "ready" || state.is === "resting") said.push(...this.begin(nowMs));
        else if (state.is === "paused") said.push(...this.resume(nowMs));
        else if (state.is === "waiting") said.push(...this.schedule(nowMs, this.delayMs, false));
      } else if (what === "skip" && state.is === "running") this.skip();
      else if ((what === "pause" || what === "hidden") && isCounting) {
        const restMs = state.is === "running" ? Math.max(0, state.dueMs - nowMs) : null;
        const why = what === "hidden" ? "hidden" : "asked";
        this.state = { is: "paused", why, restMs: what === "hidden" ? null : restMs };
      } else if ((what === "earlier" || what === "later") && state.is === "paused") {
        const last = this.current().balls.length - 1;
        this.ball = Math.min(Math.max(this.ball + (what === "later" ? 1 : -1), 0), last);
        this.out = this.ball > 0 ? { block: this.block, ball: this.ball - 1, atMs: nowMs - PLAYED_MS } : null;
        this.state = { ...state, restMs: null };
      } else if (what === "next" && state.is !== "done") said.push(...this.endBlock(nowMs));
      else if (what === "made" || what === "missed" || what === "wrong") said.push(...this.enter(what));
      else if (what === "undo") said.push(...this.takeBack(nowMs));
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
      this.out = { block: this.block, ball: this.ball, atMs: dueMs };
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

    /** A ball did not come: the same one is waited for once more. */
    skip() {
      const key = `${this.block}/${this.ball}`;
      this.skips[key] = (this.skips[key] || 0) + 1;
      this.deeds.push({ did: "skip", key });
      this.state = { ...this.state, dueMs: this.state.dueMs + this.gapMs(this.current().balls[this.ball]) };
    }

    /** On to the next block; one not begun is left out, and no rest is needed for it. */
    endBlock(nowMs) {
      const isLeftOut = this.state.is === "ready" || this.state.is === "resting";
      const restS = isLeftOut ? 0 : this.current().rest_s;
      if (isLeftOut) this.deeds.push({ did: "leave out", block: this.block });
      this.block += 1;
      this.ball = 0;
      this.out = null;
      if (!this.current()) {
        this.state = { is: "done" };
        return [{ say: "done" }];
      }
      if (isLeftOut) {
        if (this.state.is !== "resting") this.state = { is: "ready" };
        return [];
      }
      this.state = { is: "resting", untilMs: nowMs + restS * 1000 };
      return [{ say: "rest", seconds: restS }];
    }

    resume(nowMs) {
      const { restMs } = this.state;
      if (restMs === null) return this.schedule(nowMs, this.delayMs, false);
      this.state = { is: "running", dueMs: nowMs + restMs };
      return [];
    }

    /** What would be kept of the ball that is out; null when nothing is. */
    fact(key, result) {
      const [block, place] = key.split("/").map(Number);
      const ball = this.session.blocks[block].balls[place];
      const fact = { k: "ball", deck: this.session.deck, serve: ball.serve, right: ball.right, made: 0, missed: 0 };
      fact[result] = 1;
      return fact;
    }

    /** The result of the ball that is out; another one corrects it. */
    enter(result) {
      const out = this.out;
      if (!out) return [];
      const ball = this.session.blocks[out.block].balls[out.ball];
      if (ball.role !== "receive" || !ball.serve || !ball.right) return [];
      const key = `${out.block}/${out.ball}`;
      const was = this.results[key] || null;
      if (was === result) return [];
      this.deeds.push({ did: "enter", key, was });
      return this.put(key, result);
    }

    /** Puts a result in the place of what was there; what was kept of that is taken back. */
    put(key, result) {
      const said = [];
      if (this.results[key]) said.push({ undo: key });
      if (result === null) delete this.results[key];
      else {
        this.results[key] = result;
        said.push({ fact: this.fact(key, result), key });
      }
      return said;
    }

    /** Takes back what was done last, whatever it was. */
    takeBack(nowMs) {
      const deed = this.deeds.pop();
      if (!deed) return [];
      if (deed.did === "enter") return this.put(deed.key, deed.was);
      if (deed.did === "leave out") {
        this.block = deed.block;
        this.ball = 0;
        this.out = null;
        this.state = { is: "ready" };
        return [];
      }
      this.skips[deed.key] -= 1;
      const isWaitedFor = deed.key === `${this.block}/${this.ball}`;
      if (isWaitedFor && this.state.is === "running") {
        const dueMs = Math.max(nowMs, this.state.dueMs - this.gapMs(this.current().balls[this.ball]));
        this.state = { ...this.state, dueMs };
      }
      return [];
    }

    /** Results of this block, and balls that did not come. */
    tally() {
      const tally = { made: 0, missed: 0, wrong: 0, skipped: 0 };
      const own = `${this.block}/`;
      for (const [key, result] of Object.entries(this.results)) if (key.startsWith(own)) tally[result] += 1;
      for (const [key, times] of Object.entries(this.skips)) if (key.startsWith(own)) tally.skipped += times;
      return tally;
    }

    picture(nowMs) {
      const block = this.current();
      const state = this.state;
      const next = block ? block.balls[this.ball] || null : null;
      const out = this.out ? this.session.blocks[this.out.block].balls[this.out.ball] : null;
      const played = (balls) => balls.filter((ball) => ball.role !== "throw_away").length;
      const before = block ? block.balls.slice(0, this.ball) : [];
      return {
        is: state.is,
        why: state.why || null,
        block,
        block_number: this.block + 1,
        blocks: this.session.blocks.length,
        // Played balls: those let go have a count of their own.
        let_go: before.length - played(before),
        lets_go: block ? block.balls.length - played(block.balls) : 0,
        ball_number: played(before),
        balls: block ? played(block.balls) : 0,
        next,
        out,
        is_played: this.out !== null && nowMs - this.out.atMs >= Math.min(PLAYED_MS, (block.throw_ms * block.receive_every) / 2),
        entered: this.out ? this.results[`${this.out.block}/${this.out.ball}`] || null : null,
        due_ms: this.nextMs() === null ? null : Math.max(0, this.nextMs() - nowMs),
        tally: this.tally(),
        can_undo: this.deeds.length > 0,
      };
    }
  }

  return Caller;
})();
