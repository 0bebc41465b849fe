//! Files of a free run: a snapshot to begin from, and a tape to be played again. Both name what they were made with, and are
//! refused with the reason where that is something else.

use super::{Ahead, Check, Done, Free, Mark, Queue, Tape, marked};
use crate::exercise::condition::Condition;
use crate::lesson::{behaviour, hash_of};
use engine::malfunction::Malfunction;
use engine::{Fault, Sim};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// Format of snapshot files.
pub const SNAPSHOT: &str = "bledsteam-snapshot/1";
/// Format of tape files.
pub const TAPE: &str = "bledsteam-tape/1";
/// Largest file read [bytes]: a snapshot takes some tens of kB, a tape of a long day some hundreds.
pub const LARGEST: usize = 1 << 23;
/// Longest name kept [characters].
const NAME: usize = 80;
/// Longest tape that is played again [steps]: a week.
const LONGEST: u64 = 7 * 24 * super::FINE;

/// What a file was made with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// Plant's name.
    pub plant: String,
    /// SHA-256 of the plant's content.
    pub plant_hash: String,
    /// Version of the engine.
    pub engine: String,
    /// Fingerprint of the water and steam properties.
    pub properties: String,
    /// Fingerprint of what the engine makes of a standard upset of this plant.
    pub behaviour: String,
}

/// A malfunction that waited.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Waits {
    /// Its number.
    pub id: u32,
    /// For what; its times begin to count anew.
    pub when: Condition,
    /// What happens then.
    pub malfunction: Malfunction,
}

/// A snapshot as a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SnapshotFile {
    /// Format: [`SNAPSHOT`].
    pub format: String,
    /// Name that it was given.
    pub name: String,
    /// When it was kept, as the page's clock said.
    pub kept: String,
    /// Plant time [s].
    pub time_s: f64,
    /// What it was made with.
    pub made: Made,
    /// What waited.
    pub waiting: Vec<Waits>,
    /// The plant, in hexadecimal.
    pub state: String,
}

/// A tape as a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TapeFile {
    /// Format: [`TAPE`].
    pub format: String,
    /// Name that it was given.
    pub name: String,
    /// When it was kept, as the page's clock said.
    pub kept: String,
    /// What it was made with.
    pub made: Made,
    /// What waited at its start.
    pub waiting: Vec<Waits>,
    /// The plant at its start, in hexadecimal.
    pub start: String,
    /// What was done.
    pub deeds: Vec<Done>,
    /// Hashes on the way, one a minute.
    pub checks: Vec<Check>,
    /// Where it ended.
    pub end: Check,
}

