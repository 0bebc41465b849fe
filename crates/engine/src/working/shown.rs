//! What transmitters show, and what the control system reckons of that; and which numbers have a truth beside them.
//!
//! The files of the components reckon with the truth. A number there that has a transmitter goes by its true name: that is
//! seen to here, once, so that the files may call a shell's pressure by its name.

use super::expr::{Function, call, max, min, number, sum};
use super::{DEFINITION, Draft, IAPWS, PRACTICE, PTC_12, Why, Working, fixed, of};
use crate::event::Device;
use crate::fault::Fault;
use crate::measurements::RATE_LAG;
use crate::signals;
use crate::sim::Sim;
use crate::transmitters::{self, Of, RECKONED, SATURATION};
use steam::units::Quantity as Q;

type Found = Result<Option<Working>, Fault>;

/// Whose transmitters a device's are.
fn place(sim: &Sim, device: &str) -> Option<Of> {
    let p = sim.params();
    if let Some(k) = p.closed.iter().position(|c| c.heater.id == device) {
        return Some(Of::Closed(k));
    }
    if device == p.open.id {
        return Some(Of::Open);
    }
    if device == "unit" {
        return Some(Of::Unit);
    }
    let feed = p.feed_pumps.installed as usize;
    let all = feed + p.condensate_pumps.installed as usize;
    let id =
        |k: usize| if k < feed { Device::FeedPump(k) } else { Device::CondensatePump(k - feed) }.pump_id();
    (0..all).find(|k| id(*k) == device).map(Of::Pump)
}

/// Where the casing of a feed pump has its transmitters, if it is followed.
fn casing(sim: &Sim, place: Of) -> Option<Of> {
    let p = sim.params();
    let feed = p.feed_pumps.installed as usize;
    match place {
        Of::Pump(k) if k < feed && p.feed_pumps.casing.is_some() => {
            Some(Of::Casing(feed + p.condensate_pumps.installed as usize + k))
        }
        _ => None,
    }
}

/// The name of the truth beside what is shown of a device under a name; none where there is but one number.
pub fn truth(sim: &Sim, device: &str, name: &str) -> Option<&'static str> {
    let place = place(sim, device)?;
    let casing = casing(sim, place);
    let points = place.points().iter().chain(casing.iter().flat_map(|of| of.points()));
    if let Some(p) = points.into_iter().find(|p| p.name == name) {
        return Some(p.truth);
    }
    let reckoned = match place {
        Of::Closed(_) => &RECKONED[..4],
        Of::Open => &RECKONED[..1],
        Of::Pump(_) if casing.is_some() => &RECKONED[4..],
        Of::Unit | Of::Pump(_) | Of::Casing(_) => &[],
    };
    reckoned.iter().find(|(shown, _)| *shown == name).map(|(_, truth)| *truth)
}

/// The name shown beside a truth.
pub fn beside(sim: &Sim, device: &str, name: &str) -> Option<String> {
    let base = name.strip_suffix(signals::TRUE)?;
    (truth(sim, device, base)? == name).then(|| base.to_owned())
}

/// The id of the truth where there is one, else the id itself.
pub fn true_id(sim: &Sim, id: &str) -> String {
    let parts = id.split_once('.');
    match parts.and_then(|(device, name)| truth(sim, device, name).map(|t| (device, t))) {
        Some((device, truth)) => format!("{device}.{truth}"),
        None => id.to_owned(),
    }
}

/// The working of what is shown, or reckoned of what is shown.
pub fn working(sim: &Sim, device: &str, name: &str) -> Found {
    let Some(place) = place(sim, device) else { return Ok(None) };
    let (p, i) = (sim.params(), &sim.state().instruments);
    let first = place.first(p.closed.len());
    let casing = casing(sim, place);
    for of in casing.into_iter().chain([place]) {
        if let Some(at) = of.points().iter().position(|point| point.name == name) {
            let mut d = Draft::shown(sim, device, name);
            d.see(of.points()[at].truth);
            return d.read(i.process(&p.instruments, of.first(p.closed.len()) + at), Why::Instrument);
        }
    }
    match place {
        Of::Pump(k) if name == "casing_difference" => {
            let m = &sim.outputs().measured;
            let Some(shown) = m.feed_pumps.get(k).and_then(|x| x.casing) else { return Ok(None) };
            let mut d = Draft::shown(sim, device, name);
            let water = d.link_of("unit", "feed_pump_suction_temperature", m.suction_temperature);
            let e = water - d.link("casing_temperature", shown);
            d.is(m.suction_temperature - shown, e, DEFINITION)
        }
        Of::Closed(k) => closed(sim, k, name),
        Of::Open if name == "saturation_temperature" => {
            saturation(Draft::shown(sim, device, name), i.process(&p.instruments, first))
        }
        Of::Unit => unit(sim, name),
        Of::Pump(k) if name == "suction_head_available" && k < p.feed_pumps.installed as usize => {
            let mut d = Draft::shown(sim, device, name);
            let head = sim.outputs().measured.suction_head;
            let e = d.link_of("unit", "suction_head_available", head);
            d.is(head, e, DEFINITION)
        }
        Of::Open | Of::Pump(_) | Of::Casing(_) => Ok(None),
    }
}

