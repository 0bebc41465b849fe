// Why an objective gave what it gave, wholly: what was said and what is right, how far off, and the rule by which it counts.

import { plantTime } from "../units.js";
import { say } from "../words.js";
import { minutesText } from "./chart.js";
import { creditText } from "./overlay.js";
import { guessText, wayText } from "./predict.js";
import { answerText } from "./question.js";
import { rightText } from "./right.js";
import { distanceText, reasonText } from "./tell.js";

/** @typedef {import("bledsteam_web").Debrief} Debrief */
/** @typedef {import("bledsteam_web").Points} Points */

/**
 * @param {import("../app.js").App} app
 * @param {import("./file.js").Exercise} exercise
 * @param {Debrief} debrief
 * @param {import("bledsteam_web").Standing} standing
 * @param {Points} points
 * @returns {{ why: string, rule: string }}
 */
export function whyOf(app, exercise, debrief, standing, points) {
  const rule = /** @type {any} */ (exercise.objectives.find((one) => one.id === points.objective))?.rule ?? {};
  const asked = exercise.predictions?.find((one) => one.id === rule.prediction);
  const sentences = [reasonText(app, points.reason, { signal: asked?.signal })];
  const foreseen = debrief.predictions.find((one) => one.prediction === rule.prediction);
  if (asked && foreseen?.marks && foreseen.guess) sentences.unshift(...marksText(app, asked, foreseen.guess, foreseen.marks));
  const question = exercise.questions?.find((one) => one.id === rule.question);
  const answered = debrief.questions.find((one) => one.question === rule.question);
  if (question && answered) {
    const reading = standing.questions.find((one) => one.question === question.id)?.reading ?? null;
    const right = rightText(app, question.answer, reading);
    const said = answerText(app, question.answer, answered.answer);
    if (!answered.answer) sentences.push(say("why_right_is", { right }));
    else if (answered.credit > 0.995) sentences.push(say("why_said_right", { said }));
    else sentences.push(say("why_said", { said }), say("why_right_is", { right }));
  }
  return { why: sentences.join(" "), rule: ruleText(app, rule, asked) };
}

/**
 * How a guess fared, part by part.
 * @param {import("../app.js").App} app
 * @param {import("./file.js").Prediction} asked
 * @param {import("bledsteam_web").Guess} guess
 * @param {import("bledsteam_web").Marks} marks
 */
function marksText(app, asked, guess, marks) {
  const full = (/** @type {number | null} */ value) => app.units.full(app.store.quantity(asked.signal), value ?? NaN);
  if (guess.kind !== "curve") return [say("why_said", { said: guessText(app, asked.signal, guess) })];
  const time = (/** @type {number | null} */ s) => (s === null ? say("ex_never") : minutesText(s));
  const parts = [];
  if (marks.direction !== null) parts.push(say("why_curve_way", { said: marks.guessed_way ? wayText(marks.guessed_way) : "–", credit: creditText(marks.direction) }));
  if (marks.value !== null) parts.push(say("why_curve_value", { said: full(marks.guessed_to), came: full(marks.to), credit: creditText(marks.value) }));
  if (marks.half !== null) parts.push(say("why_curve_half", { said: time(marks.guessed_half_s), came: time(marks.half_s), credit: creditText(marks.half) }));
  if (marks.shape !== null) parts.push(say("why_curve_shape", { credit: creditText(marks.shape) }));
  return [parts.join("; ") + "."];
}

/**
 * The rule by which part of it counts; nothing where it is all or nothing.
 * @param {import("../app.js").App} app
 * @param {any} rule
 * @param {import("./file.js").Prediction | undefined} asked
 */
function ruleText(app, rule, asked) {
  if ((rule.kind === "reach" || rule.kind === "act") && rule.late_s > 0)
    return say("rule_late", { within: plantTime(rule.within_s), none: plantTime(rule.within_s + rule.late_s) });
  if (rule.kind === "keep") {
    const time = say("rule_keep", { allowed: plantTime(rule.allowed_s ?? 0), none: plantTime((rule.allowed_s ?? 0) + rule.lost_s) });
    if (typeof rule.lost_by !== "number") return time;
    return `${time} ${say("rule_keep_by", { by: distanceText(app, app.store.quantity(rule.signal), rule.lost_by) })}`;
  }
  if (rule.kind === "before") return say("rule_before");
  if (!asked || asked.what.kind === "direction") return "";
  const by = (/** @type {number} */ times) => distanceText(app, app.store.quantity(asked.signal), /** @type {any} */ (asked.what).tolerance * times);
  return say(asked.what.kind === "value" ? "rule_value" : "rule_curve", { within: by(1), none: by(3) });
}
