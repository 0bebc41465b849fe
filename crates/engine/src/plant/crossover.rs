//! What stands between the cylinders of a saturated-steam turbine: moisture separator and steam reheater, in the plant file.
//! How they work is told in [`crate::separator`].

use super::check::Report;
use super::file::{Heater, Plant};
use crate::vessel;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Moisture separator of a saturated-steam unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MoistureSeparator {
    /// Id of the heater whose extraction point the steam passes last before it is dried.
    pub after: String,
    /// Crossover pressure [MPa], where it lies below that extraction point; without it, the extraction is taken from the
    /// wet steam before the separator.
    pub pressure: Option<f64>,
    /// How much of the steam's moisture is taken out [share].
    pub efficiency: f64,
    /// Pressure lost in separator and crossover line at design [share of crossover pressure].
    #[serde(default)]
    pub pressure_loss: f64,
    /// Where its drain goes: id of a heater, or `condenser`.
    pub drains_to: String,
    /// Reheater behind it, heated by throttle steam, where there is one.
    pub reheater: Option<SteamReheater>,
}

/// Reheater heated by throttle steam, which condenses in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SteamReheater {
    /// Terminal temperature difference: saturation of the heating steam minus reheated steam [K].
    pub ttd: f64,
    /// Pressure that the reheated steam loses at design [share of the separator's pressure].
    #[serde(default)]
    pub pressure_loss: f64,
    /// Pressure that the heating steam loses on its way from the throttle at design [share].
    #[serde(default)]
    pub heating_loss: f64,
    /// Where its drain goes: id of a heater, or `condenser`.
    pub drains_to: String,
}

/// What a drain's destination is called where it is no heater.
pub const CONDENSER: &str = "condenser";

/// Checks a moisture separator and what stands behind it.
pub(super) fn check(plant: &Plant, m: &MoistureSeparator, r: &mut Report) {
    let here = "turbine.moisture_separator";
    r.need(
        plant.boiler.reheat.is_none(),
        here,
        "this plant's boiler reheats the steam besides.".into(),
        "Give either boiler.reheat or turbine.moisture_separator.",
    );
    r.within(format!("{here}.efficiency"), m.efficiency, 0.3, 0.999, "");
    r.within(format!("{here}.pressure_loss"), m.pressure_loss, 0.0, 0.3, "");
    let at = plant.heaters.iter().position(|x| x.id() == m.after);
    r.need(
        at.is_some(),
        format!("{here}.after"),
        format!("there is no heater '{}'.", m.after),
        "Name the heater whose extraction point the steam passes last before it is dried.",
    );
    let below =
        |i: usize| plant.heaters.get(i + 1).map_or(plant.condenser.pressure, |x| x.extraction().pressure);
    let crossover = m.pressure.or_else(|| at.map(|i| plant.heaters[i].extraction().pressure));
    let separated = crossover.map(|p| p * (1.0 - m.pressure_loss));
    let behind = separated.map(|p| p * (1.0 - m.reheater.as_ref().map_or(0.0, |h| h.pressure_loss)));
    if let (Some(i), Some(p), Some(behind)) = (at, crossover, behind) {
        let (above, below) = (plant.heaters[i].extraction().pressure, below(i));
        r.need(
            (p < above || m.pressure.is_none()) && behind > below,
            format!("{here}.pressure"),
            format!("{p} MPa, {behind:.4} MPa behind, does not lie between the points of {above} and {below} MPa."),
            "Leave the pressure out where the extraction is taken before the separator itself; check the losses.",
        );
    }
    drain_receiver(plant, &m.drains_to, separated, &format!("{here}.drains_to"), r);
    let Some(h) = &m.reheater else { return };
    let here = format!("{here}.reheater");
    r.within(format!("{here}.ttd"), h.ttd, 1.0, 80.0, "K");
    r.within(format!("{here}.pressure_loss"), h.pressure_loss, 0.0, 0.3, "");
    r.within(format!("{here}.heating_loss"), h.heating_loss, 0.0, 0.3, "");
    let heating = plant.boiler.steam_pressure * (1.0 - h.heating_loss);
    r.need(
        heating <= vessel::HIGHEST_PRESSURE,
        &here,
        format!("steam of {heating:.1} MPa is not followed as it condenses."),
        "Leave the steam reheater out.",
    );
    drain_receiver(plant, &h.drains_to, Some(heating), &format!("{here}.drains_to"), r);
}

/// A drain of the separator or the reheater, at `from` [MPa], runs to a heater of lower pressure or to the condenser.
fn drain_receiver(plant: &Plant, to: &str, from: Option<f64>, place: &str, r: &mut Report) {
    if to == CONDENSER {
        return;
    }
    let heater = plant.heaters.iter().find(|x| x.id() == to);
    r.need(heater.is_some(), place, format!("there is no heater '{to}'."), "Name a heater, or 'condenser'.");
    if let (Some(from), Some(e)) = (from, heater.map(Heater::extraction)) {
        let shell = e.pressure * (1.0 - e.line_loss);
        r.need(
            from > shell,
            place,
            format!("{from:.4} MPa does not drive the drain into the {shell:.4} MPa of '{to}'."),
            "Drain it to a heater of lower pressure, or to the condenser.",
        );
    }
}

/// What is possible but unlikely (*common practice, no source*).
pub(super) fn advise(plant: &Plant, unlikely: &mut impl FnMut(bool, String, String)) {
    if let Some(m) = &plant.turbine.moisture_separator {
        let here = "turbine.moisture_separator";
        unlikely(
            !(0.7..=0.99).contains(&m.efficiency),
            format!("{here}.efficiency"),
            format!("a separator that takes out {} of the moisture is unusual.", m.efficiency),
        );
        if let Some(h) = &m.reheater {
            unlikely(
                !(8.0..=35.0).contains(&h.ttd),
                format!("{here}.reheater.ttd"),
                format!("a terminal temperature difference of {} K is unusual for a steam reheater.", h.ttd),
            );
        }
    }
}
