// Films: choosing one, stepping to the frame of contact, naming the serve, and the round out of it.
"use strict";

const Film = (() => {
  const byId = (id) => document.getElementById(id);
  const RATES = [30, 60, 240];
  const BALLS = 20;
  const LARGE = 200 * 1024 * 1024;
  let clips = [];
  let opened = null;
  let said = "";
  let url = null;

  const megabytes = (bytes) => `${(bytes / 1048576).toFixed(bytes < 10485760 ? 1 : 0)} MB`;
  const nameOf = (opponent, serve) => opponent.serves.find(([id]) => id === serve)?.[1] || serve;

  function letGo() {
    if (url) URL.revokeObjectURL(url);
    url = null;
  }

  /** Whether the browser can show it. */
  function measured(film) {
    return new Promise((resolve) => {
      const probe = document.createElement("video");
      const own = URL.createObjectURL(film);
      const end = (result) => {
        URL.revokeObjectURL(own);
        resolve(result);
      };
      probe.muted = true;
      probe.preload = "metadata";
      probe.onloadedmetadata = () => end({ isFilm: probe.videoWidth > 0 });
      probe.onerror = () => end({ isFilm: false });
      probe.src = own;
    });
  }

  async function take(files) {
    for (const film of files) {
      const room = await Clips.room();
      if (room && film.size > room.quota - room.usage) {
        said = `${film.name}: ${megabytes(film.size)} do not fit; this browser has ${megabytes(room.quota - room.usage)} left. Cut the film to the serves.`;
        continue;
      }
      const { isFilm } = await measured(film);
      if (!isFilm) {
        said = `${film.name} is no film that this browser can show.`;
        continue;
      }
      const clip = { id: `${Keep.sitting()}-${Date.now()}-${clips.length}`, name: film.name, size: film.size, added: Date.now(), film, marks: [] };
      const trouble = await Clips.put(clip);
      const large = film.size > LARGE ? ` ${megabytes(film.size)}: a shorter one leaves room for others.` : "";
      said = (trouble || `${film.name} is kept in this browser.`) + large;
      opened = clip.id;
    }
    await read();
  }

  async function read() {
    clips = await Clips.all();
    if (!clips.some((clip) => clip.id === opened)) opened = null;
    await draw();
  }

  // ---- marks

  async function mark(clip, opponent, serve, video, view, isMirrored, note) {
    const at = Math.round(video.currentTime * 1000);
    const event = serve ? Keep.add({ k: "seen", deck: opponent.key, serve, times: 1, film: true }) : null;
    clip.marks.push({ deck: opponent.key, serve, at_ms: at, mirrored: isMirrored, view: { ...view }, note, event });
    clip.marks.sort((a, b) => a.at_ms - b.at_ms);
    said = (await Clips.put(clip)) || "Marked.";
    await read();
  }

  async function unmark(clip, place) {
    const [gone] = clip.marks.splice(place, 1);
    if (gone.event) Keep.undo(gone.event);
    said = (await Clips.put(clip)) || "Taken back.";
    await read();
  }

  async function remove(clip) {
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
      const script = SecondballLogic.unpack(PAGE, round.scripts[0]);
      if (script.how === "snap" && script.gate_percent === null) return script;
    }
    return null;
  }

  function play(opponent, base, marks) {
    const state = Keep.get("state") || {};
    const ladder = new SecondballFilm.Ladder((state.film || {})[opponent.key]);
    const order = SecondballFilm.order(marks, BALLS, Math.random);
    const script = SecondballFilm.scriptOf(base, order);
    script.balls.forEach((ball, place) => { ball.film = place; });
    const reel = new Reel(order, ladder);
    Round.showFilm(script, reel, () => {
      const now = Keep.get("state") || {};
      Keep.put("state", { ...now, film: { ...now.film, [opponent.key]: ladder.step } });
      const answers = Keep.standing().map((one) => one.fact).filter((fact) => fact.how === "film" && fact.deck === opponent.key);
      const known = SecondballFilm.byHeart(marks, answers);
      said = known.length > 0
        ? `${known.map((serve) => nameOf(opponent, serve)).join(", ")}: one clip, all right: perhaps you know the clip. Film two more.`
        : `Black ${ladder.cutMs >= 0 ? `${ladder.cutMs} ms after` : `${-ladder.cutMs} ms before`} contact is where you stand.`;
      read();
    });
  }

  // ---- drawing

  function roundsOf(opponent) {
    const base = scriptOf(opponent);
    const marks = base ? SecondballFilm.askable(base, marksOf(opponent.key)) : [];
    if (marks.length === 0) return null;
    const serves = new Set(marks.map((one) => one.serve)).size;
    if (marks.length < 2 || serves < 2) return el("p", { text: `${opponent.name}: ${marks.length} marked. A round needs two serves.` });
    return el("button", { type: "button", class: "deed", "data-film": opponent.key, text: `Read ${opponent.name}: ${serves} serves, ${marks.length} clips`, onclick: () => play(opponent, base, marks) });
  }

  function editor(clip) {
    letGo();
    url = URL.createObjectURL(clip.film);
    const view = { scale: 1, x: 0, y: 0 };
    const video = el("video", { id: "film-video", playsinline: true, preload: "auto", "aria-label": `Film ${clip.name}` });
    video.muted = true;
    video.src = url;
    const time = el("output", { id: "film-time" });
    const told = () => { time.textContent = `${video.currentTime.toFixed(3)} s`; };
    video.addEventListener("timeupdate", told);
    video.addEventListener("seeked", told);
    const fps = el("select", { id: "film-fps" }, RATES.map((rate) => el("option", { value: rate, text: `1/${rate} s` })));
    const step = (way) => () => {
      video.pause();
      video.currentTime = Math.max(0, video.currentTime + way / Number(fps.value));
    };
    const slow = el("select", { id: "film-slow" }, [1, 0.5, 0.25].map((rate) => el("option", { value: rate, text: `${rate} x` })));
    slow.addEventListener("change", () => { video.playbackRate = Number(slow.value); });
    const mirror = el("input", { type: "checkbox", id: "film-mirror" });
    const set = () => { video.style.transform = transformOf({ view, mirrored: mirror.checked }); };
    mirror.addEventListener("change", set);
    const larger = (by) => () => {
      view.scale = Math.min(4, Math.max(1, view.scale * by));
      if (view.scale === 1) view.x = view.y = 0;
      set();
    };
    const frame = el("div", { class: "film-frame" }, video);
    const fingers = new Map();
    frame.addEventListener("pointerdown", (event) => { fingers.set(event.pointerId, [event.clientX, event.clientY]); });
    for (const name of ["pointerup", "pointercancel", "pointerleave"]) frame.addEventListener(name, (event) => fingers.delete(event.pointerId));
    frame.addEventListener("pointermove", (event) => {
      if (!fingers.has(event.pointerId)) return;
      const apart = () => {
        const [a, b] = [...fingers.values()];
        return b ? Math.hypot(a[0] - b[0], a[1] - b[1]) : 0;
      };
      const before = apart();
      const was = fingers.get(event.pointerId);
      fingers.set(event.pointerId, [event.clientX, event.clientY]);
      const after = apart();
      if (before > 0 && after > 0) larger(after / before)();
      else if (view.scale > 1) {
        view.x += (event.clientX - was[0]) / frame.clientWidth;
        view.y += (event.clientY - was[1]) / frame.clientHeight;
        set();
      }
    });
    const serve = el("select", { id: "film-serve" },
      el("option", { value: "", text: "not known" }),
      PAGE.opponents.map((opponent, place) => el("optgroup", { label: opponent.name }, opponent.serves.map(([id, words]) => el("option", { value: `${place}/${id}`, text: words })))));
    const note = el("input", { type: "text", id: "film-note", maxlength: 120 });
    const add = () => {
      const [place, ...id] = serve.value.split("/");
      const opponent = PAGE.opponents[Number(place) || 0];
      mark(clip, opponent, serve.value ? id.join("/") : null, video, view, mirror.checked, note.value.trim());
    };
    const row = (...parts) => el("div", { class: "row" }, parts);
    const button = (text, id, onclick) => el("button", { type: "button", id, text, onclick });
    return el("div", { class: "card", id: "film-edit" },
      el("h2", { text: clip.name }),
      frame,
      row(button("Play or stop", "film-play", () => (video.paused ? video.play().catch(() => {}) : video.pause())), button("Frame back", "film-back", step(-1)), button("Frame on", "film-on", step(1)), time),
      row(el("label", { for: "film-fps", text: "A frame is" }), fps, el("label", { for: "film-slow", text: "Speed" }), slow),
      row(button("Larger", "film-larger", larger(1.25)), button("Smaller", "film-smaller", larger(0.8)), el("label", { for: "film-mirror" }, mirror, " Mirrored")),
      row(el("label", { for: "film-serve", text: "Serve" }), serve),
      row(el("label", { for: "film-note", text: "Note" }), note),
      el("button", { type: "button", class: "deed", id: "film-mark", text: "Contact is in this frame", onclick: add }),
      clip.marks.length > 0 ? el("ul", {}, clip.marks.map((one, place) => el("li", {},
        `${(one.at_ms / 1000).toFixed(3)} s: ${one.serve ? nameOf(PAGE.opponents.find((of) => of.key === one.deck) || { serves: [] }, one.serve) : "not known"}${one.note ? ` (${one.note})` : ""} `,
        el("button", { type: "button", class: "small", text: "Take back", onclick: () => unmark(clip, place) })))) : null,
      row(button("Close", "film-close", () => { opened = null; draw(); }), button("Delete this film", "film-delete", () => {
        byId("film-sure").hidden = false;
        byId("film-sure").querySelector("button").focus();
      })),
      el("div", { id: "film-sure", class: "note", hidden: true }, el("p", { text: `Delete ${clip.name} with its marks from this browser?` }),
        row(el("button", { type: "button", class: "deed", text: "Delete it", onclick: () => remove(clip) }), button("Keep it", "film-keep", () => { byId("film-sure").hidden = true; }))));
  }

  async function draw() {
    const room = await Clips.room();
    const choose = el("input", { type: "file", id: "film-file", accept: "video/*", multiple: true });
    choose.addEventListener("change", () => take([...choose.files]));
    const clip = clips.find((one) => one.id === opened);
    if (!clip) letGo();
    byId("film").replaceChildren(
      ...[
        el("p", { class: "quiet", text: "Film only where it is allowed, children never without their parents' leave. Films stay in this browser; nothing is sent." }),
        el("label", { for: "film-file", text: "Choose a film of their serves" }),
        choose,
        el("p", { id: "film-said", role: "status", text: said }),
        room ? el("p", { class: "quiet", text: `${megabytes(room.usage)} of ${megabytes(room.quota)} used.` }) : null,
        ...PAGE.opponents.map(roundsOf),
        clip ? editor(clip) : null,
        clips.length > 0 ? el("ul", { class: "films" }, clips.map((one) => el("li", {},
          el("button", { type: "button", text: `${one.name}, ${one.marks.length} marked, ${megabytes(one.size)}`, onclick: () => { opened = one.id; draw(); } })))) : null,
      ].filter((part) => part !== null),
    );
  }

  return { draw: read };
})();
