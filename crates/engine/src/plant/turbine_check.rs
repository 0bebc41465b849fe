//! What the turbine's figures in a plant file must fulfil.

use super::check::Report;
use super::crossover;
use super::file::Plant;
use crate::layout;

pub(super) fn turbine(plant: &Plant, r: &mut Report) {
    let t = &plant.turbine;
    r.within("turbine.inlet_loss", t.inlet_loss, 0.0, 0.3, "");
    r.need(
        t.section_efficiency.len() == layout::groups(plant),
        "turbine.section_efficiency",
        format!("{} efficiencies for {} sections.", t.section_efficiency.len(), layout::groups(plant)),
        "Give one for each section in the order of the steam: sections end at extraction points, at a reheater or moisture separator with a pressure of its own, and at the condenser.",
    );
    for (i, e) in t.section_efficiency.iter().enumerate() {
        r.within(format!("turbine.section_efficiency[{i}]"), *e, 0.3, 1.0, "");
    }
    r.within("turbine.wetness_factor", t.wetness_factor, 0.0, 2.0, "");
    r.within("turbine.leaving_loss", t.leaving_loss, 0.0, 150.0, "kJ/kg");
    r.within("turbine.generator_efficiency", t.generator_efficiency, 0.5, 1.0, "");
    if let Some(m) = &t.moisture_separator {
        crossover::check(plant, m, r);
    }
    r.within("turbine.stop_valve_stroke", t.stop_valve_stroke, 0.05, 10.0, "s");
    r.within("turbine.house_load", t.house_load, 0.01, 0.3, "");
}
