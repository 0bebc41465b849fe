// One closed heater in the climb: its shell at its own temperature, the gaps, level, steam from above, drains below.

import { s, set, setText, show } from "../dom.js";
import { backWords, lineFlow, lineWords } from "../extraction.js";
import { noGap } from "../gaps.js";
import { bind, fullText } from "../signals.js";
import { levelLook, levelMatters, levelReach, modeLook } from "../state.js";
import { say } from "../words.js";
import { createGauge } from "./gauge.js";
import { boilerEnd, condenserEdge } from "./layout.js";
import { alertWords, createPickable } from "./pickable.js";
import { GAUGE_ABOVE, heaterShape, pathOf, shellSide } from "./shape.js";
import { createSteamLine } from "./steam.js";
import { createGap, createValve } from "./symbols.js";

/** Width of a letter of what stands over a shell (px), rather more than less. */
const LETTER = 7.2;
/** The same of what is seldom long (px): no wider than it is, so that it leaves its place only where it must. */
const NARROW = 6.4;
/** How far right of the shell the figure of its gap reaches (px). */
const FIGURE_REACH = 46;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {import("./layout.js").Layout} layout
 * @param {import("./layout.js").Column} column
 */
export function createHeater(app, heater, layout, column) {
  const { store } = app;
  const { id } = heater;
  const { compact, tight } = layout;
  const get = (/** @type {string} */ name) => store.get(`${id}.${name}`);

  const shell = s("rect", { class: "shell", rx: compact ? 6 : 10 });
  const hatch = s("rect", { class: "hatch", rx: compact ? 6 : 10 });
  const space = s("path", { class: "steam-space" });
  const side = s("path", { class: "shell-side" });
  const name = s("text", { class: "heater-name", text: app.short(id) });
  const mode = s("text", { class: "heater-mode" });
  const gauge = createGauge(heater.level_marks, levelReach(app, heater), compact ? 4 : tight ? 6 : 8);
  const steam = createSteamLine(app, heater, layout);
  const emergency = s("path", { class: "drain emergency" });
  const emergencyHead = s("path", { class: "drain-head" });
  const emergencyValve = createValve(true);
  const emergencyFlow = bind(s("tspan", { dy: 13 }), `${id}.emergency_drain_flow`, { unit: true, digits: 1 });
  const emergencyText = s(
    "text",
    { class: "drain-text emergency" },
    s("tspan", { text: say("emergency_text") }),
    emergencyFlow,
  );
  const ttd = createGap(say("ttd"), bind(s("text"), `${id}.ttd`, { digits: 1 }), 1);
  const dca = createGap(say("dca"), bind(s("text"), `${id}.dca`, { digits: 1 }), -1);
  const figures = compact ? [] : [ttd.el, dca.el];

  const at = layout.columns.indexOf(column);
  /** Where the vessel beside this one begins, if there is one. @param {1 | -1} side */
  const edge = (side) => {
    const next = layout.columns[at + side];
    if (next?.kind === "condenser") return condenserEdge(layout, next);
    return next?.kind === "closed" || next?.kind === "open" ? next.x - (side * layout.vessel) / 2 : side * Infinity;
  };
  const edges = { left: edge(-1), right: edge(1) };
  const after = layout.columns[at + 1];
  /** What stands over the last shell ends before the boiler's wall. */
  const wall = after?.kind === "boiler" ? after.left + (compact ? 4 : 28) : Infinity;
  /** How far down (px) the figure of the gap stands clear of the water's line, which rises where what went before is still under way. @param {import("./shape.js").Shape} shape */
  const clear = ({ right, yOut }) => {
    const there =
      after?.kind === "boiler"
        ? { x: boilerEnd(layout, after), y: layout.y(store.get("unit.final_fw_temperature")) }
        : after?.kind === "closed" || after?.kind === "open"
          ? { x: edges.right, y: layout.y(store.get(`${after.id}.fw_in_temperature`)) }
          : null;
    if (!there) return 0;
    const rise = Math.max(0, (yOut - there.y) * Math.min(1, FIGURE_REACH / (there.x - right)));
    // Under the last heater's line nothing else stands.
    return after?.kind === "boiler" && rise > 6 ? 30 : -rise;
  };

  const button = createPickable(
    app,
    id,
    "closed",
    9,
    steam.el,
    emergency,
    emergencyValve.el,
    emergencyHead,
    shell,
    hatch,
    space,
    side,
    gauge.el,
    name,
  );
  // The figures stand in front of everything; the button's own words are its name alone, which its label begins with.
  const front = s("g", { class: "figures-of", "aria-hidden": "true" }, mode, emergencyText, ...steam.texts, ...figures);
  const { el, hit, ring } = button;

  return {
    el,
    front,
    id,
    /** @type {import("./shape.js").Shape} */
    shape: heaterShape(layout, column, { tIn: 0, tOut: 0, tSat: 0, tDrain: 0 }),

    /** The shape at other values of the plant: for the faint picture of before. */
    shapeOf: (/** @type {(signal: string) => number} */ of) => {
      const [tIn, tOut, aside] = [of(`${id}.fw_in_temperature`), of(`${id}.fw_out_temperature`), of(`${id}.bypass`)];
      // What goes on is a mixture of the water that was heated and the water that went round.
      return heaterShape(layout, column, {
        tIn,
        tOut: tOut + (tIn - tOut) * aside,
        tSat: of(`${id}.saturation_temperature`),
        tDrain: of(`${id}.drain_temperature`),
      });
    },

    /** @param {boolean} slow */
    update(slow) {
      const shape = (this.shape = this.shapeOf((signal) => store.get(signal)));
      const { left, right, top, bottom } = shape;
      const state = button.state();
      const { mode: now, weight } = state;
      const box = { x: left, y: top, width: right - left, height: bottom - top };
      set(shell, box);
      set(hatch, box);
      // The whole column can be picked, from the turbine down to the drains.
      const roof = layout.band(column.x);
      set(hit, { x: column.left, y: roof, width: column.right - column.left, height: bottom + 50 - roof });
      set(ring, { x: left - 5, y: top - 5, width: right - left + 10, height: bottom - top + 10 });

      // The steam side and the gap to the water are drawn while there is steam to condense.
      const steaming = get("duty") > 1 || shape.ySat < shape.yOut - 1;
      show(space, steaming);
      show(side, steaming);
      if (steaming) {
        const outline = shellSide(shape, heater.desuperheating && get("extraction_flow") > 0.2);
        set(side, { d: pathOf(outline) });
        set(space, { d: `${pathOf([...outline, ...shape.water])}z` });
      }

      const level = get("level");
      const heard = levelMatters(now, level, heater.level_marks);
      const levels = levelLook(level, heater.level_marks);
      // Where the water runs close under the roof, the gauge stands below it and below what is written there.
      const under = !compact && shape.yIn - top < GAUGE_ABOVE;
      const head = under ? shape.yIn + 23 : top + (compact ? 4 : 8);
      gauge.update(
        left + (compact ? 2 : tight ? 4 : 7),
        head,
        under ? bottom - 6 - head : Math.max(compact ? 22 : 18, Math.min(shape.yIn, bottom) - 10 - head),
        level,
        heard ? levels.weight : "calm",
      );

      // Where the water goes past a shell that hangs below, its name stays above the water.
      const crown = Math.min(top, get("bypass") > 0.5 ? Math.min(shape.yIn, shape.yOut) - 4 : top);
      const from = crown < top ? shape.cold : left + 1;
      // Where water of another time stands above the shell without passing it, the name goes beside.
      const beside = crown === top && shape.yIn < top && !compact;
      const words = beside ? { x: left - 5, "text-anchor": "end" } : { x: from, "text-anchor": "start" };
      const base = beside ? top + 26 : crown - 6;
      set(name, { ...words, y: base });
      const alert = alertWords(app, id, state, heard ? levels : { weight: "calm", shape: "" });
      setText(mode, compact && alert ? alert.slice(0, 1) : alert);
      // What is said while there is a wide gap to the water ends with the shell, before the gap's figure.
      const gapped = now === "in_service" || now === "tripping";
      const ends = gapped ? right + 4 - LETTER * alert.length : wall - NARROW * alert.length;
      const at = beside ? words.x : Math.min(from, ends);
      set(mode, { ...words, x: at, y: base - 14, "data-weight": now !== "in_service" ? weight : levels.weight });

      steam.update(right - (compact ? 6 : 15), top, slow);
      this.drainAway(shape);
      if (!compact) {
        const gap = (/** @type {string} */ of) => (noGap(store, `${id}.${of}`) ? NaN : get(of));
        ttd.update(right + (tight ? 5 : 8), shape.yOut - 6, gap("ttd"), true, edges.right, clear(shape));
        dca.update(left - (tight ? 5 : 7), shape.yIn + 6, gap("dca"), false, edges.left, 0);
      }
      if (slow) set(el, { "aria-label": this.words() });
    },

    /**
     * The emergency drain: a stub that leaves the picture for the condenser, plain to see when it flows.
     * @param {import("./shape.js").Shape} shape
     */
    drainAway({ right, bottom }) {
      const flow = get("emergency_drain_flow");
      const open = get("emergency_drain_valve");
      const x = right - (compact ? 7 : 14);
      const end = bottom + (compact ? 20 : 36);
      const flowing = flow > 0.05;
      set(emergency, {
        d: `M${x.toFixed(1)} ${bottom.toFixed(1)}V${(end - (flowing ? 5 : 0)).toFixed(1)}`,
        "data-flow": flowing ? "yes" : "no",
        "stroke-width": flowing ? 1.8 + 3.4 * Math.sqrt(Math.min(1, flow / 40)) : 1,
      });
      show(emergencyHead, flowing);
      set(emergencyHead, { d: `M${(x - 6).toFixed(1)} ${(end - 6).toFixed(1)}h12l-6 8z` });
      emergencyValve.update(x, bottom + (compact ? 8 : 15), open);
      show(emergencyText, (flowing || open > 0.01) && !compact);
      // Beside the arrow, where nothing stands under the stair; the last heater's below it, and below what is said of a valve in hand.
      const last = wall < Infinity;
      const under = last && get("normal_drain_hand") > 0.5 ? 28 : 13;
      set(emergencyText, { y: last ? end + under : end - 3, "text-anchor": last ? "middle" : "start" });
      for (const line of emergencyText.children) set(line, { x: last ? x : x + 10 });
    },

    /** The heater in one sentence, for those who hear the picture. */
    words() {
      const full = (/** @type {string} */ signal) => fullText(app, `${id}.${signal}`);
      return say("heater_words", {
        name: app.short(id),
        mode: modeLook(store.mode(id)).text,
        water_in: full("fw_in_temperature"),
        water_out: full("fw_out_temperature"),
        ttd: full("ttd"),
        dca: full("dca"),
        level: full("level"),
        steam: lineWords(app, id, backWords(app, lineFlow(store, id)).join(" ") || full("extraction_flow")),
      });
    },
  };
}
