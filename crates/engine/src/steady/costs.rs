//! What a heater out, a kelvin of terminal temperature difference or of drain cooler approach costs.
//!
//! Each is the balance with that one change against the balance without it, at the same gross output: so much more
//! heat, fuel, money and carbon dioxide for the same electricity. The heater whose difference grows keeps everything
//! but the surface of that zone; turbine, lines and the other heaters stay as they were sized.

use super::case::{Case, Hold, Outage};
use super::model::Model;
use super::result::Balance;
use crate::fault::Fault;
use crate::plant::file::{Heater, Plant};
use serde::Serialize;

/// A change to a heater.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Change {
    /// Out of service, with its bypass group.
    Out,
    /// Its terminal temperature difference one kelvin larger.
    Ttd,
    /// Its drain cooler approach one kelvin larger.
    Dca,
}

/// What a change costs at the same gross output.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cost {
    /// Id of the heater.
    pub heater: String,
    /// What is changed.
    pub change: Change,
    /// Heat rate, more than before [kJ/kWh].
    pub heat_rate: f64,
    /// The same as a share.
    pub share: f64,
    /// Heat, more than before [kW].
    pub heat_added: f64,
    /// Money per hour; 0 for a plant without prices.
    pub money: f64,
    /// Carbon dioxide [kg/s]; 0 for a plant without economics.
    pub carbon_dioxide: f64,
    /// Final feedwater temperature, more than before [K].
    pub final_temperature: f64,
    /// Throttle flow, more than before [kg/s].
    pub throttle: f64,
}

/// Costs of every change to every closed heater at a gross output of `share` of design, heater 1 first. Changes that
/// the plant does not allow (the approach of a heater without drain cooling, a case that cannot be balanced) are left
/// out.
///
/// # Errors
/// When the unchanged plant cannot be balanced at that output.
pub fn costs(model: &Model, plant: &Plant, share: f64) -> Result<Vec<Cost>, Fault> {
    let n = model.layout.heaters;
    let as_is = Case::at(Hold::GrossOutput(share), n);
    let before = model.solve(plant, &as_is)?;
    let mut list = Vec::new();
    for (i, h) in plant.heaters.iter().enumerate() {
        let Heater::Closed(c) = h else { continue };
        let mut out = as_is.clone();
        out.outages[i] = Outage::Out;
        if let Ok(after) = model.solve(plant, &out) {
            list.push(cost(plant, &before, &after, h.id(), Change::Out));
        }
        for change in [Change::Ttd, Change::Dca] {
            if change == Change::Dca && c.drain_cooling.is_none() {
                continue;
            }
            let Ok(worse) = worsened(model, plant, i, change) else { continue };
            if let Ok(after) = worse.solve(plant, &as_is) {
                list.push(cost(plant, &before, &after, h.id(), change));
            }
        }
    }
    Ok(list)
}

/// The model with heater `i` sized for one kelvin more.
fn worsened(model: &Model, plant: &Plant, i: usize, change: Change) -> Result<Model, Fault> {
    let mut other = plant.clone();
    if let Heater::Closed(c) = &mut other.heaters[i] {
        match change {
            Change::Ttd => {
                c.ttd = c.ttd.map(|t| t + 1.0);
                c.outlet_temperature = c.outlet_temperature.map(|t| t - 1.0);
            }
            Change::Dca => c.drain_cooling.iter_mut().for_each(|d| d.approach += 1.0),
            Change::Out => {}
        }
    }
    let mut worse = model.clone();
    worse.closed[i] = Model::new(&other)?.closed[i].clone();
    Ok(worse)
}

fn cost(plant: &Plant, before: &Balance, after: &Balance, heater: &str, change: Change) -> Cost {
    let heat_added = after.heat_added - before.heat_added;
    let fuel = heat_added / plant.boiler.efficiency; // kW
    let (price, carbon) = plant.economics.as_ref().map_or((0.0, 0.0), |e| (e.fuel_price, e.carbon_dioxide));
    Cost {
        heater: heater.to_owned(),
        change,
        heat_rate: after.heat_rate - before.heat_rate,
        share: after.heat_rate / before.heat_rate - 1.0,
        heat_added,
        money: fuel * 3600.0 / 1e6 * price,
        carbon_dioxide: fuel / 1e6 * carbon,
        final_temperature: after.final_temperature - before.final_temperature,
        throttle: after.throttle - before.throttle,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plant() -> Plant {
        crate::plant::read(include_str!("../../../catalog/plants/reheat250.json")).unwrap()
    }

    /// Top heater out costs 0.5 to 2.5 % of the heat rate; a kelvin of its terminal difference some hundredths of a per
    /// cent (*common practice, no source*).
    #[test]
    fn costs_lie_where_they_usually_lie() {
        let plant = plant();
        let model = Model::new(&plant).unwrap();
        let list = costs(&model, &plant, 1.0).unwrap();
        let of = |heater: &str, change| {
            list.iter().find(|c| c.heater == heater && c.change == change).map(|c| c.share * 100.0).unwrap()
        };
        assert!((0.5..2.5).contains(&of("hp1", Change::Out)), "{}", of("hp1", Change::Out));
        for id in ["hp1", "hp2", "hp3", "lp5", "lp6", "lp7"] {
            let (out, ttd, dca) = (of(id, Change::Out), of(id, Change::Ttd), of(id, Change::Dca));
            assert!(out > 10.0 * ttd && ttd > dca && dca > 0.0, "{id}: {out} {ttd} {dca}");
            assert!((0.005..0.1).contains(&ttd), "{id}: {ttd}");
        }
    }
}
