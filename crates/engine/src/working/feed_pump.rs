//! The feed pumps: suction, header, and each pump's head, speed, flow and power. What the unit shows of them are signals of
//! the unit, each pump's numbers are its own; what is reckoned on the way for all of them belongs to `feed_pumps`.

use super::expr::{Expr, Function, call, exp, max, number, root, square, sum};
use super::pump::Point;
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, PRACTICE, Why, Working, fixed, of};
use crate::casing::ROOM;
use crate::event::Device;
use crate::fault::Fault;
use crate::feed_pump::PumpOutputs;
use crate::pump::GRAVITY;
use crate::sim::Sim;
use steam::units::Quantity as Q;

const PUMPS: &str = "feed_pumps";
const EQUIPMENT: &str = "feed_pumps.equipment";

type Found = Result<Option<Working>, Fault>;

/// Level of the storage tank that the step saw [mm about normal].
fn level_before(sim: &Sim) -> Result<f64, Fault> {
    let p = &sim.params().open;
    Ok((crate::open_heater::level(p, &sim.previous().plant.open)? - p.normal_level) * 1e3)
}

/// Weight of a metre of water at the suction [MPa].
fn per_metre(sim: &Sim, d: &mut Draft) -> Expr {
    let t = d.link_of("unit", "feed_pump_suction_temperature", sim.outputs().suction_t);
    let g = d.constant("g", "gravity", fixed("m/s²"), GRAVITY, DEFINITION);
    let mega = d.constant("k_p", "pascals_per_mpa", fixed("Pa/MPa"), 1e6, DEFINITION);
    g / (call(Function::LiquidVolumeAt, [t]) * mega)
}

/// Pressure that the tank and the static head give at the pumps' height [MPa].
fn tank_and_head(sim: &Sim, d: &mut Draft) -> Result<(Expr, Expr), Fault> {
    let p = &sim.params().feed_pumps;
    let tank = d.before_of(&sim.params().open.id, "shell_pressure", sim.previous().plant.open.pressure);
    let place = format!("{EQUIPMENT}.suction_head");
    let head = d.plant("H_s", "suction_static_head", of(Q::Length), p.suction_head, &place);
    let level = d.before_of(&sim.params().open.id, "level_true", level_before(sim)?);
    let mm = d.constant("k", "metres_per_millimetre", fixed("m/mm"), 1e-3, DEFINITION);
    Ok((tank, head + level * mm))
}

/// Ids of the pumps with what each gives.
fn each(sim: &Sim) -> impl Iterator<Item = (String, &PumpOutputs)> {
    sim.outputs().feed.pumps.iter().enumerate().map(|(k, x)| (Device::FeedPump(k).pump_id(), x))
}

/// Enthalpy that a pump's water has when it leaves, beyond the suction's: given by the pump, less what its casing took.
fn given(d: &mut Draft, id: &str, x: &PumpOutputs) -> Expr {
    let rise = d.link_of(id, "rise", x.rise);
    if x.casing_heat == 0.0 { rise } else { rise - d.link_of(id, "casing_cooling", x.cooled) }
}

fn largest(parts: Vec<Expr>) -> Expr {
    parts.into_iter().fold(number(0.0), max)
}

/// The working of one of the pumps' numbers among the unit's.
pub fn of_unit(sim: &Sim, name: &str) -> Found {
    let (p, f) = (&sim.params().feed_pumps, &sim.outputs().feed);
    let mut d = Draft::new(sim, "unit", name);
    match name {
        "feed_pump_discharge" if f.onward > 0.0 => {
            let back = d.sized("p_b", "back_pressure", of(Q::Pressure), p.back_pressure);
            let loss = d.sized("Δp_l,0", "line_loss_design", of(Q::Pressure), p.line_loss);
            let mut w = d.link("feed_flow", f.flow);
            let closed = sim.params().closed.iter().zip(&sim.outputs().closed).take(sim.params().high);
            for (q, c) in closed.filter(|(_, c)| c.leak > 0.0) {
                w = w - d.link_of(&q.heater.id, "leak_flow", c.leak);
            }
            let design = d.sized("ṁ_fw,0", "design_water_flow", of(Q::MassFlow), p.design_flow);
            d.is(f.discharge, back + loss * square(w / design), PRACTICE)
        }
        "feed_pump_discharge" => {
            d.case(if f.flow > 0.0 { "leaks_alone" } else { "no_flow" });
            let own: Vec<Expr> =
                each(sim).map(|(id, x)| d.link_of(&id, "pump_discharge", x.discharge)).collect();
            d.is(f.discharge, largest(own), DEFINITION)
        }
        "feed_pump_power" => {
            let parts = each(sim).map(|(id, x)| d.link_of(&id, "power", x.power)).collect();
            d.is(f.power, sum(parts), CONSERVATION)
        }
        "feed_pump_speed" => {
            let parts = each(sim).map(|(id, x)| d.link_of(&id, "speed", x.speed)).collect();
            d.is(f.speed, largest(parts), DEFINITION)
        }
        "feed_pump_suction_temperature" => {
            let h = d.link_of(PUMPS, "suction_enthalpy", sim.previous().plant.suction.leaving());
            d.is(sim.outputs().suction_t, call(Function::SaturatedAt, [h]), IAPWS)
        }
        "suction_head_available" => {
            let at = d.link_of(PUMPS, "suction_pressure", f.suction);
            let t = d.link("feed_pump_suction_temperature", sim.outputs().suction_t);
            let each = per_metre(sim, &mut d);
            d.is(f.npsh_available, (at - call(Function::SaturationPressure, [t])) / each, CONSERVATION)
        }
        "suction_head_required" => {
            let parts =
                each(sim).map(|(id, x)| d.link_of(&id, "suction_head_required", x.npsh_required)).collect();
            d.is(f.npsh_required, largest(parts), DEFINITION)
        }
        _ => Ok(None),
    }
}

