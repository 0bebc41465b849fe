// SCORM 2004, 4th edition (run-time environment, 2009).

import { isoDuration } from "./duration.js";
import { pattern, response, shortened, TYPES } from "./interactions.js";
import { resultOf, Scorm } from "./scorm.js";

/** Smallest permitted maximum of cmi.suspend_data. */
const MOST = 64_000;
/** The same of an interaction's id and of its description. */
const ID = 4000;
const DESCRIPTION = 250;

const NAMES = {
  runtime: "API_1484_11",
  calls: { begin: "Initialize", get: "GetValue", set: "SetValue", commit: "Commit", error: "GetLastError", end: "Terminate" },
  mode: "cmi.mode",
  name: "cmi.learner_name",
  status: "cmi.completion_status",
  time: "cmi.session_time",
  exit: "cmi.exit",
  finished: "normal",
};

export class Scorm2004 extends Scorm {
  constructor() {
    super(NAMES, MOST, isoDuration);
  }

  /** @param {import("./interactions.js").Interaction} one @returns {[string, string][]} */
  interaction(one) {
    return [
      ["id", shortened(one.id, ID)],
      ["type", TYPES[one.kind]],
      ["description", shortened(one.text, DESCRIPTION)],
      ["weighting", one.share.toFixed(4)],
      ...pattern(one).map((text, n) => /** @type {[string, string]} */ ([`correct_responses.${n}.pattern`, text])),
      ["learner_response", response(one)],
      ["result", resultOf(one.credit, "incorrect", 4)],
    ];
  }

  /** @param {import("./port.js").Result} result @returns {[string, string][]} */
  outcome({ points, passed }) {
    return [
      ["cmi.score.min", "0"],
      ["cmi.score.max", "100"],
      ["cmi.score.raw", points.toFixed(2)],
      ["cmi.score.scaled", (points / 100).toFixed(4)],
      ["cmi.success_status", passed ? "passed" : "failed"],
      ["cmi.completion_status", "completed"],
    ];
  }
}
