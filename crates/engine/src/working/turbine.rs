//! The turbine: pressures by the ellipse law, enthalpies by efficiency, work by flow and drop. Groups of stages are
//! numbered from 1, as the steam meets them.

use super::expr::{Expr, Function, call, max, number, root, square, sum};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, PRACTICE, STODOLA, Why, Working, fixed, of, separator};
use crate::extraction::Source;
use crate::fault::{At, Fault};
use crate::line_drain;
use crate::network;
use crate::outputs::ClosedOutputs;
use crate::sim::Sim;
use crate::turbine::{self as model, Reheater};
use steam::units::Quantity as Q;

const TURBINE: &str = "turbine";

type Found = Result<Option<Working>, Fault>;

/// What one more step of the search for pressures shows, from the state the step began with.
pub struct Marched {
    /// Flow into each group [kg/s].
    pub passing: Vec<f64>,
    /// What comes back through extraction lines, with those flows; none where nothing may.
    pub found: Option<model::Found>,
    /// Pressure before the first group [MPa].
    pub inlet: f64,
    /// Pressure behind reheater, or moisture separator and steam reheater [MPa]; 0 without.
    pub hot: f64,
}

impl Marched {
    /// Share of the reheat that the steam before a group gets.
    fn reheated(&self, group: usize) -> f64 {
        self.found.as_ref().map_or(1.0, |f| f.reheated(group))
    }

    /// Share of water from extraction lines in what passes a group.
    fn water_share(&self, sim: &Sim, group: usize) -> f64 {
        self.found.as_ref().map_or(0.0, |f| f.water_share(&sim.previous().plant.turbine, group))
    }

    /// Steam that comes back at a point [kg/s], and its enthalpy [kJ/kg].
    fn returned(&self, point: usize) -> (f64, f64) {
        self.found.as_ref().map_or((0.0, 0.0), |f| f.returned[point])
    }
}

/// Finds it.
pub fn march(sim: &Sim) -> Result<Marched, Fault> {
    let p = sim.params();
    let (was, x) = (&sim.previous().plant, &sim.state().plant);
    // Shells as they were heading when the step began.
    let taps = network::taps(p, was, sim.outputs())?;
    let mut points = was.turbine.points.clone();
    let (exhaust, condenser) = (x.turbine.exhaust, was.condenser.pressure);
    let taken = |k: usize, s: &Source| taps[k].takes(s);
    let m = model::march(&p.turbine, &was.turbine, &mut points, exhaust, condenser, taken);
    let passing = model::passing(&p.turbine, &was.turbine, &points, exhaust, &taps);
    let flows = (exhaust, sim.outputs().throttle);
    let found = model::found(&p.turbine, &was.turbine, &points, flows, &taps);
    Ok(Marched { passing, found, inlet: m.inlet, hot: m.hot })
}

/// Device and name of a point's pressure.
pub fn point_name(sim: &Sim, point: usize) -> (String, &'static str) {
    match sim.params().layout.points.get(point).copied().flatten() {
        Some(heater) => (sim.plant().heaters[heater].id().to_owned(), "extraction_pressure"),
        None if sim.params().turbine.separator.is_some() => (TURBINE.to_owned(), "crossover_pressure"),
        None => (TURBINE.to_owned(), "reheat_point_pressure"),
    }
}

/// Whether the moisture separator follows a point.
fn separated(sim: &Sim, point: usize) -> bool {
    sim.params().turbine.separator.as_ref().is_some_and(|q| q.after == point)
}

fn reheater(sim: &Sim, point: usize) -> Option<Reheater> {
    sim.params().turbine.reheater.filter(|r| r.after == point)
}

/// A resistance: the pressure before it by the ellipse law.
pub fn before_resistance(
    d: &mut Draft,
    c: f64,
    (flow, w): (&str, f64),
    (pv, v): (&str, f64),
    behind: Expr,
) -> Expr {
    let runs_back = w < 0.0;
    let w = d.link_of(TURBINE, flow, w);
    let c = d.sized("C", "flow_coefficient", fixed("kg/s·√(m³/kg/MPa)"), c);
    let loss = square(w / c) * d.before_of(TURBINE, pv, v);
    if runs_back {
        d.case("drawn_from_behind");
        return root(square(behind) - loss);
    }
    root(square(behind) + loss)
}

