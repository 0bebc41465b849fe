// The stair as it was: faint behind the living one, and what has sagged between them.

import { s, set, setText, show } from "../dom.js";
import { say } from "../words.js";
import { pathOf } from "./shape.js";
import { waterLine } from "./water.js";

/** Less than this (K) is not a sag worth a label. */
export const WORTH = 0.5;

/**
 * @param {import("../app.js").App} app
 * @param {import("./layout.js").Layout} layout
 * @param {Parameters<typeof waterLine>[1]} heaters
 */
export function createGhost(app, layout, heaters) {
  const sag = s("path", { class: "sag" });
  const line = s("path", { class: "ghost" });
  const measure = s("path", { class: "sag-measure" });
  const label = s("text", { class: "sag-label", "text-anchor": "middle" });
  const el = s("g", { class: "ghosts", "aria-hidden": "true" }, sag, line);
  const front = s("g", { "aria-hidden": "true" }, measure, label);
  /** @type {import("./shape.js").Point[] | null} */
  let was = null;
  let of = "";

  return {
    el,
    front,
    /**
     * @param {import("./shape.js").Point[]} now  the living line
     * @param {boolean} slow
     */
    update(now, slow) {
      const key = `${app.compare} ${app.store.beforeTime}`;
      if (key !== of) {
        of = key;
        const known = Number.isFinite(app.reference("unit.final_fw_temperature"));
        was = known ? waterLine(layout, heaters, (signal) => app.reference(signal)).points : null;
        if (was) set(line, { d: pathOf(was) });
      }
      show(line, was !== null);
      show(sag, was !== null);
      const change = app.store.get("unit.final_fw_temperature") - app.reference("unit.final_fw_temperature");
      const worth = was !== null && Math.abs(change) >= WORTH;
      show(measure, worth);
      show(label, worth && !layout.compact);
      if (!was) return;
      set(sag, { d: `${pathOf(was)}${pathOf([...now].reverse()).replace("M", "L")}z` });
      const a = was.at(-1);
      const b = now.at(-1);
      if (!worth || !a || !b) return;
      const x = a[0] - (layout.compact ? 4 : 14);
      set(measure, { d: `M${(x - 4).toFixed(1)} ${a[1].toFixed(1)}h8m-4 0V${b[1].toFixed(1)}m-4 0h8` });
      // Under the figure in the boiler, where the sag ends.
      const boiler = layout.columns.at(-1);
      if (boiler)
        set(label, {
          x: (boiler.left + 28 + layout.width - 6) / 2,
          y: b[1] + 66,
          "font-size": Math.min(17, (layout.width - boiler.left - 34) / 5.6),
        });
      if (slow)
        setText(
          label,
          `${change < 0 ? "▼" : "▲"} ${app.units.full("temperature_difference", Math.abs(change), false, 1)}`,
        );
    },
  };
}

/** The choice of what the faint line shows. */
export const COMPARE = /** @type {const} */ (["before", "design", "none"]);
export const compareWords = () => COMPARE.map((key) => ({ key, text: say(`compare_${key}`) }));
