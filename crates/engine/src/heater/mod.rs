//! The closed feedwater heater: steam condensing in a shell, water passing in tubes, in up to three zones.
//!
//! ```text
//!  water in -> drain cooling -> condensing -> desuperheating -> water out
//!               drain leaves      steam meets the tubes        steam enters
//! ```
//!
//! * **Desuperheating** and **drain cooling** are counterflow, by effectiveness and NTU with the capacity rates of
//!   that moment; the first is fed by the extraction, the second by what drains through the shell's outlet.
//! * **Condensing**: the shell stands at saturation. Water above the lowest tube takes condensing surface away; what it
//!   covers cools the drain before the drain-cooling zone does, by free convection ([`crate::surface::FLOODED_COEFFICIENT`]).
//!   The drain meets flooded tubes first and the zone then, the water the zone first: two stretches of one counterflow, whose
//!   conductances add up. All the water is taken to pass the flooded tubes, in counterflow, while the rest condenses with
//!   what they left it; a pool's own cold is not stored, for it leaves with the drain.
//! * **Water side**: each zone's outlet enthalpy moves with the heat stored in its water and tube metal; the metal is
//!   counted as the mass of water that holds as much heat. Heat that leaves the shell enters the water, exactly.
//! * **Shell**: mass and internal energy in a fixed volume; the steel follows the steam with a lag. The pressure at the
//!   end of the step is the root of one balance that does not fall with pressure: what the shell would hold at that
//!   pressure less what the step leaves in it. A higher pressure admits less steam and gives more heat to the tubes,
//!   so there is exactly one root, also with valves shut, flow stopped or the water bypassed.
//! * **Heat the other way**: where tubes or steel are hotter than the steam, only water can take it up, by evaporating.
//!   It comes in proportion to the water left, so that a shell is boiled towards dry, not beyond.
//! * **Drain cooler uncovered**: below the top of its inlet, steam enters with the water in proportion to the free
//!   part of the opening (both at one velocity), and as much less of the zone's surface is under water. The loss of
//!   subcooling, the flashing in the valve and its lower capacity follow from the drain's enthalpy.
//!
//! * **Gas** ([`crate::gas`]): blankets tubes at the cold end, and by as much as its partial pressure exceeds that at
//!   design the shell stands above the pressure at which its steam condenses. The vent takes steam with it.
//! * **Backwards** ([`crate::extraction`]): where the line lets it, a shell that stands above the turbine gives steam back,
//!   the more the higher the trial pressure; its water flashes.
//! * **Full to the brim** ([`BRIM`]): what comes and does not drain away leaves in the same step: a shell is no larger than
//!   it is. It runs back to the turbine where the line lets it; the rest goes through the shell's relief valve to the
//!   condenser. Before, the water covers the nozzle at the top, and less and less steam passes ([`uncovered`]).
//!
//! What goes wrong acts where it acts in a real one ([`Condition`]): a deposit is one more resistance in series, plugged
//! tubes are surface and flow section that are gone, a hole in a tube lets feedwater into the shell, a leak in the
//! channel's partition plate lets water past the tubes. Holes lie, as most do, at the tube sheet on the inlet side: there
//! the water joins the drain behind its cooling zone; where there is no such zone, or more of it than drains away, it
//! mixes with what is in the shell.
//!
//! Terminal temperature difference and drain cooler approach are as ASME PTC 12.1 defines them: saturation
//! temperature less feedwater out, and drain out less feedwater in.

mod frozen;

use crate::extraction::{Back, Source};
use crate::fault::{At, Fault};
use crate::gas::{Gas, Vent};
use crate::level::Geometry;
use crate::solve::{self, Outcome};
use crate::sought::{ByHeat, Sought};
use crate::surface::{DESUPERHEATING, DRAIN_COOLING, Surface, ZONES};
pub use crate::tubes::Condition;
use crate::vessel::{self, Holdup};
use crate::water::WaterLine;
use frozen::freeze;
use serde::{Deserialize, Serialize};