/// Pressure behind a group: of the next point, or of the condenser.
fn behind(sim: &Sim, d: &mut Draft, group: usize) -> Expr {
    let points = &sim.state().plant.turbine.points;
    match points.get(group) {
        Some(s) => {
            let (device, name) = point_name(sim, group);
            d.link_of(&device, name, s.pressure)
        }
        None => d.before_of("unit", "condenser_pressure", sim.previous().plant.condenser.pressure),
    }
}

/// Pressure before a group of stages: by the flow it passes and the pressure behind it.
pub fn before_group(sim: &Sim, d: &mut Draft, m: &Marched, group: usize) -> Expr {
    let b = behind(sim, d, group);
    let c = sim.params().turbine.groups[group].coefficient;
    let pv = sim.previous().plant.turbine.pv[group];
    let (flow, pv_name) = (format!("passing_{}", group + 1), format!("pv_{}", group + 1));
    before_resistance(d, c, (&flow, m.passing[group]), (&pv_name, pv), b)
}

/// Finishes the working of the pressure at a point of the turbine.
pub fn point_pressure(sim: &Sim, mut d: Draft, point: usize) -> Found {
    let m = march(sim)?;
    if separated(sim, point) {
        return separator::crossover(sim, d, &m);
    }
    let value = sim.state().plant.turbine.points[point].pressure;
    let e = match reheater(sim, point) {
        Some(r) => {
            // Through the reheater to the pressure before the stages behind it.
            let hot = d.link_of(TURBINE, "hot_reheat_pressure", m.hot);
            let flow = format!("passing_{}", point + 2);
            let w = m.passing[point + 1];
            before_resistance(
                &mut d,
                r.coefficient,
                (&flow, w),
                ("pv_cold", sim.previous().plant.turbine.pv_cold),
                hot,
            )
        }
        None => before_group(sim, &mut d, &m, point + 1),
    };
    d.is(value, e, STODOLA)
}

/// Steam before a group: its pressure, as value and as term.
fn start(sim: &Sim, d: &mut Draft, m: &Marched, group: usize) -> (f64, Expr) {
    if group == 0 {
        return (m.inlet, d.link("inlet_pressure", m.inlet));
    }
    if reheater(sim, group - 1).is_some() {
        return (m.hot, d.link("hot_reheat_pressure", m.hot));
    }
    if separated(sim, group - 1) {
        return (m.hot, d.link("reheated_pressure", m.hot));
    }
    let value = sim.state().plant.turbine.points[group - 1].pressure;
    let (device, name) = point_name(sim, group - 1);
    (value, d.link_of(&device, name, value))
}

