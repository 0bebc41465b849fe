// The trend of the three figures that a heater moves, one lane each over one time, with what happened marked.

import uPlot from "uplot";
import { h, set, setText, show } from "./dom.js";
import { describe } from "./events.js";
import { segmented } from "./header.js";
import { recall, remember } from "./settings.js";
import { PENS } from "./store.js";
import { colour, onTheme } from "./theme.js";
import { plantTime } from "./units.js";
import { say, sayOr } from "./words.js";

const WINDOWS = [5, 15, 60]; // minutes of plant time
/** The least height of a lane in inside units, so that noise is not blown up to a mountain: K, kW, kJ/kWh. */
const LEAST = [6, 4000, 60];
const AXIS = 52;
const FOOT = 22;
const TITLE = 17;

/** @param {import("./app.js").App} app */
export function createTrend(app) {
  const { store, units } = app;
  let minutes = Number(recall("window")) || 5;
  if (!WINDOWS.includes(minutes)) minutes = 5;
  let lanes = /** @type {uPlot[]} */ ([]);
  let builtFor = "";
  let size = { width: 0, height: 0 };
  let drawnAt = -1;
  /** Sample under the cursor; null follows the latest. @type {number | null} */
  let at = null;
  /** The window's samples, as shown. @type {number[][]} */
  let view = [[], ...PENS.map(() => [])];

  const windows = segmented(say("window"), WINDOWS.map((one) => ({ text: say("minutes", { n: one }), data: { window: String(one) },
    click: () => { minutes = one; remember("window", String(one)); drawnAt = -1; } })));
  const when = h("span", { class: "trend-when" });
  const plots = h("div", { class: "plots", tabindex: 0, role: "slider", "aria-label": say("trend_slider"), "aria-valuenow": 0 });
  const titles = PENS.map((id, pen) => h("p", { class: `lane-title pen-${pen}` },
    h("span", { class: "label", text: sayOr(id.replace("unit.", ""), id) }), " ", h("span", { class: "value" })));
  const stack = PENS.map((_, pen) => h("div", { class: "lane" }, titles[pen] ?? null));
  plots.append(...stack);
  const summary = h("p", { class: "visually-hidden", id: "trend-summary" });
  plots.setAttribute("aria-describedby", "trend-summary");
  const el = h("section", { class: "trend", "aria-labelledby": "trend-title" },
    h("div", { class: "trend-head" }, h("h2", { id: "trend-title", text: say("trend") }), when, windows.el), plots, summary);
  new ResizeObserver(([entry]) => {
    if (entry) size = { width: Math.floor(entry.contentRect.width), height: Math.floor(entry.contentRect.height) };
  }).observe(plots);
  onTheme(() => { builtFor = ""; });

  plots.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: -1, ArrowRight: 1, PageUp: -30, PageDown: 30 }[event.key];
    const last = (view[0]?.length ?? 0) - 1;
    if (by !== undefined) moveTo((at ?? last) + by * (event.shiftKey ? 10 : 1));
    else if (event.key === "Home") moveTo(0);
    else if (event.key === "End" || event.key === "Escape") at = null;
    else return;
    event.preventDefault();
    readOut(true);
  });
  /** @param {number} index */
  const moveTo = (index) => {
    at = Math.max(0, Math.min((view[0]?.length ?? 1) - 1, index));
    for (const lane of lanes) lane.setCursor({ left: lane.valToPos(view[0]?.[at] ?? 0, "x"), top: 4 }, false);
  };

  /** @param {boolean} spoken  by keyboard: then it is also said */
  function readOut(spoken) {
    const times = view[0] ?? [];
    const index = at === null ? times.length - 1 : Math.min(at, times.length - 1);
    const time = times[index];
    if (time === undefined) return;
    const texts = PENS.map((id, pen) => {
      const quantity = store.quantity(id);
      const inside = at === null ? store.get(id) : units.inside(quantity, view[pen + 1]?.[index] ?? NaN);
      return units.full(quantity, inside, id.endsWith("_change"));
    });
    texts.forEach((text, pen) => { const span = titles[pen]?.lastElementChild; if (span) setText(span, text); });
    setText(when, at === null ? "" : say("at_time", { time: plantTime(time) }));
    if (spoken || document.activeElement !== plots) {
      set(plots, { "aria-valuemin": Math.round(times[0] ?? 0), "aria-valuemax": Math.round(times.at(-1) ?? 0), "aria-valuenow": Math.round(time),
        "aria-valuetext": `${say("at_time", { time: plantTime(time) })}: ${PENS.map((id, pen) => `${sayOr(id.replace("unit.", ""), id)} ${texts[pen]}`).join(", ")}` });
    }
  }

  /**
   * @param {number} pen
   * @param {number} width
   * @param {number} height
   */
  function lane(pen, width, height) {
    const ink = colour("ink-soft");
    const grid = { stroke: colour("grid"), width: 1 };
    const font = `11px ${getComputedStyle(document.body).fontFamily}`;
    const last = pen === PENS.length - 1;
    const quantity = store.quantity(PENS[pen] ?? "");
    const least = (LEAST[pen] ?? 1) * units.display(quantity).factor;
    return new uPlot({
      width, height, legend: { show: false }, padding: [4, 8, last ? 0 : 4, 0],
      cursor: { y: false, drag: { x: false, y: false }, sync: { key: "bledsteam" }, points: { size: 7 } },
      scales: {
        x: { time: false, range: () => { const now = store.get("unit.time"); return [now - minutes * 60, now]; } },
        y: { range: (_, low, high) => {
          const known = Number.isFinite(low) && Number.isFinite(high);
          const middle = known ? (low + high) / 2 : units.shown(quantity, store.get(PENS[pen] ?? ""));
          const half = (Math.max(known ? high - low : 0, least) / 2) * 1.12;
          // Head room for the lane's title, so that the line never runs under it.
          const title = Math.min(0.55, TITLE / Math.max(1, height - (last ? FOOT : 0)));
          return Number.isFinite(middle) ? [middle - half, middle + half + (2 * half * title) / (1 - title)] : [0, 1];
        } },
      },
      axes: [
        { show: true, size: last ? FOOT : 0, stroke: ink, grid, ticks: { show: last, stroke: grid.stroke, width: 1, size: 4 }, font, gap: 3,
          space: 70, incrs: [30, 60, 120, 300, 600, 900], values: (_, marks) => {
            // None before the start, none that the right edge would cut.
            const now = store.get("unit.time");
            return marks.map((mark) => (last && mark >= 0 && mark < now - minutes * 60 * 0.05 ? plantTime(mark) : ""));
          } },
        { size: AXIS, stroke: ink, grid, ticks: { show: false }, font, gap: 4, space: 20,
          values: (_, marks) => {
            const digits = marks.every((mark) => Number.isInteger(mark)) ? 0 : 1;
            return marks.map((mark) => mark.toFixed(digits).replace("-", "−"));
          } },
      ],
      series: [{}, { stroke: colour(`pen-${pen}`), width: 2, points: { show: false }, dash: [[], [9, 4], [2.5, 3]][pen] ?? [] }],
      hooks: {
        draw: [(plot) => mark(plot, pen)],
        setCursor: [(plot) => {
          if (pen !== 0 || document.activeElement === plots) return;
          at = plot.cursor.left !== undefined && plot.cursor.left >= 0 ? plot.cursor.idx ?? null : null;
          readOut(false);
        }],
      },
    }, [[], []], stack[pen]);
  }

  /**
   * Events as upright lines, their shapes in the first lane; the value from before as a faint level line.
   * @param {uPlot} plot
   * @param {number} pen
   */
  function mark(plot, pen) {
    const { ctx, bbox } = plot;
    const px = devicePixelRatio;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    const reference = app.reference(PENS[pen] ?? "");
    if (Number.isFinite(reference)) {
      const y = plot.valToPos(units.shown(store.quantity(PENS[pen] ?? ""), reference), "y", true);
      ctx.strokeStyle = colour("ghost");
      ctx.lineWidth = px;
      ctx.setLineDash([2 * px, 4 * px]);
      ctx.beginPath();
      ctx.moveTo(bbox.left, y);
      ctx.lineTo(bbox.left + bbox.width, y);
      ctx.stroke();
    }
    const from = store.get("unit.time") - minutes * 60;
    ctx.setLineDash([]);
    ctx.textAlign = "center";
    ctx.font = `${11 * px}px ${getComputedStyle(document.body).fontFamily}`;
    for (let index = store.events.length - 1; index >= 0; index -= 1) {
      const event = store.events[index];
      if (!event || event.time_s < from) break;
      const { shape, weight, marked } = describe(event, app);
      if (!marked) continue;
      const x = plot.valToPos(event.time_s, "x", true);
      ctx.strokeStyle = ctx.fillStyle = weight === "alarm" ? colour("alarm") : weight === "warn" ? colour("warn") : colour("ink-soft");
      ctx.lineWidth = px;
      ctx.beginPath();
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
      if (pen === 0) ctx.fillText(shape, x, bbox.top + bbox.height - 3 * px);
    }
    ctx.restore();
  }

  function build() {
    for (const one of lanes) one.destroy();
    const each = Math.floor((size.height - FOOT) / PENS.length);
    lanes = PENS.map((_, pen) => lane(pen, size.width, pen === PENS.length - 1 ? each + FOOT : each));
  }

  function fillIn() {
    const from = store.get("unit.time") - minutes * 60;
    let first = store.times.findIndex((time) => time >= from);
    first = Math.max(0, first - 1);
    // The latest reading ends the line, so that it reaches the present between two samples.
    const now = store.get("unit.time");
    const live = now > (store.times.at(-1) ?? now);
    view = [[...store.times.slice(first), ...(live ? [now] : [])], ...PENS.map((id, pen) => {
      const { factor, offset } = units.display(store.quantity(id));
      return [...(store.columns[pen] ?? []).slice(first), ...(live ? [store.get(id)] : [])].map((inside) => inside * factor + offset);
    })];
    lanes.forEach((one, pen) => one.setData([view[0] ?? [], view[pen + 1] ?? []]));
  }

  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      for (const button of windows.buttons) set(button, { "aria-pressed": String(Number(button.dataset.window) === minutes) });
      const fits = size.width > 150 && size.height > 70;
      show(summary, true);
      if (!fits) return;
      const key = `${size.width} ${size.height} ${units.system}`;
      if (key !== builtFor) {
        build();
        builtFor = key;
        drawnAt = -1;
      }
      const stamp = store.version + app.version * 1e7;
      if (!slow || stamp === drawnAt) return;
      drawnAt = stamp;
      fillIn();
      readOut(false);
      const spoken = PENS.map((id, pen) => {
        const column = view[pen + 1] ?? [];
        const tell = (/** @type {number} */ shown) => units.full(store.quantity(id), units.inside(store.quantity(id), shown));
        return say("trend_summary", { name: sayOr(id.replace("unit.", ""), id), from: tell(column[0] ?? NaN), to: tell(column.at(-1) ?? NaN),
          low: tell(Math.min(...column)), high: tell(Math.max(...column)) });
      });
      setText(summary, `${say("trend_in", { n: minutes })} ${spoken.join(" ")}`);
    },
  };
}
