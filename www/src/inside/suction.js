// Under the open heater: the temperature on its way down the suction pipe, and the head that the feed pumps have and
// need. Water hotter than the tank now is takes head away when it arrives.

import { ticks } from "../climb/layout.js";
import { pathOf } from "../climb/shape.js";
import { s, set, setText, show } from "../dom.js";
import { bind } from "../signals.js";
import { say } from "../words.js";
import { HOTTER, PLACES } from "./tank.js";

/** Least height of the temperature scale (K), so that a tenth does not fill the picture. */
const LEAST = 8;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {number} width
 * @param {number} height
 */
export function createSuction(app, heater, width, height) {
  const { store, units } = app;
  const { id } = heater;
  const split = Math.round(width * 0.56);
  const frame = { left: 50, right: split - 30, top: 24, bottom: height - 34 };
  const grid = s("g");
  const boils = s("path", { class: "shell-side heavy" });
  const boilsText = s("text", { class: "figure-text", x: frame.right, "text-anchor": "end" });
  const pipe = s("path", { class: "water" });
  const dots = s("path", { class: "dots" });
  const ghost = s("path", { class: "ghost" });
  const fill = s("path", { class: "over-fill" });
  let ruled = "";
  let low = NaN;
  let high = NaN;

  const bars = { left: split + 108, right: width - 86, top: 40 };
  const tall = Math.min(26, Math.max(14, (height - 110) / 4));
  const available = s("rect", { class: "bar available", x: bars.left, y: bars.top, height: tall });
  const required = s("rect", { class: "bar required", x: bars.left, y: bars.top + tall + 16, height: tall });
  const need = s("path", { class: "need" });
  const margin = s("path", { class: "gap-line" });
  const row = (/** @type {"available" | "required"} */ name, /** @type {number} */ at) => [
    s("text", { class: "zone-text", x: bars.left - 8, y: at + tall / 2 + 4, "text-anchor": "end", text: say(`head_${name}`) }),
    bind(s("text", { class: "figure-text strong", y: at + tall / 2 + 4 }), `unit.suction_head_${name}`, { unit: true, digits: 1 }),
  ];
  const [availableName, availableValue] = row("available", bars.top);
  const [requiredName, requiredValue] = row("required", bars.top + tall + 16);
  const marginY = bars.top + 2 * tall + 38;
  const marginName = s("text", {
    class: "zone-text",
    x: bars.left - 8,
    y: marginY + 5,
    "text-anchor": "end",
    text: say("head_margin"),
  });
  const marginText = bind(
    s("text", { class: "figure-text strong", y: marginY + 19, "text-anchor": "middle" }),
    "unit.suction_head_margin",
    { unit: true, signed: true, digits: 1 },
  );
  const verdict = s("text", { class: "figure-text soft", x: bars.left, y: marginY + 38 });
  /** Head for the whole length of the bars: from design, so that the bars move and not their scale. */
  const most = Math.max(store.design("unit.suction_head_available"), store.design("unit.suction_head_required"), 1) * 1.25;

  const el = s(
    "g",
    { class: "suction-chart" },
    s("text", { class: "chart-title", x: 8, y: 13, text: say("suction_title", { temperature: units.unit("temperature") }) }),
    s("text", { class: "chart-title", x: split, y: 13, text: say("head_title") }),
    grid,
    fill,
    ghost,
    boils,
    pipe,
    dots,
    boilsText,
    s("text", { class: "axis-text", x: frame.left, y: frame.bottom + 15, text: say("suction_tank") }),
    s("text", { class: "axis-text", x: frame.right, y: frame.bottom + 15, "text-anchor": "end", text: say("suction_pumps") }),
    available,
    required,
    need,
    margin,
    ...[availableName, availableValue, requiredName, requiredValue].filter((one) => one !== undefined),
    marginName,
    marginText,
    verdict,
  );

  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      const temperatures = PLACES.map((n) => store.get(`${id}.suction_temperature_${n}`));
      const now = store.get(`${id}.saturation_temperature`);
      const [least, top] = [Math.min(...temperatures, now), Math.max(...temperatures, now)];
      // The scale moves only when the lines leave it, or would lie in a corner of it.
      const room = Math.max(LEAST, (top - least) * 1.5);
      if (!(least > low + room * 0.04 && top < high - room * 0.04) || high - low > 2.2 * room) {
        const middle = (least + top) / 2;
        low = Math.floor(middle - room / 2);
        high = Math.ceil(middle + room / 2);
      }
      const y = (/** @type {number} */ t) => frame.bottom - ((t - low) / (high - low)) * (frame.bottom - frame.top);
      const x = (/** @type {number} */ at) => frame.left + (at / (PLACES.length - 1)) * (frame.right - frame.left);
      const key = `${low} ${high}`;
      if (key !== ruled) {
        ruled = key;
        const [a, b] = [units.shown("temperature", low), units.shown("temperature", high)];
        const fine = b - a <= 40 ? Array.from({ length: 60 }, (_, at) => Math.ceil(a / 2) * 2 + at * (b - a > 14 ? 4 : 2)).filter((mark) => mark <= b) : ticks(a, b);
        grid.replaceChildren(
          ...fine.flatMap((mark) => {
            const at = y(units.inside("temperature", mark));
            return [
              s("line", { class: "grid", x1: frame.left, x2: frame.right, y1: at, y2: at }),
              s("text", { class: "axis-text", x: frame.left - 6, y: at + 4, "text-anchor": "end", text: String(mark) }),
            ];
          }),
        );
      }
      const points = temperatures.map((t, at) => /** @type {[number, number]} */ ([x(at), y(t)]));
      set(pipe, { d: pathOf(points), "stroke-width": 3 });
      set(dots, { d: points.map(([px, py]) => `M${px.toFixed(1)} ${py.toFixed(1)}h0.01`).join("") });
      set(boils, { d: `M${frame.left} ${y(now).toFixed(1)}H${frame.right}` });
      const over = points.map(([px, py]) => /** @type {[number, number]} */ ([px, Math.min(py, y(now))]));
      set(fill, { d: `${pathOf(over)}L${frame.right} ${y(now).toFixed(1)}L${frame.left} ${y(now).toFixed(1)}z` });
      show(fill, temperatures.some((t) => t - now > HOTTER));
      const was = PLACES.map((n) => app.reference(`${id}.suction_temperature_${n}`));
      set(ghost, {
        d: was.every((t) => t > low && t < high)
          ? pathOf(was.map((t, at) => /** @type {[number, number]} */ ([x(at), y(t)])))
          : "",
      });

      const has = store.get("unit.suction_head_available");
      const needs = store.get("unit.suction_head_required");
      const spare = store.get("unit.suction_head_margin");
      const long = (/** @type {number} */ head) =>
        Math.max(0, Math.min(1.02, head / most)) * (bars.right - bars.left);
      set(available, { width: long(has) });
      set(required, { width: long(needs) });
      const [a, b] = [bars.left + long(needs), bars.left + long(has)];
      if (availableValue) set(availableValue, { x: b + 7 });
      if (requiredValue) set(requiredValue, { x: a + 7 });
      set(need, { d: `M${a.toFixed(1)} ${bars.top - 8}V${marginY + 8}` });
      set(margin, { d: `M${a.toFixed(1)} ${marginY}H${b.toFixed(1)}M${b.toFixed(1)} ${bars.top + tall + 2}V${marginY + 6}M${a.toFixed(1)} ${marginY - 6}v12` });
      set(marginText, { x: Math.max(bars.left + 40, (a + b) / 2) });
      const weight = spare < 0 ? "alarm" : spare < 0.25 * needs ? "warn" : "calm";
      for (const one of [available, marginText, verdict]) set(one, { "data-weight": weight });
      set(margin, { "data-sign": spare < 0 ? "crossed" : "clear" });
      if (!slow) return;
      setText(verdict, spare < 0 ? say("head_short") : "");
      show(verdict, spare < 0);
      // On the side where the pipe's line does not run: above while the water is the colder.
      const above = y(now) > frame.bottom - 20 || ((temperatures.at(-1) ?? now) < now && y(now) > frame.top + 20);
      set(boilsText, { y: y(now) + (above ? -7 : 16) });
      setText(boilsText, say("suction_boils", { temperature: units.full("temperature", now) }));
    },
    words() {
      const full = (/** @type {string} */ name) => units.full(store.quantity(name), store.get(name));
      return say("suction_words", {
        first: full(`${id}.suction_temperature_1`),
        last: full(`${id}.suction_temperature_5`),
        saturation: full(`${id}.saturation_temperature`),
        available: full("unit.suction_head_available"),
        required: full("unit.suction_head_required"),
        margin: full("unit.suction_head_margin"),
      });
    },
  };
}
