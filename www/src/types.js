// The shapes that cross between the engine and the page come from the engine; here they get the page's short names.

/**
 * @typedef {import("bledsteam_web").Manifest} Manifest
 * @typedef {import("bledsteam_web").HeaterInfo} Heater
 * @typedef {import("bledsteam_web").LevelMarks} LevelMarks
 * @typedef {import("bledsteam_web").ShellInfo} ShellInfo
 * @typedef {import("bledsteam_web").Command} Command
 * @typedef {import("bledsteam_web").PlantEvent} PlantEvent
 * @typedef {import("bledsteam_web").Fault} Fault
 * @typedef {import("bledsteam_web").Display} Display
 * @typedef {import("bledsteam_web").Balance} Balance
 * @typedef {import("bledsteam_web").BalanceCase} BalanceCase
 * @typedef {import("bledsteam_web").HeaterBalance} HeaterBalance
 * @typedef {import("bledsteam_web").StageBalance} StageBalance
 * @typedef {import("bledsteam_web").Cost} Cost
 * @typedef {import("bledsteam_web").Outage} Outage
 *
 * @typedef {"si" | "us"} System
 */

export {};
