// A record's debrief in the class review: the parts that a trainee sees after an exercise, of a run that was gone through
// once more.

import { h, setText } from "../dom.js";
import { createExcerpt } from "../exercise/excerpt.js";
import { paragraphs } from "../exercise/names.js";
import { createOverlay, creditText } from "../exercise/overlay.js";
import { createAnswer } from "../exercise/right.js";
import { createParts } from "../exercise/parts.js";
import { endedText, lineText } from "../exercise/tell.js";
import { whyOf } from "../exercise/why.js";
import { namesOf } from "../editor/names.js";
import { Store } from "../store.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { pointsText } from "./verdict.js";

/**
 * The page's choices with the plant that the record is of, which need not be the one that runs.
 * @param {import("../app.js").App} app
 * @param {import("../exercise/file.js").Exercise} exercise
 * @returns {import("../app.js").App}
 */
function withPlant(app, exercise) {
  const manifest = namesOf(exercise)?.manifest;
  return manifest ? Object.assign(Object.create(app), { manifest, store: new Store(manifest) }) : app;
}

/**
 * @param {import("../app.js").App} page
 * @param {import("bledsteam_web").Debrief} debrief
 * @param {import("bledsteam_web").Standing} standing
 * @param {import("../exercise/file.js").Exercise} exercise
 */
export function createPaper(page, debrief, standing, exercise) {
  const app = withPlant(page, exercise);
  const { score } = debrief;
  const objectives = score.objectives.map((points) => {
    const objective = exercise.objectives.find((one) => one.id === points.objective);
    const [reason, rule] = [h("p", { class: "rev-file" }), h("p", { class: "label ex-rule" })];
    const excerpt = createExcerpt(app, /** @type {any} */ ({ exercise }), debrief, points.objective);
    return {
      el: h(
        "li",
        { "data-objective": points.objective },
        h("p", {}, h("strong", { text: creditText(points.credit) }), ` ${objective?.text ?? points.objective}`),
        reason,
        rule,
        excerpt?.el ?? null,
      ),
      update() {
        const told = whyOf(app, exercise, debrief, standing, points);
        setText(reason, told.why);
        setText(rule, told.rule);
        excerpt?.update();
      },
    };
  });
  const questions = (exercise.questions ?? []).map((question) =>
    createAnswer(app, question, debrief.questions.find((one) => one.question === question.id), standing.questions.find((one) => one.question === question.id)?.reading ?? null),
  );
  const predictions = (exercise.predictions ?? []).flatMap((asked) => {
    const came = debrief.predictions.find((one) => one.prediction === asked.id);
    return came ? [createOverlay(app, exercise, asked, came, debrief.timeline)] : [];
  });
  const timeline = h("ol", { class: "rev-timeline" });
  const part = (/** @type {string} */ title, /** @type {(Node | null)[]} */ ...kids) =>
    kids.length > 0 ? [h("h3", { text: title }), ...kids] : [];
  const el = h(
    "div",
    { class: "rev-paper" },
    h(
      "p",
      {},
      h("span", { class: "rev-total", text: pointsText(score.total) }),
      ` · ${say(score.passed ? "rev_passed" : "rev_not_passed")} · ${say("rev_time")}: ${plantTime(debrief.time_s)} · ${say("rev_hints")}: ${score.hints}`,
    ),
    h("p", { class: "label", text: endedText(exercise, debrief.ended) }),
    createParts(debrief.parts),
    ...part(say("rev_hard_objectives"), h("ul", {}, ...objectives.map((one) => one.el))),
    ...part(say("rev_predictions"), ...predictions.map((one) => one.el)),
    ...part(say("rev_questions"), ...questions.map((one) => one.el)),
    ...part(say("rev_timeline"), timeline),
    ...part(say("rev_explanation"), ...paragraphs(exercise.explanation).map((text) => h("p", { text }))),
  );
  let units = "";
  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      for (const one of predictions) one.update();
      if (!slow || units === page.units.system) {
        for (const one of objectives) one.update();
        return;
      }
      units = page.units.system;
      for (const one of [...objectives, ...questions]) one.update();
      timeline.replaceChildren(
        ...debrief.timeline.map((line) => {
          const { shape, text, whose } = lineText(app, exercise, line);
          return h("li", { "data-whose": whose }, h("time", { text: plantTime(line.at_s) }), h("span", { text: shape, "aria-hidden": "true" }), h("span", { text }));
        }),
      );
    },
  };
}
