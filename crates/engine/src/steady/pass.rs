//! One pass through the plant: from a trial on the steam side to every flow, temperature and imbalance.
//!
//! Steam flows are known; drains follow from the highest pressure down, water flows from the boiler back, and
//! enthalpies of the water from the condenser up. What does not balance is the residual of each heater.

use super::case::{Case, Outage};
use super::model::{self, Model};
use super::pumps;
use super::result::HeaterBalance;
use super::vents;
use crate::drain;
use crate::extraction::Source;
use crate::fault::{At, Fault};
use crate::feed_pump;
use crate::gas::{self, Vented};
use crate::layout::Layout;
use crate::plant::file::{ClosedHeater, DrainTo, Heater, Plant, VentTo};
use crate::separator;
use crate::surface::{Exchanged, Streams, ZONES};
use crate::turbine;
use crate::water::WaterLine;
use steam::Saturation;

/// Feedwater on both sides of the feed pumps.
#[derive(Clone, Debug)]
pub struct Lines {
    /// Condensate and low-pressure feedwater, at the condensate pumps' discharge pressure.
    pub low: WaterLine,
    /// High-pressure feedwater, at the feed pumps' discharge pressure.
    pub high: WaterLine,
}

/// What a pass needs to know of the plant.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// Plant file.
    pub plant: &'a Plant,
    /// Order of things.
    pub layout: &'a Layout,
    /// Feedwater properties.
    pub lines: &'a Lines,
    /// The sized plant; none for the design balance, whose figures come from the plant file.
    pub model: Option<&'a Model>,
    /// The case.
    pub case: &'a Case,
}

impl Context<'_> {
    /// Whether water passes heater `i` as through a pipe: its steam is shut off and no drain reaches it. Its shell then
    /// stands at the temperature of the water, and there is nothing to find.
    pub fn idle(&self, i: usize) -> bool {
        if self.case.outages[i] != Outage::Isolated {
            return false;
        }
        let led = self.model.is_some_and(|m| m.turbine.separator.as_ref().is_some_and(|s| s.leads_to(i)));
        let above = i.checked_sub(1).and_then(|j| match &self.plant.heaters[j] {
            Heater::Closed(h) if h.drains_to == DrainTo::Next => Some(j),
            _ => None,
        });
        let fed = above.is_some_and(|j| self.case.outages[j] != Outage::Out && !self.idle(j));
        !(led || fed)
    }
}

/// The steam side at a trial.
#[derive(Clone, Debug)]
pub struct SteamSide {
    /// Throttle flow [kg/s].
    pub throttle: f64,
    /// Steam at each heater's extraction point.
    pub sources: Vec<Source>,
    /// Extraction flow of each heater [kg/s].
    pub extraction: Vec<f64>,
    /// What the open drain of each heater's extraction line takes [kg/s].
    pub line_drain: Vec<f64>,
    /// Saturation in each heater.
    pub shells: Vec<Saturation>,
    /// Steam to the condenser [kg/s].
    pub exhaust: f64,
    /// Its enthalpy [kJ/kg].
    pub exhaust_enthalpy: f64,
    /// Saturation in the condenser.
    pub condenser: Saturation,
    /// Streams of moisture separator and steam reheater.
    pub separator: separator::Streams,
    /// Their drains: the separator's and the reheater's.
    pub led: [Led; 2],
}

/// A drain of moisture separator or steam reheater.
#[derive(Clone, Copy, Debug, Default)]
pub struct Led {
    /// Where it is to go.
    pub to: separator::Delivery,
    /// Flow [kg/s].
    pub flow: f64,
    /// Enthalpy [kJ/kg].
    pub enthalpy: f64,
    /// Pressure that drives it [MPa].
    pub pressure: f64,
}

impl SteamSide {
    /// What leaves the turbine at a point, by the heater there and the drain of its line [kg/s].
    pub fn taken(&self, layout: &Layout, point: usize) -> f64 {
        layout.points[point].map_or(0.0, |i| self.extraction[i] + self.line_drain[i])
    }

