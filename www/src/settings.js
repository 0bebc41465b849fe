// What the reader chose, kept between visits where the browser allows it.

const PREFIX = "bledsteam."; // pages opened from one disk may share their storage

/**
 * @param {string} name
 * @returns {string | null}
 */
export function recall(name) {
  try {
    return localStorage.getItem(PREFIX + name);
  } catch {
    return null; // storage is off: every visit starts afresh
  }
}

/**
 * @param {string} name
 * @param {string} value
 */
export function remember(name, value) {
  try {
    localStorage.setItem(PREFIX + name, value);
  } catch {
    // Storage is off or full: the choice holds for this visit.
  }
}
