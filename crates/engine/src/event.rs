//! What happened, when: codes for programs; the page holds the words.

use serde::{Deserialize, Serialize};

/// Kinds of event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Code {
    /// A load was asked for (value: share of design).
    LoadSet,
    /// A heater was tripped by command.
    HeaterTripped,
    /// A heater was tripped by protection on high-high level (value: level in mm).
    LevelHighHigh,
    /// A heater was tripped because it shares a bypass with one that was.
    GroupTripped,
    /// A heater's extraction was isolated by command.
    ExtractionIsolated,
    /// A heater is being put back.
    PutBack,
    /// A drain valve was taken by hand (value: position).
    DrainMoved,
    /// A drain valve was given back to its controller.
    DrainReleased,
    /// A controller was set by the operator.
    ControllerSet,
    /// Level above its high mark (value: level in mm).
    LevelHigh,
    /// Level below its low mark (value: level in mm).
    LevelLow,
    /// Level back between its marks.
    LevelNormal,
    /// The emergency drain left its seat.
    EmergencyDrainOpen,
    /// The emergency drain is shut again.
    EmergencyDrainShut,
    /// The extraction stop valve is shut.
    StopValveShut,
    /// The extraction stop valve is open.
    StopValveOpen,
    /// All water passes round the heater.
    Bypassed,
    /// The heater is back in service.
    InService,
    /// A heater's feedwater changes temperature faster than permitted (value: K/min).
    RampExceeded,
    /// The feed pumps cannot give the flow asked.
    FeedPumpsAtLimit,
    /// Suction head available fell below the head required.
    SuctionHeadLow,
    /// Suction head is sufficient again.
    SuctionHeadRestored,
    /// A shell left the pressures it is followed in.
    PressureOutOfRange,
    /// A full shell sends water towards the turbine: line drains take it, in this model, to the condenser.
    CarryOver,
}

/// One event.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Running number from 1.
    pub seq: u64,
    /// Plant time [s].
    pub time_s: f64,
    /// Kind.
    pub code: Code,
    /// Heater's id, or `unit`.
    pub device: String,
    /// Figure that belongs to it, in the signal's inside unit; 0 where there is none.
    pub value: f64,
}
