// Symbols of the flow sheet, after ISO 10628 (equipment, valves) and ISA-5.1 (instruments).

import { createNonReturn, createValve } from "../climb/symbols.js";
import { s, set } from "../dom.js";
import { bind } from "../signals.js";
import { sayOr, say } from "../words.js";
import { tagOf } from "./tags.js";

const RADIUS = 13;

/**
 * An instrument: a circle with its tag, a bar across it since it is read in the control room, and its value beside it.
 * @param {import("../types.js").Heater | null} heater
 * @param {string} name   of the signal
 * @param {number} x
 * @param {number} y
 * @param {"right" | "left" | "above" | "below" | "under"} side  where the value stands; under: beyond the line below it
 * @param {import("../signals.js").Style} [style]
 * @param {{ id: string, nth: number }} [pump]  whose it is, of several alike
 */
export function createBubble(heater, name, x, y, side, style = {}, pump) {
  const { letters, number, tag } = tagOf(heater, name, pump?.nth);
  const device = pump?.id ?? heater?.id ?? "unit";
  const at = {
    right: { x: x + RADIUS + 4, y: y + 4, "text-anchor": "start" },
    left: { x: x - RADIUS - 4, y: y + 4, "text-anchor": "end" },
    above: { x, y: y - RADIUS - 4, "text-anchor": "middle" },
    below: { x, y: y + RADIUS + 12, "text-anchor": "middle" },
    under: { x, y: y + RADIUS + 21, "text-anchor": "middle" },
  }[side];
  return s(
    "g",
    { class: "bubble", "data-tag": tag },
    s("title", { text: `${tag}: ${sayOr(`sig_${name}`, sayOr(name, name.replaceAll("_", " ")))}` }),
    s("circle", { cx: x, cy: y, r: RADIUS }),
    s("path", { d: `M${x - RADIUS} ${y}h${2 * RADIUS}` }),
    s("text", { class: "tag", x, y: y - 2.5, "text-anchor": "middle", text: letters }),
    s("text", { class: "tag", x, y: y + 9.5, "text-anchor": "middle", text: number }),
    bind(s("text", { class: side === "under" ? "sheet-value between" : "sheet-value", ...at }), `${device}.${name}`, { digits: 1, ...style }),
  );
}

/**
 * A valve that can be picked. Its actuator says how it moves: a dome for a controlled one, a box with M for a motor.
 * @param {import("../app.js").App} app
 * @param {object} what
 * @param {import("../types.js").Heater} what.heater
 * @param {string} what.name      signal of its opening
 * @param {boolean} what.upright  on a vertical line
 * @param {"control" | "motor"} what.kind
 * @param {1 | -1} what.side      where actuator and tag stand
 * @param {string} what.word      its name
 * @param {() => void} what.pick
 */
export function createSheetValve(app, { heater, name, upright, kind, side, word, pick }) {
  const { tag } = tagOf(heater, name);
  const valve = createValve(upright);
  const away = side * (upright ? 1 : -1);
  const stem = upright ? `M0 0h${away * 11}` : `M0 0v${away * 11}`;
  const head =
    kind === "motor"
      ? s("rect", { class: "actuator", ...(upright ? { x: away > 0 ? 11 : -22, y: -5.5 } : { x: -5.5, y: away > 0 ? 11 : -22 }), width: 11, height: 11 })
      : s("path", {
          class: "actuator",
          d: upright ? `M${away * 11} -7a7 7 0 0 ${away > 0 ? 1 : 0} 0 14z` : `M-7 ${away * 11}a7 7 0 0 ${away > 0 ? 0 : 1} 14 0z`,
        });
  // A stroke, not a text: what the button says is its name alone.
  const letter =
    kind === "motor"
      ? s("path", { class: "motor", d: `M${upright ? away * 16.5 - 3 : -3} ${upright ? 3 : away * 16.5 + 3}v-6l3 4l3 -4v6` })
      : null;
  const opening = s("text", { class: "sheet-open" });
  const label = s("text", { class: "valve-tag", text: tag });
  const button = s(
    "g",
    { class: "sheet-valve", role: "button", tabindex: 0, "data-valve": `${heater.id}.${name}`, "data-tag": tag },
    s("rect", { class: "hit", x: -24, y: -20, width: 48, height: 40 }),
    s("rect", { class: "ring", x: -17, y: -17, width: 34, height: 34, rx: 5 }),
    s("path", { class: "stem", d: stem }),
    head,
    ...(letter ? [letter] : []),
    valve.el,
  );
  const el = s("g", {}, button, s("g", { class: "valve-words", "data-words-of": tag, "aria-hidden": "true" }, label, opening));
  button.addEventListener("click", pick);
  button.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    pick();
  });
  valve.update(0, 0, 1);
  return {
    el,
    /** @param {number} x @param {number} y @param {[number, number, "start" | "middle" | "end"]} text  where the tag stands */
    place(x, y, [dx, dy, anchor]) {
      set(el, { transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` });
      set(label, { x: dx, y: dy, "text-anchor": anchor });
      set(opening, { x: dx, y: dy + 12, "text-anchor": anchor });
    },
    update() {
      const open = app.store.get(`${heater.id}.${name}`);
      valve.update(0, 0, open);
      const hand = app.store.get(`${heater.id}.${name.replace(/_valve$/, "")}_hand`) > 0.5;
      const stands =
        open <= 0.005 ? say("valve_shut") : say("valve_part", { percent: (open * 100).toFixed(0) });
      const text = hand ? `${stands} ${say("by_hand")}` : stands;
      if (opening.textContent !== text) opening.textContent = text;
      set(button, {
        "data-hand": String(hand),
        "aria-label": say("sheet_valve", { tag, heater: app.short(heater.id), name: word, opening: text }),
      });
    },
  };
}

export { createNonReturn };
