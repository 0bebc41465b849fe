// The twin: the same run once more without one action, or without what was made to go wrong, drawn over the run as it was.

import { h, setText } from "../dom.js";
import { asFault } from "../fault.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { createChart } from "./chart.js";
import { nameOfSignal } from "./names.js";
import { commandText } from "./tell.js";

/** Before the action, this much is shown too (s). */
const LEAD_S = 30;

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 * @param {import("bledsteam_web").Debrief} debrief
 */
export function createTwin(app, taking, debrief) {
  const { exercise, drill } = taking;
  const actions = debrief.timeline.flatMap(({ at_s, what }) => (what.is === "command" && !what.refused ? [{ at_s, command: /** @type {any} */ (what.command) }] : []));
  const wrong = (/** @type {any[] | undefined} */ commands) => (commands ?? []).some((one) => one.do === "insert_malfunction");
  const start = /** @type {any} */ (exercise).start?.commands;
  const malfunctions = wrong(start) || (exercise.timeline ?? []).some((one) => wrong(one.commands));
  if (!actions.length && !malfunctions) return { el: h("p", { class: "nothing", text: say("ex_twin_nothing") }), update() {} };

  const choice = h(
    "select",
    { id: "twin-without" },
    ...(malfunctions ? [h("option", { value: "malfunctions", text: say("ex_twin_malfunction") })] : []),
    ...actions.map((one, k) => h("option", { value: String(k), text: `${plantTime(one.at_s)} ${commandText(app, one.command)}` })),
  );
  if (actions.length) choice.value = String(actions.length - 1);
  const known = [...new Set([...(exercise.trends ?? []), ...(exercise.predictions ?? []).map(({ signal }) => signal)])];
  const boxes = known.map((id, k) => h("input", { type: "checkbox", value: id, id: `twin-${id}`, checked: k < 2 }));
  const status = h("p", { class: "refusal", role: "status" });
  const charts = h("div", { class: "ex-overlays" });
  /** @type {ReturnType<typeof createChart>[]} */
  let drawn = [];
  const go = h("button", { type: "button", "data-action": "twin", text: say("ex_twin_run"), on: { click: () => void run() } });

  async function run() {
    const signals = boxes.filter((box) => box.checked).map((box) => box.value);
    if (!signals.length) return setText(status, say("ex_twin_pick"));
    go.disabled = true;
    setText(status, say("ex_twin_runs"));
    await new Promise((done) => setTimeout(done, 40));
    try {
      const action = choice.value === "malfunctions" ? null : actions[Number(choice.value)];
      const to = Math.floor(debrief.time_s);
      const from = action ? Math.max(0, Math.min(action.at_s - LEAD_S, to - 60)) : 0;
      const twin = drill.twin(action ? { without: "last_action", before_s: action.at_s } : { without: "malfunctions" }, signals, Math.floor(from), to);
      const without = say(action ? "ex_twin_without_action" : "ex_twin_without_malfunction");
      drawn = twin.signals.map((id, k) => {
        const quantity = app.store.quantity(id);
        const [as, not] = [twin.with[k] ?? [], twin.without[k] ?? []];
        const times = as.map((_, s) => twin.from_s + s);
        const last = (/** @type {number[]} */ values) => app.units.full(quantity, values.at(-1) ?? NaN);
        return createChart(app, {
          quantity,
          height: 180,
          marks: action ? [{ at: action.at_s, text: say("ex_twin_action") }] : [],
          lines: () => [
            { name: `${nameOfSignal(app, id)}: ${say("ex_twin_with")}`, pen: 0, width: 2.4, times, values: as },
            { name: without, pen: 5, dash: [9, 4], times, values: not },
          ],
          words: () => say("ex_twin_words", { name: nameOfSignal(app, id), with: last(as), without: last(not) }),
        });
      });
      charts.replaceChildren(...drawn.map((chart) => chart.el));
      setText(status, "");
    } catch (thrown) {
      setText(status, app.explain(asFault(thrown)));
    }
    go.disabled = false;
  }

  let system = "";
  return {
    el: h(
      "div",
      { class: "ex-twin" },
      h("p", { class: "label", text: say("ex_twin_lead") }),
      h("p", { class: "ex-twin-ask" }, h("label", { for: "twin-without", text: say("ex_twin_without") }), choice, go),
      h("fieldset", { class: "ex-twin-signals" }, h("legend", { text: say("ex_twin_signals") }), ...known.map((id, k) => h("label", {}, boxes[k] ?? "", nameOfSignal(app, id)))),
      status,
      charts,
    ),
    update() {
      const anew = system !== app.units.system;
      system = app.units.system;
      for (const chart of drawn) chart.update(anew);
    },
  };
}
