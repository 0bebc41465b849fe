//! What a shell holds: mass, volume, level, and what the level covers.

use super::expr::{Expr, Function, arccos, call, max, min, number, power, root, square, within};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, IEC_STEAM, PRACTICE, Why, Working, fixed, of};
use crate::falling::START_UP_VENT;
use crate::fault::{At, Fault};
use crate::heater::BRIM;
use crate::level::Geometry;
use crate::plant::file::{Attitude, VentTo};
use crate::sim::Sim;
use crate::valve::CHOKING_RATIO;
use crate::vessel;
use steam::units::Quantity as Q;

/// The working of a number of a closed heater's shell.
pub fn working(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o) = (sim.params(), sim.outputs());
    let q = &p.closed[k].heater;
    let id = q.id.as_str();
    let h = &o.closed[k].heater;
    let (x, before) = (&sim.state().plant.closed[k].heater, &sim.previous().plant.closed[k].heater);
    let g = &q.geometry;
    let mut d = Draft::new(sim, id, name);
    match name {
        "shell_pressure" => {
            d.see("shell_energy");
            d.see("energy_rate");
            if x.gas_pressure > 0.0 {
                d.see("steam_pressure");
            }
            d.read(h.pressure, Why::Root)
        }
        "steam_pressure" => {
            d.see("shell_energy");
            d.see("energy_rate");
            d.read(x.pressure, Why::Root)
        }
        "condensing_temperature" => {
            let at = d.steam_pressure(x.pressure);
            d.is(h.condensing, call(Function::SaturationTemperature, [at]), IAPWS)
        }
        "vent_flow" => vent(sim, d, k),
        "shell_mass" => {
            d.see("mass_rate");
            d.read(x.shell.mass, Why::State)
        }
        "metal_heat" => {
            d.see("metal_temperature");
            let ts = d.condensing(h.condensing);
            let t = d.before("metal_temperature", before.metal);
            let cap = d.plant(
                "C_m",
                "metal_capacity",
                fixed("kJ/K"),
                q.metal_capacity,
                &format!("heaters.{id}.equipment.shell.metal"),
            );
            let dt = d.step();
            let g = if h.condensing < before.metal {
                d.case("boiling");
                let all = d.sized("G_m", "metal_conductance", of(Q::Conductance), q.metal_conductance);
                all * d.link("boiling_share", h.trace.boiling)
            } else {
                d.sized("G_m", "metal_conductance", of(Q::Conductance), q.metal_conductance)
            };
            d.is(h.metal_heat, (ts - t) * g.clone() / (1.0 + g * dt / cap), PRACTICE)
        }
        "boiling_share" => {
            let sat = steam::sat_p(before.pressure).at(id)?;
            let water = d.before("water_volume", vessel::water_volume(before.shell.mass, g.whole(), &sat));
            let normal = d.plant(
                "V_n",
                "water_volume_normal",
                of(Q::Volume),
                g.volume(q.normal_level),
                &format!("heaters.{id}.equipment.shell.normal_level"),
            );
            d.is(h.trace.boiling, super::expr::min(water / normal, number(1.0)), PRACTICE)
        }
        "shell_energy" => energy(&mut d, x.shell.mass, g.whole(), x.pressure, id)
            .and_then(|e| d.is(x.shell.energy, e, IAPWS)),
        "steam_mass" => {
            let sat = steam::sat_p(x.pressure).at(id)?;
            let e = steam_mass(&mut d, x.shell.mass, g.whole(), x.pressure, id);
            d.is(vessel::steam_mass(x.shell.mass, g.whole(), &sat), e, IAPWS)
        }
        "water_volume" => {
            let sat = steam::sat_p(x.pressure).at(id)?;
            let volume = vessel::water_volume(x.shell.mass, g.whole(), &sat);
            d.see("water_volume_by_height");
            let e = water_volume(&mut d, x.shell.mass, volume, g.whole(), &sat);
            d.is(volume, e, IAPWS)
        }
        "water_height" => {
            let volume = height_volume(sim, k, x.pressure, x.shell.mass)?;
            d.see("water_volume_by_height");
            let v = d.link("water_volume", volume);
            d.is(h.level, call(Function::ShellHeight(k), [v]), DEFINITION)
        }
        "water_volume_by_height" => {
            let y = d.link("water_height", h.level);
            let e = volume_of(&mut d, g, y, id);
            d.is(height_volume(sim, k, x.pressure, x.shell.mass)?, e, DEFINITION)
        }
        "level" | "level_protection" => {
            d.see("level_true");
            let m = &o.measured.heaters[k];
            d.read(if name == "level" { m.level } else { m.level_protection }, Why::Instrument)
        }
        "level_true" => {
            let y = d.link("water_height", h.level);
            let normal = d.plant(
                "y_n",
                "normal_height",
                of(Q::Length),
                q.normal_level,
                &format!("heaters.{id}.equipment.shell.normal_level"),
            );
            let mm = d.constant("k", "millimetres_per_metre", fixed("mm/m"), 1e3, DEFINITION);
            d.is(o.levels[k], (y - normal) * mm, DEFINITION)
        }
        "flooded" => {
            let y = d.link("water_height", h.level);
            let place = format!("heaters.{id}.equipment.shell.lowest_tube");
            let at = g.volume(g.lowest_tube());
            let low = d.plant("V_1", "volume_below_tubes", of(Q::Volume), at, &place);
            let whole = d.plant(
                "V_0",
                "shell_volume",
                of(Q::Volume),
                g.whole(),
                &format!("heaters.{id}.equipment.shell"),
            );
            let v = volume_of(&mut d, g, y, id);
            d.is(h.flooded, within((v - low.clone()) / (whole - low), 0.0, 1.0), DEFINITION)
        }
        "drain_cooler_covered" => {
            let sat = steam::sat_p(before.pressure).at(id)?;
            let then = g.height_of(vessel::water_volume(before.shell.mass, g.whole(), &sat));
            let y = d.before("water_height", then);
            let place = format!("heaters.{id}.equipment.drain_inlet");
            let bottom = d.plant("y_b", "drain_inlet_bottom", of(Q::Length), q.outlet.0, &place);
            let top = d.plant("y_t", "drain_inlet_top", of(Q::Length), q.outlet.1, &place);
            d.is(h.covered, within((y - bottom.clone()) / (top - bottom), 0.0, 1.0), DEFINITION)
        }
        "carry_over_flow" => {
            let mut e = d.link("above_brim_flow", h.carry_over + h.inducted);
            if h.inducted > 0.0 {
                e = e - d.link("inducted_flow", h.inducted);
            }
            d.is(h.carry_over, e, CONSERVATION)
        }
        "above_brim_flow" => {
            let e = excess(sim, &mut d, k);
            d.is(h.carry_over + h.inducted, max(e, number(0.0)), PRACTICE)
        }
        _ => super::gas::closed(sim, k, name),
    }
}

