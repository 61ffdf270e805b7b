// Films: choosing one, what is marked in it, and the round out of it. The film under the hands is `page_marks.js`'s.
"use strict";

const Film = (() => {
  const root = document.getElementById("film");
  const BALLS = 20;
  /** A ball of film takes so long, milliseconds: it runs, is answered, runs on. */
  const BALL_MS = 5000;
  const LARGE = 200 * 1024 * 1024;
  /** So long a film is played to measure its frames. */
  const MEASURED_MS = 700;
  let clips = [];
  let opened = null;
  let edited = null;
  let said = "";

  const megabytes = (bytes) => (bytes < 1e9 ? `${(bytes / 1048576).toFixed(bytes < 10485760 ? 1 : 0)} MB` : `${(bytes / 1073741824).toFixed(1)} GB`);
  const [head, edit, rest] = ["div", "div", "div"].map((name) => el(name));
  const told = el("p", { id: "film-said", class: "told", role: "status" });

  const after = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });
  const heard = (video, name) => new Promise((resolve) => { video.addEventListener(name, () => resolve(true), { once: true }); });

  /** The shorter steps from frame to frame while a film plays, milliseconds: a frame left out does not count. */
  async function frameOf(video) {
    if (!video.requestVideoFrameCallback) return null;
    const times = [];
    const look = (_, frame) => {
      times.push(frame.mediaTime * 1000);
      video.requestVideoFrameCallback(look);
    };
    video.requestVideoFrameCallback(look);
    await Promise.race([video.play().then(() => after(MEASURED_MS)), after(2 * MEASURED_MS)]).catch(() => {});
    video.pause();
    const steps = times.slice(1).map((at, nth) => at - times[nth]).filter((step) => step > 0).sort((a, b) => a - b);
    return steps.length < 3 ? null : Math.round(steps[Math.floor(steps.length / 4)]);
  }

  /** How long a film is and how long a frame of it, milliseconds; null for what the browser cannot show. */
  async function measured(film) {
    const video = el("video", { muted: true, playsinline: true, preload: "auto" });
    const own = URL.createObjectURL(film);
    video.muted = true;
    video.src = own;
    try {
      const isFilm = await Promise.race([heard(video, "loadeddata"), heard(video, "error").then(() => false), after(15000).then(() => false)]);
      if (!isFilm || video.videoWidth === 0) return null;
      const frame_ms = await frameOf(video);
      // A film from a browser's own recorder does not say how long it is before its end was sought.
      if (!Number.isFinite(video.duration)) {
        const sought = heard(video, "seeked");
        video.currentTime = Number.MAX_SAFE_INTEGER;
        await Promise.race([sought, after(3000)]);
      }
      const lastS = Number.isFinite(video.duration) ? video.duration : video.currentTime;
      return { ms: Math.round(lastS * 1000), frame_ms };
    } finally {
      video.removeAttribute("src");
      video.load();
      URL.revokeObjectURL(own);
    }
  }

  async function take(files) {
    for (const film of files) {
      const room = await Clips.room();
      if (room && film.size > room.quota - room.usage) {
        tell(`${film.name}: ${megabytes(film.size)} do not fit; this browser has ${megabytes(room.quota - room.usage)} left. Cut the film to the serves.`);
        continue;
      }
      tell(`${film.name}: a moment.`);
      const found = await measured(film);
      if (!found) {
        tell(`${film.name} is no film that this browser can show.`);
        continue;
      }
      const clip = { id: `${Keep.sitting()}-${Date.now()}-${clips.length}`, name: film.name, size: film.size, added: Date.now(), film, ...found, marks: [] };
      const trouble = await Clips.put(clip, true);
      const large = film.size > LARGE ? ` ${megabytes(film.size)}: a shorter one leaves room for others.` : "";
      said = (trouble || `${film.name} is kept in this browser.`) + large;
      opened = clip.id;
    }
    await read();
    const frame = document.getElementById("film-frame");
    if (!frame) return;
    edit.scrollIntoView();
    frame.focus({ preventScroll: true });
  }

  async function read() {
    clips = await Clips.all();
    if (!clips.some((clip) => clip.id === opened)) opened = null;
    await draw();
  }

  function tell(text) {
    said = text;
    told.textContent = text;
  }

  // ---- marks

  const now = () => clips.find((clip) => clip.id === opened);
  /** What this device is called at home. */
  const device = () => (Keep.get("state") || {}).device || (window.matchMedia("(pointer: coarse)").matches ? "phone" : "laptop");

  async function keep(clip, words) {
    said = (await Clips.put(clip)) || words;
    await read();
  }

  async function mark(one) {
    const clip = now();
    const cuts = SecondballFilm.cutsOf(one.at_ms, clip);
    const black = cuts.map(Marks.cutWords).join(", ");
    const why = { early: "there is too little film before it", late: "the film ends", coarse: `it has a frame only every ${clip.frame_ms / 1000} s` }[SecondballFilm.lacks(one.at_ms, clip)];
    if (cuts.length === 0) {
      tell(`Not marked: ${why}.`);
      return;
    }
    if (clip.marks.some((other) => other.at_ms === one.at_ms && other.serve === one.serve)) {
      tell("Marked already.");
      return;
    }
    const event = one.serve ? Keep.add({ k: "seen", deck: one.deck, serve: one.serve, times: 1, film: true, on: device() }) : null;
    clip.marks.push({ ...one, cuts, event });
    clip.marks.sort((a, b) => a.at_ms - b.at_ms);
    await keep(clip, why ? `Marked. It goes black ${black} only: ${why}.` : "Marked.");
  }

  async function unmark(place) {
    const clip = now();
    const [gone] = clip.marks.splice(place, 1);
    if (gone.event) Keep.undo(gone.event);
    await keep(clip, "Taken back.");
  }

  async function cut(place, ms) {
    const clip = now();
    const one = clip.marks[place];
    const isOn = one.cuts.includes(ms);
    if (isOn && one.cuts.length === 1) {
      tell("One must stay: take the mark back instead.");
      return;
    }
    one.cuts = SecondballFilm.cutsOf(one.at_ms, clip).filter((other) => (other === ms ? !isOn : one.cuts.includes(other)));
    await keep(clip, `It goes black ${one.cuts.map(Marks.cutWords).join(", ")}.`);
    const again = document.querySelectorAll("#film-marks li")[place];
    if (again) again.querySelector(`[data-cut="${ms}"]`).focus();
  }

  async function remove() {
    const clip = now();
    for (const one of clip.marks) if (one.event) Keep.undo(one.event);
    await Clips.remove(clip.id);
    said = `${clip.name} is deleted.`;
    await read();
  }

  /** All marks of an opponent, each with its film. */
  const marksOf = (deck) =>
    clips.flatMap((clip) => clip.marks.filter((one) => one.deck === deck && one.serve).map((one) => ({ ...one, clip: clip.id, film: clip.film })));

  // ---- the round

  function scriptOf(opponent) {
    for (const round of opponent.rounds) {
      const script = Round.scriptOf(round.scripts[0]);
      if (script.how === "snap" && script.gate_percent === null) return script;
    }
    return null;
  }

  /** A round out of these marks; null where they are too few. */
  function roundOf(base, marks) {
    const serves = new Set(marks.map((one) => one.serve)).size;
    return serves < 2 ? null : { base, marks, serves, minutes: Math.ceil((BALLS * BALL_MS) / 60000) };
  }

  function wholeOf(opponent) {
    const base = scriptOf(opponent);
    return base ? roundOf(base, SecondballFilm.askable(base, marksOf(opponent.key))) : null;
  }

  /** What waits to be read on film: serves known by their flight alone, not read today. */
  async function waiting() {
    clips = await Clips.all();
    const today = Keep.standing().filter((one) => one.day === Keep.today() && one.fact.how === "film");
    return PAGE.opponents.flatMap((opponent) => {
      const whole = wholeOf(opponent);
      if (!whole || today.some((one) => one.fact.deck === opponent.key)) return [];
      const round = roundOf(whole.base, SecondballFilm.due(whole.base, whole.marks));
      return round ? [{ opponent, ...round }] : [];
    });
  }

  function play(opponent, { base, marks }, done) {
    const state = Keep.get("state") || {};
    const ladder = new SecondballFilm.Ladder((state.film || {})[opponent.key], marks.flatMap((one) => one.cuts));
    const order = SecondballFilm.order(marks, BALLS, Math.random, SecondballFilm.areTwins(base));
    const script = SecondballFilm.scriptOf(base, order);
    script.balls.forEach((ball, place) => { ball.film = place; });
    const reel = new Reel(order, ladder);
    Round.showFilm(script, reel, () => {
      const state = Keep.get("state") || {};
      Keep.put("state", { ...state, film: { ...state.film, [opponent.key]: ladder.step } });
      const answers = Keep.standing().map((one) => one.fact).filter((fact) => fact.how === "film" && fact.deck === opponent.key);
      const known = SecondballFilm.byHeart(marks, answers);
      if (reel.lost && reel.lost.isBarred) said = "This browser lets no film run by itself now: switch off its power saving.";
      else if (reel.lost) {
        opened = reel.lost.clip;
        said = "This browser cannot read the film any more: delete it and choose it again.";
      } else said = known.length > 0
        ? `${known.map((serve) => Marks.nameOf(opponent.key, serve)).join(", ")}: one clip, all right: perhaps you know the clip. Film two more.`
        : `Next time it goes black ${Marks.cutWords(ladder.cutMs)}${ladder.cutMs === 0 ? "" : " contact"}.`;
      done();
    });
  }

  // ---- drawing

  function roundRow(opponent) {
    const marked = marksOf(opponent.key).length;
    if (marked === 0) return null;
    const round = wholeOf(opponent);
    if (!round) return el("p", { text: `${opponent.name}: ${marked} marked. A round needs two serves that have a receive.` });
    return el("button", { type: "button", class: "deed wide", "data-film": opponent.key, text: `Read ${opponent.name}: ${round.serves} serves, ${round.minutes} minutes`, onclick: () => play(opponent, round, read) });
  }

  async function draw() {
    const room = await Clips.room();
    const choose = el("input", { type: "file", id: "film-file", accept: "video/*", multiple: true });
    choose.addEventListener("change", () => take([...choose.files]));
    const clip = now();
    if (root.childElementCount === 0) root.append(head, told, edit, rest);
    told.textContent = said;
    const parts = (...some) => some.flat().filter((part) => part !== null);
    head.replaceChildren(...parts(
      el("p", { class: "quiet", text: "Film only where it is allowed, children never without their parents' leave. Films stay in this browser; nothing is sent." }),
      el("label", { for: "film-file", text: "Choose a film of their serves" }),
      choose));
    // The film stays where it was stopped, whatever is marked in it.
    if (edited !== opened) {
      edited = opened;
      if (!clip) Marks.letGo();
      edit.replaceChildren(...parts(clip ? Marks.editor(clip, { mark, remove, close: () => { opened = null; draw(); } }) : null));
    }
    if (clip) edit.querySelector("#film-marks").replaceChildren(...Marks.list(clip, { unmark, cut }));
    const name = el("input", { type: "text", id: "film-device", maxlength: 24, value: device() });
    name.addEventListener("change", () => Keep.put("state", { ...Keep.get("state"), device: name.value.trim() }));
    rest.replaceChildren(...parts(
      PAGE.opponents.map(roundRow),
      clips.length > 0 ? el("ul", { class: "films" }, clips.map((one) => el("li", {},
        el("button", { type: "button", text: `${one.name}, ${one.marks.length} marked, ${megabytes(one.size)}`, onclick: () => { opened = one.id; draw(); } })))) : null,
      clips.length > 0 && room ? el("p", { class: "quiet", text: `${megabytes(room.usage)} of ${megabytes(room.quota)} used.` }) : null,
      clips.length > 0 ? [el("label", { for: "film-device", text: "At home this device is called" }), name] : null));
  }

  return { draw: read, play, waiting };
})();