/// Saturation temperature beside a shown pressure [MPa].
fn saturation(mut d: Draft, pressure: f64) -> Found {
    let mut at = d.link("shell_pressure", pressure);
    let (low, high) = SATURATION;
    if !(low..=high).contains(&pressure) {
        d.case("out_of_range");
        at = min(max(at, number(low)), number(high));
    }
    d.is(transmitters::saturation(pressure), call(Function::SaturationTemperature, [at]), IAPWS)
}

fn closed(sim: &Sim, k: usize, name: &str) -> Found {
    let (p, s) = (sim.params(), sim.state());
    let id = p.closed[k].heater.id.as_str();
    let first = Of::Closed(k).first(p.closed.len());
    let [pressure, water_in, water_out, drain] =
        [0, 1, 2, 3].map(|at| s.instruments.process(&p.instruments, first + at));
    let mut d = Draft::shown(sim, id, name);
    match name {
        "saturation_temperature" => saturation(d, pressure),
        "ttd" => {
            let ts = transmitters::saturation(pressure);
            let e = d.link("saturation_temperature", ts) - d.link("fw_out_temperature", water_out);
            d.is(ts - water_out, e, PTC_12)
        }
        "dca" => {
            let e = d.link("drain_temperature", drain) - d.link("fw_in_temperature", water_in);
            d.is(drain - water_in, e, PTC_12)
        }
        "fw_ramp" => {
            let (Some(now), Some(then)) =
                (s.instruments.ramps.get(k), sim.previous().instruments.ramps.get(k))
            else {
                return Ok(None);
            };
            let outlet = d.link("fw_out_temperature", now.last());
            let before = d.before("fw_out_temperature", then.last());
            let was = d.before("fw_ramp", then.rate);
            ramp(d, now.rate, (outlet, before), was)
        }
        _ => Ok(None),
    }
}

/// Rate of change as a meter gives it: `now` of the temperatures and its last reading.
pub(super) fn ramp(
    mut d: Draft,
    value: f64,
    (now, then): (super::Expr, super::Expr),
    was: super::Expr,
) -> Found {
    let lag = d.constant("T", "rate_lag", of(Q::Duration), RATE_LAG, PRACTICE);
    let dt = d.step();
    let minute = d.constant("k", "seconds_per_minute", fixed("s/min"), 60.0, DEFINITION);
    let fresh = (now - then) / dt.clone() * minute;
    let e = was.clone() + (fresh - was) * dt.clone() / (lag + 0.5 * dt);
    d.is(value, e, PRACTICE)
}

fn unit(sim: &Sim, name: &str) -> Found {
    let (p, o, b) = (sim.params(), sim.outputs(), sim.balance());
    let mut d = Draft::shown(sim, "unit", name);
    let m = &o.measured;
    let gross = m.gross;
    let heat_rate = signals::heat_rate(sim);
    match (name, heat_rate) {
        ("load", _) => {
            let w = d.link("throttle_flow", m.steam_flow);
            let design = d.plant(
                "ṁ_0,d",
                "design_steam_flow",
                of(Q::MassFlow),
                p.boiler.steam_flow,
                "boiler.steam_flow",
            );
            d.is(m.steam_flow / p.boiler.steam_flow, w / design, DEFINITION)
        }
        ("net_output", _) => {
            let e = d.link("gross_output", gross) - d.link("auxiliary", o.auxiliary);
            d.is(gross - o.auxiliary, e, DEFINITION)
        }
        ("heat_rate", Some(rate)) => {
            let added = d.link("heat_added", o.heat_added);
            let k = d.constant("k", "seconds_per_hour", of(Q::HeatRate), 3600.0, DEFINITION);
            let e = added / d.link("gross_output", gross) * k;
            d.is(rate, e, DEFINITION)
        }
        ("heat_rate_change", Some(rate)) => {
            let now = d.link("heat_rate", rate);
            let design = d.sized("HR_d", "design_heat_rate", of(Q::HeatRate), b.heat_rate);
            d.is(rate - b.heat_rate, now - design, DEFINITION)
        }
        ("heat_rate" | "heat_rate_change", None) => {
            d.case("no_output");
            d.is(0.0, sum(Vec::new()), DEFINITION)
        }
        ("suction_head_margin", _) => {
            let e = d.link("suction_head_available", m.suction_head)
                - d.link("suction_head_required", o.feed.npsh_required);
            d.is(m.suction_head - o.feed.npsh_required, e, DEFINITION)
        }
        _ => Ok(None),
    }
}
