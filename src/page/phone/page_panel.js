// What a round says beside its table: the ready text, calls, menus, what came of an answer, the summary. Boxes
// made of a picture; what their buttons do is `page_round.js`'s.
"use strict";

const Panel = (() => {
  const go = (text) => el("button", { type: "button", class: "deed", text, "data-go": true });
  const leave = (text) => el("button", { type: "button", text, "data-leave": true });

  /** Every box of this picture, in order. */
  function boxes(picture, machine) {
    const boxes = [];
    if (picture.phase === "ready") boxes.push(ready(picture, machine.script.how));
    if (picture.call) boxes.push(call(picture.call));
    if (picture.feedback) boxes.push(feedback(picture.feedback));
    if (picture.phase === "paused") boxes.push(paused());
    if (picture.phase === "over") boxes.push(over(picture));
    if (picture.phase === "done") boxes.push(done(machine.summary(), machine.script.how));
    if (picture.shadow_answer) {
      boxes.push(el("div", { class: "box" }, el("p", { class: "verdict", text: picture.shadow_answer })));
    }
    if (picture.menu.length > 0 && !picture.asks_target) boxes.push(menu(picture));
    if (picture.asks_target) boxes.push(el("div", { class: "box" }, el("p", { text: `${picture.stroke}: to where on their half?` }), el("div", { class: "row" }, el("button", { type: "button", text: "Another stroke", "data-key": "u" }))));
    if (picture.phase === "do") boxes.push(el("div", { class: "box" }, el("p", { text: "What do you do against it?" })));
    return boxes;
  }

  const paused = () =>
    el(
      "div",
      { class: "box" },
      el("p", { class: "verdict", text: "Paused" }),
      el("p", { text: "Every answer so far is kept. A ball broken off comes again soon." }),
      el("div", { class: "row" }, go("Go on"), leave("End the round")),
    );

  const over = (picture) =>
    el(
      "div",
      { class: "box" },
      el("p", { class: "verdict", text: `Your minutes are up: ${picture.in_window} of ${picture.answers} right in time` }),
      el("div", { class: "row" }, go("End"), el("button", { type: "button", text: "Five minutes more", "data-key": "m" })),
    );

  function menu(picture) {
    const question = picture.phase === "what" ? "Which serve was it?" : "Which stroke?";
    return el(
      "div",
      { class: "box menu", role: "group", "aria-label": question },
      el("p", { text: question }),
      picture.menu.map((line) => el("button", { type: "button", text: line.words, "data-key": line.key })),
    );
  }

  function ready(picture, how) {
    const text = {
      snap: "The ball flies in its real time. Tap the receive where it lands on their half, before the bar runs out. A tap before contact is a let.",
      think: "No clock. Choose the stroke, then the target.",
      read: "Say which serve it was, then what you do against it.",
      shadow: "Play the stroke standing, then say how it was.",
    }[how];
    return el(
      "div",
      { class: "box" },
      el("p", { class: "verdict", text: `${picture.opponent}: ${picture.balls} balls` }),
      el("p", { text }),
      picture.switch
        ? el("p", { text: `Switch round: ${picture.switch}. First your plan; it is called when four in five of the first balls are right in time.` })
        : null,
      picture.serves.filter(([, receive]) => receive).map(([serve, receive]) => el("p", { text: `${serve}: ${receive}` })),
      picture.serves.some(([, receive]) => receive) ? el("p", { text: "Shown: what you answer first today does not count." }) : null,
      el("div", { class: "row" }, go("Begin"), el("button", { type: "button", text: "Show the answers", "data-key": "?" }), leave("Not now")),
    );
  }

  function call(call) {
    const words = { stay: "STAY", switch: "SWITCH", back: "BACK TO THE PLAN" }[call.call];
    return el(
      "div",
      { class: "box", role: "alert" },
      el("p", { class: "call", text: call.call === "switch" ? `${words}: ${call.name}` : words }),
      call.cue && call.call === "switch" ? el("p", { text: `When ${call.cue}` }) : null,
      call.call === "stay" ? el("p", { text: "Everything stays as it is." }) : null,
      call.changes.map(([serve, old, now]) =>
        now
          ? el("p", {}, el("span", { text: `${serve}: not ` }), el("s", { text: old }), el("span", { text: ", now " }), el("strong", { text: now }))
          : el("p", {}, el("span", { text: `${serve}: not ` }), el("s", { text: old })),
      ),
      call.changes.length > 0 ? el("p", { class: "quiet", text: "Everything else stays." }) : null,
      el("div", { class: "row" }, go("Play on")),
    );
  }

  /** The ball met with the bat for its twin: in words, and drawn from the side. */
  function wrongBat({ end, over_net_mm, frames }) {
    const says = {
      lands: "lands all the same",
      high: `pops up ${Math.round(over_net_mm / 100) * 10} cm over the net`,
      net: "goes into the net",
      long: "goes long",
      aside: "goes off the side",
    }[end];
    const svg = (name, options) => {
      const made = document.createElementNS("http://www.w3.org/2000/svg", name);
      for (const [key, value] of Object.entries(options)) made.setAttribute(key, value);
      return made;
    };
    const picture = svg("svg", { viewBox: "0 -640 2760 660", class: "side", role: "img", "aria-label": `The ball ${says}` });
    const points = frames.map((at) => `${at.x_mm},${-at.z_mm}`).join(" ");
    picture.append(
      svg("path", { d: "M0 0H2740M1370 0V-152" }),
      svg("polyline", { points, "stroke-dasharray": "60 40" }),
    );
    return el("div", {}, el("p", { text: `Taken for its twin: the ball ${says}.` }), picture);
  }

  function feedback(feedback) {
    const time =
      feedback.ms === null ? "" : `Took ${(feedback.ms / 1000).toFixed(2)} s (allowed ${(feedback.window_ms / 1000).toFixed(2)} s)`;
    const isLate = feedback.verdict === "late";
    const look = feedback.is_let ? ["", ""] : isLate ? ["late", "Right, but "] : feedback.is_right ? ["good", "✓ "] : ["bad", "✕ "];
    // A touch of the table, not a key.
    const verdict = feedback.is_let ? feedback.verdict.replace("let: a key before contact", "Let: a touch before contact").replace(/^let/, "Let") : feedback.verdict;
    return el(
      "div",
      { class: "box" },
      el("p", { class: `verdict ${look[0]}`, text: look[1] + verdict }),
      // What was given is marked on the table; the drawing needs the room.
      feedback.wrong_bat ? wrongBat(feedback.wrong_bat) : null,
      time && !feedback.wrong_bat ? el("p", { class: "took", text: time }) : null,
      feedback.was ? el("p", { text: `It was: ${feedback.was[0]}${feedback.was[1] ? ", recognised" : ", not recognised"}` }) : null,
      feedback.right ? el("p", {}, el("strong", { text: feedback.right })) : null,
      feedback.given && !feedback.wrong_bat ? el("p", { text: `Given: ${feedback.given}` }) : null,
      feedback.reasons.map(([name, words]) => el("p", { text: `${name.charAt(0).toUpperCase()}${name.slice(1)}: ${words}` })),
      el(
        "div",
        { class: "row" },
        go("Next"),
        feedback.can_undo ? el("button", { type: "button", text: "Take back", "data-key": "u" }) : null,
      ),
    );
  }

  function done(summary, how) {
    const gate =
      summary.gate && !summary.gate.is_open
        ? el("p", { text: `The switch waits: ${summary.gate.in_window} of ${summary.gate.of} in time, 4 in 5 are needed first.` })
        : null;
    const wrong = [
      summary.old_answers > 0 ? `${summary.old_answers} the old answer` : null,
      summary.spills > 0 ? `${summary.spills} spilled to another serve` : null,
      summary.lets > 0 ? `${summary.lets} let${summary.lets === 1 ? "" : "s"}, not counted` : null,
    ].filter((text) => text !== null);
    return el(
      "div",
      { class: "box" },
      el("p", { class: "verdict", text: `${summary.right} of ${summary.answers} right, ${summary.in_window} in time` }),
      wrong.length > 0 ? el("p", { text: wrong.join(", ") }) : null,
      gate,
      summary.serves.map((serve) =>
        el("p", { class: "quiet", text: `${serve.right} of ${serve.asked} right${serve.middle_ms === null || how !== "snap" ? "" : `, middle time ${serve.middle_ms} ms`}: ${serve.words}` }),
      ),
      el("div", { class: "row" }, el("button", { type: "button", class: "deed", text: "Done", "data-leave": true })),
    );
  }

  return { boxes, leave };
})();
