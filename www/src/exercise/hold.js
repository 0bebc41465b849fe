// A record is written by one page at a time: a second tab that took it up as well would mix two runs into one.

/**
 * Takes hold of a record until the returned function is called, or the page is gone.
 * @param {string} id
 * @returns {Promise<(() => void) | null>}  null when another page has it
 */
export function hold(id) {
  return new Promise((resolve) => {
    if (!("locks" in navigator)) return resolve(() => {});
    navigator.locks
      .request(`bledsteam-record-${id}`, { ifAvailable: true }, (lock) => {
        if (!lock) return resolve(null);
        return /** @type {Promise<void>} */ (new Promise((release) => resolve(() => release())));
      })
      // A page opened from a disk may have no locks: then nobody else is asked.
      .catch(() => resolve(() => {}));
  });
}
