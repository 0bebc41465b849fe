// Which language the page speaks: the reader's choice, or what the browser asks for.

import { recall, remember } from "./settings.js";
import { speak } from "./words.js";

export const LANGUAGES = /** @type {const} */ ({ en: "English", de: "Deutsch" });
/** @typedef {keyof typeof LANGUAGES} Language */

/** @type {(() => void)[]} */
const listeners = [];

/** @param {string | null | undefined} tag  as in "de-AT" @returns {Language | undefined} */
const known = (tag) => {
  const language = tag?.slice(0, 2).toLowerCase();
  return language === "en" || language === "de" ? language : undefined;
};

/** @type {Language} */
let language = "en";

export const currentLanguage = () => language;

export function startLanguage() {
  apply(known(recall("language")) ?? known(navigator.language) ?? "en");
}

/** @param {Language} chosen */
function apply(chosen) {
  language = chosen;
  document.documentElement.lang = chosen;
  speak(chosen);
}

/** @param {string} chosen */
export function setLanguage(chosen) {
  const next = known(chosen);
  if (!next || next === language) return;
  remember("language", next);
  apply(next);
  for (const listener of listeners) listener();
}

/** @param {() => void} listener  called when every word has to be said anew */
export function onLanguage(listener) {
  listeners.push(listener);
}