/// The working of one of the numbers that all pumps share.
pub fn working(sim: &Sim, name: &str) -> Found {
    let (p, f) = (&sim.params().feed_pumps, &sim.outputs().feed);
    let mut d = Draft::new(sim, PUMPS, name);
    match name {
        "suction_enthalpy" => d.read(sim.previous().plant.suction.leaving(), Why::Pipe),
        "suction_pressure" => {
            let (tank, head) = tank_and_head(sim, &mut d)?;
            let place = format!("{EQUIPMENT}.suction_loss");
            let loss = d.plant("H_l", "suction_loss_design", of(Q::Length), p.suction_loss, &place);
            let w = d.before("drawn", sim.previous().plant.feed.drawn);
            let design = d.sized("ṁ_su,0", "design_drawn_flow", of(Q::MassFlow), p.design_drawn);
            let each = per_metre(sim, &mut d);
            d.is(f.suction, tank + (head - loss * square(w / design)) * each, CONSERVATION)
        }
        "return_pressure" => {
            let (tank, head) = tank_and_head(sim, &mut d)?;
            let each = per_metre(sim, &mut d);
            d.is(f.return_pressure, tank + head * each, CONSERVATION)
        }
        "drawn" => {
            let mut parts = vec![d.link_of("unit", "feed_flow", f.flow)];
            for (id, x) in each(sim) {
                parts.push(d.link_of(&id, "recirculation_flow", x.back));
                if x.warm > 0.0 {
                    parts.push(d.link_of(&id, "warm_up_flow", x.warm));
                }
            }
            d.is(sim.state().plant.feed.drawn, sum(parts), CONSERVATION)
        }
        "rise" => {
            let (mut work, mut flow) = (Vec::new(), Vec::new());
            for (id, x) in each(sim).filter(|(_, x)| x.flow > x.back) {
                let w = d.link_of(&id, "pump_flow", x.flow) - d.link_of(&id, "recirculation_flow", x.back);
                work.push(w.clone() * given(&mut d, &id, x));
                flow.push(w);
            }
            if flow.is_empty() {
                d.case("no_flow");
                return d.is(f.rise, number(0.0), DEFINITION);
            }
            d.is(f.rise, sum(work) / sum(flow), CONSERVATION)
        }
        "back_work" => {
            let mut parts = Vec::new();
            for (id, x) in each(sim) {
                let w = d.link_of(&id, "recirculation_flow", x.back);
                parts.push(w * given(&mut d, &id, x));
            }
            d.is(f.back_work, sum(parts), CONSERVATION)
        }
        "warm_up_work" if p.casing.is_some() => {
            let mut parts = Vec::new();
            for (id, x) in each(sim).filter(|(_, x)| x.warm > 0.0) {
                let left = d.link("rise", f.rise) - d.link_of(&id, "casing_cooling", x.cooled);
                parts.push(d.link_of(&id, "warm_up_flow", x.warm) * left);
            }
            d.is(f.warm_work, sum(parts), CONSERVATION)
        }
        "casing_heat" | "casing_loss" if p.casing.is_some() => {
            let heat = name == "casing_heat";
            let own = |x: &PumpOutputs| if heat { x.casing_heat } else { x.casing_loss };
            let parts = each(sim).map(|(id, x)| d.link_of(&id, name, own(x))).collect();
            d.is(if heat { f.casing_heat } else { f.casing_loss }, sum(parts), CONSERVATION)
        }
        _ => Ok(None),
    }
}

