// Questions and predictions of a finished exercise as interactions, in one form from which each standard writes its own.

/**
 * `share`: of the total, 0 to 1. `credit`: what it was worth, 0 to 1. Indices count from 0.
 * @typedef {{ id: string, text: string, share: number, credit: number } & (
 *   | { kind: "choice", choices: string[], given: number[], right: number[] | null }
 *   | { kind: "order", choices: string[], given: number[], right: number[] | null }
 *   | { kind: "number", given: number, right: number | null, tolerance: number }
 *   | { kind: "word", given: string, right: string[] }
 *   | { kind: "curve", given: [number, number][], right: null })} Interaction
 */

const WAYS = /** @type {const} */ (["up", "down", "same"]);
/** SCORM 2004 and xAPI name the kinds alike. @type {Record<Interaction["kind"], string>} */
export const TYPES = { choice: "choice", order: "sequencing", number: "numeric", word: "fill-in", curve: "other" };
/** Most characters of what was drawn: what the smallest of them must keep. */
const DRAWN = 4000;

/** @param {string} text @param {number} most */
export const shortened = (text, most) => (text.length <= most ? text : `${text.slice(0, most - 1)}…`);

/** Choices as the standards name them: a, b, c … @param {number[]} indices */
export const letters = (indices) => indices.map((k) => (k < 26 ? String.fromCharCode(97 + k) : String(k)));

/** Drawn points in one line, thinned evenly until they fit. @param {[number, number][]} points @param {number} most */
export function answer(points, most) {
  for (let every = 1; ; every *= 2) {
    const kept = points.filter((_, k) => k % every === 0 || k === points.length - 1);
    const text = kept.map(([t, v]) => `${Math.round(t)}:${Number(v.toPrecision(5))}`).join(" ");
    if (text.length <= most || kept.length <= 2) return text;
  }
}

/** What was answered, as SCORM 2004 and xAPI write it. @param {Interaction} one */
export function response(one) {
  switch (one.kind) {
    case "choice":
    case "order":
      return letters(one.given).join("[,]");
    case "number":
      return String(Number(one.given.toPrecision(9)));
    case "word":
      return one.given;
    case "curve":
      return answer(one.given, DRAWN);
  }
}

/** What would have been right: patterns, of which one is enough. @param {Interaction} one @returns {string[]} */
export function pattern(one) {
  switch (one.kind) {
    case "choice":
    case "order":
      return one.right ? [letters(one.right).join("[,]")] : [];
    case "number": {
      if (one.right === null) return [];
      const [low, high] = [one.right - one.tolerance, one.right + one.tolerance];
      return [`${Number(low.toPrecision(9))}[:]${Number(high.toPrecision(9))}`];
    }
    case "word":
      return one.right;
    case "curve":
      return [];
  }
}

/**
 * What was answered and predicted; what was left open is no interaction.
 * @param {import("../exercise/file.js").Exercise} exercise
 * @param {import("bledsteam_web").Debrief} debrief
 * @param {import("bledsteam_web").Standing} standing
 * @returns {Interaction[]}
 */
export function interactions(exercise, debrief, standing) {
  /** Share of the objective that counts it. @param {"question" | "prediction"} by @param {string} id */
  const share = (by, id) => {
    const counted = exercise.objectives.find((one) => /** @type {any} */ (one).rule?.[by] === id);
    return debrief.score.objectives.find((points) => points.objective === counted?.id)?.share ?? 0;
  };
  /** @type {Interaction[]} */
  const list = [];
  for (const asked of exercise.predictions ?? []) {
    const came = debrief.predictions.find((one) => one.prediction === asked.id);
    const guess = came?.guess;
    if (!came || !guess) continue;
    const head = { id: `prediction-${asked.id}`, text: asked.text, share: share("prediction", asked.id), credit: came.marks?.credit ?? 0 };
    if (guess.kind === "direction") {
      const right = came.marks ? [WAYS.indexOf(came.marks.way)] : null;
      list.push({ ...head, kind: "choice", choices: [...WAYS], given: [WAYS.indexOf(guess.way)], right });
    } else if (guess.kind === "value") {
      const tolerance = asked.what.kind === "value" ? asked.what.tolerance : 0;
      list.push({ ...head, kind: "number", given: guess.value, right: came.marks?.to ?? null, tolerance });
    } else list.push({ ...head, kind: "curve", given: guess.points, right: null });
  }
  for (const question of exercise.questions ?? []) {
    const came = debrief.questions.find((one) => one.question === question.id);
    const given = came?.answer;
    if (!came || !given) continue;
    const head = { id: `question-${question.id}`, text: question.text, share: share("question", question.id), credit: came.credit };
    const asked = question.answer;
    if (asked.kind === "choice" && given.kind === "choice") list.push({ ...head, kind: "choice", choices: asked.choices, given: given.chosen, right: asked.right });
    else if (asked.kind === "order" && given.kind === "order") list.push({ ...head, kind: "order", choices: asked.actions, given: given.order, right: asked.right });
    else if (asked.kind === "component" && given.kind === "component") list.push({ ...head, kind: "word", given: given.device, right: asked.right });
    else if (asked.kind === "number" && given.kind === "number") {
      const read = standing.questions.find((one) => one.question === question.id)?.reading ?? null;
      list.push({ ...head, kind: "number", given: given.value, right: asked.value ?? read, tolerance: asked.tolerance });
    }
  }
  return list;
}
