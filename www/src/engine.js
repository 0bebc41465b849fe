// Brings the plant's model into the page, from beside it or from inside it.

import init, { Session, plants } from "bledsteam_web";
import { say } from "./words.js";

/** The single-file page carries the model as text in this element; the served page has it as a file. */
const INLINE = "bledsteam-wasm";
const FILE = "bledsteam_web_bg.wasm";

/** @param {string} base64 */
function bytes(base64) {
  const text = atob(base64.trim());
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}

/**
 * Loads the model and opens the first shipped plant.
 * @returns {Promise<Session>}
 */
export async function openPlant() {
  const inline = document.getElementById(INLINE);
  await init({ module_or_path: inline?.textContent ? bytes(inline.textContent) : new URL(FILE, document.baseURI) });
  const first = plants()[0];
  if (!first) throw new Error(say("no_plant"));
  return new Session(first.name);
}

export { Session };
