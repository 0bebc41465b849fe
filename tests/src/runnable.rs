//! Plants at random that run: equipped by usual proportions, at rest at their design point.

use crate::Run;
use crate::any_plant::REFUSALS;
use engine::plant::{check, file::Heater, file::Plant, typical};
use engine::{Fault, Sim};

/// A plant that a running one can be made of: real surfaces, and a tank for the pumps to draw from.
pub fn runnable(plant: &Plant) -> bool {
    let closed = plant.heaters.iter().filter_map(|h| match h {
        Heater::Closed(c) => Some(c),
        Heater::Open(_) => None,
    });
    let open = plant.heaters.len() - closed.clone().count();
    // A line without loss and a heater without surface are for textbooks.
    open == 1 && closed.clone().all(|c| c.ttd.is_some_and(|t| t > 0.0))
}

/// Equips a plant.
///
/// # Errors
/// What keeps it from being sized, or the first fault of the plant that results.
pub fn equipped(plant: &Plant) -> Result<Plant, Fault> {
    let mut plant = plant.clone();
    for h in &mut plant.heaters {
        let extraction = match h {
            Heater::Open(o) => {
                // A tank below atmospheric pressure has nowhere to vent to.
                if o.extraction.pressure < 0.12 {
                    o.vent_flow = 0.0;
                }
                &mut o.extraction
            }
            Heater::Closed(c) => &mut c.extraction,
        };
        extraction.line_loss = extraction.line_loss.max(0.02);
    }
    let equipped = typical::equip(&plant)?;
    if let Some(f) = check::check(&equipped).into_iter().next() {
        return Err(f);
    }
    Ok(equipped)
}

/// Equips a plant and lets it rest.
///
/// # Errors
/// What keeps it from that.
pub fn start(plant: &Plant) -> Result<Run, Fault> {
    Ok(Run::of(Sim::new(equipped(plant)?)?))
}

/// A plant that cannot be sized, a tank that is cold, no tank at all, a heater without surface: said, not tried.
pub fn lawful(f: &Fault) -> bool {
    REFUSALS.contains(&f.code.as_str())
        || ["not_closed", "plant_value", "cannot_run"].contains(&f.code.as_str())
}
