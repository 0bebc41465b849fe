//! Extraction line: from a point of the turbine to a heater's shell, through a stop valve and a non-return valve.
//!
//! A sound non-return valve shuts as soon as the shell stands higher than the turbine. One that is stuck lets steam run
//! back through the same line, choking included: the shell's saturated steam, with the gas that is in it. From a shell that
//! is full to the brim it is water that runs back: nothing gives way there, so the shell stands under whatever pressure
//! drives the water out, up to that of its relief valve.

use crate::line_drain;
use crate::plant::file::ExtractionValves;
use crate::valve::{self, Condition, Stem, Upstream};
use serde::{Deserialize, Serialize};

/// Share of the line's loss that the two valves take when they stand open (*common practice, no source*).
pub(crate) const VALVE_SHARE: f64 = 0.25;

/// Recovery factor of the line when water boils in it on its way (*common practice, no source*: 0.9 for a gate valve).
pub(crate) const RECOVERY: f64 = 0.9;
/// Pressure at which a shell's relief valve lifts, over the shell's at design, and at least [MPa] (*common practice, no
/// source*).
pub(crate) const RELIEF: (f64, f64) = (1.25, 0.45);

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Flow coefficient of the line with its valves open [kg/s at 1 MPa and 1 m³/kg].
    pub coefficient: f64,
    /// Stroke time of the stop valve [s].
    pub stop_stroke: f64,
    /// Shutting time of the assisted non-return valve [s].
    pub non_return_close: f64,
    /// Drain of the line, where it has one.
    pub drain: Option<line_drain::Params>,
}

impl Params {
    /// Of this coefficient, with the valves of the plant file.
    pub fn new(coefficient: f64, valves: &ExtractionValves) -> Params {
        Params {
            coefficient,
            stop_stroke: valves.stop_stroke,
            non_return_close: valves.non_return_close,
            drain: valves.line_drain.as_ref().map(line_drain::Params::new),
        }
    }
}

/// Where the valves stand.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Motor-operated stop valve.
    pub stop: Stem,
    /// How far the assist lets the non-return valve open.
    pub assist: Stem,
    /// Drain of the line.
    pub drain: line_drain::State,
}

/// Both open, the drain shut.
pub const OPEN: State =
    State { stop: Stem { opening: 1.0 }, assist: Stem { opening: 1.0 }, drain: line_drain::SHUT };

/// What is asked of the valves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Demand {
    /// Stop valve, 0..=1.
    pub stop: f64,
    /// The assist drives the non-return valve shut.
    pub shut_non_return: bool,
    /// Drain of the line, 0 or 1.
    pub drain: f64,
}

impl Demand {
    /// Shuts both valves; the drain goes on as it is asked.
    pub fn shut(&mut self) {
        (self.stop, self.shut_non_return) = (0.0, true);
    }
}

/// Steam at the turbine end.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Source {
    /// Pressure [MPa].
    pub pressure: f64,
    /// Enthalpy [kJ/kg].
    pub enthalpy: f64,
    /// Specific volume [m³/kg].
    pub volume: f64,
}

impl State {
    /// Moves the valves for `dt` seconds; what is wrong with the stop valve and with the non-return valve may hinder it.
    /// Returns the coefficient of line and valves in series over that time.
    pub fn drive(
        &mut self,
        params: &Params,
        demand: &Demand,
        (stop, non_return): (&Condition, &Condition),
        dt: f64,
    ) -> f64 {
        let stop = self.stop.drive(demand.stop, params.stop_stroke, stop, dt);
        let assist = if demand.shut_non_return { 0.0 } else { 1.0 };
        let non_return = self.assist.drive(assist, params.non_return_close, non_return, dt);
        // Simpson's rule along the way.
        let at = |share: f64| coefficient(params, stop.at(share).min(non_return.at(share)));
        (at(0.0) + 4.0 * at(0.5) + at(1.0)) / 6.0
    }
}

/// Coefficient of line and valves in series when the less open of the two valves stands at `opening`.
pub fn coefficient(params: &Params, opening: f64) -> f64 {
    if opening <= 0.0 {
        return 0.0;
    }
    params.coefficient / (1.0 - VALVE_SHARE + VALVE_SHARE / (opening * opening)).sqrt()
}

/// Steam to the shell [kg/s]; the non-return valve shuts as soon as the shell stands higher than the turbine.
pub fn flow(coefficient: f64, source: &Source, shell: f64) -> f64 {
    valve::steam_flow(coefficient, source.pressure, source.volume, shell)
}

/// A line as it lets pass against its direction.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Back {
    /// Coefficient for steam: 0 where the non-return valve is sound, or something is shut.
    pub steam: f64,
    /// Coefficient for water, which the nozzle is full of.
    pub water: f64,
}

/// Steam with its gas back from a shell at `shell` [MPa] and `volume` [m³/kg] to the turbine [kg/s].
pub fn back_flow(coefficient: f64, shell: f64, volume: f64, turbine: f64) -> f64 {
    valve::steam_flow(coefficient, shell, volume, turbine)
}

/// Most water that a line passes back [kg/s] from a full shell at `relief` [MPa] to the turbine. `boils`: pressure at which
/// that water boils [MPa]; `volume`: its specific volume [m³/kg].
pub fn most_water_back(coefficient: f64, relief: f64, boils: f64, volume: f64, turbine: f64) -> f64 {
    let up = Upstream { pressure: relief, vapour_pressure: boils, density: 1.0 / volume };
    coefficient * (valve::liquid_difference(RECOVERY, &up, turbine) / volume).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sized_flow_comes_back_and_valves_shut_it() {
        let valves = ExtractionValves { stop_stroke: 40.0, non_return_close: 1.0, line_drain: None };
        let p = Params::new(20.0 / valve::steam_flow(1.0, 3.4, 0.08, 3.3), &valves);
        let s = Source { pressure: 3.4, enthalpy: 3000.0, volume: 0.08 };
        let mut state = OPEN;
        assert!((flow(coefficient(&p, 1.0), &s, 3.3) - 20.0).abs() < 1e-12);
        assert_eq!(flow(coefficient(&p, 1.0), &s, 3.5), 0.0);
        // The assist is quick, the stop valve slow.
        for _ in 0..4 {
            let sound = Condition::default();
            let line = state.drive(
                &p,
                &Demand { stop: 0.0, shut_non_return: true, drain: 0.0 },
                (&sound, &sound),
                0.25,
            );
            // The mean of the step in which it shuts is not yet nothing.
            assert!(line > 0.0);
        }
        assert_eq!(coefficient(&p, state.assist.opening), 0.0);
        assert!(state.stop.opening > 0.9);
    }
}
