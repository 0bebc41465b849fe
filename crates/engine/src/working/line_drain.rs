//! The drain of an extraction line: what its orifice passes of steam and of what comes back.

use super::expr::{Expr, Function, call, max, min, number, root};
use super::extraction::Line;
use super::{
    CONSERVATION, DEFINITION, Draft, IAPWS, IEC_LIQUID, IEC_STEAM, ORIFICE, PRACTICE, Working, fixed, names,
    of,
};
use crate::fault::{At, Fault};
use crate::feed_pump::GRAVITY;
use crate::leak::DISCHARGE;
use crate::line_drain::{self, HEAD, Outputs};
use crate::sim::Sim;
use crate::valve::{CHOKING_RATIO, CRITICAL_PRESSURE, liquid_critical_ratio};
use steam::units::Quantity as Q;

/// Pressure of the condenser when the step began [MPa].
fn condenser(sim: &Sim) -> f64 {
    sim.previous().plant.condenser.pressure
}

/// The working of a number of a line's drain; `water`: what came back of it through the line [kg/s].
pub fn working(sim: &Sim, l: &Line, o: &Outputs, water: f64, name: &str) -> Result<Option<Working>, Fault> {
    let mut d = Draft::new(sim, l.id, name);
    match name {
        "line_drain_flow" => {
            let e = d.link("line_drain_steam", o.steam);
            let e = if o.water > 0.0 { e + d.link("line_drain_water", o.water) } else { e };
            d.is(o.flow(), e, CONSERVATION)
        }
        "line_drain_steam" => steam(sim, d, l, o),
        "line_drain_returned" => {
            let steam = d.link("line_drain_steam", o.steam);
            let back = d.link("reverse_flow", l.returned.0);
            d.is(o.returned, min(back, steam), DEFINITION)
        }
        "line_drain_water" => {
            if water <= 0.0 || o.area <= 0.0 {
                d.case(if o.area <= 0.0 { "shut" } else { "no_water" });
                return d.is(o.water, number(0.0), DEFINITION);
            }
            let most = d.link("line_drain_most_water", o.most_water);
            let back = d.link("inducted_flow", water);
            d.is(o.water, min(back, most), DEFINITION)
        }
        "line_drain_most_water" if water > 0.0 && o.area > 0.0 => most_water(sim, d, l, o),
        "water_to_turbine" => {
            let back = d.link("inducted_flow", water);
            let e = if o.water > 0.0 { back - d.link("line_drain_water", o.water) } else { back };
            d.is(water - o.water, e, CONSERVATION)
        }
        _ => Ok(None),
    }
}

/// Steam through the share of the bore that water leaves.
fn steam(sim: &Sim, mut d: Draft, l: &Line, o: &Outputs) -> Result<Option<Working>, Fault> {
    let source = sim.state().plant.turbine.points[l.point];
    let down = condenser(sim);
    if o.area <= 0.0 || down >= source.pressure {
        d.case(if o.area <= 0.0 { "shut" } else { "no_driving_pressure" });
        d.see("line_drain_valve");
        return d.is(o.steam, number(0.0), IEC_STEAM);
    }
    d.case(if (source.pressure - down) / source.pressure >= CHOKING_RATIO { "choked" } else { "not_choked" });
    let unit = names::of("extraction_coefficient").1;
    let mut c = d.sized("C_ld", "line_drain_coefficient", unit, line_drain::coefficient(o.area));
    if o.water > 0.0 || o.most_water > 0.0 {
        let most = d.link("line_drain_most_water", o.most_water);
        c = c * (1.0 - d.link("line_drain_water", o.water) / most);
    }
    let from = d.link("extraction_pressure", source.pressure);
    let v = d.link("extraction_volume", source.volume);
    let to = d.before_of("unit", "condenser_pressure", down);
    let limit = d.constant("X", "choking_ratio", of(Q::Ratio), CHOKING_RATIO, PRACTICE);
    let x = min((from.clone() - to) / from.clone(), limit.clone());
    d.is(o.steam, c * (1.0 - x.clone() / (3.0 * limit)) * root(x * from / v), IEC_STEAM)
}

/// Most water that the bore passes.
fn most_water(sim: &Sim, mut d: Draft, l: &Line, o: &Outputs) -> Result<Option<Working>, Fault> {
    let source = sim.state().plant.turbine.points[l.point];
    let (down, boils) = (condenser(sim), l.steam[1]);
    let volume = steam::sat_p(boils).at(l.id)?.vf;
    let mega = d.constant("k_p", "pascals_per_mpa", fixed("Pa/MPa"), 1e6, DEFINITION);
    let boiling = d.steam_pressure(boils);
    let v = call(Function::LiquidVolume, [boiling.clone()]);
    let head = d.constant("z_ld", "line_drain_head", of(Q::Length), HEAD, PRACTICE);
    let gravity = d.constant("g", "gravity", fixed("m/s²"), GRAVITY, DEFINITION);
    let at = d.link("extraction_pressure", source.pressure);
    let from: Expr = at + head * gravity / v.clone() / mega.clone();
    let pressure = source.pressure + HEAD * GRAVITY / volume * 1e-6;
    let vapour = boils.min(pressure);
    let dp = if pressure - down > pressure - liquid_critical_ratio(vapour) * vapour {
        d.case("choked");
        let pc = d.constant("p_c", "critical_pressure", of(Q::Pressure), CRITICAL_PRESSURE, IAPWS);
        let (a, b) = (
            d.constant("a", "choking_intercept", of(Q::Ratio), 0.96, IEC_LIQUID),
            d.constant("b", "choking_slope", of(Q::Ratio), 0.28, IEC_LIQUID),
        );
        let pv = min(boiling, from.clone());
        from - (a - b * root(pv.clone() / pc)) * pv
    } else {
        d.case("not_choked");
        from - d.before_of("unit", "condenser_pressure", down)
    };
    let cd = d.constant("C_d", "discharge_coefficient", of(Q::Ratio), DISCHARGE, ORIFICE);
    let area = d.sized("A_ld", "line_drain_area", fixed("m²"), o.area);
    let e = cd * area * root(2.0 * max(dp, number(0.0)) * mega / v);
    d.is(o.most_water, e, ORIFICE)
}
