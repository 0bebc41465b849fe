//! Conditions: small typed trees over signals, time and what was done. Not a formula language.

use super::control::Pattern;
use engine::event::Code;
use engine::operation::Mode;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Deepest nesting of a condition.
pub const DEEPEST: usize = 6;

/// A condition. Comparisons with `held_s` hold once they have been true for that long without a break.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "is", rename_all = "snake_case", deny_unknown_fields)]
pub enum Condition {
    /// A signal above a value.
    Above {
        /// Signal's id.
        signal: String,
        /// Value [inside unit of the signal].
        value: f64,
        /// How long without a break [s].
        #[serde(default)]
        held_s: f64,
    },
    /// A signal below a value.
    Below {
        /// Signal's id.
        signal: String,
        /// Value [inside unit of the signal].
        value: f64,
        /// How long without a break [s].
        #[serde(default)]
        held_s: f64,
    },
    /// A signal inside a band, its ends included.
    Inside {
        /// Signal's id.
        signal: String,
        /// Low end [inside unit of the signal].
        low: f64,
        /// High end [inside unit of the signal].
        high: f64,
        /// How long without a break [s].
        #[serde(default)]
        held_s: f64,
    },
    /// A closed heater in a mode.
    Mode {
        /// Heater's id.
        heater: String,
        /// Mode.
        mode: Mode,
        /// How long without a break [s].
        #[serde(default)]
        held_s: f64,
    },
    /// So much time has passed.
    After {
        /// Time [s].
        time_s: f64,
    },
    /// The trainee has given such a command, and it was taken.
    Done {
        /// Command.
        command: Pattern,
    },
    /// The plant has reported such an event since the exercise began.
    Happened {
        /// Event.
        event: Code,
        /// Device; any where none is named.
        device: Option<String>,
    },
    /// A happening of the timeline has taken place.
    Fired {
        /// Its id.
        happening: String,
    },
    /// All of these hold.
    All {
        /// Conditions.
        of: Vec<Condition>,
    },
    /// At least one of these holds.
    Any {
        /// Conditions.
        of: Vec<Condition>,
    },
    /// This does not hold.
    Not {
        /// Condition.
        of: Box<Condition>,
    },
}
