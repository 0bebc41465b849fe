//! The moving plant, left to settle, against the steady balance: figure by figure.

use crate::Run;
use engine::plant::file::Heater;
use engine::steady::{Balance, Outage};

/// Allowed of a temperature [K].
const KELVIN: f64 = 0.1;
/// Allowed of any other figure, relative.
const SHARE: f64 = 1e-3;

/// A figure by both roads.
pub struct Pair {
    /// Signal.
    pub id: String,
    /// By the moving plant.
    pub moving: f64,
    /// By the balance.
    pub steady: f64,
    kelvin: bool,
    /// Below this share of it both count as nothing: an idle drain.
    design: f64,
}

impl Pair {
    /// How far apart, in units of what is allowed.
    pub fn apart(&self) -> f64 {
        let allowed = if self.kelvin { KELVIN } else { SHARE * self.steady.abs().max(1e-3 * self.design) };
        (self.moving - self.steady).abs() / allowed
    }
}

/// All figures that both give.
///
/// # Errors
/// Steam outside the range of its properties.
pub fn pairs(run: &Run, b: &Balance) -> Result<Vec<Pair>, steam::SteamError> {
    let d = run.sim.balance();
    let mut all = Vec::new();
    let mut put = |id: String, kelvin: bool, steady: f64, design: f64| {
        let moving = run.get(&id);
        all.push(Pair { id, moving, steady, kelvin, design });
    };
    for (i, h) in run.sim.plant().heaters.iter().enumerate() {
        let (s, d) = (&b.heaters[i], &d.heaters[i]);
        let outage = b.case.outages[i];
        let mut put =
            |name: &str, kelvin, steady, design| put(format!("{}.{name}", h.id()), kelvin, steady, design);
        put("extraction_pressure", false, s.extraction_pressure, d.extraction_pressure);
        let steam = steam::state_ph(s.extraction_pressure, s.extraction_enthalpy)?;
        put("extraction_temperature", true, steam.t, 0.0);
        put("extraction_flow", false, s.extraction_flow, d.extraction_flow);
        put("fw_flow", false, s.water_flow, d.water_flow);
        if outage == Outage::Out {
            // What stands in its shell and tubes is its own affair: the water that passes it is the next heater's.
            continue;
        }
        put("fw_in_temperature", true, s.water_in_t, 0.0);
        put("fw_out_temperature", true, s.water_out_t, 0.0);
        put("shell_pressure", false, s.pressure, d.pressure);
        put("saturation_temperature", true, s.saturation, 0.0);
        put("drain_in_flow", false, s.drain_in, d.drain_flow.max(d.drain_in));
        if matches!(h, Heater::Open(_)) {
            continue;
        }
        put("ttd", true, s.ttd, 0.0);
        put("dca", true, s.dca, 0.0);
        put("drain_temperature", true, s.drain_t, 0.0);
        put("vent_flow", false, s.vent, d.vent);
        put("normal_drain_flow", false, s.drain_flow - s.spill, d.drain_flow);
        put("emergency_drain_flow", false, s.spill, d.drain_flow);
        put("duty", false, s.duty, d.duty);
        put("duty_drain_cooling", false, s.zone_duty[0], d.duty);
        put("duty_condensing", false, s.zone_duty[1], d.duty);
        put("duty_desuperheating", false, s.zone_duty[2], d.duty);
        if s.drain_flow > 0.0 {
            // Where no drain arrives, the level stays where the last of it left it.
            put("level", false, s.level, 100.0);
        }
    }
    let mut put = |name: &str, kelvin, steady, design| put(format!("unit.{name}"), kelvin, steady, design);
    put("throttle_flow", false, b.throttle, 0.0);
    put("gross_output", false, b.gross, 0.0);
    put("net_output", false, b.gross - b.auxiliary, 0.0);
    put("heat_added", false, b.heat_added, 0.0);
    put("heat_rate", false, b.heat_rate, 0.0);
    put("final_fw_temperature", true, b.final_temperature, 0.0);
    put("feed_flow", false, b.feed, 0.0);
    put("condensate_flow", false, b.condensate, 0.0);
    // What is vented is small, and made up is what all flows leave over: to a millionth of the steam.
    put("makeup_flow", false, b.vent, d.throttle);
    put("condenser_pressure", false, b.condenser_pressure, 0.0);
    put("condenser_temperature", true, b.condenser_temperature, 0.0);
    put("condenser_heat", false, b.rejected, 0.0);
    put("feed_pump_discharge", false, b.discharge, 0.0);
    if let Some((s, d)) = b.separator.as_ref().zip(d.separator.as_ref()) {
        put("separator_pressure", false, s.pressure, d.pressure);
        put("moisture_removed_flow", false, s.drain_flow, d.drain_flow);
        let mut astray = s.spill;
        if let Some((s, d)) = s.reheater.as_ref().zip(d.reheater.as_ref()) {
            put("reheated_steam_temperature", true, s.temperature_out, 0.0);
            put("heating_steam_flow", false, s.heating_flow, d.heating_flow);
            astray += s.spill;
        }
        put("led_drain_spill_flow", false, astray, d.drain_flow);
    }
    Ok(all)
}
