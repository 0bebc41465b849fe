// The golden script and what runs it: where it leads natively must be where it leads in every browser.

import { readFileSync } from "node:fs";

/**
 * A command script, the hash of the state after it, and a hash over a grid of water and steam properties: written
 * and checked by the native test.
 */
export const golden = JSON.parse(readFileSync(new URL("../golden/state_hash.json", import.meta.url), "utf8"));
export const native = { state_hash: golden.state_hash, property_fingerprint: golden.property_fingerprint };

/**
 * Runs the script; also sent to the browser as text, so it stands alone.
 * @param {any} module the glue, its wasm loaded
 * @param {any} golden
 * @returns {typeof native}
 */
export function replay(module, golden) {
  const session = new module.Session(golden.plant);
  let step = 0;
  for (const { at, command } of golden.script) {
    session.advance(at - step);
    step = at;
    session.command(command);
  }
  session.advance(golden.steps - step);
  const state_hash = session.state_hash();
  session.free();
  return { state_hash, property_fingerprint: module.property_fingerprint() };
}
