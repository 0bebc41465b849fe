// The shapes that cross between the engine and the page come from the engine; here they get the page's short names.

/**
 * @typedef {import("bledsteam_web").Manifest} Manifest
 * @typedef {import("bledsteam_web").HeaterInfo} Heater
 * @typedef {import("bledsteam_web").LevelMarks} LevelMarks
 * @typedef {import("bledsteam_web").Command} Command
 * @typedef {import("bledsteam_web").PlantEvent} PlantEvent
 * @typedef {import("bledsteam_web").Fault} Fault
 * @typedef {import("bledsteam_web").Display} Display
 *
 * @typedef {"si" | "us"} System
 */

export {};
