// What was dropped or chosen, as a flat list of files with their paths.

/** @typedef {import("./crew.js").Paper} Paper */

/** More is a mistake, such as a whole disk. */
export const MOST_FILES = 500;

/** Files that systems put beside others. @param {string} path */
const hidden = (path) => path.split("/").some((part) => part.startsWith(".") || part === "__MACOSX");

/** @param {Paper[]} papers */
const seen = (papers) =>
  papers.filter(({ path }) => !hidden(path)).sort((a, b) => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0));

/** @param {FileList | null} list @returns {Paper[]} */
export const chosen = (list) =>
  seen([...(list ?? [])].map((file) => ({ path: file.webkitRelativePath || file.name, file })));

/**
 * Folders are opened, as deep as they go. What is dropped must be asked for at once: later the browser has forgotten it.
 * @param {DataTransfer} transfer
 * @returns {Promise<Paper[]>}
 */
export async function dropped(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry());
  if (!entries.some((entry) => entry)) return chosen(transfer.files);
  /** @type {Paper[]} */
  const found = [];
  for (const entry of entries) if (entry) await walk(entry, found);
  return seen(found);
}

/** @param {FileSystemEntry} entry @param {Paper[]} found @returns {Promise<void>} */
async function walk(entry, found) {
  if (found.length > MOST_FILES) return;
  if (entry.isFile) {
    const file = await new Promise((resolve, reject) =>
      /** @type {FileSystemFileEntry} */ (entry).file(resolve, reject),
    );
    found.push({ path: entry.fullPath.replace(/^\//, ""), file });
    return;
  }
  const reader = /** @type {FileSystemDirectoryEntry} */ (entry).createReader();
  for (;;) {
    /** @type {FileSystemEntry[]} */
    const some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
    if (some.length === 0) return;
    for (const one of some) await walk(one, found);
  }
}
