// The class that is reviewed: its files, what came of each, and all put together. It stays while the page does, whatever
// is looked at meanwhile; nothing of it is stored.

import { Marker, beside_records, check_exercise, check_plant, exercise_of, gradebook } from "bledsteam_web";
import { asFault } from "../fault.js";
import { say } from "../words.js";
import { lookAt } from "../files/look.js";
import { bytesOf, judge, through } from "./crew.js";
import { MOST_FILES, unpacked } from "./files.js";

/**
 * @typedef {import("./crew.js").Paper} Paper
 * @typedef {import("./crew.js").Row} Row
 * @typedef {import("bledsteam_web").Gradebook} Gradebook
 * @typedef {import("../types.js").Fault} Fault
 * @typedef {{ path: string, is: "exercise" | "plant", json: string, id: string, title: string, faults: Fault[], lacks: string }} Added
 *   a file of an exercise or a plant; by its id others name it; an exercise may lack a plant of that name
 */

/** What records may lack that a file beside them gives. */
const MISSING = new Set(["no_such_exercise", "no_such_plant", "other_exercise", "other_plant"]);

/** A record whose exercise or plant was not at hand may be judged once it is. @param {Row} row */
const wants = (row) => MISSING.has(row.fault?.code ?? "") || MISSING.has(row.verdict?.is ?? "");

class Group {
  /** @type {Paper[]} */
  papers = [];
  /** @type {Map<string, Row>} */
  rows = new Map();
  /** What is wrong with a file as a whole. @type {Map<string, string>} */
  troubles = new Map();
  /** Exercises and plants. @type {Added[]} */
  beside = [];
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

  /** Files without a fault: exercises and plants. */
  get sound() {
    return this.beside.filter(({ faults }) => faults.length === 0).map(({ json }) => json);
  }

  /** The exercises among what was added. */
  get exercises() {
    return this.beside.filter(({ is }) => is === "exercise");
  }

  changed() {
    this.version += 1;
  }

  /**
   * Adds files; one of a path that is there replaces it.
   * @param {Paper[]} given
   * @param {number} [hands]
   */
  async add(given, hands) {
    this.notice = "";
    const list = given.length > MOST_FILES ? given : await unpacked(given);
    if (list.length > MOST_FILES) {
      this.notice = say("rev_too_many", { n: MOST_FILES });
      this.changed();
      return;
    }
    let learned = false;
    for (const paper of list) {
      try {
        const found = beside_records(new Uint8Array(await bytesOf(paper.file)));
        if (found) this.learn(paper.path, found);
        else {
          this.place(paper);
          await this.look(paper);
        }
        learned ||= found !== null;
      } catch (thrown) {
        this.notice = say("rev_unreadable_file", { file: paper.path, why: String(asFault(thrown).message) });
      }
    }
    if (learned) {
      this.check();
      for (const [path, row] of this.rows) if (wants(row)) this.rows.delete(path);
    }
    this.changed();
    await this.go(hands);
  }

  /** @param {Paper} paper */
  place(paper) {
    this.rows.delete(paper.path);
    this.papers = [...this.papers.filter(({ path }) => path !== paper.path), paper];
    this.papers.sort((a, b) => (a.path < b.path ? -1 : 1));
  }

  /** What is no record at all is told as a whole, not by its first line. @param {Paper} paper */
  async look({ path, file }) {
    const { kind, trouble } = await lookAt(new File([file], path));
    const told = kind === "record" ? "" : kind === "exercise" || kind === "plant" ? trouble : trouble || say("rev_no_record");
    if (told) this.troubles.set(path, told);
    else this.troubles.delete(path);
  }

  /** @param {string} path @param {import("bledsteam_web").BesideRecords} found */
  learn(path, { is, json }) {
    const { id, name, title } = /** @type {{ id?: unknown, name?: unknown, title?: unknown }} */ (JSON.parse(json));
    const added = { path, is, json, id: String((is === "plant" ? name : id) ?? ""), title: String(title ?? ""), faults: [], lacks: "" };
    this.beside = [...this.beside.filter((one) => one.path !== path), added];
  }

  /** Checks what was added, whatever came first: an exercise may be of a plant beside it. */
  check() {
    for (const one of this.beside) if (one.is === "plant") one.faults = check_plant(one.json);
    const plants = this.beside.filter(({ is, faults }) => is === "plant" && faults.length === 0).map(({ json }) => json);
    for (const one of this.exercises) {
      const faults = check_exercise(one.json, plants);
      // That is no fault of the exercise: the plant may come yet.
      one.lacks = faults.find(({ code }) => code === "no_such_plant")?.place ?? "";
      one.faults = one.lacks ? [] : faults;
    }
  }

  /** Judges what waits. @param {number} [hands]  workers; as many as there are processors where not given */
  async go(hands) {
    if (this.work || this.waiting.length === 0) return;
    const work = (this.work = new AbortController());
    this.changed();
    const began = performance.now();
    // What is added meanwhile is judged too.
    while (this.waiting.length > 0 && !work.signal.aborted) {
      const files = this.sound;
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
        await judge(this.waiting, files, heard, work.signal, hands);
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
    this.beside = [];
    this.troubles.clear();
    this.far.clear();
    this.book = null;
    this.notice = "";
    this.changed();
  }

  /** An exercise with the plant that lies beside it, as if it carried it: for its names. @param {import("../exercise/file.js").Exercise} exercise */
  withPlant(exercise) {
    const beside = this.beside.find(({ is, id, faults }) => is === "plant" && id === exercise.plant && faults.length === 0);
    return beside && !exercise.plant_file ? { ...exercise, plant_file: JSON.parse(beside.json) } : exercise;
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
      return debrief && standing && json ? { debrief, standing, exercise: this.withPlant(JSON.parse(json)) } : null;
    } finally {
      marker.free();
    }
  }
}

export const group = new Group();