    /// Takes over what moisture separator and steam reheater do.
    pub fn separate(&mut self, p: &turbine::Params, s: &turbine::State, x: separator::Streams) {
        self.separator = x;
        let Some(q) = &p.separator else { return };
        let s = &s.separator;
        self.led[0] = Led { to: q.drain, flow: x.drained, enthalpy: s.drain, pressure: s.pressure };
        if let Some(r) = &q.reheater {
            self.led[1] =
                Led { to: r.drain, flow: x.heating, enthalpy: s.heating_drain, pressure: s.heating_pressure };
        }
    }
}

/// What the feed pumps do.
#[derive(Clone, Copy, Debug, Default)]
pub struct Pumped {
    /// Suction [MPa].
    pub suction: f64,
    /// Discharge [MPa].
    pub discharge: f64,
    /// Enthalpy given to the feedwater [kJ/kg].
    pub rise: f64,
    /// Back to the tank through minimum-flow and warm-up lines [kg/s].
    pub back: f64,
    /// Heat that it brings beyond that of the tank's water [kW].
    pub back_work: f64,
    /// Lost by the pumps' casings to the room [kW].
    pub lost: f64,
}

impl Pumped {
    /// Work done on the water, of which the pumps deliver so much [kg/s] as feed [kW].
    pub fn work(&self, feed: f64) -> f64 {
        feed * self.rise + self.back_work + self.lost
    }
}

/// What one pass gives.
#[derive(Clone, Debug, Default)]
pub struct Pass {
    /// Heaters.
    pub heaters: Vec<HeaterBalance>,
    /// Heat that comes into each heater less heat that leaves it [kW].
    pub imbalance: Vec<f64>,
    /// Water drawn from the hotwell [kg/s].
    pub condensate: f64,
    /// Water arriving at the open heater [kg/s].
    pub open_water_in: f64,
    /// Water delivered by the feed pumps [kg/s].
    pub feed: f64,
    /// Steam vented [kg/s].
    pub vent: f64,
    /// Enthalpy of the steam vented [kJ/kg].
    pub vent_enthalpy: f64,
    /// Rise over the condensate pumps [kJ/kg].
    pub condensate_rise: f64,
    /// Feed pumps.
    pub pumped: Pumped,
    /// Rise over a last stage of pumping behind the heaters [kJ/kg]; 0 without one.
    pub last_rise: f64,
    /// Enthalpy of the feedwater at the boiler [kJ/kg].
    pub final_enthalpy: f64,
    /// Work of the drain pumps [kW].
    pub drain_pumping: f64,
    /// What of the drains of separator and reheater does not reach the heater that it is meant for [kg/s].
    pub led_astray: [f64; 2],
    /// Drains, of shells and of extraction lines, and vents to the condenser [kg/s].
    pub to_condenser: f64,
    /// Their heat [kW].
    pub to_condenser_heat: f64,
}

/// Drain enthalpies that the next pass is to reckon with: the capacity of a drain valve depends on them.
pub type Lag = Vec<f64>;

/// Drains: what arrives in each heater from the one above, with what else, leaves it, spills to the condenser and is
/// pumped forward [kg/s]; levels [mm]; and what each shell's vent takes.
struct Drains {
    cascade: Vec<f64>,
    arriving: Vec<f64>,
    /// Heat of what does not come from the heater above [kW].
    led_heat: Vec<f64>,
    led_astray: [f64; 2],
    leaving: Vec<f64>,
    spill: Vec<f64>,
    pumped: Vec<f64>,
    level: Vec<f64>,
    vent: Vec<Vented>,
}

