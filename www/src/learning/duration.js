// How long somebody was at it, as each standard writes it.

/** SCORM 1.2 CMITimespan: HHHH:MM:SS.SS. @param {number} seconds */
export function timespan(seconds) {
  // Counted in hundredths, or 59.999 s would become 60.00.
  const all = Math.min(Math.max(0, Math.round(seconds * 100)), 9999 * 360_000 + 359_999);
  const [h, m, s] = [Math.floor(all / 360_000), Math.floor(all / 6000) % 60, all % 6000];
  return `${String(h).padStart(4, "0")}:${String(m).padStart(2, "0")}:${(s / 100).toFixed(2).padStart(5, "0")}`;
}

/** ISO 8601 duration, to hundredths, as SCORM 2004 and xAPI take it. @param {number} seconds */
export const isoDuration = (seconds) => {
  const all = Math.max(0, Math.round(seconds * 100));
  const [h, m, s] = [Math.floor(all / 360_000), Math.floor(all / 6000) % 60, (all % 6000) / 100];
  return `PT${h ? `${h}H` : ""}${m ? `${m}M` : ""}${h || m ? (s ? `${s}S` : "") : `${s}S`}`;
};
