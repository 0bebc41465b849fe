// Extraction steam: falls from the turbine through stop valve and non-return valve into a shell; what runs back rises.

import { s, set, setText, show } from "../dom.js";
import { backWords, DRAINS, lineDrainFlow, lineFlow } from "../extraction.js";
import { bind } from "../signals.js";
import { showsZero } from "../units.js";
import { say } from "../words.js";
import { createNonReturn, createValve } from "./symbols.js";

/** How far a shell hangs below the turbine (px) when what its line's drain takes can be written between them. */
const DRAIN_ROOM = 84;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {import("./layout.js").Layout} layout
 */
export function createSteamLine(app, heater, layout) {
  const { store } = app;
  const { compact } = layout;
  const widest = Math.max(...app.manifest.heaters.map(({ id }) => store.design(`${id}.extraction_flow`) || 0), 1);
  const line = s("path", { class: "steam" });
  const stop = createValve(true);
  const back = createNonReturn();
  const flow = bind(s("text", { class: "steam-text" }), `${heater.id}.extraction_flow`, { digits: 1 });
  // Left of its valve and level with it: a row higher stands what the neighbour's line passes, and the two would read as one
  // number; right of it the shell below may need the place for its gap.
  const state = s("text", { class: "valve-text", "text-anchor": "end" });
  const backHead = s("path", { class: "steam-head", visibility: "hidden" });
  // On the left, where the next shell stands lower, and in two lines.
  const backLines = [s("tspan"), s("tspan", { dy: 13 })];
  const backFlow = s("text", { class: "steam-text back", "text-anchor": "end" }, ...backLines);
  const hasBack = store.has(`${heater.id}.non_return_valve`);
  // The line's drain, while it takes something: down to the condenser, whose way is not drawn.
  const drain = s("path", { class: "line-drain", visibility: "hidden" });
  const drained = s("text", { class: "steam-text", "text-anchor": "end", visibility: "hidden" });
  const el = s("g", { class: "steam-line" }, line, drain, backHead, stop.el, ...(hasBack && !compact ? [back.el] : []));
  return {
    el,
    texts: compact ? [] : [flow, state, backFlow, drained],
    /**
     * @param {number} x
     * @param {number} top   where the steam enters the shell
     * @param {boolean} slow
     */
    update(x, top, slow) {
      const from = layout.band(x);
      const passes = lineFlow(store, heater.id);
      const passing = passes.flow;
      const open = store.get(`${heater.id}.stop_valve`);
      const flowing = Math.abs(passing) > 0.02;
      set(line, {
        d: `M${x.toFixed(1)} ${from.toFixed(1)}V${top.toFixed(1)}`,
        "data-flow": flowing ? (passing < 0 ? "back" : "yes") : "no",
        "stroke-width": flowing ? 1.2 + 5 * Math.sqrt(Math.min(1.6, Math.abs(passing) / widest)) : 1,
      });
      const runsBack = flowing && passing < 0;
      set(backHead, { d: `M${(x - 7).toFixed(1)} ${(from + 9).toFixed(1)}h14l-7 -9z`, visibility: runsBack ? "visible" : "hidden" });
      stop.update(x, from + (compact ? 12 : 28), open);
      back.update(x, from + 45, store.get(`${heater.id}.non_return_valve`));
      if (compact) return;
      set(flow, { x: x + 9, y: from + 15 });
      set(state, { x: x - 15, y: from + 32 });
      set(backFlow, { y: from + 62 });
      for (const one of backLines) set(one, { x: x - 10 });
      show(flow, !runsBack);
      show(backFlow, runsBack);
      const drains = lineDrainFlow(store, heater.id);
      const draining = drains > DRAINS;
      // Until a shell that trips has sunk, what is said over it needs the place.
      const room = top - from > DRAIN_ROOM;
      if (draining) {
        set(drain, { d: `M${x.toFixed(1)} ${(from + 14).toFixed(1)}h-12v22m-3 -4l3 4l3 -4` });
        set(drained, { x: x - 15, y: from + 46 });
      }
      set(drain, { visibility: draining ? "visible" : "hidden" });
      set(drained, { visibility: draining && room ? "visible" : "hidden" });
      if (!slow) return;
      const drainText = app.units.text("mass_flow", drains, false, 1);
      setText(drained, draining && !showsZero(drainText) ? say("line_drain_short", { flow: drainText }) : "");
      const words = backWords(app, passes);
      backLines.forEach((one, k) => setText(one, words[k] ?? ""));
      setText(
        state,
        open <= 0.005
          ? say("valve_shut")
          : open >= 0.995
            ? ""
            : say("valve_part", { percent: (open * 100).toFixed(0) }),
      );
      show(state, open < 0.995);
    },
  };
}
