//! Vents of the closed heaters' shells in the balance: how they are sized, where they go, what they take.

use super::case::Outage;
use super::pass::{Context, SteamSide};
use super::result::HeaterBalance;
use crate::fault::Fault;
use crate::gas::{Vent, Vented};
use crate::layout::Layout;
use crate::plant::file::{ClosedHeater, Heater, Plant, VentTo};
use steam::Saturation;

/// Sizes the vent of a closed heater into a receiver at `down` [MPa].
pub fn size(
    plant: &Plant,
    c: &ClosedHeater,
    b: &HeaterBalance,
    sat: &Saturation,
    down: f64,
) -> Result<Vent, Fault> {
    let unsized_vent = at_design(plant, c);
    unsized_vent.size(c.vent_flow, b.extraction_flow, sat, down).ok_or_else(|| {
        Fault::new(
            "vent_cannot_carry",
            format!("heaters.{}.vent_flow", c.id),
            format!(
                "{} kg/s do not carry off the {:.2e} kg/s of gas that arrive, from {:.4} to {down:.4} MPa.",
                c.vent_flow,
                unsized_vent.arriving(b.extraction_flow, sat.p, true),
                sat.p
            ),
            "Give a larger vent flow or less gas, or vent to a place of lower pressure.",
        )
    })
}

/// Where the vent of heater `i` goes; the open heater's own goes nowhere in the plant.
pub fn to(plant: &Plant, i: usize) -> VentTo {
    match &plant.heaters[i] {
        Heater::Closed(h) => h.vents_to,
        Heater::Open(_) => VentTo::Condenser,
    }
}

/// What the vent of closed heater `i` takes, which gets `arriving` drains [kg/s].
pub fn taken(c: &Context, heater: &ClosedHeater, i: usize, steam: &SteamSide, arriving: f64) -> Vented {
    let sat = &steam.shells[i];
    let Some(m) = c.model else {
        let vent = at_design(c.plant, heater);
        let gas = vent.arriving(steam.extraction[i], sat.p, true);
        return Vented { steam: (heater.vent_flow - gas).max(0.0), clean: 1.0 };
    };
    let Some(vent) = m.closed[i].as_ref().map(|x| &x.vent) else { return Vented::SHUT };
    if c.case.outages[i] == Outage::Out {
        return Vented::SHUT;
    }
    let line = (steam.extraction[i], c.case.outages[i] == Outage::None);
    vent.steady(line, arriving, sat, receiver(c.layout, heater, steam))
}

/// What brings gas to a heater, before its vent is sized for it.
pub fn at_design(plant: &Plant, heater: &ClosedHeater) -> Vent {
    Vent {
        coefficient: heater.vent_flow,
        in_steam: plant.boiler.steam_gas,
        leakage: heater.equipment.as_ref().map_or(0.0, |e| e.air_leakage),
        ..Vent::NONE
    }
}

/// Pressure that a heater's vent meets [MPa].
fn receiver(layout: &Layout, heater: &ClosedHeater, steam: &SteamSide) -> f64 {
    match (heater.vents_to, layout.open) {
        (VentTo::Open, Some(o)) => steam.shells[o].p,
        _ => steam.condenser.p,
    }
}
