//! Drains in the plant file: where each goes, its pump, its valve.

use super::check::Report;
use super::defaults::one;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where a drain goes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DrainTo {
    /// The next heater of lower pressure, closed or open.
    Next,
    /// The condenser.
    Condenser,
    /// Pumped into the feedwater line behind this heater.
    Forward(DrainPump),
}

/// A drain pump.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DrainPump {
    /// Efficiency with motor [share].
    #[serde(default = "one")]
    pub efficiency: f64,
    /// Pressure that its work is counted to [MPa]; without it, that of the feedwater line.
    pub pressure: Option<f64>,
    /// Height of the shell above its suction [m]: the column of water that keeps the drain from boiling there; without it, 3
    /// (*common practice, no source*).
    #[serde(default = "suction_head")]
    pub suction_head: f64,
}

/// A drain valve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DrainValve {
    /// Opening at which it passes the whole drain at design [share of stroke].
    pub design_opening: f64,
    /// Liquid pressure recovery factor FL as in IEC 60534-2-1 [ratio].
    pub recovery: f64,
    /// Stroke time [s].
    pub stroke: f64,
    /// Flow characteristic.
    pub characteristic: Characteristic,
    /// Where it goes without its supply of air [share of stroke]; without this, a normal drain shuts, and an emergency drain
    /// opens, so that the shell is emptied.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fails_to: Option<f64>,
}

/// Inherent flow characteristic of a valve.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Characteristic {
    /// Flow coefficient proportional to travel.
    Linear,
    /// Equal steps of travel change the coefficient by equal shares; rangeability 30.
    EqualPercentage,
}

fn suction_head() -> f64 {
    3.0
}

/// Checks a drain pump at `place`.
pub(super) fn check_pump(p: &DrainPump, place: &str, r: &mut Report) {
    r.within(format!("{place}.drains_to.forward.efficiency"), p.efficiency, 0.1, 1.0, "");
    r.within(format!("{place}.drains_to.forward.suction_head"), p.suction_head, 0.1, 30.0, "m");
}
