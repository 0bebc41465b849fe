//! What the trainee may operate, and patterns that commands are compared with.

use engine::{Command, Fault};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

/// Commands that are the instructor's alone: making things go wrong and taking it away.
pub const INSTRUCTORS: [&str; 2] = ["insert_malfunction", "remove_malfunction"];

/// Commands that need no permit, since they move nothing: answering alarms. They can be locked.
const ALWAYS: [&str; 3] = ["acknowledge_alarm", "shelve_alarm", "unshelve_alarm"];

/// What the trainee may operate: what is permitted (all, where nothing is said), and the answering of alarms, less what is
/// locked. Malfunctions never.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Controls {
    /// Commands permitted; all where this is not given, none where the list is empty.
    pub permit: Option<Vec<Pattern>>,
    /// Commands locked.
    #[serde(default)]
    pub lock: Vec<Pattern>,
}

/// Some fields of a command: `do`, and any other that has to be equal, such as `heater` or `valve`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Pattern(pub BTreeMap<String, Word>);

/// Value of a field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Word {
    /// A word.
    Text(String),
    /// A number.
    Number(f64),
}

impl Word {
    fn equals(&self, value: &Value) -> bool {
        match self {
            Word::Text(t) => value.as_str() == Some(t),
            Word::Number(n) => value.as_f64() == Some(*n),
        }
    }
}

impl Pattern {
    /// The kind of command it names.
    pub fn kind(&self) -> Option<&str> {
        match self.0.get("do") {
            Some(Word::Text(t)) => Some(t),
            _ => None,
        }
    }

    /// Whether a command has all its fields.
    pub fn fits(&self, command: &Command) -> bool {
        let Ok(Value::Object(fields)) = serde_json::to_value(command) else { return false };
        self.0.iter().all(|(key, word)| fields.get(key).is_some_and(|v| word.equals(v)))
    }
}

/// Kind of a command: its `do`.
pub fn kind(command: &Command) -> String {
    match serde_json::to_value(command) {
        Ok(v) => v["do"].as_str().unwrap_or_default().to_owned(),
        Err(_) => String::new(),
    }
}

/// Whether a command makes something go wrong, or takes that away.
pub fn is_malfunction(command: &Command) -> bool {
    INSTRUCTORS.contains(&kind(command).as_str())
}

/// Whether a command answers an alarm and moves nothing.
pub fn answers_alarm(command: &Command) -> bool {
    ALWAYS.contains(&kind(command).as_str())
}

impl Controls {
    /// Refuses what the trainee may not operate.
    ///
    /// # Errors
    /// The command is locked in this exercise.
    pub fn admit(&self, command: &Command) -> Result<(), Fault> {
        let kind = kind(command);
        let permitted = ALWAYS.contains(&kind.as_str())
            || self.permit.as_ref().is_none_or(|list| list.iter().any(|p| p.fits(command)));
        if permitted && !self.lock.iter().any(|p| p.fits(command)) && !INSTRUCTORS.contains(&kind.as_str()) {
            return Ok(());
        }
        Err(Fault::new(
            "locked",
            kind,
            "this control is locked in this exercise.",
            "Use what the exercise leaves to you; its brief says what that is.",
        ))
    }
}

impl Controls {
    /// Whether any command with these fields could be admitted; what is not given may become anything.
    pub fn may(&self, given: &Pattern) -> bool {
        let Some(kind) = given.kind() else { return false };
        let clash = |(key, word): (&String, &Word)| given.0.get(key).is_some_and(|g| g != word);
        let permits = |p: &Pattern| !p.0.iter().any(clash);
        let locks = |p: &Pattern| p.0.iter().all(|(key, word)| given.0.get(key) == Some(word));
        let permitted = ALWAYS.contains(&kind) || self.permit.as_ref().is_none_or(|l| l.iter().any(permits));
        permitted && !self.lock.iter().any(locks) && !INSTRUCTORS.contains(&kind)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pattern(json: &str) -> Pattern {
        serde_json::from_str(json).unwrap()
    }

    fn trip(heater: &str) -> Command {
        Command::TripHeater { heater: heater.into() }
    }

    #[test]
    fn a_pattern_fits_what_has_its_fields() {
        assert!(pattern(r#"{"do": "trip_heater"}"#).fits(&trip("hp1")));
        assert!(pattern(r#"{"do": "trip_heater", "heater": "hp1"}"#).fits(&trip("hp1")));
        assert!(!pattern(r#"{"do": "trip_heater", "heater": "hp2"}"#).fits(&trip("hp1")));
        assert!(!pattern(r#"{"do": "trip_heater", "valve": "normal"}"#).fits(&trip("hp1")));
        assert!(pattern(r#"{"do": "set_load", "fraction": 0.8}"#).fits(&Command::SetLoad { fraction: 0.8 }));
    }

    #[test]
    fn what_is_not_permitted_or_locked_is_refused() {
        let open = Controls::default();
        assert!(open.admit(&trip("hp1")).is_ok());
        let some = Controls { permit: Some(vec![pattern(r#"{"do": "trip_heater"}"#)]), lock: Vec::new() };
        assert!(some.admit(&trip("hp1")).is_ok());
        assert_eq!(some.admit(&Command::SetLoad { fraction: 0.8 }).unwrap_err().code, "locked");
        let lock = vec![pattern(r#"{"do": "trip_heater", "heater": "hp2"}"#)];
        let locked = Controls { lock, ..some };
        assert!(locked.admit(&trip("hp1")).is_ok() && locked.admit(&trip("hp2")).is_err());
        let none = Controls { permit: Some(Vec::new()), lock: Vec::new() };
        assert!(none.admit(&trip("hp1")).is_err());
        // An alarm can be answered whatever else is left to the trainee.
        let answer = Command::AcknowledgeAlarm { alarm: None };
        assert!(none.admit(&answer).is_ok());
        let lock = vec![pattern(r#"{"do": "acknowledge_alarm"}"#)];
        assert!(Controls { lock, ..none }.admit(&answer).is_err());
    }
    #[test]
    fn a_control_is_free_when_some_use_of_it_is() {
        let some = Controls {
            permit: Some(vec![
                pattern(r#"{"do": "trip_heater", "heater": "hp1"}"#),
                pattern(r#"{"do": "move_drain"}"#),
            ]),
            lock: vec![
                pattern(r#"{"do": "move_drain", "position": 0}"#),
                pattern(r#"{"do": "acknowledge_alarm"}"#),
            ],
        };
        let may = |json| some.may(&pattern(json));
        assert!(may(r#"{"do": "trip_heater"}"#) && may(r#"{"do": "trip_heater", "heater": "hp1"}"#));
        assert!(!may(r#"{"do": "trip_heater", "heater": "hp2"}"#) && !may(r#"{"do": "set_load"}"#));
        // Only the shut position is locked: the valve itself can be moved.
        assert!(may(r#"{"do": "move_drain", "heater": "hp1"}"#));
        assert!(!may(r#"{"do": "move_drain", "heater": "hp1", "position": 0}"#));
        assert!(!may(r#"{"do": "acknowledge_alarm"}"#) && may(r#"{"do": "shelve_alarm"}"#));
        assert!(!Controls::default().may(&pattern(r#"{"do": "insert_malfunction"}"#)));
        assert!(!may(r#"{"heater": "hp1"}"#));
    }
}
