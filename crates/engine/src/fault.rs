//! What can go wrong, said so that somebody can mend it: a code, a place, what happened, what to do.

use serde::{Deserialize, Serialize};

/// A refusal or a failure.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[error("{place}: {message} {remedy}")]
pub struct Fault {
    /// Short, stable word for programs.
    pub code: String,
    /// Where: a path in a file, or a component's id.
    pub place: String,
    /// What is wrong, as a sentence.
    pub message: String,
    /// What to do, as a sentence.
    pub remedy: String,
}

impl Fault {
    /// A fault from its four parts.
    pub fn new(
        code: &str,
        place: impl Into<String>,
        message: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Fault {
        Fault { code: code.into(), place: place.into(), message: message.into(), remedy: remedy.into() }
    }

    /// Properties of water or steam could not be had at `place`.
    pub fn steam(place: impl Into<String>, e: steam::SteamError) -> Fault {
        Fault::new(
            "steam_range",
            place,
            format!("the water or steam there left the range of the property formulation: {e}."),
            "Go back to the last good moment, or check the plant file's figures for this component.",
        )
    }
}

/// Gives a property error its place.
pub trait At<T> {
    /// Names the component.
    fn at(self, place: &str) -> Result<T, Fault>;
}

impl<T> At<T> for Result<T, steam::SteamError> {
    fn at(self, place: &str) -> Result<T, Fault> {
        self.map_err(|e| Fault::steam(place, e))
    }
}
