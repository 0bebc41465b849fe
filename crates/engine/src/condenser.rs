//! Condenser, hotwell and condensate pumps: where exhaust, emergency drains and make-up meet, and the condensate starts.
//!
//! The exhaust condenses at once; steel and hotwell water share one temperature, whose heat is a state. Heat passes to
//! the cooling water by the effectiveness of a condensing exchanger, so the pressure follows from what must be
//! rejected and from the cooling water.

use crate::fault::{At, Fault};
use serde::{Deserialize, Serialize};

/// Heat capacity of steel [kJ/(kg K)] (*common practice, no source*).
pub const STEEL: f64 = 0.49;
/// Heat capacity of cold water [kJ/(kg K)]: slope of the search, not a property of the result.
const WATER: f64 = 4.18;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Heat rejected per kelvin between steam and cooling water inlet [kW/K].
    pub rejection: f64,
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
    /// Pressure [MPa].
    pub pressure: f64,
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
    let rejected = p.rejection * (s.temperature - p.cooling_inlet);
    s.hotwell += i.dt * (i.inflow + i.makeup - i.condensate);
    s.heat += i.dt * (i.inflow_heat + makeup_heat - i.condensate * condensate - rejected);
    // Temperature that holds this heat: a nearly straight line, whose slope is known to a per mille.
    let capacity = s.hotwell * WATER + p.metal_capacity;
    for _ in 0..8 {
        let d = (s.heat - held(p, s.hotwell, s.temperature).at(place)?) / capacity;
        s.temperature += d;
        if d.abs() < 1e-11 {
            break;
        }
    }
    s.pressure = steam::p_sat(s.temperature).at(place)?;
    Ok(Outputs { rejected, cooling_outlet: p.cooling_inlet + rejected / p.cooling_capacity, makeup_heat })
}
