//! The open (deaerating) heater and its storage tank: steam, condensate and drains mix, and the feed pumps draw
//! saturated water.
//!
//! State: mass and internal energy in a fixed volume. When the steam is lost the stored water flashes and the pressure
//! decays as colder condensate mixes in; when it comes back the whole store has to be heated. The pressure at the end
//! of a step is the root of the same kind of balance as in a closed heater's shell. Gas in the steam space and oxygen in
//! the store are followed beside it ([`crate::deaeration`]); they are too little to count in pressure and heat.

use crate::deaeration;
use crate::extraction::{self, Source};
use crate::fault::{At, Fault};
use crate::gas::{self, ATMOSPHERE, Gas, Spread};
use crate::level::Geometry;
use crate::pegging;
use crate::solve::{self, Outcome};
use crate::sought::Sought;
use crate::valve::{self, Stem};
use crate::vessel::{self, Holdup};
use serde::{Deserialize, Serialize};

/// Most of what the vent passes that is taken to be gas [share by mass]: steam carries it out.
pub const MOST_GAS_VENTED: f64 = 0.99;

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
    /// Vent flow per pressure [kg/s per MPa]: a critical orifice, whose flow goes with the pressure before it. At and below
    /// atmospheric pressure it passes nothing.
    pub vent: f64,
    /// Sprays, trays and gas.
    pub deaeration: deaeration::Params,
    /// Pegging steam, where the plant has it.
    pub pegging: Option<pegging::Params>,
}

/// What is wrong with the heater.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// How far the vent is shut, 0..=1.
    pub vent_shut: f64,
    /// Non-return valve of its extraction line.
    pub non_return: valve::Condition,
    /// Drain of that line.
    pub line_drain: valve::Condition,
}

/// Integrated from step to step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Steam and water.
    pub tank: Holdup,
    /// Pressure found for the end of the last step [MPa].
    pub pressure: f64,
    /// The same, where it is heading.
    pub heading: Sought,
    /// Energy that a rise of pressure took where the last search ended [kJ/MPa]: the next one's first step; 0 before that.
    pub slope: f64,
    /// Temperature of the steel [°C].
    pub metal: f64,
    /// Valve of the pegging steam.
    pub pegging: Stem,
    /// Gas in the steam space.
    pub gas: Gas,
    /// Oxygen in the stored water [µg/kg].
    pub oxygen: f64,
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
    /// The same against its direction.
    pub back: f64,
    /// Coefficient of the pegging steam's valve now.
    pub pegging: f64,
    /// Condensate [kg/s].
    pub water_in: f64,
    /// Heat of the condensate [kW].
    pub water_in_heat: f64,
    /// Drains [kg/s].
    pub drain_in: f64,
    /// Heat of the drains [kW].
    pub drain_in_heat: f64,
    /// Of the water that comes in, what the feed pumps send back [kg/s]: it has been deaerated.
    pub returned: f64,
    /// Warm-up flow of standing feed pumps, which comes back below the water [kg/s].
    pub warm_up: f64,
    /// Its heat [kW].
    pub warm_up_heat: f64,
    /// Steam from the vents of closed heaters [kg/s].
    pub vents: f64,
    /// Its heat [kW].
    pub vents_heat: f64,
    /// Gas that comes with it [kg/s].
    pub vents_gas: f64,
    /// Water drawn by the feed pumps [kg/s].
    pub water_out: f64,
    /// What is wrong.
    pub condition: Condition,
}

