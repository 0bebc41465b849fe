//! What a balance gives: the figures a practitioner reads.

use super::case::Case;
use super::newton::Report;
use serde::Serialize;

/// Steam and water at one heater.
#[derive(Clone, Debug, Default, Serialize)]
pub struct HeaterBalance {
    /// Id.
    pub id: String,
    /// Pressure at the turbine [MPa].
    pub extraction_pressure: f64,
    /// Enthalpy of the extraction steam [kJ/kg].
    pub extraction_enthalpy: f64,
    /// Its specific volume at the turbine [m³/kg].
    pub extraction_volume: f64,
    /// Extraction flow [kg/s].
    pub extraction_flow: f64,
    /// What the drain of the extraction line takes, which is open while the steam is shut [kg/s].
    pub line_drain: f64,
    /// Shell pressure [MPa].
    pub pressure: f64,
    /// Saturation temperature [°C].
    pub saturation: f64,
    /// Water through the heater [kg/s].
    pub water_flow: f64,
    /// Water temperature in [°C].
    pub water_in_t: f64,
    /// Water temperature out [°C].
    pub water_out_t: f64,
    /// Water enthalpy in [kJ/kg].
    pub water_in: f64,
    /// Water enthalpy out [kJ/kg].
    pub water_out: f64,
    /// Terminal temperature difference [K].
    pub ttd: f64,
    /// Drain cooler approach [K].
    pub dca: f64,
    /// Drains that arrive, from the heater above, moisture separator and steam reheater [kg/s].
    pub drain_in: f64,
    /// Drain that leaves [kg/s]; 0 for the open heater.
    pub drain_flow: f64,
    /// Of which to the condenser because the normal drain cannot pass it [kg/s].
    pub spill: f64,
    /// Steam that the shell's vent takes [kg/s]; 0 for the open heater, whose own is the balance's.
    pub vent: f64,
    /// Drain enthalpy [kJ/kg].
    pub drain: f64,
    /// Drain temperature [°C].
    pub drain_t: f64,
    /// Duty [kW].
    pub duty: f64,
    /// Duty of each zone: drain cooling, condensing, desuperheating [kW].
    pub zone_duty: [f64; 3],
    /// Conductance of each zone at design [kW/K]; 0 where there is none, or where the heater is ideal.
    pub conductance: [f64; 3],
    /// Level about normal [mm].
    pub level: f64,
}

/// One group of turbine stages.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct StageBalance {
    /// Steam flow [kg/s].
    pub flow: f64,
    /// Pressure before [MPa].
    pub pressure_in: f64,
    /// Pressure behind [MPa].
    pub pressure_out: f64,
    /// Enthalpy before [kJ/kg].
    pub enthalpy_in: f64,
    /// Enthalpy behind, without leaving loss [kJ/kg].
    pub enthalpy_out: f64,
    /// Quality behind; 1 when superheated.
    pub quality_out: f64,
    /// Work [kW].
    pub work: f64,
}

/// Moisture separator and, behind it, steam reheater.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SeparatorBalance {
    /// Pressure of the steam that arrives [MPa].
    pub pressure_in: f64,
    /// Pressure in the separator [MPa].
    pub pressure: f64,
    /// Steam that arrives [kg/s].
    pub flow_in: f64,
    /// Its quality, at the separator's pressure.
    pub quality_in: f64,
    /// Moisture taken out [kg/s].
    pub drain_flow: f64,
    /// Its enthalpy [kJ/kg].
    pub drain: f64,
    /// Id of the heater where it arrives, or `condenser`.
    pub drains_to: String,
    /// Of which to the condenser because that heater is out, or not driven there [kg/s].
    pub spill: f64,
    /// Steam that leaves [kg/s].
    pub flow_out: f64,
    /// Its enthalpy, before a reheater [kJ/kg].
    pub enthalpy_out: f64,
    /// Steam reheater, where there is one.
    pub reheater: Option<ReheaterBalance>,
}

