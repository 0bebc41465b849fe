//! From the plant file and its design heat balance to everything that never changes: conductances, valve
//! coefficients, turbine constants, pump heads; and the state in which the plant rests at design.

use crate::balance::{self, Balance, HeaterBalance};
use crate::boiler;
use crate::condenser::{self, STEEL};
use crate::control::{Pi, PiParams};
use crate::drain;
use crate::exchange;
use crate::extraction::{self, Source};
use crate::fault::{At, Fault};
use crate::feed_pump;
use crate::heater;
use crate::ledger::Ledger;
use crate::level::Geometry;
use crate::measurements::RateMeter;
use crate::open_heater;
use crate::operation::{self, HeaterControl};
use crate::pipe::Pipe;
use crate::plant::file::{ClosedHeater, DrainTo, DrainValve, Heater, OpenHeater, Plant, Shell};
use crate::train::{Closed, ClosedState, Economics, Params, PlantState, Receiver, STEP, State};
use crate::turbine;
use crate::valve::Stem;
use crate::vessel;

/// Overall coefficients by which tube water and metal are shared among the zones [kW/(m² K)]: drain cooling,
/// condensing, desuperheating (*common practice, no source*). They set where the heat is stored, not how much passes.
const TYPICAL_COEFFICIENT: [f64; heater::ZONES] = [2.0, 3.5, 0.6];
/// Heights over which an outlet in the shell's bottom, without a drain cooler, runs from empty to covered [m].
const PLAIN_OUTLET: (f64, f64) = (0.0, 0.06);
/// Hotwell and drum level control (*common practice, no source*): gain per mm, integral time [s].
const HOTWELL_CONTROL: PiParams = PiParams { gain: 0.004, integral_time: 120.0 };
const DRUM_CONTROL: PiParams = PiParams { gain: 0.0015, integral_time: 150.0 };

/// The sized plant, at rest at its design point.
pub struct Sized {
    /// What never changes.
    pub params: Params,
    /// The state at design.
    pub state: State,
    /// The balance it was sized by.
    pub balance: Balance,
}

/// Sizes a checked plant.
pub fn size(plant: &Plant) -> Result<Sized, Fault> {
    let (bal, lines) = balance::design(plant)?;
    let open = bal.open;
    let groups = groups(plant, open);

    let mut closed = Vec::new();
    let mut closed_states = Vec::new();
    let mut operated = Vec::new();
    let mut controls = Vec::new();
    for (i, h) in plant.heaters.iter().enumerate() {
        let Heater::Closed(c) = h else { continue };
        let k = closed.len();
        let line = if i < open { &lines.high } else { &lines.low };
        let (params, state) = closed_heater(plant, c, i, &bal, line)?;
        operated.push(operation::HeaterParams {
            id: c.id.clone(),
            level: c.level,
            level_control: PiParams { gain: c.level.gain, integral_time: c.level.integral_time },
            group: groups.iter().position(|g| g.contains(&k)).unwrap_or(0),
            // The neighbour before, unless the open heater lies between.
            drained_into_by: (i > 0 && i - 1 != open && balance::drains_to_next(&plant.heaters[i - 1]))
                .then(|| k - 1),
            ramp_limit: c.ramp_limit,
        });
        controls.push(HeaterControl::at(c.drains.normal.design_opening));
        closed.push(params);
        closed_states.push(state);
    }
    let Heater::Open(o) = &plant.heaters[open] else {
        return Err(Fault::new("no_open_heater", "heaters", "there is no open heater.", "Add one."));
    };
    let (open_params, open_extraction, open_state) = open_heater(o, &bal.heaters[open])?;
    let (turbine_params, turbine_state) = turbine(plant, &bal)?;
    let (condenser_params, condenser_state) = condenser(plant, &bal)?;
    let b = &plant.boiler;
    let tank_volume = steam::sat_p(bal.heaters[open].pressure).at(&o.id)?.vf;
    let boiler_params = boiler::Params {
        steam_flow: b.steam_flow,
        steam_enthalpy: turbine_params.main_enthalpy,
        drum_mass: b.drum_mass,
        // Saturated water at drum pressure; beyond the two-phase tables used here, that at their end.
        drum_per_mm: b.drum_surface * 1e-3
            / steam::sat_p(b.drum_pressure.min(vessel::HIGHEST_PRESSURE)).at("boiler")?.vf,
        load_rate: b.load_rate * b.steam_flow / 60.0,
        efficiency: b.efficiency,
    };
    let feed_params = feed_pumps(plant, &bal, o, tank_volume);
    let feedwater = bal.heaters[0].water_out;
    let hp_volume = lines.high.v(bal.heaters[0].water_out_t).at("boiler")?;

    let params = Params {
        dt: STEP,
        closed,
        high: open,
        open: open_params,
        open_extraction,
        groups: groups.clone(),
        bypass_stroke: plant.bypass_stroke,
        operation: operation::Params {
            heaters: operated,
            groups: groups.clone(),
            open_level: PiParams { gain: o.level_gain, integral_time: o.level_integral_time },
            condensate: bal.condensate,
            feed: bal.throttle,
            hotwell: HOTWELL_CONTROL,
            makeup_limit: plant.condenser.makeup_limit,
            drum: DRUM_CONTROL,
        },
        turbine: turbine_params,
        condenser: condenser_params,
        boiler: boiler_params,
        feed_pumps: feed_params,
        condensate_rise: bal.condensate_rise,
        condensate_design: bal.condensate,
        condensate_largest: plant.condensate_pumps.largest_flow * bal.condensate,
        lines,
        economics: Economics {
            heating_value: plant.economics.heating_value,
            fuel_price: plant.economics.fuel_price,
            carbon_dioxide: plant.economics.carbon_dioxide,
        },
        design_heat_rate: bal.heat_rate,
    };
    let plant_state = PlantState {
        closed: closed_states,
        open: open_state,
        open_extraction: extraction::OPEN,
        suction: Pipe::new(pipe_mass(o.suction_pipe, tank_volume, b.steam_flow), bal.heaters[open].water_out),
        feed_line: Pipe::new(pipe_mass(b.feed_line_volume, hp_volume, b.steam_flow), feedwater),
        bypass: vec![Stem { opening: 0.0 }; groups.len()],
        turbine: turbine_state,
        condenser: condenser_state,
        condensate: bal.condensate,
        boiler: boiler::State { drum: b.drum_mass, steam: b.steam_flow },
        feed: feed_pump::State { flow: b.steam_flow },
    };
    let control = operation::State {
        heaters: controls,
        open_level: Pi::at(1.0),
        hotwell: Pi::at(bal.vent / plant.condenser.makeup_limit),
        drum: Pi::at(0.0),
        load: 1.0,
    };
    let state = State { steps: 0, plant: plant_state, control, ledger: Ledger::default(), events: 0 };
    Ok(Sized { params, state, balance: bal })
}

