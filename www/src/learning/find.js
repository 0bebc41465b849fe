// Finding the platform's runtime: in the frames around the page, then around the window that opened it, as SCORM says.

/** Most frames that are climbed; deeper nesting is no platform but a loop. */
const DEEPEST = 500;

/** @param {Window} from @param {string} name @returns {any} */
function around(from, name) {
  let here = from;
  for (let depth = 0; depth < DEEPEST; depth += 1) {
    try {
      const found = /** @type {any} */ (here)[name];
      if (found) return found;
    } catch {
      return null; // a frame of another origin: nothing beyond it can be asked either
    }
    if (here.parent === here) return null;
    here = here.parent;
  }
  return null;
}

/** The runtime of that name, or null. @param {string} name @returns {any} */
export function findRuntime(name) {
  const near = window.parent === window ? null : around(window.parent, name);
  if (near) return near;
  /** @type {Window | null} */
  const opener = window.opener;
  return opener ? around(opener, name) : null;
}
