//! A plant by the name it is shipped under, or out of a file.

use crate::failure::{Failure, within};
use crate::text_file;
use engine::plant::file::Plant;
use engine::{Fault, Sim};
use std::path::Path;

/// Loads and checks a plant. A shipped name wins over a file of the same name: write `./name` for the file.
pub fn load(source: &Path) -> Result<Plant, Failure> {
    let shipped = catalog::PLANTS.iter().find(|e| source.as_os_str() == e.name);
    if let Some(entry) = shipped {
        return catalog::plant(entry.name).map_err(Failure::Plant);
    }
    if !source.exists() {
        let names: Vec<&str> = catalog::PLANTS.iter().map(|e| e.name).collect();
        return Err(Failure::usage(Fault::new(
            "no_such_plant",
            source.display().to_string(),
            "there is neither a shipped plant nor a file of this name.",
            format!("Give the path of a plant file, or a shipped plant: {}.", names.join(", ")),
        )));
    }
    let text = text_file::read(source, engine::plant::LARGEST_FILE).map_err(Failure::usage)?;
    engine::plant::read(&text).map_err(|faults| {
        let file = format!("{}:", source.display());
        Failure::Plant(faults.into_iter().map(|f| within(&file, f)).collect())
    })
}

/// Loads a plant, sizes it and lets it rest at its design point.
pub fn start(source: &Path) -> Result<Sim, Failure> {
    Sim::new(load(source)?).map_err(|f| Failure::Plant(vec![within(&format!("{}:", source.display()), f)]))
}