/// What comes into a shell and does not drain away, beyond what fills it to the brim within the step.
fn excess(sim: &Sim, d: &mut Draft, k: usize) -> Expr {
    let (q, c) = (&sim.params().closed[k].heater, &sim.outputs().closed[k]);
    let before = &sim.previous().plant.closed[k].heater;
    let place = format!("heaters.{}.equipment.shell", q.id);
    let whole = d.plant("V_0", "shell_volume", of(Q::Volume), q.geometry.whole(), &place);
    let share = d.constant("k_f", "full_share", of(Q::Ratio), BRIM, PRACTICE);
    let dt = d.step();
    let at = d.steam_pressure_before(before.pressure);
    let (vf, vg) = (call(Function::LiquidVolume, [at.clone()]), call(Function::SteamVolume, [at]));
    let brim = share.clone() * whole.clone() / vf + (1.0 - share) * whole / vg;
    let held = d.before("shell_mass", before.shell.mass);
    let steam = d.before("extraction_flow", before.steam_flow);
    let (drains, leak) = (d.link("drain_in_flow", c.drain_in), d.link("leak_flow", c.leak));
    let (normal, emergency) =
        (d.link("normal_drain_flow", c.normal), d.link("emergency_drain_flow", c.emergency));
    (held - brim) / dt + steam + drains + leak - normal - emergency
}

/// Steam through the vent: an orifice, like a line without valves, that passes the mixture at the cold end.
fn vent(sim: &Sim, mut d: Draft, k: usize) -> Result<Option<Working>, Fault> {
    let (p, o) = (sim.params(), sim.outputs());
    let (q, h, x) = (&p.closed[k], &o.closed[k].heater, &sim.state().plant.closed[k].heater);
    let before = &sim.previous().plant;
    let (device, name, down) = match q.vents_to {
        VentTo::Condenser => ("unit", "condenser_pressure", before.condenser.pressure),
        VentTo::Open => (p.open.id.as_str(), "shell_pressure", before.open.pressure),
    };
    let open = h.vent_opening > 0.0;
    if q.heater.vent.coefficient <= 0.0 || !open || down >= h.pressure {
        d.case(if q.heater.vent.coefficient <= 0.0 {
            "no_vent"
        } else if open {
            "no_driving_pressure"
        } else {
            "shut"
        });
        return d.is(h.vent, number(0.0), IEC_STEAM);
    }
    let from = d.link("shell_pressure", h.pressure);
    let to = d.before_of(device, name, down);
    let limit = d.constant("X", "choking_ratio", of(Q::Ratio), CHOKING_RATIO, PRACTICE);
    let x_ = min((from.clone() - to) / from.clone(), limit.clone());
    d.case(if (h.pressure - down) / h.pressure >= CHOKING_RATIO { "choked" } else { "not_choked" });
    let unit = super::names::of("extraction_coefficient").1;
    let mut c = d.sized("C_v", "vent_orifice", unit, q.heater.vent.coefficient);
    let by_hand = o.closed[k].open.start_up_vent;
    let orifice = h.vent_opening - START_UP_VENT * by_hand;
    if h.vent_opening != 1.0 {
        let own = 1.0 - d.sized("k_s", "share_shut", of(Q::Fraction), 1.0 - orifice);
        let beside = d.constant("k_v", "start_up_vent_size", of(Q::Ratio), START_UP_VENT, PRACTICE);
        d.see("start_up_vent_valve");
        c = c * (own + beside * d.sized("y_v,m", "start_up_vent_mean", of(Q::Fraction), by_hand));
    }
    let gas = d.link("gas_in_vent", h.vent_gas);
    let v = call(Function::SteamVolume, [d.steam_pressure(x.pressure)]);
    let e = c * (1.0 - x_.clone() / (3.0 * limit)) * root(x_ * from / v) * (1.0 - gas);
    d.is(h.vent, e, IEC_STEAM)
}

