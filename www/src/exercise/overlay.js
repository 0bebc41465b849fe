// Predict, observe, explain: what was said over what came, each mark with its number, and why.

import { h, setText } from "../dom.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { createChart, minutesText } from "./chart.js";
import { nameOfSignal } from "./names.js";
import { guessText, wayText } from "./predict.js";
import { lineText } from "./tell.js";

/** Credit as a share of a hundred, with its shape. @param {number} credit */
export const creditText = (credit) => `${credit > 0.995 ? "✓" : credit > 0.005 ? "◐" : "✕"} ${Math.round(credit * 100)} %`;

/**
 * @param {import("../app.js").App} app
 * @param {import("./file.js").Exercise} exercise
 * @param {import("./file.js").Prediction} asked
 * @param {import("bledsteam_web").Debrief["predictions"][number]} came
 * @param {import("bledsteam_web").Debrief["timeline"]} timeline
 */
export function createOverlay(app, exercise, asked, came, timeline) {
  const { units, store } = app;
  const quantity = store.quantity(asked.signal);
  const full = (/** @type {number | null} */ value) => units.full(quantity, value ?? NaN);
  const name = nameOfSignal(app, asked.signal);
  const { guess, marks, observed } = came;
  const seconds = observed.map((_, k) => k);
  const from = observed[0] ?? NaN;
  const chart =
    observed.length > 1
      ? createChart(app, {
          quantity,
          height: 190,
          span: () => [0, Math.max(asked.window_s, 1)],
          lines: () => {
            /** @type {import("./chart.js").Line[]} */
            const lines = [{ name: say("ex_observed"), pen: 0, width: 2.4, times: seconds, values: observed }];
            if (guess?.kind === "curve")
              lines.push({ name: say("ex_your_curve"), pen: 3, dash: [9, 4], times: guess.points.map(([t]) => t), values: guess.points.map(([, v]) => v) });
            else if (guess?.kind === "value")
              lines.push({ name: say("ex_your_value"), pen: 3, dash: [9, 4], times: [0, asked.window_s], values: [guess.value, guess.value] });
            else if (guess?.kind === "direction") {
              // A way has no size: it is drawn as half of the change that came, or a little where none came.
              const reach = Math.max(Math.abs((observed.at(-1) ?? from) - from), spread(observed)) || 1;
              const by = { up: 0.5, same: 0, down: -0.5 }[guess.way] * reach;
              lines.push({ name: say("ex_your_way"), pen: 3, dash: [9, 4], times: [0, asked.window_s], values: [from, from + by] });
            }
            return lines;
          },
          words: () => say("ex_overlay_words", { name, from: full(from), to: full(observed.at(-1) ?? NaN), guess: guessText(app, asked.signal, guess) }),
        })
      : null;

  // What somebody does while a prediction is watched moves what came: without a word of it the marks would seem unjust.
  const acted = timeline.filter(({ at_s, what }) => came.at_s !== null && what.is === "command" && !what.refused && at_s >= came.at_s && at_s < came.at_s + asked.window_s);
  const rows = h("tbody");
  const said = h("p", { class: "ex-said" });
  const table = h(
    "table",
    { class: "ex-marks" },
    h("thead", {}, h("tr", {}, ...["ex_mark", "ex_mark_said", "ex_mark_came", "ex_mark_credit"].map((key) => h("th", { scope: "col", text: say(/** @type {any} */ (key)) })))),
    rows,
  );
  let drawn = "";
  const el = h(
    "article",
    { class: "ex-overlay", "data-prediction": asked.id },
    h("h4", { text: asked.text }),
    h("p", { class: "label", text: came.at_s === null ? name : say("ex_moment_at", { name, time: plantTime(came.at_s) }) }),
    chart?.el ?? null,
    marks ? table : null,
    said,
    acted[0] ? h("p", { class: "label ex-acted", text: say("ex_you_acted", { what: lineText(app, exercise, acted[0]).text, time: plantTime(acted[0].at_s) }) }) : null,
    h("p", { class: "ex-why", text: asked.explanation }),
  );
  return {
    el,
    update() {
      chart?.update(drawn !== units.system);
      if (drawn === units.system) return;
      drawn = units.system;
      if (!marks) {
        setText(said, guess ? say(came.at_s === null ? "ex_moment_never" : "ex_window_cut") : say("ex_not_predicted"));
        return;
      }
      /** @param {string} part @param {string} guessed @param {string} observed @param {number | null} credit */
      const row = (part, guessed, observed, credit) =>
        credit === null
          ? []
          : [h("tr", {}, h("th", { scope: "row", text: part }), h("td", { text: guessed }), h("td", { text: observed }), h("td", { text: creditText(credit) }))];
      const time = (/** @type {number | null} */ s) => (s === null ? "–" : minutesText(s));
      rows.replaceChildren(
        ...row(say("ex_mark_direction"), marks.guessed_way ? wayText(marks.guessed_way) : "–", wayText(marks.way), marks.direction),
        ...row(say("ex_mark_value"), full(marks.guessed_to), full(marks.to), marks.value),
        ...row(say("ex_mark_half"), time(marks.guessed_half_s), time(marks.half_s), marks.half),
        ...row(say("ex_mark_shape"), "", "", marks.shape),
      );
      setText(said, say("ex_overlay_sum", { from: full(marks.from), to: full(marks.to), credit: creditText(marks.credit) }));
    },
  };
}

/** @param {number[]} values */
const spread = (values) => Math.max(...values) - Math.min(...values);
