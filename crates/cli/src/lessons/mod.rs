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
use drill::lesson::hash_of;
use drill::{Exercise, Lesson};
use engine::Fault;
use std::collections::BTreeMap;
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
        None => catalog::plant(&exercise.plant)
            .map_err(|f| placed(source, f.into_iter().map(|f| within("plant:", f)).collect()))?,
    };
    Lesson::new(exercise, plant).map(Arc::new).map_err(|faults| placed(source, faults))
}

/// Lessons by the content of their exercise: those shipped and those of the command line.
pub struct Library {
    exercises: Vec<(String, Exercise)>,
    plants: Vec<engine::plant::file::Plant>,
    made: BTreeMap<String, Arc<Lesson>>,
}

impl Library {
    /// Everything that records may be made of.
    pub fn open(sources: &Sources) -> Result<Library, Failure> {
        let mut exercises = Vec::new();
        for path in &sources.exercises {
            exercises.push(exercise(path)?);
        }
        for entry in catalog::EXERCISES {
            exercises.push(read(entry.json).map_err(Failure::Exercise)?);
        }
        let hashed = |e: Exercise| hash_of(&e).map(|h| (h, e)).map_err(Failure::usage);
        let exercises = exercises.into_iter().map(hashed).collect::<Result<_, _>>()?;
        let plants = sources.plants.iter().map(|p| plant_source::load(p)).collect::<Result<_, _>>()?;
        Ok(Library { exercises, plants, made: BTreeMap::new() })
    }

    /// The lesson of an exercise's id and content; of the same id where no content is the same.
    ///
    /// # Errors
    /// There is no such exercise, it has faults, or its plant is not at hand.
    pub fn find(&mut self, id: &str, hash: &str) -> Result<Arc<Lesson>, Fault> {
        let same = self.exercises.iter().find(|(h, _)| h == hash);
        let Some((key, exercise)) = same.or_else(|| self.exercises.iter().find(|(_, e)| e.id == id)) else {
            return Err(Fault::new(
                "no_such_exercise",
                id,
                "there is no exercise of this id at hand.",
                "Give its file with --exercise.",
            ));
        };
        if let Some(lesson) = self.made.get(key) {
            return Ok(lesson.clone());
        }
        let own = self.plants.iter().find(|p| p.name == exercise.plant);
        let first = |mut faults: Vec<Fault>| faults.remove(0);
        let plant = own.map_or_else(|| catalog::plant(&exercise.plant).map_err(first), |p| Ok(p.clone()))?;
        let lesson = Arc::new(Lesson::new(exercise.clone(), plant).map_err(first)?);
        self.made.insert(key.clone(), lesson.clone());
        Ok(lesson)
    }

    /// The exercises of the lessons made so far.
    pub fn used(&self) -> Vec<&Exercise> {
        self.made.values().map(|l| l.exercise()).collect()
    }
}
