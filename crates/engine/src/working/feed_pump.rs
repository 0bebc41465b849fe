//! The feed pumps: suction, head, speed, power. Their results are signals of the unit; what is reckoned on the way
//! belongs to `feed_pumps`.

use super::expr::{Function, call, max, number, root, square};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, PRACTICE, Why, Working, fixed, of};
use crate::fault::Fault;
use crate::feed_pump::{GRAVITY, Params};
use crate::network;
use crate::sim::Sim;
use steam::units::Quantity as Q;

const PUMPS: &str = "feed_pumps";

type Found = Result<Option<Working>, Fault>;

/// Level of the storage tank that the step saw [mm about normal].
fn level_before(sim: &Sim) -> Result<f64, Fault> {
    let p = &sim.params().open;
    Ok((crate::open_heater::level(p, &sim.previous().plant.open)? - p.normal_level) * 1e3)
}

/// Weight of a metre of water at the suction [MPa].
fn per_metre(sim: &Sim, d: &mut Draft) -> super::Expr {
    let t = d.link_of("unit", "feed_pump_suction_temperature", sim.outputs().suction_t);
    let g = d.constant("g", "gravity", fixed("m/s²"), GRAVITY, DEFINITION);
    let mega = d.constant("k_p", "pascals_per_mpa", fixed("Pa/MPa"), 1e6, DEFINITION);
    g / (call(Function::LiquidVolumeAt, [t]) * mega)
}

fn shares(sim: &Sim) -> (f64, f64, f64) {
    let (p, f) = (&sim.params().feed_pumps, &sim.outputs().feed);
    let share = |p: &Params| {
        if p.running == 0 {
            return 0.0;
        }
        f.flow / p.design_flow * f64::from(p.design_running) / f64::from(p.running)
    };
    let q = share(p);
    let n = f.speed / p.speed;
    let off = if n > 0.0 { q / n - 1.0 } else { 1.0 };
    (q, n, p.efficiency * (1.0 - 0.6 * off * off).max(0.3))
}

