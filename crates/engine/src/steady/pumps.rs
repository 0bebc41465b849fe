//! Feed and condensate pumps, sized by the design balance.

use super::model::{back_pressure, suction_heads};
use super::result::Balance;
use crate::casing;
use crate::condensate_pump;
use crate::fault::{At, Fault};
use crate::feed_pump::{self, GRAVITY};
use crate::layout::Layout;
use crate::plant::file::{CondensatePumpEquipment, Plant};
use crate::pump::{Curve, Drive};
use steam::Saturation;

/// Feed pumps, of a plant that has any to run.
pub fn feed_pumps(
    plant: &Plant,
    layout: &Layout,
    design: &Balance,
    volume: f64,
) -> Result<Option<feed_pump::Params>, Fault> {
    let Some(f) = &plant.feed_pumps.equipment else { return Ok(None) };
    let rise = design.discharge - design.suction;
    let casing = match layout.open {
        Some(o) => casing(plant, design.heaters[o].saturation, rise)?,
        None => None,
    };
    let standing = f64::from(f.installed - f.running);
    let drawn = design.feed + standing * casing.map_or(0.0, |c| c.coefficient * rise.sqrt());
    let (suction_head, suction_loss) = suction_heads(plant, layout);
    Ok(Some(feed_pump::Params {
        design_flow: design.feed,
        design_drawn: drawn,
        installed: f.installed,
        running: f.running,
        curve: Curve {
            flow: drawn / f64::from(f.running),
            head: rise * 1e6 * volume / GRAVITY,
            shutoff: f.shutoff_head,
            efficiency: plant.feed_pumps.efficiency,
            npsh_required: f.npsh_required,
        },
        drive: Drive { run_up: f.run_up, coast: f.coast_down },
        drive_efficiency: plant.feed_pumps.drive_efficiency,
        speed: f.speed,
        largest_speed: f.largest_speed,
        largest_flow: f.largest_flow,
        // Without a tank to go back to, there is no minimum-flow line.
        minimum_flow: if layout.open.is_some() { f.minimum_flow } else { 0.0 },
        recirculation_stroke: f.recirculation_stroke,
        suction_head,
        suction_loss,
        back_pressure: back_pressure(plant, volume),
        line_loss: plant.boiler.feed_line_loss,
        rise,
        casing,
    }))
}

/// Casings of the feed pumps over a tank at a saturation temperature [°C], which raise its water's pressure by `rise` [MPa] at
/// design; none where the plant file has no warm-up.
pub fn casing(plant: &Plant, temperature: f64, rise: f64) -> Result<Option<casing::Params>, Fault> {
    let warm_up = plant.feed_pumps.equipment.as_ref().and_then(|f| f.warm_up.as_ref());
    warm_up.map(|w| casing::Params::new(w, temperature, rise)).transpose().at("feed_pumps")
}

/// Condensate pumps, of a plant that has feed pumps to run.
pub fn condensate_pumps(
    plant: &Plant,
    layout: &Layout,
    design: &Balance,
    condenser: &Saturation,
) -> Option<condensate_pump::Params> {
    plant.feed_pumps.equipment.as_ref()?;
    let c = &plant.condensate_pumps;
    let e = c.equipment.unwrap_or(CondensatePumpEquipment::USUAL);
    let rise = c.discharge_pressure - condenser.p;
    // At the largest flow the valve stands wide open: line and valve lose what is left of the head over the tank.
    let share = c.largest_flow * c.largest_flow;
    let tank = layout.open.map_or(0.0, |o| design.heaters[o].pressure);
    let header = condenser.p + rise * (e.shutoff_head - (e.shutoff_head - 1.0) * share);
    Some(condensate_pump::Params {
        design_flow: design.condensate,
        installed: e.installed,
        running: e.running,
        curve: Curve {
            flow: design.condensate / f64::from(e.running),
            head: rise * 1e6 * condenser.vf / GRAVITY,
            shutoff: e.shutoff_head,
            efficiency: c.efficiency,
            npsh_required: 0.0,
        },
        drive: Drive { run_up: e.run_up, coast: e.coast_down },
        line_loss: ((header - tank) / share).max(0.0),
    })
}
