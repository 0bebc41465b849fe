// What was dropped or chosen, as a flat list of files with their paths; packed folders, as learning platforms hand them out,
// are unpacked.

import { unzipSync } from "fflate";
import { LARGEST } from "../files/look.js";

/** @typedef {import("./crew.js").Paper} Paper */

/** More is a mistake, such as a whole disk. */
export const MOST_FILES = 500;

/** Largest packed folder, and most of what comes out of it (bytes): a class of records has less. */
const MOST_PACKED = 1 << 26;
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

/**
 * The same files, with what lies in packed folders in their place. One that cannot be unpacked, or that holds nothing of
 * ours, stays as it is, and is refused with the reason like any other file.
 * @param {Paper[]} papers
 * @returns {Promise<Paper[]>}
 */
export async function unpacked(papers) {
  /** @type {Paper[]} */
  const found = [];
  for (const paper of papers) found.push(...((await inside(paper)) ?? [paper]));
  return seen(found);
}

/** @param {Paper} paper @returns {Promise<Paper[] | null>} */
async function inside({ path, file }) {
  const [p, k, three, four] = new Uint8Array(await file.slice(0, 4).arrayBuffer());
  if (p !== 0x50 || k !== 0x4b || three !== 3 || four !== 4 || file.size > MOST_PACKED) return null;
  let room = MOST_PACKED;
  let many = 0;
  try {
    const all = unzipSync(new Uint8Array(await file.arrayBuffer()), {
      filter: ({ name, originalSize }) => {
        if (!/\.jsonl?$/i.test(name) || hidden(name) || originalSize > LARGEST) return false;
        room -= originalSize;
        many += 1;
        return room > 0 && many <= MOST_FILES + 1;
      },
    });
    const list = Object.entries(all).map(([name, bytes]) => ({ path: `${path}/${name}`, file: new Blob([/** @type {BlobPart} */ (bytes)]) }));
    return list.length > 0 ? list : null;
  } catch {
    return null; // locked by a password, or damaged
  }
}
