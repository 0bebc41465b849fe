//! Work, heat and the account of the whole plant from one pass.

use super::newton::Report;
use super::pass::{Context, Pass, SteamSide};
use super::result::{Balance, ReheaterBalance, SeparatorBalance, StageBalance};
use crate::fault::{At, Fault};
use crate::layout::Layout;
use crate::plant::file::{CONDENSER, Plant};
use crate::separator::Delivery;
use crate::turbine;

/// Enthalpy of make-up [kJ/kg]; its temperature has been checked.
fn makeup(plant: &Plant) -> f64 {
    steam::sat_t(plant.condenser.makeup_temperature).map_or(0.0, |x| x.hf)
}

/// Heat that the cooling water takes [kW].
pub fn rejected(plant: &Plant, s: &SteamSide, p: &Pass) -> f64 {
    s.exhaust * s.exhaust_enthalpy + p.to_condenser_heat + p.vent * makeup(plant)
        - p.condensate * s.condenser.hf
}

/// Work of the steam and heat added [kW].
pub fn work_and_heat(
    layout: &Layout,
    t: &turbine::Params,
    s: &SteamSide,
    state: &turbine::State,
    p: &Pass,
) -> (f64, f64) {
    let mut shaft = 0.0;
    let mut added = s.throttle * (t.main_enthalpy - p.final_enthalpy);
    let taken = |k: usize| s.taken(layout, k);
    turbine::walk(t, state, s.throttle, taken, |g, flow| {
        let (h1, h2) = state.groups[g];
        let end = if g == layout.points.len() { s.exhaust_enthalpy } else { h2 };
        shaft += flow * (h1 - end);
        if t.reheater.is_some_and(|r| r.after == g) {
            added += (flow - taken(g)) * (state.groups[g + 1].0 - h2);
        }
    });
    (shaft, added)
}

/// Figures of moisture separator and steam reheater.
fn separated(
    t: &turbine::Params,
    s: &SteamSide,
    state: &turbine::State,
    p: &Pass,
) -> Option<SeparatorBalance> {
    let q = t.separator.as_ref()?;
    let (x, at) = (&s.separator, &state.separator);
    let to = |d: &Delivery| d.heater.map_or_else(|| CONDENSER.into(), |i| p.heaters[i].id.clone());
    Some(SeparatorBalance {
        pressure_in: state.points[q.after].pressure,
        pressure: at.pressure,
        flow_in: x.arriving,
        quality_in: at.quality_in,
        drain_flow: x.drained,
        drain: at.drain,
        drains_to: to(&q.drain),
        spill: if q.drain.heater.is_some() { p.led_astray[0] } else { 0.0 },
        flow_out: x.leaving,
        enthalpy_out: at.dry,
        reheater: q.reheater.as_ref().map(|r| ReheaterBalance {
            pressure_out: at.hot_pressure,
            temperature_out: at.hot_t,
            enthalpy_out: state.groups[q.after + 1].0,
            heating_flow: x.heating,
            heating_pressure: at.heating_pressure,
            heating_temperature: at.heating_t,
            ttd: at.heating_t - at.hot_t,
            duty: x.heating * (r.source.enthalpy - at.heating_drain),
            conductance: r.conductance,
            drain: at.heating_drain,
            drains_to: to(&r.drain),
            spill: if r.drain.heater.is_some() { p.led_astray[1] } else { 0.0 },
        }),
    })
}

