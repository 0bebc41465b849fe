// Plants of the reader's own: kept in this browser as the texts of their files, and nowhere else.

import { download } from "../download.js";
import { recall, remember } from "../settings.js";

/** @typedef {{ name: string, title: string, text: string }} OwnPlant */

const KEPT = "plants";
/** What stands before the name of a plant that is not shipped, in the address and in lists: it may have a shipped one's. */
export const OWN = "own:";

/** Every plant that is kept, by title. @returns {OwnPlant[]} */
export function ownPlants() {
  try {
    const kept = JSON.parse(recall(KEPT) ?? "[]");
    const fits = (/** @type {any} */ one) => one && ["name", "title", "text"].every((key) => typeof one[key] === "string");
    return Array.isArray(kept) ? kept.filter(fits) : [];
  } catch {
    return []; // somebody else wrote there
  }
}

/** @param {OwnPlant[]} list */
const write = (list) => remember(KEPT, JSON.stringify(list.sort((a, b) => (a.title < b.title ? -1 : 1))));

/**
 * Keeps a plant in the place of an older one of its name.
 * @param {string} text  of a file without a fault
 * @returns {boolean}  whether the browser keeps it
 */
export function keepPlant(text) {
  const { name, title } = JSON.parse(text);
  write([...ownPlants().filter((one) => one.name !== name), { name, title, text }]);
  return textOfOwn(name) === text;
}

/** @param {string} name */
export const forgetPlant = (name) => write(ownPlants().filter((one) => one.name !== name));

/** The file of a plant that is kept. @param {string} name */
export const textOfOwn = (name) => ownPlants().find((one) => one.name === name)?.text ?? null;

/** Gives a plant as a file. @param {string} text */
export const savePlant = (text) => download(`${JSON.parse(text).name || "plant"}.json`, new Blob([text, "\n"], { type: "application/json" }));