/// What sprays and trays did in a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trays {
    /// Water that fell over them [kg/s].
    pub water: f64,
    /// Share of it that was heated to saturation.
    pub heated: f64,
    /// Oxygen in equilibrium with the gas above [µg/kg].
    pub equilibrium: f64,
    /// Oxygen in the water below them [µg/kg].
    pub below: f64,
    /// Oxygen in all that came into the store [µg/kg].
    pub arriving: f64,
    /// Share of gas in what the vent passed, by mass.
    pub gas_vented: f64,
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
    /// Pegging steam taken [kg/s].
    pub pegging_flow: f64,
    /// Its heat [kW].
    pub pegging_heat: f64,
    /// Steam that runs back to the turbine [kg/s].
    pub returned: f64,
    /// Its heat [kW].
    pub returned_heat: f64,
    /// Gas that goes with it [kg/s].
    pub returned_gas: f64,
    /// Steam vented [kg/s].
    pub vent_flow: f64,
    /// Heat vented [kW].
    pub vent_heat: f64,
    /// Gas that came with the extraction steam and out of the condensate, and that left through the vent [kg/s].
    pub gas_in: f64,
    /// Gas that left through the vent [kg/s].
    pub gas_out: f64,
    /// Oxygen in the water drawn [µg/kg].
    pub oxygen: f64,
    /// What sprays and trays did.
    pub trays: Trays,
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
    // What runs back is the steam of the vessel as it stands; nothing else asks for it.
    let (dry, superheat) = if i.back > 0.0 {
        let (mass, sat) = (s.tank.mass, &before);
        (vessel::dry_volume(mass, whole, sat), vessel::superheat_enthalpy(mass, whole, sat))
    } else {
        (1.0, 0.0)
    };
    let rates = |sat: &steam::Saturation| {
        let steam = extraction::flow(i.line, &i.source, sat.p);
        let pegging = p.pegging.as_ref().map_or((0.0, 0.0), |g| {
            let w = g.flow(i.pegging, sat.p);
            (w, w * g.source.enthalpy)
        });
        let vent = p.vent * sat.p * gas::blown_off(sat.p, ATMOSPHERE) * (1.0 - i.condition.vent_shut);
        let back = if i.back > 0.0 {
            extraction::back_flow(i.back, sat.p, sat.vg * dry, i.source.pressure)
        } else {
            0.0
        };
        let metal = (sat.t - s.metal) / (1.0 / p.metal_conductance + i.dt / p.metal_capacity);
        let mass = steam + pegging.0 + i.vents + i.water_in + i.warm_up + i.drain_in
            - i.water_out
            - vent
            - overflow
            - back;
        let energy = steam * i.source.enthalpy
            + pegging.1
            + i.vents_heat
            + i.water_in_heat
            + i.warm_up_heat
            + i.drain_in_heat
            - (i.water_out + overflow) * sat.hf
            - vent * sat.hg
            - back * (sat.hg + superheat)
            - metal;
        (steam, pegging, back, vent, metal, mass, energy)
    };
    let mut slope = s.slope;
    let (root, (sat, (steam, pegging, back, vent, metal, mass, energy))) = solve::near_root(
        (vessel::LOWEST_PRESSURE, vessel::HIGHEST_PRESSURE),
        s.heading.guess_or(s.pressure),
        &mut slope,
        2e-5 * s.pressure,
        vessel::PRESSURE_TOLERANCE * s.pressure,
        |trial| {
            let sat = steam::sat_p(trial).at(id)?;
            let rates = rates(&sat);
            let (.., mass, energy) = rates;
            let over =
                vessel::energy(s.tank.mass + i.dt * mass, whole, &sat) - (s.tank.energy + i.dt * energy);
            Ok::<_, Fault>((over, (sat, rates)))
        },
    )?;
    let water = vessel::water_volume(s.tank.mass, whole, &before);
    let space = gas::space(whole, water);
    let (trays, gas_in, (gas_out, returned_gas)) =
        deaerate(p, s, i, &before, (steam, pegging, back, vent), space).at(id)?;
    s.tank.mass += i.dt * mass;
    s.tank.energy += i.dt * energy;
    s.metal += metal * i.dt / p.metal_capacity;
    s.pressure = root.x;
    s.slope = slope;
    s.heading.is(root.x);
    Ok(Outputs {
        pressure: sat.p,
        saturation: sat.t,
        steam_flow: steam,
        pegging_flow: pegging.0,
        pegging_heat: pegging.1,
        returned: back,
        returned_heat: back * (sat.hg + superheat),
        returned_gas,
        vent_flow: vent,
        vent_heat: vent * sat.hg,
        gas_in,
        gas_out,
        oxygen: s.oxygen,
        trays,
        water_out: sat.hf,
        level: p.geometry.height_of(vessel::water_volume(s.tank.mass, whole, &sat)),
        overflow,
        overflow_heat: overflow * sat.hf,
        evaluations: root.evaluations,
        out_of_range: matches!(root.outcome, Outcome::AtLow | Outcome::AtHigh),
    })
}

/// Moves gas and oxygen, with the heater as it stood and the steam that came, went back and was vented in the step
/// [kg/s]; of pegging steam flow and heat [kW].
/// Returns what the trays did, the gas that came otherwise than from other heaters' vents, and what left by the vent and with
/// the steam that went back [kg/s].
fn deaerate(
    p: &Params,
    s: &mut State,
    i: &Inputs,
    sat: &steam::Saturation,
    (steam, pegging, back, vent): (f64, (f64, f64), f64, f64),
    space: f64,
) -> steam::Result<(Trays, f64, (f64, f64))> {
    let d = &p.deaeration;
    let in_space = gas::pressure(s.gas.mass, space, sat.t);
    let mean = in_space / (in_space + sat.p);
    let equilibrium = deaeration::equilibrium(mean, sat)?;
    // Heat that steam and flashing drains bring to the trays, with what flashes of the warm-up flow, and that the condensate
    // takes there to boil.
    let brought = steam * (i.source.enthalpy - sat.hf)
        + (pegging.1 - pegging.0 * sat.hf)
        + (i.vents_heat - i.vents * sat.hf)
        + (i.warm_up_heat - i.warm_up * sat.hf)
        + (i.drain_in_heat - i.drain_in * sat.hf);
    let taken = i.water_in * sat.hf - i.water_in_heat;
    let heated = if taken > 0.0 { (brought / taken).clamp(0.0, 1.0) } else { 1.0 };
    let condensate = (i.water_in - i.returned).max(0.0);
    let below = d.below_trays(condensate / d.condensate, heated, equilibrium);
    // Drains come from shells that have no oxygen to speak of: they bring what they are left with in the steam here.
    let all = i.water_in + i.drain_in;
    let arriving = if all > 0.0 { (i.water_in * below + i.drain_in * equilibrium) / all } else { s.oxygen };
    let share = i.dt * all / (s.tank.mass + i.dt * all);
    s.oxygen += share * (arriving - s.oxygen);
    let gas_vented = gas::by_mass(Spread::of(mean).cold).min(MOST_GAS_VENTED);
    let trays = Trays { water: i.water_in, heated, equilibrium, below, arriving, gas_vented };
    if p.vent <= 0.0 {
        // Without a vent at design gas is not followed: what other heaters' vents bring goes as it comes.
        return Ok((trays, 0.0, (i.vents_gas, 0.0)));
    }
    let own = d.in_steam * steam + deaeration::given_off(condensate, d.incoming, below);
    // Never less than nothing is left: water that takes gas up takes at most what is there.
    let own = own.max(-0.5 * s.gas.mass / i.dt - i.vents_gas);
    // Gas leaves besides the steam that the orifice passes.
    let vented = (vent / (1.0 - gas_vented), gas_vented);
    let w = gas::by_mass(mean).min(MOST_GAS_VENTED);
    let out = s.gas.step_with_back(own + i.vents_gas, vented, (back / (1.0 - w), w), i.dt);
    Ok((trays, own, out))
}
