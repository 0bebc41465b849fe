//! Moisture separator and steam reheater: numbers of the turbine between its cylinders, and of the unit.

use super::expr::{Function, call, max, number, root, square};
use super::turbine::{
    Marched, before_group, before_resistance, behind_point, extraction_term, march, point_name, stage_flow,
};
use super::{CONSERVATION, Draft, IAPWS, PRACTICE, STODOLA, Why, Working, fixed, of};
use crate::falling::Arrived;
use crate::fault::Fault;
use crate::separator::{self as model, MOST_HEATING, Params, State};
use crate::sim::Sim;
use steam::units::Quantity as Q;

/// The case of steam that goes from below to the extractions above, as while the throttle shuts.
const BACKWARDS: &str = "runs_back";

type Found = Result<Option<Working>, Fault>;

/// A drain that is led to a heater.
pub struct LedTo {
    /// Stem of its numbers' names.
    pub name: &'static str,
    /// Heater that it is meant for, by its index among all.
    pub heater: Option<usize>,
}

/// Drains of separator and reheater, with what arrived of them in this step.
pub fn led(sim: &Sim) -> Vec<(LedTo, Arrived)> {
    let Some(q) = &sim.params().turbine.separator else { return Vec::new() };
    let o = &sim.outputs().led;
    let mut all = vec![(LedTo { name: "separator_drain", heater: q.drain.heater }, o[0])];
    if let Some(r) = &q.reheater {
        all.push((LedTo { name: "heating_drain", heater: r.drain.heater }, o[1]));
    }
    all
}

/// What is led to a heater: name of the flow's number, flow [kg/s], enthalpy [kJ/kg].
pub fn arriving(sim: &Sim, heater: usize) -> Vec<(String, f64, f64)> {
    let all = led(sim).into_iter().filter(|(to, _)| to.heater == Some(heater));
    all.map(|(to, a)| (to.name.to_owned(), a.there, a.enthalpy)).collect()
}

/// The separator, its state before the step and after it.
fn parts(sim: &Sim) -> Option<(&Params, &State, &State)> {
    let q = sim.params().turbine.separator.as_ref()?;
    Some((q, &sim.previous().plant.turbine.separator, &sim.state().plant.turbine.separator))
}

