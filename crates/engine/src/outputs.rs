//! What a step gave: derived, never saved.

use crate::condensate_pump;
use crate::condenser;
use crate::falling::Arrived;
use crate::feed_pump;
use crate::heater;
use crate::in_place::clone_in_place;
use crate::line_drain;
use crate::malfunction::Conditions;
use crate::measurements::Measurements;
use crate::network;
use crate::open_heater;
use crate::turbine;

/// What a step of a closed heater and its lines gave.
#[derive(Clone, Copy, Debug, Default)]
pub struct ClosedOutputs {
    /// How far its valves let pass.
    pub open: network::Openings,
    /// The heater.
    pub heater: heater::Outputs,
    /// Water through it [kg/s], without what leaks into its shell.
    pub water_flow: f64,
    /// Water that goes round its group, past it [kg/s].
    pub round: f64,
    /// What has gone round its group and joins the water again behind it [kg/s].
    pub joining: f64,
    /// Water that leaks from its tubes into its shell [kg/s].
    pub leak: f64,
    /// Drains that arrived [kg/s].
    pub drain_in: f64,
    /// Their heat [kW].
    pub drain_in_heat: f64,
    /// Share of what the drain valves would pass that the shell has to give.
    pub drain_share: f64,
    /// Normal drain [kg/s].
    pub normal: f64,
    /// Of which pumped into the feedwater behind the heater [kg/s].
    pub forward: f64,
    /// Heat that the drain pump gives to it [kJ/kg].
    pub forward_rise: f64,
    /// Emergency drain [kg/s].
    pub emergency: f64,
    /// Drain of the extraction line.
    pub line_drain: line_drain::Outputs,
    /// Enthalpy of the water that arrived [kJ/kg].
    pub water_in: f64,
}

/// What a step gave; derived, never saved.
#[derive(Debug, Default)]
pub struct Outputs {
    /// Closed heaters.
    pub closed: Vec<ClosedOutputs>,
    /// Steam to the first group [kg/s].
    pub throttle: f64,
    /// How far each bypass lets pass, in the mean of the step.
    pub bypass: Vec<f64>,
    /// Coefficient of the open heater's extraction line in this step.
    pub open_line: f64,
    /// The same against its direction.
    pub open_back: f64,
    /// Drain of that line.
    pub open_line_drain: line_drain::Outputs,
    /// Coefficient of the pegging steam's valve in this step.
    pub pegging: f64,
    /// Open heater.
    pub open: open_heater::Outputs,
    /// Gas that came into shells and tank from outside, and that left for the condenser and the air [kg/s].
    pub gas: (f64, f64),
    /// Drains that arrived there [kg/s].
    pub open_drain_in: f64,
    /// What arrived of the drains of moisture separator and steam reheater.
    pub led: [Arrived; 2],
    /// Condensate arriving there: enthalpy [kJ/kg].
    pub open_water_in: f64,
    /// Its temperature [°C].
    pub open_water_in_t: f64,
    /// Turbine.
    pub turbine: turbine::Outputs,
    /// Condenser.
    pub condenser: condenser::Outputs,
    /// Condensate pumps.
    pub condensate: condensate_pump::Outputs,
    /// Make-up [kg/s].
    pub makeup: f64,
    /// Feed pumps.
    pub feed: feed_pump::Outputs,
    /// Temperature at the pumps' suction [°C].
    pub suction_t: f64,
    /// Mean enthalpy of what the pumps drew in the step [kJ/kg].
    pub suction_h: f64,
    /// Feedwater to the boiler [kg/s]: of the feed pumps and of drains pumped in behind them.
    pub boiler_feed: f64,
    /// Condensate arriving at the open heater [kg/s].
    pub open_water_flow: f64,
    /// Feedwater at the economiser inlet: enthalpy [kJ/kg].
    pub final_h: f64,
    /// Its temperature [°C].
    pub final_t: f64,
    /// Power of feed and condensate pumps [kW].
    pub auxiliary: f64,
    /// Heat added by boiler and reheater [kW].
    pub heat_added: f64,
    /// What was wrong in the step.
    pub conditions: Conditions,
    /// True levels about normal [mm]: of each closed heater, the open one, hotwell and drum.
    pub levels: Vec<f64>,
    /// What the transmitters of the process should show, in their order.
    pub truths: Vec<f64>,
    /// Measurements at the end of the step.
    pub measured: Measurements,
    /// Mass and energy unaccounted for since the start, over what passed.
    pub residuals: (f64, f64),
}

clone_in_place!(Outputs {
    closed,
    throttle,
    bypass,
    open_line,
    open_back,
    open_line_drain,
    pegging,
    open,
    gas,
    open_drain_in,
    led,
    open_water_in,
    open_water_in_t,
    turbine,
    condenser,
    condensate,
    makeup,
    feed,
    suction_t,
    suction_h,
    boiler_feed,
    open_water_flow,
    final_h,
    final_t,
    auxiliary,
    heat_added,
    conditions,
    levels,
    truths,
    measured,
    residuals
});
