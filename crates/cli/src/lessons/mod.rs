//! Exercises and records from a shell: nothing is judged here that the crate `drill` judges.

pub mod args;
pub mod exercise;
pub mod grade;
mod reason;
pub mod replay;

use crate::failure::{Failure, within};
use crate::{plant_source, text_file};
use args::Sources;
use drill::exercise::read::{LARGEST_FILE, read};
use drill::{Exercise, Lesson, Library};
use engine::Fault;
use std::path::Path;
use std::sync::Arc;

/// Reads an exercise: by the id it is shipped under, or out of a file.
pub fn exercise(source: &Path) -> Result<Exercise, Failure> {
    if let Some(entry) = catalog::EXERCISES.iter().find(|e| source.as_os_str() == e.id) {
        return read(entry.json).map_err(Failure::Exercise);
    }
    if !source.exists() {
        let ids: Vec<&str> = catalog::EXERCISES.iter().map(|e| e.id).collect();
        return Err(Failure::usage(Fault::new(
            "no_such_exercise",
            source.display().to_string(),
            "there is neither a shipped exercise nor a file of this name.",
            format!("Give the path of an exercise file, or a shipped exercise: {}.", ids.join(", ")),
        )));
    }
    let text = text_file::read(source, LARGEST_FILE).map_err(Failure::usage)?;
    read(&text).map_err(|faults| placed(source, faults))
}

/// Puts an exercise's faults into its file.
fn placed(source: &Path, faults: Vec<Fault>) -> Failure {
    let file = format!("{}:", source.display());
    Failure::Exercise(faults.into_iter().map(|f| within(&file, f)).collect())
}

/// Checks an exercise with its plant, shipped or out of a file.
pub fn lesson(source: &Path, plant: Option<&Path>) -> Result<Arc<Lesson>, Failure> {
    let exercise = exercise(source)?;
    let plant = match plant {
        Some(path) => plant_source::load(path)?,
        None => exercise
            .plant_or(catalog::plant)
            .map_err(|f| placed(source, f.into_iter().map(|f| within("plant:", f)).collect()))?,
    };
    Lesson::new(exercise, plant).map(Arc::new).map_err(|faults| placed(source, faults))
}

/// Everything that records may be made of: what the command line names, then what is shipped.
pub fn library(sources: &Sources) -> Result<Library, Failure> {
    let own = sources.exercises.iter().map(|path| exercise(path));
    let shipped = catalog::EXERCISES.iter().map(|entry| read(entry.json).map_err(Failure::Exercise));
    let exercises = own.chain(shipped).collect::<Result<_, _>>()?;
    let own = sources.plants.iter().map(|path| plant_source::load(path));
    let shipped = catalog::PLANTS.iter().map(|entry| catalog::plant(entry.name).map_err(Failure::Plant));
    let plants = own.chain(shipped).collect::<Result<_, _>>()?;
    Library::new(exercises, plants).map_err(Failure::usage)
}
