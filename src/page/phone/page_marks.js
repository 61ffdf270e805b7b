// One film under the player's hands: frame by frame to the contact, the serve named, where it may go black. What is
// kept and what is said is `page_film.js`'s.
"use strict";

const Marks = (() => {
  const RATES = [25, 30, 50, 60, 120, 240];
  let url = null;

  const button = (text, id, onclick) => el("button", { type: "button", id, text, onclick });
  const row = (...parts) => el("div", { class: "row" }, parts);
  const nameOf = (deck, serve) => (PAGE.opponents.find((one) => one.key === deck) || { serves: [] }).serves.find(([id]) => id === serve)?.[1] || serve || "not known";
  const cutWords = (cut) => (cut === 0 ? "at contact" : `${Math.abs(cut) / 1000} s ${cut > 0 ? "after" : "before"}`);

  function letGo() {
    if (url) URL.revokeObjectURL(url);
    url = null;
  }

  /** How many frames a second a film has: the usual number near what was measured. */
  function rateOf(frameMs) {
    if (!frameMs) return 30;
    const usual = RATES.find((rate) => Math.abs(1000 / rate - frameMs) < 100 / rate);
    return usual || Math.max(1, Math.round(1000 / frameMs));
  }

  /** Two fingers enlarge, one moves what is enlarged. */
  function pinched(frame, view, larger, set) {
    const fingers = new Map();
    const apart = () => {
      const [a, b] = [...fingers.values()];
      return b ? Math.hypot(a[0] - b[0], a[1] - b[1]) : 0;
    };
    frame.addEventListener("pointerdown", (event) => { fingers.set(event.pointerId, [event.clientX, event.clientY]); });
    for (const name of ["pointerup", "pointercancel", "pointerleave"]) frame.addEventListener(name, (event) => fingers.delete(event.pointerId));
    frame.addEventListener("pointermove", (event) => {
      if (!fingers.has(event.pointerId)) return;
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
  }

  /** The editor of a clip. `deeds`: `mark` with what was chosen, `close`, `remove`. */
  function editor(clip, deeds) {
    letGo();
    url = URL.createObjectURL(clip.film);
    const view = { scale: 1, x: 0, y: 0 };
    const video = el("video", { id: "film-video", playsinline: true, preload: "auto", "aria-label": `Film ${clip.name}` });
    video.muted = true;
    video.src = url;
    const time = el("output", { id: "film-time" });
    const told = () => { time.textContent = `${video.currentTime.toFixed(3)} s`; };
    for (const name of ["loadeddata", "timeupdate", "seeked"]) video.addEventListener(name, told);
    const rate = rateOf(clip.frame_ms);
    const rates = [...new Set([...RATES, rate])].sort((a, b) => a - b);
    const fps = el("select", { id: "film-fps" }, rates.map((one) => el("option", { value: one, text: `1/${one} s`, selected: one === rate })));
    const play = () => (video.paused ? video.play().catch(() => {}) : video.pause());
    const step = (way) => () => {
      video.pause();
      video.currentTime = Math.max(0, video.currentTime + way / Number(fps.value));
    };
    const slow = el("select", { id: "film-slow" }, [1, 0.5, 0.25].map((one) => el("option", { value: one, text: `${one} x` })));
    slow.addEventListener("change", () => { video.playbackRate = Number(slow.value); });
    const mirror = el("input", { type: "checkbox", id: "film-mirror" });
    const set = () => { video.style.transform = transformOf({ view, mirrored: mirror.checked }); };
    mirror.addEventListener("change", set);
    const larger = (by) => () => {
      view.scale = Math.min(4, Math.max(1, view.scale * by));
      if (view.scale === 1) view.x = view.y = 0;
      set();
    };
    const frame = el("div", { class: "film-frame", id: "film-frame", tabindex: "0", role: "group", "aria-label": "Film: left and right a frame, space plays and stops, Enter marks contact" }, video);
    pinched(frame, view, larger, set);
    const serve = el("select", { id: "film-serve" },
      el("option", { value: "", text: "not known" }),
      PAGE.opponents.map((opponent, place) => el("optgroup", { label: opponent.name }, opponent.serves.map(([id, words]) => el("option", { value: `${place}/${id}`, text: words })))));
    const note = el("input", { type: "text", id: "film-note", maxlength: 120 });
    const mark = () => {
      video.pause();
      const [place, ...id] = serve.value.split("/");
      const opponent = PAGE.opponents[Number(place) || 0];
      deeds.mark({ deck: opponent.key, serve: serve.value ? id.join("/") : null, at_ms: Math.round(video.currentTime * 1000), mirrored: mirror.checked, view: { ...view }, note: note.value.trim() });
      note.value = "";
    };
    const keys = { ArrowLeft: step(-1), ArrowRight: step(1), " ": play, Enter: mark, "+": larger(1.25), "-": larger(0.8) };
    frame.addEventListener("keydown", (event) => {
      if (!keys[event.key] || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      keys[event.key]();
    });
    const sure = el("div", { id: "film-sure", class: "note", hidden: true }, el("p", { text: `Delete ${clip.name} with its marks from this browser?` }),
      row(el("button", { type: "button", class: "deed", text: "Delete it", onclick: deeds.remove }), button("Keep it", "film-keep", () => { sure.hidden = true; })));
    return el("div", { class: "card", id: "film-edit" },
      el("h2", {}, clip.name, " ", time),
      frame,
      el("div", { class: "row thirds" }, button("Frame back", "film-back", step(-1)), button("Play, stop", "film-play", play), button("Frame on", "film-on", step(1))),
      el("p", { class: "quiet by-keys", text: "Keys on the film: left and right a frame, space plays and stops, Enter marks contact." }),
      row(el("label", { for: "film-serve", text: "Serve" }), serve),
      el("button", { type: "button", class: "deed", id: "film-mark", text: "Contact is in this frame", onclick: mark }),
      el("ul", { id: "film-marks" }),
      el("details", {}, el("summary", { class: "tap", text: "Frames, speed, size, note" }),
        row(el("label", { for: "film-fps", text: "A frame is" }), fps, el("label", { for: "film-slow", text: "Speed" }), slow),
        row(button("Larger", "film-larger", larger(1.25)), button("Smaller", "film-smaller", larger(0.8)), el("label", { for: "film-mirror" }, mirror, " Mirrored")),
        row(el("label", { for: "film-note", text: "Note" }), note)),
      row(button("Close", "film-close", deeds.close), button("Delete this film", "film-delete", () => {
        sure.hidden = false;
        sure.querySelector("button").focus();
      })),
      sure);
  }

  /** The marks of a clip, each with where it may go black. `deeds`: `unmark` and `cut` by place. */
  function list(clip, deeds) {
    return clip.marks.map((one, place) => el("li", {},
      el("div", { class: "row" },
        el("span", { class: "grow", text: `${(one.at_ms / 1000).toFixed(3)} s: ${nameOf(one.deck, one.serve)}${one.note ? ` (${one.note})` : ""}` }),
        el("button", { type: "button", class: "small", text: "Take back", onclick: () => deeds.unmark(place) })),
      el("div", { class: "row", role: "group", "aria-label": "Goes black" }, el("span", { class: "quiet", text: "Black" }),
        SecondballFilm.cutsOf(one.at_ms, clip).map((cut) => el("button", { type: "button", class: "small", "data-cut": cut, "aria-pressed": String(one.cuts.includes(cut)), text: cutWords(cut), onclick: () => deeds.cut(place, cut) })))));
  }

  return { cutWords, editor, letGo, list, nameOf };
})();
