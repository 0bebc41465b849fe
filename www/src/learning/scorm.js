// Reporting by SCORM, whichever edition: strings through an object that the platform hands to the frames around its content.
// What the editions name and write differently stands in their own files.

import { say } from "../words.js";
import { findRuntime } from "./find.js";

/**
 * Names of an edition. `calls`: of the runtime's functions; `status`: of the element that is set while nothing is finished.
 * @typedef {{
 *   runtime: string,
 *   calls: { begin: string, get: string, set: string, commit: string, error: string, end: string },
 *   mode: string, name: string, status: string, time: string, exit: string, finished: string,
 * }} Names
 */

/** A credit beside which nothing is missing, or nothing there. */
const ALL = 0.999;
const NOTHING = 0.001;

/** @param {string} place @param {string} [more] */
const refused = (place, more = "") => ({ code: "platform_refuses", place, message: say("learn_refused") + more, remedy: say("learn_refused_remedy") });

/** @typedef {import("./port.js").Port} Port */
/** @implements {Port} */
export class Scorm {
  back = null;
  closed = false;
  counts = false;
  /** The runtime, once found. @type {any} */
  api = null;

  /**
   * @param {Names} names
   * @param {number} most  characters of suspend data that every runtime of the edition keeps
   * @param {(seconds: number) => string} span  how the edition writes a time
   */
  constructor(names, most, span) {
    this.names = names;
    this.most = most;
    this.span = span;
  }

  /** Calls the runtime. @param {keyof Names["calls"]} what @param {string[]} given */
  call(what, ...given) {
    return String(this.api[this.names.calls[what]](...given) ?? "");
  }

  async open() {
    const { names } = this;
    this.api = findRuntime(names.runtime);
    if (!this.api || this.call("begin", "") !== "true") {
      throw { code: "no_platform", place: "", message: say("learn_none"), remedy: say("learn_none_remedy") };
    }
    this.counts = !["browse", "review"].includes(this.get(names.mode));
    if (this.counts && ["not attempted", "unknown", ""].includes(this.get(names.status))) {
      this.set(names.status, "incomplete");
      this.commit();
    }
    // "Family, given" as the standard writes names.
    const name = this.get(names.name).split(/, */).reverse().join(" ").trim();
    return { name, kept: this.get("cmi.suspend_data"), counts: this.counts };
  }

  /** @param {string} element */
  get(element) {
    return this.call("get", element);
  }

  /** @param {string} element @param {string} value */
  set(element, value) {
    if (this.call("set", element, value) !== "true") throw refused(element, ` (${this.call("error")})`);
  }

  commit() {
    if (this.call("commit", "") !== "true") throw refused(this.names.calls.commit);
  }

  /** @param {string | null} text @param {number} seconds */
  async keep(text, seconds) {
    if (!this.counts || this.closed) return;
    this.set("cmi.suspend_data", text ?? "");
    this.set(this.names.time, this.span(seconds));
    this.set(this.names.exit, "suspend");
    this.commit();
  }

  /** @param {import("./port.js").Result} result */
  async report(result) {
    if (!this.counts || this.closed) return;
    const first = Number(this.get("cmi.interactions._count")) || 0;
    result.interactions.forEach((one, k) => {
      const at = `cmi.interactions.${first + k}`;
      for (const [field, text] of this.interaction(one)) this.set(`${at}.${field}`, text);
    });
    for (const [element, text] of this.outcome(result)) this.set(element, text);
    this.set(this.names.time, this.span(result.seconds));
    this.commit();
  }

  /**
   * An interaction as the edition writes it: fields in the order in which they may be set.
   * @param {import("./interactions.js").Interaction} _one
   * @returns {[string, string][]}
   */
  interaction(_one) {
    return [];
  }

  /** Score and status as the edition writes them. @param {import("./port.js").Result} _result @returns {[string, string][]} */
  outcome(_result) {
    return [];
  }

  /** @param {number} seconds @param {boolean} over */
  close(seconds, over) {
    if (this.closed) return;
    this.closed = true;
    if (this.counts) {
      this.set(this.names.time, this.span(seconds));
      this.set(this.names.exit, over ? this.names.finished : "suspend");
    }
    this.call("end", "");
  }
}

/**
 * What an answer came to: the edition's words for right and wrong, a share of 1 between.
 * @param {number} credit @param {string} wrong @param {number} digits
 */
export const resultOf = (credit, wrong, digits) => (credit >= ALL ? "correct" : credit <= NOTHING ? wrong : credit.toFixed(digits));