/// The working of one of the turbine's numbers.
pub fn working(sim: &Sim, name: &str) -> Found {
    let (p, o) = (sim.params(), sim.outputs());
    let (t, x) = (&o.turbine, &sim.state().plant.turbine);
    let n = x.points.len();
    let mut d = Draft::new(sim, TURBINE, name);
    if let Some((stem, number)) = name.rsplit_once('_')
        && let Ok(number) = number.parse::<usize>()
        && (1..=n + 1).contains(&number)
    {
        return numbered(sim, d, stem, number - 1);
    }
    match name {
        "inlet_pressure" => {
            let m = march(sim)?;
            let e = before_group(sim, &mut d, &m, 0);
            d.is(t.inlet_pressure, e, STODOLA)
        }
        "hot_reheat_pressure" => match p.turbine.reheater {
            Some(r) => {
                let m = march(sim)?;
                let e = before_group(sim, &mut d, &m, r.after + 1);
                d.is(m.hot, e, STODOLA)
            }
            None => Ok(None),
        },
        "reheat_point_pressure" => match p.turbine.reheater {
            Some(r) if p.layout.points.get(r.after).copied().flatten().is_none() => {
                point_pressure(sim, d, r.after)
            }
            _ => Ok(None),
        },
        "crossover_pressure" => match &p.turbine.separator {
            Some(q) if p.layout.points.get(q.after).copied().flatten().is_none() => {
                point_pressure(sim, d, q.after)
            }
            _ => Ok(None),
        },
        "pv_cold" => match p.turbine.reheater {
            Some(r) => {
                let s = x.points[r.after];
                let (device, at) = point_name(sim, r.after);
                let at = d.link_of(&device, at, s.pressure);
                let h = behind_point(sim, &mut d, r.after);
                d.is(x.pv_cold, at.clone() * call(Function::Volume, [at, h]), IAPWS)
            }
            None => Ok(None),
        },
        "shaft" => {
            let parts = (0..=n).map(|g| d.link(&format!("work_{}", g + 1), work(sim, g))).collect();
            d.is(t.shaft, sum(parts), CONSERVATION)
        }
        "reheat_flow" | "reheat" => match p.turbine.reheater {
            Some(r) => {
                let w = d.link(&format!("stage_flow_{}", r.after + 2), t.reheat_flow);
                if name == "reheat_flow" {
                    return d.is(t.reheat_flow, w, CONSERVATION);
                }
                let hot = d.link(&format!("enthalpy_in_{}", r.after + 2), x.groups[r.after + 1].0);
                let cold = behind_point(sim, &mut d, r.after);
                d.is(t.reheat, w * (hot - cold), CONSERVATION)
            }
            None => {
                d.case("no_reheat");
                d.is(if name == "reheat" { t.reheat } else { t.reheat_flow }, number(0.0), CONSERVATION)
            }
        },
        "carried" => {
            let mut e = number(0.0);
            for k in (0..n).filter(|&k| returns(sim, k)) {
                let w = d.link(&format!("stage_flow_{}", k + 1), stage_flow(sim, k));
                let (h, after) = (x.groups[k].1, x.joined[k].enthalpy);
                let h = d.link(&format!("enthalpy_out_{}", k + 1), h);
                let after = d.link(&format!("joined_enthalpy_{}", k + 1), after);
                let Some((id, l)) = line(sim, k) else { continue };
                let mut taken = d.link_of(&id, "extraction_flow", l.taken);
                if l.drain.steam > 0.0 {
                    let steam = d.link_of(&id, "line_drain_steam", l.drain.steam);
                    taken = taken + steam - d.link_of(&id, "line_drain_returned", l.drain.returned);
                }
                e = e + (w - taken) * (h - after.clone());
                if l.returned > 0.0 {
                    let mut back = d.link_of(&id, "reverse_flow", l.returned);
                    if l.drain.returned > 0.0 {
                        back = back - d.link_of(&id, "line_drain_returned", l.drain.returned);
                    }
                    let h = d.link_of(&id, "returned_enthalpy", l.returned_heat / l.returned);
                    e = e + back * (h - after);
                }
            }
            d.is(t.carried, e, CONSERVATION)
        }
        "water_drained" => {
            let h = p.closed.iter().zip(&o.closed).filter(|(_, c)| c.heater.inducted > 0.0);
            let to_turbine = |c: &ClosedOutputs| c.heater.inducted - c.line_drain.water;
            let parts = h.map(|(q, c)| d.link_of(&q.heater.id, "water_to_turbine", to_turbine(c))).collect();
            d.is(t.water, sum(parts), CONSERVATION)
        }
        "exhaust_flow" => {
            let w = d.link(&format!("stage_flow_{}", n + 1), t.exhaust_flow);
            d.is(t.exhaust_flow, w, CONSERVATION)
        }
        "exhaust_enthalpy" => {
            let h = d.link(&format!("enthalpy_out_{}", n + 1), x.groups[n].1);
            let loss = d.link("leaving_loss", model::leaving_loss(&p.turbine, x, t.exhaust_flow));
            d.is(t.exhaust_enthalpy, h + loss, CONSERVATION)
        }
        "leaving_loss" => {
            let at = d.plant(
                "Δh_l,0",
                "leaving_loss_design",
                of(Q::Enthalpy),
                p.turbine.leaving_loss,
                "turbine.leaving_loss",
            );
            let w = d.link("exhaust_flow", t.exhaust_flow);
            let v = d.link("exhaust_volume", x.exhaust_volume);
            let design =
                d.sized("V_0", "exhaust_volume_flow_design", fixed("m³/s"), p.turbine.exhaust_volume);
            d.is(model::leaving_loss(&p.turbine, x, t.exhaust_flow), at * square(w * v / design), PRACTICE)
        }
        "exhaust_volume" => {
            let at = d.before_of("unit", "condenser_pressure", sim.previous().plant.condenser.pressure);
            let h = d.link(&format!("enthalpy_out_{}", n + 1), x.groups[n].1);
            d.is(x.exhaust_volume, call(Function::Volume, [at, h]), IAPWS)
        }
        _ => separator::working(sim, d, name),
    }
}

