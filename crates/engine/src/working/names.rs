//! How each number is written and in which unit: symbols of the trade, one list.

use super::{Unit, fixed, of as q};
use crate::signals::TRUE;
use steam::units::Quantity as Q;

/// Symbol and unit of a number by name. A name that ends in `_<number>` is one of several alike.
const NAMES: &[(&str, &str, Unit)] = &[
    // Closed heaters, as signals.
    ("shell_pressure", "p", q(Q::Pressure)),
    ("saturation_temperature", "t_s", q(Q::Temperature)),
    ("fw_in_temperature", "t_w,in", q(Q::Temperature)),
    ("fw_out_temperature", "t_w,out", q(Q::Temperature)),
    ("ttd", "TTD", q(Q::TemperatureDifference)),
    ("dca", "DCA", q(Q::TemperatureDifference)),
    ("drain_temperature", "t_d", q(Q::Temperature)),
    ("level", "L", q(Q::LevelOffset)),
    ("level_protection", "L_p", q(Q::LevelOffset)),
    ("level_true", "L_true", q(Q::LevelOffset)),
    ("extraction_flow", "ṁ_x", q(Q::MassFlow)),
    ("extraction_pressure", "p_x", q(Q::Pressure)),
    ("extraction_temperature", "t_x", q(Q::Temperature)),
    ("drain_in_flow", "ṁ_d,in", q(Q::MassFlow)),
    ("normal_drain_flow", "ṁ_n", q(Q::MassFlow)),
    ("emergency_drain_flow", "ṁ_e", q(Q::MassFlow)),
    ("level_setpoint", "L_set", q(Q::LevelOffset)),
    ("normal_drain_demand", "u_n", q(Q::Fraction)),
    ("emergency_drain_demand", "u_e", q(Q::Fraction)),
    ("normal_drain_valve", "y_n", q(Q::Fraction)),
    ("emergency_drain_valve", "y_e", q(Q::Fraction)),
    ("stop_valve", "y_s", q(Q::Fraction)),
    ("non_return_valve", "y_nr", q(Q::Fraction)),
    ("bypass", "b", q(Q::Fraction)),
    ("fw_flow", "ṁ_w", q(Q::MassFlow)),
    ("duty", "Q", q(Q::HeatFlow)),
    ("duty_desuperheating", "Q_ds", q(Q::HeatFlow)),
    ("duty_condensing", "Q_c", q(Q::HeatFlow)),
    ("duty_drain_cooling", "Q_dc", q(Q::HeatFlow)),
    ("fw_ramp", "r", q(Q::TemperatureRate)),
    ("flooded", "φ", q(Q::Fraction)),
    ("drain_cooler_covered", "c", q(Q::Fraction)),
    ("mode", "mode", q(Q::State)),
    ("normal_drain_hand", "hand_n", q(Q::State)),
    ("emergency_drain_hand", "hand_e", q(Q::State)),
    ("water_in_flow", "ṁ_w,in", q(Q::MassFlow)),
    ("steam_in_temperature", "t_x,in", q(Q::Temperature)),
    ("steam_cooled_temperature", "t_x,1", q(Q::Temperature)),
    ("fw_drain_cooling_temperature", "t_w,1", q(Q::Temperature)),
    ("fw_condensing_temperature", "t_w,2", q(Q::Temperature)),
    ("drain_in_flash", "x_d,in", q(Q::Fraction)),
    ("bypass_flow", "ṁ_b", q(Q::MassFlow)),
    ("over_ramp", "R_over", q(Q::TemperatureDifference)),
    ("over_ramp_time", "τ_over", q(Q::Duration)),
    ("leak_flow", "ṁ_l", q(Q::MassFlow)),
    ("suction_temperature", "t_su", q(Q::Temperature)),
    ("suction_head_margin", "ΔNPSH", q(Q::Length)),
    ("start_up_vent_valve", "y_v", q(Q::Fraction)),
    ("pegging_flow", "ṁ_peg", q(Q::MassFlow)),
    ("pegging_hand", "hand_peg", q(Q::State)),
    ("pegging_valve", "y_peg", q(Q::Fraction)),
    ("vent_flow", "ṁ_v", q(Q::MassFlow)),
    ("air", "m_a", q(Q::GasMass)),
    ("oxygen", "c_O2", q(Q::Concentration)),
    ("gas_in", "ṁ_a,in", q(Q::MassFlow)),
    ("gas_out", "ṁ_a,out", q(Q::MassFlow)),
    ("steam_pressure", "p_g", q(Q::Pressure)),
    ("condensing_temperature", "t_c", q(Q::Temperature)),
    ("gas_pressure", "p_a", q(Q::LowPressure)),
    ("gas_share", "y_a", q(Q::Ratio)),
    ("gas_in_vent", "w_a", q(Q::Ratio)),
    ("share_blanketed", "k_a", q(Q::Ratio)),
    ("share_heated", "β_h", q(Q::Ratio)),
    ("oxygen_arriving", "c_O2,in", q(Q::Concentration)),
    ("oxygen_below_trays", "c_O2,1", q(Q::Concentration)),
    ("oxygen_at_rest", "c_O2,e", q(Q::Concentration)),
    // On the way.
    ("shell_mass", "m", q(Q::Mass)),
    ("shell_energy", "U", q(Q::Energy)),
    ("metal_temperature", "t_m", q(Q::Temperature)),
    ("metal_heat", "Q_m", q(Q::HeatFlow)),
    ("steam_mass", "m_g", q(Q::Mass)),
    ("water_volume", "V", q(Q::Volume)),
    ("water_volume_by_height", "V", q(Q::Volume)),
    ("water_height", "y", q(Q::Length)),
    ("mass_rate", "dm/dt", q(Q::MassFlow)),
    ("energy_rate", "dE/dt", q(Q::HeatFlow)),
    ("water_in_enthalpy", "h_w,in", q(Q::Enthalpy)),
    ("drain_cooling_out_enthalpy", "h_w,1", q(Q::Enthalpy)),
    ("condensing_out_enthalpy", "h_w,2", q(Q::Enthalpy)),
    ("water_out_enthalpy", "h_w,out", q(Q::Enthalpy)),
    ("drain_cooling_out_temperature", "t_w,1", q(Q::Temperature)),
    ("condensing_out_temperature", "t_w,2", q(Q::Temperature)),
    ("duty_desuperheating_by_water", "Q_ds", q(Q::HeatFlow)),
    ("duty_condensing_by_water", "Q_c", q(Q::HeatFlow)),
    ("duty_drain_cooling_by_water", "Q_dc", q(Q::HeatFlow)),
    ("ua_drain_cooling", "UA_dc", q(Q::Conductance)),
    ("ua_condensing", "UA_c", q(Q::Conductance)),
    ("ua_flooded", "UA_f", q(Q::Conductance)),
    ("ua_desuperheating", "UA_ds", q(Q::Conductance)),
    ("capacity_water_drain_cooling", "C_w,dc", q(Q::Conductance)),
    ("capacity_drain", "C_d", q(Q::Conductance)),
    ("capacity_water_condensing", "C_w,c", q(Q::Conductance)),
    ("capacity_water_desuperheating", "C_w,ds", q(Q::Conductance)),
    ("capacity_steam", "C_x", q(Q::Conductance)),
    ("ntu_drain_cooling", "N_dc", q(Q::Ratio)),
    ("ntu_condensing", "N_c", q(Q::Ratio)),
    ("ntu_desuperheating", "N_ds", q(Q::Ratio)),
    ("effectiveness_drain_cooling", "ε_dc", q(Q::Ratio)),
    ("effectiveness_desuperheating", "ε_ds", q(Q::Ratio)),
    ("capacity_ratio_drain_cooling", "R_dc", q(Q::Ratio)),
    ("capacity_ratio_desuperheating", "R_ds", q(Q::Ratio)),
    ("mean_water_temperature", "t_w,m", q(Q::Temperature)),
    ("inlet_share", "a", q(Q::Ratio)),
    ("inlet_steam_temperature", "t_x,in", q(Q::Temperature)),
    ("drain_enthalpy", "h_d", q(Q::Enthalpy)),
    ("drain_at_valve", "h_d,v", q(Q::Enthalpy)),
    ("drain_entering_enthalpy", "h_d,0", q(Q::Enthalpy)),
    ("drain_entering_quality", "x_d,0", q(Q::Ratio)),
    ("drain_coldest_enthalpy", "h_d,c", q(Q::Enthalpy)),
    ("boiling_share", "β", q(Q::Fraction)),
    ("carry_over_flow", "ṁ_co", q(Q::MassFlow)),
    ("reverse_flow", "ṁ_b", q(Q::MassFlow)),
    ("inducted_flow", "ṁ_wi", q(Q::MassFlow)),
    ("line_drain_flow", "ṁ_ld", q(Q::MassFlow)),
    ("line_drain_steam", "ṁ_ld,x", q(Q::MassFlow)),
    ("line_drain_returned", "ṁ_ld,b", q(Q::MassFlow)),
    ("line_drain_water", "ṁ_ld,w", q(Q::MassFlow)),
    ("line_drain_most_water", "ṁ_ld,max", q(Q::MassFlow)),
    ("line_drain_valve", "y_ld", q(Q::Fraction)),
    ("water_to_turbine", "ṁ_w,t", q(Q::MassFlow)),
    ("above_brim_flow", "ṁ_o", q(Q::MassFlow)),
    ("returned_enthalpy", "h_b", q(Q::Enthalpy)),
    ("gas_returned", "ṁ_a,b", q(Q::MassFlow)),
    ("gas_share_returned", "w_a,b", q(Q::Ratio)),
    ("overflow", "ṁ_o", q(Q::MassFlow)),
    ("arriving_flow", "ṁ_w,a", q(Q::MassFlow)),
    ("tube_flow", "ṁ_w,t", q(Q::MassFlow)),
    ("shell_drain_flow", "ṁ_d", q(Q::MassFlow)),
    ("leak_joins_drain", "ṁ_l,d", q(Q::MassFlow)),
    ("drain_cooled_enthalpy", "h_d,1", q(Q::Enthalpy)),
    ("desuperheating_out_enthalpy", "h_w,3", q(Q::Enthalpy)),
    ("bypass_mean", "b_m", q(Q::Fraction)),
    ("suction_pipe_enthalpy", "h_su", q(Q::Enthalpy)),
    ("drain_in_heat", "Q_d,in", q(Q::HeatFlow)),
    ("extraction_enthalpy", "h_x", q(Q::Enthalpy)),
    ("extraction_volume", "v_x", q(Q::SpecificVolume)),
    ("extraction_coefficient", "C_x", fixed("kg/s·√(m³/kg/MPa)")),
    ("extraction_drop", "x", q(Q::Ratio)),
    ("normal_drain_difference", "Δp_n", q(Q::Pressure)),
    ("normal_drain_inlet_pressure", "p_1,n", q(Q::Pressure)),
    ("normal_drain_vapour_pressure", "p_v,n", q(Q::Pressure)),
    ("normal_drain_density", "ρ_n", q(Q::Density)),
    ("normal_drain_coefficient", "Kv_n", fixed("m³/h")),
    ("normal_drain_opening", "y_n", q(Q::Fraction)),
    ("emergency_drain_difference", "Δp_e", q(Q::Pressure)),
    ("normal_drain_pump_suction_pressure", "p_s,n", q(Q::Pressure)),
    ("emergency_drain_inlet_pressure", "p_1,e", q(Q::Pressure)),
    ("emergency_drain_vapour_pressure", "p_v,e", q(Q::Pressure)),
    ("emergency_drain_density", "ρ_e", q(Q::Density)),
    ("emergency_drain_coefficient", "Kv_e", fixed("m³/h")),
    ("emergency_drain_opening", "y_e", q(Q::Fraction)),
    ("forward_rise", "Δh_f", q(Q::Enthalpy)),
    // Turbine.
    ("passing", "ṁ", q(Q::MassFlow)),
    ("stage_flow", "ṁ", q(Q::MassFlow)),
    ("enthalpy_in", "h_in", q(Q::Enthalpy)),
    ("enthalpy_out", "h_out", q(Q::Enthalpy)),
    ("ideal_drop", "Δh_s", q(Q::Enthalpy)),
    ("pv", "pv", fixed("MPa·m³/kg")),
    ("pv_cold", "pv_cold", fixed("MPa·m³/kg")),
    ("pv_wet", "pv_wet", fixed("MPa·m³/kg")),
    ("pv_dry", "pv_dry", fixed("MPa·m³/kg")),
    ("reheated_pressure", "p_hot", q(Q::Pressure)),
    ("crossover_pressure", "p_x", q(Q::Pressure)),
    ("moisture_share", "μ", q(Q::Fraction)),
    ("heating_share", "y", q(Q::Fraction)),
    ("dry_enthalpy", "h_dry", q(Q::Enthalpy)),
    ("separator_passing", "ṁ_x", q(Q::MassFlow)),
    ("heating_pressure", "p_h", q(Q::Pressure)),
    ("heating_temperature", "t_h", q(Q::Temperature)),
    ("separator_drain_arrived", "ṁ_sd", q(Q::MassFlow)),
    ("separator_drain_away", "ṁ_sd,c", q(Q::MassFlow)),
    ("separator_drain_arriving_enthalpy", "h_sd", q(Q::Enthalpy)),
    ("heating_drain_arrived", "ṁ_hd", q(Q::MassFlow)),
    ("heating_drain_away", "ṁ_hd,c", q(Q::MassFlow)),
    ("heating_drain_arriving_enthalpy", "h_hd", q(Q::Enthalpy)),
    ("separator_pressure", "p_sep", q(Q::Pressure)),
    ("moisture_removed_flow", "ṁ_m", q(Q::MassFlow)),
    ("heating_steam_flow", "ṁ_h", q(Q::MassFlow)),
    ("reheated_steam_temperature", "t_hot", q(Q::Temperature)),
    ("led_drain_spill_flow", "ṁ_led,c", q(Q::MassFlow)),
    ("work", "P", q(Q::Power)),
    ("shaft", "P_shaft", q(Q::Power)),
    ("inlet_pressure", "p_0", q(Q::Pressure)),
    ("hot_reheat_pressure", "p_hot", q(Q::Pressure)),
    ("reheat_point_pressure", "p_cold", q(Q::Pressure)),
    ("hot_reheat_enthalpy", "h_hot", q(Q::Enthalpy)),
    ("joined_enthalpy", "h_j", q(Q::Enthalpy)),
    ("water_share", "y_w", q(Q::Ratio)),
    ("carried", "Q_b", q(Q::HeatFlow)),
    ("water_drained", "ṁ_wi", q(Q::MassFlow)),
    ("reheat", "Q_rh", q(Q::HeatFlow)),
    ("reheat_flow", "ṁ_rh", q(Q::MassFlow)),
    ("exhaust_flow", "ṁ_ex", q(Q::MassFlow)),
    ("exhaust_enthalpy", "h_ex", q(Q::Enthalpy)),
    ("exhaust_volume", "v_ex", q(Q::SpecificVolume)),
    ("leaving_loss", "Δh_l", q(Q::Enthalpy)),
    // The unit.
    ("time", "τ", q(Q::Duration)),
    ("load", "load", q(Q::Fraction)),
    ("local_remaining", "τ_local", q(Q::Duration)),
    ("load_demand", "load_asked", q(Q::Fraction)),
    ("steam_governed", "ṁ_g", q(Q::MassFlow)),
    ("standing", "standing", q(Q::State)),
    ("hold", "hold", q(Q::State)),
    ("load_limited", "limited", q(Q::State)),
    ("main_stop_valve", "y_main", q(Q::Fraction)),
    ("throttle_flow", "ṁ_0", q(Q::MassFlow)),
    ("gross_output", "P_gross", q(Q::Power)),
    ("net_output", "P_net", q(Q::Power)),
    ("shaft_power", "P_s", q(Q::Power)),
    ("returned_steam", "m_b", q(Q::Mass)),
    ("inducted_water", "m_wi", q(Q::Mass)),
    ("drained_water", "m_wd", q(Q::Mass)),
    ("heat_added", "Q_add", q(Q::HeatFlow)),
    ("heat_rate", "HR", q(Q::HeatRate)),
    ("heat_rate_change", "ΔHR", q(Q::HeatRate)),
    ("fuel_flow", "ṁ_fuel", q(Q::MassRate)),
    ("fuel_heat", "Q_fuel", q(Q::HeatFlow)),
    ("fuel_cost", "K", q(Q::MoneyRate)),
    ("co2", "ṁ_CO₂", q(Q::MassRate)),
    ("final_fw_temperature", "t_fw", q(Q::Temperature)),
    ("final_fw_enthalpy", "h_fw", q(Q::Enthalpy)),
    ("feed_flow", "ṁ_fw", q(Q::MassFlow)),
    ("boiler_feed", "ṁ_b", q(Q::MassFlow)),
    ("condensate_flow", "ṁ_c", q(Q::MassFlow)),
    ("condensate_power", "P_cp", q(Q::Power)),
    ("condensate_enthalpy", "h_c", q(Q::Enthalpy)),
    ("drain_pumping", "P_dp", q(Q::Power)),
    ("auxiliary", "P_aux", q(Q::Power)),
    ("makeup_flow", "ṁ_mu", q(Q::MassFlow)),
    ("makeup_heat", "Q_mu", q(Q::HeatFlow)),
    ("condenser_pressure", "p_k", q(Q::LowPressure)),
    ("condenser_air", "p_air", q(Q::LowPressure)),
    ("cooling_flow", "f_cw", q(Q::Fraction)),
    ("condenser_relief_flow", "ṁ_0", q(Q::MassFlow)),
    ("air_mass", "m_air", q(Q::Mass)),
    ("air_share", "y_air", q(Q::Fraction)),
    ("transfer_units", "NTU", q(Q::Ratio)),
    ("rejection", "K", q(Q::Conductance)),
    ("condenser_temperature", "t_k", q(Q::Temperature)),
    ("condenser_heat", "Q_k", q(Q::HeatFlow)),
    ("condenser_heat_held", "U_k", q(Q::Energy)),
    ("cooling_inlet_temperature", "t_cw,in", q(Q::Temperature)),
    ("cooling_outlet_temperature", "t_cw,out", q(Q::Temperature)),
    ("hotwell_level", "L_hw", q(Q::LevelOffset)),
    ("hotwell_level_true", "L_hw,true", q(Q::LevelOffset)),
    ("drum_level_true", "L_dr,true", q(Q::LevelOffset)),
    ("hotwell_mass", "m_hw", q(Q::Mass)),
    ("drum_level", "L_dr", q(Q::LevelOffset)),
    ("drum_mass", "m_dr", q(Q::Mass)),
    ("feed_pump_discharge", "p_d", q(Q::Pressure)),
    ("feed_pump_power", "P_fp", q(Q::Power)),
    ("feed_pump_speed", "n", q(Q::Speed)),
    ("feed_pump_suction_temperature", "t_su", q(Q::Temperature)),
    ("suction_head_available", "NPSH_a", q(Q::Length)),
    ("suction_head_required", "NPSH_r", q(Q::Length)),
    ("mass_residual", "R_m", q(Q::Residual)),
    ("energy_residual", "R_E", q(Q::Residual)),
    ("suction_pressure", "p_su", q(Q::Pressure)),
    ("state", "state", q(Q::State)),
    ("speed", "n", q(Q::Speed)),
    ("pump_flow", "ṁ_p", q(Q::MassFlow)),
    ("recirculation_flow", "ṁ_r", q(Q::MassFlow)),
    ("recirculation_valve", "y_r", q(Q::Fraction)),
    ("power", "P", q(Q::Power)),
    ("pump_head", "H", q(Q::Length)),
    ("pump_discharge", "p_p", q(Q::Pressure)),
    ("pump_efficiency", "η", q(Q::Fraction)),
    ("head_left", "κ", q(Q::Fraction)),
    ("vapour", "κ_v", q(Q::Fraction)),
    ("return_pressure", "p_r", q(Q::Pressure)),
    ("drawn", "ṁ_su", q(Q::MassFlow)),
    ("back_work", "P_r", q(Q::Power)),
    ("warm_up_work", "P_w", q(Q::Power)),
    ("suction_enthalpy", "h_su", q(Q::Enthalpy)),
    ("flow_share", "q", q(Q::Ratio)),
    ("speed_share", "ν", q(Q::Ratio)),
    ("rise", "Δh_fp", q(Q::Enthalpy)),
    ("casing_temperature", "t_ca", q(Q::Temperature)),
    ("casing_difference", "Δt_ca", q(Q::TemperatureDifference)),
    ("casing_water_temperature", "t_ca,w", q(Q::Temperature)),
    ("casing_conductance", "a_ca", q(Q::Conductance)),
    ("casing_heat", "Q_ca", q(Q::HeatFlow)),
    ("casing_loss", "Q_l", q(Q::HeatFlow)),
    ("casing_cooling", "Δh_ca", q(Q::Enthalpy)),
    ("warm_up_flow", "ṁ_w", q(Q::MassFlow)),
    ("warm_up_valve", "y_w", q(Q::Fraction)),
];