/// Volume of the water in a shell [m³].
fn height_volume(sim: &Sim, k: usize, pressure: f64, mass: f64) -> Result<f64, Fault> {
    let q = &sim.params().closed[k].heater;
    let sat = steam::sat_p(pressure).at(&q.id)?;
    Ok(vessel::water_volume(mass, q.geometry.whole(), &sat))
}

/// Steam in a vessel that holds `mass` at saturation.
pub fn steam_mass(d: &mut Draft, mass: f64, whole: f64, pressure: f64, id: &str) -> Expr {
    let place = format!("heaters.{id}.equipment");
    let m = d.link("shell_mass", mass);
    let v = d.plant("V_0", "shell_volume", of(Q::Volume), whole, &place);
    let at = d.steam_pressure(pressure);
    let (liquid, vapour) = (call(Function::LiquidVolume, [at.clone()]), call(Function::SteamVolume, [at]));
    (v - m * liquid.clone()) / (vapour - liquid)
}

/// Volume of the water in a vessel, by the case that holds.
pub fn water_volume(d: &mut Draft, mass: f64, volume: f64, whole: f64, sat: &steam::Saturation) -> Expr {
    let m = d.link("shell_mass", mass);
    let steam = vessel::steam_mass(mass, whole, sat);
    if volume <= 0.0 {
        d.case("dry");
        return number(0.0);
    }
    if volume >= whole {
        d.case("solid");
        return d.sized("V_0", "shell_volume", of(Q::Volume), whole);
    }
    let at = d.steam_pressure(sat.p);
    (m - d.link("steam_mass", steam)) * call(Function::LiquidVolume, [at])
}

/// Internal energy of what fills a vessel at its pressure.
pub fn energy(d: &mut Draft, mass: f64, whole: f64, pressure: f64, id: &str) -> Result<Expr, Fault> {
    let sat = steam::sat_p(pressure).at(id)?;
    let m = d.link("shell_mass", mass);
    let at = d.steam_pressure(pressure);
    let kilo = d.constant("k", "kilojoules_per_mpa_m3", fixed("kJ/(MPa·m³)"), 1e3, DEFINITION);
    let uf = call(Function::LiquidEnthalpy, [at.clone()])
        - kilo.clone() * at.clone() * call(Function::LiquidVolume, [at.clone()]);
    let ug = call(Function::SteamEnthalpy, [at.clone()])
        - kilo * at.clone() * call(Function::SteamVolume, [at.clone()]);
    if mass * sat.vg >= whole {
        let steam = d.link("steam_mass", vessel::steam_mass(mass, whole, &sat));
        return Ok((m - steam.clone()) * uf + steam * ug);
    }
    // Superheated: temperature and energy along straight lines through the formulation.
    d.case("dry");
    let v = d.plant("V_0", "shell_volume", of(Q::Volume), whole, &format!("heaters.{id}.equipment"));
    let (growth, each) = vessel::superheat(pressure);
    let growth = d.constant("k_v", "superheat_volume_growth", of(Q::Ratio), growth, PRACTICE);
    let each = d.constant("c_u", "superheat_energy", of(Q::HeatCapacity), each, PRACTICE);
    let zero = d.constant("T_0", "absolute_zero", fixed("K"), 273.15, DEFINITION);
    let t = call(Function::SaturationTemperature, [at.clone()]);
    let over = (t + zero) / growth * (v / (m.clone() * call(Function::SteamVolume, [at])) - 1.0);
    Ok(m * (ug + each * over))
}

/// Volume below a height, by the shell's shape: a circle's segment along the shell, or a cylinder.
pub fn volume_of(d: &mut Draft, g: &Geometry, y: Expr, id: &str) -> Expr {
    let place = format!("heaters.{id}.equipment.shell");
    let free = d.plant("f", "free_share", of(Q::Fraction), g.free(), &place);
    let radius = d.plant("R", "shell_radius", of(Q::Length), g.radius(), &place);
    if g.attitude() == Attitude::Vertical {
        let pi = d.constant("π", "pi", of(Q::Ratio), std::f64::consts::PI, DEFINITION);
        return free * pi * square(radius) * y;
    }
    let length = d.plant("l", "shell_length", of(Q::Length), g.length(), &place);
    let c = (radius.clone() - y) / radius.clone();
    let half_chord = root(1.0 - power(c.clone(), 2.0));
    free * length * square(radius) * (arccos(c.clone()) - c * half_chord)
}
