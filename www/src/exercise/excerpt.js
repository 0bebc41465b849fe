// The piece of trend in which an objective was decided, opened where it is asked for.

import { h } from "../dom.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { createChart } from "./chart.js";
import { nameOfSignal } from "./names.js";

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 * @param {import("bledsteam_web").Debrief} debrief
 * @param {string} objective
 */
export function createExcerpt(app, taking, debrief, objective) {
  const piece = debrief.excerpts.find((one) => one.objective === objective);
  if (!piece || !piece.columns[0]?.length) return null;
  /** @type {any} */
  const rule = /** @type {any} */ (taking.exercise.objectives.find((one) => one.id === objective))?.rule;
  const charts = piece.signals.map((id, k) => {
    const values = piece.columns[k] ?? [];
    const times = values.map((_, s) => piece.from_s + s);
    return createChart(app, {
      quantity: app.store.quantity(id),
      height: 130,
      marks: piece.moment_s === null ? [] : [{ at: piece.moment_s, text: plantTime(piece.moment_s) }],
      lines: () => {
        /** @type {import("./chart.js").Line[]} */
        const lines = [{ name: nameOfSignal(app, id), pen: 0, times, values }];
        if (rule?.kind === "keep" && rule.signal === id)
          for (const edge of ["low", "high"])
            if (typeof rule[edge] === "number")
              lines.push({ name: say(edge === "low" ? "ex_limit_low" : "ex_limit_high"), pen: 5, dash: [2.5, 3], times: [times[0] ?? 0, times.at(-1) ?? 0], values: [rule[edge], rule[edge]] });
        return lines;
      },
      words: () =>
        say("ex_excerpt_words", {
          name: nameOfSignal(app, id),
          low: app.units.full(app.store.quantity(id), Math.min(...values)),
          high: app.units.full(app.store.quantity(id), Math.max(...values)),
        }),
    });
  });
  const el = h("details", { class: "ex-excerpt" }, h("summary", { text: say("ex_trend") }), ...charts.map((chart) => chart.el));
  el.addEventListener("toggle", () => el.open && charts.forEach((chart) => chart.update(true)));
  let system = "";
  return {
    el,
    update() {
      if (!el.open) return;
      const anew = system !== app.units.system;
      system = app.units.system;
      for (const chart of charts) chart.update(anew);
    },
  };
}
