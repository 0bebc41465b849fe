//! Exercises and plants at hand, and the lesson that a record is judged by: page and shell find it alike.

use crate::entry::Head;
use crate::exercise::Exercise;
use crate::lesson::{Lesson, hash_of};
use engine::Fault;
use engine::plant::file::Plant;
use std::cell::RefCell;
use std::sync::Arc;

/// A lesson, with the places of its exercise and plant; of none where the exercise carries it.
type Made = ((usize, Option<usize>), Arc<Lesson>);

/// Exercises and plants that records may be of.
pub struct Library {
    exercises: Vec<(String, Exercise)>,
    plants: Vec<(String, Plant)>,
    /// Lessons made so far.
    made: RefCell<Vec<Made>>,
}

impl Library {
    /// What is at hand; of two of one name the first is taken, unless a record was made of the second.
    ///
    /// # Errors
    /// One of them cannot be written, and so has no hash.
    pub fn new(exercises: Vec<Exercise>, plants: Vec<Plant>) -> Result<Library, Fault> {
        let exercises =
            exercises.into_iter().map(|e| hash_of(&e).map(|h| (h, e))).collect::<Result<_, _>>()?;
        let plants = plants.into_iter().map(|p| hash_of(&p).map(|h| (h, p))).collect::<Result<_, _>>()?;
        Ok(Library { exercises, plants, made: RefCell::default() })
    }

    /// The place of the exercise that a record names: of the same content; of the same id where no content is the same.
    pub fn exercise_of(&self, head: &Head) -> Option<usize> {
        let same = self.exercises.iter().position(|(hash, _)| *hash == head.exercise_hash);
        same.or_else(|| self.exercises.iter().position(|(_, e)| e.id == head.exercise))
    }

    /// The lesson of the exercise that a record names, on the plant that this carries, or else on the one that the record
    /// names: of the same content, or of the same name.
    ///
    /// # Errors
    /// Exercise or plant are not at hand, or do not fit together.
    pub fn find(&self, head: &Head) -> Result<Arc<Lesson>, Fault> {
        let at = self.exercise_of(head).ok_or_else(|| {
            let remedy = "Give its file too: beside the records on the page, with --exercise in a shell.";
            Fault::new(
                "no_such_exercise",
                &*head.exercise,
                "there is no exercise of this id at hand.",
                remedy,
            )
        })?;
        let exercise = &self.exercises[at].1;
        let (on, plant) = match &exercise.plant_file {
            Some(own) => (None, &**own),
            None => self.beside(exercise, head)?,
        };
        if let Some((_, lesson)) = self.made.borrow().iter().find(|(places, _)| *places == (at, on)) {
            return Ok(lesson.clone());
        }
        let lesson = Lesson::new(exercise.clone(), plant.clone());
        let lesson = lesson.map(Arc::new).map_err(|mut faults| faults.remove(0))?;
        self.made.borrow_mut().push(((at, on), lesson.clone()));
        Ok(lesson)
    }

    /// The plant of an exercise that carries none, and its place.
    fn beside(&self, exercise: &Exercise, head: &Head) -> Result<(Option<usize>, &Plant), Fault> {
        let named = |(_, p): &(String, Plant)| p.name == exercise.plant;
        let same = self.plants.iter().position(|p| named(p) && p.0 == head.plant_hash);
        let found = same.or_else(|| self.plants.iter().position(named));
        found.map(|at| (Some(at), &self.plants[at].1)).ok_or_else(|| {
            let message = format!("the plant of the exercise '{}' is not at hand.", head.exercise);
            let remedy = "Give its file too: beside the records on the page, with --plant in a shell.";
            Fault::new("no_such_plant", &*exercise.plant, message, remedy)
        })
    }

    /// The exercises at hand.
    pub fn exercises(&self) -> Vec<&Exercise> {
        self.exercises.iter().map(|(_, e)| e).collect()
    }
}
