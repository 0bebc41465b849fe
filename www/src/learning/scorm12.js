// SCORM 1.2 (run-time environment, 2001).

import { timespan } from "./duration.js";
import { answer, letters, shortened } from "./interactions.js";
import { resultOf, Scorm } from "./scorm.js";

/** CMIString4096. Some runtimes take more; none has to. */
const MOST = 4096;
/** CMIString255. */
const LINE = 255;

const NAMES = {
  runtime: "API",
  calls: { begin: "LMSInitialize", get: "LMSGetValue", set: "LMSSetValue", commit: "LMSCommit", error: "LMSGetLastError", end: "LMSFinish" },
  mode: "cmi.core.lesson_mode",
  name: "cmi.core.student_name",
  status: "cmi.core.lesson_status",
  time: "cmi.core.session_time",
  exit: "cmi.core.exit",
  finished: "",
};

export class Scorm12 extends Scorm {
  constructor() {
    super(NAMES, MOST, timespan);
  }

  /** @param {import("./interactions.js").Interaction} one @returns {[string, string][]} */
  interaction(one) {
    const [type, response, right] = written(one);
    return [
      ["id", shortened(one.id, LINE)],
      ["type", type],
      ["weighting", one.share.toFixed(4)],
      .../** @type {[string, string][]} */ (right === null ? [] : [["correct_responses.0.pattern", right]]),
      ["student_response", response],
      ["result", resultOf(one.credit, "wrong", 2)],
    ];
  }

  /** @param {import("./port.js").Result} result @returns {[string, string][]} */
  outcome({ points, passed }) {
    return [
      ["cmi.core.score.min", "0"],
      ["cmi.core.score.max", "100"],
      ["cmi.core.score.raw", points.toFixed(2)],
      ["cmi.core.lesson_status", passed ? "passed" : "failed"],
    ];
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