/// Share of its space that a shell full of water holds of it: the rest is the steam nozzle's dome (*common practice, no
/// source*).
pub const BRIM: f64 = 0.98;
/// Share at which the water reaches the nozzle (*common practice, no source*).
pub const NOZZLE: f64 = 0.96;
/// Height, as a share of the shell's, below which neither can be: to spare the reckoning.
const LOW: f64 = 0.85;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Id of the heater, for faults.
    pub id: String,
    /// Inside of the shell.
    pub geometry: Geometry,
    /// Normal level above the shell's bottom [m].
    pub normal_level: f64,
    /// Water in it at that level [m³].
    pub normal_volume: f64,
    /// Heat capacity of the steel that follows the steam [kJ/K].
    pub metal_capacity: f64,
    /// Conductance between steam and that steel [kW/K].
    pub metal_conductance: f64,
    /// Heating surface.
    pub surface: Surface,
    /// Water that holds as much heat as each zone's water and tube metal [kg].
    pub storage: [f64; ZONES],
    /// Area of a tube's bore [m²].
    pub bore: f64,
    /// Vent.
    pub vent: Vent,
    /// Partial pressure of the gas at design [MPa], which the design's pressure includes.
    pub gas_pressure: f64,
    /// Drain outlet: heights between which steam and water share it [m].
    pub outlet: (f64, f64),
    /// Pressure at which the shell's relief valve lifts [MPa].
    pub relief: f64,
}

/// Integrated from step to step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Steam and water in the shell.
    pub shell: Holdup,
    /// Gas that does not condense.
    pub gas: Gas,
    /// Pressure of the steam found for the end of the last step [MPa]: where the next search starts.
    pub pressure: f64,
    /// What the gas adds to it [MPa].
    pub gas_pressure: f64,
    /// The same, where it is heading.
    pub heading: Sought,
    /// Energy that a rise of pressure took where the last search ended [kJ/MPa]: the next one's first step; 0 before that.
    pub slope: f64,
    /// Temperature of the steel [°C].
    pub metal: f64,
    /// Enthalpy of the water leaving each zone [kJ/kg].
    pub water: [f64; ZONES],
    /// Enthalpy of the water that arrived in the last step [kJ/kg]: what stands at a hole in a tube.
    pub inlet: f64,
    /// Enthalpy of the drain leaving [kJ/kg].
    pub drain: f64,
    /// Temperature of the drain, where the next search starts.
    pub drain_found: ByHeat,
    /// That of the arriving steam.
    pub steam_found: Sought,
    /// Extraction flow of the last step [kg/s]: sets the steam-side coefficient.
    pub steam_flow: f64,
}

impl State {
    /// Pressure in the shell [MPa], of steam and gas.
    pub fn whole_pressure(&self) -> f64 {
        self.pressure + self.gas_pressure
    }
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
    pub back: Back,
    /// Water through the heater [kg/s], without what leaks into the shell.
    pub water_flow: f64,
    /// Its enthalpy on arrival [kJ/kg].
    pub water_in: f64,
    /// Water that leaks into the shell, as it arrived [kg/s].
    pub leak: f64,
    /// Opening of the vents, over that of the continuous vent's orifice, and pressure where it leads [MPa].
    pub vent: (f64, f64),
    /// What is wrong.
    pub condition: Condition,
    /// Drains that arrive [kg/s], and their heat [kW].
    pub drain_in: f64,
    /// Heat of those drains [kW].
    pub drain_in_heat: f64,
    /// Drain that leaves [kg/s].
    pub drain_out: f64,
}

/// What the step reckoned with, for whoever wants to follow it; see [`crate::working`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trace {
    /// Conductance of each zone as it acts now [kW/K].
    pub conductance: [f64; ZONES],
    /// Heat capacity rates of the water in each zone [kW/K].
    pub cold: [f64; ZONES],
    /// Of the drain in the drain-cooling zone and of the steam in the desuperheating zone [kW/K]; condensing has none.
    pub hot: [f64; ZONES],
    /// Share of the inlet's difference in the condensing zone's mean difference.
    pub inlet_share: f64,
    /// Temperature of the water behind each zone [°C], as the balance used it.
    pub water_t: [f64; ZONES],
    /// Temperature of the steam that arrives [°C].
    pub steam_t: f64,
    /// Enthalpy of what enters the drain outlet [kJ/kg].
    pub entering: f64,
    /// Enthalpy of a drain as cold as the water that arrives [kJ/kg]; minus infinity where none is reckoned.
    pub coldest: f64,
    /// Quality of what enters the drain outlet.
    pub quality: f64,
    /// Share of the conductances that is left for heat into the shell.
    pub boiling: f64,
    /// Conductance of flooded tubes, which is part of the drain-cooling zone's [kW/K].
    pub pool: f64,
}