/// Name without the number it may end in, and that number.
fn split(name: &str) -> (&str, Option<&str>) {
    match name.rsplit_once('_') {
        Some((stem, n)) if !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()) => (stem, Some(n)),
        _ => (name, None),
    }
}

/// Symbol and unit of a number.
pub fn of(name: &str) -> (String, Unit) {
    // A truth is written as what shows it.
    let name =
        if NAMES.iter().any(|(k, ..)| *k == name) { name } else { name.strip_suffix(TRUE).unwrap_or(name) };
    let (stem, n) = split(name);
    let (symbol, unit) = NAMES
        .iter()
        .find(|(known, ..)| *known == name || *known == stem)
        .map_or((name, q(Q::Ratio)), |(_, symbol, unit)| (*symbol, *unit));
    let symbol = match n {
        Some(n) if symbol.contains('_') => format!("{symbol},{n}"),
        Some(n) => format!("{symbol}_{n}"),
        None => symbol.to_owned(),
    };
    (symbol, unit)
}

/// Word for what a number means: its name, without what tells one of several alike from another.
pub fn meaning(name: &str) -> String {
    let stem = split(name).0;
    let drain = ["normal_", "emergency_"].iter().find_map(|which| stem.strip_prefix(which));
    match drain {
        // Of the valve and its flow there are two on a drawing; what is reckoned on the way is alike in both.
        Some(rest) if !["drain_flow", "drain_valve", "drain_hand", "drain_demand"].contains(&rest) => {
            rest.to_owned()
        }
        _ => stem.to_owned(),
    }
}

/// Whether the list knows a name.
pub fn known(name: &str) -> bool {
    let stem = split(name).0;
    let shown = name.strip_suffix(TRUE).unwrap_or(name);
    NAMES.iter().any(|(k, ..)| *k == name || *k == stem || *k == shown)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_stands_once() {
        for (i, (name, ..)) in NAMES.iter().enumerate() {
            assert!(NAMES[..i].iter().all(|(other, ..)| other != name), "{name} twice");
        }
    }

    #[test]
    fn one_of_several_alike_is_numbered() {
        assert_eq!(of("work_3").0, "P_3");
        assert_eq!(of("enthalpy_out_2").0, "h_out,2");
        assert_eq!(meaning("work_3"), "work");
        assert_eq!(meaning("emergency_drain_density"), "drain_density");
        assert_eq!(meaning("normal_drain_flow"), "normal_drain_flow");
    }
}
