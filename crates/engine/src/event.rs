//! What happened, when: codes for programs; the page holds the words.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Kinds of event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Code {
    /// A load was asked for (value: share of design).
    LoadSet,
    /// Something else is held (value: 0 steam flow, 1 gross output, 2 firing).
    HoldSet,
    /// The turbine has tripped.
    TurbineTripped,
    /// The grid is gone: the unit runs for itself (value: gross output before, in kW).
    LoadRejected,
    /// The unit is back on the grid (value: share of design steam flow).
    TurbineReset,
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
    /// The person outside was sent to a valve of a heater (value: how long it will take, in s).
    LocalSent,
    /// A valve is where it was to be turned by hand, and stays there (value: position).
    LocalDone,
    /// A valve does not move by hand (value: position).
    LocalStuck,
    /// A valve was handed back to its drive.
    LocalHandedBack,
    /// A drain valve was given back to its controller.
    DrainReleased,
    /// A controller was set by the operator (part: which).
    ControllerSet,
    /// Protection has shut the open heater's steam on high-high level (value: level in mm).
    OpenHeaterShut,
    /// Protection has tripped the feed pumps on low-low level in the open heater's tank (value: level in mm).
    OpenHeaterLow,
    /// Protection has tripped the unit on low-low drum level (value: level in mm).
    DrumLevelLow,
    /// Protection has tripped the turbine on high-high drum level (value: level in mm).
    DrumLevelHigh,
    /// Protection has tripped the turbine on low vacuum (value: condenser pressure in MPa).
    VacuumLow,
    /// Protection was reset.
    ProtectionReset,
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
    /// The drain of a heater's extraction line left its seat.
    LineDrainOpen,
    /// The drain of a heater's extraction line is shut again.
    LineDrainShut,
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
    /// A pump was started by command.
    PumpStarted,
    /// A pump was stopped by command.
    PumpStopped,
    /// A pump is up to speed.
    PumpRunning,
    /// A pump's drive has tripped.
    PumpTripped,
    /// A pump was tripped because its suction head was too small for too long (value: head available in m).
    PumpStarved,
    /// Protection has tripped a feed pump on low flow (value: share of its design flow).
    PumpLowFlow,
    /// The standby pump was started by itself.
    StandbyStarted,
    /// The standby feed pump was not started, since its casing is too cold (value: by how much below the suction water, in K).
    StandbyCold,
    /// A pump was taken out for maintenance.
    PumpTakenOut,
    /// A pump was put on standby again.
    PumpOnStandby,
    /// The condenser blows off to the air.
    CondenserRelief,
    /// The load is run back to what the pumps carry (value: share of design).
    Runback,
    /// The feed pumps cannot give the flow asked.
    FeedPumpsAtLimit,
    /// Suction head available fell below the head required.
    SuctionHeadLow,
    /// Suction head is sufficient again.
    SuctionHeadRestored,
    /// A shell left the pressures it is followed in.
    PressureOutOfRange,
    /// A shell is full to the brim: its relief valve takes what it does not hold to the condenser.
    CarryOver,
    /// Steam runs back from a shell to the turbine through a non-return valve that does not shut (value: kg/s).
    ReverseFlow,
    /// Water runs back from a full shell into the turbine (value: kg/s).
    WaterInduction,
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
    /// Heater's or pump's id, or `unit`.
    pub device: String,
    /// Which of the device's valves or controllers, as the end of its id: `normal_drain`, `stop_valve`, `feed_trim` …; empty
    /// where it is about the device as a whole.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub part: String,
    /// Figure that belongs to it, in the signal's inside unit; 0 where there is none.
    pub value: f64,
}

/// What an event is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Device {
    /// The whole unit.
    Unit,
    /// A closed heater, by index.
    Closed(usize),
    /// The open heater.
    Open,
    /// A feed pump, by index.
    FeedPump(usize),
    /// A condensate pump, by index.
    CondensatePump(usize),
}

impl Device {
    /// Id of a pump: `fp1` is the first feed pump, `cp1` the first condensate pump. Empty for what is no pump.
    pub fn pump_id(self) -> String {
        match self {
            Device::FeedPump(k) => format!("fp{}", k + 1),
            Device::CondensatePump(k) => format!("cp{}", k + 1),
            Device::Unit | Device::Closed(_) | Device::Open => String::new(),
        }
    }
}

/// What happened, before it is stamped with the time.
#[derive(Clone, Debug)]
pub struct Happened {
    /// Kind.
    pub code: Code,
    /// What it is about.
    pub device: Device,
    /// Which of its valves or controllers; empty for the whole.
    pub part: String,
    /// Figure that belongs to it.
    pub value: f64,
}

/// What happened, to be stamped with the time.
#[derive(Clone, Debug, Default)]
pub struct Log(Vec<Happened>);

impl Log {
    /// Nothing yet.
    pub fn new() -> Log {
        Log::default()
    }

    /// An event of a closed heater, by index, or of the unit.
    pub fn push(&mut self, (code, heater, value): (Code, Option<usize>, f64)) {
        self.put(code, heater.map_or(Device::Unit, Device::Closed), value);
    }

    /// An event of any device.
    pub fn put(&mut self, code: Code, device: Device, value: f64) {
        self.of(code, device, "", value);
    }

    /// An event of one of a device's valves or controllers.
    pub fn of(&mut self, code: Code, device: Device, part: &str, value: f64) {
        self.0.push(Happened { code, device, part: part.to_owned(), value });
    }
}

impl IntoIterator for Log {
    type Item = Happened;
    type IntoIter = std::vec::IntoIter<Happened>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}
