//! Pegging steam in the plant file: what an auxiliary header gives the open heater when extraction cannot.

use super::check::Report;
use crate::pegging::HIGHEST;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Pegging steam: from an auxiliary header, through a control valve that keeps the open heater's pressure from falling
/// below its setpoint. Its figures are those of the header and of the valve wide open.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pegging {
    /// Pressure of the header [MPa].
    pub pressure: f64,
    /// Temperature of its steam [°C].
    pub temperature: f64,
    /// Flow that the open valve passes into the heater at its setpoint [kg/s].
    pub flow: f64,
    /// Pressure of the heater that is kept from below [MPa]: less than extraction gives at the lowest load, so that the valve
    /// stays shut while the turbine feeds the heater.
    pub setpoint: f64,
    /// Stroke time of the valve [s].
    pub stroke: f64,
    /// Gain [opening per MPa]; without it, 50 (*common practice, no source*).
    #[serde(default = "gain")]
    pub gain: f64,
    /// Integral time [s]; without it, 300 (*common practice, no source*).
    #[serde(default = "integral_time")]
    pub integral_time: f64,
}

fn gain() -> f64 {
    50.0
}

fn integral_time() -> f64 {
    300.0
}

/// Checks it; `design`: the open heater's pressure at design [MPa].
pub(super) fn check(g: &Pegging, place: &str, design: f64, r: &mut Report) {
    let at = |field: &str| format!("{place}.pegging.{field}");
    r.within(at("pressure"), g.pressure, 0.1, 5.0, "MPa");
    r.within(at("setpoint"), g.setpoint, 0.02, 2.0, "MPa");
    r.within(at("flow"), g.flow, 0.01, 200.0, "kg/s");
    r.within(at("stroke"), g.stroke, 1.0, 300.0, "s");
    r.within(at("gain"), g.gain, 0.1, 1e4, "per MPa");
    r.within(at("integral_time"), g.integral_time, 1.0, 1e5, "s");
    r.within(at("temperature"), g.temperature, 50.0, 550.0, "°C");
    r.need(
        g.setpoint < HIGHEST * g.pressure,
        at("setpoint"),
        format!("{} MPa cannot be kept by steam of {} MPa.", g.setpoint, g.pressure),
        "Give a setpoint below nine tenths of the header's pressure.",
    );
    r.need(
        g.setpoint < 0.5 * design,
        at("setpoint"),
        format!("{} MPa is not well below the {design:.3} MPa that extraction gives at design.", g.setpoint),
        "Give a setpoint below half of that: extraction's pressure falls with the load.",
    );
    if let Ok(t) = steam::t_sat(g.pressure) {
        r.need(
            g.temperature > t,
            at("temperature"),
            format!("steam of {} MPa condenses at {t:.1} °C; {} °C is not above.", g.pressure, g.temperature),
            "Give the header's steam some superheat.",
        );
    }
}
