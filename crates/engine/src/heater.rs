//! The closed feedwater heater: steam condensing in a shell, water passing in tubes, in up to three zones.
//!
//! ```text
//!  water in -> drain cooling -> condensing -> desuperheating -> water out
//!               drain leaves      steam meets the tubes        steam enters
//! ```
//!
//! * **Desuperheating** and **drain cooling** are counterflow, by effectiveness and NTU with the capacity rates of
//!   that moment; the first is fed by the extraction, the second by what drains through the shell's outlet.
//! * **Condensing**: the shell stands at saturation. Water above the lowest tube takes condensing surface away.
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
//!
//! What goes wrong acts where it acts in a real one ([`Condition`]): a deposit is one more resistance in series, plugged
//! tubes are surface and flow section that are gone, a hole in a tube lets feedwater into the shell, a leak in the
//! channel's partition plate lets water past the tubes. Holes lie, as most do, at the tube sheet on the inlet side: there
//! the water joins the drain behind its cooling zone; where there is no such zone, or more of it than drains away, it
//! mixes with what is in the shell.
//!
//! Terminal temperature difference and drain cooler approach are as ASME PTC 12.1 defines them: saturation
//! temperature less feedwater out, and drain out less feedwater in.

use crate::exchange;
use crate::extraction::{self, Source};
use crate::fault::{At, Fault};
use crate::gas::{self, Gas, Spread, Vent};
use crate::level::Geometry;
use crate::solve::{self, Outcome};
use crate::surface::{
    self, CONDENSING, DESUPERHEATING, DRAIN_COOLING, Surface, WATER_SHARE_DESUPERHEATING,
    WATER_SHARE_DRAIN_COOLING, ZONES,
};
pub use crate::tubes::Condition;
use crate::valve;
use crate::vessel::{self, Holdup};
use crate::water::WaterLine;
use serde::{Deserialize, Serialize};
use steam::Saturation;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Id of the heater, for faults.
    pub id: String,
    /// Inside of the shell.
    pub geometry: Geometry,
    /// Normal level above the shell's bottom [m].
    pub normal_level: f64,
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
    /// Pressure a step before [MPa]: where it is heading.
    pub before: f64,
    /// Temperature of the steel [°C].
    pub metal: f64,
    /// Enthalpy of the water leaving each zone [kJ/kg].
    pub water: [f64; ZONES],
    /// Enthalpy of the drain leaving [kJ/kg].
    pub drain: f64,
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
    /// Water carried over when the shell was full [kg/s]: it goes to the condenser through the line drains.
    pub carry_over: f64,
    /// Its heat [kW].
    pub carry_over_heat: f64,
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

/// Rates at one trial pressure.
struct Rates {
    steam: f64,
    /// Mixture through the vent [kg/s].
    vent: f64,
    /// Steam in it [kg/s], and its heat [kW].
    vented: (f64, f64),
    duty: [f64; ZONES],
    water: [f64; ZONES],
    metal_heat: f64,
    mass: f64,
    energy: f64,
}

/// What stays put while the pressure is sought.
struct Frozen<'a> {
    p: &'a Params,
    s: &'a State,
    i: &'a Inputs,
    /// Temperature of the water arriving and leaving each zone at the start of the step.
    t_in: f64,
    t: [f64; ZONES],
    /// Heat capacity of water at each zone's outlet [kJ/(kg K)].
    cp: [f64; ZONES],
    /// Drain cooler: kW per K of (saturation - water in).
    drain_cooler: f64,
    /// Enthalpy of a drain as cold as the water that arrives [kJ/kg].
    coldest: f64,
    /// Desuperheating: kJ per kg of steam and K of (steam in - water in).
    desuperheater: f64,
    steam_t: f64,
    /// Condensing conductance [kW/K], and the inlet's weight in the mean difference.
    condensing: f64,
    inlet_share: f64,
    /// Quality of what enters the drain outlet.
    quality: f64,
    /// Enthalpy of the shell's steam above saturation [kJ/kg].
    superheat: f64,
    /// Carry-over flow [kg/s].
    carry_over: f64,
    /// Share of the conductances that is left for heat into the shell.
    boiling: f64,
    /// What goes out with the result as it is.
    trace: Trace,
    /// Gas: how it is spread, what it adds to the pressure [MPa], its share of what is vented, by mass.
    spread: Spread,
    gas_pressure: f64,
    gas_vented: f64,
}

