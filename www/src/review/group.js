// The class that is reviewed: its files, what came of each, and all put together. It stays while the page does, whatever
// is looked at meanwhile; nothing of it is stored.

import { Marker, check_exercise, exercise_in, exercise_of, gradebook } from "bledsteam_web";
import { asFault } from "../app.js";
import { say } from "../words.js";
import { bytesOf, judge, through } from "./crew.js";
import { MOST_FILES } from "./files.js";

/**
 * @typedef {import("./crew.js").Paper} Paper
 * @typedef {import("./crew.js").Row} Row
 * @typedef {import("bledsteam_web").Gradebook} Gradebook
 * @typedef {import("../types.js").Fault} Fault
 * @typedef {{ path: string, json: string, id: string, title: string, faults: Fault[] }} Added  an exercise's file
 */

/** A record whose exercise was not at hand may be judged once it is. @param {Row} row */
const wants = (row) => row.fault?.code === "no_such_exercise" || row.verdict?.is === "other_exercise";

class Group {
  /** @type {Paper[]} */
  papers = [];
  /** @type {Map<string, Row>} */
  rows = new Map();
  /** @type {Added[]} */
  exercises = [];
  /** @type {Gradebook | null} */
  book = null;
  /** Shares done of the records that are being judged. @type {Map<string, number>} */
  far = new Map();
  /** What was refused as a whole. */
  notice = "";
  /** @type {AbortController | null} */
  work = null;
  /** How long the last judging took (ms). */
  took = 0;
  version = 0;

  get busy() {
    return this.work !== null;
  }

  /** Records not judged yet. */
  get waiting() {
    return this.papers.filter(({ path }) => !this.rows.has(path));
  }

  /** Files of exercises that can be taken. */
  get sound() {
    return this.exercises.filter(({ faults }) => faults.length === 0).map(({ json }) => json);
  }

  changed() {
    this.version += 1;
  }

  /**
   * Adds files; one of a path that is there replaces it.
   * @param {Paper[]} list
   * @param {number} [hands]
   */
  async add(list, hands) {
    this.notice = "";
    if (list.length > MOST_FILES) {
      this.notice = say("rev_too_many", { n: MOST_FILES });
      this.changed();
      return;
    }
    let learned = false;
    for (const paper of list) {
      try {
        const json = exercise_in(new Uint8Array(await bytesOf(paper.file)));
        if (json === null) this.place(paper);
        else {
          this.learn(paper.path, json);
          learned = true;
        }
      } catch (thrown) {
        this.notice = say("rev_unreadable_file", { file: paper.path, why: String(asFault(thrown).message) });
      }
    }
    if (learned) for (const [path, row] of this.rows) if (wants(row)) this.rows.delete(path);
    this.changed();
    await this.go(hands);
  }

  /** @param {Paper} paper */
  place(paper) {
    this.rows.delete(paper.path);
    this.papers = [...this.papers.filter(({ path }) => path !== paper.path), paper];
    this.papers.sort((a, b) => (a.path < b.path ? -1 : 1));
  }

  /** @param {string} path @param {string} json */
  learn(path, json) {
    const faults = check_exercise(json);
    const { id, title } = /** @type {{ id?: unknown, title?: unknown }} */ (JSON.parse(json));
    const added = { path, json, id: String(id ?? ""), title: String(title ?? ""), faults };
    this.exercises = [...this.exercises.filter((one) => one.path !== path), added];
  }

  /** Judges what waits. @param {number} [hands]  workers; as many as there are processors where not given */
  async go(hands) {
    if (this.work || this.waiting.length === 0) return;
    const work = (this.work = new AbortController());
    this.changed();
    const began = performance.now();
    // What is added meanwhile is judged too.
    while (this.waiting.length > 0 && !work.signal.aborted) {
      const exercises = this.sound;
      const heard = {
        row: (/** @type {Paper} */ { path }, /** @type {Row} */ row) => {
          this.rows.set(path, row);
          this.far.delete(path);
          this.changed();
        },
        far: (/** @type {Paper} */ { path }, /** @type {number} */ share) => {
          this.far.set(path, share);
          this.changed();
        },
      };
      try {
        await judge(this.waiting, exercises, heard, work.signal, hands);
      } catch (thrown) {
        this.notice = asFault(thrown).message;
        break;
      }
    }
    if (this.work !== work) return; // cleared meanwhile
    this.work = null;
    this.far.clear();
    this.took = performance.now() - began;
    this.sum();
  }

  sum() {
    const rows = this.papers.flatMap(({ path }) => this.rows.get(path) ?? []);
    this.book = rows.length > 0 ? gradebook(rows, this.sound) : null;
    this.changed();
  }

  stop() {
    this.work?.abort();
  }

  clear() {
    this.stop();
    this.work = null;
    this.papers = [];
    this.rows.clear();
    this.exercises = [];
    this.far.clear();
    this.book = null;
    this.notice = "";
    this.changed();
  }

  /**
   * A record's debrief, gone through once more; null where it was stopped or its run does not hold.
   * @param {string} path
   * @param {AbortSignal} signal
   */
  async debrief(path, signal) {
    const paper = this.papers.find((one) => one.path === path);
    if (!paper) return null;
    const marker = new Marker(this.sound);
    try {
      const row = await through(marker, paper, signal, () => {});
      const debrief = row && marker.debrief();
      const json = exercise_of(new Uint8Array(await bytesOf(paper.file)), this.sound);
      const standing = row && marker.standing();
      return debrief && standing && json ? { debrief, standing, exercise: JSON.parse(json) } : null;
    } finally {
      marker.free();
    }
  }
}

export const group = new Group();
