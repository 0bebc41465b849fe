//! The unit as a whole: output, heat, fuel, money; the boiler and the ends of the water's way.

use super::expr::{Function, call, sum};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, PRACTICE, Why, Working, fixed, heater, of, separator};
use crate::boiler;
use crate::event::Device;
use crate::fault::Fault;
use crate::sim::Sim;
use steam::units::Quantity as Q;

const UNIT: &str = "unit";

/// The working of one of the unit's numbers.
pub fn working(sim: &Sim, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o, s) = (sim.params(), sim.outputs(), sim.state());
    let x = &s.plant;
    let mut d = Draft::new(sim, UNIT, name);
    let gross = o.turbine.gross;
    let fuel_heat = o.heat_added / p.boiler.efficiency;
    if let Some(w) = separator::of_unit(sim, Draft::new(sim, UNIT, name), name)? {
        return Ok(Some(w));
    }
    match name {
        "throttle_flow" => {
            d.see("steam_governed");
            d.see("main_stop_valve");
            d.read(o.throttle, Why::Follows)
        }
        "steam_governed" => d.read(x.boiler.steam, Why::Follows),
        "gross_output" if gross == 0.0 && !sim.state().demands.unit.generating => {
            d.see_of("turbine", "shaft");
            d.case("generator_off");
            d.is(gross, sum(Vec::new()), DEFINITION)
        }
        "gross_output" => {
            let shaft = d.link_of("turbine", "shaft", o.turbine.shaft);
            let eta = d.plant(
                "η_mg",
                "generator_efficiency",
                of(Q::Fraction),
                p.turbine.efficiency,
                "turbine.generator_efficiency",
            );
            d.is(gross, shaft * eta, DEFINITION)
        }
        "shaft_power" => {
            let e = d.link_of("turbine", "shaft", o.turbine.shaft);
            d.is(o.turbine.shaft, e, DEFINITION)
        }
        "auxiliary" => {
            let feed = d.link("feed_pump_power", o.feed.power);
            let condensate = d.link("condensate_power", o.condensate.power);
            let drains = d.link("drain_pumping", drain_pumping(sim));
            d.is(o.auxiliary, sum(vec![feed, condensate, drains]), CONSERVATION)
        }
        "condensate_power" => {
            let pumps = o.condensate.pumps.iter().enumerate();
            let parts = pumps
                .map(|(k, x)| d.link_of(&Device::CondensatePump(k).pump_id(), "power", x.power))
                .collect();
            d.is(o.condensate.power, sum(parts), CONSERVATION)
        }
        "drain_pumping" => {
            let mut parts = Vec::new();
            for (q, c) in p.closed.iter().zip(&o.closed).filter(|(_, c)| c.forward != 0.0) {
                let id = q.heater.id.as_str();
                let w = d.link_of(id, "normal_drain_flow", c.forward);
                parts.push(w * d.link_of(id, "forward_rise", c.forward_rise));
            }
            d.is(drain_pumping(sim), sum(parts), CONSERVATION)
        }
        "heat_added" => {
            let w = d.link("throttle_flow", o.throttle);
            let main = d.plant(
                "h_0",
                "main_steam_enthalpy",
                of(Q::Enthalpy),
                p.boiler.steam_enthalpy,
                "boiler.steam_temperature",
            );
            let fw = d.link("final_fw_enthalpy", o.final_h);
            let reheat = d.link_of("turbine", "reheat", o.turbine.reheat);
            d.is(o.heat_added, w * (main - fw) + reheat, CONSERVATION)
        }
        "fuel_heat" => {
            let added = d.link("heat_added", o.heat_added);
            let eta = d.plant(
                "η_b",
                "boiler_efficiency",
                of(Q::Fraction),
                p.boiler.efficiency,
                "boiler.efficiency",
            );
            d.is(fuel_heat, added / eta, DEFINITION)
        }
        "fuel_flow" => {
            let heat = d.link("fuel_heat", fuel_heat);
            let value = d.plant(
                "H_u",
                "heating_value",
                fixed("kJ/kg"),
                p.economics.heating_value,
                "economics.heating_value",
            );
            d.is(fuel_heat / p.economics.heating_value, heat / value, DEFINITION)
        }
        "fuel_cost" => {
            let heat = d.link("fuel_heat", fuel_heat);
            let price =
                d.plant("k_f", "fuel_price", fixed("/GJ"), p.economics.fuel_price, "economics.fuel_price");
            let factor = d.constant("k", "gigajoules_per_kwh", fixed("GJ/(kW·h)"), 3600.0 / 1e6, DEFINITION);
            d.is(fuel_heat * 3600.0 / 1e6 * p.economics.fuel_price, heat * factor * price, DEFINITION)
        }
        "co2" => {
            let heat = d.link("fuel_heat", fuel_heat);
            let each = d.plant(
                "e",
                "carbon_dioxide_per_heat",
                fixed("kg/GJ"),
                p.economics.carbon_dioxide,
                "economics.carbon_dioxide",
            );
            let factor = d.constant("k", "gigajoules_per_kj", fixed("GJ/kJ"), 1e-6, DEFINITION);
            d.is(fuel_heat / 1e6 * p.economics.carbon_dioxide, heat * factor * each, DEFINITION)
        }
        "final_fw_temperature" => {
            let h = d.link("final_fw_enthalpy", o.final_h);
            d.is(o.final_t, call(Function::HighWaterTemperature, [h]), IAPWS)
        }
        "final_fw_enthalpy" => {
            let first = p.closed.first().map(|c| c.heater.id.clone());
            if let Some(id) = first.filter(|_| p.high > 0) {
                d.see_of(&id, "fw_out_temperature");
            }
            d.read(o.final_h, Why::Pipe)
        }
        "boiler_feed" => {
            let e = match p.high > 0 {
                true => heater::leaving(sim, &mut d, 0),
                false => d.link("feed_flow", o.feed.flow),
            };
            d.is(o.boiler_feed, e, CONSERVATION)
        }
        "drum_level" => {
            d.see("drum_level_true");
            d.read(o.measured.drum_level, Why::Instrument)
        }
        "drum_level_true" => {
            let m = d.link("drum_mass", x.boiler.drum);
            let normal = d.plant(
                "m_dr,n",
                "drum_mass_normal",
                of(Q::Mass),
                p.boiler.drum_mass,
                "boiler.equipment.drum_mass",
            );
            let per = d.sized("k", "drum_mass_per_level", fixed("kg/mm"), p.boiler.drum_per_mm);
            d.is(boiler::level(&p.boiler, &x.boiler), (m - normal) / per, PRACTICE)
        }
        "drum_mass" => {
            d.see_of("boiler", "mass_rate");
            d.read(x.boiler.drum, Why::State)
        }
        // The condenser's and the pumps' numbers are the unit's by name.
        "condenser_pressure"
        | "condenser_air"
        | "cooling_flow"
        | "condenser_relief_flow"
        | "condenser_temperature"
        | "condenser_heat"
        | "cooling_inlet_temperature"
        | "cooling_outlet_temperature"
        | "hotwell_level"
        | "hotwell_level_true"
        | "hotwell_mass"
        | "condenser_heat_held"
        | "condensate_enthalpy" => super::condenser::of_unit(sim, name),
        "feed_pump_discharge"
        | "feed_pump_power"
        | "feed_pump_speed"
        | "feed_pump_suction_temperature"
        | "suction_head_available"
        | "suction_head_required"
        | "suction_head_margin" => super::feed_pump::of_unit(sim, name),
        _ => Ok(None),
    }
}

/// Power that drain pumps give to what they pump forward [kW].
fn drain_pumping(sim: &Sim) -> f64 {
    sim.outputs().closed.iter().map(|c| c.forward * c.forward_rise).sum()
}
