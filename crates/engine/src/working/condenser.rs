//! The condenser, its hotwell and its cooling water. Its numbers are signals of the unit.

use super::expr::{Function, call};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, INCROPERA, Why, Working, fixed, of};
use crate::condenser;
use crate::fault::{At, Fault};
use crate::sim::Sim;
use steam::units::Quantity as Q;

/// Nothing yet is called by the condenser's own name but its balance.
pub fn working(_: &Sim, _: &str) -> Result<Option<Working>, Fault> {
    Ok(None)
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
            d.is(x.pressure, call(Function::SaturationPressure, [t]), IAPWS)
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
            let k = d.sized("K", "rejection_per_kelvin", of(Q::Conductance), p.rejection);
            let t = d.before("condenser_temperature", before.temperature);
            let cold = d.plant(
                "t_cw,in",
                "cooling_inlet_temperature",
                of(Q::Temperature),
                p.cooling_inlet,
                "condenser.cooling",
            );
            d.is(o.rejected, k * (t - cold), INCROPERA)
        }
        "cooling_outlet_temperature" => {
            let cold = d.plant(
                "t_cw,in",
                "cooling_inlet_temperature",
                of(Q::Temperature),
                p.cooling_inlet,
                "condenser.cooling",
            );
            let q = d.link("condenser_heat", o.rejected);
            let c = d.sized("C_cw", "cooling_capacity", of(Q::Conductance), p.cooling_capacity);
            d.is(o.cooling_outlet, cold + q / c, CONSERVATION)
        }
        "hotwell_mass" => {
            d.see_of("condenser", "mass_rate");
            d.read(x.hotwell, Why::State)
        }
        "hotwell_level" => {
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
