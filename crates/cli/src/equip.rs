//! `bledsteam equip`: a heat balance made to run, by equipment of usual proportions.

use crate::args::Equip;
use crate::failure::{Failure, within};
use crate::output::Sink;
use crate::plant_source;
use engine::plant::typical;
use std::io::Write;

/// Prints the plant with what it lacks to be run.
pub fn equip(args: &Equip) -> Result<(), Failure> {
    let plant = plant_source::load(&args.file)?;
    let here = |f| Failure::Plant(vec![within(&format!("{}:", args.file.display()), f)]);
    let equipped = typical::equip(&plant).map_err(here)?;
    let mut out = Sink::standard();
    out.json(&equipped)?;
    Ok(out.flush()?)
}