impl Frozen<'_> {
    /// What the balance reckoned with at the pressure it found.
    fn trace(&self, entering: f64, r: &Rates) -> Trace {
        let mut t = self.trace;
        for z in 0..ZONES {
            t.water_t[z] = self.t[z] + (r.water[z] - self.s.water[z]) / self.cp[z];
        }
        t.conductance[CONDENSING] =
            self.condensing * if r.duty[CONDENSING] < 0.0 { self.boiling } else { 1.0 };
        Trace {
            inlet_share: self.inlet_share,
            steam_t: self.steam_t,
            entering,
            coldest: self.coldest,
            boiling: self.boiling,
            ..t
        }
    }

    /// Enthalpy of what enters the drain outlet [kJ/kg]: from a shell drained dry, steam as hot as it holds.
    fn entering(&self, sat: &Saturation) -> f64 {
        sat.hf + self.quality * (sat.hfg() + self.superheat)
    }

    fn rates(&self, sat: &Saturation) -> Rates {
        let (p, s, i) = (self.p, self.s, self.i);
        let w = i.water_flow;
        let whole = sat.p + self.gas_pressure;
        let steam = extraction::flow(i.line, &i.source, whole);
        let vent = valve::steam_flow(p.vent.coefficient * i.vent.0, whole, sat.vg, i.vent.1);
        let vented = vent * (1.0 - self.gas_vented);
        let vented_heat = vented * (sat.hg + self.superheat);

        // The zone's capacity is that of the step's beginning; as the pressure falls, the drain holds less than it had.
        let drain_h = self.entering(sat);
        let drain_cooling =
            (self.drain_cooler * (sat.t - self.t_in)).min((i.drain_out * (drain_h - self.coldest)).max(0.0));
        let m = p.storage[DRAIN_COOLING] / i.dt;
        let h1 = if m + w > 0.0 {
            (m * s.water[DRAIN_COOLING] + drain_cooling + w * i.water_in) / (m + w)
        } else {
            s.water[DRAIN_COOLING]
        };
        let t1 = self.t[DRAIN_COOLING] + (h1 - s.water[DRAIN_COOLING]) / self.cp[DRAIN_COOLING];

        let (ua, a) = (self.condensing, self.inlet_share);
        let (h20, t20, cp2) = (s.water[CONDENSING], self.t[CONDENSING], self.cp[CONDENSING]);
        let m = p.storage[CONDENSING] / i.dt;
        let condense = |ua: f64| {
            let rise =
                (ua * (sat.t - a * t1 - (1.0 - a) * t20) + w * (h1 - h20)) / (m + w + ua * (1.0 - a) / cp2);
            let t2 = t20 + rise / cp2;
            (h20 + rise, t2, ua * (sat.t - a * t1 - (1.0 - a) * t2))
        };
        // Both branches are zero at one pressure and rise with it.
        let (h2, t2, condensing) = match condense(ua) {
            forward if forward.2 >= 0.0 => forward,
            _ => condense(ua * self.boiling),
        };

        // Steam cannot leave the zone below saturation: what would cool it further condenses in the next.
        let desuperheating =
            steam * (self.desuperheater * (self.steam_t - t2)).min((i.source.enthalpy - sat.hg).max(0.0));
        let m = p.storage[DESUPERHEATING] / i.dt;
        let h3 = if m + w > 0.0 {
            (m * s.water[DESUPERHEATING] + desuperheating + w * h2) / (m + w)
        } else {
            s.water[DESUPERHEATING]
        };

        let g = p.metal_conductance * if sat.t < s.metal { self.boiling } else { 1.0 };
        let metal_heat = (sat.t - s.metal) * g / (1.0 + g * i.dt / p.metal_capacity);
        let duty = [drain_cooling, condensing, desuperheating];
        // What drains leaves the shell before the drain-cooling zone, which takes its heat from it alone.
        let mass = steam + i.drain_in - i.drain_out - self.carry_over - vented;
        let energy = steam * i.source.enthalpy + i.drain_in_heat
            - i.drain_out * drain_h
            - self.carry_over * sat.hf
            - vented_heat
            - condensing
            - desuperheating
            - metal_heat;
        Rates {
            steam,
            vent,
            vented: (vented, vented_heat),
            duty,
            water: [h1, h2, h3],
            metal_heat,
            mass,
            energy,
        }
    }
}

/// Share of the drain outlet under water at height `y`.
fn covered(p: &Params, y: f64) -> f64 {
    ((y - p.outlet.0) / (p.outlet.1 - p.outlet.0)).clamp(0.0, 1.0)
}

