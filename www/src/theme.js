// Light, dark, high contrast, or what the machine is set to.

import { recall, remember } from "./settings.js";

export const THEMES = ["auto", "light", "dark", "contrast"];

/** @type {(() => void)[]} */
const listeners = [];
const asked = ["(prefers-color-scheme: dark)", "(prefers-contrast: more)"].map((query) => matchMedia(query));

let theme = recall("theme") ?? "auto";
if (!THEMES.includes(theme)) theme = "auto";

/** Paper is white, whatever was chosen. */
let paper = false;

function apply() {
  const [dark, contrast] = asked.map((query) => query.matches);
  const chosen = theme !== "auto" ? theme : contrast ? "contrast" : dark ? "dark" : "light";
  document.documentElement.dataset.theme = paper ? "light" : chosen;
  for (const listener of listeners) listener();
}

export function startTheme() {
  for (const query of asked) query.addEventListener("change", apply);
  apply();
}

export function currentTheme() {
  return theme;
}

/** @param {string} chosen */
export function setTheme(chosen) {
  theme = chosen;
  remember("theme", chosen);
  apply();
}

/** @param {boolean} printing */
export function onPaper(printing) {
  paper = printing;
  apply();
}

/** @param {() => void} listener  called when colours have changed: what is drawn on a canvas must be drawn again */
export function onTheme(listener) {
  listeners.push(listener);
}

/** @param {string} name  a custom property of the style sheet, without the dashes */
export function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
}
