//! Condenser and hotwell: where exhaust, emergency drains and make-up meet, and the condensate starts.
//!
//! The exhaust condenses at once; steel and hotwell water share one temperature, whose heat is a state. Heat passes to
//! the cooling water by the effectiveness of a condensing exchanger, so the pressure follows from what must be
//! rejected and from the cooling water. Air that leaks in hinders the condensation and adds its own pressure until the
//! vacuum pump, which draws a constant volume, takes out as much. Beyond its relief pressure the condenser blows off.

use crate::fault::{At, Fault};
pub use crate::gas::AIR;
use serde::{Deserialize, Serialize};
use steam::math;

/// Heat capacity of steel [kJ/(kg K)] (*common practice, no source*).
pub const STEEL: f64 = 0.49;
/// Heat capacity of cold water [kJ/(kg K)]: slope of the search, not a property of the result.
const WATER: f64 = 4.18;

/// How much of the resistance lies on the cooling water's side at design (*common practice, no source*); that part falls
/// with flow^0.8.
pub const WATER_SIDE: f64 = 0.5;
/// How much a share of air in the steam adds to the resistance of the steam's side [share per share] (*common practice, no
/// source*: some per cent of air halve the condensation).
pub const AIR_HINDERS: f64 = 6.0;
/// Pressure at which the condenser blows off to the air [MPa], and how much above it passes the exhaust of design
/// (*common practice, no source*).
pub const RELIEF: (f64, f64) = (0.13, 0.02);

/// Air below this is none [kg]: what is left of a leak after it has been stopped.
const LEAST_AIR: f64 = 1e-9;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Number of transfer units at design.
    pub transfer_units: f64,
    /// Space that steam and air fill [m³].
    pub steam_volume: f64,
    /// Volume that the vacuum pump draws [m³/s].
    pub vacuum_pump: f64,
    /// Exhaust at design [kg/s]: measure of the relief.
    pub exhaust: f64,
    /// Cooling water inlet temperature [°C].
    pub cooling_inlet: f64,
    /// Heat capacity rate of the cooling water [kW/K].
    pub cooling_capacity: f64,
    /// Heat capacity of the steel [kJ/K].
    pub metal_capacity: f64,
    /// Water in the hotwell at normal level [kg], and its surface [m²].
    pub hotwell_mass: f64,
    /// Surface of the hotwell [m²].
    pub hotwell_surface: f64,
    /// Enthalpy of make-up [kJ/kg].
    pub makeup_enthalpy: f64,
}

/// Integrated from step to step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Water in the hotwell [kg].
    pub hotwell: f64,
    /// Heat in hotwell and steel [kJ], counted from 0 °C.
    pub heat: f64,
    /// Temperature [°C].
    pub temperature: f64,
    /// Pressure, of steam and air [MPa].
    pub pressure: f64,
    /// Air [kg].
    pub air: f64,
}

/// What is wrong.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// Air that leaks in beyond what the design has [kg/s].
    pub air: f64,
    /// Share of the cooling water that is lost.
    pub cooling_loss: f64,
}

/// What arrives and leaves in one step.
#[derive(Clone, Copy, Debug, Default)]
pub struct Inputs {
    /// Length of the step [s].
    pub dt: f64,
    /// Exhaust steam, drains and overflows [kg/s].
    pub inflow: f64,
    /// Their heat [kW].
    pub inflow_heat: f64,
    /// Condensate drawn [kg/s].
    pub condensate: f64,
    /// Make-up (positive) or overflow (negative) [kg/s].
    pub makeup: f64,
    /// What is wrong.
    pub wrong: Condition,
}

/// What one step gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outputs {
    /// Heat to the cooling water [kW].
    pub rejected: f64,
    /// Cooling water outlet temperature [°C].
    pub cooling_outlet: f64,
    /// Heat of make-up or overflow [kW].
    pub makeup_heat: f64,
    /// Heat rejected per kelvin between steam and cooling water inlet [kW/K].
    pub per_kelvin: f64,
    /// Cooling water [share of design].
    pub cooling_flow: f64,
    /// Pressure of the air [MPa].
    pub air_pressure: f64,
    /// Steam blown off [kg/s].
    pub relief: f64,
    /// Its heat [kW].
    pub relief_heat: f64,
}

