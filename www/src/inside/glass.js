// The level as a gauge glass beside the shell, magnified: the marks stand far enough apart to be read.

import { s, set, setText } from "../dom.js";
import { levelText } from "../signals.js";
import { levelLook, levelMatters, levelReach } from "../state.js";
import { say } from "../words.js";

const MARKS = /** @type {const} */ (["low", "high", "emergency", "high_high"]);
const WIDE = 15;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {{ x: number, top: number, bottom: number, tags: boolean }} place  `tags`: the marks without their figures
 */
export function createGlass(app, heater, { x, top, bottom, tags }) {
  const marks = heater.level_marks;
  const reach = levelReach(app, heater);
  const half = (bottom - top) / 2;
  const at = (/** @type {number} */ mm) => top + half - (Math.max(-reach, Math.min(reach, mm)) / reach) * half;
  const water = s("rect", { class: "glass-water", x: x + 1, width: WIDE - 2 });
  const pointer = s("path", { class: "glass-pointer" });
  const ghost = s("path", { class: "ghost" });
  const rows = marks
    ? MARKS.map((mark) => ({ mm: marks[mark], tag: say(`tag_${mark}`), means: say(`level_is_${mark}`), long: mark === "high_high" || mark === "low" }))
    : [];
  // Marks that stand close share no line of text: the later one moves up.
  let free = Infinity;
  const labels = [...rows, { mm: 0, tag: say("tag_normal"), means: say("level_is_normal"), long: true }]
    .sort((a, b) => a.mm - b.mm)
    .map(({ mm, tag, means }) => {
      const y = Math.min(at(mm), free - 12);
      free = y;
      return [
        s("path", { class: "glass-marks", d: `M${x - 3} ${at(mm).toFixed(1)}h${WIDE + 6}l6 ${(y - at(mm)).toFixed(1)}h3` }),
        s("text", {
          class: "mark-text",
          x: x + WIDE + 15,
          y: y + 4,
          text: tags ? tag : `${tag} ${app.units.text("level_offset", mm, true)}`,
        }, s("title", { text: means })),
      ];
    })
    .flat();
  const value = s("text", { class: "glass-value", x: x + WIDE / 2, y: bottom + 16, "text-anchor": "middle" });
  const words = s("text", { class: "glass-words", x: x + WIDE / 2, y: bottom + 30, "text-anchor": "middle" });
  const el = s(
    "g",
    { class: "gauge big", "aria-hidden": "true" },
    s("rect", { class: "glass", x, y: top, width: WIDE, height: bottom - top, rx: 3 }),
    water,
    ...labels,
    ghost,
    pointer,
    value,
    words,
  );
  return {
    el,
    reach,
    update() {
      const level = app.store.get(`${heater.id}.level`);
      const heard = levelMatters(app.store.mode(heater.id), level, marks);
      const look = levelLook(level, marks);
      const surface = at(level);
      set(el, { "data-weight": heard ? look.weight : "calm" });
      set(water, { y: surface, height: Math.max(0, bottom - surface - 1) });
      set(pointer, { d: `M${x} ${surface.toFixed(1)}l-8 -5v10z` });
      const was = app.reference(`${heater.id}.level`);
      set(ghost, { d: Number.isFinite(was) ? `M${x - 6} ${at(was).toFixed(1)}h${WIDE + 12}` : "" });
      setText(value, levelText(app, heater.id));
      setText(words, heard ? say(/** @type {any} */ (look.key)) : say("level_drained"));
    },
  };
}