/// Runs one pass; `lag` is renewed.
pub fn run(c: &Context, steam: &SteamSide, lag: &mut Lag) -> Result<Pass, Fault> {
    let (plant, layout) = (c.plant, c.layout);
    let n = layout.heaters;
    let drains = drains(c, steam, lag)?;
    let mut p =
        Pass { heaters: vec![HeaterBalance::default(); n], imbalance: vec![0.0; n], ..Pass::default() };

    // Water flows, from the boiler back to the condenser: through each heater, and behind it.
    let floor = 1e-3 * steam.throttle;
    let mut through = vec![0.0; n];
    let mut after = vec![0.0; n];
    let mut flow = steam.throttle;
    p.feed = flow;
    for i in 0..n {
        after[i] = flow;
        if let Heater::Open(o) = &plant.heaters[i] {
            p.feed = flow;
            through[i] = flow;
            p.vent_enthalpy = steam.shells[i].hg;
            p.vent = c.model.map_or(o.vent_flow, |m| {
                let (at, (coefficient, against)) = (steam.shells[i].p, m.vent);
                coefficient * at * gas::blown_off(at, against)
            });
            let vents: f64 =
                (0..i).filter(|&j| vents::to(plant, j) == VentTo::Open).map(|j| drains.vent[j].steam).sum();
            flow = (flow + p.vent - steam.extraction[i] - drains.arriving[i] - vents).max(floor);
            p.open_water_in = flow;
        } else {
            flow = (flow - drains.pumped[i]).max(floor);
            through[i] = flow;
        }
    }
    p.condensate = flow;
    if layout.open.is_none() {
        p.feed = flow;
    }

    // Enthalpies of the water, from the condenser up.
    let hotwell = &steam.condenser;
    let low_pressure = plant.condensate_pumps.discharge_pressure;
    p.condensate_rise = match c.model.and_then(|m| m.condensate_pumps.as_ref()) {
        Some(pumps) => pumps.rise(p.condensate),
        None => (low_pressure - hotwell.p) * hotwell.vf * 1e3 / plant.condensate_pumps.efficiency,
    };
    let before_pumps = match layout.open {
        Some(o) => (steam.shells[o].p, &steam.shells[o]),
        None => (low_pressure, hotwell),
    };
    p.pumped = feed_pumps(c, p.feed, before_pumps)?;
    let mut h = hotwell.hf + p.condensate_rise;
    if layout.open.is_none() {
        h += p.pumped.rise;
    }
    for i in (0..n).rev() {
        let line = if i < layout.high { &c.lines.high } else { &c.lines.low };
        let sat = &steam.shells[i];
        let source = &steam.sources[i];
        let id = plant.heaters[i].id();
        let b = &mut p.heaters[i];
        id.clone_into(&mut b.id);
        b.extraction_pressure = source.pressure;
        b.extraction_enthalpy = source.enthalpy;
        b.extraction_volume = source.volume;
        b.extraction_flow = steam.extraction[i];
        b.line_drain = steam.line_drain[i];
        (b.pressure, b.saturation) = (sat.p, sat.t);
        b.water_flow = through[i];
        b.water_in = h;
        b.water_in_t = line.t(h).at(id)?;
        b.drain_in = drains.arriving[i];
        b.drain_flow = drains.leaving[i];
        b.spill = drains.spill[i];
        b.vent = drains.vent[i].steam;
        b.level = drains.level[i];
        (b.drain, b.drain_t) = (sat.hf, sat.t);
        let reckoned = std::mem::replace(&mut lag[i], sat.hf);
        let heater = match &plant.heaters[i] {
            Heater::Open(_) => {
                (b.water_out, b.water_out_t) = (sat.hf, sat.t);
                h = sat.hf + p.pumped.rise;
                continue;
            }
            Heater::Closed(_) if c.case.outages[i] == Outage::Out => {
                (b.water_out, b.water_out_t) = (h, b.water_in_t);
                b.water_flow = 0.0;
                continue;
            }
            Heater::Closed(_) if c.idle(i) => {
                let shell = steam::sat_t(b.water_in_t).at(id)?;
                (b.pressure, b.saturation) = (shell.p, shell.t);
                (b.drain, b.drain_t) = (shell.hf, shell.t);
                lag[i] = shell.hf;
                (b.water_out, b.water_out_t) = (h, b.water_in_t);
                continue;
            }
            Heater::Closed(heater) => heater,
        };
        let streams = Streams {
            water_flow: through[i],
            water_in: h,
            steam_flow: steam.extraction[i],
            steam: source.enthalpy,
            drain_flow: drains.leaving[i],
            flooded: c.model.map_or(0.0, |m| m.flooded(i, drains.level[i])),
            clean: drains.vent[i].clean,
        };
        let x = exchange(c, heater, i, &streams, b.water_in_t, sat, line)?;
        lag[i] = if streams.flooded > 0.0 {
            // A warmer drain is passed less, which lifts the level and floods tubes that cool it, by more than it was warmer:
            // taken as found, it would swing. Newton's step for one that is as warm as was reckoned with.
            let warmer = held(c, i, steam, drains.leaving[i], reckoned + WARMER).at(id)?.1;
            let flooded = c.model.map_or(0.0, |m| m.flooded(i, warmer));
            let then = exchange(c, heater, i, &Streams { flooded, ..streams }, b.water_in_t, sat, line)?;
            let answer = ((then.drain - x.drain) / WARMER).min(0.0);
            reckoned + (x.drain - reckoned) / (1.0 - answer)
        } else {
            x.drain
        };
        b.zone_duty = x.duty;
        b.water_out = x.water[ZONES - 1];
        b.water_out_t = line.t(b.water_out).at(id)?;
        b.drain = x.drain;
        b.drain_t = steam::state_ph(sat.p, x.drain).at(id)?.t;
        b.duty = through[i] * (b.water_out - b.water_in);
        b.ttd = sat.t - b.water_out_t;
        b.dca = b.drain_t - b.water_in_t;
        h = b.water_out;
        if let DrainTo::Forward(pump) = &heater.drains_to {
            let rise = drain::pump_rise(pump, line.pressure(), sat.p, b.drain).at(id)?;
            p.drain_pumping += drains.pumped[i] * rise;
            h = (through[i] * h + drains.pumped[i] * (b.drain + rise)) / after[i];
        }
    }
    if let Some(between) = plant.feed_pumps.heater_pressure {
        let v = c.lines.high.v(c.lines.high.t(h).at("feed_pumps")?).at("feed_pumps")?;
        let to = model::discharge(plant, v, steam.throttle / plant.boiler.steam_flow);
        p.last_rise = (to - between).max(0.0) * v * 1e3 / plant.feed_pumps.efficiency;
    }
    p.final_enthalpy = h + p.last_rise;

    // What does not balance.
    for i in 0..n {
        let cascade = if i > 0 { drains.cascade[i] * p.heaters[i - 1].drain } else { 0.0 };
        let b = &p.heaters[i];
        let mut given = steam.extraction[i] * b.extraction_enthalpy + cascade + drains.led_heat[i];
        let vent = b.vent * steam.shells[i].hg;
        if b.vent > 0.0 && vents::to(plant, i) == VentTo::Condenser {
            p.to_condenser += b.vent;
            p.to_condenser_heat += vent;
        }
        if Some(i) == layout.open {
            let into = (0..i).filter(|&j| vents::to(plant, j) == VentTo::Open);
            given += into.map(|j| drains.vent[j].steam * steam.shells[j].hg).sum::<f64>();
        }
        p.imbalance[i] = match &plant.heaters[i] {
            Heater::Open(_) => {
                // What the feed pumps send back left as water of the tank: it brings the pumps' work.
                given + p.open_water_in * b.water_in + p.pumped.back_work
                    - p.feed * b.water_out
                    - p.vent * p.vent_enthalpy
            }
            Heater::Closed(heater) => {
                let spilled = if heater.drains_to == DrainTo::Condenser { b.drain_flow } else { b.spill };
                p.to_condenser += spilled;
                p.to_condenser_heat += spilled * b.drain;
                given - b.drain_flow * b.drain - vent - b.duty
            }
        };
    }
    for (drain, source) in steam.line_drain.iter().zip(&steam.sources) {
        p.to_condenser += drain;
        p.to_condenser_heat += drain * source.enthalpy;
    }
    p.led_astray = drains.led_astray;
    for (led, astray) in steam.led.iter().zip(p.led_astray) {
        p.to_condenser += astray;
        p.to_condenser_heat += astray * led.enthalpy;
    }
    if let Some(o) = layout.open {
        let b = &mut p.heaters[o];
        b.duty = p.open_water_in * (b.water_out - b.water_in);
        b.water_flow = p.open_water_in;
    }
    Ok(p)
}

