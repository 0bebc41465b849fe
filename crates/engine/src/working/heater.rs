//! A closed heater: temperatures, gaps, flows; the shell, the zones, the drains and the line have files of their own.

use super::expr::{Expr, Function, call, max, min, number, root, sum};
use super::{
    CONSERVATION, DEFINITION, Draft, IAPWS, IEC_LIQUID, ORIFICE, PRACTICE, PTC_12, Why, Working, separator,
};
use super::{balance, drain, extraction, fixed, of, shell, zones};
use crate::drain::PIPE_LAG;
use crate::fault::{At, Fault};
use crate::leak;
use crate::sim::Sim;
use crate::train::Receiver;
use crate::valve::{CRITICAL_PRESSURE, liquid_critical_ratio};
use steam::units::Quantity as Q;

/// The working of one of a closed heater's numbers.
pub fn working(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o) = (sim.params(), sim.outputs());
    let id = p.closed[k].heater.id.as_str();
    let (c, h) = (&o.closed[k], &o.closed[k].heater);
    let (x, before) = (&sim.state().plant.closed[k], &sim.previous().plant.closed[k]);
    let mut d = Draft::new(sim, id, name);
    match name {
        "saturation_temperature" => {
            let at = d.link("shell_pressure", h.pressure);
            d.is(h.saturation, call(Function::SaturationTemperature, [at]), IAPWS)
        }
        "fw_in_temperature" => {
            let at = d.link("water_in_enthalpy", c.water_in);
            d.is(h.water_in_t, call(water_temperature(sim, k), [at]), IAPWS)
        }
        "fw_out_temperature" => {
            let at = d.link("water_out_enthalpy", h.water_out);
            d.is(h.water_out_t, call(water_temperature(sim, k), [at]), IAPWS)
        }
        "ttd" => {
            let e =
                d.link("saturation_temperature", h.saturation) - d.link("fw_out_temperature", h.water_out_t);
            d.is(h.saturation - h.water_out_t, e, PTC_12)
        }
        "dca" => {
            let e = d.link("drain_temperature", h.drain_t) - d.link("fw_in_temperature", h.water_in_t);
            d.is(h.drain_t - h.water_in_t, e, PTC_12)
        }
        "drain_temperature" => {
            let at = d.steam_pressure(x.heater.pressure);
            let of = d.link("drain_enthalpy", h.drain);
            d.is(h.drain_t, call(Function::Temperature, [at, of]), IAPWS)
        }
        // As a pipe mixes what enters it.
        "drain_at_valve" => {
            let was = d.before("drain_at_valve", sim.previous().plant.closed[k].drain_at_valve);
            let now = d.link("drain_enthalpy", h.drain);
            let lag = d.constant("τ", "drain_pipe_lag", of(Q::Duration), PIPE_LAG, PRACTICE);
            let dt = d.step();
            let e = was.clone() + (now - was) * dt.clone() / (lag + dt);
            d.is(sim.state().plant.closed[k].drain_at_valve, e, PRACTICE)
        }
        "drain_in_flow" => {
            let from = balance::arriving(sim, Receiver::Closed(k));
            let mut parts: Vec<_> =
                from.iter().map(|(id, w, _)| d.link_of(id, "normal_drain_flow", *w)).collect();
            for (name, w, _) in separator::arriving(sim, p.index(k)) {
                parts.push(d.link_of("turbine", &format!("{name}_arrived"), w));
            }
            d.is(c.drain_in, sum(parts), CONSERVATION)
        }
        "fw_flow" => {
            let e = d.link("arriving_flow", c.water_flow + c.leak) - d.link("leak_flow", c.leak);
            d.is(c.water_flow, e, CONSERVATION)
        }
        "arriving_flow" => {
            let e = upstream(sim, &mut d, k);
            let e = if begins(sim, k) {
                let through = |d: &mut Draft| 1.0 - d.link("bypass_mean", o.bypass[p.group(k)]);
                match leaks(sim, &mut d, p.group(k)) {
                    // It is drawn through the tubes, whatever goes round them.
                    Some(leaks) => leaks.clone() + (e - leaks) * through(&mut d),
                    None => e * through(&mut d),
                }
            } else {
                e
            };
            d.is(c.water_flow + c.leak, e, CONSERVATION)
        }
        // Round the group, from where it begins: the heater that its water meets first.
        "bypass_flow" => {
            let group = &p.groups[p.group(k)];
            let first = group[group.len() - 1];
            let e = upstream(sim, &mut d, first);
            let e = match leaks(sim, &mut d, p.group(k)) {
                Some(leaks) => e - leaks,
                None => e,
            };
            let e = e * d.link("bypass_mean", o.bypass[p.group(k)]);
            d.is(c.round, e, CONSERVATION)
        }
        "bypass_mean" => {
            d.see("bypass");
            d.read(o.bypass[p.group(k)], Why::Valve)
        }
        "over_ramp" | "over_ramp_time" => {
            d.see("fw_ramp");
            let o = &x.over_ramp;
            d.read(if name == "over_ramp" { o.kelvin } else { o.seconds }, Why::Account)
        }
        "leak_flow" => leak(sim, d, k),
        "fw_ramp" => {
            let now = d.link("fw_out_temperature", h.water_out_t);
            let then = d.before("fw_out_temperature", before.ramp.last());
            let was = d.before("fw_ramp", before.ramp.rate);
            super::shown::ramp(d, x.ramp.rate, (now, then), was)
        }
        "water_in_enthalpy" => d.read(c.water_in, Why::Pipe),
        "metal_temperature" => d.read(x.heater.metal, Why::State),
        "forward_rise" => {
            let Receiver::Forward(pump) = p.closed[k].receiver else { return Ok(None) };
            // As the drain stood at the beginning of the step.
            let (shell, drain) = (before.heater.whole_pressure(), before.heater.drain);
            let to = pump.pressure.unwrap_or(p.line(k).pressure());
            if to <= shell {
                d.case("no_rise");
                return d.is(c.forward_rise, sum(Vec::new()), CONSERVATION);
            }
            let from = d.before("shell_pressure", shell);
            let enthalpy = d.before("drain_enthalpy", drain);
            let to = d.sized("p_f", "drain_pump_pressure", of(Q::Pressure), to);
            let eta = d.plant(
                "η_dp",
                "drain_pump_efficiency",
                of(Q::Fraction),
                pump.efficiency,
                &format!("heaters.{id}.drains_to"),
            );
            let kilo = d.constant("k", "kilojoules_per_mpa_m3", fixed("kJ/(MPa·m³)"), 1e3, DEFINITION);
            let v = call(Function::Volume, [from.clone(), enthalpy]);
            let v = min(v, call(Function::LiquidVolume, [from.clone()]));
            d.is(c.forward_rise, (to - from) * v * kilo / eta, CONSERVATION)
        }
        _ => {
            for part in [shell::working, zones::working, drain::working, extraction::working] {
                if let Some(w) = part(sim, k, name)? {
                    return Ok(Some(w));
                }
            }
            Ok(None)
        }
    }
}