/// Water in a pipe [kg]; never so little that a step could flush it.
fn pipe_mass(volume: f64, specific: f64, flow: f64) -> f64 {
    (volume / specific).max(3.0 * flow * STEP)
}

/// Bypass groups by index of closed heater: those of the file, and one for each heater in none.
fn groups(plant: &Plant, open: usize) -> Vec<Vec<usize>> {
    let slot =
        |id: &str| plant.heaters.iter().position(|h| h.id() == id).map(|i| if i > open { i - 1 } else { i });
    let mut groups: Vec<Vec<usize>> = plant
        .bypass_groups
        .iter()
        .map(|g| {
            let mut v: Vec<usize> = g.iter().filter_map(|id| slot(id)).collect();
            v.sort_unstable();
            v
        })
        .collect();
    for h in plant.heaters.iter().filter(|h| matches!(h, Heater::Closed(_))) {
        if let Some(k) = slot(h.id())
            && !groups.iter().any(|g| g.contains(&k))
        {
            groups.push(vec![k]);
        }
    }
    groups
}

fn closed_heater(
    plant: &Plant,
    c: &ClosedHeater,
    i: usize,
    bal: &Balance,
    line: &steam::LiquidLine,
) -> Result<(Closed, ClosedState), Fault> {
    let hb = &bal.heaters[i];
    let id = c.id.as_str();
    let sat = steam::sat_p(hb.pressure).at(id)?;
    let zones = zones(c, hb, &sat, line)?;

    // Tube water and metal, shared by the area that each zone's conductance needs.
    let area: Vec<f64> = zones.conductance.iter().zip(TYPICAL_COEFFICIENT).map(|(ua, u)| ua / u).collect();
    let whole: f64 = area.iter().sum();
    let cp = line.cp(0.5 * (hb.water_in_t + hb.water_out_t)).at(id)?;
    let held = c.tube_water + c.tube_metal * STEEL / cp;
    let storage = [held * area[0] / whole, held * area[1] / whole, held * area[2] / whole];

    let geometry = Geometry::new(&c.shell);
    let metal_capacity = c.shell.metal * STEEL;
    let params = heater::Params {
        id: c.id.clone(),
        normal_level: c.shell.normal_level,
        metal_capacity,
        metal_conductance: metal_capacity / c.shell.metal_lag,
        conductance: zones.conductance,
        water_share: c.water_resistance,
        storage,
        outlet: c.drain_cooling.as_ref().map_or(PLAIN_OUTLET, |d| (d.inlet_bottom, d.inlet_top)),
        water_flow: hb.water_flow,
        steam_flow: hb.extraction_flow,
        drain_flow: hb.drain_flow,
        geometry: geometry.clone(),
    };
    let state = heater::State {
        shell: vessel::fill(geometry.volume(c.shell.normal_level), geometry.whole(), &sat),
        pressure: sat.p,
        metal: sat.t,
        water: zones.water,
        drain: hb.drain,
        steam_flow: hb.extraction_flow,
    };

    // Drains.
    let level = c.shell.elevation + c.shell.normal_level;
    let (receiver, down, head) = match c.drains.to {
        DrainTo::Condenser => {
            (Receiver::Condenser, plant.condenser.pressure, level - plant.condenser.elevation)
        }
        DrainTo::Next => match &plant.heaters[i + 1] {
            Heater::Closed(n) => {
                let k = if i > bal.open { i } else { i + 1 };
                (
                    Receiver::Closed(k),
                    bal.heaters[i + 1].pressure,
                    level - n.shell.elevation - n.shell.normal_level,
                )
            }
            Heater::Open(o) => {
                (Receiver::Open, bal.heaters[i + 1].pressure, level - o.tank.elevation - o.tank.diameter)
            }
        },
    };
    let normal = size_drain(&c.drains.normal, hb, head, down, &format!("heaters.{id}.drains.normal"))?;
    let emergency = size_drain(
        &c.drains.emergency,
        hb,
        level - plant.condenser.elevation,
        plant.condenser.pressure,
        &format!("heaters.{id}.drains.emergency"),
    )?;
    let extraction = extraction::Params::size(
        hb.extraction_flow,
        hb.extraction_pressure,
        hb.extraction_volume,
        hb.pressure,
        c.extraction.stop_stroke,
        c.extraction.non_return_close,
    );
    let volume = line.v(hb.water_out_t).at(id)?;
    let closed_state = ClosedState {
        heater: state,
        extraction: extraction::OPEN,
        normal: Stem { opening: c.drains.normal.design_opening },
        emergency: Stem { opening: 0.0 },
        outlet_pipe: Pipe::new(pipe_mass(c.outlet_pipe, volume, hb.water_flow), hb.water_out),
        ramp: RateMeter::at(hb.water_out_t),
    };
    Ok((Closed { heater: params, extraction, normal, emergency, receiver }, closed_state))
}

