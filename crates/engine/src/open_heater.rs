//! The open (deaerating) heater and its storage tank: steam, condensate and drains mix, and the feed pumps draw
//! saturated water.
//!
//! State: mass and internal energy in a fixed volume. When the steam is lost the stored water flashes and the pressure
//! decays as colder condensate mixes in; when it comes back the whole store has to be heated. The pressure at the end
//! of a step is the root of the same kind of balance as in a closed heater's shell.

use crate::extraction::{self, Source};
use crate::fault::{At, Fault};
use crate::level::Geometry;
use crate::solve::{self, Outcome};
use crate::vessel::{self, Holdup};
use serde::{Deserialize, Serialize};

/// Atmospheric pressure [MPa]: below it the vent passes nothing.
pub(crate) const ATMOSPHERE: f64 = 0.101_325;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Id of the heater, for faults.
    pub id: String,
    /// Inside of the tank.
    pub geometry: Geometry,
    /// Normal level above the tank's bottom [m].
    pub normal_level: f64,
    /// Heat capacity of the steel that follows the steam [kJ/K].
    pub metal_capacity: f64,
    /// Conductance between steam and that steel [kW/K].
    pub metal_conductance: f64,
    /// Vent flow per pressure [kg/s per MPa]: a critical orifice, whose flow goes with the pressure before it.
    pub vent: f64,
}

/// Integrated from step to step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Steam and water.
    pub tank: Holdup,
    /// Pressure found for the end of the last step [MPa].
    pub pressure: f64,
    /// Pressure a step before [MPa]: where it is heading.
    pub before: f64,
    /// Temperature of the steel [°C].
    pub metal: f64,
}

/// What the rest of the plant gives for one step.
#[derive(Clone, Copy, Debug)]
pub struct Inputs {
    /// Length of the step [s].
    pub dt: f64,
    /// Steam at the turbine end of the extraction line.
    pub source: Source,
    /// Coefficient of that line now.
    pub line: f64,
    /// Condensate [kg/s].
    pub water_in: f64,
    /// Heat of the condensate [kW].
    pub water_in_heat: f64,
    /// Drains [kg/s].
    pub drain_in: f64,
    /// Heat of the drains [kW].
    pub drain_in_heat: f64,
    /// Water drawn by the feed pumps [kg/s].
    pub water_out: f64,
}

/// What one step gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outputs {
    /// Pressure [MPa].
    pub pressure: f64,
    /// Saturation temperature [°C].
    pub saturation: f64,
    /// Extraction steam taken [kg/s].
    pub steam_flow: f64,
    /// Steam vented [kg/s].
    pub vent_flow: f64,
    /// Heat vented [kW].
    pub vent_heat: f64,
    /// Enthalpy of the water drawn [kJ/kg].
    pub water_out: f64,
    /// Height of the water above the tank's bottom [m].
    pub level: f64,
    /// Water that ran over when the tank was full [kg/s]; it goes to the condenser.
    pub overflow: f64,
    /// Its heat [kW].
    pub overflow_heat: f64,
    /// Evaluations that the pressure search took.
    pub evaluations: u32,
    /// The pressure left the range that a tank is followed in.
    pub out_of_range: bool,
}

/// Level of a state [m above the tank's bottom].
pub fn level(p: &Params, s: &State) -> Result<f64, Fault> {
    let sat = steam::sat_p(s.pressure).at(&p.id)?;
    Ok(p.geometry.height_of(vessel::water_volume(s.tank.mass, p.geometry.whole(), &sat)))
}

/// Advances the heater by one step.
pub fn step(p: &Params, s: &mut State, i: &Inputs) -> Result<Outputs, Fault> {
    let id = p.id.as_str();
    let whole = p.geometry.whole();
    let before = steam::sat_p(s.pressure).at(id)?;
    let overflow =
        ((vessel::water_volume(s.tank.mass, whole, &before) - 0.95 * whole) / before.vf / 5.0).max(0.0);
    let rates = |sat: &steam::Saturation| {
        let steam = extraction::flow(i.line, &i.source, sat.p);
        let vent = if sat.p > ATMOSPHERE { p.vent * sat.p } else { 0.0 };
        let metal = (sat.t - s.metal) / (1.0 / p.metal_conductance + i.dt / p.metal_capacity);
        let mass = steam + i.water_in + i.drain_in - i.water_out - vent - overflow;
        let energy = steam * i.source.enthalpy + i.water_in_heat + i.drain_in_heat
            - (i.water_out + overflow) * sat.hf
            - vent * sat.hg
            - metal;
        (steam, vent, metal, mass, energy)
    };
    let root = solve::rising_root(
        vessel::LOWEST_PRESSURE,
        vessel::HIGHEST_PRESSURE,
        s.pressure,
        2e-5 * s.pressure,
        vessel::PRESSURE_TOLERANCE * s.pressure,
        |trial| {
            let sat = steam::sat_p(trial).at(id)?;
            let (.., mass, energy) = rates(&sat);
            Ok::<f64, Fault>(
                vessel::energy(s.tank.mass + i.dt * mass, whole, &sat) - (s.tank.energy + i.dt * energy),
            )
        },
    )?;
    let sat = steam::sat_p(root.x).at(id)?;
    let (steam, vent, metal, mass, energy) = rates(&sat);
    s.tank.mass += i.dt * mass;
    s.tank.energy += i.dt * energy;
    s.metal += metal * i.dt / p.metal_capacity;
    s.before = s.pressure;
    s.pressure = root.x;
    Ok(Outputs {
        pressure: sat.p,
        saturation: sat.t,
        steam_flow: steam,
        vent_flow: vent,
        vent_heat: vent * sat.hg,
        water_out: sat.hf,
        level: p.geometry.height_of(vessel::water_volume(s.tank.mass, whole, &sat)),
        overflow,
        overflow_heat: overflow * sat.hf,
        evaluations: root.evaluations,
        out_of_range: matches!(root.outcome, Outcome::AtLow | Outcome::AtHigh),
    })
}
