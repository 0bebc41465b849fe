// What fields and kinds are called. A field or a kind that the catalogue does not know yet is told by its own name and by
// what the schema says of it: so a new one appears by itself.

import { currentLanguage } from "../language.js";
import { sayOr } from "../words.js";
import { meaning } from "./schema.js";

/** @param {string} name */
const human = (name) => {
  const text = name.replace(/_s$/, "").replaceAll("_", " ");
  return text.charAt(0).toUpperCase() + text.slice(1);
};

/**
 * A field's label.
 * @param {string} name
 * @param {string} [of]  the kind or definition it belongs to
 */
export const labelOf = (name, of = "") => sayOr(`ed_${of}_${name}`, sayOr(`ed_${name}`, human(name)));

/**
 * What a field means, as the schema says it; only where the page speaks the schema's language.
 * @param {import("./schema.js").Schema} schema
 */
export const hintOf = (schema) => (currentLanguage() === "en" ? meaning(schema.description) : "");

/**
 * What a kind or a word is called.
 * @param {string} word
 * @param {string} means  by the schema
 */
export function kindText(word, means) {
  // An event's sentence, without the device and the value that it will name.
  const sentence = sayOr(`event_${word}`, "").replace(/\{device\}:? ?/, "").replace(/[:,]? ?(to|with)? ?\{value\}/, "");
  const known = [sentence, `ed_kind_${word}`, `ex_do_${word}`, `mal_${word}`, `mode_${word}`, `event_name_${word}`].map((key) => sayOr(key, ""));
  const plain = meaning(means);
  return known.find(Boolean) || (plain.length > 0 && plain.length <= 70 ? plain.replace(/\.$/, "") : human(word));
}
