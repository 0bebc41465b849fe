// Asking the class: freeze, let somebody draw what a signal will do, run on, and see how far off it was.

import { asFault } from "../app.js";
import { h, set, setText, show } from "../dom.js";
import { fullNameOf } from "../trends/names.js";
import { tickText } from "../units.js";
import { say } from "../words.js";
import { WIDTH, chart } from "./lines.js";
import { plantTime } from "./say.js";
import { createSignalField } from "./signal-field.js";
import { own } from "./travel.js";

const WINDOWS = [1, 3, 5, 10, 20]; // minutes
/** Points of a drawn curve: about one for each few pixels. */
const POINTS = 80;
/** Height of the picture, whose width is 640. */
const HEIGHT = 260;
/** History shown before the question, as a share of the window. */
const BEFORE = 0.25;

/** @param {import("../app.js").App} app */
export function createAsk(app) {
  const session = own(app);
  const { units, store } = app;
  const signal = createSignalField(app, "ask-signal", say("ask_signal"), "unit.final_fw_temperature", () => {});
  const windows = h("select", { id: "ask-window" }, ...WINDOWS.map((n) => h("option", { value: n * 60, text: say("other_minutes", { n }) })));
  windows.value = "300";
  const refusal = h("p", { class: "refusal", role: "status" });
  const area = h("div", { class: "ask-area", tabindex: 0, role: "slider", "aria-label": say("ask_area"), "aria-valuenow": 0, hidden: true });
  const verdict = h("p", { class: "ask-verdict", role: "status" });
  const detail = h("p", { class: "label" });
  const hint = h("p", { class: "label", text: say("ask_draw"), hidden: true });
  const key = h("p", { class: "lines-key", hidden: true }, h("span", { class: "key guess", text: say("ask_guess") }), h("span", { class: "key was", text: say("ask_seen") }));

  /** The question as it stands. @type {{ signal: string, from: number, window: number, low: number, high: number } | null} */
  let asked = null;
  /** What was drawn: values as shown at even times, NaN where nothing is. @type {number[]} */
  let drawn = [];
  /** The keyboard's point. */
  let cursor = 0;
  /** @type {ReturnType<typeof chart> | null} */
  let plot = null;
  let drawnFor = "";
  let drawing = false;
  let lastPoint = -1;

  const clear = h("button", {
    type: "button",
    "data-desk": "clear_guess",
    text: say("ask_clear"),
    hidden: true,
    on: {
      click: () => {
        drawn = drawn.map(() => NaN);
        cursor = 0;
        drawnFor = "";
        update();
      },
    },
  });
  const runOn = h("button", { type: "button", class: "primary", "data-desk": "run_on", text: say("ask_run"), hidden: true, on: { click: () => app.run() } });

  function ask() {
    setText(refusal, "");
    const id = signal.chosen();
    if (!id) return setText(refusal, say("wrong_no_signal"));
    const window = Number(windows.value);
    try {
      app.freeze();
      session.ask(id, window);
    } catch (thrown) {
      return setText(refusal, app.explain({ ...asFault(thrown), place: "" }));
    }
    const now = store.get("unit.time");
    const { low, high } = app.manifest.signals.find((one) => one.id === id) ?? { low: 0, high: 1 };
    // Room to either side for what a class may think of.
    const quantity = store.quantity(id);
    const here = units.shown(quantity, store.get(id));
    const room = Math.abs(units.shown(quantity, high) - units.shown(quantity, low)) * 0.08;
    asked = { signal: id, from: now, window, low: here - room, high: here + room };
    drawn = Array.from({ length: POINTS + 1 }, () => NaN);
    drawn[0] = here;
    cursor = 0;
    drawnFor = "";
    update();
    area.focus();
  }

  /** Values of the guess with gaps filled: straight lines between what was drawn. @returns {[number, number][]} */
  function points() {
    if (!asked) return [];
    const { window } = asked;
    return drawn.flatMap((value, at) =>
      Number.isFinite(value) ? [/** @type {[number, number]} */ ([(at / POINTS) * window, value])] : [],
    );
  }
  /** @param {number} at @param {number} value */
  function put(at, value) {
    if (!asked) return;
    const here = Math.max(0, Math.min(POINTS, at));
    const inside = Math.max(asked.low, Math.min(asked.high, value));
    // A quick hand skips points: they lie on the straight line.
    if (lastPoint >= 0 && Math.abs(here - lastPoint) > 1) {
      const from = drawn[lastPoint] ?? inside;
      const way = Math.sign(here - lastPoint);
      for (let n = lastPoint + way; n !== here; n += way)
        drawn[n] = from + ((inside - from) * (n - lastPoint)) / (here - lastPoint);
    }
    drawn[here] = inside;
    lastPoint = here;
    cursor = here;
    drawnFor = "";
  }
  /** @param {PointerEvent} event */
  function fromPointer(event) {
    if (!plot || !asked) return;
    const box = plot.el.getBoundingClientRect();
    const time = plot.time(((event.clientX - box.left) / box.width) * WIDTH);
    const value = plot.value(((event.clientY - box.top) / box.height) * HEIGHT);
    put(Math.round(((time - asked.from) / asked.window) * POINTS), value);
    update();
  }
  area.addEventListener("pointerdown", (event) => {
    if (seen().length > 1) return;
    drawing = true;
    lastPoint = -1;
    area.setPointerCapture(event.pointerId);
    fromPointer(event);
  });
  area.addEventListener("pointermove", (event) => {
    if (drawing) fromPointer(event);
  });
  for (const name of ["pointerup", "pointercancel"]) area.addEventListener(name, () => (drawing = false));
  area.addEventListener("keydown", (event) => {
    if (!asked || seen().length > 1) return;
    const { low, high } = asked;
    const up = (high - low) / 40;
    const last = drawn[cursor] ?? NaN;
    const value = Number.isFinite(last) ? last : (points().findLast(([time]) => time <= (cursor / POINTS) * (asked?.window ?? 1))?.[1] ?? (low + high) / 2);
    lastPoint = cursor;
    if (event.key === "ArrowRight") put(cursor + 4, value);
    else if (event.key === "ArrowLeft") put(cursor - 4, drawn[Math.max(0, cursor - 4)] ?? value);
    else if (event.key === "ArrowUp") put(cursor, value + up);
    else if (event.key === "ArrowDown") put(cursor, value - up);
    else return;
    event.preventDefault();
    update();
  });

  /** What has been observed since. @returns {number[]} */
  function seen() {
    const question = session.asked();
    return question && asked && question.signal === asked.signal && question.from_s === asked.from ? question.observed : [];
  }

  function update() {
    const open = asked !== null;
    for (const one of [area, hint, clear, runOn]) show(one, open);
    if (!asked) return;
    const { signal: id, from, window } = asked;
    const quantity = store.quantity(id);
    const observed = seen();
    const over = observed.length > 1;
    show(key, true);
    show(hint, !over);
    show(clear, !over);
    show(runOn, !app.clock.running);
    const stamp = `${observed.length} ${units.system} ${drawn.join()}`;
    if (stamp === drawnFor) return;
    if (!drawnFor.includes(` ${units.system} `) && drawnFor) {
      // Other units: what was drawn no longer stands on this axis.
      asked = null;
      return update();
    }
    drawnFor = stamp;
    const index = store.index.get(id) ?? 0;
    const [times = [], column = []] = store.history.read([index], from - BEFORE * window, from);
    const shown = (/** @type {number} */ inside) => units.shown(quantity, inside);
    const before = times.flatMap((time, at) => (time <= from ? [/** @type {[number, number]} */ ([time, shown(column[at] ?? NaN)])] : []));
    const after = observed.map((inside, at) => /** @type {[number, number]} */ ([from + at, shown(inside)]));
    const guess = points().map(([time, value]) => /** @type {[number, number]} */ ([from + time, value]));
    const values = [...before, ...after].map(([, value]) => value);
    plot = chart({
      lines: [
        { points: [...before, ...after], style: "was" },
        { points: guess, style: "guess" },
      ],
      span: [from - BEFORE * window, from + window],
      values: [Math.min(asked.low, ...values), Math.max(asked.high, ...values)],
      least: 1,
      now: from,
      height: HEIGHT,
    });
    area.replaceChildren(plot.el);
    const at = guess.at(-1);
    set(area, {
      "aria-valuenow": Math.round((cursor / POINTS) * window),
      "aria-valuemin": 0,
      "aria-valuemax": window,
      "aria-valuetext": at ? `${plantTime(from + (cursor / POINTS) * window)}: ${tickText(drawn[cursor] ?? NaN, 1)} ${units.unit(quantity)}` : "",
    });
    compare(observed);
  }

  /** How far off it was. @param {number[]} observed */
  function compare(observed) {
    const guess = points();
    if (!asked || observed.length < 3 || guess.length < 2) {
      setText(verdict, "");
      setText(detail, "");
      return;
    }
    const { signal: id, from } = asked;
    const quantity = store.quantity(id);
    const time = observed.length - 1;
    try {
      const marks = session.marks(guess.map(([t, value]) => [t, units.inside(quantity, value)]));
      const said = marks.guessed_to ?? NaN;
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
        clear,
      ),
      refusal,
      hint,
      key,
      area,
      verdict,
      detail,
    ),
    update,
  };
}
