// Asking the class: freeze, let somebody draw what a signal will do, run on, and see how far off it was.

import { h, setText, show } from "../dom.js";
import { createChart } from "../exercise/chart.js";
import { createCurve } from "../exercise/curve.js";
import { asFault } from "../fault.js";
import { fullNameOf } from "../trends/names.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { createSignalField } from "./signal-field.js";
import { own } from "./travel.js";

const WINDOWS = [1, 3, 5, 10, 20]; // minutes

/** @param {import("../app.js").App} app */
export function createAsk(app) {
  const session = own(app);
  const { units, store } = app;
  const signal = createSignalField(app, "ask-signal", say("ask_signal"), "unit.final_fw_temperature", () => {});
  const windows = h("select", { id: "ask-window" }, ...WINDOWS.map((n) => h("option", { value: n * 60, text: say("other_minutes", { n }) })));
  windows.value = "300";
  const refusal = h("p", { class: "refusal", role: "status" });
  const verdict = h("p", { class: "ask-verdict", role: "status" });
  const detail = h("p", { class: "label" });
  const place = h("div", { class: "ask-place" });
  const runOn = h("button", { type: "button", class: "primary", "data-desk": "run_on", text: say("ask_run"), hidden: true, on: { click: () => app.run() } });

  /** The question as it stands. @type {{ signal: string, from: number, window: number } | null} */
  let asked = null;
  /** @type {ReturnType<typeof createCurve> | null} */
  let curve = null;
  /** @type {ReturnType<typeof createChart> | null} */
  let came = null;
  /** What is compared, as the class left it. @type {[number, number][]} */
  let guess = [];
  let drawnFor = "";

  function ask() {
    setText(refusal, "");
    setText(verdict, "");
    setText(detail, "");
    const id = signal.chosen();
    if (!id) return setText(refusal, say("wrong_no_signal"));
    const window = Number(windows.value);
    try {
      app.freeze();
      session.ask(id, window);
    } catch (thrown) {
      return setText(refusal, app.explain({ ...asFault(thrown), place: "" }));
    }
    asked = { signal: id, from: store.get("unit.time"), window };
    came = null;
    drawnFor = "";
    const drawing = /** @type {any} */ ({ signal: id, window_s: window });
    curve = createCurve(app, drawing, null, () => {});
    place.replaceChildren(curve.el);
    update();
    const slider = place.querySelector("[role=slider]");
    if (slider instanceof HTMLElement) slider.focus();
  }

  /** What has been observed since. @returns {number[]} */
  function seen() {
    const question = session.asked();
    return question && asked && question.signal === asked.signal && question.from_s === asked.from ? question.observed : [];
  }

  /** What came over the guess. @param {string} id @param {number} window */
  function overlay(id, window) {
    const quantity = store.quantity(id);
    return createChart(app, {
      quantity,
      height: 240,
      span: () => [0, window],
      lines: () => {
        const observed = seen();
        return [
          { name: say("ask_seen"), pen: 0, width: 2.6, times: observed.map((_, at) => at), values: observed },
          { name: say("ask_guess"), pen: 3, dash: [9, 4], width: 2.6, times: guess.map(([t]) => t), values: guess.map(([, v]) => v) },
        ];
      },
      words: () => verdict.textContent ?? "",
    });
  }

  function update() {
    show(runOn, asked !== null && !app.clock.running);
    if (!asked) return;
    const { signal: id, from, window } = asked;
    const observed = seen();
    if (observed.length < 2) {
      // Set back to the question, or before it: it can be drawn once more.
      if (came && curve) {
        came = null;
        place.replaceChildren(curve.el);
        setText(verdict, "");
        setText(detail, "");
      }
      curve?.update();
      return;
    }
    if (!came && curve) {
      guess = curve.points();
      came = overlay(id, window);
      place.replaceChildren(came.el);
    }
    const stamp = `${observed.length} ${units.system}`;
    came?.update(stamp !== drawnFor);
    if (stamp === drawnFor || observed.length < 3) return;
    drawnFor = stamp;
    const quantity = store.quantity(id);
    const time = observed.length - 1;
    try {
      const marks = session.marks(guess);
      const said = marks.guessed_to ?? NaN;
      // While it is on its way, what the class said of this moment counts, not of the end.
      setText(
        verdict,
        `${fullNameOf(app, id)}. ${say("ask_off", {
          time: plantTime(from + time),
          now: units.full(quantity, marks.to),
          said: units.full(quantity, said),
          off: units.full(quantity === "temperature" ? "temperature_difference" : quantity, said - marks.to, true),
        })}`,
      );
      const percent = (/** @type {number | null} */ share) => (share === null ? "–" : `${Math.round(share * 100)} %`);
      setText(
        detail,
        say("ask_share", {
          direction: say(marks.direction === 1 ? "ask_right" : "ask_not"),
          value: percent(marks.value),
          half: percent(marks.half),
          shape: percent(marks.shape),
          credit: Math.round(marks.credit * 100),
        }),
      );
    } catch (thrown) {
      setText(verdict, app.explain({ ...asFault(thrown), place: "" }));
    }
  }

  return {
    el: h(
      "div",
      { class: "desk-ask" },
      h("p", { class: "label", text: say("ask_note") }),
      h(
        "div",
        { class: "desk-fields" },
        h("div", { class: "field wide" }, h("label", { for: "ask-signal", text: say("ask_signal") }), signal.el),
        h("div", { class: "field" }, h("label", { for: "ask-window", text: say("ask_window") }), windows),
        h("button", { type: "button", class: "primary", "data-desk": "ask", text: say("ask_go"), on: { click: ask } }),
        runOn,
      ),
      refusal,
      verdict,
      detail,
      place,
    ),
    update,
  };
}
