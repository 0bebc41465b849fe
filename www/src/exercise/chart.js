// A chart of a few lines over a time of their own: what was guessed over what came, an excerpt, a twin, a watched signal.

import uPlot from "uplot";
import { h, setText } from "../dom.js";
import { colour, onTheme } from "../theme.js";
import { tickText } from "../units.js";

/** Time as m:ss, with a sign before zero. @param {number} seconds */
export function minutesText(seconds) {
  const whole = Math.round(Math.abs(seconds));
  const text = `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
  return seconds < -0.5 ? `−${text}` : text;
}

/** Digits that the marks of an axis need. @param {number[]} marks */
function digitsOf(marks) {
  const step = Math.abs((marks[1] ?? 0) - (marks[0] ?? 0));
  return [0, 1, 2, 3].find((one) => Math.abs(step * 10 ** one - Math.round(step * 10 ** one)) < 1e-6) ?? 4;
}

/**
 * One line. `pen` is its colour's number; `dash` tells it apart without colour. Values in inside units.
 * @typedef {{ name: string, pen: number, dash?: number[], width?: number, times: number[], values: (number | null)[] }} Line
 */

/**
 * @param {import("../app.js").App} app
 * @param {object} what
 * @param {string} what.quantity
 * @param {() => Line[]} what.lines
 * @param {() => string} what.words            the chart in a sentence, for those who do not see it
 * @param {() => [number, number]} [what.span]   shown time; all of the lines where it is not given
 * @param {() => [number, number]} [what.range]  shown values in inside units; what the lines need where it is not given
 * @param {{ at: number, text: string }[]} [what.marks]  upright lines
 * @param {number} [what.height]
 * @param {string} [what.cls]
 */
export function createChart(app, { quantity, lines, words, span, range, marks = [], height = 150, cls = "" }) {
  const place = h("div", { class: "ex-plot" });
  const spoken = h("p", { class: "visually-hidden" });
  const unit = h("span", { class: "label ex-unit" });
  const key = h("span", { class: "ex-key" });
  const el = h("figure", { class: `ex-chart ${cls}` }, h("figcaption", {}, key, unit), place, spoken);
  /** @type {uPlot | null} */
  let plot = null;
  let builtFor = "";
  let width = 0;
  new ResizeObserver(([entry]) => {
    if (entry) width = Math.floor(entry.contentRect.width);
    if (el.isConnected) api.update(true);
  }).observe(place);
  onTheme(() => {
    builtFor = "";
    if (el.isConnected) api.update(true);
  });

  /** @param {Line[]} drawn */
  function build(drawn) {
    plot?.destroy();
    const ink = colour("ink-soft");
    const grid = { stroke: colour("grid"), width: 1 };
    const font = `12px ${getComputedStyle(document.body).fontFamily}`;
    const { digits } = app.units.display(quantity);
    const least = 20 * 10 ** -digits;
    plot = new uPlot(
      {
        width,
        height,
        legend: { show: false },
        padding: [10, 14, 0, 0],
        cursor: { show: false },
        scales: {
          x: { time: false, range: (_, low, high) => span?.() ?? [low, Math.max(high, low + 1)] },
          y: {
            range: (_, low, high) => {
              if (range) {
                const [a, b] = range();
                return [app.units.shown(quantity, a), app.units.shown(quantity, b)];
              }
              if (!Number.isFinite(low) || !Number.isFinite(high)) return [0, 1];
              const half = (Math.max(high - low, least) / 2) * 1.15;
              return [(low + high) / 2 - half, (low + high) / 2 + half];
            },
          },
        },
        axes: [
          {
            stroke: ink, grid, font, size: 26, gap: 3, space: 60,
            ticks: { stroke: grid.stroke, width: 1, size: 4 },
            incrs: [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800],
            values: (_, at) => at.map(minutesText),
          },
          {
            stroke: ink, grid, font, size: 56, gap: 4, space: 26, ticks: { show: false },
            values: (_, at) => at.map((mark) => tickText(mark, digitsOf(at))),
          },
        ],
        series: [
          {},
          ...drawn.map(({ pen, dash, width: wide }) => ({
            stroke: colour(`pen-${pen}`), width: wide ?? 2, dash: dash ?? [], points: { show: false }, spanGaps: false,
          })),
        ],
        hooks: {
          draw: [
            (one) => {
              const { ctx, bbox } = one;
              const px = devicePixelRatio;
              ctx.save();
              ctx.strokeStyle = ctx.fillStyle = colour("ink-soft");
              ctx.font = `${11 * px}px ${getComputedStyle(document.body).fontFamily}`;
              ctx.lineWidth = px;
              ctx.setLineDash([3 * px, 3 * px]);
              for (const { at, text } of marks) {
                const x = one.valToPos(at, "x", true);
                if (x < bbox.left - 1 || x > bbox.left + bbox.width + 1) continue;
                ctx.beginPath();
                ctx.moveTo(x, bbox.top);
                ctx.lineTo(x, bbox.top + bbox.height);
                ctx.stroke();
                ctx.textAlign = x > bbox.left + bbox.width * 0.7 ? "right" : "left";
                ctx.fillText(text, x + (ctx.textAlign === "left" ? 4 : -4) * px, bbox.top + 11 * px);
              }
              ctx.restore();
            },
          ],
        },
      },
      [[], ...drawn.map(() => [])],
      place,
    );
    key.replaceChildren(
      ...drawn
        .filter(({ name }) => name)
        .map(({ name, pen, dash }) => {
          const line = document.createElementNS("http://www.w3.org/2000/svg", "svg");
          line.setAttribute("viewBox", "0 0 30 8");
          line.setAttribute("aria-hidden", "true");
          const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
          path.setAttribute("d", "M1 4h28");
          path.setAttribute("class", `pen-stroke pen-${pen}`);
          if (dash?.length) path.setAttribute("stroke-dasharray", dash.join(" "));
          line.append(path);
          return h("span", {}, line, name);
        }),
    );
  }

  const api = {
    el,
    plot: () => plot,
    /** @param {boolean} [anew]  the values have changed */
    update(anew = false) {
      if (width < 60) return;
      const drawn = lines();
      const built = `${width} ${app.units.system} ${drawn.map(({ name, pen }) => `${name}${pen}`).join("|")}`;
      if (built !== builtFor) {
        builtFor = built;
        build(drawn);
        anew = true;
      }
      if (!anew || !plot) return;
      const { factor, offset } = app.units.display(quantity);
      const shown = (/** @type {number | null} */ v) => (v === null || !Number.isFinite(v) ? null : v * factor + offset);
      const tables = drawn.map(({ times, values }) => /** @type {uPlot.AlignedData} */ ([times, values.map(shown)]));
      plot.setData(tables.length === 1 && tables[0] ? tables[0] : uPlot.join(tables));
      setText(unit, app.units.unit(quantity));
      setText(spoken, words());
    },
  };
  return api;
}
