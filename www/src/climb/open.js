// The open heater: water, steam and drains mix in the head; what comes of it is stored below for the feed pumps.

import { s, set, setText, show } from "../dom.js";
import { backWords, lineFlow, lineWords } from "../extraction.js";
import { peggingFlow, steamWords } from "../pegging.js";
import { levelLook, levelReach } from "../state.js";
import { say } from "../words.js";
import { alertWords, createPickable } from "./pickable.js";
import { createSteamLine } from "./steam.js";
import { heaterShape } from "./shape.js";

const TANK = 40; // px: the storage tank is a body of water, not a temperature

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {import("./layout.js").Layout} layout
 * @param {import("./layout.js").Column} column
 */
export function createOpenHeater(app, heater, layout, column) {
  const { store } = app;
  const { id } = heater;
  const { compact } = layout;
  const tank = compact ? 20 : TANK;
  const head = s("path", { class: "shell" });
  const body = s("rect", { class: "shell", rx: tank / 2 });
  const clip = s("rect", { rx: tank / 2 - 1.5 });
  const water = s("rect", { class: "stored", "clip-path": `url(#clip-${id})` });
  const marks = s("path", { class: "glass-marks" });
  const name = s("text", { class: "heater-name", text: app.short(id) });
  const mode = s("text", { class: "heater-mode" });
  const steam = createSteamLine(app, heater, layout);
  // Pegging steam, from the side and only while it flows: it comes from no point of the turbine.
  const pegging = s("path", { class: "steam" });
  const pegText = s("text", { class: "steam-text" });
  const button = createPickable(
    app,
    id,
    "open",
    20,
    s("clipPath", { id: `clip-${id}` }, clip),
    steam.el,
    pegging,
    head,
    body,
    water,
    marks,
    name,
  );
  const front = s("g", { class: "figures-of", "aria-hidden": "true" }, mode, pegText, ...steam.texts);
  const { el, hit, ring } = button;

  const reach = levelReach(app, heater) * 1.15;

  return {
    el,
    front,
    id,
    /** @type {import("./shape.js").Shape} */
    shape: heaterShape(layout, column, { tIn: 0, tOut: 0, tSat: 0, tDrain: 0 }),

    shapeOf: (/** @type {(signal: string) => number} */ of) => {
      const shape = heaterShape(layout, column, {
        tIn: of(`${id}.fw_in_temperature`),
        tOut: of(`${id}.fw_out_temperature`),
        tSat: of(`${id}.saturation_temperature`),
        tDrain: of(`${id}.saturation_temperature`),
      });
      return { ...shape, top: shape.ySat - 8, bottom: shape.ySat + tank - 4 };
    },

    /** @param {boolean} slow */
    update(slow) {
      const shape = (this.shape = this.shapeOf((signal) => store.get(signal)));
      const { left, right, top, bottom } = shape;
      const state = button.state();
      const marksOf = heater.level_marks;
      const at = (/** @type {number} */ mm) =>
        (top + bottom) / 2 - (Math.max(-reach, Math.min(reach, mm)) / reach) * (tank / 2);
      const level = store.get(`${id}.level`);
      const levels = levelLook(level, marksOf);
      const surface = at(Number.isFinite(level) ? level : 0);
      const box = { x: left - 4, y: top, width: right - left + 8, height: bottom - top };
      set(body, box);
      set(clip, { x: left - 2.5, y: top + 1.5, width: right - left + 5, height: bottom - top - 3 });
      set(water, { x: left - 4, y: surface, width: right - left + 8, height: Math.max(0, bottom - surface) });
      const tick = (/** @type {number} */ mm) => `M${(left + 5).toFixed(1)} ${at(mm).toFixed(1)}h7`;
      set(marks, { d: marksOf ? tick(marksOf.high) + tick(marksOf.low) : tick(0) });
      const hx = right - (compact ? 9 : 20);
      const wide = compact ? 7 : 14;
      set(head, { d: `M${(hx - wide).toFixed(1)} ${(top + 1).toFixed(1)}v-6a${wide} ${wide} 0 0 1 ${wide * 2} 0v6` });
      set(ring, { x: left - 9, y: top - 5, width: right - left + 18, height: bottom - top + 10 });
      const roof = layout.band(column.x);
      set(hit, { x: column.left, y: roof, width: column.right - column.left, height: bottom + 30 - roof });
      // Left of the dome, into which the steam falls.
      const words = compact ? { x: left - 2, "text-anchor": "start" } : { x: hx - wide - 4, "text-anchor": "end" };
      set(name, { ...words, y: top - 8 });
      const alert = alertWords(app, id, state, levels);
      setText(mode, compact ? alert.slice(0, 1) : alert);
      set(mode, { ...words, y: top - 22, "data-weight": state.mode !== "in_service" ? state.weight : levels.weight });
      steam.update(hx, top - (compact ? 11 : 19), slow);
      const pegged = peggingFlow(store, id);
      show(pegging, pegged > 0.02);
      show(pegText, pegged > 0.02 && !compact);
      set(pegging, { d: `M${(hx + wide + 22).toFixed(1)} ${(top - 3).toFixed(1)}H${(hx + wide).toFixed(1)}`, "stroke-width": 2 });
      set(pegText, { x: hx + wide + 6, y: top - 9 });
      if (!slow) return;
      setText(pegText, say("pegging_short", { flow: app.units.text("mass_flow", pegged, false, 1) }));
      const full = (/** @type {string} */ signal) =>
        app.units.full(store.quantity(`${id}.${signal}`), store.get(`${id}.${signal}`));
      set(el, {
        "aria-label": say("open_words", {
          name: app.short(id),
          mode: state.text,
          water_in: full("fw_in_temperature"),
          water_out: full("fw_out_temperature"),
          pressure: full("shell_pressure"),
          level: full("level"),
          steam: steamWords(app, id, lineWords(app, id, backWords(app, lineFlow(store, id)).join(" ") || full("extraction_flow"))),
        }),
      });
    },
  };
}
