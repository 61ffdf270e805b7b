// The caller at the table: counts the launcher's balls, shows and speaks what comes next, takes results
// with one thumb. Counting is `logic_caller.js`'s; here are the screen, the voice, the clock, and the place kept
// through a closed page.
"use strict";

const Table = (() => {
  const root = document.getElementById("table");
  let caller = null;
  let timer = 0;
  /** What can be taken back of each ball that was entered, by block and ball. */
  let kept = {};
  let wish = null;
  let wasPlayed = false;

  const canSpeak = "speechSynthesis" in window;
  const now = () => Math.round(performance.now());
  const seconds = (ms) => `${Math.ceil(ms / 1000)} s`;
  const count = (number, noun) => `${number} ${noun}${number === 1 ? "" : "s"}`;
  const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);

  function speak(text) {
    if (!wish.voice || !canSpeak || !text) return;
    const said = new SpeechSynthesisUtterance(text);
    said.lang = "en";
    said.rate = 1.1;
    // Late words are worse than none.
    window.speechSynthesis.cancel();
    window.speechSynthesis.speak(said);
  }

  /** A ball as it is spoken: calls, and the receive only where it gives nothing away. */
  function words(ball, block) {
    const calls = ball.cues.map((cue) => cue.says);
    if (ball.role === "throw_away") return "Let this one go";
    const receive = block.is_hidden ? "" : ball.receive || "";
    return [...calls, receive].filter((text) => text !== "").join(". ");
  }

  // ---- the place, kept

  function save() {
    Keep.put("table", { made: PAGE.made, wish, kept, place: caller.place() });
  }

  /** Where a session of this page was left; null when none was. */
  function left() {
    const found = Keep.get("table");
    if (!found || found.made !== PAGE.made || found.place.is_done) return null;
    const { block, is_begun: isBegun } = found.place;
    return PAGE.caller.blocks[block] && (block > 0 || isBegun) ? found : null;
  }

  /** The place in words: balls let go have a count of their own. */
  function placeWords({ block, ball, is_begun: isBegun }) {
    if (!isBegun) return `block ${block + 1}`;
    const balls = PAGE.caller.blocks[block].balls;
    const next = Math.min(ball, balls.length - 1);
    const played = balls.slice(0, next + 1).filter((one) => one.role !== "throw_away").length;
    return `block ${block + 1}, ball ${Math.max(played, 1)}`;
  }

  // ---- acts

  function act(what) {
    if (!caller) return;
    const said = caller.act(now(), what);
    for (const one of said) {
      if (one.undo && kept[one.undo]) {
        Keep.undo(kept[one.undo]);
        delete kept[one.undo];
      }
      if (one.fact) kept[one.key] = Keep.add(one.fact);
      if (one.announce) speak(words(one.announce, PAGE.caller.blocks[one.block]));
      if (one.say === "last ball") speak("Last ball of the block");
      if (one.say === "rest") speak(`Rest. ${one.seconds} seconds`);
      if (one.say === "rest over") speak("Rest over");
      if (one.say === "done") {
        speak("That was the last block");
        Awake.off();
      }
    }
    if (what !== "tick" || said.length > 0) save();
    const picture = caller.picture(now());
    // Ticks redraw only what moves, so that a thumb on its way to a button finds it there.
    if (what !== "tick" || said.length > 0 || picture.is_played !== wasPlayed) {
      draw();
      const first = root.querySelector("[data-act=go]");
      if (what !== "tick" && first && !root.contains(document.activeElement)) first.focus({ preventScroll: true });
    } else tick(picture);
    schedule(picture);
  }

  function schedule(picture) {
    clearTimeout(timer);
    const isShowing = picture.out && !picture.is_played;
    if (caller.nextMs() !== null || isShowing) timer = setTimeout(() => act("tick"), 200);
  }

  function tick(picture) {
    const place = document.getElementById("table-due");
    if (place && picture.due_ms !== null) place.textContent = seconds(picture.due_ms);
  }

  const button = (text, what, look) =>
    el("button", { type: "button", class: look || "", text, "data-act": what, onclick: () => act(what) });

  function begin() {
    wish = {
      delay: (Number(document.getElementById("table-delay").value) || 10) * 1000,
      voice: document.getElementById("table-voice").checked,
      isHelped: document.getElementById("table-helped").checked,
    };
    caller = new SecondballLogic.Caller(PAGE.caller, wish.delay);
    kept = {};
    save();
    Awake.on();
    draw();
    window.scrollTo(0, 0);
  }

  function goOn(found) {
    wish = found.wish;
    kept = found.kept;
    caller = SecondballLogic.Caller.from(PAGE.caller, wish.delay, found.place);
    Awake.on();
    draw();
  }

  /** The place stays: the session can be gone on with. */
  function leave() {
    clearTimeout(timer);
    save();
    caller = null;
    if (canSpeak) window.speechSynthesis.cancel();
    Awake.off();
    draw();
  }

  function hide() {
    if (caller && ["running", "waiting"].includes(caller.state.is)) act("hidden");
  }

  // ---- before it begins

  function start() {
    const session = PAGE.caller;
    const found = left();
    const balls = session.leaving > session.received ? `; ${session.leaving} leave the launcher` : "";
    const holder = (id, text, isChosen) =>
      el("label", { class: "row tap" }, el("input", { type: "radio", name: "table-holder", id, class: "tick", checked: isChosen }), el("span", { text }));
    root.replaceChildren(
      found
        ? el(
            "div",
            { class: "card" },
            el("h2", { text: "A session was left" }),
            el("p", { text: `${count(Object.keys(found.place.results).length, "result")} of it kept. Set the number of the next ball, if it has moved on.` }),
            el("button", { type: "button", class: "deed", id: "table-go-on", text: `Go on at ${placeWords(found.place)}`, onclick: () => goOn(found) }),
          )
        : "",
      el(
        "div",
        { class: "card" },
        el("h2", { text: `${session.opponent}, ${session.launcher}` }),
        el("p", { text: `${count(session.blocks.length, "block")}, ${count(session.received, "ball")} to play${balls}. Warm up ${session.warm_up_min} minutes first.` }),
        el(
          "fieldset",
          {},
          el("legend", { text: "Who holds this phone?" }),
          holder("table-alone", "The player: an answer to be found is shown after the ball", !session.waits),
          holder("table-helped", session.waits ? "The one who feeds: it shows every ball and its answer" : "A helper: it shows every ball and its answer", session.waits),
        ),
        el("label", { for: "table-delay", text: "Seconds from starting to the first ball" }),
        el("input", { id: "table-delay", type: "number", inputmode: "numeric", min: "1", max: "120", value: "10" }),
        el(
          "p",
          {},
          el("label", { class: "row tap" }, el("input", { id: "table-voice", type: "checkbox", class: "tick", checked: canSpeak, disabled: !canSpeak }), canSpeak ? "Speak the calls" : "This browser has no voice"),
        ),
        el("button", { type: "button", class: found ? "" : "deed", text: found ? "Start from the beginning" : "Start the session", onclick: begin }),
      ),
      el("h2", { text: "Before the first ball" }),
      el("ul", {}, [...session.cautions, ...session.reading].map((text) => el("li", { text: sentence(text) }))),
      el("ul", {}, session.cannot.map((text) => el("li", { text: sentence(text) }))),
    );
  }

  // ---- while it runs

  function draw() {
    const is = caller && caller.picture(now()).is;
    document.body.classList.toggle("calling", Boolean(is) && !["ready", "resting", "done"].includes(is));
    if (!PAGE.caller) {
      root.replaceChildren(
        el("p", { text: "No session at the table is on this page." }),
        el("p", { text: "Make the page at home with a session, and it is called here ball by ball." }),
      );
      return;
    }
    if (!caller) {
      start();
      return;
    }
    const held = root.contains(document.activeElement) ? document.activeElement.dataset.act : null;
    const picture = caller.picture(now());
    wasPlayed = picture.is_played;
    root.replaceChildren(...(picture.is === "done" ? ended(picture) : block(picture)));
    const again = held && root.querySelector(`[data-act="${held}"]`);
    if (again) again.focus({ preventScroll: true });
  }

  const undo = (picture) => (picture.can_undo ? button("Take back", "undo") : null);

  function ended(picture) {
    return [
      el("p", { class: "big", text: "Done" }),
      el("p", { text: "Pick up the balls, wipe the floor. The results are kept; bring them home." }),
      el("div", { class: "row" }, el("button", { type: "button", class: "deed", text: "Close", onclick: leave }), undo(picture)),
    ];
  }

  function block(picture) {
    const one = picture.block;
    const isBefore = picture.is === "ready" || picture.is === "resting";
    const head = `Block ${picture.block_number} of ${picture.blocks}, ${one.name}`;
    const end = el("p", {}, el("button", { type: "button", id: "table-end", text: "End the session", onclick: leave }));
    return isBefore ? [el("h2", { text: head }), ...before(picture, one), end] : [running(picture, one, head, end)];
  }

  function settings(one) {
    return [
      el("dl", { class: "settings" }, one.set_up.map(([label, text]) => [label ? el("dt", { text: label }) : null, el("dd", { text: sentence(text) })])),
      one.receives.length > 0 ? el("h3", { text: one.receives.length > 1 ? "Its receives" : "Its receive" }) : null,
      one.receives.length > 0 ? el("ul", {}, one.receives.map((text) => el("li", { text }))) : null,
    ];
  }

  function before(picture, one) {
    const every = ((one.throw_ms * one.receive_every) / 1000).toFixed(1);
    const leaving = one.leaving > one.received ? `; ${one.leaving} leave the launcher` : "";
    const away = picture.lets_go > 0 ? ` The first ${picture.lets_go > 1 ? `${picture.lets_go} are test balls` : "is a test ball"}.` : "";
    return [
      ...(picture.is === "resting"
        ? [el("p", { class: "big", text: "Rest, pick up balls" }), el("p", { class: "count-down", id: "table-due", text: seconds(picture.due_ms) })]
        : []),
      el("p", { text: `${count(picture.balls, "ball")} to play, one every ${every} s${leaving}.${away}` }),
      el("div", { class: "row" }, button("Start the block", "go", "deed"), button("Leave it out", "next"), undo(picture)),
      ...settings(one).filter((part) => part !== null),
    ];
  }

  const numbered = (picture, ball) =>
    ball.role === "throw_away" ? `test ball ${picture.let_go + 1} of ${picture.lets_go}` : `ball ${picture.ball_number + 1} of ${picture.balls}`;

  /** The next ball: calls for everybody; serve and answer only for those who may know. */
  function coming(picture, one) {
    const next = picture.next;
    if (!next) return [el("p", { class: "big", text: "Last ball of the block" })];
    const heads = { running: "Next", paused: "Paused; next", waiting: "Wait; next" };
    const score = next.score ? `, ${next.score[0]}-${next.score[1]}, theirs first` : "";
    const isTold = wish.isHelped || !one.is_hidden;
    const answer = next.receive || "Your own choice";
    const isFed = wish.isHelped && next.feed;
    const main = !isTold ? "Find the answer" : isFed ? sentence(next.feed) : answer;
    return [
      el("p", { class: "quiet", text: `${heads[picture.is]}: ${numbered(picture, next)}${score}` }),
      next.cues.map((cue) => el("p", { class: "call", text: cue.says })),
      large(next.role === "throw_away" ? "Let this one go" : main),
      isFed && next.role !== "throw_away" ? el("p", {}, "Answer: ", el("strong", { text: answer })) : null,
      isTold && next.words ? el("p", { text: sentence(next.words) }) : null,
    ];
  }

  /** To be read from three metres: the stroke first, then where to. */
  function large(text) {
    const parts = text.replace(/forehand/gi, "FH").replace(/backhand/gi, "BH").split(", ");
    return el("p", { class: "big" }, parts.map((part, nth) => el("span", { class: nth === 0 ? "stroke" : "", text: nth + 1 < parts.length ? `${part}, ` : part })));
  }

  /** A ball is out: no tabs, the call large, and three bars that never move. */
  function running(picture, one, head, end) {
    const out = picture.out;
    const entry = (what, text, name) =>
      el("button", { type: "button", class: what, "data-act": what, "aria-pressed": picture.entered === what ? "true" : "false", onclick: () => act(what) }, icon(name), text);
    const canEnter = out && out.role === "receive" && out.right;
    const isShown = wish.isHelped || !one.is_hidden || picture.is_played;
    const told = !canEnter ? "Nothing to enter yet" : `Ball ${picture.ball_number}: ${isShown ? out.receive : "play it"}`;
    const { made, missed, wrong, skipped } = picture.tally;
    const reasons = {
      hidden: "The page was hidden, so it stopped counting. Set the number of the next ball, then go on.",
      left: "Set the number of the next ball, then go on.",
    };
    const isPaused = picture.is === "paused";
    const isRunning = picture.is === "running";
    return el(
      "div",
      { class: "caller" },
      el(
        "div",
        { class: "caller-head" },
        isRunning ? button("Pause", "pause") : picture.is === "ending" ? button("To the rest", "next", "deed") : button("Go on", "go", "deed"),
        picture.due_ms === null ? null : el("span", { class: "count-down", id: "table-due", "aria-hidden": "true", text: seconds(picture.due_ms) }),
        isRunning ? button("Ball did not come", "skip") : undo(picture),
      ),
      el(
        "div",
        { class: "caller-call", tabindex: "0", role: "group", "aria-label": head },
        isPaused && reasons[picture.why] ? el("p", { class: "note", role: "status", text: reasons[picture.why] }) : null,
        el("div", { class: "card", "aria-live": "polite" }, coming(picture, one)),
        isPaused ? el("div", { class: "row" }, button("One ball earlier", "earlier"), button("One ball later", "later")) : null,
        el("p", { id: "table-out", text: told }),
        el("p", { class: "quiet", id: "table-tally", text: `${made} made, ${missed} missed, ${wrong} wrong; ${skipped} did not come` }),
        el("div", { class: "row" }, isRunning ? undo(picture) : null, picture.is === "ending" ? null : button("End the block", "next")),
        el("details", {}, el("summary", { class: "tap", text: "Settings of this block" }), el("p", { class: "quiet", text: head }), settings(one)),
        end,
      ),
      el("div", { class: "result", role: "group", "aria-label": "Result of the last ball" }, entry("made", "Made", "y"), entry("missed", "Missed", "o"), entry("wrong", "Wrong receive", "x")),
    );
  }

  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") hide();
  });
  window.addEventListener("pagehide", () => {
    if (caller) save();
  });

  return { draw, hide, isRunning: () => caller !== null };
})();
