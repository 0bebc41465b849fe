// On which plant an exercise is: a shipped one, by its name, or one of the instructor's own, which it then carries.

import { check_plant, plants } from "bledsteam_web";
import { h } from "../dom.js";
import { createChooser } from "../files/choose.js";
import { lookAt } from "../files/look.js";
import { OWN, ownPlants, savePlant } from "../own/plants.js";
import { say } from "../words.js";
import { framed, select } from "./fields.js";
import { hintOf, labelOf } from "./label.js";

/** @typedef {Record<string, any>} Exercise  as it is written, faulty or not */

/** The plant that the exercise carries, in the list. */
const CARRIED = "carried";

/** The same exercise on a shipped plant. @param {Exercise} exercise @param {string} name */
function onShipped(exercise, name) {
  const { plant_file: _, ...rest } = exercise;
  return { ...rest, plant: name };
}

/** The same exercise, carrying a plant. @param {Exercise} exercise @param {{ name: string }} plant */
export const onOwn = (exercise, plant) => ({ ...onShipped(exercise, plant.name), plant_file: plant });

/** The plant in a file; null where it is none, or none that runs. @param {File} file @returns {Promise<{ name: string } | null>} */
export async function plantIn(file) {
  const { kind, trouble, text } = await lookAt(file);
  return kind === "plant" && !trouble && check_plant(text).length === 0 ? JSON.parse(text) : null;
}

/**
 * @param {import("./fields.js").Form} form @param {import("./fields.js").About} about @param {import("./schema.js").Schema} schema
 */
export function plantField(form, about, schema) {
  const carried = form.doc.get(["plant_file"]);
  const same = carried ? JSON.stringify(carried) : "";
  const kept = ownPlants().filter(({ text }) => JSON.stringify(JSON.parse(text)) !== same);
  const options = [
    ...plants().map(({ name, title, summary }) => ({ value: name, text: title, title: summary })),
    ...(carried ? [{ value: CARRIED, text: say("ed_plant_own", { title: String(carried.title ?? carried.name) }) }] : []),
    ...kept.map(({ name, title }) => ({ value: OWN + name, text: say("ed_plant_own", { title }) })),
  ];
  const put = (/** @type {string} */ value) => {
    const own = kept.find(({ name }) => OWN + name === value);
    if (value !== CARRIED) form.doc.change([], (old) => (own ? onOwn(old, JSON.parse(own.text)) : onShipped(old, value)));
  };
  const input = createChooser((file) => form.takePlant(file), { "data-action": "ed_plant_file" });
  const pick = h("button", { type: "button", "data-action": "ed_plant_open", text: say("own_open"), on: { click: () => input.click() } });
  const save = h("button", { type: "button", "data-action": "ed_plant_save", text: say("own_save"), on: { click: () => savePlant(JSON.stringify(carried, null, 2)) } });
  const field = framed(["plant"], labelOf(about.name, about.of), select(options, carried ? CARRIED : (form.doc.get(["plant"]) ?? ""), put), hintOf(schema), pick, input, carried ? save : null);
  if (carried) field.append(h("p", { class: "label", text: say("ed_plant_carried") }));
  return h("div", { "data-place": "plant_file" }, field, h("p", { class: "ed-fault", id: "ed-fault:plant_file" }));
}
