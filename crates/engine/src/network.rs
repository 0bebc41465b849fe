//! What joins the components: valves that move, drains and extraction lines as they stand, water on its way.

use crate::boiler;
use crate::condensate_pump;
use crate::condenser;
use crate::drain;
use crate::extraction::{self, Back};
use crate::fault::{At, Fault};
use crate::feed_pump;
use crate::gas;
use crate::heater;
use crate::leak::{self, Holes};
use crate::line_drain;
use crate::local;
use crate::open_heater;
use crate::operation::Demands;
use crate::outputs::Outputs;
use crate::sought::Sought;
use crate::train::{Params, PlantState, Receiver, State};
use crate::turbine;
use crate::valve::Condition;
use crate::vessel::{self, Holdup};
use crate::water::saturated_at;

/// How far the valves of a closed heater let pass, in the mean of a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Openings {
    /// Coefficient of the extraction line, with as much of the shell's nozzle as is free.
    pub line: f64,
    /// Share of that nozzle that is not under water.
    pub nozzle: f64,
    /// The line against its direction.
    pub back: Back,
    /// Normal drain, 0..=1.
    pub normal: f64,
    /// Emergency drain, 0..=1.
    pub emergency: f64,
    /// Start-up vent, 0..=1.
    pub start_up_vent: f64,
}

/// Moves every valve, as far as nothing is wrong with it, and tells how far each lets pass in this step.
pub fn drive(p: &Params, x: &mut PlantState, d: &Demands, o: &mut Outputs) {
    let valves = x.closed.iter_mut().zip(&p.closed).zip(&d.heaters);
    for (k, ((((c, q), a), w), out)) in valves.zip(&o.conditions.closed).zip(&mut o.closed).enumerate() {
        let normal = c.normal.drive(a.normal, q.normal.stroke, &w.normal, p.dt);
        let emergency = c.emergency.drive(a.emergency, q.emergency.stroke, &w.emergency, p.dt);
        let vent = c.start_up_vent.drive(0.0, local::TURN, &w.start_up_vent, p.dt);
        let line = c.extraction.drive(&q.extraction, &a.extraction, (&w.stop, &w.non_return), p.dt);
        let height = q.heater.normal_level + 1e-3 * o.levels.get(k).copied().unwrap_or(0.0);
        let nozzle = heater::uncovered(&q.heater, height);
        out.open = Openings {
            line: line * nozzle,
            nozzle,
            back: back(line, nozzle, &w.non_return),
            normal: w.normal.passing(normal.mean()),
            emergency: w.emergency.passing(emergency.mean()),
            start_up_vent: vent.mean(),
        };
        let drain = &mut c.extraction.drain;
        out.line_drain.area =
            drain.drive(q.extraction.drain.as_ref(), a.extraction.drain, &w.line_drain, p.dt);
    }
    let wrong = (&Condition::default(), &o.conditions.open.non_return);
    o.open_line_drain.area = x.open_extraction.drain.drive(
        p.open_extraction.drain.as_ref(),
        d.open_extraction.drain,
        &o.conditions.open.line_drain,
        p.dt,
    );
    o.open_line = x.open_extraction.drive(&p.open_extraction, &d.open_extraction, wrong, p.dt);
    o.open_back = back(o.open_line, 1.0, wrong.1).steam;
    o.pegging = p.open.pegging.as_ref().map_or(0.0, |g| g.drive(&mut x.open.pegging, d.pegging, p.dt));
    let (unit, wrong) = (&d.unit, &o.conditions.unit);
    let rate = if unit.at_once {
        p.boiler.steam_flow / p.operation.unit.stroke
    } else if unit.steam < x.boiler.steam {
        p.boiler.load_rate.max(d.unload_rate)
    } else {
        p.boiler.load_rate
    };
    let governed = boiler::govern(&mut x.boiler, unit.steam, rate, p.dt);
    let stop = x.turbine.stop.drive(unit.stop, p.operation.unit.stroke, &wrong.main_stop, p.dt);
    o.throttle = governed * stop.mean();
    x.turbine.grid = !wrong.grid_lost;
    o.bypass.clear();
    for ((b, a), w) in x.bypass.iter_mut().zip(&d.bypass).zip(&o.conditions.bypass) {
        o.bypass.push(b.drive(*a, p.bypass_stroke, w, p.dt).mean());
    }
}

/// A line against its direction: shut by a sound non-return valve, open as far as the line is behind a stuck one.
fn back(line: f64, nozzle: f64, non_return: &Condition) -> Back {
    if non_return.stuck { Back { steam: line * nozzle, water: line } } else { Back::default() }
}

