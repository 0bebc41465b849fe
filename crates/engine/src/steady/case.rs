//! What a balance is asked for.

use serde::{Deserialize, Serialize};

/// What is held, as a share of design.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hold {
    /// Steam flow to the throttle.
    SteamFlow(f64),
    /// Gross output.
    GrossOutput(f64),
    /// Heat added by boiler and reheater (firing).
    Firing(f64),
}

impl Hold {
    /// The share of design that is held.
    pub fn share(self) -> f64 {
        match self {
            Hold::SteamFlow(x) | Hold::GrossOutput(x) | Hold::Firing(x) => x,
        }
    }
}

/// How a heater is out of use.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outage {
    /// In service.
    #[default]
    None,
    /// Steam shut, water round it, drains kept away.
    Out,
    /// Steam shut, water through it, drains still arriving.
    Isolated,
}

/// A case.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Case {
    /// What is held.
    pub hold: Hold,
    /// Each heater's outage, heater 1 first.
    pub outages: Vec<Outage>,
}

impl Case {
    /// All heaters in service.
    pub fn at(hold: Hold, heaters: usize) -> Case {
        Case { hold, outages: vec![Outage::None; heaters] }
    }
}

/// Range of load that a balance is offered for.
pub const LOAD_RANGE: (f64, f64) = (0.25, 1.05);
