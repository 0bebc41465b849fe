// The water's line from the condenser to the boiler, and where it goes round a heater.

import { s, set, setText, show } from "../dom.js";
import { say } from "../words.js";
import { boilerEnd } from "./layout.js";
import { pathOf } from "./shape.js";
import { createPump } from "./symbols.js";

/** @typedef {import("./shape.js").Point} Point */

/**
 * The whole line as points, the same number whatever the values: two of them enclose what has sagged between.
 * @param {import("./layout.js").Layout} layout
 * @param {{ id: string, shapeOf: (of: (signal: string) => number) => import("./shape.js").Shape }[]} heaters
 * @param {(signal: string) => number} of
 * @returns {{ points: Point[], treads: Point[][], risers: Map<string, Point[]>, suction: Point[] }}
 */
export function waterLine(layout, heaters, of) {
  const { columns, y, compact } = layout;
  /** @type {Point[][]} */
  const treads = [];
  /** @type {Map<string, Point[]>} */
  const risers = new Map();
  /** @type {Point[]} */
  const points = [];
  /** @type {Point[]} */
  let suction = [];
  /** @type {Point[]} */
  let tread = [];
  for (const column of columns) {
    if (column.kind === "condenser") tread.push([column.x + 6, y(of("unit.condenser_temperature"))]);
    else if (column.kind === "pump") {
      const tank = heaters.find((heater) => columns.some((one) => one.id === heater.id && one.kind === "open"));
      if (!tank) continue;
      // Down the suction pipe from the tank, through the pump, and up to the first high-pressure heater.
      const shape = tank.shapeOf(of);
      const low = shape.bottom + (compact ? 10 : 22);
      const pump = column.left + (compact ? 6 : 16);
      suction = [
        [shape.right - 10, shape.bottom],
        [shape.right - 10, low],
        [pump, low],
      ];
      points.push(...tread, ...suction);
      treads.push(tread);
      tread = [[pump, low]];
    } else if (column.kind === "boiler")
      tread.push([boilerEnd(layout, column), y(of("unit.final_fw_temperature"))]);
    else {
      const heater = heaters.find((one) => one.id === column.id);
      if (!heater) continue;
      const shape = heater.shapeOf(of);
      const first = shape.water[0] ?? [shape.cold, shape.yIn];
      const pump = suction.at(-1);
      if (pump && tread.length === 1 && tread[0]?.[0] === pump[0]) tread.push([pump[0], first[1]]);
      tread.push([shape.left, first[1]], first);
      treads.push(tread);
      points.push(...tread, ...shape.water);
      risers.set(column.id, shape.water);
      const last = shape.water.at(-1) ?? [shape.warm, shape.yOut];
      tread = [last, [shape.right, last[1]]];
    }
  }
  treads.push(tread);
  points.push(...tread);
  return { points, treads, risers, suction };
}

/**
 * @param {import("../app.js").App} app
 * @param {import("./layout.js").Layout} layout
 * @param {Parameters<typeof waterLine>[1]} heaters
 */
export function createWater(app, layout, heaters) {
  const { store } = app;
  const full = Math.max(store.design("unit.feed_flow"), store.design("unit.condensate_flow"), 1);
  const thick = layout.compact ? 2.5 : 4.5;
  const width = (/** @type {number} */ flow) => 1.5 + thick * Math.sqrt(Math.max(0, flow) / full);
  const rail = s("path", { class: "water" });
  const suctionPipe = s("path", { class: "water" });
  const feed = s("path", { class: "water" });
  const arrow = s("path", { class: "water-arrow" });
  const risers = new Map(
    app.manifest.heaters.map(({ id, kind }) => [
      id,
      {
        halo: s("path", { class: "water-halo" }),
        through: s("path", { class: `water ${kind === "open" ? "mixing" : ""}` }),
        round: s("path", { class: "water round" }),
        text: s("text", { class: "bypass-text", text: say("bypass"), "text-anchor": "middle" }),
      },
    ]),
  );
  const condensatePump = createPump(layout.compact ? 5 : 8);
  const feedPump = createPump(layout.compact ? 6 : 10);
  const el = s(
    "g",
    { class: "waters", "aria-hidden": "true" },
    rail,
    suctionPipe,
    feed,
    ...[...risers.values()].flatMap((one) => [one.halo, one.round, one.through, ...(layout.compact ? [] : [one.text])]),
    arrow,
    condensatePump,
    feedPump,
  );
  const split = layout.columns.findIndex((column) => column.kind === "pump");
  const condenser = layout.columns[0];

  return {
    el,
    update() {
      const line = waterLine(layout, heaters, (signal) => store.get(signal));
      const lowTreads = line.suction.length ? split - 0 : 0;
      set(rail, {
        d: line.treads.slice(0, lowTreads).map(pathOf).join(""),
        "stroke-width": width(store.get("unit.condensate_flow")),
      });
      set(suctionPipe, { d: pathOf(line.suction), "stroke-width": width(store.get("unit.feed_flow")) });
      set(feed, {
        d: line.treads.slice(lowTreads).map(pathOf).join(""),
        "stroke-width": width(store.get("unit.feed_flow")),
      });
      for (const [id, water] of line.risers) {
        const one = risers.get(id);
        if (!one) continue;
        const aside = store.get(`${id}.bypass`) || 0;
        // All the water of this side, whether it passes through the heater or round it.
        const flow = store.get(app.store.heater(id)?.side === "high" ? "unit.feed_flow" : "unit.condensate_flow");
        const through = flow * (1 - aside);
        set(one.through, {
          d: pathOf(water),
          "stroke-width": aside > 0.995 ? 1 : width(through),
          "data-flow": aside > 0.995 ? "no" : "yes",
        });
        show(one.through, aside <= 0.995);
        show(one.round, aside > 0.005);
        show(one.halo, aside > 0.005);
        show(one.text, aside > 0.5);
        if (aside <= 0.005) continue;
        const [a, b] = [water[0], water.at(-1)];
        if (!a || !b) continue;
        // Past the heater, in front of its shell, and level: nothing is added on the way.
        const d = `M${(a[0] - 14).toFixed(1)} ${a[1].toFixed(1)}L${a[0].toFixed(1)} ${a[1].toFixed(1)}L${b[0].toFixed(1)} ${b[1].toFixed(1)}L${(b[0] + 8).toFixed(1)} ${b[1].toFixed(1)}`;
        set(one.halo, { d, "stroke-width": width(flow * aside) + 5 });
        set(one.round, { d, "stroke-width": width(flow * aside) });
        set(one.text, { x: (a[0] + b[0]) / 2, y: Math.max(a[1], b[1]) + 15 });
      }
      const start = line.treads[0]?.[0];
      if (start && condenser)
        set(condensatePump, {
          transform: `translate(${(condenser.right - (layout.compact ? 8 : 12)).toFixed(1)} ${start[1].toFixed(1)})`,
        });
      const at = line.suction.at(-1);
      show(feedPump, at !== undefined);
      if (at) set(feedPump, { transform: `translate(${at[0].toFixed(1)} ${at[1].toFixed(1)})` });
      const end = line.points.at(-1);
      if (end) set(arrow, { d: `M${(end[0] - 2).toFixed(1)} ${(end[1] - 6).toFixed(1)}l11 6l-11 6z` });
      return line;
    },
  };
}
