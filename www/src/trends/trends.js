// Any signal over plant time: pens chosen from a list, two axes, events, zoom, read-out, files.

import { h, s, set, setText } from "../dom.js";
import { noGap } from "../gaps.js";
import { segmented } from "../header.js";
import { fullText } from "../signals.js";
import { onTheme } from "../theme.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { savePicture, saveTable } from "./export.js";
import { fullNameOf, nameOf } from "./names.js";
import { DASHES, Pens } from "./pens.js";
import { createPicker } from "./picker.js";
import { createPlot } from "./plot.js";
import { samples } from "./samples.js";

/** Minutes of plant time; 0 is all there is. */
const WINDOWS = [5, 15, 60, 0];
/** The shortest span that can be shown (s). */
const SHORTEST = 10;

/** @param {import("../app.js").App} app */
export function createTrends(app) {
  const { store, units } = app;
  const { history } = store;
  const pens = new Pens(app);
  const picker = createPicker(app, pens);
  /** Follows the present over so many minutes, or stands still between two times. */
  let minutes = 15;
  /** @type {[number, number] | null} */
  let fixed = null;
  /** Plant time that is read out; null is now. @type {number | null} */
  let at = null;
  let spoken = false;
  /** @type {number[][]} */
  let columns = [[]];
  /** @type {ReturnType<typeof createPlot> | null} */
  let plot = null;
  let builtFor = "";
  let filledFor = "";
  let size = { width: 0, height: 0 };
  let seenPens = -1;

  const now = () => store.get("unit.time");
  /** @returns {[number, number]} */
  const span = () => {
    if (fixed) return fixed;
    const to = now();
    const whole = to - history.from();
    return minutes > 0 ? [to - minutes * 60, to] : [to - Math.max(60, whole), to];
  };
  /** @param {number} from @param {number} to */
  const zoom = (from, to) => {
    const end = now();
    const wide = Math.min(Math.max(SHORTEST, to - from), Math.max(60, end - history.from()) * 1.05);
    const middle = (from + to) / 2;
    const right = Math.min(end + wide * 0.02, middle + wide / 2);
    fixed = [right - wide, right];
    filledFor = "";
  };
  /** @param {number} factor */
  const scaleBy = (factor) => {
    const [from, to] = span();
    const middle = fixed ? (from + to) / 2 : to;
    zoom(middle - (middle - from) * factor, middle + (to - middle) * factor);
  };
  /** @param {number} share */
  const pan = (share) => {
    const [from, to] = span();
    zoom(from + share * (to - from), to + share * (to - from));
  };

  const windows = segmented(
    say("window"),
    WINDOWS.map((one) => ({
      text: one ? say("minutes", { n: one }) : say("trends_all"),
      title: one ? "" : say("trends_all_title"),
      data: { span: String(one) },
      click: () => {
        minutes = one;
        fixed = null;
        filledFor = "";
      },
    })),
  );
  /** @param {string} key @param {string} text @param {() => void} click */
  const tool = (key, text, click) =>
    h("button", {
      type: "button",
      "data-tool": key,
      text,
      "aria-label": say(/** @type {any} */ (`trends_${key}`)),
      title: say(/** @type {any} */ (`trends_${key}`)),
      on: { click },
    });
  const chart = h("div", {
    class: "trends-chart",
    tabindex: 0,
    role: "slider",
    "aria-label": say("trends_chart"),
    "aria-valuenow": 0,
  });
  const units2 = h("div", { class: "trends-units", "aria-hidden": "true" }, h("span"), h("span"));
  const when = h("span", { class: "trends-when" });
  const list = h("ul", { class: "pen-list", "aria-label": say("trends_pens") });
  const empty = h("p", { class: "nothing", text: say("trends_empty") });
  const el = h(
    "section",
    { class: "trends", "aria-label": say("view_trends") },
    h(
      "div",
      { class: "trends-main-part" },
      h(
        "div",
        { class: "trends-head" },
        windows.el,
        h(
          "div",
          { class: "segmented", role: "group", "aria-label": say("trends_move") },
          tool("back", "◀", () => pan(-0.4)),
          tool("in", "+", () => scaleBy(0.5)),
          tool("out", "−", () => scaleBy(2)),
          tool("on", "▶", () => pan(0.4)),
        ),
        when,
        h(
          "div",
          { class: "trends-files" },
          h("button", {
            type: "button",
            "data-file": "csv",
            text: say("bal_csv"),
            title: say("trends_csv_title"),
            on: {
              click: () => {
                const [from, to] = span();
                const drawn = pens.list();
                saveTable(app, drawn, samples(store, drawn, from, to, 1e6));
              },
            },
          }),
          h("button", {
            type: "button",
            "data-file": "png",
            text: say("trends_png"),
            title: say("trends_png_title"),
            on: { click: () => plot && savePicture(app, pens.list(), plot.ctx.canvas) },
          }),
        ),
      ),
      units2,
      chart,
      empty,
      list,
    ),
    picker.el,
  );
  new ResizeObserver(([entry]) => {
    if (entry) size = { width: Math.floor(entry.contentRect.width), height: Math.floor(entry.contentRect.height) };
  }).observe(chart);
  onTheme(() => (builtFor = ""));

  chart.addEventListener("keydown", (event) => {
    const [from, to] = span();
    const here = at ?? to;
    const step = (to - from) / 100;
    const by = { ArrowLeft: -step, ArrowRight: step, PageUp: -10 * step, PageDown: 10 * step }[event.key];
    if (by !== undefined) at = Math.max(from, Math.min(to, here + by * (event.shiftKey ? 5 : 1)));
    else if (event.key === "Home") at = Math.max(from, history.from());
    else if (event.key === "End" || event.key === "Escape") at = null;
    else return;
    event.preventDefault();
    spoken = true;
    plot?.setCursor({ left: at === null ? -10 : plot.valToPos(at, "x"), top: 8 }, false);
    readOut();
  });
  chart.addEventListener("pointerleave", () => {
    at = null;
    readOut();
  });

  /** The row that is read, or the latest. */
  function row() {
    const times = columns[0] ?? [];
    if (at === null) return times.length - 1;
    let best = 0;
    times.forEach((time, index) => {
      if (Math.abs(time - (at ?? 0)) < Math.abs((times[best] ?? 0) - (at ?? 0))) best = index;
    });
    return best;
  }

  function readOut() {
    const index = row();
    const time = at === null ? now() : (columns[0]?.[index] ?? NaN);
    const texts = pens.list().map(({ id }, pen) => {
      const quantity = store.quantity(id);
      const inside = at === null ? store.get(id) : (columns[pen + 1]?.[index] ?? NaN);
      const text = at === null ? fullText(app, id) : Number.isFinite(inside) ? units.full(quantity, inside) : "–";
      const value = list.children[pen]?.querySelector(".value");
      if (value) {
        set(value, { "data-value": String(inside) });
        setText(value, text);
      }
      return `${fullNameOf(app, id)} ${text}`;
    });
    setText(when, at === null ? "" : say("at_time", { time: plantTime(time) }));
    if (!spoken && document.activeElement === chart && at !== null) return;
    spoken = false;
    set(chart, {
      "aria-valuemin": Math.round(Math.max(0, span()[0])),
      "aria-valuemax": Math.round(span()[1]),
      "aria-valuenow": Math.round(time),
      "aria-valuetext": `${say("at_time", { time: plantTime(time) })}: ${texts.join(", ")}`,
    });
  }

  function listPens() {
    seenPens = pens.version;
    const drawn = pens.list();
    const quantities = pens.quantities();
    list.replaceChildren(
      ...drawn.map(({ id, place }) => {
        const right = quantities.indexOf(store.quantity(id)) === 1;
        return h(
          "li",
          { "data-pen-row": id },
          s(
            "svg",
            { viewBox: "0 0 44 10", "aria-hidden": "true", class: "pen-mark" },
            s("path", { d: "M1 5h42", class: `pen-stroke pen-${place}`, "stroke-dasharray": (DASHES[place] ?? []).join(" ") }),
          ),
          h("span", { class: "pen-name", text: fullNameOf(app, id) }),
          h("span", { class: "value", "data-signal": id }),
          h("span", { class: "label side", text: say(right ? "trends_right" : "trends_left") }),
          h("button", {
            type: "button",
            class: "remove",
            text: "✕",
            "aria-label": say("trends_remove", { name: fullNameOf(app, id) }),
            title: say("trends_remove", { name: fullNameOf(app, id) }),
            on: {
              click: () => {
                pens.remove(id);
                listPens();
                const next = list.querySelector("button");
                if (next instanceof HTMLElement) next.focus();
              },
            },
          }),
        );
      }),
    );
    [...units2.children].forEach((one, side) => {
      const quantity = quantities[side];
      const first = drawn.find(({ id }) => store.quantity(id) === quantity);
      setText(one, quantity && first ? units.unit(quantity) || nameOf(first.id) : "");
    });
    set(empty, { hidden: drawn.length ? "hidden" : null });
    picker.update();
    builtFor = "";
  }

  return {
    el,
    drawn: () => plot !== null || pens.list().length === 0,
    /** @param {boolean} slow */
    update(slow) {
      for (const button of windows.buttons)
        set(button, { "aria-pressed": String(!fixed && Number(button.dataset.span) === minutes) });
      if (size.width < 150 || size.height < 80) return;
      if (pens.version !== seenPens) listPens();
      const key = `${size.width} ${size.height} ${units.system} ${pens.version}`;
      if (key !== builtFor) {
        plot?.destroy();
        if (builtFor === "" || !builtFor.includes(` ${units.system} `)) listPens();
        builtFor = key;
        filledFor = "";
        plot = pens.list().length
          ? createPlot(app, {
              pens: pens.list(),
              quantities: pens.quantities(),
              ...size,
              into: chart,
              span,
              zoom,
              hover: (time) => {
                if (chart.matches(":hover")) at = time;
                readOut();
              },
            })
          : null;
      }
      const [from, to] = span();
      const stamp = `${from} ${to} ${fixed ? "" : store.version}`;
      if (stamp === filledFor || !(slow || filledFor === "")) return;
      filledFor = stamp;
      const drawn = pens.list();
      columns = samples(store, drawn, from, to);
      // The latest reading ends the line, so that it reaches the present between two samples.
      if (now() > (columns[0]?.at(-1) ?? -1) && to >= now()) {
        columns[0]?.push(now());
        drawn.forEach(({ id }, pen) => columns[pen + 1]?.push(noGap(store, id) ? NaN : store.get(id)));
      }
      plot?.setData([
        columns[0] ?? [],
        ...drawn.map(({ id }, pen) => {
          const { factor, offset } = units.display(store.quantity(id));
          return (columns[pen + 1] ?? []).map((inside) => (Number.isFinite(inside) ? inside * factor + offset : null));
        }),
      ]);
      readOut();
    },
  };
}