/// Puts the figures together and draws up the account of mass and energy round the whole plant, which is independent
/// of the residuals that were closed.
pub fn draw_up(
    c: &Context,
    t: &turbine::Params,
    report: Report,
    s: &SteamSide,
    march: &turbine::March,
    state: &turbine::State,
    mut p: Pass,
) -> Result<Balance, Fault> {
    let (plant, layout) = (c.plant, c.layout);
    let (shaft, heat_added) = work_and_heat(layout, t, s, state, &p);
    let mut stages = Vec::new();
    let mut flows = Vec::new();
    let taken = |k: usize| s.taken(layout, k);
    turbine::walk(t, state, s.throttle, taken, |_, flow| flows.push(flow));
    let mut reheat = 0.0;
    let mut p1 = march.inlet;
    for (g, (&(h1, h2), flow)) in state.groups.iter().zip(flows).enumerate() {
        let p2 = state.points.get(g).map_or(s.condenser.p, |x| x.pressure);
        let end = if g == layout.points.len() { s.exhaust_enthalpy } else { h2 };
        stages.push(StageBalance {
            flow,
            pressure_in: p1,
            pressure_out: p2,
            enthalpy_in: h1,
            enthalpy_out: h2,
            quality_out: steam::state_ph(p2, h2).at("turbine")?.x,
            work: flow * (h1 - end),
        });
        p1 = p2;
        if t.reheater.is_some_and(|r| r.after == g) {
            p1 = march.hot;
            reheat = (flow - taken(g)) * (state.groups[g + 1].0 - h2);
        }
        if t.separator.as_ref().is_some_and(|q| q.after == g) {
            p1 = march.hot;
        }
    }
    let hot_reheat_pressure = if t.reheater.is_some() { march.hot } else { 0.0 };
    let condensate_work = p.condensate * p.condensate_rise + p.drain_pumping;
    let feed_work = p.pumped.work(p.feed) + s.throttle * p.last_rise;
    let pumping = condensate_work + feed_work;
    let gross = shaft * t.efficiency;
    let rejected = rejected(plant, s, &p);
    let mass = s.exhaust + p.to_condenser + p.vent - p.condensate;
    let lost = p.vent * p.vent_enthalpy + p.pumped.lost;
    let energy = heat_added + pumping + p.vent * makeup(plant) - shaft - rejected - lost;
    if let Some(m) = c.model {
        for (h, sized) in p.heaters.iter_mut().zip(&m.closed) {
            if let Some(surface) = sized.as_ref().and_then(|x| x.surface.as_ref()) {
                h.conductance = surface.conductance;
            }
        }
    }
    // Behind the feed pumps in any case: with no heater there, what leaves the pumps is what the boiler gets.
    let final_temperature = c.lines.high.t(p.final_enthalpy - p.last_rise).at("boiler")?;
    let burnt = heat_added / plant.boiler.efficiency; // kW
    let (fuel, money, carbon_dioxide) = plant.economics.as_ref().map_or((0.0, 0.0, 0.0), |e| {
        (burnt / e.heating_value, burnt * 3600.0 / 1e6 * e.fuel_price, burnt / 1e6 * e.carbon_dioxide)
    });
    Ok(Balance {
        case: c.case.clone(),
        report,
        stages,
        throttle: s.throttle,
        condensate: p.condensate,
        open_water_in: p.open_water_in,
        feed: p.feed,
        vent: p.vent,
        exhaust: s.exhaust,
        exhaust_enthalpy: s.exhaust_enthalpy,
        condenser_pressure: s.condenser.p,
        condenser_temperature: s.condenser.t,
        inlet_pressure: march.inlet,
        hot_reheat_pressure,
        separator: separated(t, s, state, &p),
        hotwell: s.condenser.hf,
        condensate_rise: p.condensate_rise,
        suction: p.pumped.suction,
        discharge: p.pumped.discharge,
        feed_rise: p.pumped.rise,
        recirculation: p.pumped.back,
        recirculation_heat: p.pumped.back_work,
        pump_loss: p.pumped.lost,
        final_temperature,
        final_enthalpy: p.final_enthalpy,
        shaft,
        gross,
        auxiliary: condensate_work + feed_work / plant.feed_pumps.drive_efficiency,
        pumping,
        heat_added,
        reheat,
        rejected,
        heat_rate: heat_added / gross * 3600.0,
        efficiency: (shaft - pumping) / heat_added,
        steam_rate: s.throttle / gross * 3600.0,
        fuel,
        money,
        carbon_dioxide,
        mass_residual: mass.abs() / s.throttle,
        energy_residual: energy.abs() / heat_added,
        heaters: p.heaters,
    })
}
