// The record in the few characters that a learning platform keeps between two sittings: its short form, compressed.

import { deflateSync, inflateSync, strFromU8, strToU8 } from "fflate";
import { fromBase64, toBase64 } from "./packed.js";

/** What such a text begins with; another build may write another form. */
const FORM = "bledsteam1";
/**
 * What the platform has been told in this or an earlier sitting: nothing, that a run was completed, that one was passed.
 * @typedef {"" | "completed" | "passed"} Told
 */
const TOLD = /** @type {const} */ (["", "completed", "passed"]);
/** Largest short form that is unpacked [bytes]: what a text may hold is checked before the engine reads it. */
const LARGEST = 1 << 20;

/** @param {string} short  short form of a record, an entry to a line @param {Told} told */
export const carried = (short, told) => `${FORM}:${told}:${toBase64(deflateSync(strToU8(short), { level: 9 }))}`;

/** The short form again, and what was told; null where the text is none of ours. @param {string} text */
export function unpacked(text) {
  const [form, said, packed = ""] = text.split(":");
  const told = TOLD.find((one) => one === said);
  if (form !== FORM || told === undefined) return null;
  try {
    return { short: strFromU8(inflateSync(fromBase64(packed), { out: new Uint8Array(LARGEST) })), told };
  } catch {
    return null;
  }
}
