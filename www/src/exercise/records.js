// Records in the browser's own store: what is new is added as it comes, so that a killed tab loses at most the last second.

const NAME = "bledsteam";
const HEADS = "records";
const PARTS = "record-parts";

/**
 * What is known of a record without reading it. `file` is the exercise as it was taken; `reached` the line that says how far
 * it has come; `deleted` marks what goes for good when the list is opened next.
 * @typedef {{
 *   id: string, exercise: string, title: string, plant: string, by: string, begun: string, file: string, reached: string,
 *   entries: number, time_s: number, length_s: number, over: boolean, total: number | null, passed: boolean | null,
 *   changed: string, deleted: boolean,
 * }} Head
 */

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/** @returns {Promise<IDBDatabase>} */
function store() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(HEADS, { keyPath: "id" });
      asked.result.createObjectStore(PARTS, { keyPath: ["record", "from"] });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  opened.catch(() => (opened = null));
  return opened;
}

/**
 * One transaction over heads and parts: all of it is kept, or nothing.
 * @template T
 * @param {IDBTransactionMode} mode
 * @param {(heads: IDBObjectStore, parts: IDBObjectStore) => IDBRequest<T> | null} work
 * @returns {Promise<T | undefined>}
 */
async function within(mode, work) {
  const base = await store();
  return new Promise((resolve, reject) => {
    const deal = base.transaction([HEADS, PARTS], mode);
    const asked = work(deal.objectStore(HEADS), deal.objectStore(PARTS));
    deal.oncomplete = () => resolve(asked?.result);
    deal.onerror = deal.onabort = () => reject(deal.error);
  });
}

/** @param {string} id */
const partsOf = (id) => IDBKeyRange.bound([id, 0], [id, Infinity]);

/**
 * Keeps a head together with the entries that are new.
 * @param {Head} head
 * @param {number} from  entries kept before
 * @param {string} text  the new ones, a line each
 */
export const keep = (head, from, text) =>
  within("readwrite", (heads, parts) => {
    if (text) parts.put({ record: head.id, from, text });
    heads.put(head);
    return null;
  });

/** Every record that is kept, the latest first; what was deleted before goes for good. @returns {Promise<Head[]>} */
export async function listRecords() {
  const all = (await within("readonly", (heads) => /** @type {IDBRequest<Head[]>} */ (heads.getAll()))) ?? [];
  const gone = all.filter((head) => head.deleted);
  if (gone.length)
    await within("readwrite", (heads, parts) => {
      for (const { id } of gone) {
        heads.delete(id);
        parts.delete(partsOf(id));
      }
      return null;
    });
  return all.filter((head) => !head.deleted).sort((a, b) => (a.changed < b.changed ? 1 : -1));
}

/** A record's text, one entry to a line. @param {Head} head */
export async function textOf(head) {
  const asked = (/** @type {IDBObjectStore} */ parts) =>
    /** @type {IDBRequest<{ text: string }[]>} */ (parts.getAll(partsOf(head.id)));
  const parts = (await within("readonly", (_, parts) => asked(parts))) ?? [];
  return parts.map((part) => part.text).join("") + (head.over ? "" : head.reached);
}

/** Marks a record as deleted, or takes that back. @param {Head} head @param {boolean} deleted */
export const setDeleted = (head, deleted) =>
  within("readwrite", (heads) => {
    heads.put({ ...head, deleted });
    return null;
  });
