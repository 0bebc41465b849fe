// A curve that is drawn on the trend: with finger or mouse, by arrow keys from point to point, or as a short table.

import { h, set, setText } from "../dom.js";
import { say } from "../words.js";
import { createChart, minutesText } from "./chart.js";
import { nameOfSignal } from "./names.js";

/** Pieces of the drawn line, and how many of them lie between two points that keys and table move. */
const PIECES = 48;
const BETWEEN = 8;

/** Half of the shown range at first, as a share of the signal's span: wide enough for an upset, not for the whole scale. */
const HALF = 0.15;

/** What is drawn; `base` is what a piece shows that nobody has touched. @typedef {{ values: number[], middle: number, half: number, base: number }} Drawn */

/**
 * @param {import("../app.js").App} app
 * @param {import("./file.js").Prediction} asked
 * @param {Drawn | null} draft  what was drawn before
 * @param {(draft: Drawn) => void} changed
 */
export function createCurve(app, asked, draft, changed) {
  const { store, units } = app;
  const { signal, window_s } = asked;
  const quantity = store.quantity(signal);
  const definition = app.manifest.signals.find(({ id }) => id === signal);
  const times = Array.from({ length: PIECES + 1 }, (_, at) => (at * window_s) / PIECES);
  const knots = Array.from({ length: PIECES / BETWEEN + 1 }, (_, at) => at * BETWEEN);
  const before = window_s / 3;
  const now = store.get(signal);
  const state = draft ?? {
    values: times.map(() => now),
    middle: now,
    base: now,
    half: Math.max(((definition?.high ?? 1) - (definition?.low ?? 0)) * HALF, 1e-9),
  };
  const { values } = state;
  /** The point that the keys move. */
  let at = 1;

  /** @returns {[number, number]} */
  const range = () => [state.middle - state.half, state.middle + state.half];
  const clamp = (/** @type {number} */ value) => Math.max(range()[0], Math.min(range()[1], value));
  const text = (/** @type {number} */ value) => units.full(quantity, value);

  const chart = createChart(app, {
    quantity,
    height: 220,
    cls: "ex-drawing",
    span: () => [-before, window_s],
    range,
    marks: [{ at: 0, text: say("ex_moment") }],
    lines: () => {
      const end = store.get("unit.time");
      const [past, seen] = store.history.read([store.index.get(signal) ?? 0], end - before, end);
      return [
        { name: say("ex_so_far"), pen: 0, times: (past ?? []).map((time) => time - end), values: seen ?? [] },
        // Where it stands, to draw from: before the first step nothing has been so far.
        { name: say("ex_as_now"), pen: 0, dash: [2, 4], width: 1.2, times: [0, window_s], values: [store.get(signal), store.get(signal)] },
        { name: say("ex_your_curve"), pen: 3, dash: [9, 4], width: 2.6, times, values },
      ];
    },
    words: () => say("ex_curve_words", { name: nameOfSignal(app, signal), from: text(values[0] ?? NaN), to: text(values.at(-1) ?? NaN) }),
  });

  const slider = h(
    "div",
    {
      class: "ex-curve",
      role: "slider",
      tabindex: 0,
      "aria-label": say("ex_curve_label", { name: nameOfSignal(app, signal) }),
      "aria-orientation": "vertical",
      "aria-valuenow": 0,
    },
    chart.el,
  );
  const dot = h("span", { class: "ex-dot", "aria-hidden": "true" });

  /** @param {number} from @param {number} to  pieces between two points become straight */
  function straight(from, to) {
    const [a, b] = [values[from] ?? 0, values[to] ?? 0];
    for (let k = from + 1; k < to; k += 1) values[k] = a + ((b - a) * (k - from)) / (to - from);
  }

  /** @param {number} knot @param {number} value  in inside units */
  function move(knot, value) {
    const k = knots[knot] ?? 0;
    values[k] = value;
    if (knot > 0) straight(k - BETWEEN, k);
    if (knot < knots.length - 1) straight(k, k + BETWEEN);
    draw();
  }

  slider.addEventListener("keydown", (event) => {
    const step = (state.half / 25) * (event.shiftKey ? 5 : 1);
    const value = values[knots[at] ?? 0] ?? 0;
    if (event.key === "ArrowLeft") at = Math.max(0, at - 1);
    else if (event.key === "ArrowRight") at = Math.min(knots.length - 1, at + 1);
    else if (event.key === "Home") at = 0;
    else if (event.key === "End") at = knots.length - 1;
    else if (event.key === "ArrowUp") move(at, clamp(value + step));
    else if (event.key === "ArrowDown") move(at, clamp(value - step));
    else if (event.key === "PageUp") move(at, clamp(value + 5 * step));
    else if (event.key === "PageDown") move(at, clamp(value - 5 * step));
    else return;
    event.preventDefault();
    event.stopPropagation();
    readOut();
  });

  /** Where the pointer was when it last drew: everything between is drawn too. @type {{ k: number, value: number } | null} */
  let last = null;
  let armed = false;
  /** @param {PointerEvent} event */
  function put(event) {
    const plot = chart.plot();
    if (!plot) return;
    const box = plot.over.getBoundingClientRect();
    const time = plot.posToVal(event.clientX - box.left, "x");
    const value = clamp(units.inside(quantity, plot.posToVal(event.clientY - box.top, "y")));
    const k = Math.max(0, Math.min(PIECES, Math.round((time / window_s) * PIECES)));
    const from = last ?? { k, value };
    const [a, b] = from.k <= k ? [from, { k, value }] : [{ k, value }, from];
    for (let one = a.k; one <= b.k; one += 1)
      values[one] = b.k === a.k ? value : a.value + ((b.value - a.value) * (one - a.k)) / (b.k - a.k);
    last = { k, value };
    draw();
  }
  slider.addEventListener("pointerdown", (event) => {
    if (!(event.target instanceof Element) || !event.target.closest(".u-over")) return;
    armed = true;
    last = null;
    slider.setPointerCapture(event.pointerId);
    slider.focus();
    event.preventDefault();
    put(event);
  });
  slider.addEventListener("pointermove", (event) => armed && put(event));
  for (const kind of ["pointerup", "pointercancel"])
    slider.addEventListener(kind, () => {
      armed = false;
      // What was drawn goes on level to the end.
      if (last) {
        for (let k = last.k + 1; k <= PIECES; k += 1) if (values[k] === state.base) values[k] = last.value;
        draw();
      }
      last = null;
      readOut();
    });

  const inputs = knots.map((k, knot) => {
    const input = h("input", {
      type: "number",
      step: "any",
      "data-knot": String(knot),
      "aria-label": say("ex_curve_at", { time: minutesText(times[k] ?? 0) }),
      on: {
        change: () => {
          const value = units.inside(quantity, Number(input.value));
          if (input.value.trim() === "" || !Number.isFinite(value)) return draw();
          // What is typed may lie beyond what is shown: then more is shown.
          state.half = Math.max(state.half, Math.abs(value - state.middle) * 1.1);
          move(knot, value);
        },
      },
    });
    return input;
  });
  const zoom = (/** @type {number} */ factor) => {
    const reach = Math.max(...values.map((value) => Math.abs(value - state.middle)));
    state.half = Math.max(state.half * factor, reach * 1.05);
    draw();
  };
  const level = () => {
    state.base = state.middle = store.get(signal);
    values.fill(state.base);
    draw();
  };
  /** @param {string} key @param {string} text @param {() => void} click */
  const tool = (key, text, click) => h("button", { type: "button", "data-curve": key, text, on: { click } });
  const unit = h("span", { class: "label" });
  const el = h(
    "div",
    { class: "ex-curve-part" },
    h("p", { class: "label", text: say("ex_curve_hint") }),
    slider,
    h(
      "div",
      { class: "ex-curve-tools" },
      tool("closer", say("ex_curve_closer"), () => zoom(0.5)),
      tool("wider", say("ex_curve_wider"), () => zoom(2)),
      tool("level", say("ex_curve_level"), level),
    ),
    h(
      "details",
      { class: "ex-curve-table" },
      h("summary", { text: say("ex_curve_table") }),
      h(
        "table",
        {},
        h("thead", {}, h("tr", {}, h("th", { scope: "col", text: say("ex_after") }), ...knots.map((k) => h("th", { scope: "col", text: minutesText(times[k] ?? 0) })))),
        h("tbody", {}, h("tr", {}, h("th", { scope: "row" }, unit), ...inputs.map((input) => h("td", {}, input)))),
      ),
    ),
  );

  function readOut() {
    const k = knots[at] ?? 0;
    const value = values[k] ?? NaN;
    set(slider, {
      "aria-valuemin": String(Number(units.shown(quantity, range()[0]).toFixed(3))),
      "aria-valuemax": String(Number(units.shown(quantity, range()[1]).toFixed(3))),
      "aria-valuenow": String(Number(units.shown(quantity, value).toFixed(3))),
      "aria-valuetext": say("ex_curve_value", { time: minutesText(times[k] ?? 0), value: text(value) }),
    });
    const plot = chart.plot();
    if (!plot) return;
    if (dot.parentElement !== plot.over) plot.over.append(dot);
    dot.style.left = `${plot.valToPos(times[k] ?? 0, "x")}px`;
    dot.style.top = `${plot.valToPos(units.shown(quantity, value), "y")}px`;
  }

  let drawnFor = "";
  function draw() {
    changed(state);
    chart.update(true);
    for (const [knot, input] of inputs.entries()) {
      if (document.activeElement === input) continue;
      input.value = units.shown(quantity, values[knots[knot] ?? 0] ?? NaN).toFixed(units.display(quantity).digits);
    }
    setText(unit, units.unit(quantity));
    readOut();
  }

  return {
    el,
    /** @returns {[number, number][]} */
    points: () => times.map((time, k) => [time, values[k] ?? NaN]),
    update() {
      const key = `${units.system} ${Math.floor(store.get("unit.time"))} ${chart.plot() ? 1 : 0}`;
      if (key === drawnFor || armed) return;
      drawnFor = key;
      draw();
    },
  };
}
