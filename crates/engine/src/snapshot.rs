//! Snapshots: the whole state as bytes, private to one build and one plant.
//!
//! Two states are kept, the one now and the one that the last step started from: the second gives back what the last
//! step put out, to the last bit, without saving what can be derived.

use crate::fault::Fault;
use crate::plant::file::Plant;
use crate::train::State;
use sha2::{Digest, Sha256};

/// Length of the two checks before the states: of whom they are for, and of themselves.
const CHECK: usize = 32;

/// Whom a snapshot is for: this build, plant and length of step.
fn identity(plant: &Plant, dt: f64) -> Result<[u8; CHECK], Fault> {
    let plant = serde_json::to_vec(plant).map_err(|e| unwritten(&e.to_string()))?;
    let mut hash = Sha256::new();
    hash.update(env!("CARGO_PKG_VERSION"));
    hash.update(dt.to_bits().to_le_bytes());
    hash.update(plant);
    Ok(hash.finalize().into())
}

fn unwritten(e: &str) -> Fault {
    Fault::new(
        "state_bytes",
        "state",
        format!("the state cannot be written: {e}."),
        "Report this fault with the plant's file.",
    )
}

/// Both states as bytes.
pub(crate) fn write(plant: &Plant, dt: f64, previous: &State, now: &State) -> Result<Vec<u8>, Fault> {
    let states = postcard::to_allocvec(&(previous, now)).map_err(|e| unwritten(&e.to_string()))?;
    let mut bytes = identity(plant, dt)?.to_vec();
    bytes.extend_from_slice(&Sha256::digest(&states));
    bytes.extend_from_slice(&states);
    Ok(bytes)
}

/// Both states back: the one before the last step, and the one now.
pub(crate) fn read(plant: &Plant, dt: f64, bytes: &[u8]) -> Result<(State, State), Fault> {
    let damaged = || {
        Fault::new(
            "damaged_snapshot",
            "snapshot",
            "the snapshot is cut short or was changed.",
            "Take another snapshot.",
        )
    };
    let Some((head, states)) = bytes.split_at_checked(2 * CHECK) else { return Err(damaged()) };
    let (whom, check) = head.split_at(CHECK);
    if whom != identity(plant, dt)? {
        return Err(Fault::new(
            "other_snapshot",
            "snapshot",
            "the snapshot was taken by another build, of another plant or with another length of step.",
            "Open that plant with that build, or run the exercise again from its start.",
        ));
    }
    if check != Sha256::digest(states).as_slice() {
        return Err(damaged());
    }
    postcard::from_bytes(states).map_err(|_| damaged())
}