/// Where a shell's pressure will stand at the end of the step, if it goes on as in the last: taken as it stood, the
/// turbine would follow the shells a step late.
fn heading(pressure: f64, to: &Sought) -> f64 {
    to.guess_or(pressure).max(0.5 * pressure)
}

/// The extraction lines as the turbine feels them, by point.
///
/// # Errors
/// Where the properties of steam that may come back cannot be had.
pub fn taps(p: &Params, x: &PlantState, o: &Outputs) -> Result<Vec<turbine::Tap>, Fault> {
    // A point that only leads to the reheater has no line.
    let mut taps = vec![turbine::Tap::NONE; p.layout.points.len()];
    for (k, (c, out)) in x.closed.iter().zip(&o.closed).enumerate() {
        let h = &c.heater;
        let at = heading(h.pressure, &h.heading);
        let shell = at + h.gas_pressure;
        let back = match out.open.back.steam {
            line if line > 0.0 => {
                let q = &p.closed[k].heater;
                let gas = gas::by_mass(h.gas_pressure / shell);
                Some(returning(&q.id, line * (1.0 - gas), at, &h.shell, q.geometry.whole())?)
            }
            _ => None,
        };
        let drain = drained(&c.extraction, &out.line_drain, x.condenser.pressure);
        taps[p.point(k)] = turbine::Tap { line: out.open.line, shell, back, drain };
    }
    let at = heading(x.open.pressure, &x.open.heading);
    let back = match o.open_back {
        line if line > 0.0 => Some(returning(&p.open.id, line, at, &x.open.tank, p.open.geometry.whole())?),
        _ => None,
    };
    let drain = drained(&x.open_extraction, &o.open_line_drain, x.condenser.pressure);
    taps[p.open_point()] = turbine::Tap { line: o.open_line, shell: at, back, drain };
    Ok(taps)
}

/// The drain of a line as the search for pressures reckons with it: beside the water that it took in the last step.
fn drained(line: &extraction::State, o: &line_drain::Outputs, condenser: f64) -> line_drain::Bore {
    line_drain::Bore { area: o.area, down: condenser }.beside_water(line.drain.wet)
}

/// Steam that a vessel at `pressure` [MPa] would send back.
fn returning(id: &str, line: f64, pressure: f64, held: &Holdup, whole: f64) -> Result<turbine::Back, Fault> {
    let sat = steam::sat_p(pressure.clamp(vessel::LOWEST_PRESSURE, vessel::HIGHEST_PRESSURE)).at(id)?;
    let volume = sat.vg * vessel::dry_volume(held.mass, whole, &sat);
    Ok(turbine::Back { line, volume, enthalpy: sat.hg + vessel::superheat_enthalpy(held.mass, whole, &sat) })
}

/// Drains by their valves as they stand; what is pumped forward, with the pump's work on it.
pub fn drains(p: &Params, x: &mut PlantState, o: &mut Outputs, condenser: f64) -> Result<(), Fault> {
    for (k, q) in p.closed.iter().enumerate() {
        let id = q.heater.id.as_str();
        let down = match q.receiver {
            Receiver::Closed(j) => x.closed[j].heater.whole_pressure(),
            Receiver::Open => x.open.pressure,
            Receiver::Condenser => condenser,
            Receiver::Forward(_) => p.line(k).pressure(),
        };
        let out = &mut o.closed[k];
        let c = &mut x.closed[k];
        let h = &c.heater;
        let leaving = if out.open.normal > 0.0 || out.open.emergency > 0.0 {
            let found = steam::state_ph_near(
                h.whole_pressure(),
                c.drain_at_valve,
                c.drain_found.guess(c.drain_at_valve),
            )
            .at(id)?;
            c.drain_found.is(&found);
            Some(found)
        } else {
            None
        };
        let passed = |v: &drain::Params, opening: f64, down: f64| match &leaving {
            Some(leaving) if opening > 0.0 => {
                Ok(drain::flow(v, opening, &drain::before_valve(leaving, v)?, down))
            }
            _ => Ok(0.0),
        };
        out.normal = passed(&q.normal, out.open.normal, down).at(id)?;
        out.emergency = passed(&q.emergency, out.open.emergency, condenser).at(id)?;
        let (most, both) = (drain::MOST * h.shell.mass / p.dt, out.normal + out.emergency);
        out.drain_share = if both > most { most / both } else { 1.0 };
        out.normal *= out.drain_share;
        out.emergency *= out.drain_share;
        (out.forward, out.forward_rise) = match q.receiver {
            Receiver::Forward(pump) => (
                out.normal,
                drain::pump_rise(&pump, p.line(k).pressure(), h.whole_pressure(), h.drain).at(id)?,
            ),
            _ => (0.0, 0.0),
        };
    }
    Ok(())
}

