// What is drawn, read out and saved of the pens: their samples, blank where a figure had no meaning.

import { judgedBy, gapWith } from "../gaps.js";

/**
 * Times and a column for each pen, in inside units; NaN where the figure had no meaning.
 * @param {import("../store.js").Store} store
 * @param {{ id: string }[]} pens
 * @param {number} from
 * @param {number} to
 * @param {number} [most]
 * @returns {number[][]}
 */
export function samples(store, pens, from, to, most) {
  const ids = [...new Set(pens.flatMap(({ id }) => [id, ...judgedBy(id)]))];
  const [times = [], ...columns] = store.history.read(ids.map((id) => store.index.get(id) ?? 0), from, to, most);
  const column = (/** @type {string} */ id) => columns[ids.indexOf(id)] ?? [];
  return [
    times,
    ...pens.map(({ id }) =>
      judgedBy(id).length === 0
        ? column(id)
        : column(id).map((value, row) => (gapWith(store, id, (one) => column(one)[row] ?? NaN) ? NaN : value)),
    ),
  ];
}