/// A reheater heated by throttle steam.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ReheaterBalance {
    /// Pressure of the reheated steam [MPa].
    pub pressure_out: f64,
    /// Its temperature [°C].
    pub temperature_out: f64,
    /// Its enthalpy [kJ/kg].
    pub enthalpy_out: f64,
    /// Heating steam [kg/s].
    pub heating_flow: f64,
    /// Pressure at which it condenses [MPa].
    pub heating_pressure: f64,
    /// Temperature at which it condenses [°C].
    pub heating_temperature: f64,
    /// Terminal temperature difference [K].
    pub ttd: f64,
    /// Heat given to the steam [kW].
    pub duty: f64,
    /// Conductance at design [kW/K].
    pub conductance: f64,
    /// Enthalpy of the drain [kJ/kg].
    pub drain: f64,
    /// Id of the heater where it arrives, or `condenser`.
    pub drains_to: String,
    /// Of which to the condenser because that heater is out, or not driven there [kg/s].
    pub spill: f64,
}

/// The plant at rest.
#[derive(Clone, Debug, Serialize)]
pub struct Balance {
    /// The case.
    pub case: Case,
    /// How the solution ended.
    #[serde(skip)]
    pub report: Report,
    /// Heaters, heater 1 first.
    pub heaters: Vec<HeaterBalance>,
    /// Groups of stages in the order of the steam.
    pub stages: Vec<StageBalance>,
    /// Steam to the turbine [kg/s].
    pub throttle: f64,
    /// Water drawn from the hotwell [kg/s].
    pub condensate: f64,
    /// Water that arrives at the open heater [kg/s]; 0 without one.
    pub open_water_in: f64,
    /// Water that the feed pumps deliver [kg/s].
    pub feed: f64,
    /// Steam vented by the open heater, made up in the hotwell [kg/s].
    pub vent: f64,
    /// Steam to the condenser [kg/s].
    pub exhaust: f64,
    /// Its enthalpy with the leaving loss [kJ/kg].
    pub exhaust_enthalpy: f64,
    /// Condenser pressure [MPa].
    pub condenser_pressure: f64,
    /// Condenser temperature [°C].
    pub condenser_temperature: f64,
    /// Pressure before the first group [MPa].
    pub inlet_pressure: f64,
    /// Hot reheat pressure [MPa], 0 without reheat.
    pub hot_reheat_pressure: f64,
    /// Moisture separator, where there is one.
    pub separator: Option<SeparatorBalance>,
    /// Condensate enthalpy before the condensate pumps [kJ/kg].
    pub hotwell: f64,
    /// Rise over the condensate pumps [kJ/kg].
    pub condensate_rise: f64,
    /// Feed pump suction [MPa].
    pub suction: f64,
    /// Feed pump discharge [MPa].
    pub discharge: f64,
    /// Rise over the feed pumps [kJ/kg], less what their casings lose.
    pub feed_rise: f64,
    /// Back to the storage tank through the feed pumps' minimum-flow and warm-up lines [kg/s].
    pub recirculation: f64,
    /// Heat that this brings back beyond that of the tank's water [kW].
    pub recirculation_heat: f64,
    /// Heat that the feed pumps' casings lose to the room [kW].
    pub pump_loss: f64,
    /// Feedwater at the economiser [°C].
    pub final_temperature: f64,
    /// Its enthalpy [kJ/kg].
    pub final_enthalpy: f64,
    /// Work of the steam [kW].
    pub shaft: f64,
    /// Gross output [kW].
    pub gross: f64,
    /// Power of all pumps, drives counted [kW].
    pub auxiliary: f64,
    /// Work done on the water by all pumps [kW].
    pub pumping: f64,
    /// Heat added by boiler and reheater [kW].
    pub heat_added: f64,
    /// Of which reheat [kW].
    pub reheat: f64,
    /// Heat rejected by the condenser [kW].
    pub rejected: f64,
    /// Gross heat rate [kJ/kWh].
    pub heat_rate: f64,
    /// Thermal efficiency of the cycle: work of the steam less work on the water, over the heat added.
    pub efficiency: f64,
    /// Steam per gross output [kg/kWh].
    pub steam_rate: f64,
    /// Fuel [kg/s]; 0 for a plant without economics, as the next two.
    pub fuel: f64,
    /// What the fuel costs per hour, in the plant's currency.
    pub money: f64,
    /// Carbon dioxide from the fuel [kg/s].
    pub carbon_dioxide: f64,
    /// Imbalance of mass over the throttle flow.
    pub mass_residual: f64,
    /// Imbalance of the plant's energy over the heat added.
    pub energy_residual: f64,
}
