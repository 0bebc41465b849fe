//! Snapshots: the whole state as bytes, private to one build and one plant.
//!
//! Two states are kept, the one now and the one that the last step started from: the second gives back what the last
//! step put out, to the last bit, without saving what can be derived.

use crate::fault::Fault;
use crate::plant::file::Plant;
use crate::train::State;
use serde_json::Value;
use sha2::{Digest, Sha256};

/// Length of what says whom the states are for.
const WHOM: usize = 32;
/// Length of the check sum of the states: damage is to be found, forgery is not (the hashes of a record find that).
const CHECK: usize = 4;

/// Whom a snapshot is for: this build, plant and length of step. It takes as long as the states themselves, so it is made
/// once for a plant that runs.
pub(crate) struct Identity([u8; WHOM]);

impl Identity {
    pub(crate) fn of(plant: &Plant, dt: f64) -> Result<Identity, Fault> {
        let plant = serde_json::to_vec(plant).map_err(|e| unwritten(&e.to_string()))?;
        let mut hash = Sha256::new();
        hash.update(env!("CARGO_PKG_VERSION"));
        hash.update(dt.to_bits().to_le_bytes());
        hash.update(plant);
        Ok(Identity(hash.finalize().into()))
    }
}

fn unwritten(e: &str) -> Fault {
    Fault::new(
        "state_bytes",
        "state",
        format!("the state cannot be written: {e}."),
        "Report this fault with the plant's file.",
    )
}

fn check(states: &[u8]) -> [u8; CHECK] {
    crc32fast::hash(states).to_le_bytes()
}

/// Both states as bytes.
pub(crate) fn write(whom: &Identity, previous: &State, now: &State) -> Result<Vec<u8>, Fault> {
    let states = postcard::to_allocvec(&(previous, now)).map_err(|e| unwritten(&e.to_string()))?;
    let mut bytes = whom.0.to_vec();
    bytes.extend_from_slice(&check(&states));
    bytes.extend_from_slice(&states);
    Ok(bytes)
}

/// Both states back: the one before the last step, and the one now.
pub(crate) fn read(own: &Identity, bytes: &[u8]) -> Result<(State, State), Fault> {
    let damaged = || {
        Fault::new(
            "damaged_snapshot",
            "snapshot",
            "the snapshot is cut short or was changed.",
            "Take another snapshot.",
        )
    };
    let Some((head, states)) = bytes.split_at_checked(WHOM + CHECK) else { return Err(damaged()) };
    let (whom, said) = head.split_at(WHOM);
    if whom != own.0 {
        return Err(Fault::new(
            "other_snapshot",
            "snapshot",
            "the snapshot was taken by another build, of another plant or with another length of step.",
            "Open that plant with that build, or run the exercise again from its start.",
        ));
    }
    if said != check(states) {
        return Err(damaged());
    }
    postcard::from_bytes(states).map_err(|_| damaged())
}

/// Lists of a state whose length is not the plant's but changes as it runs.
const VARIABLE: [&str; 3] = ["malfunctions", "calls", "parcels"];

/// Refuses a state whose lists have other lengths than those of `own`, which has made a step: bytes that came from outside
/// may say anything.
pub(crate) fn fits(own: &State, other: &State) -> Result<(), Fault> {
    let value = |s: &State| serde_json::to_value(s).map_err(|e| unwritten(&e.to_string()));
    let (own, mut theirs) = (value(own)?, value(other)?);
    if let (0, Some(parts)) = (other.steps, theirs.as_object_mut()) {
        // Nothing has been asked for before the first step.
        parts.remove("demands");
    }
    match misfit(&own, &theirs, "state") {
        None => Ok(()),
        Some(place) => Err(Fault::new(
            "damaged_snapshot",
            place,
            "the snapshot does not have the parts that this plant has.",
            "Take another snapshot.",
        )),
    }
}

/// First place at which two states have lists of different length.
fn misfit(own: &Value, other: &Value, place: &str) -> Option<String> {
    match (own, other) {
        (Value::Array(a), Value::Array(b)) if a.len() != b.len() => Some(place.to_owned()),
        (Value::Array(a), Value::Array(b)) => {
            a.iter().zip(b).enumerate().find_map(|(k, (a, b))| misfit(a, b, &format!("{place}[{k}]")))
        }
        (Value::Object(a), Value::Object(b)) => a
            .iter()
            .filter(|(key, _)| !VARIABLE.contains(&key.as_str()))
            .find_map(|(key, a)| b.get(key).and_then(|b| misfit(a, b, &format!("{place}.{key}")))),
        _ => None,
    }
}
