//! Steam from the turbine to a shell: the line, its valves, its flow.

use super::expr::{Expr, Function, call, max, min, number, root, square};
use super::{Draft, IAPWS, IEC_LIQUID, IEC_STEAM, PRACTICE, Working, line_drain, of};
use crate::extraction::{self as line, RECOVERY, Source, VALVE_SHARE};
use crate::fault::{At, Fault};
use crate::sim::Sim;
use crate::valve::{CHOKING_RATIO, CRITICAL_PRESSURE};
use crate::vessel;
use steam::units::Quantity as Q;

/// A line with what stands at both ends.
pub struct Line<'a> {
    /// Device.
    pub id: &'a str,
    /// Its point of the turbine.
    pub point: usize,
    /// Sized.
    pub params: &'a line::Params,
    /// Its valves, as they stood and as they stand.
    pub valves: [&'a line::State; 2],
    /// Coefficient of line, valves and nozzle in the mean of the step.
    pub coefficient: f64,
    /// Share of the shell's nozzle that is not under water.
    pub nozzle: f64,
    /// Flow found [kg/s].
    pub flow: f64,
    /// Shell pressure found [MPa].
    pub shell: f64,
    /// Steam that ran back [kg/s], and its heat [kW].
    pub returned: (f64, f64),
    /// Share of gas in what ran back, by mass.
    pub gas: f64,
    /// Whether the non-return valve lets anything back.
    pub open_back: bool,
    /// Mass that the shell held when the step began [kg], and its volume [m³].
    pub held: (f64, f64),
    /// Pressure of its steam when the step began, and now [MPa].
    pub steam: [f64; 2],
}

/// The working of a number of a closed heater's extraction line.
pub fn working(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o, s) = (sim.params(), sim.outputs(), sim.state());
    let q = &p.closed[k];
    let h = &o.closed[k].heater;
    let before = &sim.previous().plant.closed[k].heater;
    let l = Line {
        id: &q.heater.id,
        point: p.point(k),
        params: &q.extraction,
        valves: [&sim.previous().plant.closed[k].extraction, &s.plant.closed[k].extraction],
        coefficient: o.closed[k].open.line,
        nozzle: o.closed[k].open.nozzle,
        flow: h.steam_flow,
        shell: h.pressure,
        returned: (h.returned, h.returned_heat),
        gas: h.gas_back,
        open_back: o.closed[k].open.back.steam > 0.0,
        held: (before.shell.mass, q.heater.geometry.whole()),
        steam: [before.pressure, s.plant.closed[k].heater.pressure],
    };
    if name == "inducted_flow" {
        return inducted(sim, k, &l);
    }
    match line_drain::working(sim, &l, &o.closed[k].line_drain, h.inducted, name)? {
        Some(w) => Ok(Some(w)),
        None => of_line(sim, &l, name),
    }
}

