// Counts what waits to be acknowledged, and reads new calls out politely: one sentence for all that came since the last,
// and not more often than a listener can follow.

import { h, setText } from "../dom.js";
import { say } from "../words.js";
import { nameOf, unseen } from "./name.js";

/** Wall time between two sentences (ms). */
const PAUSE_MS = 6000;

/** @param {import("../app.js").App} app */
export function createWatch(app) {
  const live = h("p", { class: "visually-hidden alarm-live", role: "status", "aria-live": "polite" });
  /** What is known to call, by id and time: an alarm that comes again is new. @type {Set<string> | null} */
  let known = null;
  /** @type {import("./name.js").Alarm[]} */
  let waiting = [];
  let count = 0;
  let spokeAt = -Infinity;
  return {
    el: live,
    count: () => count,
    /** @param {number} now  ms */
    update(now) {
      const calls = app.alarms().filter(unseen);
      count = calls.length;
      const keys = new Set(calls.map((alarm) => `${alarm.id} ${alarm.raised_at}`));
      if (known !== null) {
        const before = known;
        // What follows from a trip is in the list; the trip alone is read out.
        waiting = [
          ...waiting.filter((alarm) => keys.has(`${alarm.id} ${alarm.raised_at}`)),
          ...calls.filter((alarm) => alarm.under === null && !before.has(`${alarm.id} ${alarm.raised_at}`)),
        ];
      }
      known = keys;
      const first = waiting.find((alarm) => alarm.priority === "critical") ?? waiting[0];
      if (!first || now - spokeAt < PAUSE_MS) return;
      spokeAt = now;
      const what = nameOf(app, first.id);
      const more = waiting.length - 1;
      setText(live, more ? say("alarms_new_more", { what, n: more }) : say("alarms_new", { what }));
      waiting = [];
    },
  };
}
