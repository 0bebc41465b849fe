// What a record is found to be, in words. Shape and text carry it; colour only helps.

import { say } from "../words.js";

/**
 * @typedef {import("./crew.js").Row} Row
 * @typedef {{ shape: string, weight: import("../state.js").Weight, text: string, more: string }} Look
 */

/** What was refused before it could be judged. @param {import("../types.js").Fault} fault @returns {Look} */
function refused(fault) {
  const { code, place, message, remedy } = fault;
  const text = say(code === "no_such_exercise" ? "rev_no_exercise" : code === "no_such_plant" ? "rev_no_plant" : "rev_unreadable");
  return { shape: "✕", weight: "warn", text, more: `${place}: ${message} ${remedy}` };
}

/** @param {Row} row @returns {Look} */
export function verdictLook({ verdict, fault }) {
  if (fault) return refused(fault);
  switch (verdict?.is) {
    case "reproduced":
      return verdict.over
        ? { shape: "●", weight: "calm", text: say("rev_true"), more: say("rev_true_title") }
        : { shape: "◐", weight: "note", text: say("rev_unfinished"), more: say("rev_unfinished_title") };
    case "not_reproduced": {
      const { minute, what } = verdict;
      return {
        shape: "◆",
        weight: "alarm",
        text: say("rev_edited", { minute }),
        more: say(`rev_edited_${what}`, { minute }),
      };
    }
    case "other_exercise":
      return { shape: "◌", weight: "warn", text: say("rev_other_exercise"), more: say("rev_other_exercise_title") };
    case "other_plant":
      return { shape: "◌", weight: "warn", text: say("rev_other_plant"), more: say("rev_other_plant_title") };
    case "other_engine":
      return {
        shape: "◌",
        weight: "warn",
        text: say("rev_other_engine"),
        more: say("rev_other_engine_title", { made_by: verdict.made_by }),
      };
    default:
      return { shape: "?", weight: "warn", text: say("rev_not_judged"), more: "" };
  }
}

/** Whether the points can be relied on. @param {Row} row */
export const holds = ({ verdict }) => verdict?.is === "reproduced";

/** By whom; the file where no name is given. @param {Row} row */
export const nameOf = ({ by, file }) => by || file;

/** Points with a tenth, in the language's own sign. @param {number} points */
export const pointsText = (points) => points.toFixed(1).replace(".", say("decimal"));