/// The working of a number of an extraction line.
pub fn of_line(sim: &Sim, l: &Line, name: &str) -> Result<Option<Working>, Fault> {
    let source: Source = sim.state().plant.turbine.points[l.point];
    let coefficient = l.coefficient;
    let mut d = Draft::new(sim, l.id, name);
    let ratio = (source.pressure - l.shell) / source.pressure;
    match name {
        "extraction_flow" => {
            if coefficient <= 0.0 || l.shell >= source.pressure {
                d.case(if coefficient <= 0.0 { "shut" } else { "no_driving_pressure" });
                d.link("extraction_pressure", source.pressure);
                d.link("shell_pressure", l.shell);
                return d.is(l.flow, number(0.0), IEC_STEAM);
            }
            d.case(if ratio >= CHOKING_RATIO { "choked" } else { "not_choked" });
            let c = d.link("extraction_coefficient", coefficient);
            let x = d.link("extraction_drop", ratio.min(CHOKING_RATIO));
            let limit = d.constant("X", "choking_ratio", of(Q::Ratio), CHOKING_RATIO, PRACTICE);
            let (pressure, v) =
                (d.link("extraction_pressure", source.pressure), d.link("extraction_volume", source.volume));
            let expansion = 1.0 - x.clone() / (3.0 * limit);
            d.is(l.flow, c * expansion * root(x * pressure / v), IEC_STEAM)
        }
        "reverse_flow" => back(d, l, &source),
        "returned_enthalpy" => {
            let at = d.steam_pressure(l.steam[1]);
            let sat = steam::sat_p(l.steam[1]).at(l.id)?;
            let before = steam::sat_p(l.steam[0]).at(l.id)?;
            let over = vessel::superheat_enthalpy(l.held.0, l.held.1, &before);
            let mut e = call(Function::SteamEnthalpy, [at]);
            if over > 0.0 {
                d.case("dry");
                e = e + d.sized("Δh_d", "superheat_in_shell", of(Q::Enthalpy), over);
            }
            let (w, heat) = l.returned;
            d.is(if w > 0.0 { heat / w } else { sat.hg + over }, e, IAPWS)
        }
        "extraction_drop" => {
            let limit = d.constant("X", "choking_ratio", of(Q::Ratio), CHOKING_RATIO, PRACTICE);
            let from = d.link("extraction_pressure", source.pressure);
            let to = d.link("shell_pressure", l.shell);
            d.is(ratio.min(CHOKING_RATIO), min((from.clone() - to) / from, limit), IEC_STEAM)
        }
        "extraction_coefficient" => {
            let unit = super::names::of(name).1;
            let open = d.sized("C_x,0", "extraction_coefficient_open", unit, l.params.coefficient);
            let share = d.constant("k_v", "valve_share", of(Q::Ratio), VALVE_SHARE, PRACTICE);
            let at = |d: &mut Draft, symbol: &str, y: f64| {
                let y_ = if symbol.is_empty() {
                    min(d.link("stop_valve", l.valves[1].stop.opening), assist(d, l))
                } else {
                    d.sized(symbol, "least_opening", of(Q::Fraction), y)
                };
                if y <= 0.0 {
                    return number(0.0);
                }
                open.clone() / root(1.0 - share.clone() + share.clone() / square(y_))
            };
            let nozzle = |d: &mut Draft, e: Expr| {
                if l.nozzle < 1.0 { e * d.sized("k_n", "nozzle_free", of(Q::Fraction), l.nozzle) } else { e }
            };
            let [was, half, now] = openings(sim, l);
            if was == now {
                if now <= 0.0 {
                    d.case("shut");
                }
                let e = at(&mut d, "", now);
                let e = nozzle(&mut d, e);
                return d.is(coefficient, e, PRACTICE);
            }
            // On the move: the mean over the step, by Simpson's rule.
            d.case("moving");
            let [a, b, c] = [("y_0", was), ("y_½", half), ("y_1", now)].map(|(s, y)| at(&mut d, s, y));
            let e = nozzle(&mut d, (a + 4.0 * b + c) / number(6.0));
            d.is(coefficient, e, PRACTICE)
        }
        "extraction_temperature" => {
            let at = d.link("extraction_pressure", source.pressure);
            let h = d.link("extraction_enthalpy", source.enthalpy);
            let t = steam::state_ph(source.pressure, source.enthalpy).map_or(0.0, |x| x.t);
            d.is(t, call(Function::Temperature, [at, h]), IAPWS)
        }
        "extraction_volume" => {
            let at = d.link("extraction_pressure", source.pressure);
            let h = d.link("extraction_enthalpy", source.enthalpy);
            d.is(source.volume, call(Function::Volume, [at, h]), IAPWS)
        }
        "extraction_enthalpy" => {
            // What leaves the stages before this point.
            let stages = format!("enthalpy_out_{}", l.point + 1);
            let e = d.link_of("turbine", &stages, sim.state().plant.turbine.groups[l.point].1);
            d.is(source.enthalpy, e, super::DEFINITION)
        }
        "extraction_pressure" => super::turbine::point_pressure(sim, d, l.point),
        _ => Ok(None),
    }
}

