//! What the figures of vents and of dissolved oxygen in a plant file must fulfil.

use super::check::Report;
use super::file::{Heater, Plant, VentTo};

pub(super) fn vents(plant: &Plant, r: &mut Report) {
    for (i, heater) in plant.heaters.iter().enumerate() {
        let place = format!("heaters[{i}]");
        let flow = match heater {
            Heater::Closed(c) => c.vent_flow,
            Heater::Open(o) => o.vent_flow,
        };
        r.within(format!("{place}.vent_flow"), flow, 0.0, 10.0, "kg/s");
        match heater {
            Heater::Closed(c) => {
                let open = plant.heaters[i..].iter().any(|x| matches!(x, Heater::Open(_)));
                r.need(
                    c.vents_to == VentTo::Condenser || open,
                    format!("{place}.vents_to"),
                    "there is no open heater of lower pressure.".into(),
                    "Vent this heater to the condenser.",
                );
            }
            Heater::Open(o) => {
                let Some(e) = &o.equipment else { continue };
                let place = format!("{place}.equipment");
                r.within(format!("{place}.incoming_oxygen"), e.incoming_oxygen, 0.1, 1e5, "µg/kg");
                r.within(format!("{place}.leaving_oxygen"), e.leaving_oxygen, 0.01, 1e4, "µg/kg");
                r.need(
                    e.leaving_oxygen < e.incoming_oxygen,
                    format!("{place}.leaving_oxygen"),
                    format!("{} µg/kg is no less than what arrives.", e.leaving_oxygen),
                    "A deaerating heater leaves less oxygen than it receives.",
                );
            }
        }
    }
}