/// Height of the tank's outlet [m] (*common practice, no source*): below it, steam is drawn in with the water.
const TANK_OUTLET: f64 = 0.15;
/// Head that is lost when nothing but steam is drawn in [m]: more than any pump's suction has.
const DRAWN_IN: f64 = 60.0;

/// Water at the feed pumps' suction, with its temperature [°C]: what arrives may be hotter than the tank now is.
pub fn suction(p: &Params, x: &PlantState, level: f64) -> Result<(f64, feed_pump::Suction), Fault> {
    let h = x.suction.leaving();
    let sat = steam::sat_p(x.open.pressure).at(&p.open.id)?;
    // Saturated when it left the tank, whatever the tank's pressure is now.
    let t = saturated_at(h, sat.t).at("feed_pumps")?;
    let arrived = steam::sat_t(t).at("feed_pumps")?;
    let stands = p.open.normal_level + level * 1e-3;
    let uncovered = (1.0 - stands / TANK_OUTLET).max(0.0);
    Ok((
        t,
        feed_pump::Suction {
            tank: sat.p,
            level: level * 1e-3 - uncovered * DRAWN_IN,
            volume: arrived.vf,
            vapour_pressure: arrived.p,
            temperature: t,
        },
    ))
}

/// True levels of a state.
pub fn levels(p: &Params, s: &State, o: &mut Outputs) -> Result<(), Fault> {
    for ((c, q), out) in s.plant.closed.iter().zip(&p.closed).zip(&mut o.closed) {
        out.heater.level = heater::level(&q.heater, &c.heater)?;
    }
    o.open.level = open_heater::level(&p.open, &s.plant.open)?;
    levels_found(p, s, o)
}

/// The same where heaters and tank have just told theirs.
pub fn levels_found(p: &Params, s: &State, o: &mut Outputs) -> Result<(), Fault> {
    o.levels.clear();
    for (out, q) in o.closed.iter().zip(&p.closed) {
        o.levels.push((out.heater.level - q.heater.normal_level) * 1e3);
    }
    o.levels.push((o.open.level - p.open.normal_level) * 1e3);
    o.levels.push(condenser::level(&p.condenser, &s.plant.condenser).at("condenser")?);
    o.levels.push(boiler::level(&p.boiler, &s.plant.boiler));
    Ok(())
}

/// Holes in tubes that water may run to.
///
/// # Errors
/// Where the properties of that water cannot be had.
fn holes(p: &Params, x: &PlantState, o: &Outputs, k: usize) -> Result<Option<Holes>, Fault> {
    let (q, s) = (&p.closed[k].heater, &x.closed[k].heater);
    let area = o.conditions.closed[k].heater.holes * q.bore;
    // Where all water goes round, the heater is isolated: its tubes lose their pressure at once, for water does not expand.
    if area <= 0.0 || o.bypass[p.group(k)] >= 1.0 {
        return Ok(None);
    }
    Holes::of(&q.id, area, s.inlet, p.line(k), s.whole_pressure()).map(Some)
}

/// Runs the feed pumps; what they feed and what they draw from the tank [kg/s]. What the tubes of the high-pressure heaters
/// leak is given besides what goes on.
pub fn feed_pumps(p: &Params, x: &mut PlantState, d: &Demands, o: &mut Outputs) -> Result<(f64, f64), Fault> {
    let (suction_t, suction) = suction(p, x, o.levels.get(p.closed.len()).copied().unwrap_or(0.0))?;
    o.suction_t = suction_t;
    let wrong = &o.conditions.feed_pumps;
    let mut leaking = Vec::new();
    for k in 0..p.high {
        leaking.extend(holes(p, x, o, k)?.map(|h| (k, h)));
    }
    let leaks = |pressure: f64| leaking.iter().map(|(_, h)| h.flow(pressure)).sum();
    let water = (&suction, leaks);
    feed_pump::step(&p.feed_pumps, &mut x.feed, &d.feed_pumps, wrong, water, p.dt, &mut o.feed);
    for c in &mut o.closed[..p.high] {
        c.leak = 0.0;
    }
    // Where nothing is given, the discharge is that of pumps behind their check valves.
    for (k, h) in leaking {
        o.closed[k].leak = if o.feed.flow > 0.0 { h.flow(o.feed.discharge) } else { 0.0 };
    }
    Ok((o.feed.flow, x.feed.drawn))
}

