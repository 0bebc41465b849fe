//! Pegging steam: what keeps the open heater's pressure from falling below a setpoint when extraction has none to give, at
//! low load and after a trip. It comes from an auxiliary header outside the plant's boundary.

use crate::controller::{Loop, Settings};
use crate::extraction::Source;
use crate::fault::{At, Fault};
use crate::plant::pegging::Pegging;
use crate::sizing::OUTPUT_RATE;
use crate::valve::{self, Condition, Stem};

/// Highest setpoint, over the header's pressure.
pub const HIGHEST: f64 = 0.9;

/// Sized once, never changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Params {
    /// Steam of the header.
    pub source: Source,
    /// Flow coefficient of the open valve [kg/s at 1 MPa and 1 m³/kg].
    pub coefficient: f64,
    /// Stroke time of the valve [s].
    pub stroke: f64,
}

impl Params {
    /// Sized from the plant file.
    ///
    /// # Errors
    /// Where the properties of the header's steam cannot be had; `place` names it.
    pub fn size(g: &Pegging, place: &str) -> Result<Params, Fault> {
        let state = steam::steam_pt(g.pressure, g.temperature).at(place)?;
        let source = Source { pressure: g.pressure, enthalpy: state.h, volume: state.v };
        let coefficient = g.flow / valve::steam_flow(1.0, g.pressure, state.v, g.setpoint);
        Ok(Params { source, coefficient, stroke: g.stroke })
    }

    /// Moves the valve to what is asked of it [0..=1] for `dt` seconds; coefficient in the mean of that time.
    pub fn drive(&self, stem: &mut Stem, asked: f64, dt: f64) -> f64 {
        self.coefficient * stem.drive(asked, self.stroke, &Condition::default(), dt).mean()
    }

    /// Flow into a tank at `pressure` [MPa], through a valve of this coefficient [kg/s].
    pub fn flow(&self, coefficient: f64, pressure: f64) -> f64 {
        if coefficient > 0.0 {
            valve::steam_flow(coefficient, self.source.pressure, self.source.volume, pressure)
        } else {
            0.0
        }
    }
}

/// The controller of its valve, of the open heater `open`.
pub fn controller(open: &str, g: &Pegging) -> Settings {
    Settings {
        id: format!("{open}.pegging"),
        acts: Loop::OpenPressure,
        gain: g.gain,
        integral_time: Some(g.integral_time),
        setpoint: g.setpoint,
        setpoints: (0.02, HIGHEST * g.pressure),
        limits: (0.0, 1.0),
        rate: OUTPUT_RATE,
        direct: false,
    }
}
