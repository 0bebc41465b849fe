// What the model answer of a shipped exercise does, deed by deed.

import { h } from "../dom.js";
import { exercise_runs } from "../engine.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { guessText } from "./predict.js";
import { answerText } from "./question.js";
import { commandText, pointsText } from "./tell.js";

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 */
export function createModel(app, taking) {
  if (!taking.shipped) return null;
  const { exercise } = taking;
  /** @type {{ tells: string, total: number, does: { at_s: number, deed: any }[] }} */
  const model = JSON.parse(exercise_runs(exercise.id)).model;
  const list = h("ol", { class: "ex-timeline" });
  /** @param {any} deed */
  const deedText = (deed) => {
    if (deed.kind === "command") return commandText(app, deed.command);
    if (deed.kind === "answer" || deed.kind === "read") {
      const question = exercise.questions?.find((one) => one.id === deed.question);
      const what = question?.text ?? deed.question;
      const answer = question && deed.kind === "answer" ? answerText(app, question.answer, deed.answer) : say("ex_reads_it");
      return say("ex_deed_answer", { what, answer });
    }
    if (deed.kind === "predict") {
      const asked = exercise.predictions?.find((one) => one.id === deed.prediction);
      return say("ex_deed_predict", { what: asked?.text ?? deed.prediction, guess: asked ? guessText(app, asked.signal, deed.guess) : "" });
    }
    return say(deed.kind === "hint" ? "ex_line_hint" : "ex_hand_in");
  };
  let drawn = "";
  return {
    el: h("div", {}, h("p", { class: "ex-text", text: model.tells }), h("p", { class: "label", text: say("ex_model_worth", { n: pointsText(model.total) }) }), list),
    update() {
      if (drawn === app.units.system) return;
      drawn = app.units.system;
      list.replaceChildren(
        ...model.does.map(({ at_s, deed }) =>
          h("li", {}, h("time", { text: plantTime(at_s) }), h("span", { class: "shape", "aria-hidden": "true", text: "◇" }), h("span", { text: deedText(deed) })),
        ),
      );
    },
  };
}
