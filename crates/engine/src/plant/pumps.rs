//! Pumps in the plant file.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Condensate extraction pumps.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CondensatePumps {
    /// Discharge pressure at design [MPa]; the low-pressure feedwater's pressure.
    pub discharge_pressure: f64,
    /// Efficiency with motor [share].
    #[serde(default = "one")]
    pub efficiency: f64,
    /// Largest flow, of the pumps that run at design with the valve behind them wide open [share of design].
    #[serde(default = "three_halves")]
    pub largest_flow: f64,
    /// Number and curve; without them, two of three at a usual curve.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub equipment: Option<CondensatePumpEquipment>,
}

/// What the condensate pumps are.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CondensatePumpEquipment {
    /// Pumps installed.
    pub installed: u32,
    /// Pumps running at design.
    pub running: u32,
    /// Head at no flow [share of design head].
    pub shutoff_head: f64,
    /// Time from rest to full speed [s].
    pub run_up: f64,
    /// Time in which a pump without power falls from full to half speed [s].
    pub coast_down: f64,
}

impl CondensatePumpEquipment {
    /// What such pumps usually are (*common practice, no source*).
    pub const USUAL: CondensatePumpEquipment = CondensatePumpEquipment {
        installed: 3,
        running: 2,
        shutoff_head: 1.25,
        run_up: 4.0,
        coast_down: 3.0,
    };
}

/// Feed pumps, all alike.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FeedPumps {
    /// Hydraulic efficiency at design [share].
    #[serde(default = "one")]
    pub efficiency: f64,
    /// Efficiency of drive and coupling [share].
    #[serde(default = "one")]
    pub drive_efficiency: f64,
    /// Pressure of the feedwater in the high-pressure heaters, where a last stage of pumping stands behind them [MPa].
    pub heater_pressure: Option<f64>,
    /// Number, speed and curve, needed to run; without them the efficiency holds at every load.
    pub equipment: Option<FeedPumpEquipment>,
}

/// What the feed pumps are.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FeedPumpEquipment {
    /// Pumps installed.
    pub installed: u32,
    /// Pumps running at design.
    pub running: u32,
    /// Speed at design [rpm].
    pub speed: f64,
    /// Largest speed [share of design].
    pub largest_speed: f64,
    /// Head at no flow [share of design head at design speed].
    pub shutoff_head: f64,
    /// Net positive suction head required at design flow and speed [m].
    pub npsh_required: f64,
    /// Height of the pump's centre line above the datum [m].
    pub elevation: f64,
    /// Largest change of the total feed flow asked [share of design per second].
    pub flow_rate: f64,
    /// Largest flow that a pump is allowed [share of its design flow].
    #[serde(default = "six_fifths")]
    pub largest_flow: f64,
    /// Least flow of a pump, below which its minimum-flow valve opens [share of its design flow].
    #[serde(default = "fifth")]
    pub minimum_flow: f64,
    /// Stroke time of a minimum-flow valve [s].
    #[serde(default = "four")]
    pub recirculation_stroke: f64,
    /// Time from rest to design speed [s].
    #[serde(default = "fifteen")]
    pub run_up: f64,
    /// Time in which a pump without power falls from design to half speed [s].
    #[serde(default = "six")]
    pub coast_down: f64,
    /// How long a pump may be short of suction head before it is tripped [s].
    #[serde(default = "four")]
    pub starved_delay: f64,
    /// Header pressure below which the standby pump starts [share of discharge pressure at design].
    #[serde(default = "seven_eighths")]
    pub low_header: f64,
    /// How fast the load is run back when the pumps cannot carry it [share of design steam flow per minute].
    #[serde(default = "half")]
    pub runback_rate: f64,
    /// Casings and what keeps them warm; without it, their temperature is not followed and any pump may be started.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub warm_up: Option<WarmUp>,
}

/// Casings of the feed pumps, and the flow that keeps one warm that stands: from the common discharge header through an
/// orifice and a warm-up valve, back to the tank.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WarmUp {
    /// Flow through one standing pump at design, its warm-up valve wide open [kg/s].
    pub flow: f64,
    /// Steel of a pump that follows the water [kg].
    pub casing_metal: f64,
    /// Water in a pump [kg].
    pub casing_water: f64,
    /// Time constant with which a standing pump without warm-up cools to the room [s].
    pub cooling_time: f64,
    /// How much colder than the water at the suction a casing may be for a start [K]: by the maker's limit.
    pub limit: f64,
}

impl WarmUp {
    /// Usual proportions for pumps of this design flow [kg/s] (*common practice, no source*): under an hour to
    /// warm, a day and a half to cool.
    pub fn usual(flow: f64) -> WarmUp {
        let metal = (0.6 * flow).round() * 100.0;
        WarmUp {
            flow: (0.8 * flow).round() / 100.0,
            casing_metal: metal,
            casing_water: 0.1 * metal,
            cooling_time: 130_000.0,
            limit: 30.0,
        }
    }

    /// Checks it, in a unit of so much steam [kg/s].
    pub(super) fn check(&self, place: &str, steam: f64, r: &mut super::check::Report) {
        let at = |field: &str| format!("{place}.warm_up.{field}");
        // A steam flow that cannot be has a fault of its own.
        let most = if steam > 0.0 { 0.05 * steam } else { f64::INFINITY };
        r.within(at("flow"), self.flow, 1e-3, most, "kg/s");
        r.within(at("casing_metal"), self.casing_metal, 10.0, 1e5, "kg");
        r.within(at("casing_water"), self.casing_water, 1.0, 2e4, "kg");
        r.within(at("cooling_time"), self.cooling_time, 3600.0, 1e6, "s");
        r.within(at("limit"), self.limit, 5.0, 200.0, "K");
    }
}

fn one() -> f64 {
    1.0
}

fn half() -> f64 {
    0.5
}

fn fifth() -> f64 {
    0.2
}

fn six_fifths() -> f64 {
    1.2
}

fn seven_eighths() -> f64 {
    0.875
}

fn four() -> f64 {
    4.0
}

fn six() -> f64 {
    6.0
}

fn fifteen() -> f64 {
    15.0
}

fn three_halves() -> f64 {
    1.5
}
