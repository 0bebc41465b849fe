//! The open heater and its storage tank.

use super::expr::{Function, call, max, min, number, root, square, sum};
use super::extraction::{self, Line};
use super::line_drain;
use super::{
    CONSERVATION, DEFINITION, Draft, IAPWS, IEC_STEAM, PRACTICE, Why, Working, balance, fixed, gas, heater,
    names, of, separator, shell,
};
use crate::fault::{At, Fault};
use crate::gas::{ATMOSPHERE, SONIC_STEAM};
use crate::signals::SUCTION_PIPE;
use crate::sim::Sim;
use crate::train::Receiver;
use crate::valve::CHOKING_RATIO;
use crate::vessel;
use steam::units::Quantity as Q;

/// The working of one of the open heater's numbers.
pub fn working(sim: &Sim, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o) = (sim.params(), sim.outputs());
    let (q, h) = (&p.open, &o.open);
    let id = q.id.as_str();
    let (x, before) = (&sim.state().plant.open, &sim.previous().plant.open);
    let g = &q.geometry;
    let tank = format!("heaters.{id}.equipment.tank");
    let mut d = Draft::new(sim, id, name);
    match name {
        "shell_pressure" => {
            d.see("shell_energy");
            d.see("energy_rate");
            d.read(h.pressure, Why::Root)
        }
        "shell_mass" => {
            d.see("mass_rate");
            d.read(x.tank.mass, Why::State)
        }
        "shell_energy" => {
            let e = shell::energy(&mut d, x.tank.mass, g.whole(), h.pressure, id)?;
            d.is(x.tank.energy, e, IAPWS)
        }
        "steam_mass" => {
            let sat = steam::sat_p(h.pressure).at(id)?;
            let e = shell::steam_mass(&mut d, x.tank.mass, g.whole(), h.pressure, id);
            d.is(vessel::steam_mass(x.tank.mass, g.whole(), &sat), e, IAPWS)
        }
        "water_volume" => {
            let sat = steam::sat_p(h.pressure).at(id)?;
            let volume = vessel::water_volume(x.tank.mass, g.whole(), &sat);
            d.see("water_volume_by_height");
            let e = shell::water_volume(&mut d, x.tank.mass, volume, g.whole(), &sat);
            d.is(volume, e, IAPWS)
        }
        "water_height" => {
            let sat = steam::sat_p(h.pressure).at(id)?;
            d.see("water_volume_by_height");
            let v = d.link("water_volume", vessel::water_volume(x.tank.mass, g.whole(), &sat));
            d.is(h.level, call(Function::TankHeight, [v]), DEFINITION)
        }
        "water_volume_by_height" => {
            let sat = steam::sat_p(h.pressure).at(id)?;
            let y = d.link("water_height", h.level);
            let e = shell::volume_of(&mut d, g, y, id);
            d.is(vessel::water_volume(x.tank.mass, g.whole(), &sat), e, DEFINITION)
        }
        "level" | "level_protection" => {
            d.see("level_true");
            let m = &o.measured;
            d.read(if name == "level" { m.open_level } else { m.open_level_protection }, Why::Instrument)
        }
        "level_true" => {
            let y = d.link("water_height", h.level);
            let normal = d.plant("y_n", "normal_height", of(Q::Length), q.normal_level, &tank);
            let mm = d.constant("k", "millimetres_per_metre", fixed("mm/m"), 1e3, DEFINITION);
            d.is(o.levels[p.closed.len()], (y - normal) * mm, DEFINITION)
        }
        "saturation_temperature" | "fw_out_temperature" => {
            let at = d.link("shell_pressure", h.pressure);
            d.is(h.saturation, call(Function::SaturationTemperature, [at]), IAPWS)
        }
        "fw_in_temperature" => {
            let at = d.link("water_in_enthalpy", o.open_water_in);
            d.is(o.open_water_in_t, call(Function::LowWaterTemperature, [at]), IAPWS)
        }
        "water_in_enthalpy" => d.read(o.open_water_in, Why::Pipe),
        _ if name.starts_with("suction_temperature_") || name.starts_with("suction_pipe_enthalpy_") => {
            suction_pipe(sim, d, name)
        }
        "drain_in_flow" => {
            let from = balance::arriving(sim, Receiver::Open);
            let mut parts: Vec<_> =
                from.iter().map(|(id, w, _)| d.link_of(id, "normal_drain_flow", *w)).collect();
            for (name, w, _) in separator::arriving(sim, p.high) {
                parts.push(d.link_of("turbine", &format!("{name}_arrived"), w));
            }
            d.is(o.open_drain_in, sum(parts), CONSERVATION)
        }
        "fw_flow" => {
            let w = d.link("water_in_flow", o.open_water_flow);
            d.is(o.open_water_flow, w, DEFINITION)
        }
        "water_in_flow" => {
            let e = match p.high < p.closed.len() {
                true => heater::leaving(sim, &mut d, p.high),
                false => d.link_of("unit", "condensate_flow", sim.state().plant.condensate.flow),
            };
            d.is(o.open_water_flow, e, CONSERVATION)
        }
        "vent_flow" => {
            let at = d.link("shell_pressure", h.pressure);
            if h.pressure <= ATMOSPHERE {
                d.case("no_driving_pressure");
                return d.is(h.vent_flow, number(0.0), PRACTICE);
            }
            let k = d.sized("k_v", "vent_coefficient", fixed("kg/(s·MPa)"), q.vent);
            let mut e = k * at.clone();
            if ATMOSPHERE / h.pressure > SONIC_STEAM {
                let air = d.constant("p_0", "atmosphere", of(Q::Pressure), ATMOSPHERE, DEFINITION);
                let sonic = d.constant("r_c", "sonic_ratio", of(Q::Ratio), SONIC_STEAM, PRACTICE);
                e = e * root(1.0 - square((air / at - sonic.clone()) / (1.0 - sonic)));
            }
            let shut = o.conditions.open.vent_shut;
            if shut > 0.0 {
                e = e * (1.0 - d.sized("k_s", "share_shut", of(Q::Fraction), shut));
            }
            d.is(h.vent_flow, e, PRACTICE)
        }
        "pegging_flow" => pegging(sim, d),
        "air" | "gas_in" | "gas_out" | "gas_returned" | "gas_share_returned" | "gas_pressure"
        | "gas_share" | "gas_in_vent" | "share_heated" => gas::open(sim, name),
        _ if name.starts_with("oxygen") => gas::open(sim, name),
        "overflow" => {
            let sat = steam::sat_p(before.pressure).at(id)?;
            let v = d.before("water_volume", vessel::water_volume(before.tank.mass, g.whole(), &sat));
            let whole = d.plant("V_0", "shell_volume", of(Q::Volume), g.whole(), &tank);
            let share = d.constant("k_f", "full_share", of(Q::Ratio), 0.95, PRACTICE);
            let time = d.constant("T", "spill_time", of(Q::Duration), 5.0, PRACTICE);
            let at = d.before("shell_pressure", before.pressure);
            let e = (v - share * whole) / call(Function::LiquidVolume, [at]) / time;
            d.is(h.overflow, max(e, number(0.0)), PRACTICE)
        }
        _ => {
            let l = Line {
                id,
                point: p.open_point(),
                params: &p.open_extraction,
                valves: [&sim.previous().plant.open_extraction, &sim.state().plant.open_extraction],
                coefficient: o.open_line,
                nozzle: 1.0,
                flow: h.steam_flow,
                shell: h.pressure,
                returned: (h.returned, h.returned_heat),
                gas: 0.0,
                open_back: o.open_back > 0.0,
                held: (before.tank.mass, g.whole()),
                steam: [before.pressure, h.pressure],
            };
            match line_drain::working(sim, &l, &o.open_line_drain, 0.0, name)? {
                Some(w) => Ok(Some(w)),
                None => extraction::of_line(sim, &l, name),
            }
        }
    }
}

