// A record's debrief as the class review shows it: what each objective gave, what was answered and foreseen.

import { h } from "../dom.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { answerText } from "./hard.js";
import { pointsText } from "./verdict.js";

/**
 * @param {import("../app.js").App} app
 * @param {import("bledsteam_web").Debrief} debrief
 * @param {Record<string, any>} exercise  as its file has it
 */
export function paper(app, debrief, exercise) {
  const of = (/** @type {string} */ list, /** @type {string} */ id) =>
    exercise[list]?.find((/** @type {any} */ one) => one.id === id);
  const percent = (/** @type {number} */ share) => `${Math.round(share * 100)} %`;
  const { score } = debrief;
  const facts = [
    `${say("rev_time")}: ${plantTime(debrief.time_s)}`,
    `${say("rev_hints")}: ${score.hints}`,
  ].join(" · ");
  const section = (/** @type {string} */ title, /** @type {HTMLElement[]} */ lines) =>
    lines.length > 0 ? [h("h3", { text: title }), h("ul", {}, ...lines)] : [];
  return h(
    "div",
    { class: "rev-paper" },
    h(
      "p",
      {},
      h("span", { class: "rev-total", text: pointsText(score.total) }),
      ` · ${say(score.passed ? "rev_passed" : "rev_not_passed")} · ${facts}`,
    ),
    ...section(
      say("rev_hard_objectives"),
      score.objectives.map((p) =>
        h("li", {}, h("strong", { text: percent(p.credit) }), ` ${of("objectives", p.objective)?.text ?? p.objective}`),
      ),
    ),
    ...section(
      say("rev_questions"),
      debrief.questions.map((q) => {
        const asked = of("questions", q.question);
        return h(
          "li",
          {},
          h("strong", { text: percent(q.credit) }),
          ` ${asked?.text ?? q.question}`,
          h("p", {
            class: "rev-file",
            text: q.answer ? answerText(app, q.answer, asked?.answer) : say("rev_unanswered"),
          }),
        );
      }),
    ),
    ...section(
      say("rev_predictions"),
      debrief.predictions.map((p) => {
        const asked = of("predictions", p.prediction);
        const way = p.marks ? say("rev_went", { list: say(`rev_way_${p.marks.way}`) }) : "";
        return h(
          "li",
          {},
          h("strong", { text: percent(p.marks?.credit ?? 0) }),
          ` ${asked?.text ?? p.prediction}`,
          h("p", { class: "rev-file", text: p.guess ? way : say("rev_unanswered") }),
        );
      }),
    ),
  );
}