/// Flow of work through a group once the shells have taken their steam [kg/s].
pub fn stage_flow(sim: &Sim, group: usize) -> f64 {
    let o = sim.outputs();
    let led = &o.turbine.separator;
    let mut flow = o.throttle - led.heating;
    for point in 0..group {
        if let Some((_, l)) = line(sim, point) {
            flow -= l.taken + l.drain.steam - l.returned;
        }
        if separated(sim, point) {
            flow = led.leaving;
        }
    }
    flow
}

/// What a point gives to its heater and to the drain of its line less what comes back, as a term; none where it has no heater.
pub fn extraction_term(sim: &Sim, d: &mut Draft, point: usize) -> Option<Expr> {
    let (id, l) = line(sim, point)?;
    let mut taken = d.link_of(&id, "extraction_flow", l.taken);
    if l.drain.steam > 0.0 {
        taken = taken + d.link_of(&id, "line_drain_steam", l.drain.steam);
    }
    if l.returned > 0.0 {
        return Some(taken - d.link_of(&id, "reverse_flow", l.returned));
    }
    Some(taken)
}

/// What passed a line in a step: to its heater, back from it, and to its drain.
struct Passed {
    taken: f64,
    returned: f64,
    returned_heat: f64,
    drain: line_drain::Outputs,
}

/// Heater of a point, and what passed its line in the step.
fn line(sim: &Sim, point: usize) -> Option<(String, Passed)> {
    let (p, o) = (sim.params(), sim.outputs());
    let heater = p.layout.points[point]?;
    let id = sim.plant().heaters[heater].id().to_owned();
    let (taken, returned, returned_heat, drain) = if heater == p.high {
        (o.open.steam_flow, o.open.returned, o.open.returned_heat, o.open_line_drain)
    } else {
        let c = &o.closed[if heater < p.high { heater } else { heater - 1 }];
        (c.heater.steam_flow, c.heater.returned, c.heater.returned_heat, c.line_drain)
    };
    Some((id, Passed { taken, returned, returned_heat, drain }))
}

/// Whether steam came back at a point, or was reckoned to.
fn returns(sim: &Sim, point: usize) -> bool {
    let x = &sim.state().plant.turbine;
    x.joined[point].enthalpy != x.groups[point].1 || line(sim, point).is_some_and(|(_, l)| l.returned > 0.0)
}

/// Enthalpy of the steam behind a point, with what came back there.
pub fn behind_point(sim: &Sim, d: &mut Draft, point: usize) -> Expr {
    let x = &sim.state().plant.turbine;
    let (h, joined) = (x.groups[point].1, x.joined[point].enthalpy);
    let name = if joined == h { "enthalpy_out" } else { "joined_enthalpy" };
    d.link(&format!("{name}_{}", point + 1), joined)
}

/// What joined behind each point in the step before.
fn x_before(sim: &Sim) -> &[model::Joined] {
    &sim.previous().plant.turbine.joined
}

/// Work of a group [kW].
fn work(sim: &Sim, group: usize) -> f64 {
    let x = &sim.state().plant.turbine;
    let (h1, mut h2) = x.groups[group];
    if group == x.points.len() {
        h2 = sim.outputs().turbine.exhaust_enthalpy;
    }
    stage_flow(sim, group) * (h1 - h2)
}

