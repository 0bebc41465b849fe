// The trend of the three figures that a heater moves, one lane each over one time, with what happened marked.

import { h, set, setText } from "./dom.js";
import { segmented } from "./header.js";
import { FOOT, createLane } from "./lane.js";
import { recall, remember } from "./settings.js";
import { PENS } from "./store.js";
import { onTheme } from "./theme.js";
import { plantTime } from "./units.js";
import { say, sayOr } from "./words.js";

const WINDOWS = [5, 15, 60]; // minutes of plant time

/** @param {import("./app.js").App} app */
export function createTrend(app) {
  const { store, units } = app;
  let minutes = Number(recall("window")) || 5;
  if (!WINDOWS.includes(minutes)) minutes = 5;
  let lanes = /** @type {ReturnType<typeof createLane>[]} */ ([]);
  let builtFor = "";
  let size = { width: 0, height: 0 };
  let drawnAt = -1;
  /** Plant time that is read out; null follows the latest. @type {number | null} */
  let at = null;
  let pointing = false;
  /** The window's samples, as shown. @type {number[][]} */
  let view = [[], ...PENS.map(() => [])];

  const windows = segmented(
    say("window"),
    WINDOWS.map((one) => ({
      text: say("minutes", { n: one }),
      data: { window: String(one) },
      click: () => {
        minutes = one;
        remember("window", String(one));
        drawnAt = -1;
      },
    })),
  );
  const when = h("span", { class: "trend-when" });
  const plots = h("div", {
    class: "plots",
    tabindex: 0,
    role: "slider",
    "aria-label": say("trend_slider"),
    "aria-valuenow": 0,
  });
  const titles = PENS.map((id, pen) =>
    h(
      "p",
      { class: `lane-title pen-${pen}` },
      h("span", { class: "label", text: sayOr(id.replace("unit.", ""), id) }),
      " ",
      h("span", { class: "value" }),
    ),
  );
  const stack = PENS.map((_, pen) => h("div", { class: "lane" }, titles[pen] ?? null));
  plots.append(...stack);
  const summary = h("p", { class: "visually-hidden", id: "trend-summary" });
  plots.setAttribute("aria-describedby", "trend-summary");
  const el = h(
    "section",
    { class: "trend", "aria-labelledby": "trend-title" },
    h("div", { class: "trend-head" }, h("h2", { id: "trend-title", text: say("trend") }), when, windows.el),
    plots,
    summary,
  );
  new ResizeObserver(([entry]) => {
    if (entry) size = { width: Math.floor(entry.contentRect.width), height: Math.floor(entry.contentRect.height) };
  }).observe(plots);
  onTheme(() => {
    builtFor = "";
  });

  plots.addEventListener("keydown", (event) => {
    const times = view[0] ?? [];
    const by = { ArrowLeft: -1, ArrowRight: 1, PageUp: -30, PageDown: 30 }[event.key];
    const here = indexOf(at);
    if (by !== undefined)
      at = times[Math.max(0, Math.min(times.length - 1, here + by * (event.shiftKey ? 10 : 1)))] ?? null;
    else if (event.key === "Home") at = times[0] ?? null;
    else if (event.key === "End" || event.key === "Escape") at = null;
    else return;
    event.preventDefault();
    showCursor();
    readOut(true);
  });
  plots.addEventListener("pointerenter", () => (pointing = true));
  plots.addEventListener("pointerleave", () => {
    pointing = false;
    at = null;
    readOut(false);
  });

  /** The sample at a plant time, or the latest. @param {number | null} time */
  function indexOf(time) {
    const times = view[0] ?? [];
    const found = time === null ? -1 : times.findIndex((one) => one >= time);
    return found < 0 ? times.length - 1 : found;
  }

  /** Puts the lanes' cursors where the keyboard reads; away when it follows the latest. */
  function showCursor() {
    for (const lane of lanes) lane.setCursor({ left: at === null ? -10 : lane.valToPos(at, "x"), top: 4 }, false);
  }

  /** @param {boolean} spoken  by keyboard: then it is also said */
  function readOut(spoken) {
    const times = view[0] ?? [];
    const index = indexOf(at);
    const time = times[index];
    if (time === undefined) return;
    const texts = PENS.map((id, pen) => {
      const quantity = store.quantity(id);
      const inside = at === null ? store.meant(id) : units.inside(quantity, view[pen + 1]?.[index] ?? NaN);
      return Number.isFinite(inside) ? units.full(quantity, inside, id.endsWith("_change")) : "–";
    });
    texts.forEach((text, pen) => {
      const span = titles[pen]?.lastElementChild;
      if (span) setText(span, text);
    });
    setText(when, at === null ? "" : say("at_time", { time: plantTime(time) }));
    const named = PENS.map((id, pen) => `${sayOr(id.replace("unit.", ""), id)} ${texts[pen]}`);
    if (spoken || document.activeElement !== plots || at === null) {
      set(plots, {
        "aria-valuemin": Math.round(times[0] ?? 0),
        "aria-valuemax": Math.round(times.at(-1) ?? 0),
        "aria-valuenow": Math.round(time),
        "aria-valuetext": `${say("at_time", { time: plantTime(time) })}: ${named.join(", ")}`,
      });
    }
  }

  function build() {
    for (const one of lanes) one.destroy();
    const each = Math.floor((size.height - FOOT) / PENS.length);
    lanes = PENS.map((_, pen) =>
      createLane(app, {
        pen,
        width: size.width,
        height: pen === PENS.length - 1 ? each + FOOT : each,
        into: stack[pen],
        minutes: () => minutes,
        hover: (index) => {
          if (!pointing) return;
          at = index === null ? null : (view[0]?.[index] ?? null);
          readOut(false);
        },
      }),
    );
  }

  function fillIn() {
    const from = store.get("unit.time") - minutes * 60;
    let first = store.times.findIndex((time) => time >= from);
    first = Math.max(0, first - 1);
    // The latest reading ends the line, so that it reaches the present between two samples.
    const now = store.get("unit.time");
    const live = now > (store.times.at(-1) ?? now);
    view = [
      [...store.times.slice(first), ...(live ? [now] : [])],
      ...PENS.map((id, pen) => {
        const { factor, offset } = units.display(store.quantity(id));
        return [...(store.columns[pen] ?? []).slice(first), ...(live ? [store.meant(id)] : [])].map(
          (inside) => inside * factor + offset,
        );
      }),
    ];
    lanes.forEach((one, pen) => one.setData([view[0] ?? [], view[pen + 1] ?? []]));
    // What is read by keyboard stays at its plant time while the window moves on.
    if (at !== null && !pointing) showCursor();
  }

  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      for (const button of windows.buttons)
        set(button, { "aria-pressed": String(Number(button.dataset.window) === minutes) });
      const fits = size.width > 150 && size.height > 70;
      if (!fits) return;
      const key = `${size.width} ${size.height} ${units.system}`;
      if (key !== builtFor) {
        build();
        builtFor = key;
        drawnAt = -1;
      }
      const stamp = store.version + app.version * 1e7;
      // New lanes are filled at once: they would be empty until figures change again.
      if ((!slow && drawnAt !== -1) || stamp === drawnAt) return;
      drawnAt = stamp;
      fillIn();
      readOut(false);
      const spoken = PENS.map((id, pen) => {
        const column = (view[pen + 1] ?? []).filter(Number.isFinite);
        if (column.length === 0) return "";
        const tell = (/** @type {number} */ shown) =>
          units.full(store.quantity(id), units.inside(store.quantity(id), shown));
        return say("trend_summary", {
          name: sayOr(id.replace("unit.", ""), id),
          from: tell(column[0] ?? NaN),
          to: tell(column.at(-1) ?? NaN),
          low: tell(Math.min(...column)),
          high: tell(Math.max(...column)),
        });
      });
      setText(summary, `${say("trend_in", { n: minutes })} ${spoken.join(" ")}`);
    },
  };
}