/// Steam from the shell to the turbine: by the same equation, with the shell's steam.
fn back(mut d: Draft, l: &Line, source: &Source) -> Result<Option<Working>, Fault> {
    if !l.open_back || source.pressure >= l.shell {
        d.case(if l.open_back { "no_driving_pressure" } else { "non_return_shut" });
        d.link("extraction_pressure", source.pressure);
        d.link("shell_pressure", l.shell);
        return d.is(l.returned.0, number(0.0), IEC_STEAM);
    }
    d.case(if (l.shell - source.pressure) / l.shell >= CHOKING_RATIO { "choked" } else { "not_choked" });
    let c = d.link("extraction_coefficient", l.coefficient);
    let (from, to) = (d.link("shell_pressure", l.shell), d.link("extraction_pressure", source.pressure));
    let limit = d.constant("X", "choking_ratio", of(Q::Ratio), CHOKING_RATIO, PRACTICE);
    let x = min((from.clone() - to) / from.clone(), limit.clone());
    let mut v = call(Function::SteamVolume, [d.steam_pressure(l.steam[1])]);
    let before = steam::sat_p(l.steam[0]).at(l.id)?;
    let dry = vessel::dry_volume(l.held.0, l.held.1, &before);
    if dry > 1.0 {
        v = v * d.sized("k_d", "dry_volume", of(Q::Ratio), dry);
    }
    let mut e = c * (1.0 - x.clone() / (3.0 * limit)) * root(x * from / v);
    if l.gas > 0.0 {
        e = e * (1.0 - d.link("gas_share_returned", l.gas));
    }
    d.is(l.returned.0, e, IEC_STEAM)
}

/// Water from a full shell to the turbine: what the shell does not hold, as far as the line passes it.
fn inducted(sim: &Sim, k: usize, l: &Line) -> Result<Option<Working>, Fault> {
    let (q, c) = (&sim.params().closed[k], &sim.outputs().closed[k]);
    let h = &c.heater;
    let mut d = Draft::new(sim, l.id, "inducted_flow");
    let above = d.link("above_brim_flow", h.carry_over + h.inducted);
    if c.open.back.water <= 0.0 {
        d.case("non_return_shut");
        return d.is(h.inducted, number(0.0), IEC_LIQUID);
    }
    let to = sim.state().plant.turbine.points[l.point].pressure;
    let relief = d.sized("p_r", "shell_relief_pressure", of(Q::Pressure), q.heater.relief);
    let to = d.link("extraction_pressure", to);
    let critical = d.constant("p_c", "critical_pressure", of(Q::Pressure), CRITICAL_PRESSURE, IAPWS);
    let recovery = d.constant("F_L", "recovery", of(Q::Ratio), RECOVERY, PRACTICE);
    let boils = d.steam_pressure_before(l.steam[0]);
    let factor = 0.96 - 0.28 * root(boils.clone() / critical);
    let choked = square(recovery) * (relief.clone() - factor * boils.clone());
    let difference = max(min(relief - to, choked), number(0.0));
    let line =
        d.sized("C_b", "back_coefficient", super::names::of("extraction_coefficient").1, c.open.back.water);
    let most = line * root(difference / call(Function::LiquidVolume, [boils]));
    d.is(h.inducted, min(above, most), IEC_LIQUID)
}

/// How far the assist lets the non-return valve open.
fn assist(d: &mut Draft, l: &Line) -> Expr {
    d.sized("y_a", "non_return_assist", of(Q::Fraction), l.valves[1].assist.opening)
}

/// Opening of the less open of the two valves at the beginning, the middle and the end of the step.
fn openings(sim: &Sim, l: &Line) -> [f64; 3] {
    let halfway = |was: f64, now: f64, stroke: f64| {
        let moving = (now - was).abs() / (sim.params().dt / stroke);
        if 0.5 >= moving { now } else { was + (now - was) * 0.5 / moving }
    };
    let [was, now] = l.valves;
    let half = halfway(was.stop.opening, now.stop.opening, l.params.stop_stroke).min(halfway(
        was.assist.opening,
        now.assist.opening,
        l.params.non_return_close,
    ));
    [was.stop.opening.min(was.assist.opening), half, now.stop.opening.min(now.assist.opening)]
}
