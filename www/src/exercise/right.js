// A question afterwards: what was answered, what is right, and why.

import { h, setText } from "../dom.js";
import { say } from "../words.js";
import { nameOfDevice } from "./names.js";
import { creditText } from "./overlay.js";
import { answerText } from "./question.js";
import { distanceText } from "./tell.js";

/**
 * What is right, in words.
 * @param {import("../app.js").App} app
 * @param {import("./file.js").Asked} asked
 * @param {number | null} reading  of the question's signal, when it was answered
 */
export function rightText(app, asked, reading) {
  if (asked.kind === "choice") return asked.right.map((k) => asked.choices[k] ?? "").join("; ");
  if (asked.kind === "component") return asked.right.map((device) => nameOfDevice(app, device)).join(", ");
  if (asked.kind === "order") return asked.right.map((k, at) => `${at + 1}. ${asked.actions[k] ?? ""}`).join("  ");
  const value = asked.value ?? reading;
  if (value === null || value === undefined) return say("ex_right_reading");
  return say("ex_right_number", { value: app.units.full(asked.quantity, value), by: distanceText(app, asked.quantity, asked.tolerance) });
}

/**
 * @param {import("../app.js").App} app
 * @param {import("./file.js").Question} question
 * @param {import("bledsteam_web").Debrief["questions"][number] | undefined} answered
 * @param {number | null} reading
 */
export function createAnswer(app, question, answered, reading) {
  const given = h("dd");
  const right = h("dd");
  return {
    el: h(
      "article",
      { class: "ex-answer", "data-question": question.id },
      h("h4", { text: question.text }),
      h(
        "dl",
        {},
        h("dt", { text: say("ex_answer_given") }),
        given,
        h("dt", { text: say("ex_answer_right") }),
        right,
        h("dt", { text: say("ex_credit") }),
        h("dd", { text: creditText(answered?.credit ?? 0) }),
      ),
      h("p", { class: "ex-why", text: question.explanation }),
    ),
    update() {
      setText(given, answerText(app, question.answer, answered?.answer ?? null));
      setText(right, rightText(app, question.answer, reading));
    },
  };
}