/// The working of one of a pump's own numbers.
pub fn of_pump(sim: &Sim, k: usize, name: &str) -> Found {
    let (p, f) = (&sim.params().feed_pumps, &sim.outputs().feed);
    let id = Device::FeedPump(k).pump_id();
    let (Some(out), Some(x), Some(was)) =
        (f.pumps.get(k), sim.state().plant.feed.pumps.get(k), sim.previous().plant.feed.pumps.get(k))
    else {
        return Ok(None);
    };
    let wrong = sim.outputs().conditions.feed_pumps.get(k).copied().unwrap_or_default();
    let c = &p.curve;
    let (n, q) = (x.rotor.speed, out.flow / c.flow);
    let at = Point { curve: c, speed: n, flow: q };
    let mut d = Draft::new(sim, &id, name);
    match name {
        "pump_flow" => {
            d.see("pump_head");
            d.see("pump_discharge");
            d.read(out.flow, Why::Root)
        }
        "speed_share" => {
            let speed = d.link("speed", out.speed);
            let place = format!("{EQUIPMENT}.speed");
            let design = d.plant("n_0", "design_speed", of(Q::Speed), p.speed, &place);
            d.is(n, speed / design, DEFINITION)
        }
        "flow_share" => at.flow_share(d, out.flow),
        "pump_head" => {
            let place = format!("{EQUIPMENT}.shutoff_head");
            at.head(d, |d| d.plant("s", "shutoff_ratio", of(Q::Ratio), c.shutoff, &place))
        }
        "head_left" => {
            let vapour = d.before("vapour", was.rotor.vapour);
            let worn = d.sized("w", "head_lost_to_wear", of(Q::Fraction), wrong.wear);
            d.is(out.strength, vapour * (1.0 - worn), PRACTICE)
        }
        "vapour" => d.read(x.rotor.vapour, Why::Follows),
        "pump_discharge" => {
            let at = d.link_of(PUMPS, "suction_pressure", f.suction);
            let head = d.link("pump_head", c.head(n, q));
            let left = d.link("head_left", out.strength);
            let each = per_metre(sim, &mut d);
            d.is(out.discharge, at + head * left * each, CONSERVATION)
        }
        "recirculation_flow" => {
            let most = d.sized("C", "recirculation_coefficient", fixed("kg/(s·MPa^½)"), p.back_coefficient());
            let y = d.link("recirculation_valve", x.recirculation.opening);
            let from = d.link("pump_discharge", out.discharge);
            let to = d.link_of(PUMPS, "return_pressure", f.return_pressure);
            d.is(out.back, most * y * root(max(from - to, number(0.0))), PRACTICE)
        }
        "pump_efficiency" => at.efficiency(d, "feed_pumps.efficiency"),
        // The vapour is taken as it is after the step's flow is known, before it moves on.
        "rise" => at.rise(d, out.rise, |d| d.before("vapour", was.rotor.vapour)),
        "power" => {
            let w = d.link("pump_flow", out.flow);
            let rise = d.link("rise", out.rise);
            let place = "feed_pumps.drive_efficiency";
            let eta = d.plant("η_d", "drive_efficiency", of(Q::Fraction), p.drive_efficiency, place);
            d.is(out.power, w * rise / eta, CONSERVATION)
        }
        "suction_head_required" => {
            let place = format!("{EQUIPMENT}.npsh_required");
            let design =
                d.plant("NPSH_r,0", "suction_head_required_design", of(Q::Length), c.npsh_required, &place);
            let (n, q) = (d.link("speed_share", n), d.link("flow_share", q));
            let (a, b) = (
                d.constant("a", "speed_part", of(Q::Ratio), 0.6, PRACTICE),
                d.constant("b", "flow_part", of(Q::Ratio), 0.4, PRACTICE),
            );
            d.is(out.npsh_required, design * (a * square(n) + b * square(q)), PRACTICE)
        }
        "warm_up_flow" if !(out.warm > 0.0) => {
            d.case("no_flow");
            d.is(0.0, number(0.0), PRACTICE)
        }
        "warm_up_flow" => {
            let Some(c) = &p.casing else { return Ok(None) };
            let most = d.sized("C_w", "warm_up_coefficient", fixed("kg/(s·MPa^½)"), c.coefficient);
            let y = d.link("warm_up_valve", x.casing.map_or(0.0, |c| c.valve.opening));
            let from = d.link_of("unit", "feed_pump_discharge", f.discharge);
            let to = d.link("pump_discharge", out.discharge);
            d.is(out.warm, most * y * root(from - to), PRACTICE)
        }
        _ => of_casing(sim, k, d, name),
    }
}

