//! What an operator or instructor can ask of the plant.

use crate::controller;
use crate::local::HandValve;
use crate::malfunction::{Kind, Malfunction};
use crate::unit::Hold;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The two drain valves of a closed heater.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WhichDrain {
    /// To the next heater (or the condenser, for the last).
    Normal,
    /// To the condenser.
    Emergency,
}

impl WhichDrain {
    /// Its name, as in signals.
    pub fn name(self) -> &'static str {
        match self {
            WhichDrain::Normal => "normal_drain",
            WhichDrain::Emergency => "emergency_drain",
        }
    }
}

/// A command. Heaters and pumps are named by id.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub enum Command {
    /// Takes a closed heater off: steam shut, drains to the condenser, water round its bypass group.
    TripHeater {
        /// Id.
        heater: String,
    },
    /// Shuts a heater's extraction stop valve and leaves its water on.
    IsolateExtraction {
        /// Id.
        heater: String,
    },
    /// Puts a heater back: water first, then steam, inside the permitted ramp.
    PutBack {
        /// Id.
        heater: String,
    },
    /// Takes a drain valve by hand to a position.
    MoveDrain {
        /// Id.
        heater: String,
        /// Valve.
        valve: WhichDrain,
        /// Opening 0..=1.
        position: f64,
    },
    /// Gives a drain valve back to its controller.
    ReleaseDrain {
        /// Id.
        heater: String,
        /// Valve.
        valve: WhichDrain,
    },
    /// Sets a controller; what is left out stays as it is.
    SetController {
        /// `<device>.<name>`, as in `hp1.normal_drain`.
        id: String,
        /// Automatic or manual.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        mode: Option<controller::Mode>,
        /// Setpoint [mm of level, MPa of pressure].
        #[serde(default, skip_serializing_if = "Option::is_none")]
        setpoint: Option<f64>,
        /// Output, in manual.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        output: Option<f64>,
        /// Gain [output per mm or MPa].
        #[serde(default, skip_serializing_if = "Option::is_none")]
        gain: Option<f64>,
        /// Integral time [s].
        #[serde(default, skip_serializing_if = "Option::is_none")]
        integral_time: Option<f64>,
        /// Lowest output.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lowest: Option<f64>,
        /// Highest output.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        highest: Option<f64>,
    },
    /// Starts a pump.
    StartPump {
        /// Id.
        pump: String,
    },
    /// Stops a pump.
    StopPump {
        /// Id.
        pump: String,
    },
    /// Takes a pump out for maintenance.
    TakePumpOut {
        /// Id.
        pump: String,
    },
    /// Puts a pump on standby after maintenance or a trip.
    PutPumpBack {
        /// Id.
        pump: String,
    },
    /// Resets what protection has latched, where the cause is gone.
    ResetProtection {
        /// Id of a row; without it, every one that can be reset.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        row: Option<String>,
    },
    /// Says that an alarm was seen.
    AcknowledgeAlarm {
        /// Id; without it, every one that calls.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        alarm: Option<String>,
    },
    /// Puts an alarm aside for a time.
    ShelveAlarm {
        /// Id.
        alarm: String,
        /// How long [s], at most a shift of 8 hours.
        seconds: f64,
    },
    /// Takes an alarm from the shelf.
    UnshelveAlarm {
        /// Id.
        alarm: String,
    },
    /// Takes an alarm out of service, or back.
    AlarmOutOfService {
        /// Id.
        alarm: String,
        /// Out; else back.
        out: bool,
    },
    /// Asks for a load, as a share of design of what is held (the steam flow, if nothing else was asked for), approached at
    /// the plant's load rate.
    SetLoad {
        /// 0..=1.1.
        fraction: f64,
    },
    /// Holds something else from now on, at the value it has.
    SetHold {
        /// What is held.
        hold: Hold,
    },
    /// Sends the person outside to a valve, to turn it by hand or to hand it back to its drive: it takes minutes.
    LocalValve {
        /// Closed heater's id; of a warm-up valve the feed pump's.
        heater: String,
        /// Which of its valves.
        valve: HandValve,
        /// Opening 0..=1; without it, the valve is handed back.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        position: Option<f64>,
    },
    /// Trips the turbine.
    TripTurbine,
    /// Brings the unit back to the grid after a trip or a load rejection, at the steam flow it has.
    ResetTurbine,
    /// Makes something go wrong. For an instructor or an exercise, not for who runs the plant.
    InsertMalfunction {
        /// What, where, how far and when.
        malfunction: Malfunction,
    },
    /// Takes a malfunction away.
    RemoveMalfunction {
        /// Kind.
        kind: Kind,
        /// Id of what it befalls.
        device: String,
    },
}

/// Range of load that can be asked for.
pub const LOAD_RANGE: (f64, f64) = (0.0, 1.10);