/// Drains, from the highest pressure down.
fn drains(c: &Context, steam: &SteamSide, lag: &Lag) -> Result<Drains, Fault> {
    let n = c.layout.heaters;
    let none = || vec![0.0; n];
    let mut d = Drains {
        cascade: none(),
        arriving: none(),
        led_heat: none(),
        led_astray: [0.0; 2],
        leaving: none(),
        spill: none(),
        pumped: none(),
        level: none(),
        vent: vec![Vented::SHUT; n],
    };
    for (led, astray) in steam.led.iter().zip(&mut d.led_astray) {
        let there = match led.to.heater {
            Some(i) if c.case.outages[i] == Outage::Out => 0.0,
            // At design the drain goes where it is meant to.
            Some(_) if c.model.is_none() => led.flow,
            Some(i) => led.to.passes(led.flow, led.pressure - steam.shells[i].p),
            None => 0.0,
        };
        if let Some(i) = led.to.heater {
            d.arriving[i] += there;
            d.led_heat[i] += there * led.enthalpy;
        }
        *astray = led.flow - there;
    }
    for i in 0..n {
        let Heater::Closed(heater) = &c.plant.heaters[i] else { continue };
        d.vent[i] = vents::taken(c, heater, i, steam, d.arriving[i]);
        d.leaving[i] = steam.extraction[i] + d.arriving[i] - d.vent[i].steam;
        match &heater.drains_to {
            DrainTo::Condenser => {}
            DrainTo::Forward(_) => d.pumped[i] = d.leaving[i],
            DrainTo::Next => {
                let off = c.case.outages[i + 1] == Outage::Out;
                (d.spill[i], d.level[i]) = match off {
                    // The controller leads it all to the condenser, and holds the level.
                    true => (d.leaving[i], 0.0),
                    false => held(c, i, steam, d.leaving[i], lag[i]).at(&heater.id)?,
                };
                d.cascade[i + 1] = d.leaving[i] - d.spill[i];
                d.arriving[i + 1] += d.cascade[i + 1];
            }
        }
    }
    Ok(d)
}

