// Leaving an exercise is asked for: nothing is lost by it, but nobody leaves unmeant.

import { h } from "../dom.js";
import { say } from "../words.js";

/**
 * A question with two answers. The answer no is where the focus is.
 * @param {{ title: string, text: string, yes: string, no: string }} words
 * @param {() => void} then  on yes
 */
export function ask({ title, text, yes, no }, then) {
  const dialog = h(
    "dialog",
    { class: "ask-first", "aria-labelledby": "ask-first-title" },
    h("h2", { id: "ask-first-title", text: title }),
    h("p", { text }),
    h(
      "div",
      { class: "ask-first-answers" },
      h("button", { type: "button", "data-answer": "no", text: no, autofocus: true, on: { click: () => dialog.close() } }),
      h("button", {
        type: "button",
        "data-answer": "yes",
        text: yes,
        on: {
          click: () => {
            dialog.close();
            then();
          },
        },
      }),
    ),
  );
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
}

/**
 * Does something that would end the exercise under way: at once where there is none, else after a yes.
 * @param {import("../app.js").App} app
 * @param {() => void} then
 */
export function leaveFirst(app, then) {
  const { exercise } = app;
  if (!exercise) return then();
  const go = async () => {
    exercise.recorder.keep(true);
    await exercise.recorder.work;
    then();
  };
  if (exercise.over) return void go();
  app.freeze();
  ask(
    { title: say("ex_leave_title"), text: say(exercise.recorder.failed ? "ex_leave_lost" : "ex_leave_text"), yes: say("ex_leave"), no: say("ex_stay") },
    () => void go(),
  );
}
