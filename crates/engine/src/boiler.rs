//! The boiler as the train sees it: steam that leaves, feedwater that arrives, the drum between them, and the fuel.
//!
//! Main steam and reheat conditions are held. The heat that the boiler must give follows from the steam flow and from
//! the enthalpy of the feedwater: colder feedwater costs fuel.

use serde::{Deserialize, Serialize};

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Steam flow at design [kg/s].
    pub steam_flow: f64,
    /// Main steam enthalpy [kJ/kg].
    pub steam_enthalpy: f64,
    /// Water in drum and downcomers at normal level [kg].
    pub drum_mass: f64,
    /// Mass per level [kg/mm].
    pub drum_per_mm: f64,
    /// Largest change of steam flow [kg/s per s].
    pub load_rate: f64,
    /// Boiler efficiency.
    pub efficiency: f64,
}

/// Integrated from step to step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Water in the drum [kg].
    pub drum: f64,
    /// Steam flow [kg/s].
    pub steam: f64,
}

/// Drum level about normal [mm].
pub fn level(p: &Params, s: &State) -> f64 {
    (s.drum - p.drum_mass) / p.drum_per_mm
}

/// Moves the steam flow towards `demand` [kg/s] and the drum by what arrives less what leaves. The steam flow comes down
/// by `unload_rate` [kg/s per s] where that is more than the unit's own rate.
pub fn step(p: &Params, s: &mut State, demand: f64, unload_rate: f64, feed: f64, dt: f64) {
    let (up, down) = (p.load_rate * dt, p.load_rate.max(unload_rate) * dt);
    s.drum += dt * (feed - s.steam);
    s.steam += (demand - s.steam).clamp(-down, up);
}

/// Heat given to main steam [kW] from feedwater at `feed_enthalpy` [kJ/kg]. The drum's share of a passing difference
/// between feed and steam flow is counted at the feedwater's enthalpy.
pub fn heat_added(p: &Params, s: &State, feed_enthalpy: f64) -> f64 {
    s.steam * (p.steam_enthalpy - feed_enthalpy)
}
