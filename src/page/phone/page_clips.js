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

  /** Done once it is written: a film that does not fit is told of only then. */
  const changed = (act) =>
    new Promise((resolve, reject) => {
      const all = base.transaction(["clips", "films"], "readwrite");
      all.oncomplete = () => resolve();
      all.onabort = () => reject(all.error);
      act(all.objectStore("clips"), all.objectStore("films"));
    });

  const every = (store) => done(base.transaction(store).objectStore(store).getAll());

  /**
   * The stores: what is marked lies beside its film, which is written once. In the first version a film lay in its
   * clip, and every mark went black at every cut.
   */
  function upgraded({ result, transaction }) {
    for (const store of ["clips", "films"]) {
      if (!result.objectStoreNames.contains(store)) result.createObjectStore(store, { keyPath: "id" });
    }
    const [clips, films] = ["clips", "films"].map((store) => transaction.objectStore(store));
    clips.openCursor().onsuccess = ({ target: { result: cursor } }) => {
      if (!cursor) return;
      const { film, ...clip } = cursor.value;
      if (film && clip.marks) {
        const marks = clip.marks.map((one) => ({ cuts: SecondballFilm.cutsOf(one.at_ms, clip), ...one }));
        films.put({ id: clip.id, film });
        cursor.update({ ...clip, marks });
      }
      cursor.continue();
    };
  }

  /** Tried first: a film that could not be read again is not taken. */
  const ready = (async () => {
    try {
      const request = indexedDB.open(NAME, 2);
      request.onupgradeneeded = () => upgraded(request);
      base = await done(request);
      // A later page of another tab need not wait.
      base.onversionchange = () => base.close();
      await changed((_, films) => films.put({ id: "probe", film: new Blob(["x"]) }));
      const back = await done(base.transaction("films").objectStore("films").get("probe"));
      isKept = back.film.size === 1;
      await changed((_, films) => films.delete("probe"));
    } catch (_) {
      isKept = false;
    }
  })();

  async function all() {
    await ready;
    const [clips, films] = isKept ? await Promise.all(["clips", "films"].map(every)) : [[], []];
    const whole = clips.filter(({ id }) => !held.has(id)).map((clip) => ({ ...clip, film: films.find(({ id }) => id === clip.id).film }));
    return [...whole, ...held.values()].sort((a, b) => a.added - b.added);
  }

  /** Keeps a clip, with its film when that `isNew`; gives what went wrong, or null. */
  async function put(clip, isNew) {
    await ready;
    const { film, ...rest } = clip;
    if (isKept) {
      try {
        await changed((clips, films) => {
          clips.put(rest);
          if (isNew || held.has(clip.id)) films.put({ id: clip.id, film });
        });
        held.delete(clip.id);
        return null;
      } catch (_) {
        held.set(clip.id, clip);
        return "This browser's storage is full: it is held until the page is closed. Delete another film.";
      }
    }
    held.set(clip.id, clip);
    return "This browser keeps no films: it is held until the page is closed.";
  }

  async function remove(id) {
    held.delete(id);
    if (isKept) await changed((clips, films) => [clips, films].forEach((store) => store.delete(id)));
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
