//! What a case did: enough to do it again.

use engine::plant::file::Plant;
use engine::{Command, Fault};
use serde::{Deserialize, Serialize};

/// What is looked at when the script is through.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ending {
    /// Nothing more.
    Stops,
    /// Nothing was done: nothing may have moved.
    Rests,
    /// All was put right at this load [share of design steam flow]: the plant must have settled at the steady balance.
    Settles(f64),
}

/// A command and when it is given, as in a script of `bledsteam run`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Given {
    /// Plant time [s], whole seconds.
    pub at_s: f64,
    /// The command; one that is refused changes nothing.
    pub command: Command,
}

/// Which plant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Of {
    /// One that is shipped, as it is today.
    Shipped(String),
    /// One that was drawn, with its equipment.
    Drawn(Box<Plant>),
}

/// A plant and what was done to it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Number that the case came from.
    pub seed: u64,
    /// What was found, for people.
    pub found: Option<String>,
    /// Length [s].
    pub end_s: f64,
    /// Up to when every second is looked at [s]; then every minute.
    pub close_s: f64,
    /// When the snapshot is taken [s], and when it must have come to the same bits.
    pub kept_s: Option<(f64, f64)>,
    /// What is looked at in the end.
    pub ending: Ending,
    /// In order of time.
    pub script: Vec<Given>,
    /// The plant.
    pub plant: Of,
}

impl Record {
    /// The script as `bledsteam run` reads it.
    ///
    /// # Errors
    /// A command that cannot be written.
    pub fn script_text(&self) -> Result<String, serde_json::Error> {
        let lines: Result<Vec<String>, _> = self.script.iter().map(serde_json::to_string).collect();
        Ok(format!("[{}]\n", lines?.join(",\n ")))
    }
}

impl Of {
    /// The plant itself.
    ///
    /// # Errors
    /// No such plant is shipped.
    pub fn plant(&self) -> Result<Plant, Fault> {
        match self {
            Of::Shipped(name) => catalog::plant(name).map_err(|mut faults| faults.remove(0)),
            Of::Drawn(plant) => Ok((**plant).clone()),
        }
    }

    /// Its name.
    pub fn name(&self) -> &str {
        match self {
            Of::Shipped(name) => name,
            Of::Drawn(plant) => &plant.name,
        }
    }
}
