//! A drain through its valve: flow by IEC 60534-2-1, choked or not.
//!
//! A drain leaves by the shell as it stood when the step began; what reaches the valve left the shell some seconds ago.

use super::expr::{Expr, Function, call, max, min, number, power_of, root};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, IEC_LIQUID, PRACTICE, Working, fixed, of};
use crate::drain::{self, Params};
use crate::fault::{At, Fault};
use crate::feed_pump::GRAVITY;
use crate::plant::file::Characteristic;
use crate::sim::Sim;
use crate::train::Receiver;
use crate::valve::{self, CRITICAL_PRESSURE, RANGEABILITY, REFERENCE_DENSITY, Upstream};
use steam::units::Quantity as Q;

/// The working of a number of one of a closed heater's drains.
pub fn working(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let which = ["normal_drain_", "emergency_drain_"].into_iter().find(|w| name.starts_with(w));
    let Some((which, rest)) = which.and_then(|w| Some((w, name.strip_prefix(w)?))) else { return Ok(None) };
    let (p, before, x, o) = (sim.params(), &sim.previous().plant, &sim.state().plant, sim.outputs());
    let q = &p.closed[k];
    let id = q.heater.id.as_str();
    let normal = which == "normal_drain_";
    let (was, now, out, wrong) = (&before.closed[k], &x.closed[k], &o.closed[k], &o.conditions.closed[k]);
    let (v, stems, wrong, value, opening) = if normal {
        (&q.normal, [was.normal, now.normal], &wrong.normal, out.normal, out.open.normal)
    } else {
        (&q.emergency, [was.emergency, now.emergency], &wrong.emergency, out.emergency, out.open.emergency)
    };
    let shell = &before.closed[k].heater;
    let up = drain::upstream(shell.whole_pressure(), was.drain_at_valve, v).at(id)?;
    // Where it arrives, and the pressure there.
    let to = if normal { q.receiver } else { Receiver::Condenser };
    let (device, at, down) = match to {
        Receiver::Closed(j) => {
            (p.closed[j].heater.id.as_str(), "shell_pressure", before.closed[j].heater.whole_pressure())
        }
        Receiver::Open => (p.open.id.as_str(), "shell_pressure", before.open.pressure),
        Receiver::Condenser => ("unit", "condenser_pressure", before.condenser.pressure),
        Receiver::Forward(_) => ("", "", p.line(k).pressure()),
    };
    let mut d = Draft::new(sim, id, name);
    let valve_place = format!("heaters.{id}.equipment.{which}valve").replace("_drain_valve", "_drain");
    let own = |rest: &str| format!("{which}{rest}");
    let pumped = match &v.pump {
        Some(pump) => Some((pump, pump.suction(shell.whole_pressure(), was.drain_at_valve).at(id)?)),
        None => None,
    };
    // The drain, and the pressure under which it comes to the valve: its pump's suction, or the shell.
    let at_inlet = |d: &mut Draft| {
        let h = d.before("drain_at_valve", was.drain_at_valve);
        let at = match &pumped {
            Some((_, suction)) => d.link(&own("pump_suction_pressure"), suction.p),
            None => d.before("shell_pressure", shell.whole_pressure()),
        };
        (h, at)
    };
    let gravity = |d: &mut Draft| d.constant("g", "gravity", fixed("m/s²"), GRAVITY, DEFINITION);
    let mega = |d: &mut Draft| d.constant("k_p", "pascals_per_mpa", fixed("Pa/MPa"), 1e6, DEFINITION);
    let Some(up) = up else {
        d.case("no_driving_pressure");
        return if rest == "flow" { d.is(value, number(0.0), IEC_LIQUID) } else { Ok(None) };
    };
    let whole = up.pressure - down;
    let choked = valve::is_choked(v.recovery, &up, down);
    let coefficient = v.coefficient * valve::opening_share(v.characteristic, opening);
    match rest {
        "flow" => {
            let kv = d.link(&own("coefficient"), coefficient);
            if opening <= 0.0 {
                d.case("shut");
                return d.is(value, kv, IEC_LIQUID);
            }
            if whole <= 0.0 {
                d.case("no_driving_pressure");
                d.link(&own("inlet_pressure"), up.pressure);
                return d.is(value, number(0.0), IEC_LIQUID);
            }
            d.case(if choked { "choked" } else { "not_choked" });
            let dp = d.link(&own("difference"), difference(v, &up, down));
            let rho = d.link(&own("density"), up.density);
            let n1 = d.constant("N_1", "valve_constant", fixed("1/√kPa"), 0.1, IEC_LIQUID);
            let hour = d.constant("k_h", "hours_per_second", fixed("h/s"), 1.0 / 3600.0, DEFINITION);
            let kilo = d.constant("k_p", "kilopascals_per_mpa", fixed("kPa/MPa"), 1e3, DEFINITION);
            let water = d.constant("ρ_0", "reference_density", of(Q::Density), REFERENCE_DENSITY, IEC_LIQUID);
            let mut e = n1 * hour * kv * root(dp * kilo * water * rho);
            if out.drain_share < 1.0 {
                d.case("runs_dry");
                e = e * d.sized("s_d", "share_that_is_there", of(Q::Ratio), out.drain_share);
            }
            d.is(value, e, IEC_LIQUID)
        }
        "coefficient" => {
            let full = d.sized("Kv_0", "valve_coefficient_open", fixed("m³/h"), v.coefficient);
            let y = d.link(&own("opening"), opening);
            let share = share(&mut d, v.characteristic, y, opening);
            d.is(coefficient, full * share, PRACTICE)
        }
        // What passes is the mean of the step.
        "opening" => {
            let [from, to] = stems.map(|s| s.opening);
            let mut e = d.link(&own("valve"), to);
            if from != to {
                d.case("moving");
                let moving = (to - from).abs() / (p.dt / v.stroke);
                let was = d.before(&own("valve"), from);
                let share = d.sized("θ", "share_of_the_step_moving", of(Q::Fraction), moving);
                e = was.clone() + (e - was) * (1.0 - 0.5 * share);
            }
            if wrong.leak > 0.0 {
                d.case("leaks");
                e = max(e, d.sized("y_l", "valve_leak", of(Q::Fraction), wrong.leak));
            }
            d.is(opening, e, DEFINITION)
        }
        "difference" => {
            let p1 = d.link(&own("inlet_pressure"), up.pressure);
            if choked {
                d.case("choked");
                let pv = d.link(&own("vapour_pressure"), up.vapour_pressure);
                let fl = d.plant("F_L", "pressure_recovery", of(Q::Ratio), v.recovery, &valve_place);
                let pc = d.constant("p_c", "critical_pressure", of(Q::Pressure), CRITICAL_PRESSURE, IAPWS);
                let a = d.constant("a", "choking_intercept", of(Q::Ratio), 0.96, IEC_LIQUID);
                let b = d.constant("b", "choking_slope", of(Q::Ratio), 0.28, IEC_LIQUID);
                let ff = a - b * root(pv.clone() / pc);
                let e = fl.clone() * fl * (p1 - ff * pv);
                return d.is(difference(v, &up, down), max(e, number(0.0)), IEC_LIQUID);
            }
            d.case("not_choked");
            let p2 = if device.is_empty() {
                d.sized("p_f", "line_pressure", of(Q::Pressure), down)
            } else {
                d.before_of(device, at, down)
            };
            d.is(difference(v, &up, down), max(p1 - p2, number(0.0)), IEC_LIQUID)
        }
        // Where a pump draws it in.
        "pump_suction_pressure" => {
            let Some((pump, suction)) = pumped else { return Ok(None) };
            let from = d.before("shell_pressure", shell.whole_pressure());
            let place = format!("heaters.{id}.drains_to.forward.suction_head");
            let height = d.plant("H_s", "drain_pump_suction_head", of(Q::Length), pump.suction_head, &place);
            let column = gravity(&mut d) * height / call(Function::LiquidVolume, [from.clone()]);
            let e = from + column / mega(&mut d);
            d.is(suction.p, e, CONSERVATION)
        }
        "inlet_pressure" => {
            let from = d.before("shell_pressure", shell.whole_pressure());
            let (h, at) = at_inlet(&mut d);
            let volume = call(Function::Volume, [at.clone(), h]);
            let height = d.plant("H", "drain_head", of(Q::Length), v.head, &valve_place);
            let mut e = from + gravity(&mut d) * height / volume.clone() / mega(&mut d);
            if let Some((pump, _)) = pumped {
                let boost = d.sized("Δp_dp", "drain_pump_boost", of(Q::Pressure), pump.boost);
                e = e + boost * min(call(Function::LiquidVolume, [at]) / volume, number(1.0));
            }
            d.is(up.pressure, e, CONSERVATION)
        }
        "vapour_pressure" => {
            let p1 = d.link(&own("inlet_pressure"), up.pressure);
            if boils(&up) {
                d.case("boiling_at_inlet");
                return d.is(up.vapour_pressure, p1, IAPWS);
            }
            let (h, at) = at_inlet(&mut d);
            let e = call(Function::SaturationPressure, [call(Function::Temperature, [at, h])]);
            d.is(up.vapour_pressure, min(e, p1), IAPWS)
        }
        "density" => {
            let (h, at) = at_inlet(&mut d);
            if boils(&up) && pumped.is_none() && was.drain_at_valve >= steam::sat_p(up.pressure).at(id)?.hf {
                d.case("boiling_at_inlet");
                let p1 = d.link(&own("inlet_pressure"), up.pressure);
                let f = |f| call(f, [p1.clone()]);
                let (hf, hg) = (f(Function::LiquidEnthalpy), f(Function::SteamEnthalpy));
                let (vf, vg) = (f(Function::LiquidVolume), f(Function::SteamVolume));
                let x = (h - hf.clone()) / (hg - hf);
                return d.is(up.density, 1.0 / (vf.clone() + x * (vg - vf)), IAPWS);
            }
            d.is(up.density, 1.0 / call(Function::Volume, [at, h]), IAPWS)
        }
        _ => Ok(None),
    }
}

/// Whether the drain boils before the valve.
fn boils(up: &Upstream) -> bool {
    up.vapour_pressure >= up.pressure
}

/// Pressure difference that drives the flow [MPa].
fn difference(v: &Params, up: &Upstream, down: f64) -> f64 {
    let ratio = valve::liquid_critical_ratio(up.vapour_pressure);
    let choked = v.recovery * v.recovery * (up.pressure - ratio * up.vapour_pressure);
    (up.pressure - down).min(choked).max(0.0)
}

/// Share of the full coefficient at an opening.
fn share(d: &mut Draft, characteristic: Characteristic, y: Expr, opening: f64) -> Expr {
    match characteristic {
        Characteristic::Linear => y,
        Characteristic::EqualPercentage => {
            let range = d.constant("R", "rangeability", of(Q::Ratio), RANGEABILITY, PRACTICE);
            if opening < 0.05 {
                d.case("nearly_shut");
                let knee = d.constant("y_k", "knee", of(Q::Fraction), 0.05, PRACTICE);
                return power_of(range, knee.clone() - 1.0) * y / knee;
            }
            power_of(range, y - 1.0)
        }
    }
}
