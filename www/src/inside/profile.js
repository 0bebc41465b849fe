// Temperatures over the heat that has passed, zone by zone: the water rising, the shell side falling towards it, and
// between them the two gaps that a heater is judged by.

import { ticks } from "../climb/layout.js";
import { s, set, setText, show } from "../dom.js";
import { pathOf } from "../climb/shape.js";
import { LITTLE, noGap } from "../gaps.js";
import { fullText } from "../signals.js";
import { say } from "../words.js";

/** @typedef {import("../climb/shape.js").Point} Point */

const ZONES = /** @type {const} */ (["drain_cooling", "condensing", "desuperheating"]);

/**
 * Corners of both lines, from engine values alone: heat (kW) and temperature (°C).
 * @param {(name: string) => number} of
 */
function corners(of) {
  const heats = ZONES.map((zone) => Math.max(0, of(`duty_${zone}`)));
  const [a = 0, b = 0, c = 0] = heats;
  /** @type {Point[]} */
  const water = [
    [0, of("fw_in_temperature")],
    [a, of("fw_drain_cooling_temperature")],
    [a + b, of("fw_condensing_temperature")],
    [a + b + c, of("fw_out_temperature")],
  ];
  const saturation = of("saturation_temperature");
  /** @type {Point[]} */
  const shell = [
    [0, of("drain_temperature")],
    [a, saturation],
    [a + b, saturation],
  ];
  if (c > 0) shell.push([a + b, of("steam_cooled_temperature")], [a + b + c, of("steam_in_temperature")]);
  return { heats, total: a + b + c, water, shell, saturation };
}

/** Width of a letter of a zone's name (px), rather more than less. */
const LETTER = 7;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {number} width
 * @param {number} height
 */
