// Brings the plant's model into the page, from beside it or from inside it.

import init, {
  Drill,
  Session,
  check_exercise,
  check_plant,
  code_hash,
  equip_plant,
  exercise_file,
  exercise_runs,
  exercises,
  plants,
  snapshot_info,
} from "bledsteam_web";
import { packed } from "./learning/packed.js";
import { OWN, textOfOwn } from "./own/plants.js";
import { say } from "./words.js";

/** The single-file page carries the model as text in this element; the served page has it as a file. */
export const MODULE_ELEMENT = "bledsteam-wasm";
export const MODULE = "bledsteam_web_bg.wasm";

/** @param {string} base64 */
function bytes(base64) {
  const text = atob(base64.trim());
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}

/** Where the model comes from: its bytes, or their address. */
function source() {
  const inline = document.getElementById(MODULE_ELEMENT);
  return inline?.textContent ? bytes(inline.textContent) : new URL(MODULE, document.baseURI);
}

/** The model once more, compiled, for the page's workers. */
export async function compiled() {
  const from = source();
  return from instanceof URL ? WebAssembly.compileStreaming(fetch(from)) : WebAssembly.compile(from);
}

/** The address names the plant that is open, so that a link or a reload opens the same one. */
const ASKED = "plant";

/** @param {string} name */
export function addressOf(name) {
  const address = new URL(location.href);
  address.searchParams.set(ASKED, name);
  return address.href;
}

/**
 * A plant that is open: `file` is the text of its file where it is not shipped; `missing` the name of one that was asked for and
 * is not at hand.
 * @typedef {{ session: Session, file: string | null, missing?: string }} Opened
 */

/**
 * Loads the model and opens the plant of the exercise that the page came with, the one that the address asks for, or the
 * first one shipped.
 * @returns {Promise<Opened>}
 */
export async function openPlant() {
  await init({ module_or_path: source() });
  if (packed) return plantOf(JSON.parse(packed.exercise));
  const asked = new URLSearchParams(location.search).get(ASKED);
  const first = plants()[0]?.name;
  if (!asked?.startsWith(OWN)) {
    const name = asked ?? first;
    if (!name) throw new Error(say("no_plant"));
    return { session: new Session(name), file: null };
  }
  const name = asked.slice(OWN.length);
  // What the browser does not keep was handed over by the page before.
  const file = textOfOwn(name) ?? history.state?.plant;
  try {
    return { session: Session.of_file(file), file };
  } catch {
    return { session: new Session(first ?? ""), file: null, missing: name };
  }
}

/** The plant of an exercise. @param {{ plant: string, plant_file?: object }} exercise @returns {Opened} */
function plantOf({ plant, plant_file: carried }) {
  if (!carried) return { session: new Session(plant), file: null };
  const file = JSON.stringify(carried);
  return { session: Session.of_file(file), file };
}

/** What can drive the views: the reader's own plant, or an exercise being taken. @typedef {Session | Drill} Handle */

export { Drill, Session, check_exercise, check_plant, code_hash, equip_plant, exercise_file, exercise_runs, exercises, plants, snapshot_info };
