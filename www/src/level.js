// The level of a shell as a bar with its marks.

import { h, s, set, setText } from "./dom.js";
import { value } from "./signals.js";
import { levelLook, levelMatters, levelReach } from "./state.js";
import { say } from "./words.js";

const WIDTH = 240;
const MARKS = /** @type {const} */ (["low", "high", "emergency", "high_high"]);

/**
 * @param {import("./app.js").App} app
 * @param {import("./types.js").Heater} heater
 */
export function createLevelBar(app, heater) {
  const marks = heater.level_marks;
  const reach = levelReach(app, heater);
  const at = (/** @type {number} */ mm) => ((Math.max(-reach, Math.min(reach, mm)) + reach) / (2 * reach)) * WIDTH;
  const water = s("rect", { x: 0, y: 8, height: 12, class: "level-water" });
  const pointer = s("path", { class: "level-pointer" });
  const words = h("span", { class: "level-words" });
  const el = h(
    "div",
    { class: "level" },
    h("p", {}, h("span", { class: "label", text: say("level") }), " ", value(`${heater.id}.level`), " ", words),
    s(
      "svg",
      { viewBox: `0 0 ${WIDTH} 34`, "aria-hidden": "true" },
      s("rect", { x: 0, y: 8, width: WIDTH, height: 12, class: "level-glass" }),
      water,
      s("line", { x1: at(0), x2: at(0), y1: 4, y2: 24, class: "level-normal" }),
      ...(marks
        ? MARKS.flatMap((mark) => [
            s("line", { x1: at(marks[mark]), x2: at(marks[mark]), y1: 6, y2: 22, class: `level-mark ${mark}` }),
            s("text", { x: at(marks[mark]), y: 32, class: "level-tag" }, say(`tag_${mark}`), s("title", { text: say(`level_is_${mark}`) })),
          ])
        : []),
      pointer,
    ),
  );
  return {
    el,
    update() {
      const level = app.store.get(`${heater.id}.level`);
      const look = levelLook(level, marks);
      const heard = levelMatters(app.store.mode(heater.id), level, marks);
      set(water, { width: at(level) });
      set(pointer, { d: `M${at(level).toFixed(1)} 8l-4-7h8z` });
      set(el, { "data-weight": heard ? look.weight : "calm" });
      setText(words, heard ? say(/** @type {any} */ (look.key)) : say("level_drained"));
    },
  };
}