/// The function that turns the feedwater's enthalpy into its temperature here.
pub fn water_temperature(sim: &Sim, k: usize) -> Function {
    if k < sim.params().high { Function::HighWaterTemperature } else { Function::LowWaterTemperature }
}

/// What the feed pumps give to leaks in a group; none where nothing leaks.
fn leaks(sim: &Sim, d: &mut Draft, group: usize) -> Option<Expr> {
    let (p, o) = (sim.params(), sim.outputs());
    let all: Vec<Expr> = p.groups[group]
        .iter()
        .filter(|&&k| k < p.high && o.closed[k].leak > 0.0)
        .map(|&k| d.link_of(&p.closed[k].heater.id, "leak_flow", o.closed[k].leak))
        .collect();
    (!all.is_empty()).then(|| sum(all))
}

/// Whether a heater is the first of its group that the water meets.
fn begins(sim: &Sim, k: usize) -> bool {
    let p = sim.params();
    let end = if k < p.high { p.high } else { p.closed.len() };
    k + 1 == end || p.group(k + 1) != p.group(k)
}

/// Water that comes to a heater, before what goes round its group leaves it: from the pumps, or from the heater before,
/// with what is pumped into the line there and what has gone round that one's group.
fn upstream(sim: &Sim, d: &mut Draft, k: usize) -> Expr {
    let (p, o) = (sim.params(), sim.outputs());
    let end = if k < p.high { p.high } else { p.closed.len() };
    if k + 1 == end {
        return match k < p.high {
            true => d.link_of("unit", "feed_flow", o.feed.flow),
            false => d.link_of("unit", "condensate_flow", sim.state().plant.condensate.flow),
        };
    }
    leaving(sim, d, k + 1)
}