/// The working of one of the pumps' numbers among the unit's.
pub fn of_unit(sim: &Sim, name: &str) -> Found {
    let (p, f) = (&sim.params().feed_pumps, &sim.outputs().feed);
    let (q, n, _) = shares(sim);
    let mut d = Draft::new(sim, "unit", name);
    match name {
        "feed_pump_discharge" => {
            let back = d.sized("p_b", "back_pressure", of(Q::Pressure), p.back_pressure);
            let loss = d.sized("Δp_l,0", "line_loss_design", of(Q::Pressure), p.line_loss);
            let w = d.link("feed_flow", f.flow);
            let design = d.sized("ṁ_fw,0", "design_water_flow", of(Q::MassFlow), p.design_flow);
            d.is(f.discharge, back + loss * square(w / design), PRACTICE)
        }
        "feed_pump_power" => {
            let w = d.link("feed_flow", f.flow);
            let rise = d.link_of(PUMPS, "rise", f.rise);
            let eta = d.plant(
                "η_d",
                "drive_efficiency",
                of(Q::Fraction),
                p.drive_efficiency,
                "feed_pumps.drive_efficiency",
            );
            d.is(f.power, w * rise / eta, CONSERVATION)
        }
        "feed_pump_speed" => {
            let share = d.link_of(PUMPS, "speed_share", n);
            let design = d.plant("n_0", "design_speed", of(Q::Speed), p.speed, "feed_pumps.equipment.speed");
            d.is(f.speed, share * design, DEFINITION)
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
        "suction_head_margin" => {
            let e = d.link("suction_head_available", f.npsh_available)
                - d.link("suction_head_required", f.npsh_required);
            d.is(f.npsh_available - f.npsh_required, e, DEFINITION)
        }
        "suction_head_required" => {
            let design = d.plant(
                "NPSH_r,0",
                "suction_head_required_design",
                of(Q::Length),
                p.npsh_required,
                "feed_pumps.equipment.npsh_required",
            );
            let n = d.link_of(PUMPS, "speed_share", n);
            let q = d.link_of(PUMPS, "flow_share", q);
            let (a, b) = (
                d.constant("a", "speed_part", of(Q::Ratio), 0.6, PRACTICE),
                d.constant("b", "flow_part", of(Q::Ratio), 0.4, PRACTICE),
            );
            d.is(f.npsh_required, design * (a * square(n) + b * square(q)), PRACTICE)
        }
        _ => Ok(None),
    }
}

/// The working of one of the pumps' own numbers.
pub fn working(sim: &Sim, name: &str) -> Found {
    let (p, f) = (&sim.params().feed_pumps, &sim.outputs().feed);
    let (q, n, eta) = shares(sim);
    let mut d = Draft::new(sim, PUMPS, name);
    match name {
        "suction_enthalpy" => d.read(sim.previous().plant.suction.leaving(), Why::Pipe),
        "suction_pressure" => {
            let tank =
                d.before_of(&sim.params().open.id, "shell_pressure", sim.previous().plant.open.pressure);
            let head = d.plant(
                "H_s",
                "suction_static_head",
                of(Q::Length),
                p.suction_head,
                "feed_pumps.equipment.suction_head",
            );
            let level = d.before_of(&sim.params().open.id, "level_true", level_before(sim)?);
            let mm = d.constant("k", "metres_per_millimetre", fixed("m/mm"), 1e-3, DEFINITION);
            let loss = d.plant(
                "H_l",
                "suction_loss_design",
                of(Q::Length),
                p.suction_loss,
                "feed_pumps.equipment.suction_loss",
            );
            let w = d.link_of("unit", "feed_flow", f.flow);
            let design = d.sized("ṁ_fw,0", "design_water_flow", of(Q::MassFlow), p.design_flow);
            let each = per_metre(sim, &mut d);
            d.is(f.suction, tank + (head + level * mm - loss * square(w / design)) * each, CONSERVATION)
        }
        "head" => {
            let up =
                d.link_of("unit", "feed_pump_discharge", f.discharge) - d.link("suction_pressure", f.suction);
            let each = per_metre(sim, &mut d);
            d.is(head(sim)?, up / each, DEFINITION)
        }
        "flow_share" => {
            let w = d.link_of("unit", "feed_flow", f.flow);
            let design = d.sized("ṁ_fw,0", "design_water_flow", of(Q::MassFlow), p.design_flow);
            let then = d.plant(
                "z_0",
                "pumps_at_design",
                of(Q::Count),
                f64::from(p.design_running),
                "feed_pumps.equipment",
            );
            let now = d.plant(
                "z",
                "pumps_running",
                of(Q::Count),
                f64::from(p.running),
                "feed_pumps.equipment.running",
            );
            if p.running == 0 {
                d.case("no_flow");
                return d.is(q, number(0.0), DEFINITION);
            }
            d.is(q, w / design * then / now, DEFINITION)
        }
        "speed_share" => {
            let h = d.link("head", head(sim)?);
            let design = d.sized("H_0", "head_design", of(Q::Length), p.design_head);
            let s =
                d.plant("s", "shutoff_ratio", of(Q::Ratio), p.shutoff, "feed_pumps.equipment.shutoff_head");
            let q = d.link("flow_share", q);
            let e = (h / design + (s.clone() - 1.0) * square(q)) / s;
            d.is(n, root(max(e, number(0.0))), PRACTICE)
        }
        "efficiency" => {
            let best =
                d.plant("η_0", "efficiency_design", of(Q::Fraction), p.efficiency, "feed_pumps.efficiency");
            let k = d.constant("k_η", "efficiency_curve", of(Q::Ratio), 0.6, PRACTICE);
            let least = d.constant("k_0", "least_efficiency_share", of(Q::Ratio), 0.3, PRACTICE);
            let (q, n_) = (d.link("flow_share", q), d.link("speed_share", n));
            let off = if n > 0.0 { q / n_ - 1.0 } else { number(1.0) };
            d.is(eta, best * max(1.0 - k * square(off), least), PRACTICE)
        }
        "rise" => {
            let up =
                d.link_of("unit", "feed_pump_discharge", f.discharge) - d.link("suction_pressure", f.suction);
            let t = d.link_of("unit", "feed_pump_suction_temperature", sim.outputs().suction_t);
            let kilo = d.constant("k", "kilojoules_per_mpa_m3", fixed("kJ/(MPa·m³)"), 1e3, DEFINITION);
            let e = d.link("efficiency", eta);
            let v = call(Function::LiquidVolumeAt, [t]);
            d.is(f.rise, max(up, number(0.0)) * v * kilo / e, CONSERVATION)
        }
        _ => Ok(None),
    }
}

/// Head that the pumps give [m].
fn head(sim: &Sim) -> Result<f64, Fault> {
    let f = &sim.outputs().feed;
    let (_, s) = network::suction(sim.params(), &sim.previous().plant, level_before(sim)?)?;
    Ok((f.discharge - f.suction) / (GRAVITY / s.volume * 1e-6))
}
