// A page that came in a learning package carries its exercise and the standard it reports by.

/** @typedef {"scorm12" | "scorm2004" | "cmi5"} Standard */
/** `exercise`: text of its file. @typedef {{ standard: Standard, exercise: string }} Packed */
export const STANDARDS = /** @type {const} */ (["scorm12", "scorm2004", "cmi5"]);
/** Element that carries it, as base64 of its text. */
export const ELEMENT = "bledsteam-package";

/** @param {Uint8Array} bytes */
export const toBase64 = (bytes) => {
  let text = "";
  // In pieces: a call takes only so many arguments.
  for (let at = 0; at < bytes.length; at += 8192) text += String.fromCharCode(...bytes.subarray(at, at + 8192));
  return btoa(text);
};

/** @param {string} text */
export const fromBase64 = (text) => Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));

function read() {
  const text = globalThis.document?.getElementById(ELEMENT)?.textContent;
  if (!text) return null;
  /** @type {Packed} */
  const found = JSON.parse(new TextDecoder().decode(fromBase64(text)));
  return STANDARDS.includes(found.standard) ? found : null;
}

/** The exercise this page was packed with, as the text of its file, and the standard; null for the page itself. */
export const packed = read();