/// Pegging steam by its valve; none where the plant has no such valve.
fn pegging(sim: &Sim, mut d: Draft) -> Result<Option<Working>, Fault> {
    let (p, o) = (sim.params(), sim.outputs());
    let Some(g) = &p.open.pegging else { return Ok(None) };
    let (shell, source) = (o.open.pressure, &g.source);
    if o.pegging <= 0.0 || shell >= source.pressure {
        d.case(if o.pegging <= 0.0 { "shut" } else { "no_driving_pressure" });
        d.link("pegging_valve", sim.state().plant.open.pegging.opening);
        return d.is(o.open.pegging_flow, number(0.0), IEC_STEAM);
    }
    let ratio = (source.pressure - shell) / source.pressure;
    d.case(if ratio >= CHOKING_RATIO { "choked" } else { "not_choked" });
    let place = format!("heaters.{}.equipment.pegging", p.open.id);
    let from = d.plant("p_h", "header_pressure", of(Q::Pressure), source.pressure, &place);
    let v = d.sized("v_h", "header_volume", names::of("extraction_volume").1, source.volume);
    let open = d.sized("C_peg", "pegging_coefficient", names::of("extraction_coefficient").1, g.coefficient);
    let share = d.sized("y_m", "mean_opening", of(Q::Fraction), o.pegging / g.coefficient);
    let limit = d.constant("X", "choking_ratio", of(Q::Ratio), CHOKING_RATIO, PRACTICE);
    let x = min((from.clone() - d.link("shell_pressure", shell)) / from.clone(), limit.clone());
    let expansion = 1.0 - x.clone() / (3.0 * limit);
    d.is(o.open.pegging_flow, open * share * expansion * root(x * from / v), IEC_STEAM)
}

/// Water on its way to the feed pumps, at one of the places where it is shown.
fn suction_pipe(sim: &Sim, mut d: Draft, name: &str) -> Result<Option<Working>, Fault> {
    let place = |prefix: &str| name.strip_prefix(prefix).and_then(|n| n.parse::<usize>().ok());
    let n = place("suction_temperature_").or(place("suction_pipe_enthalpy_")).unwrap_or(0);
    let Some((signal, way)) = n.checked_sub(1).and_then(|n| SUCTION_PIPE.get(n)).copied() else {
        return Ok(None);
    };
    let h = sim.state().plant.suction.at(way);
    if name != signal {
        return d.read(h, Why::Pipe);
    }
    let t = crate::water::saturated_at(h, sim.outputs().open.saturation).unwrap_or(0.0);
    let at = d.link(&format!("suction_pipe_enthalpy_{n}"), h);
    d.is(t, call(Function::SaturatedAt, [at]), IAPWS)
}
