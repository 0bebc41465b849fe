//! What control, protection and trainee know of the plant: measurements, never the state.

use crate::in_place::clone_in_place;
use crate::train::{Params, PlantState};
use serde::{Deserialize, Serialize};

/// Time constant of the rate-of-change measurement [s]: long enough to be quiet, short against a ramp of minutes.
pub(crate) const RATE_LAG: f64 = 12.0;

/// Of one closed heater.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeaterMeasurements {
    /// Level about normal, as the transmitter for control shows it [mm].
    pub level: f64,
    /// Level about normal, as the transmitter for protection shows it [mm].
    pub level_protection: f64,
    /// Rate of change of the feedwater outlet temperature [K/min].
    pub ramp: f64,
    /// Extraction steam [kg/s].
    pub steam_flow: f64,
    /// Stop valve position, from its limit switches and transmitter.
    pub stop: f64,
    /// Assisted non-return valve position.
    pub non_return: f64,
    /// Water is found at the turbine's end of its extraction line: pairs of thermocouples there part.
    pub water_back: bool,
    /// Bypass position, 1 = all water round the heater.
    pub bypass: f64,
    /// Drain valve positions.
    pub normal: f64,
    /// Emergency drain valve position.
    pub emergency: f64,
    /// Position of the drain valve of its extraction line.
    pub line_drain: f64,
}

/// Of one pump.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PumpMeasurements {
    /// Speed [share of design].
    pub speed: f64,
    /// Flow through it [share of its design flow].
    pub flow: f64,
    /// Position of its minimum-flow valve.
    pub recirculation: f64,
    /// Suction head that it needs at this speed and flow [m].
    pub npsh_required: f64,
    /// Its drive says that it has tripped.
    pub tripped: bool,
    /// Temperature of its casing [°C], where it is measured.
    pub casing: Option<f64>,
}

/// Of the plant.
#[derive(Debug, Default, PartialEq)]
pub struct Measurements {
    /// Closed heaters, highest pressure first.
    pub heaters: Vec<HeaterMeasurements>,
    /// Storage level about normal, as the transmitter for control shows it [mm].
    pub open_level: f64,
    /// The same of the transmitter for protection [mm].
    pub open_level_protection: f64,
    /// Pressure of the open heater's tank [MPa].
    pub open_pressure: f64,
    /// Position of the stop valve in its extraction line.
    pub open_stop: f64,
    /// Position of the drain valve of that line.
    pub open_line_drain: f64,
    /// Hotwell level about normal [mm].
    pub hotwell_level: f64,
    /// Drum level about normal [mm].
    pub drum_level: f64,
    /// Pressure of the condenser [MPa].
    pub condenser_pressure: f64,
    /// Steam to the turbine [kg/s].
    pub steam_flow: f64,
    /// Feed flow [kg/s].
    pub feed_flow: f64,
    /// Feed pumps.
    pub feed_pumps: Vec<PumpMeasurements>,
    /// Suction head that the feed pumps have, of pressure and temperature there [m].
    pub suction_head: f64,
    /// Temperature of the water there [°C].
    pub suction_temperature: f64,
    /// Pressure of the feed pumps' header [MPa].
    pub header_pressure: f64,
    /// Condensate pumps.
    pub condensate_pumps: Vec<PumpMeasurements>,
    /// Condensate flow [kg/s].
    pub condensate_flow: f64,
    /// Output at the generator's terminals [kW].
    pub gross: f64,
    /// Heat added by boiler and reheater [kW], from the fuel.
    pub heat_added: f64,
    /// Position of the turbine's stop valves.
    pub main_stop: f64,
    /// The grid is there.
    pub grid: bool,
}

clone_in_place!(Measurements {
    heaters,
    open_level,
    open_level_protection,
    open_pressure,
    open_stop,
    open_line_drain,
    hotwell_level,
    drum_level,
    condenser_pressure,
    steam_flow,
    feed_flow,
    feed_pumps,
    suction_head,
    suction_temperature,
    header_pressure,
    condensate_pumps,
    condensate_flow,
    gross,
    heat_added,
    main_stop,
    grid
});

impl Measurements {
    /// Reads the pumps' instruments; `flow` is what the flow transmitter of a pump shows [kg/s], feed pumps first, and
    /// `casing` what that of a feed pump's casing shows [°C].
    pub fn read_pumps(
        &mut self,
        p: &Params,
        s: &PlantState,
        flow: impl Fn(usize) -> f64,
        casing: impl Fn(usize) -> f64,
    ) {
        let q = &p.feed_pumps.curve;
        self.feed_pumps.clear();
        self.feed_pumps.extend(s.feed.pumps.iter().enumerate().map(|(k, x)| PumpMeasurements {
            speed: x.rotor.speed,
            flow: flow(k) / q.flow,
            recirculation: x.recirculation.opening,
            npsh_required: q.npsh_required(x.rotor.speed, flow(k) / q.flow),
            tripped: x.tripped,
            casing: x.casing.map(|_| casing(k)),
        }));
        self.condensate_pumps.clear();
        let feed = s.feed.pumps.len();
        self.condensate_pumps.extend(s.condensate.pumps.iter().enumerate().map(|(k, x)| PumpMeasurements {
            speed: x.rotor.speed,
            flow: flow(feed + k) / p.condensate_pumps.curve.flow,
            tripped: x.tripped,
            ..PumpMeasurements::default()
        }));
    }
}

/// A temperature followed for its rate of change.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct RateMeter {
    last: f64,
    /// Rate [K/min].
    pub rate: f64,
}

impl RateMeter {
    /// At rest at `t` °C.
    pub fn at(t: f64) -> RateMeter {
        RateMeter { last: t, rate: 0.0 }
    }

    /// The temperature seen last [°C].
    pub fn last(&self) -> f64 {
        self.last
    }

    /// Follows `t` [°C] over `dt` seconds.
    pub fn step(&mut self, t: f64, dt: f64) {
        let now = (t - self.last) / dt * 60.0;
        // `now` is the mean of the step: so weighted, the answer does not depend on how the time is divided.
        self.rate += (now - self.rate) * dt / (RATE_LAG + 0.5 * dt);
        self.last = t;
    }
}

/// What a heater's tube sheet has borne beyond its permitted ramp since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct OverRamp {
    /// How long the ramp was exceeded [s].
    pub seconds: f64,
    /// By how much the temperature moved more than it would have at the permitted ramp [K].
    pub kelvin: f64,
}

impl OverRamp {
    /// Counts `dt` seconds at `rate`, up or down, with `limit` permitted [K/min].
    pub fn step(&mut self, rate: f64, limit: f64, dt: f64) {
        let beyond = rate.abs() - limit;
        if beyond > 0.0 {
            self.seconds += dt;
            self.kelvin += beyond * dt / 60.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_ramp_is_measured() {
        let mut m = RateMeter::at(100.0);
        for i in 1..=400 {
            m.step(100.0 + 0.05 * f64::from(i) * 0.25, 0.25);
        }
        assert!((m.rate - 3.0).abs() < 1e-3, "{}", m.rate);
    }

    /// Half a minute at 5 K/min and half at -4 where 3 are permitted: a minute, and 2 K/2 + 1 K/2 too much.
    #[test]
    fn what_exceeds_the_permitted_ramp_adds_up() {
        let mut o = OverRamp::default();
        for rate in [5.0, 2.9, -4.0, 0.0] {
            (0..120).for_each(|_| o.step(rate, 3.0, 0.25));
        }
        assert!((o.seconds - 60.0).abs() < 1e-9 && (o.kelvin - 1.5).abs() < 1e-9, "{o:?}");
    }
}