/// Space for steam and gas [m³] above `water` in a shell of `whole`; the last of it is not given up, so that gas in a
/// flooded shell is squeezed, not crushed.
pub fn gas_space(whole: f64, water: f64) -> f64 {
    (whole - water).max(0.01 * whole)
}

/// Level of a state [m above the shell's bottom].
pub fn level(p: &Params, s: &State) -> Result<f64, Fault> {
    let sat = steam::sat_p(s.pressure).at(&p.id)?;
    Ok(p.geometry.height_of(vessel::water_volume(s.shell.mass, p.geometry.whole(), &sat)))
}

fn freeze<'a>(
    p: &'a Params,
    s: &'a State,
    i: &'a Inputs,
    line: &WaterLine,
) -> Result<(Frozen<'a>, f64), Fault> {
    let id = p.id.as_str();
    let sat = steam::sat_p(s.pressure).at(id)?;
    let whole = p.geometry.whole();
    let water = vessel::water_volume(s.shell.mass, whole, &sat);
    let y = p.geometry.height_of(water);
    let open = covered(p, y);
    let w = i.water_flow;
    let flow_share = w / p.surface.water_flow;

    let t_in = line.t(i.water_in).at(id)?;
    let mut t = [t_in; ZONES];
    let mut cp = [0.0; ZONES];
    for k in 0..ZONES {
        t[k] = line.t(s.water[k]).at(id)?;
        cp[k] = line.cp(t[k]).at(id)?;
    }

    // Steam and water enter the drain outlet at one velocity: the free share of the opening is the void fraction.
    // What is not there cannot leave: the last kilograms do not outlast the step.
    let quality = {
        let void = 1.0 - open;
        let (passing, wet) = (void / sat.vg, open / sat.vf);
        let there = 0.9 * water / sat.vf;
        (passing / (passing + wet)).max(1.0 - there / (i.drain_out * i.dt).max(1e-9))
    };

    let mut trace = Trace { quality, ..Trace::default() };
    let superheat = vessel::superheat_enthalpy(s.shell.mass, whole, &sat);
    let mut drain_cooler = 0.0;
    let mut coldest = f64::NEG_INFINITY;
    let ua = p.surface.conductance[DRAIN_COOLING] * open;
    if ua > 0.0 && w > 0.0 && i.drain_out > 0.0 && (sat.t - t_in).abs() > 1e-6 {
        let cold =
            w * mean_capacity(i.water_in, t_in, s.water[DRAIN_COOLING], t[DRAIN_COOLING], cp[DRAIN_COOLING]);
        let hot_h = sat.hf + quality * (sat.hfg() + superheat);
        if sat.t > t_in {
            coldest = steam::liquid_pt(s.pressure, t_in).at(id)?.h;
        }
        let hot = i.drain_out * surface::drain_capacity(&sat, hot_h, t_in).at(id)?;
        let outside = exchange::outside_film(i.drain_out / p.surface.drain_flow);
        let tubes = i.condition.tubes(DRAIN_COOLING);
        let ua = ua * tubes.conductance(flow_share, WATER_SHARE_DRAIN_COOLING, outside);
        let (least, most) = (cold.min(hot), cold.max(hot));
        trace.conductance[DRAIN_COOLING] = ua;
        (trace.cold[DRAIN_COOLING], trace.hot[DRAIN_COOLING]) = (cold, hot);
        drain_cooler = exchange::counterflow(ua / least, least / most) * least;
    }

    let mut desuperheater = 0.0;
    let mut steam_t = sat.t;
    if i.source.enthalpy > sat.hg && i.line > 0.0 {
        steam_t = steam::state_ph(s.pressure, i.source.enthalpy).at(id)?.t;
        let ua = p.surface.conductance[DESUPERHEATING];
        if ua > 0.0 && w > 0.0 && s.steam_flow > 0.0 && steam_t > sat.t + 0.01 {
            let cp_steam = (i.source.enthalpy - sat.hg) / (steam_t - sat.t);
            let hot = s.steam_flow * cp_steam;
            let cold = w * mean_capacity(
                s.water[CONDENSING],
                t[CONDENSING],
                s.water[DESUPERHEATING],
                t[DESUPERHEATING],
                cp[DESUPERHEATING],
            );
            let outside = exchange::outside_film(s.steam_flow / p.surface.steam_flow);
            let tubes = i.condition.tubes(DESUPERHEATING);
            let ua = ua * tubes.conductance(flow_share, WATER_SHARE_DESUPERHEATING, outside);
            let (least, most) = (cold.min(hot), cold.max(hot));
            trace.conductance[DESUPERHEATING] = ua;
            (trace.cold[DESUPERHEATING], trace.hot[DESUPERHEATING]) = (cold, hot);
            // Per kilogram of steam, so that it vanishes with the flow that the pressure search finds.
            desuperheater = exchange::counterflow(ua / least, least / most) * least / s.steam_flow;
        }
    }

    let in_shell = gas::pressure(s.gas.mass, gas_space(whole, water), sat.t);
    let spread = Spread::of(in_shell / (in_shell + sat.p));
    let condensing = p.surface.conductance[CONDENSING]
        * ((1.0 - spread.lost) / (1.0 - p.vent.lost))
        * i.condition.tubes(CONDENSING).conductance(flow_share, p.surface.water_share, 1.0)
        * (1.0 - p.geometry.flooded(y));
    let inlet_share = if w > 0.0 {
        let cp_mean = mean_capacity(
            s.water[DRAIN_COOLING],
            t[DRAIN_COOLING],
            s.water[CONDENSING],
            t[CONDENSING],
            cp[CONDENSING],
        );
        trace.cold[CONDENSING] = w * cp_mean;
        exchange::inlet_share(condensing / (w * cp_mean))
    } else {
        0.0
    };

    // A shell filled to the top sends water up the extraction line's drains, as fast as it would overfill.
    let carry_over = ((water - 0.98 * whole) / sat.vf / 5.0).max(0.0);

    let f = Frozen {
        p,
        s,
        i,
        t_in,
        t,
        cp,
        drain_cooler,
        coldest,
        desuperheater,
        steam_t,
        condensing,
        inlet_share,
        quality,
        superheat,
        carry_over,
        spread,
        gas_pressure: (in_shell - p.gas_pressure).max(0.0),
        gas_vented: gas::by_mass(spread.cold),
        boiling: (water / p.geometry.volume(p.normal_level)).min(1.0),
        trace,
    };
    Ok((f, open))
}

