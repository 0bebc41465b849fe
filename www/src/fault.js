// What was thrown, as a fault with its place and remedy.

import { say } from "./words.js";

/** @typedef {import("./types.js").Fault} Fault */

/**
 * The engine throws faults; whatever else may be thrown is shown as one too, never swallowed.
 * @param {unknown} thrown
 * @returns {Fault}
 */
export function asFault(thrown) {
  if (thrown && typeof thrown === "object" && "message" in thrown) {
    const fault = /** @type {Partial<Fault>} */ (thrown);
    return {
      code: fault.code ?? "unexpected",
      place: fault.place ?? "",
      message: String(fault.message),
      remedy: fault.remedy ?? say("fault_remedy"),
    };
  }
  return { code: "unexpected", place: "", message: String(thrown), remedy: say("fault_remedy") };
}
