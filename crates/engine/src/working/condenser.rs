//! The condenser, its hotwell and its cooling water. Its numbers are signals of the unit.

use super::expr::{Function, call, exp, max, number, power};
use super::{CONSERVATION, DEFINITION, Draft, FILMS, IAPWS, INCROPERA, PRACTICE, Why, Working, fixed, of};
use crate::condenser;
use crate::fault::{At, Fault};
use crate::sim::Sim;
use steam::units::Quantity as Q;

/// The working of one of the condenser's own numbers.
pub fn working(sim: &Sim, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o) = (&sim.params().condenser, &sim.outputs().condenser);
    let (x, before) = (&sim.state().plant.condenser, &sim.previous().plant.condenser);
    let mut d = Draft::new(sim, "condenser", name);
    let share = condenser::air_pressure(p, before) / before.pressure;
    let units = condenser::transfer_units(p, o.cooling_flow, share);
    match name {
        "air_mass" => d.read(x.air, Why::State),
        "air_share" => {
            let air = d.before_of("unit", "condenser_air", condenser::air_pressure(p, before));
            let all = d.before_of("unit", "condenser_pressure", before.pressure);
            d.is(share, air / all, DEFINITION)
        }
        "transfer_units" => {
            let design = d.sized("NTU_0", "transfer_units_design", of(Q::Ratio), p.transfer_units);
            let f = d.link_of("unit", "cooling_flow", o.cooling_flow);
            let y = d.link("air_share", share);
            let side = d.constant("w", "water_side_share", of(Q::Fraction), condenser::WATER_SIDE, PRACTICE);
            let hinders = d.constant("k_a", "air_hinders", of(Q::Ratio), condenser::AIR_HINDERS, PRACTICE);
            let resistance = side.clone() * power(f.clone(), -0.8) + (1.0 - side) * (1.0 + hinders * y);
            d.is(units, design / (resistance * f), FILMS)
        }
        "rejection" => {
            let c = d.sized("C_cw", "cooling_capacity", of(Q::Conductance), p.cooling_capacity);
            let f = d.link_of("unit", "cooling_flow", o.cooling_flow);
            let n = d.link("transfer_units", units);
            d.is(o.per_kelvin, c * f * (1.0 - exp(0.0 - n)), INCROPERA)
        }
        _ => Ok(None),
    }
}

/// The working of one of the condenser's numbers among the unit's.
pub fn of_unit(sim: &Sim, name: &str) -> Result<Option<Working>, Fault> {
    let (p, o) = (&sim.params().condenser, &sim.outputs().condenser);
    let (x, before) = (&sim.state().plant.condenser, &sim.previous().plant.condenser);
    let mut d = Draft::new(sim, "unit", name);
    d.balance = "condenser".into();
    match name {
        "condenser_pressure" => {
            let t = d.link("condenser_temperature", x.temperature);
            let air = d.link("condenser_air", o.air_pressure);
            d.is(x.pressure, call(Function::SaturationPressure, [t]) + air, IAPWS)
        }
        "condenser_air" => {
            let m = d.link_of("condenser", "air_mass", x.air);
            let t = d.link("condenser_temperature", x.temperature);
            let gas =
                d.constant("R", "gas_constant_of_air", fixed("MPa·m³/(kg·K)"), condenser::AIR, DEFINITION);
            let zero = d.constant("T_0", "ice_point", fixed("K"), 273.15, DEFINITION);
            let volume = d.plant(
                "V_k",
                "steam_volume",
                of(Q::Volume),
                p.steam_volume,
                "condenser.equipment.steam_volume",
            );
            d.is(o.air_pressure, m * gas * (t + zero) / volume, DEFINITION)
        }
        "cooling_flow" => {
            let lost = d.sized(
                "w",
                "cooling_water_lost",
                of(Q::Fraction),
                sim.outputs().conditions.condenser.cooling_loss,
            );
            d.is(o.cooling_flow, 1.0 - lost, DEFINITION)
        }
        "condenser_relief_flow" => {
            let at = d.before("condenser_pressure", before.pressure);
            let (opens, over) = condenser::RELIEF;
            let opens = d.constant("p_0", "relief_pressure", of(Q::Pressure), opens, PRACTICE);
            let over = d.constant("Δp_0", "relief_over", of(Q::Pressure), over, PRACTICE);
            let most = d.sized("ṁ_k,0", "exhaust_flow_design", of(Q::MassFlow), p.exhaust);
            d.is(o.relief, max(at - opens, number(0.0)) / over * most, PRACTICE)
        }
        // The temperature at which hotwell and steel hold their heat.
        "condenser_temperature" => {
            d.see("condenser_heat_held");
            d.see_of("condenser", "energy_rate");
            d.read(x.temperature, Why::Root)
        }
        "condenser_heat_held" => {
            let m = d.link("hotwell_mass", x.hotwell);
            let t = d.link("condenser_temperature", x.temperature);
            let steel = d.plant(
                "C_m",
                "metal_capacity",
                fixed("kJ/K"),
                p.metal_capacity,
                "condenser.equipment.metal",
            );
            d.is(x.heat, m * call(Function::LiquidEnthalpyAt, [t.clone()]) + steel * t, IAPWS)
        }
        "condenser_heat" => {
            let k = d.link_of("condenser", "rejection", o.per_kelvin);
            let t = d.before("condenser_temperature", before.temperature);
            let cold = d.link("cooling_inlet_temperature", p.cooling_inlet);
            d.is(o.rejected, k * (t - cold), INCROPERA)
        }
        "cooling_inlet_temperature" => {
            let given = d.plant(
                "t_cw,in",
                "cooling_inlet_temperature",
                of(Q::Temperature),
                p.cooling_inlet,
                "condenser.cooling",
            );
            d.is(p.cooling_inlet, given, DEFINITION)
        }
        "cooling_outlet_temperature" => {
            let cold = d.link("cooling_inlet_temperature", p.cooling_inlet);
            let q = d.link("condenser_heat", o.rejected);
            let c = d.sized("C_cw", "cooling_capacity", of(Q::Conductance), p.cooling_capacity);
            let f = d.link("cooling_flow", o.cooling_flow);
            d.is(o.cooling_outlet, cold + q / (c * f), CONSERVATION)
        }
        "hotwell_mass" => {
            d.see_of("condenser", "mass_rate");
            d.read(x.hotwell, Why::State)
        }
        "hotwell_level" => {
            d.see("hotwell_level_true");
            d.read(sim.outputs().measured.hotwell_level, Why::Instrument)
        }
        "hotwell_level_true" => {
            let m = d.link("hotwell_mass", x.hotwell);
            let normal = d.plant(
                "m_hw,n",
                "hotwell_mass_normal",
                of(Q::Mass),
                p.hotwell_mass,
                "condenser.equipment.hotwell_mass",
            );
            let t = d.link("condenser_temperature", x.temperature);
            let surface = d.plant(
                "A_hw",
                "hotwell_surface",
                fixed("m²"),
                p.hotwell_surface,
                "condenser.equipment.hotwell_surface",
            );
            let mm = d.constant("k", "millimetres_per_metre", fixed("mm/m"), 1e3, DEFINITION);
            let value = condenser::level(p, x).at("condenser")?;
            d.is(value, (m - normal) * call(Function::LiquidVolumeAt, [t]) / surface * mm, CONSERVATION)
        }
        "condensate_enthalpy" => {
            let t = d.link("condenser_temperature", x.temperature);
            d.is(condenser::condensate(x)?, call(Function::LiquidEnthalpyAt, [t]), IAPWS)
        }
        _ => Ok(None),
    }
}