struct Zones {
    conductance: [f64; heater::ZONES],
    /// Enthalpy of the water leaving each [kJ/kg].
    water: [f64; heater::ZONES],
}

/// Conductance of each zone from the design duties, by the same relations as the step uses.
fn zones(
    c: &ClosedHeater,
    hb: &HeaterBalance,
    sat: &steam::Saturation,
    line: &steam::LiquidLine,
) -> Result<Zones, Fault> {
    let id = c.id.as_str();
    let place = format!("heaters.{id}");
    let w = hb.water_flow;
    let impossible = |what: &str, e: f64| {
        Fault::new(
            "zone_impossible",
            place.clone(),
            format!("the {what} zone would need an effectiveness of {e:.3}, and no surface reaches 1."),
            "Ease the terminal temperature difference, the approach or the residual superheat.",
        )
    };

    // Drain cooling: all the drain from saturation to the water's inlet plus the approach.
    let drain_duty = hb.drain_flow * (sat.hf - hb.drain);
    let h1 = hb.water_in + drain_duty / w;
    let t1 = line.t(h1).at(id)?;
    let mut ua1 = 0.0;
    if drain_duty > 0.0 {
        let cold = w * (h1 - hb.water_in) / (t1 - hb.water_in_t);
        let coldest = steam::liquid_pt(sat.p, hb.water_in_t).at(id)?.h;
        let hot = hb.drain_flow * (sat.hf - coldest) / (sat.t - hb.water_in_t);
        let (least, most) = (cold.min(hot), cold.max(hot));
        let e = drain_duty / (least * (sat.t - hb.water_in_t));
        ua1 =
            exchange::counterflow_ntu(e, least / most).ok_or_else(|| impossible("drain-cooling", e))? * least;
    }

    // Desuperheating: the extraction down to its residual superheat.
    let mut h2 = hb.water_out;
    let mut ua3 = 0.0;
    if let Some(d) = &c.desuperheating
        && hb.extraction_enthalpy > sat.hg
    {
        let steam_in = steam::state_ph(sat.p, hb.extraction_enthalpy).at(id)?;
        let leaving = steam::steam_pt(sat.p, sat.t + d.residual_superheat).at(id)?.h;
        let duty = hb.extraction_flow * (hb.extraction_enthalpy - leaving);
        if duty > 0.0 {
            h2 = hb.water_out - duty / w;
            let t2 = line.t(h2).at(id)?;
            let hot = hb.extraction_flow * (hb.extraction_enthalpy - sat.hg) / (steam_in.t - sat.t);
            let cold = w * (hb.water_out - h2) / (hb.water_out_t - t2);
            let (least, most) = (cold.min(hot), cold.max(hot));
            let e = duty / (least * (steam_in.t - t2));
            ua3 = exchange::counterflow_ntu(e, least / most)
                .ok_or_else(|| impossible("desuperheating", e))?
                * least;
        }
    }

    // Condensing: the rest, against saturation.
    let t2 = line.t(h2).at(id)?;
    if !(t1 < t2 && t2 < sat.t) {
        return Err(Fault::new(
            "zone_impossible",
            place,
            format!(
                "in the condensing zone water would go from {t1:.2} to {t2:.2} °C with steam at {:.2} °C.",
                sat.t
            ),
            "Raise the terminal temperature difference or lower the residual superheat.",
        ));
    }
    let ntu = steam::math::ln((sat.t - t1) / (sat.t - t2));
    let ua2 = ntu * w * (h2 - h1) / (t2 - t1);
    Ok(Zones { conductance: [ua1, ua2, ua3], water: [h1, h2, hb.water_out] })
}