/// What the feed pumps do; `before` them: pressure, and the water saturated at its temperature.
fn feed_pumps(c: &Context, feed: f64, before: (f64, &Saturation)) -> Result<Pumped, Fault> {
    let (tank, sat) = before;
    let volume = sat.vf;
    if let Some(p) = c.model.and_then(|m| m.feed_pumps.as_ref()) {
        let s = feed_pump::Suction { tank, level: 0.0, volume, vapour_pressure: tank, temperature: sat.t };
        let o = feed_pump::at(p, feed, &s);
        return Ok(Pumped {
            suction: o.suction,
            discharge: o.discharge,
            rise: o.rise,
            back: o.back + o.warm,
            back_work: o.back_work + o.warm_work,
            lost: o.casing_loss,
        });
    }
    let suction = tank + model::suction_pressure(c.plant, c.layout, volume);
    let share = c.model.map_or(1.0, |m| feed / m.design.feed);
    let all = model::discharge(c.plant, volume, share);
    let discharge = c.plant.feed_pumps.heater_pressure.unwrap_or(all);
    let work = (discharge - suction).max(0.0) * volume * 1e3 / c.plant.feed_pumps.efficiency;
    let mut pumped = Pumped { suction, discharge, rise: work, ..Pumped::default() };
    if let (Some(e), Some(_)) = (&c.plant.feed_pumps.equipment, c.layout.open)
        && let Some(casing) = pumps::casing(c.plant, sat.t, discharge - suction)?
    {
        // By the flows at design, for which the pumps are sized.
        let (running, standing) = (f64::from(e.running), f64::from(e.installed - e.running));
        let warm = casing.coefficient * (discharge - suction).sqrt();
        let each = (feed + standing * warm) / running;
        let (x, _) = feed_pump::warmed(Some(&casing), (running, each, work), (standing, warm), sat.t);
        (pumped.rise, pumped.back, pumped.back_work, pumped.lost) =
            (x.rise, x.back, x.back_work, x.casing_loss);
    }
    Ok(pumped)
}

