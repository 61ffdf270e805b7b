// The ladder of film, without a browser: which cuts a clip can show, how they get harder, what comes next.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { runInThisContext } from "node:vm";

runInThisContext(readFileSync(new URL("../../src/page/phone/logic_film.js", import.meta.url), "utf8"));
const { Ladder, areTwins, cutsOf, due, lacks, order } = globalThis.SecondballFilm;

test("a clip shows the cuts that lie in its film and two of its frames apart", () => {
  const film = { ms: 6000, frame_ms: 33 };
  assert.deepEqual(cutsOf(2000, film), [200, 100, 0, -100]);
  assert.deepEqual(cutsOf(5950, film), [0, -100]);
  assert.deepEqual(cutsOf(250, film), [200, 100]);
  assert.deepEqual(cutsOf(50, film), []);
  assert.deepEqual(cutsOf(2000, { ms: 6000, frame_ms: 67 }), [200, 0]);
  assert.deepEqual(cutsOf(2000, { ms: 6000, frame_ms: null }), [200, 100, 0, -100], "nobody could measure it");
  assert.deepEqual([2000, 5950, 250].map((at) => lacks(at, film)), [null, "late", "early"]);
  assert.equal(lacks(2000, { ms: 6000, frame_ms: 67 }), "coarse");
});

test("the ladder gets harder after three right in a row, easier after a wrong one, only at cuts that some clip has", () => {
  const ladder = new Ladder(0, [200, 0]);
  const right = () => ladder.answered(true, ladder.cutMs);
  assert.equal(ladder.cutMs, 200);
  right();
  right();
  ladder.answered(true, 0);
  assert.equal(ladder.cutMs, 200, "an answer at another cut moves nothing");
  right();
  assert.equal(ladder.cutMs, 0);
  ladder.answered(false, 0);
  assert.equal(ladder.cutMs, 200);
  assert.equal(new Ladder(3, [200, 100]).cutMs, 100, "where it stood there is no clip left");
  assert.equal(new Ladder(1).cutOf([200, 0]), 200, "the next easier one");
  assert.equal(new Ladder(0).cutOf([0, -100]), 0, "or the next harder");
});

test("no clip comes twice in a row, every clip comes, and twins follow each other more often than others", () => {
  const marks = ["a", "b", "c", "d", "e", "f"].map((serve) => ({ serve }));
  const script = { serves: marks.map(({ serve }, nth) => ({ serve, twin: [1, 0][nth] ?? null, right_days: nth })) };
  let seed = 1;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  let [pairs, of] = [0, 0];
  for (let turn = 0; turn < 200; turn += 1) {
    const found = order(marks, 20, random, areTwins(script));
    assert.deepEqual([...new Set(found)].length, 6);
    found.slice(1).forEach((mark, nth) => {
      assert.notEqual(mark, found[nth]);
      if (found[nth].serve !== "a") return;
      of += 1;
      pairs += mark.serve === "b" ? 1 : 0;
    });
  }
  assert.ok(pairs / of > 0.3 && pairs / of < 0.8, `${pairs} of ${of}`);
  assert.deepEqual(due(script, marks).map((mark) => mark.serve), ["c", "d", "e", "f"]);
});
