// Exercise files as the page reads them: checked by the engine first, which names every fault.

import { check_exercise, exercise_file, exercises } from "../engine.js";
import { say } from "../words.js";

/**
 * An exercise, as far as the page shows it; its full form is the published schema.
 * @typedef {{ id: string, text: string, signal: string, window_s: number, explanation: string,
 *   moment: { at_s?: number, happening?: string, plus_s?: number },
 *   what: { kind: "direction" } | { kind: "value", tolerance: number } | { kind: "curve", tolerance: number } }} Prediction
 * @typedef {{ kind: "choice", choices: string[], right: number[] }
 *   | { kind: "number", quantity: string, value?: number, signal?: string, tolerance: number }
 *   | { kind: "component", right: string[] } | { kind: "order", actions: string[], right: number[] }} Asked
 * @typedef {{ id: string, text: string, from_s?: number, until_s?: number, explanation: string, answer: Asked }} Question
 * @typedef {{ id: string, title: string, plant: string, brief: string, idea: string, explanation: string, length_s: number,
 *   trends?: string[], hints?: { text: string, price: number }[], questions?: Question[], predictions?: Prediction[],
 *   controls?: { permit?: Record<string, string | number>[], lock?: Record<string, string | number>[] },
 *   timeline?: { id: string, at_s?: number, note?: string, commands?: import("../types.js").Command[] }[],
 *   ends?: { text: string, fails?: boolean }[],
 *   objectives: { id: string, text: string, weight: number }[], pass_mark: number }} Exercise
 */

/** Larger files are not even looked at (bytes); the engine has its own, smaller limit. */
const LARGEST = 4 * 1024 * 1024;

/**
 * Reads a file that somebody opened or dropped.
 * @param {File} file
 * @returns {Promise<{ text: string, faults: import("../types.js").Fault[] }>}
 */
export async function readExercise(file) {
  if (file.size > LARGEST) {
    const fault = { code: "too_large", place: file.name, message: say("ex_too_large"), remedy: say("ex_too_large_remedy") };
    return { text: "", faults: [fault] };
  }
  const text = await file.text();
  return { text, faults: check_exercise(text) };
}

/** The file of a shipped exercise, if there is one of this id. @param {string} id */
export const shippedFile = (id) => (exercises().some((one) => one.id === id) ? exercise_file(id) : null);

/** Whether a file is the shipped exercise of its id. @param {string} text */
export function isShipped(text) {
  const { id } = JSON.parse(text);
  return shippedFile(id) === text;
}
