// Texts of exercises are plain words with SI figures in them. Where the screen shows other units, this says how to read them.

import { h, setText, show } from "../dom.js";
import { spoken } from "../units.js";
import { say } from "../words.js";

/** Units as they are written in texts, each with the quantity that it may belong to. */
const WRITTEN = /** @type {const} */ ([
  ["°C", "temperature"],
  ["K", "temperature_difference"],
  ["MPa", "pressure"],
  ["kPa", "low_pressure"],
  ["kg/s", "mass_flow"],
  ["mm", "level_offset"],
  ["m", "length"],
  ["kJ/kWh", "heat_rate"],
  ["kJ/kg", "enthalpy"],
]);

/** What is read afterwards only. */
const LATER = ["explanation", "idea"];

/** Every text anywhere in it. @param {unknown} part @param {boolean} whole  with what is read afterwards @returns {string[]} */
function texts(part, whole) {
  if (typeof part === "string") return [part];
  if (!part || typeof part !== "object") return [];
  return Object.entries(part).flatMap(([key, one]) => (whole || !LATER.includes(key) ? texts(one, whole) : []));
}

/**
 * @param {import("../app.js").App} app
 * @param {unknown} exercise  or a part of it
 * @param {boolean} over      it has been taken: explanations are read as well
 */
export function createSiNote(app, exercise, over) {
  const all = texts(exercise, over).join("\n");
  const used = WRITTEN.filter(([unit]) => new RegExp(`\\d\\s?${unit}(?![\\w/°])`).test(all));
  const el = h("p", { class: "label", hidden: true });
  let drawn = "";
  return {
    el,
    update() {
      const { system, quantities } = app.units;
      if (drawn === system) return;
      drawn = system;
      show(el, used.length > 0 && system !== "si");
      const one = used.flatMap(([unit, quantity]) => {
        const [from, to] = [quantities[quantity]?.si, quantities[quantity]?.[system]];
        if (!from || !to) return [];
        const size = spoken(String(Number((to.factor / from.factor).toPrecision(3))));
        return [to.offset ? `${unit} · ${size} + ${to.offset} = ${to.unit}` : `1 ${unit} = ${size} ${to.unit}`];
      });
      setText(el, `${say("ex_texts_si")} ${one.join("; ")}.`);
    },
  };
}
