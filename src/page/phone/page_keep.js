// What the page keeps: answers, one entry each as soon as it is given, and where the player stands. The
// storage is tried first; where there is none, everything is held until the page is closed, and said.
"use strict";

/** An element with its text and children; text is only ever set as text. */
function el(name, options, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(options || {})) {
    if (key === "text") made.textContent = value;
    else if (key === "class") made.className = value;
    else if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(key, value);
  }
  for (const child of children.flat(Infinity)) {
    if (child !== null && child !== undefined) made.append(child);
  }
  return made;
}

const PAGE = JSON.parse(document.getElementById("data").textContent);

const Keep = (() => {
  const prefix = `secondball:${PAGE.home}:`;
  const held = new Map();
  const listeners = [];
  let storage = null;
  let trouble = null;

  function tried() {
    try {
      const found = window.localStorage;
      const probe = `${prefix}probe`;
      found.setItem(probe, "1");
      const isKept = found.getItem(probe) === "1";
      found.removeItem(probe);
      return isKept ? found : null;
    } catch (_) {
      return null;
    }
  }

  storage = tried();

  function put(key, value) {
    const text = JSON.stringify(value);
    held.set(key, text);
    if (!storage) return false;
    try {
      storage.setItem(prefix + key, text);
      trouble = null;
      return true;
    } catch (_) {
      // Full: it is still held, and said.
      trouble = "This browser's storage is full. Bring the answers home before you close the page.";
      return false;
    }
  }

  function get(key) {
    let text = held.get(key);
    if (text === undefined && storage) {
      try {
        text = storage.getItem(prefix + key);
      } catch (_) {
        text = null;
      }
    }
    if (text === undefined || text === null) return null;
    try {
      return JSON.parse(text);
    } catch (_) {
      return null;
    }
  }

  function drop(key) {
    held.delete(key);
    try {
      if (storage) storage.removeItem(prefix + key);
    } catch (_) {
      // What cannot be removed is ignored the next time.
    }
  }

  function keys() {
    const found = new Set(held.keys());
    if (storage) {
      for (let i = 0; i < storage.length; i += 1) {
        const key = storage.key(i);
        if (key !== null && key.startsWith(prefix)) found.add(key.slice(prefix.length));
      }
    }
    return [...found];
  }

  /** A sitting: one opening of the page. Two tabs never share a number. */
  const sitting = (() => {
    const letters = "abcdefghjkmnpqrstuvwxyz23456789";
    const random = new Uint32Array(10);
    crypto.getRandomValues(random);
    return [...random].map((number) => letters[number % letters.length]).join("");
  })();
  let last = 0;

  /** Every event kept, in order. */
  function events() {
    const found = [];
    for (const key of keys()) {
      const [kind, from, number] = key.split(":");
      if (kind !== "e") continue;
      const event = get(key);
      if (!event || typeof event.at !== "number" || !event.fact) continue;
      found.push({ sitting: from, n: Number(number), at: event.at, day: event.day, fact: event.fact });
    }
    return found.sort((a, b) => a.at - b.at || (a.sitting < b.sitting ? -1 : 1) * (a.sitting === b.sitting ? 0 : 1) || a.n - b.n);
  }

  /** Events without those taken back. */
  function standing() {
    const all = events();
    const undone = new Set(
      all.filter((one) => one.fact.k === "undo").map((one) => `${one.fact.of.device}/${one.fact.of.n}`),
    );
    return all.filter((one) => one.fact.k !== "undo" && !undone.has(`${one.sitting}/${one.n}`));
  }

  function today() {
    return SecondballLogic.dayOf(new Date(), PAGE.rollover_hour);
  }

  /** Keeps a fact at once; gives what it can be taken back by. */
  function add(fact) {
    last += 1;
    put(`e:${sitting}:${last}`, { at: Date.now(), day: today(), fact });
    const id = { device: sitting, n: last };
    for (const listener of listeners) listener();
    return id;
  }

  function undo(id) {
    add({ k: "undo", of: id });
  }

  function receipts() {
    const own = get("home") || {};
    const all = { ...own };
    for (const [from, n] of Object.entries(PAGE.receipts)) all[from] = Math.max(all[from] || 0, n);
    return all;
  }

  /** Events not yet at home: all of them, and how many a player would count. */
  function away() {
    const have = receipts();
    const all = SecondballLogic.notAtHome(events(), have);
    const stand = SecondballLogic.notAtHome(standing(), have);
    const isAnswer = (one) => one.fact.k === "answer";
    return {
      all,
      answers: stand.filter((one) => isAnswer(one) && !one.fact.let).length,
      lets: stand.filter((one) => isAnswer(one) && one.fact.let).length,
      others: stand.filter((one) => !isAnswer(one)).length,
    };
  }

  /** The player says that home has read them. */
  function markHome(some) {
    const own = get("home") || {};
    // What was said before, so that it can be unsaid until it is said again.
    put("home-before", own);
    const now = { ...own };
    for (const event of some) now[event.sitting] = Math.max(now[event.sitting] || 0, event.n);
    put("home", now);
    for (const listener of listeners) listener();
  }

  /** Whether the last word about being at home can be taken back. */
  const canBringBack = () => get("home-before") !== null;

  /** It was not so: what was marked last is to be brought home again. */
  function bringBack() {
    put("home", get("home-before") || {});
    drop("home-before");
    for (const listener of listeners) listener();
  }

  /** Forgets what is at home and older than this page's lists. */
  function tidy() {
    // Only what this page knows to be at home: the player's own word can still be taken back.
    const have = PAGE.receipts;
    const first = PAGE.days.length > 0 ? PAGE.days[0].day : today();
    for (const event of events()) {
      if (have[event.sitting] >= event.n && event.day < first) drop(`e:${event.sitting}:${event.n}`);
    }
  }

  return {
    add,
    away,
    bringBack,
    canBringBack,
    drop,
    events,
    get,
    markHome,
    put,
    standing,
    tidy,
    today,
    undo,
    hear: (listener) => window.addEventListener("storage", (event) => {
      if (event.key !== null && event.key.startsWith(prefix)) listener(event.key.slice(prefix.length), event.newValue);
    }),
    sitting: () => sitting,
    hasStorage: () => storage !== null,
    trouble: () => trouble,
    onChange: (listener) => listeners.push(listener),
  };
})();

/** Keeps the screen on where the browser can, as long as something runs. */
const Awake = (() => {
  let lock = null;
  let isWanted = false;
  async function ask() {
    if (!isWanted || lock || !("wakeLock" in navigator)) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => {
        lock = null;
      });
    } catch (_) {
      lock = null;
    }
  }
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") ask();
  });
  return {
    on() {
      isWanted = true;
      ask();
    },
    off() {
      isWanted = false;
      if (lock) lock.release().catch(() => {});
      lock = null;
    },
  };
})();
