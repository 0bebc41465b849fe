// Exercise files as the page reads them: checked by the engine first, which names every fault.

import { check_exercise, exercise_file, exercises, plants } from "../engine.js";
import { lookAt, refusalOf } from "../files/look.js";
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
 * @typedef {{ id: string, title: string, plant: string, plant_file?: { name: string, title: string }, brief: string, idea: string, explanation: string, length_s: number,
 *   trends?: string[], hints?: { text: string, price: number }[], questions?: Question[], predictions?: Prediction[],
 *   controls?: { permit?: Record<string, string | number>[], lock?: Record<string, string | number>[] },
 *   timeline?: { id: string, at_s?: number, note?: string, commands?: import("../types.js").Command[] }[],
 *   ends?: { text: string, fails?: boolean }[],
 *   objectives: { id: string, text: string, weight: number }[], pass_mark: number }} Exercise
 */

/** The title of the plant that an exercise is of. @param {{ plant: string, plant_file?: { title: string } }} exercise */
export const plantTitle = ({ plant, plant_file: carried }) => carried?.title ?? plants().find(({ name }) => name === plant)?.title ?? plant;

/** Largest exercise (bytes): as the engine reads. */
export const LARGEST = 1 << 18;

/**
 * Reads a file that somebody opened or dropped.
 * @param {File} file
 * @returns {Promise<{ text: string, refused: string, trouble: string, kind: import("../files/look.js").Kind | null, faults: import("../types.js").Fault[] }>}
 *   `refused`: why it is no exercise at all; else the faults of the exercise it is
 */
export async function readExercise(file) {
  const look = await lookAt(file);
  const large = look.kind === "exercise" && file.size > LARGEST ? [say("file_not_opened", { name: file.name }), say("ed_file_large", { most: LARGEST })].join(" ") : "";
  const refused = refusalOf(look, "exercise") || large;
  return { text: look.text, refused, trouble: look.trouble, kind: look.kind, faults: refused ? [] : check_exercise(look.text) };
}

/** The file of a shipped exercise, if there is one of this id. @param {string} id */
export const shippedFile = (id) => (exercises().some((one) => one.id === id) ? exercise_file(id) : null);

/** Whether a file is the shipped exercise of its id. @param {string} text */
export function isShipped(text) {
  const { id } = JSON.parse(text);
  return shippedFile(id) === text;
}