/// Runs the condensate pumps; what they give [kg/s].
pub fn condensate_pumps(p: &Params, x: &mut PlantState, d: &Demands, o: &mut Outputs) -> Result<f64, Fault> {
    let suction = condensate_pump::Suction {
        pressure: x.condenser.pressure,
        volume: steam::sat_t(x.condenser.temperature).at("condenser")?.vf,
        hotwell: x.condenser.hotwell / p.condenser.hotwell_mass,
        tank: x.open.pressure,
    };
    let asked = (d.condensate, d.condensate_pumps.as_slice());
    let wrong = &o.conditions.condensate_pumps;
    condensate_pump::step(
        &p.condensate_pumps,
        &mut x.condensate,
        asked,
        wrong,
        &suction,
        p.dt,
        &mut o.condensate,
    );
    Ok(x.condensate.flow)
}

/// Closed heaters on one side of the feed pumps, by index.
#[derive(Clone, Copy, Debug)]
pub struct Side {
    /// First, nearest to the boiler.
    pub from: usize,
    /// Behind the last, where the water comes in.
    pub to: usize,
}

impl Side {
    /// Whether heater `k` is the last of its group that the water meets: there the bypass joins it again.
    fn ends(&self, p: &Params, k: usize) -> bool {
        k == self.from || p.group(k - 1) != p.group(k)
    }

    /// Whether heater `k` is the first of its group that the water meets.
    fn begins(&self, p: &Params, k: usize) -> bool {
        k + 1 == self.to || p.group(k + 1) != p.group(k)
    }
}

/// What the feed pumps give to leaks in a group of high-pressure heaters [kg/s].
pub fn leaks(p: &Params, o: &Outputs, group: usize) -> f64 {
    p.groups[group].iter().filter(|&&k| k < p.high).map(|&k| o.closed[k].leak).sum()
}

/// Water on its way along a side, from `total` [kg/s] of enthalpy `h` [kJ/kg] at its start: finds what arrives at each
/// heater, what leaks from its tubes into its shell, and takes from each pipe what leaves it in this step. Returns flow
/// and enthalpy at the end of the side.
///
/// # Errors
/// Where the properties of water that leaks cannot be had.
pub fn arrive(
    p: &Params,
    x: &mut PlantState,
    o: &mut Outputs,
    side: Side,
    total: f64,
    mut h: f64,
) -> Result<(f64, f64), Fault> {
    // Through the heaters of a group, and round it.
    let (mut through, mut round) = (total, 0.0);
    for k in (side.from..side.to).rev() {
        if side.begins(p, k) {
            // What leaks is drawn through the tubes, whatever goes round them.
            round = (through - leaks(p, o, p.group(k))) * o.bypass[p.group(k)];
            through -= round;
        }
        if k >= p.high {
            let most = leak::MOST * through;
            let leak = holes(p, x, o, k)?.map_or(0.0, |h| h.flow(p.line(k).pressure()).min(most));
            o.closed[k].leak = leak;
        }
        let out = &mut o.closed[k];
        // Where nothing goes on, the subtraction may leave a last bit below nothing.
        out.water_flow = (through - out.leak).max(0.0);
        out.water_in = h;
        through = out.water_flow + out.forward;
        out.round = round;
        out.joining = 0.0;
        if side.ends(p, k) {
            out.joining = std::mem::take(&mut round);
            through += out.joining;
        }
        h = x.closed[k].outlet_pipe.take(through * p.dt);
    }
    Ok((through, h))
}

/// Sends the water of a side into the heaters' outlet pipes, mixed with what went round each group and with drains
/// pumped forward.
pub fn send(p: &Params, x: &mut PlantState, o: &Outputs, side: Side) {
    let mut round = 0.0; // enthalpy at the entry of the group
    for k in (side.from..side.to).rev() {
        let c = &o.closed[k];
        if side.begins(p, k) {
            round = c.water_in;
        }
        let flow = c.water_flow + c.joining + c.forward;
        let heat = c.water_flow * c.heater.water_out
            + c.joining * round
            + c.forward * (c.heater.drain + c.forward_rise);
        if flow > 0.0 {
            x.closed[k].outlet_pipe.put(flow * p.dt, heat / flow);
        }
    }
}
