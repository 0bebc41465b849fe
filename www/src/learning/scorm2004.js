// Reporting by SCORM 2004, 4th edition (run-time environment, 2009): strings through an object named API_1484_11.

import { say } from "../words.js";
import { isoDuration } from "./duration.js";
import { findRuntime } from "./find.js";
import { pattern, response, shortened, TYPES } from "./interactions.js";

/** Smallest permitted maximum of cmi.suspend_data. */
const MOST = 64_000;
/** The same of an interaction's id and of its description. */
const ID = 4000;
const DESCRIPTION = 250;

/** @typedef {import("./port.js").Port} Port */
/** @implements {Port} */
export class Scorm2004 {
  most = MOST;
  back = null;

  async open() {
    /** @type {any} */
    this.api = findRuntime("API_1484_11");
    if (!this.api || String(this.api.Initialize("")) !== "true") {
      throw { code: "no_platform", place: "", message: say("learn_none"), remedy: say("learn_none_remedy") };
    }
    this.closed = false;
    this.counts = this.get("cmi.mode") === "normal" || this.get("cmi.mode") === "";
    if (this.counts && ["unknown", "not attempted", ""].includes(this.get("cmi.completion_status"))) {
      this.set("cmi.completion_status", "incomplete");
      this.commit();
    }
    return { name: this.get("cmi.learner_name").split(/, */).reverse().join(" ").trim(), kept: this.get("cmi.suspend_data"), counts: this.counts };
  }

  /** @param {string} element */
  get(element) {
    return String(this.api.GetValue(element) ?? "");
  }

  /** @param {string} element @param {string} value */
  set(element, value) {
    if (String(this.api.SetValue(element, value)) === "true") return;
    const code = this.api.GetLastError();
    throw { code: "platform_refuses", place: element, message: `${say("learn_refused")} (${code})`, remedy: say("learn_refused_remedy") };
  }

  commit() {
    if (String(this.api.Commit("")) !== "true") {
      throw { code: "platform_refuses", place: "Commit", message: say("learn_refused"), remedy: say("learn_refused_remedy") };
    }
  }

  /** @param {string | null} text @param {number} seconds */
  async keep(text, seconds) {
    if (!this.counts || this.closed) return;
    this.set("cmi.suspend_data", text ?? "");
    this.set("cmi.session_time", isoDuration(seconds));
    this.set("cmi.exit", "suspend");
    this.commit();
  }

  /** @param {import("./port.js").Result} result */
  async report(result) {
    if (!this.counts || this.closed) return;
    const first = Number(this.get("cmi.interactions._count")) || 0;
    result.interactions.forEach((one, k) => {
      const at = `cmi.interactions.${first + k}`;
      this.set(`${at}.id`, shortened(one.id, ID));
      this.set(`${at}.type`, TYPES[one.kind]);
      this.set(`${at}.description`, shortened(one.text, DESCRIPTION));
      this.set(`${at}.weighting`, one.share.toFixed(4));
      pattern(one).forEach((text, n) => this.set(`${at}.correct_responses.${n}.pattern`, text));
      this.set(`${at}.learner_response`, response(one));
      this.set(`${at}.result`, one.credit >= 0.999 ? "correct" : one.credit <= 0.001 ? "incorrect" : one.credit.toFixed(4));
    });
    this.set("cmi.score.min", "0");
    this.set("cmi.score.max", "100");
    this.set("cmi.score.raw", result.points.toFixed(2));
    this.set("cmi.score.scaled", (result.points / 100).toFixed(4));
    this.set("cmi.success_status", result.passed ? "passed" : "failed");
    this.set("cmi.completion_status", "completed");
    this.set("cmi.session_time", isoDuration(result.seconds));
    this.commit();
  }

  /** @param {number} seconds @param {boolean} over */
  close(seconds, over) {
    if (this.closed) return;
    this.closed = true;
    if (this.counts) {
      this.set("cmi.session_time", isoDuration(seconds));
      this.set("cmi.exit", over ? "normal" : "suspend");
    }
    this.api.Terminate("");
  }
}
