// The other outcome: the same stretch once more without the last action or a malfunction, over the run as it was.

import { h, set, setText, show } from "../dom.js";
import { createChart } from "../exercise/chart.js";
import { asFault } from "../fault.js";
import { fullNameOf } from "../trends/names.js";
import { say } from "../words.js";
import { deedText, plantTime, shortly } from "./say.js";
import { createSignalField } from "./signal-field.js";
import { inPortions, own } from "./travel.js";

const FIRST = ["unit.final_fw_temperature", "unit.gross_output"];
const PLUS = [0, 5, 15, 30];
/** Steps of each run in one call. */
const SLICE = 40;

/** @typedef {import("bledsteam_web").OtherWithout} Without */

/** @param {import("../app.js").App} app */
export function createOther(app) {
  const session = own(app);
  const { units, store } = app;
  const without = h("select", { id: "other-without", "data-desk": "without" });
  const plus = h(
    "select",
    { id: "other-plus" },
    ...PLUS.map((n) => h("option", { value: n * 60, text: n ? say("other_minutes", { n }) : "–" })),
  );
  const fields = [
    createSignalField(app, "other-signal-1", `${say("other_signals")} 1`, FIRST[0] ?? "", () => {}),
    createSignalField(app, "other-signal-2", `${say("other_signals")} 2`, FIRST[1] ?? "", () => {}),
    createSignalField(app, "other-signal-3", `${say("other_signals")} 3`, `${app.picked}.level`, () => {}),
  ];
  const refusal = h("p", { class: "refusal", role: "status" });
  const told = h("p", { class: "desk-answer", role: "status" });
  const charts = h("div", { class: "other-charts" });
  const go = h("button", { type: "button", class: "primary", "data-desk": "other", text: say("other_go"), on: { click: run } });
  const stop = h("button", { type: "button", "data-desk": "other_stop", text: say("other_stop"), hidden: true, on: { click: () => going?.abort() } });
  const progress = h("progress", { max: 1, value: 0, hidden: true, "aria-label": say("other_go") });
  /** @type {AbortController | null} */
  let going = null;
  /** @type {import("bledsteam_web").Outcome | null} */
  let outcome = null;
  let drawnFor = "";

  /** @type {Without[]} */
  let choices = [];
  let listedFor = "";
  function listChoices() {
    const view = session.desk();
    const known = [...view.in_force, ...view.fired.filter((one) => !one.refused).map((one) => one.malfunction)];
    const stamp = known.map(({ kind, device }) => `${kind} ${device}`).join();
    if (stamp === listedFor && choices.length) return;
    listedFor = stamp;
    const seen = new Set();
    const had = without.value;
    choices = [{ without: "last_action" }, { without: "malfunctions" }];
    const texts = [say("other_last"), say("other_all")];
    for (const { kind, device } of known) {
      if (seen.has(`${kind} ${device}`)) continue;
      seen.add(`${kind} ${device}`);
      choices.push({ without: "malfunction", kind, device });
      texts.push(say("other_one", { what: shortly(app, { kind, device }) }));
    }
    without.replaceChildren(...texts.map((text, n) => h("option", { value: n, text })));
    if (Number(had) < choices.length && had !== "") without.value = had;
  }

  async function run() {
    setText(refusal, "");
    setText(told, "");
    const signals = [...new Set(fields.map((field) => field.chosen()).filter((id) => id !== null))];
    const choice = choices[Number(without.value)];
    if (!choice || signals.length === 0) return setText(refusal, say("other_most"));
    const way = (going = new AbortController());
    app.freeze();
    show(stop, true);
    show(progress, true);
    set(go, { "aria-disabled": "true" });
    /** @type {import("bledsteam_web").Other | null} */
    let other = null;
    try {
      const both = (other = session.other(choice, signals, Number(plus.value)));
      const how = await inPortions(
        (budget) => {
          const began = performance.now();
          let share = 0;
          do share = both.go(SLICE);
          while (share < 1 && performance.now() - began < budget);
          return share;
        },
        (share) => {
          progress.value = share;
          setText(told, say("other_running", { share: Math.round(share * 100) }));
        },
        way.signal,
      );
      setText(told, "");
      if (how === "done") {
        outcome = both.outcome();
        drawnFor = "";
        draw(without.selectedOptions[0]?.textContent ?? "");
      }
    } catch (thrown) {
      setText(told, "");
      setText(refusal, app.explain({ ...asFault(thrown), place: "" }));
    }
    other?.free();
    going = null;
    show(stop, false);
    show(progress, false);
    set(go, { "aria-disabled": null });
    go.focus();
  }

  let title = "";
  /** @type {ReturnType<typeof createChart>[]} */
  let drawn = [];
  /** @param {string} [of] */
  function draw(of) {
    if (of !== undefined) title = of;
    const stamp = units.system;
    for (const one of drawn) one.update(stamp !== drawnFor);
    if (!outcome || stamp === drawnFor) return;
    drawnFor = stamp;
    const { signals, from_s, now_s, action, stopped } = outcome;
    const length = Math.max(...outcome.with.map((one) => one.length), 2);
    const end = from_s + length - 1;
    const left = action ? deedText(app, { deed: "command", command: action }) : title;
    const marks = now_s < end ? [{ at: now_s - from_s, text: say("strip_live") }] : [];
    drawn = [];
    charts.replaceChildren(
      h("p", {}, h("strong", { text: say("other_of", { what: left }) }), " ", h("span", { class: "label", text: say("other_from", { from: plantTime(from_s), to: plantTime(end) }) })),
      ...(stopped ? [h("p", { class: "refusal", text: say("other_stopped", { why: app.explain(stopped) }) })] : []),
      ...signals.map((id, n) => {
        const quantity = store.quantity(id);
        const was = outcome?.with[n] ?? [];
        const is = outcome?.without[n] ?? [];
        const text = say("other_now", {
          signal: fullNameOf(app, id),
          with: units.full(quantity, was.at(-1) ?? NaN),
          without: units.full(quantity, is.at(-1) ?? NaN),
        });
        const times = (/** @type {number[]} */ column) => column.map((_, at) => at);
        const made = createChart(app, {
          quantity,
          height: 170,
          marks,
          lines: () => [
            { name: say("other_was"), pen: 0, width: 2.4, times: times(was), values: was },
            { name: say("other_is"), pen: 5, dash: [9, 4], width: 2.4, times: times(is), values: is },
          ],
          words: () => text,
        });
        drawn.push(made);
        return h("div", { class: "lines-figure", "data-other": id }, h("p", { class: "lines-words", text }), made.el);
      }),
    );
    for (const one of drawn) one.update(true);
  }

  return {
    el: h(
      "div",
      { class: "other" },
      h("p", { class: "label", text: say("other_note") }),
      h(
        "div",
        { class: "desk-fields" },
        h("div", { class: "field signals" }, h("span", { class: "label", text: say("other_signals") }), h("div", { class: "other-signals" }, ...fields.map(({ el }) => el))),
        h("div", { class: "field wide" }, h("label", { for: "other-without", text: say("other_without") }), without),
        h("div", { class: "field" }, h("label", { for: "other-plus", text: say("other_plus") }), plus),
        go,
        stop,
        progress,
      ),
      told,
      refusal,
      charts,
    ),
    update() {
      listChoices();
      draw();
    },
  };
}
