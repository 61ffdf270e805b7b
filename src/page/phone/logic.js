// The logic of the phone page: plays the scripts that were written at home. It knows no document, no
// clock and no storage, so that it runs in a test beside the program that wrote the scripts. Times are
// whole milliseconds. It chooses nothing: serves, orders, tosses and palettes come with the script.
// Here: days, lists, answers kept; the rest is in the files named `logic_`.
"use strict";

const SecondballLogic = (() => {
  // ---- days, lists, answers kept

  /** The player's day at an instant of the local clock: it ends at the rollover hour. */
  function dayOf(date, rolloverHour) {
    const shifted = new Date(date.getTime() - rolloverHour * 3600000);
    const two = (number) => String(number).padStart(2, "0");
    return `${shifted.getFullYear()}-${two(shifted.getMonth() + 1)}-${two(shifted.getDate())}`;
  }

  /**
   * The lists of a day: its own, and those of earlier days on this page of which nothing was answered
   * since. Each with how many of its patterns were answered today.
   */
  function listsOf(page, day, answers) {
    const first = new Map();
    for (const one of answers) {
      const key = `${one.fact.deck}/${one.fact.serve}/${one.fact.right}`;
      if (one.fact.k !== "answer" || one.fact.let || one.fact.how === "read") continue;
      if (!first.has(key)) first.set(key, new Set());
      first.get(key).add(one.day);
    }
    const answeredOn = (pattern, from, to) => {
      const days = first.get(pattern);
      return !!days && [...days].some((on) => on >= from && on <= to);
    };
    const found = [];
    for (const entry of page.days) {
      if (entry.day > day) continue;
      for (const list of entry.lists) {
        const left = list.patterns.filter((pattern) => !answeredOn(pattern, entry.day, day));
        found.push({ day: entry.day, list, left });
      }
    }
    // What an earlier day left over is shown until a later list asks for all of it again.
    const isAskedAgain = (one, later) =>
      later.day > one.day && one.left.every((pattern) => later.list.patterns.includes(pattern));
    return found
      .filter((one) => one.day === day || one.left.length > 0)
      .filter((one) => one.day === day || !found.some((later) => isAskedAgain(one, later)))
      .map((one) => ({ ...one, left: one.left.length, of: one.list.patterns.length }));
  }

  /** Events not yet at home, in order, by what home said it has (`sitting` to highest number). */
  function notAtHome(events, receipts) {
    return events.filter((event) => !(receipts[event.sitting] >= event.n));
  }

  /** The longest line that is put together, characters. */
  const LINE = 200;

  /**
   * The answers as text: plain letters in short lines, so that no way of sending it changes a letter and a terminal
   * takes it. Inside words no space stands as it is; a line breaks behind a comma, never in a word.
   */
  function exported(page, events, madeMs) {
    const plain = (thing) =>
      JSON.stringify(thing).replace(/[\u007f-\uffff ]/g, (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`);
    const inLines = (text) => {
      const lines = [""];
      // Words first, so that only commas between them are left to break at.
      for (const part of text.match(/(?:"(?:[^"\\]|\\.)*"|[^",])+,?|,/g) || []) {
        const last = lines.length - 1;
        if (lines[last] !== "" && lines[last].length + part.length > LINE) lines.push(part);
        else lines[last] += part;
      }
      return lines.join("\n");
    };
    const { format, home, version } = page;
    const head = plain({ secondball: "phone", format, home, version, made: madeMs, count: events.length });
    const rows = events.map(({ sitting, n, at, day, fact }) => inLines(plain({ sitting, n, at, day, fact })));
    return `${head.slice(0, -1)},"events":[\n${rows.join(",\n")}\n]}\n`;
  }

  return {
    ...SecondballResults,
    Machine: SecondballMachine,
    Caller: SecondballCaller,
    dayOf,
    exported,
    listsOf,
    notAtHome,
  };
})();

if (typeof globalThis !== "undefined") globalThis.SecondballLogic = SecondballLogic;