/// Heat exchanged by a closed heater: by its surface, or as the plant file fixes it.
fn exchange(
    c: &Context,
    heater: &ClosedHeater,
    i: usize,
    s: &Streams,
    t_in: f64,
    sat: &Saturation,
    line: &WaterLine,
) -> Result<Exchanged, Fault> {
    let id = heater.id.as_str();
    if let Some(surface) = c.model.and_then(|m| m.closed[i].as_ref()).and_then(|m| m.surface.as_ref()) {
        return surface.exchange(id, s, sat, line);
    }
    let t_out = heater.outlet_temperature.unwrap_or(sat.t - heater.ttd.unwrap_or(0.0));
    let h_out = line.h(t_out).at(id)?;
    let drain = match &heater.drain_cooling {
        Some(d) => steam::liquid_pt(sat.p, (t_in + d.approach).min(sat.t)).at(id)?.h,
        None => sat.hf,
    };
    let cooling = s.drain_flow * (sat.hf - drain);
    let all = s.water_flow * (h_out - s.water_in);
    let h1 = s.water_in + cooling / s.water_flow;
    Ok(Exchanged { water: [h1, h_out, h_out], duty: [cooling, all - cooling, 0.0], drain })
}

/// With its normal drain valve wide open a heater holds any level up to where the emergency drain opens, and that level
/// decides how much steam it draws. The balance finds it as though it took this last share of the valve's capacity to go
/// there from normal level: without it, there would be cases between two levels of which neither closes.
const WIDE_OPEN: f64 = 0.01;

/// Difference of a drain's enthalpy by which the answer of its level is found [kJ/kg].
const WARMER: f64 = 0.01;

/// What of a drain of this enthalpy heater `i` spills to the condenser [kg/s], and its level about normal [mm].
fn held(c: &Context, i: usize, steam: &SteamSide, leaving: f64, drain_h: f64) -> steam::Result<(f64, f64)> {
    let passes = capacity(c, i, steam, drain_h)?;
    let spill = (leaving - passes).max(0.0);
    // The level stands where the emergency drain passes the rest.
    let level = if spill > 0.0 {
        level_for(c, i, steam, drain_h, spill)?
    } else if passes > 0.0 && leaving > (1.0 - WIDE_OPEN) * passes {
        let marks = c.model.and_then(|m| m.closed[i].as_ref()).and_then(|m| m.level.as_ref());
        ((leaving / passes - 1.0) / WIDE_OPEN + 1.0) * marks.map_or(0.0, |m| m.emergency)
    } else {
        0.0
    };
    Ok((spill, level))
}

/// What a trap passes at design pressures, over the drain at design.
const TRAP: f64 = 20.0;

/// What the normal drain valve of heater `i` passes wide open [kg/s]; without a valve, all, or against the pressure
/// nothing.
fn capacity(c: &Context, i: usize, steam: &SteamSide, drain_h: f64) -> steam::Result<f64> {
    let (from, to) = (&steam.shells[i], &steam.shells[i + 1]);
    match c.model.and_then(|m| m.closed[i].as_ref()).and_then(|m| m.drains.as_ref()) {
        Some((normal, _)) => {
            let up = drain::upstream(from.p, drain_h.min(from.hf), normal)?;
            Ok(drain::flow(normal, 1.0, &up, to.p))
        }
        // A trap passes everything as long as it is well driven; how much where it hardly is, has to follow the pressures
        // without a jump.
        None => Ok(c.model.map_or(f64::INFINITY, |m| {
            let (above, below) = (&m.design.heaters[i], &m.design.heaters[i + 1]);
            let driven = (from.p - to.p).max(0.0) / (above.pressure - below.pressure);
            TRAP * above.drain_flow * driven
        })),
    }
}

/// Level about normal [mm] at which the emergency drain of heater `i` passes `spill` [kg/s].
fn level_for(c: &Context, i: usize, steam: &SteamSide, drain_h: f64, spill: f64) -> steam::Result<f64> {
    let Some(m) = c.model.and_then(|m| m.closed[i].as_ref()) else { return Ok(0.0) };
    let (Some((_, emergency)), Some(marks)) = (&m.drains, &m.level) else { return Ok(0.0) };
    let sat = &steam.shells[i];
    let up = drain::upstream(sat.p, drain_h.min(sat.hf), emergency)?;
    let passed = |opening| drain::flow(emergency, opening, &up, steam.condenser.p);
    let (mut a, mut b) = (0.0, 1.0);
    for _ in 0..50 {
        let m = 0.5 * (a + b);
        if passed(m) < spill {
            a = m;
        } else {
            b = m;
        }
    }
    Ok(marks.emergency + marks.emergency_band * b)
}
