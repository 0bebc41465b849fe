// Drains step down from heater to heater, against the water's way, each through its normal valve.

import { s, set, setText, show } from "../dom.js";
import { bind } from "../signals.js";
import { say } from "../words.js";
import { createPump, createValve } from "./symbols.js";

export const BELOW = 24; // px under the shell

/**
 * @param {import("../app.js").App} app
 * @param {import("./layout.js").Layout} layout
 * @param {{ id: string, shape: import("./shape.js").Shape }[]} drawn  the heaters as they stand in the picture
 */
export function createDrains(app, layout, drawn) {
  const { store } = app;
  const { compact } = layout;
  const closed = app.manifest.heaters.filter((heater) => heater.kind === "closed");
  const widest = Math.max(...closed.map(({ id }) => store.design(`${id}.normal_drain_flow`) || 0), 1);
  const shapes = new Map(drawn.map((heater) => [heater.id, heater]));
  const condenser = layout.columns[0];
  const lanes = closed.map((heater) => {
    const line = s("path", { class: "drain" });
    const flash = s("path", { class: "flash" });
    const valve = createValve(false);
    const flow = bind(s("text", { class: "drain-text", "text-anchor": "middle" }), `${heater.id}.normal_drain_flow`, {
      digits: 1,
    });
    const hand = s("text", { class: "valve-text", "text-anchor": "middle" });
    const pump = heater.drains_to === "forward" ? createPump(compact ? 4 : 6) : null;
    return { heater, line, flash, valve, flow, hand, pump };
  });
  const el = s(
    "g",
    { class: "drains", "aria-hidden": "true" },
    ...lanes.flatMap(({ line, flash, valve, flow, hand, pump }) => [
      line,
      flash,
      ...(pump ? [pump] : []),
      valve.el,
      ...(compact ? [] : [flow, hand]),
    ]),
  );

  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      for (const { heater, line, flash, valve, flow, hand, pump } of lanes) {
        const from = shapes.get(heater.id)?.shape;
        const to = shapes.get(heater.drains_to)?.shape;
        if (!from || !condenser) continue;
        const below = compact ? 12 : BELOW;
        const behind = from.water.at(-1);
        // A pumped drain leaves on the side where it joins the water behind the heater.
        const x = pump ? from.right - 9 : from.cold + 3;
        const end = to ? to.right + (store.heater(heater.drains_to)?.kind === "open" ? 4 : 0) : condenser.x + 22;
        const hang = from.bottom + below;
        const into = to ? Math.min(Math.max(hang, to.top + 12), to.bottom - 8) : hang;
        // Straight in where that is nearly so: a kink of a few pixels would mean nothing.
        const lane = !pump && Math.abs(into - hang) < 12 && into > from.bottom + 8 ? into : hang;
        const up = from.right + 8;
        const turn = end + (from.left - end) * 0.28;
        // Into a shell from the side; into the condenser, which hangs higher, from below.
        const well = Math.min(lane, layout.y(store.get("unit.condenser_temperature")) + (compact ? 8 : 15));
        let d = `H${turn.toFixed(1)}V${into.toFixed(1)}H${end.toFixed(1)}`;
        if (pump && behind) d = `H${up.toFixed(1)}V${behind[1].toFixed(1)}`;
        else if (!to) d = `H${condenser.x.toFixed(1)}V${well.toFixed(1)}`;
        else if (Math.abs(into - lane) < 1) d = `H${end.toFixed(1)}`;
        const passing = store.get(`${heater.id}.normal_drain_flow`);
        const open = store.get(`${heater.id}.normal_drain_valve`);
        const flowing = passing > 0.05;
        set(line, {
          d: `M${x.toFixed(1)} ${from.bottom.toFixed(1)}V${lane.toFixed(1)}${d}`,
          "data-flow": flowing ? "yes" : "no",
          "stroke-width": flowing ? 1.2 + 3.8 * Math.sqrt(Math.min(1.8, passing / widest)) : 1,
        });
        const vx = pump ? up - 4 : turn + (Math.min(from.left, x) - turn) * 0.52;
        valve.update(vx, lane, open);
        if (pump) set(pump, { transform: `translate(${up.toFixed(1)} ${(from.bottom - 6).toFixed(1)}) rotate(-90)` });
        // What arrives is hotter than the shell it enters: part of it flashes.
        show(flash, flowing && to !== undefined);
        if (to) set(flash, { d: `M${end.toFixed(1)} ${into.toFixed(1)}m-3 -4l-5 -4m4 8h-8m8 4l-5 4` });
        set(flow, { x: vx, y: lane + 19 });
        show(flow, flowing);
        set(hand, { x: vx, y: lane + (flowing ? 32 : 19) });
        if (!slow) continue;
        const byHand = store.get(`${heater.id}.normal_drain_hand`) > 0.5;
        setText(hand, byHand ? say("by_hand") : "");
      }
    },
  };
}
