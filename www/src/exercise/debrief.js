// After the exercise: what it was worth and why, what was predicted and what came, the right answers, what should have been
// done, and what would have been.

import { h, set, setText } from "../dom.js";
import { download } from "../download.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { createExcerpt } from "./excerpt.js";
import { fileName } from "./list.js";
import { createModel } from "./model.js";
import { paragraphs } from "./names.js";
import { createOverlay, creditText } from "./overlay.js";
import { createParts } from "./parts.js";
import { createAnswer } from "./right.js";
import { saveDebrief } from "./save.js";
import { begin } from "./taking.js";
import { endedText, lineText, pointsText } from "./tell.js";
import { createTwin } from "./twin.js";
import { whyOf } from "./why.js";
import { createSiNote } from "./si.js";

/** Alarms in ten minutes that can just be managed, and above which they are a flood: ANSI/ISA-18.2, alarm rates, from memory. */
const MANAGED = 2;
const FLOOD = 10;

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 */
export function createDebrief(app, taking) {
  const { exercise, drill } = taking;
  const d = drill.debrief();
  const { score } = d;
  const standing = taking.standing();

  const rows = score.objectives.map((points) => {
    const objective = exercise.objectives.find((one) => one.id === points.objective);
    const reason = h("td");
    const excerpt = createExcerpt(app, taking, d, points.objective);
    const el = h(
      "tr",
      { "data-objective": points.objective, "data-credit": String(points.credit) },
      h("th", { scope: "row", text: objective?.text ?? points.objective }),
      h("td", { class: "ex-num", text: say("ex_points_of", { n: pointsText(100 * points.share * points.credit), of: pointsText(100 * points.share) }) }),
      h("td", { class: "ex-num", "data-full": points.credit > 0.995 ? "yes" : null, text: creditText(points.credit) }),
      reason,
    );
    const [why, rule] = [h("span"), h("p", { class: "label ex-rule" })];
    reason.append(why, rule, ...(excerpt ? [excerpt.el] : []));
    return {
      el,
      update() {
        const told = whyOf(app, exercise, d, standing, points);
        setText(why, told.why);
        setText(rule, told.rule);
        excerpt?.update();
      },
    };
  });
  const hints = score.hints
    ? h(
        "tr",
        {},
        h("th", { scope: "row", text: say("ex_hints") }),
        h("td", { class: "ex-num", text: `−${pointsText(score.hints_price)}` }),
        h("td"),
        h("td", { text: say("ex_hints_taken", { n: score.hints }) }),
      )
    : null;
  const predictions = (exercise.predictions ?? []).flatMap((asked) => {
    const came = d.predictions.find((one) => one.prediction === asked.id);
    return came ? [createOverlay(app, exercise, asked, came, d.timeline)] : [];
  });
  const answers = (exercise.questions ?? []).map((question) =>
    createAnswer(app, question, d.questions.find((one) => one.question === question.id), standing.questions.find((one) => one.question === question.id)?.reading ?? null),
  );
  const model = createModel(app, taking);
  const twin = createTwin(app, taking, d);
  const list = h("ol", { class: "ex-timeline" });
  const figures = h("p");
  const name = fileName(`${exercise.id} ${taking.head.by} ${taking.head.begun.slice(0, 16)}`);

  const again = h("button", {
    type: "button",
    "data-action": "again",
    text: say("ex_again"),
    on: { click: () => begin(app, taking.head.file, taking.head.by, taking.shipped) },
  });
  /** @param {string} id @param {string} title @param {...(Node | null)} kids */
  const part = (id, title, ...kids) => h("section", { class: "ex-part", "aria-labelledby": id }, h("h3", { id, text: title }), ...kids);
  const si = createSiNote(app, exercise, true);
  const el = h(
    "div",
    { class: "ex-debrief" },
    h(
      "section",
      { class: "ex-part ex-result" },
      h(
        "div",
        { class: "ex-result-words" },
        h("h2", { text: say("ex_debrief_of", { title: exercise.title }) }),
        h("p", { text: `${endedText(exercise, d.ended)} ${say("ex_took", { time: plantTime(d.time_s) })}` }),
        taking.head.by ? h("p", { class: "label", text: taking.head.by }) : null,
      ),
      h(
        "p",
        { class: "ex-total", "data-total": String(score.total), "data-passed": String(score.passed) },
        h("strong", { text: pointsText(score.total) }),
        h("span", { text: say("ex_of_100") }),
        h("span", { class: "chip", "data-weight": score.passed ? "note" : "warn", text: score.passed ? `✓ ${say("ex_passed")}` : `✕ ${say("ex_failed", { mark: pointsText(exercise.pass_mark) })}` }),
      ),
      h(
        "div",
        { class: "ex-result-do" },
        h("button", { type: "button", "data-action": "save_record", text: say("ex_save_record"), on: { click: () => download(`${name}.jsonl`, new Blob([taking.text()], { type: "application/jsonl" })) } }),
        h("button", { type: "button", "data-action": "save_debrief", text: say("ex_save_debrief"), on: { click: () => saveDebrief(el, exercise.title, `${name}.html`) } }),
        h("button", { type: "button", "data-action": "print_debrief", text: say("ex_print"), on: { click: () => print() } }),
        again,
        h("button", { type: "button", class: "primary", "data-action": "leave_exercise", text: say("ex_done"), on: { click: () => app.leave() } }),
      ),
    ),
    part(
      "ex-score",
      say("ex_score"),
      createParts(d.parts),
      h(
        "div",
        { class: "ex-scroll" },
        h(
          "table",
          { class: "ex-table" },
          h("thead", {}, h("tr", {}, ...["ex_objective", "ex_score_points", "ex_credit", "ex_why_head"].map((key) => h("th", { scope: "col", text: say(/** @type {any} */ (key)) })))),
          h("tbody", {}, ...rows.map((row) => row.el), hints),
        ),
      ),
    ),
    part("ex-explained", say("ex_explained"), ...paragraphs(exercise.explanation).map((text) => h("p", { class: "ex-text", text })), h("p", { class: "ex-idea", text: exercise.idea }), si.el),
    predictions.length ? part("ex-came", say("ex_came"), h("div", { class: "ex-overlays" }, ...predictions.map((one) => one.el))) : null,
    answers.length ? part("ex-right", say("ex_right"), ...answers.map((one) => one.el)) : null,
    model ? part("ex-model", say("ex_model"), model.el) : null,
    part("ex-twin", say("ex_twin"), twin.el),
    part("ex-line", say("ex_timeline"), figures, list),
  );

  let drawn = "";
  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      if (!slow) return;
      for (const one of [...rows, ...predictions, ...answers, twin]) one.update();
      model?.update();
      if (drawn === app.units.system) return;
      drawn = app.units.system;
      si.update();
      list.replaceChildren(
        ...d.timeline.map((line) => {
          const { shape, text, whose, weight } = lineText(app, exercise, line);
          return h(
            "li",
            { "data-whose": whose, "data-weight": weight },
            h("time", { text: plantTime(line.at_s) }),
            h("span", { class: "shape", "aria-hidden": "true", text: shape }),
            h("span", { class: "label", text: say(`ex_whose_${whose}`) }),
            h("span", { text }),
          );
        }),
      );
      const f = drill.alarm_figures();
      const judged = say(f.peak > FLOOD ? "alarms_flood" : f.peak > MANAGED ? "alarms_busy" : "alarms_calm");
      setText(figures, say("alarms_rates", { now: f.in_ten_minutes, peak: f.peak, grouped: f.grouped, standing: f.standing, judged }));
      set(el, { "data-drawn": "yes" });
    },
  };
}
