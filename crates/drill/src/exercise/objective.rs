//! Objectives: what is judged, with its weight and the rule by which part of it counts.

use super::Moment;
use super::condition::Condition;
use super::control::Pattern;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Something that is judged.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Objective {
    /// Name, for records and the gradebook.
    pub id: String,
    /// What is to be achieved.
    pub text: String,
    /// Weight against the others, above 0 [share of their sum].
    pub weight: f64,
    /// Rule.
    pub rule: Rule,
}

/// Rule by which an objective gives 0 to 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Rule {
    /// The condition comes true within a time. After that the credit falls in proportion to 0 over `late_s`.
    Reach {
        /// Condition.
        when: Condition,
        /// From when the time runs; before it nothing counts.
        #[serde(default = "Moment::start")]
        from: Moment,
        /// Time for full credit [s].
        within_s: f64,
        /// Further time over which the credit falls to 0 [s].
        #[serde(default)]
        late_s: f64,
    },
    /// A signal stays inside a band. Credit falls in proportion with the time outside, from 1 at `allowed_s` to 0
    /// `lost_s` later; and with the worst excursion, to 0 at `lost_by`; the smaller of both counts.
    Keep {
        /// Signal's id.
        signal: String,
        /// Low end; none where there is no such limit [inside unit of the signal].
        low: Option<f64>,
        /// High end; none where there is no such limit [inside unit of the signal].
        high: Option<f64>,
        /// From when.
        #[serde(default = "Moment::start")]
        from: Moment,
        /// Until when; to the end where none is given.
        until: Option<Moment>,
        /// Time outside that costs nothing [s].
        #[serde(default)]
        allowed_s: f64,
        /// Further time outside by which all credit is lost [s].
        lost_s: f64,
        /// Excursion at which all credit is lost; none where only the time counts [inside unit of the signal].
        lost_by: Option<f64>,
    },
    /// The condition never comes true: 1, else 0.
    Never {
        /// Condition.
        when: Condition,
    },
    /// One before the other: 1. Only the first: half. Else 0.
    Before {
        /// What is to come first.
        first: Condition,
        /// What is to come after it.
        then: Condition,
    },
    /// The trainee gives one of these commands, and it is taken, within a time after a moment. After that the credit
    /// falls in proportion to 0 over `late_s`.
    Act {
        /// The moment.
        from: Moment,
        /// Commands, of which one is enough.
        commands: Vec<Pattern>,
        /// Time for full credit [s].
        within_s: f64,
        /// Further time over which the credit falls to 0 [s].
        #[serde(default)]
        late_s: f64,
    },
    /// A question is answered; its credit counts.
    Answer {
        /// Question's id.
        question: String,
    },
    /// A prediction is made; its credit counts.
    Predict {
        /// Prediction's id.
        prediction: String,
    },
}
