// What a round says beside its table: before and after it on a page of its own, in the slot under the table while it
// is played, and the buttons under the pad. Made of a picture; what the buttons do is `page_round.js`'s.
"use strict";

const Panel = (() => {
  const go = (text, options) => el("button", { type: "button", class: "deed", text, "data-go": true, ...options });
  const leave = (text) => el("button", { type: "button", text, "data-leave": true });
  const undo = () => el("button", { type: "button", text: "Undo", "data-key": "u" });
  const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);

  /** What stands instead of the table: before the round, in a pause, and after it. */
  function boxes(picture, machine) {
    if (picture.phase === "ready") return [ready(picture, machine.script)];
    if (picture.phase === "paused") return [paused()];
    if (picture.phase === "over") return [over(picture)];
    if (picture.phase === "done") return [done(machine.summary(), machine.script.how)];
    return [];
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

  function ready(picture, { how, is_film: isFilm }) {
    const field = window.matchMedia("(pointer: coarse)").matches ? "Tap the receive where it lands on their half" : "Press the key of the receive, where it lands on their half";
    const text = {
      snap: isFilm ? `Their serve runs until it goes black. ${field}, before the bar runs out.` : `The ball flies in its real time. ${field}, before the bar runs out. Before contact it is a let.`,
      think: "No clock. Choose the stroke, then the target.",
      read: "Say which serve it was, then what you do against it.",
      shadow: "Play the stroke standing, then say how it was.",
    }[how];
    return el(
      "div",
      { class: "box" },
      el("p", { class: "verdict", text: `${picture.opponent}: ${picture.left_s === null ? `${picture.balls} balls` : `${Math.ceil(picture.left_s / 60)} minutes`}` }),
      el("p", { text }),
      picture.switch
        ? el("p", { text: `Switch round: ${picture.switch}. First your plan; it is called when four in five of the first balls are right in time.` })
        : null,
      picture.serves.filter(([, receive]) => receive).map(([serve, receive]) => el("p", { text: `${serve}: ${receive}` })),
      picture.serves.some(([, receive]) => receive) ? el("p", { text: "Shown: what you answer first today does not count." }) : null,
      el("div", { class: "row" }, go("Begin"), el("button", { type: "button", text: "Show the answers", "data-key": "?" }), leave("Not now")),
    );
  }

  /** The words of the moment, the cue first. */
  function said(picture) {
    if (picture.call) return called(picture.call);
    const lines = [];
    // What comes again is not given away.
    const word = picture.phase === "toss" || (picture.feedback && picture.feedback.is_let) ? "" : picture.words;
    if (word) lines.push(el("p", { class: "word", text: word }));
    const question = { what: "Which serve was it?", stroke: "Which stroke?", target: `${sentence(picture.stroke || "")}: to where on their half?`, do: "What do you do against it?", between: "Your own two serves." }[picture.phase];
    if (question) lines.push(el("p", { text: question }));
    if (picture.shadow_answer) lines.push(el("p", { class: "good", text: picture.shadow_answer }));
    if (picture.feedback) lines.push(...told(picture.feedback, picture.palette));
    return lines;
  }

  const line = (look, name, text) => el("p", { class: look }, icon(name), el("span", { text }));

  function told(feedback, pad) {
    if (feedback.is_let) {
      // A touch of the table, not a key.
      const verdict = feedback.verdict.replace("let: a key before contact", "let: a touch before contact");
      return [line("", "o", `${sentence(verdict)}. It comes again.`)];
    }
    const reason = (name) => (feedback.reasons.find((one) => one[0] === name) || [])[1];
    const lines = feedback.was ? [el("p", { text: feedback.was[1] ? "Recognised." : `It was: ${feedback.was[0]}` })] : [];
    if (feedback.is_right) {
      const late = feedback.verdict === "late" ? "right, but late" : null;
      const then = reason("then") ? `then: ${reason("then")}` : null;
      return [...lines, line("good", "y", [late, then].filter(Boolean).join("; ") || "right")];
    }
    const mark = (name) => pad.find((one) => one.mark === name);
    const given = mark("given") ? mark("given").label : feedback.given;
    const became = feedback.wrong_bat ? { lands: "lands all the same", high: "pops up high", net: "into the net", long: "goes long", aside: "off the side" }[feedback.wrong_bat.end] : null;
    const slip = feedback.verdict.startsWith("wrong: ") ? feedback.verdict.slice(7) : null;
    lines.push(line("bad", "x", given ? [given, became || slip].filter(Boolean).join(": ") : "no answer"));
    lines.push(line("good", "y", feedback.right));
    if (reason("why")) lines.push(el("p", { text: `Why: ${reason("why")}` }));
    return lines;
  }

  function called(call) {
    if (call.call === "stay") return [el("p", { class: "now", text: "Stay" }), el("p", { text: "Everything stays as it is." })];
    const head = call.call === "back" ? "Back to the plan" : `Switch: ${call.name}`;
    return [
      el("p", { text: call.cue && call.call === "switch" ? `${head} (${call.cue})` : head }),
      ...call.changes.flatMap(([serve, old, now]) => [el("p", { class: "now", text: now ? `Now: ${now}` : "Now: from memory" }), el("p", {}, el("span", { text: `instead of: ${old}` })), el("p", { text: `on: ${serve}` })]),
    ];
  }

  /** The buttons under the pad; none while a ball is in play. */
  function strip(picture, restMs) {
    if (picture.call) return [go("Play on")];
    if (picture.phase === "between") return [go("Go on")];
    if (picture.phase === "target") return [el("button", { type: "button", text: "Another stroke", "data-key": "u" })];
    if (!picture.feedback) return [];
    if (restMs === null || !picture.feedback.is_right) return [picture.feedback.can_undo ? undo() : null, go("Go on")].filter(Boolean);
    const bar = el("i", {});
    bar.style.animationDuration = `${restMs}ms`;
    return [el("button", { type: "button", class: "hold", "data-key": "h" }, "Hold", bar)];
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

  return { boxes, said, strip, leave };
})();
