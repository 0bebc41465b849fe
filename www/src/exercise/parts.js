// What was foreseen, what was done, what was explained: the three together tell whether somebody has understood.

import { h } from "../dom.js";
import { tickText } from "../units.js";
import { say } from "../words.js";

/** @typedef {import("bledsteam_web").Worth} Worth */

/** Credit from which a part stands, and below which it fails. */
const STANDS = 0.75;
const FAILS = 0.5;

/**
 * What the parts say together; nothing where there is only one to look at.
 * @param {Worth[]} parts
 * @returns {import("../words.js").Word | null}
 */
export function verdictOf(parts) {
  if (parts.length < 2) return null;
  const of = (/** @type {Worth["part"]} */ name) => parts.find(({ part }) => part === name)?.credit;
  const [foresee, act, explain] = [of("foresee"), of("act"), of("explain")];
  const stands = (/** @type {number | undefined} */ credit) => credit === undefined || credit >= STANDS;
  const fails = (/** @type {number | undefined} */ credit) => credit !== undefined && credit < FAILS;
  if (stands(foresee) && stands(act) && stands(explain)) return "parts_all";
  if (parts.every(({ credit }) => credit < FAILS)) return "parts_little";
  if (act !== undefined && act >= STANDS && (fails(foresee) || fails(explain))) return fails(foresee) ? "parts_unforeseen" : "parts_unexplained";
  if (fails(act) && stands(foresee) && stands(explain)) return "parts_undone";
  if (fails(foresee) && explain !== undefined && stands(explain)) return "parts_hindsight";
  if (fails(explain) && foresee !== undefined && stands(foresee)) return "parts_unexplained";
  return "parts_partly";
}

/** @param {Worth} worth */
const weight = ({ credit }) => (credit >= STANDS ? "calm" : credit < FAILS ? "warn" : "note");
const SHAPES = { calm: "✓", note: "◐", warn: "✕" };

/**
 * @param {Worth[]} parts
 * @param {boolean} [advice]  what to make of it, for whoever took the exercise
 */
export function createParts(parts, advice = true) {
  const verdict = advice ? verdictOf(parts) : null;
  const points = (/** @type {number} */ share) => tickText(100 * share, 1);
  return h(
    "div",
    { class: "ex-understood" },
    h(
      "ul",
      { class: "ex-parts" },
      ...parts.map((worth) =>
        h(
          "li",
          { "data-part": worth.part, "data-weight": weight(worth), "data-credit": String(worth.credit) },
          h("span", { class: "ex-part-name", text: say(`part_${worth.part}`) }),
          h("strong", { text: `${SHAPES[weight(worth)]} ${Math.round(100 * worth.credit)} %` }),
          h("progress", { max: 1, value: worth.credit, "aria-hidden": "true" }),
          h("span", { class: "label", text: say("ex_points_of", { n: points(worth.share * worth.credit), of: points(worth.share) }) }),
        ),
      ),
    ),
    verdict ? h("p", { class: "ex-verdict", "data-verdict": verdict, text: say(verdict) }) : null,
  );
}