/// The working of one of its numbers among the turbine's.
pub fn working(sim: &Sim, mut d: Draft, name: &str) -> Found {
    let Some((q, was, x)) = parts(sim) else { return Ok(None) };
    let p = sim.params();
    let wet = sim.state().plant.turbine.points[q.after];
    let group = q.after + 2; // as the groups are numbered
    for (to, a) in led(sim) {
        let value = match name.strip_prefix(to.name) {
            Some("_arrived") => a.there,
            Some("_away") => a.away,
            Some("_arriving_enthalpy") => a.enthalpy,
            _ => continue,
        };
        return d.read(value, Why::Pipe);
    }
    match name {
        "reheated_pressure" => {
            let m = march(sim)?;
            let e = before_group(sim, &mut d, &m, q.after + 1);
            d.is(m.hot, e, STODOLA)
        }
        "moisture_share" => {
            let at = d.link_of("unit", "separator_pressure", x.pressure);
            let h = behind_point(sim, &mut d, q.after);
            let place = "turbine.moisture_separator.efficiency";
            let eta = d.plant("ε", "separator_efficiency", of(Q::Fraction), q.efficiency, place);
            let (hf, hg) =
                (call(Function::LiquidEnthalpy, [at.clone()]), call(Function::SteamEnthalpy, [at]));
            d.is(x.moisture, eta * max((hg.clone() - h) / (hg - hf), number(0.0)), PRACTICE)
        }
        "dry_enthalpy" => {
            let at = d.link_of("unit", "separator_pressure", x.pressure);
            let h = behind_point(sim, &mut d, q.after);
            let share = d.link("moisture_share", x.moisture);
            let hf = call(Function::LiquidEnthalpy, [at]);
            d.is(x.dry, (h - share.clone() * hf) / (1.0 - share), CONSERVATION)
        }
        "pv_wet" => {
            let (device, at) = point_name(sim, q.after);
            let at = d.link_of(&device, at, wet.pressure);
            let h = behind_point(sim, &mut d, q.after);
            d.is(x.pv.0, at.clone() * call(Function::Volume, [at, h]), IAPWS)
        }
        "pv_dry" => {
            let at = d.link_of("unit", "separator_pressure", x.pressure);
            let h = d.link("dry_enthalpy", x.dry);
            d.is(x.pv.1, at.clone() * call(Function::Volume, [at, h]), IAPWS)
        }
        "separator_passing" => {
            // What leaves, and what was taken out of it, by the share of the step before.
            let m = march(sim)?;
            let w = d.link(&format!("passing_{group}"), m.passing[q.after + 1]);
            let passing = m.passing[q.after + 1];
            if !(passing > 0.0) {
                d.case(BACKWARDS);
                return d.is(passing, w, CONSERVATION);
            }
            let share = d.before("moisture_share", was.moisture);
            d.is(passing / (1.0 - was.moisture), w / (1.0 - share), CONSERVATION)
        }
        "heating_pressure" => {
            let Some(r) = &q.reheater else { return Ok(None) };
            let m = march(sim)?;
            let passing = m.passing[q.after + 1];
            let mut w = d.link(&format!("passing_{group}"), passing);
            if !(passing > 0.0) {
                d.case(BACKWARDS);
                w = max(w, number(0.0));
            }
            let share = d.before("heating_share", was.heating);
            let c = d.sized("C", "flow_coefficient", fixed("kg/s·(m³/kg/MPa)^½"), r.line);
            let place = "boiler.steam_pressure";
            let main = d.plant("p_ms", "main_steam_pressure", of(Q::Pressure), r.source.pressure, place);
            let h = d.plant("h_0", "main_steam_enthalpy", of(Q::Enthalpy), r.source.enthalpy, "boiler");
            let pv = main.clone() * call(Function::Volume, [main.clone(), h]);
            let e = root(max(square(main.clone()) - square(w * share / c) * pv, 0.25 * square(main)));
            d.is(x.heating_pressure, e, STODOLA)
        }
        "heating_temperature" => {
            let at = d.link("heating_pressure", x.heating_pressure);
            d.is(x.heating_t, call(Function::SaturationTemperature, [at]), IAPWS)
        }
        "heating_share" => {
            if q.reheater.is_none() {
                return Ok(None);
            }
            let m = march(sim)?;
            let flow = m.passing[q.after + 1];
            let most = m.found.as_ref().map(|f| model::most_heating(f.throttle, flow));
            if most == Some(x.heating) {
                // No more than a share of what there is.
                d.case("more_than_the_boiler_makes");
                let k = d.constant("k_h", "most_heating", of(Q::Ratio), MOST_HEATING, PRACTICE);
                let made = d.link_of("unit", "throttle_flow", sim.outputs().throttle);
                let w = d.link(&format!("passing_{group}"), m.passing[q.after + 1]);
                return d.is(x.heating, k * made / w, PRACTICE);
            }
            // Heat that the steam gained, over what a kilogram of heating steam gives as it condenses.
            let out =
                d.link(&format!("enthalpy_in_{group}"), sim.state().plant.turbine.groups[q.after + 1].0);
            let dry = d.link("dry_enthalpy", x.dry);
            let main =
                d.plant("h_0", "main_steam_enthalpy", of(Q::Enthalpy), p.turbine.main_enthalpy, "boiler");
            let at = d.link("heating_pressure", x.heating_pressure);
            let hf = call(Function::LiquidEnthalpy, [at]);
            d.is(x.heating, (out - dry) / (main - hf), CONSERVATION)
        }
        _ => Ok(None),
    }
}

