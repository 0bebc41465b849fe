//! A lesson: a checked exercise together with its plant, ready to be taken any number of times.

use crate::exercise::check::{self, Names};
use crate::exercise::control::is_malfunction;
use crate::exercise::read::in_plant;
use crate::exercise::{Exercise, Start, steps};
use engine::plant::file::Plant;
use engine::{Command, Fault, Sim};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// A checked exercise and its plant.
pub struct Lesson {
    exercise: Exercise,
    plant: Plant,
    names: Names,
    identity: Identity,
    /// State in which it begins, where that took settling.
    settled: Option<Vec<u8>>,
}

/// What a record must agree with to be judged by this lesson: hashes in hexadecimal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// Of the exercise.
    pub exercise: String,
    /// Of the plant.
    pub plant: String,
    /// Version of the engine.
    pub engine: String,
    /// Of water and steam properties.
    pub properties: String,
    /// Of what the engine makes of a standard upset of this plant.
    pub behaviour: String,
}

/// SHA-256 in hexadecimal.
pub fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

/// Hash of a document's content, however the file is laid out.
pub fn hash_of<T: Serialize>(document: &T) -> Result<String, Fault> {
    written(document).map(|text| hash(text.as_bytes()))
}

/// A document's content as text.
pub fn written<T: Serialize>(document: &T) -> Result<String, Fault> {
    serde_json::to_string(document).map_err(|e| {
        Fault::new("not_written", "document", format!("it cannot be written: {e}."), "Report this fault.")
    })
}

/// Steps of the standard upset: a minute.
const UPSET: u32 = 240;

impl Lesson {
    /// Checks an exercise against its plant and brings the plant where the exercise begins.
    ///
    /// # Errors
    /// Every fault of the exercise, each with its place; or why the plant cannot be brought there.
    pub fn new(exercise: Exercise, plant: Plant) -> Result<Lesson, Vec<Fault>> {
        let one = |f| vec![f];
        let carries = exercise.plant_file.is_some();
        let mut trial = Sim::new(plant.clone()).map_err(|f| one(if carries { in_plant(f) } else { f }))?;
        let names = Names::of(&trial);
        let mut faults = check::check(&exercise, &mut trial, &names);
        if exercise.plant != plant.name {
            faults.push(Fault::new(
                "exercise_value",
                "plant",
                format!("the exercise is for '{}', the plant given is '{}'.", exercise.plant, plant.name),
                "Give the plant that the exercise names.",
            ));
        }
        if exercise.plant_file.as_deref().is_some_and(|own| *own != plant) {
            faults.push(Fault::new(
                "exercise_value",
                "plant_file",
                "the exercise carries a plant, and another is given.",
                "Give none beside it, or take this one out.",
            ));
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let identity = Identity {
            exercise: hash_of(&exercise).map_err(one)?,
            plant: hash_of(&plant).map_err(one)?,
            engine: env!("CARGO_PKG_VERSION").into(),
            properties: format!("{:016x}", steam::fingerprint()),
            behaviour: behaviour(&plant).map_err(one)?,
        };
        let mut lesson = Lesson { exercise, plant, names, identity, settled: None };
        let sim = lesson.brought(false).map_err(one)?;
        if sim.state().steps > 0 {
            lesson.settled = Some(sim.snapshot().map_err(one)?);
        }
        Ok(lesson)
    }

    /// The exercise.
    pub fn exercise(&self) -> &Exercise {
        &self.exercise
    }

    /// The plant.
    pub fn plant(&self) -> &Plant {
        &self.plant
    }

    /// Hashes of what it is made of.
    pub fn identity(&self) -> &Identity {
        &self.identity
    }

    /// Signals of the plant.
    pub fn signals(&self) -> &[engine::signals::Definition] {
        &self.names.signals
    }

    /// Place of a signal among the plant's.
    pub(crate) fn signal(&self, id: &str) -> Result<usize, Fault> {
        self.names.signal(id).ok_or_else(|| {
            Fault::new("no_such_signal", id, "the plant has no such signal.", "Name a signal of the plant.")
        })
    }

    /// The plant as it is when the exercise begins.
    ///
    /// # Errors
    /// The plant cannot be brought there.
    pub(crate) fn sim(&self, without_malfunctions: bool) -> Result<Sim, Fault> {
        match &self.settled {
            Some(bytes) if !without_malfunctions => {
                let mut sim = Sim::new(self.plant.clone())?;
                sim.restore(bytes)?;
                Ok(sim)
            }
            _ => self.brought(without_malfunctions),
        }
    }

    /// Brings a plant from design where the exercise begins.
    fn brought(&self, without_malfunctions: bool) -> Result<Sim, Fault> {
        let mut sim = started(self.plant.clone(), &self.exercise.start, without_malfunctions)?;
        sim.advance(steps(self.exercise.start.settle_s) as u32)?;
        Ok(sim)
    }
}

/// A plant at design that has been told what a start asks of it, and is not yet left to settle.
///
/// # Errors
/// The plant cannot be sized, or refuses what is asked.
pub(crate) fn started(plant: Plant, s: &Start, without_malfunctions: bool) -> Result<Sim, Fault> {
    let mut sim = Sim::new(plant)?;
    for (k, pump) in s.cold.iter().enumerate() {
        sim.begin_cold(pump).map_err(|f| Fault { place: format!("start.cold[{k}] {}", f.place), ..f })?;
    }
    let mut give = |place: String, c: &Command| {
        sim.command(c).map_err(|f| Fault { place: format!("{place} {}", f.place), ..f })
    };
    if s.load != 1.0 {
        give("start.load".into(), &Command::SetLoad { fraction: s.load })?;
    }
    for (k, heater) in s.out.iter().enumerate() {
        let trip = Command::TripHeater { heater: heater.clone() };
        match give(format!("start.out[{k}]"), &trip) {
            // Another of its bypass group took it along.
            Err(f) if f.code == "refused" => {}
            other => other?,
        }
    }
    for (k, heater) in s.isolated.iter().enumerate() {
        give(format!("start.isolated[{k}]"), &Command::IsolateExtraction { heater: heater.clone() })?;
    }
    let further = s.commands.iter().enumerate();
    for (k, c) in further.filter(|(_, c)| !(without_malfunctions && is_malfunction(c))) {
        give(format!("start.commands[{k}]"), c)?;
    }
    Ok(sim)
}

/// State hash a minute after the first closed heater's trip from design: another engine gives another.
pub(crate) fn behaviour(plant: &Plant) -> Result<String, Fault> {
    let mut sim = Sim::new(plant.clone())?;
    let first = sim.params().closed.first().map(|c| c.heater.id.clone());
    if let Some(heater) = first {
        sim.command(&Command::TripHeater { heater })?;
    }
    sim.advance(UPSET)?;
    sim.state_hash()
}
