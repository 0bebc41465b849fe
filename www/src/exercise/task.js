// An exercise under way: what to do on one side, what to watch on the other. Run, freeze and speed stay in the bar above.

import { h, set, setText, show } from "../dom.js";
import { plantTime, tickText } from "../units.js";
import { say } from "../words.js";
import { permitted } from "./brief.js";
import { ask, leaveFirst } from "./leave.js";
import { nameOfDevice, paragraphs } from "./names.js";
import { createPrediction } from "./predict.js";
import { createQuestion } from "./question.js";
import { stateOf } from "./strip.js";
import { createWatched } from "./watched.js";
import { createSiNote } from "./si.js";

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 */
export function createTask(app, taking) {
  const { exercise } = taking;
  const left = h("span", { class: "ex-clock", "data-left": "" });
  const state = h("span", { class: "chip" });
  const bar = h("progress", { max: exercise.length_s, value: 0, "aria-label": say("ex_time_gone") });
  const kept = h("p", { class: "refusal", role: "status" });

  const call = h("p", { class: "ex-call-text" });
  const goOn = h("button", {
    type: "button",
    "data-action": "go_on",
    text: say("ex_go_on"),
    on: {
      click: () =>
        ask({ title: say("ex_go_on_title"), text: say("ex_go_on_text"), yes: say("ex_go_on"), no: say("ex_predict_first") }, () => {
          taking.goOn();
          app.run();
        }),
    },
  });
  const run = h("button", { type: "button", class: "primary", "data-action": "ex_run", text: say("run"), on: { click: () => app.run() } });
  const banner = h("div", { class: "ex-call", role: "status" }, call, run, goOn);

  const notes = h("ol", { class: "ex-notes", "aria-live": "polite" });
  const predictions = (exercise.predictions ?? []).map((one) => createPrediction(app, taking, one));
  const questions = (exercise.questions ?? []).map((one) => createQuestion(app, taking, one));
  const later = h("p", { class: "nothing" });

  const hints = exercise.hints ?? [];
  const hintList = h("ol", { class: "ex-hint-list", "aria-live": "polite" });
  const price = h("span", { class: "label" });
  const hint = h("button", {
    type: "button",
    "data-action": "hint",
    text: say("ex_take_hint"),
    on: {
      click: () => {
        const fault = taking.hint();
        setText(refusal, fault ? app.explain(fault) : "");
        update(true);
      },
    },
  });
  const refusal = h("p", { class: "refusal", role: "status" });
  const handIn = h("button", {
    type: "button",
    "data-action": "hand_in",
    text: say("ex_hand_in"),
    on: {
      click: () => {
        app.freeze();
        const open = taking.standing().questions.filter((one) => !one.answer).length;
        const text = open ? say("ex_hand_in_open", { n: open }) : say("ex_hand_in_text");
        ask({ title: say("ex_hand_in_title"), text, yes: say("ex_hand_in"), no: say("ex_stay") }, () => {
          const fault = taking.handIn();
          setText(refusal, fault ? app.explain(fault) : "");
        });
      },
    },
  });
  const leave = h("button", {
    type: "button",
    class: "link",
    "data-action": "leave_exercise",
    text: say("ex_leave"),
    on: { click: () => leaveFirst(app, () => app.leave()) },
  });
  const watched = createWatched(app, taking);
  const predictionPart = h("section", { class: "ex-part", "aria-labelledby": "ex-predict" }, h("h3", { id: "ex-predict", text: say("ex_predict_head") }), ...predictions.map(({ el }) => el));
  const questionPart = h("section", { class: "ex-part", "aria-labelledby": "ex-questions" }, h("h3", { id: "ex-questions", text: say("ex_question_head") }), ...questions.map(({ el }) => el), later);
  const si = createSiNote(app, exercise, false);
  const brief = h(
    "details",
    { class: "ex-part ex-read", open: true },
    h("summary", { text: say("ex_brief") }),
    ...paragraphs(exercise.brief).map((text) => h("p", { text })),
    si.el,
    h("p", { class: "label", text: `${say("ex_may")}: ${permitted(exercise, (word) => nameOfDevice(app, word))}` }),
  );

  let drawnNotes = -1;
  let drawnHints = -1;

  function update(/** @type {boolean} */ slow) {
    if (!slow) return;
    const s = taking.standing();
    setText(left, plantTime(s.left_s));
    bar.value = s.time_s;
    const { text, weight } = stateOf(app);
    setText(state, text);
    set(state, { "data-weight": weight });
    setText(kept, taking.recorder.failed ? say("ex_store_off") : "");
    const waits = taking.waiting.length > 0;
    show(banner, waits || !app.clock.running);
    set(banner, { "data-waits": waits ? "yes" : null });
    show(run, !waits);
    show(goOn, waits);
    setText(call, waits ? say("ex_call", { n: taking.waiting.length }) : s.step === 0 ? say("ex_first") : say("ex_frozen_more"));
    if (s.notes.length !== drawnNotes) {
      drawnNotes = s.notes.length;
      notes.replaceChildren(...s.notes.map((note) => h("li", {}, h("time", { text: plantTime(note.at_s) }), h("span", { text: note.text }))));
      show(notes, s.notes.length > 0);
    }
    if (s.hints !== drawnHints) {
      drawnHints = s.hints;
      hintList.replaceChildren(...hints.slice(0, s.hints).map((one) => h("li", { text: one.text })));
      const next = hints[s.hints];
      show(hint, next !== undefined);
      setText(
        price,
        next
          ? say("ex_hint_price", { n: s.hints + 1, of: hints.length, points: tickText(next.price, next.price % 1 ? 1 : 0) })
          : say(hints.length ? "ex_hints_gone" : "ex_hints_none"),
      );
    }
    for (const one of predictions) one.update(s);
    for (const one of questions) one.update(s);
    const coming = (exercise.questions ?? []).filter((one) => (one.from_s ?? 0) > s.time_s);
    show(later, coming.length > 0);
    const soonest = Math.min(...coming.map((one) => one.from_s ?? 0));
    if (coming.length) setText(later, say("ex_later", { n: coming.length, time: plantTime(soonest) }));
    watched.update();
    si.update();
  }

  const el = h(
    "div",
    { class: "ex-task" },
    h(
      "div",
      { class: "ex-do" },
      h(
        "section",
        { class: "ex-part ex-head" },
        h("div", { class: "ex-head-row" }, h("h2", { text: exercise.title }), state),
        h("div", { class: "ex-head-row" }, h("span", { class: "label", text: say("ex_time_left") }), left, bar),
        banner,
        kept,
        notes,
      ),
      predictions.length ? predictionPart : null,
      questions.length ? questionPart : null,
      h(
        "section",
        { class: "ex-part ex-end", "aria-label": say("ex_hints") },
        h("div", { class: "ex-hint-row" }, hint, price),
        hintList,
        h("div", { class: "ex-hint-row" }, handIn, leave),
        refusal,
      ),
    ),
    h("div", { class: "ex-see" }, brief, watched.el),
  );
  return { el, update };
}
