// A learning package: a zip with the page, the exercise inside it, and the file by which a platform knows it.

import { strToU8, zipSync } from "fflate";
import { code_hash } from "../engine.js";
import { MANIFESTS } from "./manifests.js";
import { toBase64 } from "./packed.js";
import { sources } from "./sources.js";

/** A UUID that is the same for the same exercise and standard, so that a platform knows it again (RFC 9562, version 8). @param {string} text */
function keyOf(text) {
  const hex = code_hash("bledsteam-package", text);
  const variant = "89ab"[parseInt(hex.slice(16, 17), 16) % 4];
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-8${hex.slice(13, 16)}-${variant}${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
}

/**
 * @param {string} exercise  text of its file
 * @param {import("./packed.js").Standard} standard
 * @param {string} lrs  origin of the record store a cmi5 package may speak to; any by https where it is empty
 */
export async function packageOf(exercise, standard, lrs) {
  const { id, title, idea } = JSON.parse(exercise);
  const carried = toBase64(strToU8(JSON.stringify({ standard, exercise })));
  const files = await sources(carried, standard === "cmi5" ? lrs || "https:" : "");
  const manifest = MANIFESTS[standard];
  const text = manifest.text({ id, title, idea, key: keyOf(`${standard} ${exercise}`), files: Object.keys(files).sort() });
  // The manifest comes first, and the date is that of no clock: the same exercise gives the same package.
  return zipSync({ [manifest.name]: strToU8(text), ...files }, { level: 6, mtime: new Date(2000, 0, 1) });
}
