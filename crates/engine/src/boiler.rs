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
    /// Steam flow that the governing valves let pass [kg/s].
    pub steam: f64,
    /// Heat added by boiler and reheater in the last step [kW], as it is measured.
    pub heat: f64,
}

/// Drum level about normal [mm].
pub fn level(p: &Params, s: &State) -> f64 {
    (s.drum - p.drum_mass) / p.drum_per_mm
}

/// Moves the steam flow towards `demand` [kg/s], at `rate` [kg/s per s], for `dt` seconds; returns its mean.
pub fn govern(s: &mut State, demand: f64, rate: f64, dt: f64) -> f64 {
    let most = rate * dt;
    let before = s.steam;
    let way = demand - before;
    if way.abs() <= most {
        // There before the step ends.
        s.steam = demand;
        return demand - 0.5 * way * way.abs() / most;
    }
    s.steam += way.clamp(-most, most);
    0.5 * (before + s.steam)
}

/// Moves the drum by what arrives less what leaves [kg/s].
pub fn step(s: &mut State, steam: f64, feed: f64, dt: f64) {
    s.drum += dt * (feed - steam);
}

/// Heat given to `steam` kg/s of main steam [kW] from feedwater at `feed_enthalpy` [kJ/kg]. The drum's share of a passing
/// difference between feed and steam flow is counted at the feedwater's enthalpy.
pub fn heat_added(p: &Params, steam: f64, feed_enthalpy: f64) -> f64 {
    steam * (p.steam_enthalpy - feed_enthalpy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_of_a_step_does_not_depend_on_how_it_is_divided() {
        let run = |steps: u32, demand: f64| {
            let mut s = State { drum: 0.0, steam: 100.0, heat: 0.0 };
            let dt = 1.0 / f64::from(steps);
            (0..steps).map(|_| govern(&mut s, demand, 40.0, dt) * dt).sum::<f64>()
        };
        for demand in [0.0, 75.0, 110.0] {
            assert!((run(1, demand) - run(16, demand)).abs() < 1e-9, "{demand}");
        }
    }
}