/// What one step gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outputs {
    /// Shell pressure [MPa].
    pub pressure: f64,
    /// Saturation temperature at that pressure, which the terminal difference counts from [°C].
    pub saturation: f64,
    /// Temperature at which the steam condenses [°C]: lower, where gas takes part of the pressure.
    pub condensing: f64,
    /// Extraction steam taken [kg/s].
    pub steam_flow: f64,
    /// Heat to the water in each zone [kW].
    pub duty: [f64; ZONES],
    /// Enthalpy of the water sent on [kJ/kg].
    pub water_out: f64,
    /// Water temperature in and out [°C].
    pub water_in_t: f64,
    /// Water temperature out [°C].
    pub water_out_t: f64,
    /// Enthalpy of the drain that left in this step [kJ/kg].
    pub drain: f64,
    /// Drain temperature [°C].
    pub drain_t: f64,
    /// Height of the water above the shell's bottom [m].
    pub level: f64,
    /// Share of the condensing tubes under water.
    pub flooded: f64,
    /// Share of the drain outlet under water.
    pub covered: f64,
    /// Heat that went into the shell's steel [kW].
    pub metal_heat: f64,
    /// Water that a full shell neither holds nor gives back [kg/s]: it goes to the condenser through the relief valve.
    pub carry_over: f64,
    /// Its heat [kW].
    pub carry_over_heat: f64,
    /// Steam that runs back to the turbine [kg/s].
    pub returned: f64,
    /// Its heat [kW].
    pub returned_heat: f64,
    /// Gas that goes with it [kg/s].
    pub returned_gas: f64,
    /// Share of gas in what runs back, by mass.
    pub gas_back: f64,
    /// Water that runs back to the turbine [kg/s].
    pub inducted: f64,
    /// Its heat [kW].
    pub inducted_heat: f64,
    /// Steam that the vent takes [kg/s], and its heat [kW].
    pub vent: f64,
    /// Heat of the steam vented [kW].
    pub vent_heat: f64,
    /// How far the vent stood open, and share of gas in what it passed, by mass.
    pub vent_opening: f64,
    /// Share of gas in what the vent passed, by mass.
    pub vent_gas: f64,
    /// Gas that arrived, and that left through the vent [kg/s].
    pub gas_in: f64,
    /// Gas that left through the vent [kg/s].
    pub gas_out: f64,
    /// Share of the condensing conductance that gas takes.
    pub blanketed: f64,
    /// Evaluations that the pressure search took.
    pub evaluations: u32,
    /// The pressure left the range that a shell is followed in.
    pub out_of_range: bool,
    /// What the step reckoned with.
    pub trace: Trace,
}

/// Share of the steam nozzle, at the top of the shell, that water standing `y` m high leaves free.
pub fn uncovered(p: &Params, y: f64) -> f64 {
    let g = &p.geometry;
    if y < LOW * g.height() {
        return 1.0;
    }
    ((BRIM - g.volume(y) / g.whole()) / (BRIM - NOZZLE)).clamp(0.0, 1.0)
}

/// Level of a state [m above the shell's bottom].
pub fn level(p: &Params, s: &State) -> Result<f64, Fault> {
    let sat = steam::sat_p(s.pressure).at(&p.id)?;
    Ok(p.geometry.height_of(vessel::water_volume(s.shell.mass, p.geometry.whole(), &sat)))
}

