// What to watch: the exercise's own signals as small charts, and over them what was predicted, once its moment has come.

import { h, setText } from "../dom.js";
import { say } from "../words.js";
import { createChart } from "./chart.js";
import { nameOfSignal } from "./names.js";

/** Time shown of signals with no prediction (s). */
const WINDOW_S = 600;

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 */
export function createWatched(app, taking) {
  const { store } = app;
  const { exercise } = taking;
  const guessed = (exercise.predictions ?? []).map(({ signal }) => signal);
  const signals = [...new Set([...(exercise.trends ?? []), ...guessed])].filter((id) => store.has(id));
  const { began_s } = taking.standing();

  const charts = signals.map((id) => {
    const quantity = store.quantity(id);
    const index = store.index.get(id) ?? 0;
    const now = h("span", { class: "value", "data-watched": id });
    const chart = createChart(app, {
      quantity,
      height: 128,
      // The exercise from its start; of a long one the last ten minutes.
      span: () => {
        const end = Math.max(store.get("unit.time") - began_s, 60);
        return [Math.max(0, end - WINDOW_S), Math.max(end, 60)];
      },
      lines: () => {
        const [times, values] = store.history.read([index], began_s, Infinity, 1200);
        /** @type {import("./chart.js").Line[]} */
        const lines = [{ name: "", pen: 0, times: (times ?? []).map((time) => time - began_s), values: values ?? [] }];
        const { predictions } = taking.standing();
        (exercise.predictions ?? []).forEach((asked, k) => {
          const made = predictions[k];
          if (asked.signal !== id || made?.guess?.kind !== "curve" || made.locked_s === null) return;
          const from = made.locked_s;
          lines.push({
            name: say("ex_your_curve"),
            pen: 3,
            dash: [9, 4],
            times: made.guess.points.map(([time]) => time + from),
            values: made.guess.points.map(([, value]) => value),
          });
        });
        return lines;
      },
      words: () => say("ex_watch_words", { name: nameOfSignal(app, id), value: app.units.full(quantity, store.get(id)) }),
    });
    const el = h("div", { class: "ex-watch", "data-watch": id }, h("p", {}, h("span", { text: nameOfSignal(app, id) }), now), chart.el);
    return { el, id, quantity, now, chart };
  });
  let drawn = -1;
  return {
    el: h(
      "section",
      { class: "ex-part ex-watches", "aria-labelledby": "ex-watch" },
      h("h3", { id: "ex-watch", text: say("ex_watch") }),
      h("p", { class: "label", text: say("ex_watch_hint") }),
      h("div", { class: "ex-watch-grid" }, ...charts.map(({ el }) => el)),
    ),
    update() {
      const anew = drawn !== store.version;
      drawn = store.version;
      for (const { id, quantity, now, chart } of charts) {
        setText(now, app.units.full(quantity, store.get(id)));
        chart.update(anew);
      }
    },
  };
}
