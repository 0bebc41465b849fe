//! Marks and delays of the unit's protection in the plant file; those of a closed heater stand with its levels.

use super::check::Report;
use super::file::{Heater, Plant};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Usual condenser pressure at which a turbine trips [MPa], and how many times that at design it is at least (*common
/// practice, no source*).
const VACUUM: (f64, f64) = (0.03, 3.0);

/// Protection of the unit. A training model: the marks of a real unit are its maker's and its operator's to set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Protection {
    /// Drum level at which the unit trips, below normal level and so negative [mm]; null: it has no such trip.
    pub drum_low_low: Option<f64>,
    /// Drum level at which the turbine trips, so that no water follows the steam [mm]; null: it has no such trip.
    pub drum_high_high: Option<f64>,
    /// How long the drum level must stand there [s].
    pub drum_delay: f64,
    /// Whether the turbine trips on low vacuum.
    pub vacuum_trip: bool,
    /// Condenser pressure at which it does [MPa]; without it, 0.03 MPa, or three times the pressure at design where that is
    /// more.
    pub vacuum_low: Option<f64>,
    /// How long the condenser pressure must stand there [s].
    pub vacuum_delay: f64,
    /// Level in the open heater's tank at which the feed pumps trip [share of the tank's height].
    pub open_low_low: f64,
    /// Level at which the condensate is kept away [share of the tank's height].
    pub open_high: f64,
    /// Level at which steam and drains are kept away [share of the tank's height].
    pub open_high_high: f64,
    /// How long the tank's level must stand at a mark [s].
    pub open_delay: f64,
    /// Flow through a feed pump at which it trips [share of its least flow].
    pub pump_low_flow: f64,
    /// How long the flow must stand so low [s].
    pub pump_low_flow_delay: f64,
    /// Ids of closed heaters whose high-high level trips the turbine too: those that nothing else can keep water off, as
    /// in a condenser's neck.
    pub heaters_trip_turbine: Vec<String>,
}

impl Protection {
    /// Condenser pressure at which the turbine trips [MPa], for one of this pressure at design; none: it has no such trip.
    pub fn vacuum(&self, design: f64) -> Option<f64> {
        self.vacuum_trip.then(|| self.vacuum_low.unwrap_or(VACUUM.0.max(VACUUM.1 * design)))
    }
}

impl Default for Protection {
    /// What such units usually have (*common practice, no source*).
    fn default() -> Protection {
        Protection {
            drum_low_low: Some(-250.0),
            drum_high_high: Some(250.0),
            drum_delay: 5.0,
            vacuum_trip: true,
            vacuum_low: None,
            vacuum_delay: 2.0,
            open_low_low: 0.12,
            open_high: 0.85,
            open_high_high: 0.9,
            open_delay: 2.0,
            pump_low_flow: 0.6,
            pump_low_flow_delay: 10.0,
            heaters_trip_turbine: Vec::new(),
        }
    }
}

pub(super) fn check(plant: &Plant, r: &mut Report) {
    let p = &plant.protection;
    let mut within = |name: &str, value: f64, low: f64, high: f64, unit: &str| {
        r.within(format!("protection.{name}"), value, low, high, unit);
    };
    if let Some(level) = p.drum_low_low {
        within("drum_low_low", level, -2000.0, -10.0, "mm");
    }
    if let Some(level) = p.drum_high_high {
        within("drum_high_high", level, 10.0, 2000.0, "mm");
    }
    if let Some(pressure) = p.vacuum_low {
        within("vacuum_low", pressure, 1.2 * plant.condenser.pressure, 1.0, "MPa");
    }
    for (name, delay) in [
        ("drum_delay", p.drum_delay),
        ("vacuum_delay", p.vacuum_delay),
        ("open_delay", p.open_delay),
        ("pump_low_flow_delay", p.pump_low_flow_delay),
    ] {
        within(name, delay, 0.0, 300.0, "s");
    }
    within("open_low_low", p.open_low_low, 0.01, 0.6, "");
    within("open_high", p.open_high, 0.3, 0.99, "");
    within("open_high_high", p.open_high_high, 0.3, 0.99, "");
    within("pump_low_flow", p.pump_low_flow, 0.0, 0.95, "");
    r.need(
        p.open_high < p.open_high_high && p.open_low_low < p.open_high,
        "protection",
        format!(
            "the tank's marks {}, {} and {} do not rise from low-low over high to high-high.",
            p.open_low_low, p.open_high, p.open_high_high
        ),
        "Give them in this order.",
    );
    for (i, id) in p.heaters_trip_turbine.iter().enumerate() {
        r.need(
            plant.heaters.iter().any(|h| matches!(h, Heater::Closed(c) if c.id == *id)),
            format!("protection.heaters_trip_turbine[{i}]"),
            format!("'{id}' is no closed heater of this plant."),
            "Give the id of a closed heater.",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_out_is_as_usual_and_null_is_none() {
        let read: Protection = serde_json::from_str(r#"{"drum_low_low": null, "drum_delay": 8.0}"#).unwrap();
        let usual = Protection::default();
        assert_eq!((usual.vacuum(0.005), usual.vacuum(0.02)), (Some(0.03), Some(0.06)));
        assert_eq!(read, Protection { drum_low_low: None, drum_delay: 8.0, ..usual });
        assert!(serde_json::from_str::<Protection>(r#"{"vacuum": 0.02}"#).is_err());
    }
}