/// The working of one of the numbers of a feed pump's casing, where it is followed.
fn of_casing(sim: &Sim, k: usize, mut d: Draft, name: &str) -> Found {
    let (feed, was) = (&sim.outputs().feed, &sim.previous().plant.feed);
    let (Some(c), Some(out)) = (&sim.params().feed_pumps.casing, feed.pumps.get(k)) else { return Ok(None) };
    let casing = |s: &crate::feed_pump::State| s.pumps.get(k).and_then(|x| x.casing).map(|x| x.temperature);
    let (Some(then), Some(now)) = (casing(was), casing(&sim.state().plant.feed)) else { return Ok(None) };
    let flow = out.flow + out.warm;
    let water =
        if flow > 0.0 && !(out.forward() > 0.0) { out.warm / flow * feed.rise / c.water } else { 0.0 };
    let water = sim.outputs().suction_t + water;
    let room = |d: &mut Draft| d.constant("t_r", "room_temperature", of(Q::Temperature), ROOM, PRACTICE);
    let loss = |d: &mut Draft| d.sized("U_ca", "casing_loss_conductance", of(Q::Conductance), c.loss);
    let capacity = |d: &mut Draft| d.sized("c_w", "casing_water_capacity", fixed("kJ/(kg·K)"), c.water);
    let mean = |d: &mut Draft| {
        (d.before("casing_temperature", then) + d.link("casing_temperature", now)) * number(0.5)
    };
    match name {
        "casing_temperature" => {
            let t = d.before("casing_temperature", then);
            let a = d.link("casing_conductance", c.to_water(flow));
            let (u, room) = (loss(&mut d), room(&mut d));
            let held = d.sized("C_ca", "casing_capacity", fixed("kJ/K"), c.capacity);
            let gained = a.clone() * (d.link("casing_water_temperature", water) - t.clone())
                - u.clone() * (t.clone() - room);
            // By the mean of the step.
            let e = t + gained / (held / d.step() + 0.5 * (a + u));
            d.is(now, e, CONSERVATION)
        }
        "casing_conductance" if !(flow > 0.0) => {
            d.case("no_flow");
            d.is(0.0, number(0.0), PRACTICE)
        }
        "casing_conductance" => {
            let w = d.link("pump_flow", out.flow) + d.link("warm_up_flow", out.warm);
            let wc = w * capacity(&mut d);
            let g = d.sized("G_ca", "casing_conductance_design", of(Q::Conductance), c.conductance);
            d.is(c.to_water(flow), wc.clone() * (1.0 - exp(number(0.0) - g / wc)), PRACTICE)
        }
        "casing_water_temperature" => {
            let t = d.link_of("unit", "feed_pump_suction_temperature", sim.outputs().suction_t);
            if !(out.warm > 0.0) {
                return d.is(water, t, DEFINITION);
            }
            let warm = d.link("warm_up_flow", out.warm);
            let all = d.link("pump_flow", out.flow) + warm.clone();
            let rise = d.link_of(PUMPS, "rise", feed.rise);
            let e = t + warm / all * rise / capacity(&mut d);
            d.is(water, e, CONSERVATION)
        }
        "casing_heat" => {
            let a = d.link("casing_conductance", c.to_water(flow));
            let t = d.link("casing_water_temperature", water);
            let e = a * (t - mean(&mut d));
            d.is(out.casing_heat, e, CONSERVATION)
        }
        "casing_loss" => {
            let e = loss(&mut d) * (mean(&mut d) - room(&mut d));
            d.is(out.casing_loss, e, CONSERVATION)
        }
        "casing_cooling" if flow > 0.0 => {
            let q = d.link("casing_heat", out.casing_heat);
            let w = d.link("pump_flow", out.flow) + d.link("warm_up_flow", out.warm);
            d.is(out.cooled, q / w, CONSERVATION)
        }
        "casing_cooling" => {
            d.case("no_flow");
            d.is(0.0, number(0.0), DEFINITION)
        }
        "casing_difference" => {
            let t = d.link_of("unit", "feed_pump_suction_temperature", sim.outputs().suction_t);
            let e = t - d.link("casing_temperature", now);
            d.is(sim.outputs().suction_t - now, e, DEFINITION)
        }
        _ => Ok(None),
    }
}
