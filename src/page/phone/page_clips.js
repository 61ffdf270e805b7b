// The player's films: kept in this browser alone, in its own storage for large things. Nothing here leaves the page.
"use strict";

const Clips = (() => {
  const NAME = `secondball-film-${PAGE.home}`;
  const held = new Map();
  let base = null;
  let isKept = false;

  const done = (request) =>
    new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });

  /** Tried first: a film that could not be read again is not taken. */
  const ready = (async () => {
    try {
      const request = indexedDB.open(NAME, 1);
      request.onupgradeneeded = () => request.result.createObjectStore("clips", { keyPath: "id" });
      base = await done(request);
      const probe = { id: "probe", film: new Blob(["x"]) };
      await done(base.transaction("clips", "readwrite").objectStore("clips").put(probe));
      const back = await done(base.transaction("clips").objectStore("clips").get("probe"));
      isKept = back.film.size === 1;
      await done(base.transaction("clips", "readwrite").objectStore("clips").delete("probe"));
    } catch (_) {
      isKept = false;
    }
  })();

  async function all() {
    await ready;
    const kept = isKept ? await done(base.transaction("clips").objectStore("clips").getAll()) : [];
    return [...kept, ...held.values()].sort((a, b) => a.added - b.added);
  }

  /** Keeps a clip; gives what went wrong, or null. */
  async function put(clip) {
    await ready;
    if (isKept) {
      try {
        await done(base.transaction("clips", "readwrite").objectStore("clips").put(clip));
        held.delete(clip.id);
        return null;
      } catch (_) {
        held.set(clip.id, clip);
        return "This browser's storage is full: the film is held until the page is closed. Delete another one.";
      }
    }
    held.set(clip.id, clip);
    return "This browser keeps no films: it is held until the page is closed.";
  }

  async function remove(id) {
    held.delete(id);
    if (isKept) await done(base.transaction("clips", "readwrite").objectStore("clips").delete(id));
  }

  /** How much room there is, bytes: what is used and what the browser allows; null where it does not say. */
  async function room() {
    try {
      const { usage, quota } = await navigator.storage.estimate();
      return { usage, quota };
    } catch (_) {
      return null;
    }
  }

  return { all, put, remove, room };
})();