/// The working of a number of one group of stages.
fn numbered(sim: &Sim, mut d: Draft, stem: &str, g: usize) -> Found {
    let (p, o) = (sim.params(), sim.outputs());
    let x = &sim.state().plant.turbine;
    let n = x.points.len();
    let each = |name: &str| format!("{name}_{}", g + 1);
    match stem {
        // Found with all pressures at once, so that the throttle flow comes out; the flow that then works differs by
        // what the shells took in the same step.
        "passing" => {
            d.see(&each("stage_flow"));
            let value = march(sim)?.passing[g];
            d.read(value, Why::Root)
        }
        "stage_flow" if g == 0 => {
            let w = d.link_of("unit", "throttle_flow", sim.outputs().throttle);
            let e = match p.turbine.separator.as_ref().and_then(|q| q.reheater.as_ref()) {
                Some(_) => w - d.link_of("unit", "heating_steam_flow", o.turbine.separator.heating),
                None => w,
            };
            d.is(stage_flow(sim, 0), e, CONSERVATION)
        }
        "stage_flow" => {
            let before = d.link(&format!("stage_flow_{g}"), stage_flow(sim, g - 1));
            let mut e = match extraction_term(sim, &mut d, g - 1) {
                Some(taken) => before - taken,
                None => before,
            };
            if separated(sim, g - 1) {
                e = e - d.link_of("unit", "moisture_removed_flow", o.turbine.separator.drained);
            }
            d.is(stage_flow(sim, g), e, CONSERVATION)
        }
        "work" => {
            let w = d.link(&each("stage_flow"), stage_flow(sim, g));
            let h1 = d.link(&each("enthalpy_in"), x.groups[g].0);
            let h2 = if g == n {
                d.link("exhaust_enthalpy", o.turbine.exhaust_enthalpy)
            } else {
                d.link(&each("enthalpy_out"), x.groups[g].1)
            };
            d.is(work(sim, g), w * (h1 - h2), CONSERVATION)
        }
        "enthalpy_in" if g == 0 => {
            let main =
                d.plant("h_0", "main_steam_enthalpy", of(Q::Enthalpy), p.turbine.main_enthalpy, "boiler");
            d.is(x.groups[0].0, main, DEFINITION)
        }
        "enthalpy_in" if separated(sim, g - 1) => separator::leaving(sim, d),
        "enthalpy_in" => match reheater(sim, g - 1) {
            Some(r) => {
                let m = march(sim)?;
                let at = d.link("hot_reheat_pressure", m.hot);
                let t = d.plant(
                    "t_rh",
                    "reheat_temperature",
                    of(Q::Temperature),
                    r.temperature,
                    "boiler.reheat.temperature",
                );
                let full = call(Function::SuperheatedEnthalpy, [at, t]);
                if m.reheated(g) < 1.0 {
                    // The boiler heats no more steam than it makes.
                    d.case("more_than_the_boiler_makes");
                    if o.throttle <= 0.0 {
                        let cold = behind_point(sim, &mut d, g - 1);
                        return d.is(x.groups[g].0, cold, PRACTICE);
                    }
                    let made = d.link_of("unit", "throttle_flow", o.throttle);
                    let flow = d.link(&format!("passing_{}", g + 1), m.passing[g]);
                    let cold = behind_point(sim, &mut d, g - 1);
                    return d.is(x.groups[g].0, cold.clone() + made / flow * (full - cold), PRACTICE);
                }
                d.is(x.groups[g].0, full, IAPWS)
            }
            None => {
                let h = behind_point(sim, &mut d, g - 1);
                d.is(x.groups[g].0, h, DEFINITION)
            }
        },
        "joined_enthalpy" if g < n => {
            let h = d.link(&each("enthalpy_out"), x.groups[g].1);
            let m = march(sim)?;
            let (w, back) = m.returned(g);
            if !(w > 0.0) {
                return d.is(x.joined[g].enthalpy, h, DEFINITION);
            }
            let w = d.sized("ṁ_b", "coming_back_as_found", of(Q::MassFlow), w);
            let back = d.sized("h_b", "coming_back_enthalpy", of(Q::Enthalpy), back);
            if m.passing[g] <= 0.0 {
                return d.is(x.joined[g].enthalpy, back, CONSERVATION);
            }
            let flow = d.link(&each("passing"), m.passing[g]);
            let e = (flow.clone() * h + w.clone() * back) / (flow + w);
            d.is(x.joined[g].enthalpy, e, CONSERVATION)
        }
        "water_share" => {
            let m = march(sim)?;
            let mut parts = Vec::new();
            for k in 0..g {
                let water = x_before(sim)[k].water;
                if let Some((id, _)) = line(sim, k).filter(|_| water > 0.0) {
                    parts.push(d.before_of(&id, "water_to_turbine", water));
                }
            }
            let value = m.water_share(sim, g);
            if parts.is_empty() {
                return d.is(value, number(0.0), DEFINITION);
            }
            let water = sum(parts);
            if m.passing[g] <= 0.0 {
                return d.is(value, water.clone() / water, DEFINITION);
            }
            let flow = d.link(&each("passing"), m.passing[g]);
            d.is(value, water.clone() / (water + flow), DEFINITION)
        }
        "pv" => {
            let m = march(sim)?;
            let (_, at) = start(sim, &mut d, &m, g);
            let h = d.link(&each("enthalpy_in"), x.groups[g].0);
            d.is(x.pv[g], at.clone() * call(Function::Volume, [at, h]), IAPWS)
        }
        "ideal_drop" => {
            let m = march(sim)?;
            let (_, at) = start(sim, &mut d, &m, g);
            let h = d.link(&each("enthalpy_in"), x.groups[g].0);
            let end = behind(sim, &mut d, g);
            let s = call(Function::Entropy, [at, h.clone()]);
            let value = ideal_drop(sim, &m, g)?;
            d.is(value, h - call(Function::IsentropicEnthalpy, [end, s]), DEFINITION)
        }
        "enthalpy_out" => {
            let m = march(sim)?;
            let h1 = d.link(&each("enthalpy_in"), x.groups[g].0);
            let drop = ideal_drop(sim, &m, g)?;
            let ideal = d.link(&each("ideal_drop"), drop);
            let place = format!("turbine.section_efficiency[{g}]");
            let eta =
                d.plant("η", "stage_efficiency", of(Q::Fraction), p.turbine.groups[g].efficiency, &place);
            let mut eta = eta;
            let mut left = 1.0;
            let wet = m.water_share(sim, g);
            if wet > 0.0 {
                // Water from extraction lines does no work, and costs some as moisture does.
                let place = "turbine.wetness_factor";
                let b = d.plant("b", "wetness_factor", of(Q::Ratio), p.turbine.wetness_factor, place);
                left = (1.0 - p.turbine.wetness_factor * wet).max(0.0);
                eta = eta * max(1.0 - b * d.link(&each("water_share"), wet), number(0.0));
            }
            let useful = eta * ideal;
            let end = x.points.get(g).map_or(sim.previous().plant.condenser.pressure, |s| s.pressure);
            let sat = steam::sat_p(end).at(TURBINE)?;
            if x.groups[g].0 - p.turbine.groups[g].efficiency * left * drop >= sat.hg {
                d.case("dry_steam");
                return d.is(x.groups[g].1, h1 - useful, DEFINITION);
            }
            // Wetness lowers the efficiency by half that at each end; the end's depends on the end itself, linearly.
            d.case("wet_steam");
            let factor = d.plant(
                "b",
                "wetness_factor",
                of(Q::Ratio),
                p.turbine.wetness_factor,
                "turbine.wetness_factor",
            );
            let (_, at) = start(sim, &mut d, &m, g);
            let dry = 1.0 - call(Function::Quality, [at, h1.clone()]);
            let end = behind(sim, &mut d, g);
            let (hf, hg) =
                (call(Function::LiquidEnthalpy, [end.clone()]), call(Function::SteamEnthalpy, [end]));
            let c = useful.clone() * factor.clone() / (2.0 * (hg.clone() - hf));
            let top = h1 - useful * (1.0 - 0.5 * factor * dry) + c.clone() * hg;
            d.is(x.groups[g].1, top / (1.0 + c), PRACTICE)
        }
        _ => Ok(None),
    }
}

/// Drop at constant entropy over a group [kJ/kg].
fn ideal_drop(sim: &Sim, m: &Marched, g: usize) -> Result<f64, Fault> {
    let (p, x) = (sim.params(), &sim.state().plant.turbine);
    let hot = g > 0 && (reheater(sim, g - 1).is_some() || separated(sim, g - 1));
    let pressure = match g {
        0 => m.inlet,
        _ if hot => m.hot,
        _ => x.points[g - 1].pressure,
    };
    let start = match p.turbine.reheater.filter(|_| hot) {
        Some(r) if m.reheated(g) >= 1.0 => steam::steam_pt(m.hot, r.temperature).at(TURBINE)?,
        _ => steam::state_ph(pressure, x.groups[g].0).at(TURBINE)?,
    };
    let end = x.points.get(g).map_or(sim.previous().plant.condenser.pressure, |s| s.pressure);
    Ok(start.h - steam::state_ps(end, start.s).at(TURBINE)?.h)
}
