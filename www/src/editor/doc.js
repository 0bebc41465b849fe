// The exercise being written: every change makes a new value, so that undoing is taking the old one; kept as a draft.

import { recall, remember } from "../settings.js";

/** @typedef {(string | number)[]} Path */

/** Changes of one field within this time (ms) are undone together. */
const TOGETHER_MS = 1500;
/** Steps back. */
const MOST = 200;
const DRAFT = "editor.draft";

/** A path as the checks write it: `questions[0].answer.right`. @param {Path} path */
export const placeOf = (path) =>
  path.reduce((/** @type {string} */ text, part) => (typeof part === "number" ? `${text}[${part}]` : text ? `${text}.${part}` : String(part)), "");

/** @param {any} value @param {Path} path */
export const at = (value, path) => path.reduce((inner, part) => inner?.[part], value);

/**
 * @param {any} value
 * @param {Path} path
 * @param {(old: any) => any} change  undefined takes the field out
 * @returns {any}
 */
function changed(value, path, change) {
  const [first, ...rest] = path;
  if (first === undefined) return change(value);
  const inner = changed(value?.[first], rest, change);
  if (typeof first === "number") {
    const list = Array.isArray(value) ? [...value] : [];
    list[first] = inner;
    return list;
  }
  const object = { ...value };
  if (inner === undefined) delete object[first];
  else object[first] = inner;
  return object;
}

export class Doc {
  /** @param {any} value */
  constructor(value) {
    this.value = value;
    /** @type {any[]} */
    this.past = [];
    /** @type {any[]} */
    this.future = [];
    this.last = { place: "", when: -Infinity };
    /** Counts changes of any kind. */
    this.version = 0;
    /** Counts changes after which the form has to be built anew. */
    this.shape = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  /** @param {Path} path */
  get(path) {
    return at(this.value, path);
  }

  /**
   * @param {Path} path
   * @param {(old: any) => any} change
   * @param {boolean} [shapes]  other fields than this one come or go
   */
  change(path, change, shapes = true) {
    const next = changed(this.value, path, change);
    const place = placeOf(path);
    const now = performance.now();
    const together = !shapes && place === this.last.place && now - this.last.when < TOGETHER_MS;
    if (!together) {
      this.past.push(this.value);
      if (this.past.length > MOST) this.past.shift();
    }
    this.last = { place: shapes ? "" : place, when: now };
    this.future = [];
    this.value = next;
    this.touched(shapes);
  }

  /** @param {Path} path @param {any} value @param {boolean} [shapes] */
  set(path, value, shapes = false) {
    this.change(path, () => value, shapes);
  }

  /** Another exercise; the one before can be had back. @param {any} value */
  replace(value) {
    this.change([], () => value);
  }

  undo() {
    const before = this.past.pop();
    if (before === undefined) return;
    this.future.push(this.value);
    this.value = before;
    this.last.place = "";
    this.touched(true);
  }

  redo() {
    const after = this.future.pop();
    if (after === undefined) return;
    this.past.push(this.value);
    this.value = after;
    this.last.place = "";
    this.touched(true);
  }

  /** @param {boolean} shapes */
  touched(shapes) {
    this.version += 1;
    if (shapes) this.shape += 1;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.keep(), 300);
  }

  keep() {
    clearTimeout(this.timer);
    remember(DRAFT, this.text());
  }

  text() {
    return JSON.stringify(this.value, null, 2);
  }
}

/** The draft of the last visit, if there is one. */
export function draft() {
  const text = recall(DRAFT);
  if (text === null) return null;
  try {
    const value = JSON.parse(text);
    return value && typeof value === "object" && !Array.isArray(value) ? value : null;
  } catch {
    return null; // not what this page wrote: as if there were none
  }
}