/// Pressure of the air [MPa].
pub fn air_pressure(p: &Params, s: &State) -> f64 {
    s.air * AIR * (s.temperature + 273.15) / p.steam_volume
}

/// Number of transfer units with this share of the cooling water and this share of air in the steam.
pub fn transfer_units(p: &Params, cooling: f64, air: f64) -> f64 {
    let resistance = WATER_SIDE * math::pow(cooling, -0.8) + (1.0 - WATER_SIDE) * (1.0 + AIR_HINDERS * air);
    p.transfer_units / (resistance * cooling)
}

/// Heat rejected per kelvin between steam and cooling water inlet [kW/K]: a condensing exchanger's effectiveness.
pub fn rejection(p: &Params, cooling: f64, air: f64) -> f64 {
    if !(cooling > 0.0) {
        return 0.0;
    }
    p.cooling_capacity * cooling * -math::exp_m1(-transfer_units(p, cooling, air))
}

/// Heat held at `temperature` [kJ].
fn held(p: &Params, hotwell: f64, temperature: f64) -> steam::Result<f64> {
    Ok(hotwell * steam::sat_t(temperature)?.hf + p.metal_capacity * temperature)
}

/// State with normal level at `temperature` [°C].
pub fn at_rest(p: &Params, temperature: f64) -> steam::Result<State> {
    Ok(State {
        hotwell: p.hotwell_mass,
        heat: held(p, p.hotwell_mass, temperature)?,
        temperature,
        pressure: steam::p_sat(temperature)?,
        air: 0.0,
    })
}

/// Level about normal [mm].
pub fn level(p: &Params, s: &State) -> steam::Result<f64> {
    Ok((s.hotwell - p.hotwell_mass) * steam::sat_t(s.temperature)?.vf / p.hotwell_surface * 1e3)
}

/// Enthalpy of the condensate before the pumps [kJ/kg].
pub fn condensate(s: &State) -> Result<f64, Fault> {
    Ok(steam::sat_t(s.temperature).at("condenser")?.hf)
}