fn size_drain(
    v: &DrainValve,
    hb: &HeaterBalance,
    head: f64,
    down: f64,
    place: &str,
) -> Result<drain::Params, Fault> {
    let unit = drain::Params {
        coefficient: 1.0,
        recovery: v.recovery,
        stroke: v.stroke,
        characteristic: v.characteristic,
        head,
    };
    let up = drain::upstream(hb.pressure, hb.drain, head).at(place)?;
    let passed = drain::flow(&unit, &Stem { opening: v.design_opening }, &up, down);
    if !(passed > 0.0) {
        return Err(Fault::new(
            "drain_cannot_flow",
            place,
            format!(
                "at design {:.4} MPa and {head:.1} m of head do not drive the drain to {down:.4} MPa.",
                hb.pressure
            ),
            "Check the elevations, or drain this heater elsewhere.",
        ));
    }
    Ok(drain::Params { coefficient: hb.drain_flow / passed, ..unit })
}

fn open_heater(
    o: &OpenHeater,
    hb: &HeaterBalance,
) -> Result<(open_heater::Params, extraction::Params, open_heater::State), Fault> {
    let Shell { metal, metal_lag, normal_level, .. } = o.tank;
    let sat = steam::sat_p(hb.pressure).at(&o.id)?;
    let geometry = Geometry::new(&o.tank);
    let metal_capacity = metal * STEEL;
    let state = open_heater::State {
        tank: vessel::fill(geometry.volume(normal_level), geometry.whole(), &sat),
        pressure: sat.p,
        metal: sat.t,
    };
    let params = open_heater::Params {
        id: o.id.clone(),
        geometry,
        normal_level,
        metal_capacity,
        metal_conductance: metal_capacity / metal_lag,
        vent: o.vent_flow / hb.pressure,
    };
    let extraction = extraction::Params::size(
        hb.extraction_flow,
        hb.extraction_pressure,
        hb.extraction_volume,
        hb.pressure,
        o.extraction.stop_stroke,
        o.extraction.non_return_close,
    );
    Ok((params, extraction, state))
}

