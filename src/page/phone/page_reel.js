// A round of film on the screen: runs the clip from before contact, goes black at the cut, tells the machine when
// contact was, and runs on after the answer. It decides nothing about answers.
"use strict";

class Reel {
  /** `marks` with their clips' films; `ladder` says where it goes black. */
  constructor(marks, ladder) {
    this.marks = marks;
    this.ladder = ladder;
    this.cutMs = ladder.cutMs;
    this.state = null;
    this.mark = null;
    /** The clip that could not be read, or that the browser does not let run; `onLost` ends the round. */
    this.lost = null;
    this.onLost = () => {};
    this.urls = new Map();
    this.video = el("video", { muted: true, playsinline: true, preload: "auto", "aria-label": "Film" });
    this.video.muted = true;
    this.dark = el("div", { class: "dark" });
    this.time = el("i", { "aria-hidden": "true" });
    this.box = el("div", { class: "reel" }, this.video, this.dark, this.time);
  }

  urlOf(mark) {
    if (!this.urls.has(mark.clip)) this.urls.set(mark.clip, URL.createObjectURL(mark.film));
    return this.urls.get(mark.clip);
  }

  /** Puts the film where the table is drawn. */
  mount(court) {
    court.append(this.box);
  }

  close() {
    this.state = null;
    this.video.pause();
    this.video.removeAttribute("src");
    this.video.load();
    for (const url of this.urls.values()) URL.revokeObjectURL(url);
    this.box.remove();
  }

  /** Follows the machine: a new ball runs its clip; after the answer it runs on. `nowMs` is the machine's clock. */
  follow(machine, nowMs) {
    if (machine.state === this.state) return;
    this.state = machine.state;
    for (const bar of this.time.getAnimations()) bar.cancel();
    if (machine.state.is === "ball") this.run(machine, nowMs);
    else if (machine.state.is === "feedback" && this.mark) {
      this.light(true);
      this.video.play().catch(() => {});
    } else {
      this.video.pause();
      this.light(false);
    }
  }

  light(isOn) {
    this.dark.hidden = isOn;
  }

  once(name) {
    return new Promise((resolve, reject) => {
      const clean = () => {
        this.video.removeEventListener(name, good);
        this.video.removeEventListener("error", bad);
      };
      const good = () => { clean(); resolve(); };
      const bad = () => { clean(); reject(new Error("no film")); };
      this.video.addEventListener(name, good);
      this.video.addEventListener("error", bad);
    });
  }

  async run(machine, nowMs) {
    const state = machine.state;
    const ball = machine.current;
    const mark = this.marks[ball.film];
    this.mark = mark;
    this.cutMs = this.ladder.cutOf(mark.cuts);
    this.light(false);
    // Until the first frame is there nobody knows when contact is.
    state.contactMs = nowMs() + 60000;
    const fromS = (mark.at_ms - ball.toss_ms) / 1000;
    try {
      const url = this.urlOf(mark);
      if (this.video.src !== url) {
        this.video.src = url;
        await this.once("loadeddata");
      }
      this.video.pause();
      this.video.style.transform = transformOf(mark);
      if (Math.abs(this.video.currentTime - fromS) > 0.0005) {
        const sought = this.once("seeked");
        this.video.currentTime = fromS;
        await sought;
      }
      if (this.state !== state) return;
      this.light(true);
      await this.video.play();
    } catch (error) {
      if (this.state !== state) return;
      this.lost = { clip: mark.clip, isBarred: error.name === "NotAllowedError" };
      this.onLost();
      return;
    }
    this.watch(state, mark, nowMs, machine.windowMs());
  }

  /** Frame by frame: when contact is, and black in time; from contact a bar says how much of the window is left. */
  watch(state, mark, nowMs, windowMs) {
    const cutAtMs = mark.at_ms + this.cutMs;
    let isKnown = false;
    const black = () => {
      if (this.state !== state) return;
      this.light(false);
      this.video.pause();
    };
    const seen = (mediaMs) => {
      if (this.state !== state) return false;
      if (!isKnown) {
        isKnown = true;
        const leftMs = mark.at_ms - mediaMs;
        state.contactMs = Math.round(nowMs() + leftMs);
        this.time.animate([{ transform: "scaleX(1)" }, { transform: "scaleX(0)" }], { delay: Math.max(0, leftMs), duration: windowMs });
      }
      const left = cutAtMs - mediaMs;
      // The last frame that is whole before the cut: a timer may come late, so it is set a little early.
      if (left <= 16) {
        black();
        return false;
      }
      if (left < 60) setTimeout(black, left - 12);
      return true;
    };
    if (this.video.requestVideoFrameCallback) {
      const next = (_, frame) => {
        if (seen(frame.mediaTime * 1000)) this.video.requestVideoFrameCallback(next);
      };
      this.video.requestVideoFrameCallback(next);
      // A film with few frames, or a hidden page: the clock stops it all the same.
      setTimeout(() => seen(this.video.currentTime * 1000), 250);
    }
    const byClock = () => {
      if (this.state !== state || this.video.paused) return;
      if (this.video.currentTime * 1000 >= cutAtMs) black();
      else requestAnimationFrame(byClock);
    };
    if (!this.video.requestVideoFrameCallback) seen(this.video.currentTime * 1000);
    requestAnimationFrame(byClock);
  }

  /** An answer as it is kept: how, and where it went black; the next cut follows from it. */
  taken(answer) {
    if (!answer.let) this.ladder.answered(answer.given === undefined && answer.ms <= answer.window, this.cutMs);
    return { ...answer, how: "film", cut: this.cutMs };
  }
}

/** Enlarged, moved and mirrored as the mark says. */
function transformOf(mark) {
  const { scale, x, y } = mark.view || { scale: 1, x: 0, y: 0 };
  return `translate(${x * 100}%, ${y * 100}%) scale(${mark.mirrored ? -scale : scale}, ${scale})`;
}