/// Mean heat capacity between two points of the water's way; the local one where they are too close to tell.
fn mean_capacity(h1: f64, t1: f64, h2: f64, t2: f64, local: f64) -> f64 {
    if (t2 - t1).abs() > 0.05 { (h2 - h1) / (t2 - t1) } else { local }
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
    let root = solve::rising_root(
        vessel::LOWEST_PRESSURE,
        vessel::HIGHEST_PRESSURE,
        s.pressure,
        2e-4 * s.pressure,
        vessel::PRESSURE_TOLERANCE * s.pressure,
        |trial| {
            let sat = steam::sat_p(trial).at(id)?;
            let r = f.rates(&sat);
            Ok::<f64, Fault>(vessel::energy(mass0 + i.dt * r.mass, whole, &sat) - (energy0 + i.dt * r.energy))
        },
    )?;
    let sat = steam::sat_p(root.x).at(id)?;
    let r = f.rates(&sat);
    let (t_in, entering, carry_over) = (f.t_in, f.entering(&sat), f.carry_over);
    let trace = f.trace(entering, &r);
    let (spread, gas_pressure, gas_vented) = (f.spread, f.gas_pressure, f.gas_vented);
    let pressure = sat.p + gas_pressure;
    let gas_in = p.vent.arriving(r.steam, pressure, i.line > 0.0);
    let gas_out = s.gas.step(gas_in, r.vent, gas_vented, i.dt);

    s.shell.mass += i.dt * r.mass;
    s.shell.energy += i.dt * r.energy;
    s.metal += r.metal_heat * i.dt / p.metal_capacity;
    s.water = r.water;
    s.before = s.pressure;
    s.pressure = root.x;
    s.gas_pressure = gas_pressure;
    s.steam_flow = r.steam;
    let cooled = if i.drain_out > 0.0 { entering - r.duty[DRAIN_COOLING] / i.drain_out } else { entering };
    s.drain = if joins > 0.0 { cooled + (i.water_in - cooled) * joins / leaving } else { cooled };
    let water_out = r.water[DESUPERHEATING] + past * (i.water_in - r.water[DESUPERHEATING]);

    let y = p.geometry.height_of(vessel::water_volume(s.shell.mass, whole, &sat));
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
        drain_t: steam::state_ph(sat.p, s.drain).at(id)?.t,
        level: y,
        flooded: p.geometry.flooded(y),
        covered: open,
        metal_heat: r.metal_heat,
        carry_over,
        carry_over_heat: carry_over * sat.hf,
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