export function createProfile(app, heater, width, height) {
  const { store, units } = app;
  const { id } = heater;
  const frame = { left: 44, right: width - 92, top: 36, bottom: height - 22 };
  const design = corners((name) => store.design(`${id}.${name}`));
  const grid = s("g");
  const ground = s("g");
  const ghostWater = s("path", { class: "ghost" });
  const ghostShell = s("path", { class: "ghost" });
  const water = s("path", { class: "water" });
  const shell = s("path", { class: "shell-side heavy" });
  const gap = s("path", { class: "gap-fill" });
  const clip = `profile-${id}`;
  const beyond = s("text", { class: "figure-text soft", "text-anchor": "end" });
  const ttd = dimension("ttd", 1);
  const dca = dimension("dca", -1);
  const names = ZONES.map(() => s("text", { class: "zone-text", "text-anchor": "middle" }));
  const duties = ZONES.map(() => s("text", { class: "figure-text soft", "text-anchor": "middle" }));
  const none = s("text", {
    class: "zone-text",
    x: (frame.left + frame.right) / 2,
    y: (frame.top + frame.bottom) / 2,
    "text-anchor": "middle",
    text: say("profile_none"),
  });
  const title = s("text", { class: "chart-title", x: 8, y: 13, text: say("profile_title", { temperature: units.unit("temperature"), power: units.unit("heat_flow") }) });
  const el = s(
    "g",
    { class: "profile" },
    s(
      "clipPath",
      { id: clip },
      s("rect", { x: frame.left, y: frame.top, width: frame.right - frame.left, height: frame.bottom - frame.top }),
    ),
    grid,
    ground,
    s("g", { "clip-path": `url(#${clip})` }, gap, ghostWater, ghostShell, shell, water),
    title,
    ...names,
    ...duties,
    ttd.el,
    dca.el,
    beyond,
    none,
  );
  let ruled = "";

  /** The share of design's heat that the picture is as wide as: a half, a quarter … where little is passed on. */
  let share = 1;
  /** Follows the heat in halves, and not back at once. @param {number} part  of design's heat */
  function follow(part) {
    if (!(part > LITTLE)) share = 1;
    while (share < 1 && part > share) share *= 2;
    while (share > 1 / 16 && part < 0.45 * share) share /= 2;
  }

  /** The scale keeps still while the plant moves a little: it is set by design, and changed only in steps. */
  function scale(/** @type {ReturnType<typeof corners>} */ now) {
    follow(now.total / design.total);
    // Far from design its temperatures would press those of today into a corner.
    const shown = share < 1 ? [now] : [now, design];
    const known = shown.flatMap((one) => [...one.water.map(([, t]) => t), one.saturation, one.shell[0]?.[1] ?? NaN]).filter(Number.isFinite);
    const low = Math.floor(Math.min(...known) / 10) * 10 - 2;
    const top = share < 1 ? Math.ceil(Math.max(...known) / 10) * 10 : Math.max(...known);
    // Head room for the superheat, whose far end lies beyond: the scale is the water's.
    const high = top + Math.max(6, (top - low) * 0.28);
    const step = Math.max(1, design.total * 0.25);
    const size = 1.02 * (share < 1 ? share * design.total : Math.max(step * 4, Math.ceil(now.total / step - 0.06) * step));
    const x = (/** @type {number} */ heat) => frame.left + (heat / size) * (frame.right - frame.left);
    const y = (/** @type {number} */ t) => frame.bottom - ((t - low) / (high - low)) * (frame.bottom - frame.top);
    return { low, high, size, x, y };
  }

  /** @param {ReturnType<typeof scale>} sc */
  function rule({ low, high, size, x, y }) {
    const key = `${low} ${high} ${size}`;
    if (key === ruled) return;
    ruled = key;
    const rows = ticks(units.shown("temperature", low + 1), units.shown("temperature", high)).flatMap((mark) => {
      const at = y(units.inside("temperature", mark));
      return [
        s("line", { class: "grid", x1: frame.left, x2: frame.right, y1: at, y2: at }),
        s("text", { class: "axis-text", x: frame.left - 6, y: at + 4, "text-anchor": "end", text: String(mark) }),
      ];
    });
    const most = units.shown("heat_flow", size);
    const by = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100].find((one) => most / one <= 8) ?? 200;
    const columns = Array.from({ length: Math.floor(most / by) + 1 }, (_, at) => Number((at * by).toFixed(1))).flatMap((mark) => {
      const at = x(units.inside("heat_flow", mark));
      return [
        s("line", { class: "grid", x1: at, x2: at, y1: frame.bottom, y2: frame.bottom + 4 }),
        s("text", { class: "axis-text", x: at, y: frame.bottom + 15, "text-anchor": "middle", text: String(mark) }),
      ];
    });
    grid.replaceChildren(
      ...rows,
      ...columns,
    );
  }

  return {
    el,
    update() {
      const now = corners((name) => store.get(`${id}.${name}`));
      const sc = scale(now);
      const { x, y } = sc;
      rule(sc);
      const placed = (/** @type {Point[]} */ points) =>
        points.map(([heat, t]) => /** @type {Point} */ ([x(heat), y(t)]));
      const works = now.total > design.total * LITTLE;
      for (const one of [water, shell, gap]) show(one, works);
      show(ttd.el, works && !noGap(store, `${id}.ttd`));
      show(none, !works);
      const was = corners((name) => app.reference(`${id}.${name}`));
      const known = Number.isFinite(was.saturation);
      set(ghostWater, { d: known ? pathOf(placed(was.water)) : "" });
      set(ghostShell, { d: known ? pathOf(placed(was.shell)) : "" });
      const [waterLine, shellLine] = [placed(now.water), placed(now.shell)];
      set(water, { d: pathOf(waterLine), "stroke-width": 3 });
      set(shell, { d: pathOf(shellLine) });
      set(gap, { d: `${pathOf([...waterLine, ...shellLine.toReversed()])}z` });

      // Zones as bands with their names, where they are wide enough to be named.
      let from = 0;
      const bands = [];
      /** Where words to the left end (px). */
      let ends = -Infinity;
      for (const [at, name] of ZONES.entries()) {
        const heat = now.heats[at] ?? 0;
        const [a, b] = [x(from), x(from + heat)];
        from += heat;
        bands.push(`M${b.toFixed(1)} ${frame.top}V${frame.bottom}`);
        const wide = b - a > 84;
        const text = names[at];
        const under = duties[at];
        if (!text || !under) continue;
        const told = works && (wide || heat > 0.003 * share * design.total);
        show(text, told);
        show(under, told);
        // A narrow zone's name stands beside it: on the left above the line, on the right below.
        const centre = wide ? (a + b) / 2 : at === 0 ? Math.max(frame.left + 46, (a + b) / 2) : Math.min(frame.right - 46, (a + b) / 2);
        const words = say(`has_${name}`);
        const half = (LETTER * words.length) / 2;
        // One that would begin before its neighbour ends stands in lines of its own.
        const lift = centre - half < ends ? 30 : 0;
        if (lift === 0) ends = centre + half;
        set(text, { x: centre, y: frame.bottom - 18 - lift });
        set(under, { x: centre, y: frame.bottom - 5 - lift });
        setText(text, words);
        setText(under, units.full("heat_flow", heat, false, 1));
      }
      if (ground.childElementCount === 0) ground.append(s("path", { class: "zone-edge" }));
      const edges = ground.firstElementChild;
      if (edges) set(edges, { d: works ? bands.join("") : "" });

      const end = x(now.total);
      ttd.update(end + 14, y(now.saturation), y(store.get(`${id}.fw_out_temperature`)), end, store.get(`${id}.ttd`));
      const cooled = !noGap(store, `${id}.dca`);
      show(dca.el, works && cooled);
      if (cooled)
        dca.update(
          frame.left + 16,
          y(store.get(`${id}.drain_temperature`)),
          y(store.get(`${id}.fw_in_temperature`)),
          frame.left,
          store.get(`${id}.dca`),
        );
      const hot = store.get(`${id}.steam_in_temperature`);
      const off = works && (now.heats[2] ?? 0) > 0 && y(hot) < frame.top;
      show(beyond, off);
      set(beyond, { x: end - 4, y: frame.top - 6 });
      setText(beyond, say("profile_beyond", { temperature: units.full("temperature", hot) }));
    },
    words() {
      const full = (/** @type {string} */ name) => fullText(app, `${id}.${name}`);
      return say("profile_words", {
        name: app.short(id),
        water_in: full("fw_in_temperature"),
        water_out: full("fw_out_temperature"),
        saturation: full("saturation_temperature"),
        drain: full("drain_temperature"),
        ttd: full("ttd"),
        dca: full("dca"),
        duty: full("duty"),
      });
    },
  };

  /**
   * A gap as a dimension: two witness lines and the figure outside them, so that a kelvin too can be read.
   * @param {"ttd" | "dca"} name
   * @param {1 | -1} side
   */
  function dimension(name, side) {
    const lines = s("path", { class: "gap-line" });
    const tag = s("text", { class: "gap-tag", text: say(name) });
    const figure = s("text", { class: "gap-figure" });
    return {
      el: s("g", { class: "gap big" }, lines, tag, figure),
      /**
       * @param {number} x
       * @param {number} shellAt
       * @param {number} waterAt
       * @param {number} from   where the lines that are measured end
       * @param {number} kelvin
       */
      update(x, shellAt, waterAt, from, kelvin) {
        const [high, low] = [Math.min(shellAt, waterAt), Math.max(shellAt, waterAt)];
        set(lines, {
          d: `M${from.toFixed(1)} ${shellAt.toFixed(1)}H${(x + 4).toFixed(1)}M${from.toFixed(1)} ${waterAt.toFixed(1)}H${(x + 4).toFixed(1)}M${x.toFixed(1)} ${(high - 11).toFixed(1)}V${high.toFixed(1)}m-2.5 -5l2.5 5l2.5 -5M${x.toFixed(1)} ${(low + 11).toFixed(1)}V${low.toFixed(1)}m-2.5 5l2.5 -5l2.5 5`,
          "data-sign": kelvin < 0 ? "crossed" : "clear",
        });
        const middle = side > 0 ? (high + low) / 2 + 4 : high - 16;
        set(tag, { x: x + 9, y: middle - (side > 0 ? 12 : 0) });
        set(figure, { x: side > 0 ? x + 9 : x + 36, y: middle + (side > 0 ? 2 : 0) });
        setText(figure, units.full("temperature_difference", kelvin, false, 1));
      },
    };
  }
}
