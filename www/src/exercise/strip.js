// The strip above every other view while an exercise has the plant: which one, how long still, what it waits for, and the way
// back. It also keeps the record, whichever view is shown.

import { h, set, setText, show } from "../dom.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { leaveFirst } from "./leave.js";
import { nameOfDevice } from "./names.js";

/** What the trainee should know at a glance. @param {import("../app.js").App} app */
export function stateOf(app) {
  const { exercise, clock } = app;
  if (!exercise) return { text: "", weight: "calm" };
  if (exercise.over) return { text: say("ex_over"), weight: "note" };
  const { waiting } = exercise;
  if (waiting.length) {
    const asked = exercise.exercise.predictions?.find((one) => one.id === waiting[0]);
    return { text: say("ex_waits", { what: asked?.text ?? "" }), weight: "note" };
  }
  const open = exercise.standing().questions.filter((one) => one.open && !one.answer).length;
  if (!clock.running) return { text: say("ex_frozen"), weight: "note" };
  return { text: open ? say("ex_questions_open", { n: open }) : say("ex_runs"), weight: "calm" };
}

/** @param {import("../app.js").App} app */
export function createStrip(app) {
  const title = h("strong");
  const left = h("span", { class: "ex-left" });
  const state = h("span", { class: "chip" });
  const link = h("a", { href: "#exercise", class: "ex-back" });
  const use = h("button", {
    type: "button",
    "data-action": "answer_picked",
    on: {
      click: () => {
        const { exercise } = app;
        if (!exercise?.picking) return;
        exercise.answer(exercise.picking, { kind: "component", device: app.picked });
        exercise.picking = null;
        location.hash = "exercise";
      },
    },
  });
  const never = h("button", {
    type: "button",
    text: say("ex_pick_cancel"),
    on: {
      click: () => {
        if (app.exercise) app.exercise.picking = null;
      },
    },
  });
  const asked = h("span", { class: "ex-asked" });
  const pick = h("span", { class: "ex-pick", hidden: true }, asked, use, never);
  const leave = h("button", {
    type: "button",
    text: say("ex_leave"),
    "data-action": "leave_exercise",
    on: { click: () => leaveFirst(app, () => app.leave()) },
  });
  const el = h("div", { class: "strip", role: "region", "aria-label": say("ex_strip"), hidden: true }, title, left, state, pick, link, leave);
  return {
    el,
    update() {
      const { exercise } = app;
      exercise?.recorder.keep();
      show(el, exercise !== null && app.view !== "exercise");
      if (!exercise || app.view === "exercise") return;
      setText(title, exercise.exercise.title);
      setText(left, say("ex_left", { time: plantTime(exercise.standing().left_s) }));
      const { text, weight } = stateOf(app);
      setText(state, text);
      set(state, { "data-weight": weight });
      setText(link, say(exercise.over ? "ex_to_debrief" : "ex_back"));
      const question = exercise.exercise.questions?.find((one) => one.id === exercise.picking);
      show(pick, question !== undefined && !exercise.over);
      if (!question) return;
      setText(asked, question.text);
      setText(use, say("ex_pick_use", { name: nameOfDevice(app, app.picked) }));
    },
  };
}