fn fault(code: &str, place: &str, message: String, remedy: &str) -> Fault {
    Fault::new(code, place, message, remedy)
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

fn bytes(hex: &str, place: &str) -> Result<Vec<u8>, Fault> {
    let damaged =
        || fault("damaged_file", place, "this is no row of bytes.".into(), "Give the file as it was saved.");
    let digits: Option<Vec<u8>> = hex.chars().map(|c| c.to_digit(16).map(|d| d as u8)).collect();
    let digits = digits.filter(|d| d.len() % 2 == 0).ok_or_else(damaged)?;
    Ok(digits.chunks_exact(2).map(|d| 16 * d[0] + d[1]).collect())
}

fn one_line(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(NAME).collect()
}

fn waits(queue: &Queue) -> Vec<Waits> {
    let one =
        |w: &super::Waiting| Waits { id: w.id, when: w.when.clone(), malfunction: w.malfunction.clone() };
    queue.waiting().iter().map(one).collect()
}

/// Reads a file of one of the two formats.
fn read<T: DeserializeOwned>(text: &str, format: &str, what: &str) -> Result<T, Fault> {
    let remedy = format!("Give a {what} as this program saved it.");
    let wrong = |place: &str, message: String| fault("not_such_a_file", place, message, &remedy);
    if text.len() > LARGEST {
        let message = format!("the file has {} bytes; at most {LARGEST} are read.", text.len());
        return Err(wrong("file", message));
    }
    #[derive(Deserialize)]
    struct Format {
        format: String,
    }
    let said: Format =
        serde_json::from_str(text).map_err(|e| wrong("file", format!("this is no {what}: {e}.")))?;
    if said.format != format {
        let said = one_line(&said.format);
        return Err(wrong("format", format!("'{said}' is not '{format}', the format read here.")));
    }
    let mut reader = serde_json::Deserializer::from_str(text);
    let file = serde_path_to_error::deserialize(&mut reader)
        .map_err(|e| wrong(&e.path().to_string(), format!("{}.", e.inner())))?;
    reader.end().map_err(|e| wrong("file", format!("{e}.")))?;
    Ok(file)
}

/// Reads a snapshot file.
///
/// # Errors
/// It is too long, or not of this form or format.
pub fn read_snapshot(text: &str) -> Result<SnapshotFile, Fault> {
    read(text, SNAPSHOT, "snapshot")
}

/// Reads a tape file.
///
/// # Errors
/// It is too long, not of this form or format, or its steps do not rise from its start to its end.
pub fn read_tape(text: &str) -> Result<TapeFile, Fault> {
    let file: TapeFile = read(text, TAPE, "tape")?;
    let start = file.checks.first().map_or(0, |c| c.step);
    let deeds: Vec<u64> = file.deeds.iter().map(|d| d.step).collect();
    let checks: Vec<u64> = file.checks.iter().map(|c| c.step).collect();
    for (place, list) in [("deeds", deeds), ("checks", checks)] {
        let within = list.iter().all(|s| (start..=file.end.step).contains(s));
        if !within || list.windows(2).any(|w| w[0] > w[1]) || file.end.step - start > LONGEST {
            let message = "the steps do not rise from the start to the end of a week at most.".into();
            return Err(fault("not_such_a_file", place, message, "Give the file as it was saved."));
        }
    }
    Ok(file)
}

impl Free {
    /// What files of this run are made with.
    ///
    /// # Errors
    /// The plant cannot be sized.
    pub fn made(&self) -> Result<&Made, Fault> {
        if self.made.get().is_none() {
            let plant = self.sim.plant();
            let made = Made {
                plant: plant.name.clone(),
                plant_hash: hash_of(plant)?,
                engine: env!("CARGO_PKG_VERSION").into(),
                properties: format!("{:016x}", steam::fingerprint()),
                behaviour: behaviour(plant)?,
            };
            // It was empty a moment ago, and nothing else fills it.
            let _ = self.made.set(made);
        }
        self.made.get().ok_or_else(|| fault("unexpected", "file", "nothing is known.".into(), "Report this."))
    }

    fn own(&self, made: &Made) -> Result<(), Fault> {
        let here = self.made()?;
        let (plant, there) = (&here.plant, one_line(&made.plant));
        if made.plant != here.plant {
            let message = format!("it is of the plant '{there}'; open here is '{plant}'.");
            return Err(fault("other_plant", "plant", message, "Open that plant first."));
        }
        if made.plant_hash != here.plant_hash {
            let message = format!("it is of a plant '{there}' whose file differs from the one here.");
            return Err(fault("other_plant", "plant_hash", message, "Use the version that made it."));
        }
        if made != here {
            let message = format!(
                "it was made by another build (version {}, here {}), whose numbers differ.",
                one_line(&made.engine),
                here.engine
            );
            return Err(fault("other_engine", "engine", message, "Use the version that made it."));
        }
        Ok(())
    }

    /// The plant as it stands, and what waits, as the text of a file.
    ///
    /// # Errors
    /// The state cannot be written.
    pub fn snapshot_file(&self, name: &str, kept: &str) -> Result<String, Fault> {
        written(&SnapshotFile {
            format: SNAPSHOT.into(),
            name: one_line(name),
            kept: one_line(kept),
            time_s: self.sim.time(),
            made: self.made()?.clone(),
            waiting: waits(&self.queue),
            state: hex(&self.sim.snapshot()?),
        })
    }

    /// The tape up to now as the text of a file.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn tape_file(&self, name: &str, kept: &str) -> Result<String, Fault> {
        let start = self.tape.start();
        written(&TapeFile {
            format: TAPE.into(),
            name: one_line(name),
            kept: one_line(kept),
            made: self.made()?.clone(),
            waiting: start.map_or_else(Vec::new, |m| waits(&m.queue)),
            start: start.map_or_else(String::new, |m| hex(&m.snapshot)),
            deeds: self.tape.deeds().to_vec(),
            checks: self.tape.checks().to_vec(),
            end: Check { step: self.step(), state: self.sim.state_hash()? },
        })
    }

    /// A plant as a file says, with what waits there.
    fn raised(&self, made: &Made, state: (&str, &str), waiting: &[Waits]) -> Result<(Sim, Queue), Fault> {
        self.own(made)?;
        let mut sim = Sim::new(self.sim.plant().clone())?;
        sim.restore_from_outside(&bytes(state.1, state.0)?)?;
        let mut queue = Queue::default();
        for w in waiting {
            queue.count_from(w.id);
            queue.put(&sim, &self.names, &w.when, &w.malfunction)?;
        }
        Ok((sim, queue))
    }

    /// Goes to a snapshot and begins a new tape there. The run so far is kept for [`Free::back_to_left`].
    ///
    /// # Errors
    /// It is of another plant or build, or damaged. Then nothing has changed.
    pub fn load(&mut self, file: &SnapshotFile) -> Result<(), Fault> {
        let (sim, queue) = self.raised(&file.made, ("state", &file.state), &file.waiting)?;
        let (mark, check) = marked(&sim, &queue, 0)?;
        self.enter(sim, queue, Tape::new(mark, check), None);
        Ok(())
    }

    /// Goes to the start of a tape; what was done on it lies ahead. The run so far is kept for [`Free::back_to_left`].
    ///
    /// # Errors
    /// It is of another plant or build, or damaged. Then nothing has changed.
    pub fn open_tape(&mut self, file: TapeFile) -> Result<(), Fault> {
        let (sim, queue) = self.raised(&file.made, ("start", &file.start), &file.waiting)?;
        let (mark, check) = marked(&sim, &queue, 0)?;
        let Mark { step, .. } = mark;
        if file.checks.first() != Some(&check) {
            let message = "the plant at its start is not the one that it says.".into();
            return Err(fault("damaged_file", "start", message, "Give the file as it was saved."));
        }
        let ahead = Ahead { deeds: file.deeds, next: 0, end: file.end, checks: file.checks };
        let some = ahead.end.step > step || !ahead.deeds.is_empty();
        self.enter(sim, queue, Tape::new(mark, check), some.then_some(ahead));
        Ok(())
    }
}

fn written<T: Serialize>(file: &T) -> Result<String, Fault> {
    serde_json::to_string(file)
        .map_err(|e| fault("not_written", "file", format!("{e}."), "Report this fault."))
}