/// Water that leaves a heater's outlet pipe for the next: its own, what is pumped in there, and what has gone round.
pub fn leaving(sim: &Sim, d: &mut Draft, k: usize) -> Expr {
    let (id, c) = (sim.params().closed[k].heater.id.as_str(), &sim.outputs().closed[k]);
    let mut parts = vec![d.link_of(id, "fw_flow", c.water_flow)];
    if c.forward != 0.0 {
        parts.push(d.link_of(id, "normal_drain_flow", c.forward));
    }
    if c.joining != 0.0 {
        parts.push(d.link_of(id, "bypass_flow", c.joining));
    }
    sum(parts)
}

/// Feedwater through holes in tubes: a liquid through a sharp-edged orifice.
fn leak(sim: &Sim, mut d: Draft, k: usize) -> Result<Option<Working>, Fault> {
    let (p, o) = (sim.params(), sim.outputs());
    let (q, c) = (&p.closed[k].heater, &o.closed[k]);
    let (value, id) = (c.leak, q.id.as_str());
    let holes = o.conditions.closed[k].heater.holes;
    if holes <= 0.0 {
        d.case("no_hole");
        return d.is(value, number(0.0), DEFINITION);
    }
    let bypass = o.bypass[p.group(k)];
    if bypass >= 1.0 {
        d.case("isolated");
        let through = 1.0 - d.link("bypass_mean", bypass);
        return d.is(value, through, DEFINITION);
    }
    let arriving = c.water_flow + c.leak;
    let high = k < p.high;
    if high && o.feed.flow <= 0.0 {
        d.case("no_flow");
        let fed = d.link_of("unit", "feed_flow", o.feed.flow);
        return d.is(value, fed, DEFINITION);
    }
    let pressure = if high { o.feed.discharge } else { p.line(k).pressure() };
    let was = &sim.previous().plant.closed[k].heater;
    let (shell, inlet) = (was.whole_pressure(), was.inlet);
    if !high
        && leak::Holes::of(id, holes * q.bore, inlet, p.line(k), shell)?.flow(pressure)
            > leak::MOST * arriving
    {
        d.case("all_that_arrives");
        let most = d.constant("k", "share_that_may_leak", of(Q::Ratio), leak::MOST, PRACTICE);
        let all = d.link("arriving_flow", arriving);
        return d.is(value, most * all, PRACTICE);
    }
    let t = p.line(k).t(inlet).at(id)?;
    let vapour = steam::p_sat(t).at(id)?.min(pressure);
    let from = match high {
        true => d.link_of("unit", "feed_pump_discharge", pressure),
        false => d.sized("p_w", "line_pressure", of(Q::Pressure), pressure),
    };
    let (a, b) = (
        d.constant("a", "choking_intercept", of(Q::Ratio), 0.96, IEC_LIQUID),
        d.constant("b", "choking_slope", of(Q::Ratio), 0.28, IEC_LIQUID),
    );
    let h = d.before("water_in_enthalpy", inlet);
    let water = call(water_temperature(sim, k), [h]);
    let critical = liquid_critical_ratio(vapour) * vapour;
    let dp = if pressure - shell > pressure - critical {
        d.case("choked");
        let pc = d.constant("p_c", "critical_pressure", of(Q::Pressure), CRITICAL_PRESSURE, IAPWS);
        let pv = min(call(Function::SaturationPressure, [water.clone()]), from.clone());
        from - (a - b * root(pv.clone() / pc)) * pv
    } else {
        d.case("not_choked");
        from - d.before("shell_pressure", shell)
    };
    let cd = d.constant("C_d", "discharge_coefficient", of(Q::Ratio), leak::DISCHARGE, ORIFICE);
    let bore = d.sized("A_0", "tube_bore", fixed("m²"), q.bore);
    let holes = d.sized("k_h", "holes_over_bore", of(Q::Ratio), holes);
    let mega = d.constant("k_p", "pascals_per_mpa", fixed("Pa/MPa"), 1e6, DEFINITION);
    let volume = call(if high { Function::HighWaterVolume } else { Function::LowWaterVolume }, [water]);
    d.is(value, cd * bore * holes * root(2.0 * max(dp, number(0.0)) * mega / volume), ORIFICE)
}