/// The working of the enthalpy with which the steam leaves for the next group.
pub fn leaving(sim: &Sim, mut d: Draft) -> Found {
    let Some((q, _, x)) = parts(sim) else { return Ok(None) };
    let value = sim.state().plant.turbine.groups[q.after + 1].0;
    if q.reheater.is_none() {
        let dry = d.link("dry_enthalpy", x.dry);
        return d.is(value, dry, CONSERVATION);
    }
    // Dried and heated against the heating steam's temperature as far as the surface reaches; its mean heat capacity
    // depends on how far that is.
    d.see("dry_enthalpy");
    d.see("heating_temperature");
    d.read(value, Why::Root)
}

/// The working of the pressure before the separator, at a point of the turbine.
pub fn crossover(sim: &Sim, mut d: Draft, m: &Marched) -> Found {
    let Some((q, was, x)) = parts(sim) else { return Ok(None) };
    let value = sim.state().plant.turbine.points[q.after].pressure;
    let behind = d.link_of("unit", "separator_pressure", x.pressure);
    let passing = m.passing[q.after + 1];
    let w = if passing > 0.0 { passing / (1.0 - was.moisture) } else { passing };
    let e = before_resistance(&mut d, q.coefficient, ("separator_passing", w), ("pv_wet", was.pv.0), behind);
    d.is(value, e, STODOLA)
}

/// The working of one of its numbers among the unit's.
pub fn of_unit(sim: &Sim, mut d: Draft, name: &str) -> Found {
    let Some((q, was, x)) = parts(sim) else { return Ok(None) };
    let o = sim.outputs();
    let t = &o.turbine.separator;
    let group = q.after + 2;
    match name {
        "separator_pressure" => {
            let m = march(sim)?;
            let hot = d.link_of("turbine", "reheated_pressure", m.hot);
            let Some(r) = &q.reheater else { return d.is(x.pressure, hot, CONSERVATION) };
            let flow = format!("passing_{group}");
            let w = (flow.as_str(), m.passing[q.after + 1]);
            let e = before_resistance(&mut d, r.coefficient, w, ("pv_dry", was.pv.1), hot);
            d.is(x.pressure, e, STODOLA)
        }
        "moisture_removed_flow" => {
            let w = d.link_of("turbine", &format!("stage_flow_{}", group - 1), stage_flow(sim, q.after));
            let taken = extraction_term(sim, &mut d, q.after);
            let share = d.link_of("turbine", "moisture_share", x.moisture);
            let mut arriving = match taken {
                Some(taken) => w - taken,
                None => w,
            };
            if !(t.arriving > 0.0) {
                d.case(BACKWARDS);
                arriving = max(arriving, number(0.0));
            }
            d.is(t.drained, arriving * share, CONSERVATION)
        }
        "heating_steam_flow" => {
            let mut w = d.link_of("turbine", &format!("stage_flow_{group}"), stage_flow(sim, q.after + 1));
            if !(t.arriving > 0.0) {
                d.case(BACKWARDS);
                w = max(w, number(0.0));
            }
            let share = d.link_of("turbine", "heating_share", x.heating);
            d.is(t.heating, w * share, CONSERVATION)
        }
        "reheated_steam_temperature" => {
            let at = d.link_of("turbine", "reheated_pressure", march(sim)?.hot);
            let h = sim.state().plant.turbine.groups[q.after + 1].0;
            let h = d.link_of("turbine", &format!("enthalpy_in_{group}"), h);
            d.is(x.hot_t, call(Function::Temperature, [at, h]), IAPWS)
        }
        "led_drain_spill_flow" => {
            let mut e = number(0.0);
            for (to, a) in led(sim) {
                if to.heater.is_some() {
                    e = e + d.link_of("turbine", &format!("{}_away", to.name), a.away);
                }
            }
            d.is(o.led.iter().map(Arrived::astray).sum(), e, CONSERVATION)
        }
        _ => Ok(None),
    }
}
