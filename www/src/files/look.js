// What a file is, looked at before anything is made of it: what cannot be opened is told in words, with the place and what
// to do about it, and nothing of it is kept.

import { check_exercise } from "../engine.js";
import { say } from "../words.js";

/** @typedef {"exercise" | "record" | "plant" | "snapshot" | "tape"} Kind */
/**
 * @typedef {{ name: string, kind: Kind | null, text: string, trouble: string }} Look  `kind`: what it says it is, or means to
 *   be; `trouble`: what is wrong with it as a whole, in sentences; nothing where it may be read
 */

/** What this page reads of each. @type {Record<Kind, string>} */
const FORMATS = {
  exercise: "bledsteam-exercise/1",
  record: "bledsteam-record/1",
  plant: "bledsteam-plant/1",
  snapshot: "bledsteam-snapshot/1",
  tape: "bledsteam-tape/1",
};
/** Where each is opened. @type {Record<Kind, { word: import("../words.js").Word, view: import("../views.js").View }>} */
export const PLACES = {
  exercise: { word: "drop_exercise", view: "exercise" },
  record: { word: "drop_record", view: "review" },
  plant: { word: "drop_plant", view: "climb" },
  snapshot: { word: "drop_desk", view: "desk" },
  tape: { word: "drop_desk", view: "desk" },
};
/** How far into a file its format is looked for (characters). */
const HEAD = 4000;
/** Larger than any file of ours (bytes). */
export const LARGEST = 1 << 23;
const SAYS = /"format"\s*:\s*"bledsteam-(\w+)\//;

/** @param {string} text @returns {Kind | null} */
function meant(text) {
  const kind = SAYS.exec(text)?.[1];
  return kind && kind in FORMATS ? /** @type {Kind} */ (kind) : null;
}

/**
 * Looks at a file that somebody chose or let fall.
 * @param {File} file
 * @param {number} [most]  bytes that are looked at
 * @returns {Promise<Look>}
 */
export async function lookAt(file, most = LARGEST) {
  const { name } = file;
  /** @param {string} trouble @param {Kind | null} [kind] @param {string} [text] */
  const found = (trouble, kind = null, text = "") => ({ name, kind, text, trouble });
  if (file.size > most) return found(say("file_large", { size: sizeText(file.size), most: sizeText(most) }));
  const bytes = new Uint8Array(await file.arrayBuffer());
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) return found(say("file_packed"));
  const text = textOf(bytes);
  if (text === null) {
    // A record with a damaged line is still one: who runs it again names the line.
    const record = meant(new TextDecoder().decode(bytes.subarray(0, HEAD))) === "record";
    return record ? found("", "record") : found(say("file_binary"));
  }
  if (text.trim() === "") return found(say("file_empty"));
  const kind = meant(text.slice(0, HEAD)) ?? meant(text);
  // A record is lines, not one object; what is wrong in a line is told by who runs it again.
  if (kind === "record") return found("", kind, text);
  if (/^\s*</.test(text)) return found(say("file_page"));
  /** @type {any} */
  let value;
  try {
    value = JSON.parse(text);
  } catch {
    if (!kind && !/^\s*[{[]/.test(text)) return found(say("file_words"));
    return found(cutOff(text) ? say("file_cut", { line: lines(text) }) : broken(text), kind);
  }
  const format = typeof value?.format === "string" ? value.format : "";
  const is = meant(JSON.stringify({ format }));
  if (!is) return found(say("file_other"));
  if (format !== FORMATS[is]) return found(say("file_version", { format, reads: FORMATS[is] }), is);
  return found("", is, text);
}

/**
 * What to say of a file that a view does not open; nothing where it does. The file is named with it.
 * @param {Look} look
 * @param {...Kind} wanted
 */
export function refusalOf({ name, kind, trouble }, ...wanted) {
  if (!trouble && kind && wanted.includes(kind)) return "";
  const elsewhere = kind && !wanted.includes(kind) ? say(PLACES[kind].word) : "";
  return [say("file_not_opened", { name }), trouble, elsewhere].filter(Boolean).join(" ");
}

/** The text of a file as an editor saves it; null where it holds none. @param {Uint8Array} bytes */
function textOf(bytes) {
  const [first, second] = bytes;
  const wide = first === 0xff && second === 0xfe ? "utf-16le" : first === 0xfe && second === 0xff ? "utf-16be" : null;
  try {
    const text = new TextDecoder(wide ?? "utf-8", { fatal: true }).decode(bytes);
    return text.includes("\0") ? null : text;
  } catch {
    return null;
  }
}

/** Whether JSON ends before it is closed: in a text, or with brackets open. @param {string} text */
function cutOff(text) {
  let depth = 0;
  let inside = false;
  for (let at = 0; at < text.length; at += 1) {
    const sign = text[at];
    if (inside) {
      if (sign === "\\") at += 1;
      else if (sign === '"') inside = false;
      // No text of JSON goes over the end of a line: a quotation mark is missing before.
      else if (sign === "\n") return false;
    } else if (sign === '"') inside = true;
    else if (sign === "{" || sign === "[") depth += 1;
    else if (sign === "}" || sign === "]") depth -= 1;
  }
  return inside || depth > 0;
}

/** Where JSON stops to be any, as its reader counts. @param {string} text */
function broken(text) {
  const at = /line (\d+) column (\d+)/.exec(check_exercise(text)[0]?.message ?? "");
  if (!at) return say("file_words");
  const line = Number(at[1]);
  return say("file_broken", { line, column: Number(at[2]), text: (text.split("\n")[line - 1] ?? "").trim().slice(0, 60) });
}

/** @param {string} text */
const lines = (text) => text.trimEnd().split("\n").length;

/** @param {number} bytes */
const sizeText = (bytes) => (bytes < 1e6 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(1).replace(".", say("decimal"))} MB`);
