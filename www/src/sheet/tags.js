// Tags after ISA-5.1: letters for what is measured or moved, then the number of the loop. A heater's loops carry its
// number before them, the unit's begin at 0.

/** @type {Record<string, [string, number]>} letters, loop */
const LOOPS = {
  shell_pressure: ["PI", 1],
  fw_in_temperature: ["TI", 2],
  fw_out_temperature: ["TI", 3],
  drain_temperature: ["TI", 4],
  level: ["LIC", 5],
  normal_drain_valve: ["LV", 5],
  emergency_drain_valve: ["LV", 6],
  extraction_flow: ["FI", 7],
  extraction_pressure: ["PI", 8],
  stop_valve: ["XV", 9],
  bypass: ["XV", 10],
  vent_flow: ["FI", 11],
  pegging_flow: ["FI", 12],
  pegging_valve: ["PV", 1],
  line_drain_valve: ["XV", 13],
  line_drain_flow: ["FI", 13],
};

/** @type {Record<string, [string, number]>} */
const UNIT = {
  feed_flow: ["FI", 1],
  final_fw_temperature: ["TI", 2],
  condenser_pressure: ["PI", 3],
  gross_output: ["JI", 4],
  hotwell_level: ["LI", 5],
  condensate_flow: ["FI", 6],
  feed_pump_discharge: ["PI", 7],
  feed_pump_speed: ["SI", 8],
  feed_pump_suction_temperature: ["TI", 9],
  condenser_temperature: ["TI", 10],
  // Of the first pump; the others count on.
  casing_temperature: ["TI", 11],
};

/**
 * @param {import("../types.js").Heater | null} heater  null for the unit
 * @param {string} name  of the signal
 * @param {number} [nth]  of several alike, from 0
 * @returns {{ letters: string, number: string, tag: string }}
 */
export function tagOf(heater, name, nth = 0) {
  const [letters = "?", loop = 0] = (heater ? LOOPS : UNIT)[name] ?? [];
  const number = `${heater ? heater.number : 0}${String(loop + nth).padStart(2, "0")}`;
  return { letters, number, tag: `${letters}-${number}` };
}
