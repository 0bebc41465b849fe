// Reporting by SCORM 1.2 (run-time environment, 2001): strings through an object named API.

import { say } from "../words.js";
import { timespan } from "./duration.js";
import { findRuntime } from "./find.js";
import { answer, letters, shortened } from "./interactions.js";

/** CMIString4096. Some runtimes take more; none has to. */
const MOST = 4096;
/** CMIString255. */
const LINE = 255;

/** @typedef {import("./port.js").Port} Port */
/** @implements {Port} */
export class Scorm12 {
  most = MOST;
  back = null;

  async open() {
    /** @type {any} */
    this.api = findRuntime("API");
    if (!this.api || String(this.api.LMSInitialize("")) !== "true") {
      throw { code: "no_platform", place: "", message: say("learn_none"), remedy: say("learn_none_remedy") };
    }
    this.closed = false;
    const name = this.get("cmi.core.student_name");
    const mode = this.get("cmi.core.lesson_mode");
    const status = this.get("cmi.core.lesson_status");
    this.counts = mode !== "browse" && mode !== "review";
    if (this.counts && (status === "not attempted" || status === "unknown" || status === "")) {
      this.set("cmi.core.lesson_status", "incomplete");
      this.commit();
    }
    // "Family, given" as the standard writes names.
    return { name: name.split(/, */).reverse().join(" ").trim(), kept: this.get("cmi.suspend_data"), counts: this.counts };
  }

  /** @param {string} element */
  get(element) {
    return String(this.api.LMSGetValue(element) ?? "");
  }

  /** @param {string} element @param {string} value */
  set(element, value) {
    if (String(this.api.LMSSetValue(element, value)) === "true") return;
    const code = this.api.LMSGetLastError();
    throw { code: "platform_refuses", place: element, message: `${say("learn_refused")} (${code})`, remedy: say("learn_refused_remedy") };
  }

  commit() {
    if (String(this.api.LMSCommit("")) !== "true") {
      throw { code: "platform_refuses", place: "LMSCommit", message: say("learn_refused"), remedy: say("learn_refused_remedy") };
    }
  }

  /** @param {string | null} text @param {number} seconds */
  async keep(text, seconds) {
    if (!this.counts || this.closed) return;
    this.set("cmi.suspend_data", text ?? "");
    this.set("cmi.core.session_time", timespan(seconds));
    this.set("cmi.core.exit", "suspend");
    this.commit();
  }

  /** @param {import("./port.js").Result} result */
  async report(result) {
    if (!this.counts || this.closed) return;
    const first = Number(this.get("cmi.interactions._count")) || 0;
    result.interactions.forEach((one, k) => {
      const at = `cmi.interactions.${first + k}`;
      const [type, response, right] = written(one);
      this.set(`${at}.id`, shortened(one.id, LINE));
      this.set(`${at}.type`, type);
      this.set(`${at}.weighting`, one.share.toFixed(4));
      if (right !== null) this.set(`${at}.correct_responses.0.pattern`, right);
      this.set(`${at}.student_response`, response);
      this.set(`${at}.result`, one.credit >= 0.999 ? "correct" : one.credit <= 0.001 ? "wrong" : one.credit.toFixed(2));
    });
    this.set("cmi.core.score.min", "0");
    this.set("cmi.core.score.max", "100");
    this.set("cmi.core.score.raw", result.points.toFixed(2));
    this.set("cmi.core.lesson_status", result.passed ? "passed" : "failed");
    this.set("cmi.core.session_time", timespan(result.seconds));
    this.commit();
  }

  /** @param {number} seconds @param {boolean} over */
  close(seconds, over) {
    if (this.closed) return;
    this.closed = true;
    if (this.counts) {
      this.set("cmi.core.session_time", timespan(seconds));
      this.set("cmi.core.exit", over ? "" : "suspend");
    }
    this.api.LMSFinish("");
  }
}

/** @param {import("./interactions.js").Interaction} one @returns {[string, string, string | null]} */
function written(one) {
  const number = (/** @type {number} */ n) => String(Number(n.toPrecision(9)));
  switch (one.kind) {
    case "choice":
      return ["choice", letters(one.given).join(","), one.right ? letters(one.right).join(",") : null];
    case "order":
      return ["sequencing", letters(one.given).join(","), one.right ? letters(one.right).join(",") : null];
    case "number":
      return ["numeric", number(one.given), one.right === null ? null : number(one.right)];
    case "word":
      return ["fill-in", shortened(one.given, LINE), shortened(one.right[0] ?? "", LINE)];
    case "curve":
      // The standard knows no drawing: what was drawn stands as a performance, thinned to what a line holds.
      return ["performance", answer(one.given, LINE), null];
  }
}
