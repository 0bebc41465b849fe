//! Questions: choice, number, component, order; and what is answered to them.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use steam::units::Quantity;

/// A question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Name, for the objective that counts it and for records.
    pub id: String,
    /// What is asked.
    pub text: String,
    /// From when it is asked [s].
    #[serde(default)]
    pub from_s: f64,
    /// Until when it can be answered; to the end where none is given [s].
    pub until_s: Option<f64>,
    /// What is right, and why; shown afterwards.
    pub explanation: String,
    /// What is answered.
    pub answer: Asked,
}

/// What is answered to a question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Asked {
    /// Choices, of which those in `right` are to be chosen and no other. Credit: right ones chosen less wrong ones
    /// chosen, over the number of right ones, not below 0.
    Choice {
        /// Choices, in the order shown.
        choices: Vec<String>,
        /// Indices of the right ones, from 0.
        right: Vec<u32>,
    },
    /// A number: full credit within the tolerance, half within twice of it.
    Number {
        /// What it measures.
        #[schemars(schema_with = "quantities")]
        quantity: Quantity,
        /// Right value; give this or `signal` [inside unit of the quantity].
        value: Option<f64>,
        /// Signal whose value at the moment of the answer is right.
        signal: Option<String>,
        /// Tolerance [inside unit of the quantity].
        tolerance: f64,
    },
    /// A component is picked on the train: full credit for any of these.
    Component {
        /// Ids of the right ones.
        right: Vec<String>,
    },
    /// Actions are put in order. Credit: pairs in the right order less pairs in the wrong, over all pairs, not below 0.
    Order {
        /// Actions, in the order shown.
        actions: Vec<String>,
        /// Indices into `actions` from 0, in the right order.
        right: Vec<u32>,
    },
}

/// The words for what a number measures.
fn quantities(_: &mut SchemaGenerator) -> Schema {
    let keys: Vec<&str> = Quantity::ALL.iter().map(|q| q.key()).collect();
    json_schema!({ "type": "string", "enum": keys })
}

/// An answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Answer {
    /// Indices of the choices.
    Choice {
        /// From 0.
        chosen: Vec<u32>,
    },
    /// A number.
    Number {
        /// Value [inside unit of the quantity].
        value: f64,
    },
    /// A component.
    Component {
        /// Its id.
        device: String,
    },
    /// Indices of the actions, in the order given.
    Order {
        /// From 0, each once.
        order: Vec<u32>,
    },
}

/// Credit for an answer, 0 to 1; `reading` is the value of the question's signal at that moment. None where the answer
/// is not of the question's kind.
pub fn credit(asked: &Asked, answer: &Answer, reading: Option<f64>) -> Option<f64> {
    match (asked, answer) {
        (Asked::Choice { choices, right }, Answer::Choice { chosen }) => {
            if !distinct(chosen, choices.len()) {
                return None;
            }
            let good = chosen.iter().filter(|c| right.contains(c)).count() as f64;
            let bad = chosen.len() as f64 - good;
            Some(((good - bad) / right.len() as f64).max(0.0))
        }
        (Asked::Number { value: right, tolerance, .. }, Answer::Number { value }) => {
            let right = right.or(reading)?;
            let off = (value - right).abs();
            Some(if off <= *tolerance {
                1.0
            } else if off <= 2.0 * tolerance {
                0.5
            } else {
                0.0
            })
        }
        (Asked::Component { right }, Answer::Component { device }) => {
            Some(if right.contains(device) { 1.0 } else { 0.0 })
        }
        (Asked::Order { actions, right }, Answer::Order { order }) => {
            if order.len() != actions.len() || !distinct(order, actions.len()) {
                return None;
            }
            Some(concord(right, order))
        }
        _ => None,
    }
}

/// Every index once at most, and below `count`.
pub(super) fn distinct(list: &[u32], count: usize) -> bool {
    list.iter().enumerate().all(|(k, i)| (*i as usize) < count && !list[..k].contains(i))
}

/// Pairs in the right order less pairs in the wrong, over all pairs.
fn concord(right: &[u32], given: &[u32]) -> f64 {
    let place = |i: u32| given.iter().position(|&g| g == i);
    let (mut sum, mut pairs) = (0.0_f64, 0.0);
    for (k, &a) in right.iter().enumerate() {
        for &b in &right[k + 1..] {
            sum += if place(a) < place(b) { 1.0 } else { -1.0 };
            pairs += 1.0;
        }
    }
    if pairs > 0.0 { (sum / pairs).max(0.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_count_right_less_wrong() {
        let asked = Asked::Choice { choices: vec![String::new(); 4], right: vec![0, 2] };
        let of = |chosen: &[u32]| credit(&asked, &Answer::Choice { chosen: chosen.into() }, None);
        assert_eq!(of(&[2, 0]), Some(1.0));
        assert_eq!(of(&[0]), Some(0.5));
        assert_eq!(of(&[0, 1]), Some(0.0));
        assert_eq!(of(&[0, 1, 2, 3]), Some(0.0));
        assert_eq!(of(&[]), Some(0.0));
        assert_eq!(of(&[0, 0]), None);
        assert_eq!(of(&[4]), None);
        assert_eq!(credit(&asked, &Answer::Number { value: 1.0 }, None), None);
    }

    #[test]
    fn numbers_count_by_their_tolerance() {
        let of = |value, signal: Option<&str>, given, reading| {
            let signal = signal.map(str::to_owned);
            let asked = Asked::Number { quantity: Quantity::Temperature, value, signal, tolerance: 2.0 };
            credit(&asked, &Answer::Number { value: given }, reading)
        };
        assert_eq!(of(Some(10.0), None, 12.0, None), Some(1.0));
        assert_eq!(of(Some(10.0), None, 13.9, None), Some(0.5));
        assert_eq!(of(Some(10.0), None, 5.9, None), Some(0.0));
        assert_eq!(of(None, Some("s"), 20.5, Some(20.0)), Some(1.0));
        assert_eq!(of(Some(10.0), None, f64::NAN, None), Some(0.0));
        assert_eq!(of(None, Some("s"), 20.5, None), None);
    }

    #[test]
    fn order_counts_pairs() {
        let asked = Asked::Order { actions: vec![String::new(); 3], right: vec![1, 0, 2] };
        let of = |order: &[u32]| credit(&asked, &Answer::Order { order: order.into() }, None);
        assert_eq!(of(&[1, 0, 2]), Some(1.0));
        // One of three pairs wrong: (2 - 1) / 3.
        assert!((of(&[0, 1, 2]).unwrap() - 1.0 / 3.0).abs() < 1e-12);
        assert_eq!(of(&[2, 0, 1]), Some(0.0));
        assert_eq!(of(&[1, 0]), None);
        assert_eq!(of(&[1, 1, 2]), None);
    }
}