fn turbine(plant: &Plant, bal: &Balance) -> Result<(turbine::Params, turbine::State), Fault> {
    let n = plant.heaters.len();
    let main = steam::steam_pt(plant.boiler.steam_pressure, plant.boiler.steam_temperature).at("boiler")?.h;
    let (mut p1, mut h1) = (bal.inlet_pressure, main);
    let mut flow = bal.throttle;
    let mut groups = Vec::new();
    let mut pv = Vec::new();
    let mut pv_cold = 0.0;
    let mut reheater = None;
    let mut points = Vec::new();
    let mut ends = Vec::new();
    for g in 0..=n {
        let here = p1 * steam::state_ph(p1, h1).at("turbine")?.v;
        let p2 = if g < n { bal.heaters[g].extraction_pressure } else { plant.condenser.pressure };
        groups.push(turbine::Group {
            coefficient: turbine::coefficient(flow, p1, here, p2),
            efficiency: plant.turbine.section_efficiency[g],
        });
        pv.push(here);
        if g == n {
            ends.push((h1, bal.exhaust_enthalpy - plant.turbine.leaving_loss));
            break;
        }
        let hb = &bal.heaters[g];
        ends.push((h1, hb.extraction_enthalpy));
        points.push(Source { pressure: p2, enthalpy: hb.extraction_enthalpy, volume: hb.extraction_volume });
        flow -= hb.extraction_flow;
        (p1, h1) = (p2, hb.extraction_enthalpy);
        if let Some(r) = plant.boiler.reheat.as_ref().filter(|r| r.after == hb.id) {
            pv_cold = p2 * hb.extraction_volume;
            let hot = bal.hot_reheat_pressure;
            reheater = Some(turbine::Reheater {
                after: g,
                temperature: r.temperature,
                coefficient: turbine::coefficient(flow, p2, pv_cold, hot),
            });
            (p1, h1) = (hot, steam::steam_pt(hot, r.temperature).at("boiler.reheat")?.h);
        }
    }
    // The leaving loss belongs to the volume flow at the end of the blading.
    let end = bal.exhaust_enthalpy - plant.turbine.leaving_loss;
    let exhaust_volume = bal.exhaust * steam::state_ph(plant.condenser.pressure, end).at("turbine")?.v;
    let params = turbine::Params {
        groups,
        reheater,
        main_enthalpy: main,
        wetness_factor: plant.turbine.wetness_factor,
        leaving_loss: plant.turbine.leaving_loss,
        exhaust_volume,
        efficiency: plant.turbine.generator_efficiency,
    };
    Ok((params, turbine::State { pv, pv_cold, points, groups: ends, exhaust: bal.exhaust }))
}

fn condenser(plant: &Plant, bal: &Balance) -> Result<(condenser::Params, condenser::State), Fault> {
    let c = &plant.condenser;
    let t = steam::t_sat(c.pressure).at("condenser")?;
    let params = condenser::Params {
        // Effectiveness times the cooling water's capacity rate: what the water takes up per kelvin of the whole gap.
        rejection: bal.rejected / (t - c.cooling_inlet),
        cooling_inlet: c.cooling_inlet,
        cooling_capacity: bal.rejected / c.cooling_rise,
        metal_capacity: c.metal * STEEL,
        hotwell_mass: c.hotwell_mass,
        hotwell_surface: c.hotwell_surface,
        makeup_enthalpy: steam::sat_t(c.makeup_temperature).at("condenser")?.hf,
    };
    let state = condenser::at_rest(&params, t).at("condenser")?;
    Ok((params, state))
}

fn feed_pumps(plant: &Plant, bal: &Balance, o: &OpenHeater, volume: f64) -> feed_pump::Params {
    let f = &plant.feed_pumps;
    let density = 1.0 / volume;
    feed_pump::Params {
        design_flow: bal.throttle,
        design_running: f.running,
        running: f.running,
        design_head: (bal.discharge - bal.suction) * 1e6 / (density * feed_pump::GRAVITY),
        shutoff: f.shutoff_head,
        efficiency: f.efficiency,
        drive_efficiency: f.drive_efficiency,
        speed: f.speed,
        largest_speed: f.largest_speed,
        npsh_required: f.npsh_required,
        suction_head: balance::suction_head(plant, bal.open),
        suction_loss: o.suction_loss,
        back_pressure: balance::back_pressure(plant, density),
        line_loss: plant.boiler.feed_line_loss,
        flow_rate: f.flow_rate * bal.throttle,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::valve;

    #[test]
    fn a_valve_sized_for_a_flow_passes_it() {
        let hb_pressure = 3.0;
        let drain = steam::liquid_pt(hb_pressure, 200.0).unwrap().h;
        let up = drain::upstream(hb_pressure, drain, 2.0).unwrap().unwrap();
        let kv = 20.0 / valve::liquid_flow(1.0, 0.85, &up, 1.5);
        assert!((valve::liquid_flow(kv, 0.85, &up, 1.5) - 20.0).abs() < 1e-12);
    }
}