/// Advances by one step.
pub fn step(p: &Params, s: &mut State, i: &Inputs) -> Result<Outputs, Fault> {
    let place = "condenser";
    let condensate = condensate(s)?;
    let makeup_heat = i.makeup * if i.makeup > 0.0 { p.makeup_enthalpy } else { condensate };
    let cooling = 1.0 - i.wrong.cooling_loss;
    let per_kelvin = rejection(p, cooling, air_pressure(p, s) / s.pressure);
    let rejected = per_kelvin * (s.temperature - p.cooling_inlet);
    let relief = (s.pressure - RELIEF.0).max(0.0) / RELIEF.1 * p.exhaust;
    let relief_heat = relief * steam::sat_t(s.temperature).at(place)?.hg;
    s.hotwell += i.dt * (i.inflow + i.makeup - i.condensate - relief);
    s.heat += i.dt * (i.inflow_heat + makeup_heat - i.condensate * condensate - rejected - relief_heat);
    // Temperature that holds this heat: a nearly straight line, whose slope is known to a per mille.
    let capacity = s.hotwell * WATER + p.metal_capacity;
    for _ in 0..8 {
        let d = (s.heat - held(p, s.hotwell, s.temperature).at(place)?) / capacity;
        s.temperature += d;
        if d.abs() < 1e-11 {
            break;
        }
    }
    // What leaks in, and the share of the space that the vacuum pump draws, by the air at the end of the step.
    s.air = (s.air + i.wrong.air * i.dt) / (1.0 + p.vacuum_pump * i.dt / p.steam_volume);
    if s.air < LEAST_AIR {
        s.air = 0.0;
    }
    let air_pressure = air_pressure(p, s);
    s.pressure = steam::p_sat(s.temperature).at(place)? + air_pressure;
    // Without water there is nothing that leaves.
    let cooling_outlet = if cooling > 0.0 {
        p.cooling_inlet + rejected / (p.cooling_capacity * cooling)
    } else {
        p.cooling_inlet
    };
    Ok(Outputs {
        rejected,
        cooling_outlet,
        makeup_heat,
        per_kelvin,
        cooling_flow: cooling,
        air_pressure,
        relief,
        relief_heat,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn condenser() -> (Params, State, Inputs) {
        let p = Params {
            transfer_units: 0.9,
            steam_volume: 500.0,
            vacuum_pump: 1.3,
            exhaust: 120.0,
            cooling_inlet: 17.0,
            cooling_capacity: 28_000.0,
            metal_capacity: 64_000.0,
            hotwell_mass: 48_000.0,
            hotwell_surface: 45.0,
            makeup_enthalpy: 84.0,
        };
        let mut s = at_rest(&p, 33.0).unwrap();
        let i = Inputs {
            dt: 0.25,
            inflow: 120.0,
            inflow_heat: 120.0 * 2320.0,
            condensate: 120.0,
            ..Inputs::default()
        };
        settle(&p, &mut s, &i);
        (p, s, i)
    }

    fn settle(p: &Params, s: &mut State, i: &Inputs) -> Outputs {
        let mut o = Outputs::default();
        for _ in 0..40_000 {
            o = step(p, s, i).unwrap();
        }
        o
    }

    /// Incropera, 3rd ed., example 11.5: 2e9 W, 3e4 kg/s from 20 °C, steam at 50 °C: NTU 0.7588, outlet 35.95 °C.
    #[test]
    fn rejects_as_published() {
        let (p, ..) = condenser();
        let p = Params { transfer_units: 0.7588, cooling_capacity: 3e4 * 4.178, ..p };
        let k = rejection(&p, 1.0, 0.0);
        assert!((k * 30.0 / 2e6 - 1.0).abs() < 1e-3, "{k}");
        assert!((20.0 + k * 30.0 / p.cooling_capacity - 35.95).abs() < 0.02);
    }

    /// The vacuum pump's balance: air settles where the volume drawn holds what leaks in, m = leak V / S, and gets there
    /// within a few times V / S.
    #[test]
    fn air_settles_where_the_vacuum_pump_takes_it_out() {
        let (p, mut s, i) = condenser();
        let before = s.clone();
        let leaky = Inputs { wrong: Condition { air: 0.01, cooling_loss: 0.0 }, ..i };
        let o = settle(&p, &mut s, &leaky);
        assert!((s.air - 0.01 * 500.0 / 1.3).abs() < 1e-9, "{}", s.air);
        let pressure = 0.01 / 1.3 * AIR * (s.temperature + 273.15);
        assert!((o.air_pressure - pressure).abs() < 1e-12);
        // More than the air's own pressure: the steam is hotter too, for the heat has to pass.
        assert!(s.pressure > before.pressure + o.air_pressure && s.temperature > before.temperature + 1.0);
        settle(&p, &mut s, &i);
        assert_eq!(s.air, 0.0);
        assert!((s.pressure / before.pressure - 1.0).abs() < 1e-9);
    }

    /// Half the cooling water: twice its rise at the same heat, and a hotter condenser.
    #[test]
    fn less_cooling_water_is_warmed_more() {
        let (p, mut s, i) = condenser();
        let full = settle(&p, &mut s, &i);
        let before = s.temperature;
        let half = settle(&p, &mut s, &Inputs { wrong: Condition { air: 0.0, cooling_loss: 0.5 }, ..i });
        let rise = |o: &Outputs| o.cooling_outlet - p.cooling_inlet;
        // The hotter condensate takes a little more of the heat with it.
        assert!((rise(&half) / rise(&full) - 2.0).abs() < 0.05);
        assert!(s.temperature > before + 5.0 && half.cooling_outlet < s.temperature);
    }

    #[test]
    fn without_cooling_water_it_blows_off_and_goes_no_higher() {
        let (p, mut s, i) = condenser();
        let o = settle(
            &p,
            &mut s,
            &Inputs { wrong: Condition { air: 0.0, cooling_loss: 1.0 }, makeup: 120.0, ..i },
        );
        assert_eq!((o.rejected, o.cooling_outlet), (0.0, 17.0));
        assert!(o.relief > 50.0 && s.pressure > 0.13 && s.pressure < 0.16, "{o:?} {s:?}");
    }
}
