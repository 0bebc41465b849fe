//! Predictions: what a signal will do over a window after a moment; and what is guessed.

use super::Moment;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Dead band of a direction where none is given [share of the signal's span].
pub const DEAD_BAND: f64 = 0.01;
/// Most points of a drawn curve.
pub const MOST_POINTS: usize = 400;

/// Something to be predicted. It is locked when the moment has come.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Prediction {
    /// Name, for the objective that counts it and for records.
    pub id: String,
    /// What is asked.
    pub text: String,
    /// Signal's id.
    pub signal: String,
    /// The moment: before it the prediction is made, from it on it is observed.
    pub moment: Moment,
    /// How long it is observed [s].
    pub window_s: f64,
    /// What is predicted.
    pub what: Predicted,
    /// What the signal does, and why; shown afterwards.
    pub explanation: String,
}

/// What is predicted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Predicted {
    /// Up, down or the same: the change over the window against a dead band. Right 1, wrong 0.
    Direction {
        /// Changes up to this count as the same [share of the signal's span].
        #[serde(default = "dead_band")]
        dead_band: f64,
    },
    /// The value at the end of the window. Full credit within the tolerance, falling to 0 at three times of it.
    Value {
        /// Tolerance [inside unit of the signal].
        tolerance: f64,
    },
    /// The curve over the window, drawn. A quarter each for direction; final value, as for a value;
    /// time to half of the change, within a quarter of it or 10 s, none at four times of that; shape, by the mean distance,
    /// within 5 % of the observed range, none at 50 %.
    Curve {
        /// Tolerance of the final value, and scale of the shape where the signal hardly moves [inside unit].
        tolerance: f64,
        /// Changes up to this count as the same [share of the signal's span].
        #[serde(default = "dead_band")]
        dead_band: f64,
    },
}

fn dead_band() -> f64 {
    DEAD_BAND
}

/// A direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// It rises.
    Up,
    /// It falls.
    Down,
    /// It stays.
    Same,
}

/// A guess.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Guess {
    /// Of a direction.
    Direction {
        /// Direction.
        way: Way,
    },
    /// Of the value at the end of the window.
    Value {
        /// Value [inside unit of the signal].
        value: f64,
    },
    /// A curve: points of time after the moment and value, times rising; straight between, level before and after.
    Curve {
        /// Time [s] and value [inside unit of the signal].
        points: Vec<(f64, f64)>,
    },
}
