//! Drains of the extraction lines in the balance: open where a heater's steam is shut, as protection has them.

use super::case::Outage;
use super::pass::Context;
use crate::line_drain::{Bore, Params};

/// The bore of the drain of heater `i`'s line as it stands in the case, towards a condenser at `down` [MPa].
pub fn bore(c: &Context, i: usize, down: f64) -> Bore {
    let open = c.case.outages[i] != Outage::None;
    let drain = c.plant.heaters[i].extraction_valves().and_then(|v| v.line_drain.as_ref()).filter(|_| open);
    Bore { area: drain.map_or(0.0, |d| Params::new(d).area), down }
}
