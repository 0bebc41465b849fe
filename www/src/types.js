// Shapes that cross between the engine and the page; the page adds none of its own facts to them.

/**
 * How one quantity is shown: shown = inside * factor + offset.
 * @typedef {{ unit: string, factor: number, offset: number, digits: number }} Display
 *
 * @typedef {"si" | "us"} System
 *
 * @typedef {{ low: number, high: number, emergency: number, high_high: number }} LevelMarks  mm about normal
 *
 * @typedef {object} Heater
 * @property {string} id
 * @property {number} number            1 = highest pressure
 * @property {"closed" | "open"} kind
 * @property {string} name
 * @property {"high" | "low"} side
 * @property {boolean} desuperheating
 * @property {boolean} drain_cooling
 * @property {string} drains_to         a heater's id, or "condenser"
 * @property {string[]} bypass_group
 * @property {number} ramp_limit        K/min
 * @property {LevelMarks} level_marks
 *
 * @typedef {object} Manifest
 * @property {{ name: string, title: string, summary: string }} plant
 * @property {string} engine
 * @property {number} step_s
 * @property {Record<string, number>} design
 * @property {Record<string, { si: Display, us: Display }>} quantities
 * @property {{ id: string, quantity: string, low: number, high: number, device: string }[]} signals
 * @property {Heater[]} heaters         in the order the water meets them
 * @property {string[]} modes
 *
 * @typedef {{ do: "trip_heater" | "isolate_extraction" | "put_back", heater: string }
 *   | { do: "move_drain", heater: string, valve: "normal" | "emergency", position: number }
 *   | { do: "release_drain", heater: string, valve: "normal" | "emergency" }
 *   | { do: "set_load", fraction: number }} Command
 *
 * @typedef {{ seq: number, time_s: number, code: string, device: string, value: number }} PlantEvent
 *
 * @typedef {{ code: string, place: string, message: string, remedy: string }} Fault
 */

export {};