/// Advances the heater by one step.
pub fn step(p: &Params, s: &mut State, i: &Inputs, line: &WaterLine) -> Result<Outputs, Fault> {
    let id = p.id.as_str();
    let whole = p.geometry.whole();
    // The zones see what goes through the tubes, and the drain that comes from the shell; the leak joins it behind.
    let past = i.condition.past_partition;
    let joins = if p.surface.conductance[DRAIN_COOLING] > 0.0 { i.leak.min(i.drain_out) } else { 0.0 };
    let leaving = i.drain_out;
    let i = &Inputs {
        water_flow: i.water_flow * (1.0 - past),
        drain_in: i.drain_in + i.leak - joins,
        drain_in_heat: i.drain_in_heat + (i.leak - joins) * i.water_in,
        drain_out: leaving - joins,
        ..*i
    };
    let (f, open) = freeze(p, s, i, line)?;
    let (mass0, energy0) = (s.shell.mass, s.shell.energy);
    let mut slope = s.slope;
    let (root, (sat, r)) = solve::near_root(
        (vessel::LOWEST_PRESSURE, vessel::HIGHEST_PRESSURE),
        s.heading.guess_or(s.pressure),
        &mut slope,
        2e-4 * s.pressure,
        vessel::PRESSURE_TOLERANCE * s.pressure,
        |trial| {
            let sat = steam::sat_p(trial).at(id)?;
            let r = f.rates(&sat);
            let over = vessel::energy(mass0 + i.dt * r.mass, whole, &sat) - (energy0 + i.dt * r.energy);
            Ok::<_, Fault>((over, (sat, r)))
        },
    )?;
    let (t_in, steam_t, entering) = (f.t_in, f.steam_t, f.entering(&sat));
    let (carry_over, inducted, gas_back) = (f.carry_over, f.inducted, f.gas_back);
    let trace = f.trace(entering, &r);
    let (spread, gas_pressure, gas_vented) = (f.spread, f.gas_pressure, f.gas_vented);
    let pressure = sat.p + gas_pressure;
    let gas_in = p.vent.arriving(r.steam, pressure, i.line > 0.0);
    let (gas_out, returned_gas) =
        s.gas.step_with_back(gas_in, (r.vent, gas_vented), (r.back, gas_back), i.dt);

    s.shell.mass += i.dt * r.mass;
    s.shell.energy += i.dt * r.energy;
    s.metal += r.metal_heat * i.dt / p.metal_capacity;
    s.water = r.water;
    s.inlet = i.water_in;
    s.pressure = root.x;
    s.heading.is(root.x);
    s.slope = slope;
    s.gas_pressure = gas_pressure;
    s.steam_flow = r.steam;
    let cooled = if i.drain_out > 0.0 { entering - r.duty[DRAIN_COOLING] / i.drain_out } else { entering };
    s.drain = if joins > 0.0 { cooled + (i.water_in - cooled) * joins / leaving } else { cooled };
    let water_out = r.water[DESUPERHEATING] + past * (i.water_in - r.water[DESUPERHEATING]);

    let drain = steam::state_ph_near(sat.p, s.drain, s.drain_found.guess(s.drain)).at(id)?;
    s.drain_found.is(&drain);
    s.steam_found.is(steam_t);
    let water = vessel::water_volume(s.shell.mass, whole, &sat);
    Ok(Outputs {
        pressure,
        saturation: if gas_pressure > 0.0 {
            steam::t_sat(pressure.min(vessel::HIGHEST_PRESSURE)).at(id)?
        } else {
            sat.t
        },
        condensing: sat.t,
        steam_flow: r.steam,
        duty: r.duty,
        water_out,
        water_in_t: t_in,
        water_out_t: line.t(water_out).at(id)?,
        drain: s.drain,
        drain_t: drain.t,
        level: p.geometry.height_of(water),
        flooded: p.geometry.flooded_by(water),
        covered: open,
        metal_heat: r.metal_heat,
        carry_over,
        carry_over_heat: carry_over * sat.hf,
        returned: r.returned.0,
        returned_heat: r.returned.1,
        returned_gas,
        gas_back,
        inducted,
        inducted_heat: inducted * sat.hf,
        vent: r.vented.0,
        vent_heat: r.vented.1,
        vent_opening: i.vent.0,
        vent_gas: gas_vented,
        gas_in,
        gas_out,
        blanketed: spread.lost,
        evaluations: root.evaluations,
        out_of_range: matches!(root.outcome, Outcome::AtLow | Outcome::AtHigh),
        trace,
    })
}
