//! Steam from the turbine to a shell: the line, its valves, its flow.

use super::expr::{Expr, Function, call, min, number, root, square};
use super::{Draft, IAPWS, IEC_STEAM, PRACTICE, Working, of};
use crate::extraction::{self as line, Source, VALVE_SHARE};
use crate::fault::Fault;
use crate::sim::Sim;
use crate::valve::CHOKING_RATIO;
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
    /// Coefficient of line and valves in the mean of the step.
    pub coefficient: f64,
    /// Flow found [kg/s].
    pub flow: f64,
    /// Shell pressure found [MPa].
    pub shell: f64,
}

/// The working of a number of a closed heater's extraction line.
pub fn working(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o, s) = (sim.params(), sim.outputs(), sim.state());
    let q = &p.closed[k];
    let h = &o.closed[k].heater;
    let l = Line {
        id: &q.heater.id,
        point: p.point(k),
        params: &q.extraction,
        valves: [&sim.previous().plant.closed[k].extraction, &s.plant.closed[k].extraction],
        coefficient: o.closed[k].open.line,
        flow: h.steam_flow,
        shell: h.pressure,
    };
    of_line(sim, &l, name)
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
            let [was, half, now] = openings(sim, l);
            if was == now {
                if now <= 0.0 {
                    d.case("shut");
                }
                let e = at(&mut d, "", now);
                return d.is(coefficient, e, PRACTICE);
            }
            // On the move: the mean over the step, by Simpson's rule.
            d.case("moving");
            let [a, b, c] = [("y_0", was), ("y_½", half), ("y_1", now)].map(|(s, y)| at(&mut d, s, y));
            d.is(coefficient, (a + 4.0 * b + c) / number(6.0), PRACTICE)
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
