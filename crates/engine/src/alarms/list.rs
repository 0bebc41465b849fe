//! Which alarms a plant has: from its protection table, its level marks and its controls.

use crate::event::Device;
use crate::measurements::Measurements;
use crate::operation::{self, Demands, HeaterParams, protection};
use crate::pump_logic;
use crate::unit;
use serde::Serialize;

/// Deadband and delays of level alarms (*common practice, no source*): [mm], [s].
const LEVEL_BACK: f64 = 5.0;
/// See [`LEVEL_BACK`].
const ON_DELAY: f64 = 2.0;
/// See [`LEVEL_BACK`].
const OFF_DELAY: f64 = 5.0;
/// Two transmitters of one level that differ by so much are not both right [mm] (*common practice, no source*).
const APART: f64 = 30.0;
/// How long they must differ [s].
const APART_DELAY: f64 = 10.0;
/// How far a casing must come back inside what is permitted [K] (*common practice, no source*).
const COLD_BACK: f64 = 2.0;
/// Marks of tank, hotwell and drum about their normal levels [mm] (*common practice, no source*).
const UNIT_MARKS: [(Place, f64, f64); 3] =
    [(Place::Open, -300.0, 300.0), (Place::Hotwell, -250.0, 250.0), (Place::Drum, -120.0, 120.0)];

/// How much an alarm matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Priority {
    /// Protection has acted, or must.
    Critical,
    /// Act soon.
    High,
    /// Act.
    Medium,
    /// Know.
    Low,
}

/// Levels of the unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Open heater's tank.
    Open,
    /// Hotwell.
    Hotwell,
    /// Drum.
    Drum,
}

/// What an alarm watches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Source {
    /// The turbine is tripped: 1.
    Tripped,
    /// A row of protection, by its index, with the heater that it is about: 1 while its cause stands.
    Protection(usize, Option<usize>),
    /// Level of a closed heater, above a mark [mm].
    LevelHigh(usize),
    /// The same, below.
    LevelLow(usize),
    /// How far a heater's two transmitters are apart [mm].
    Apart(usize),
    /// Opening of a heater's emergency drain.
    EmergencyDrain(usize),
    /// How far a heater's drain valves, that of its extraction line among them, stand from where they are asked to be.
    DrainOff(usize),
    /// Rate of change of a heater's feedwater [share of what is permitted].
    Ramp(usize),
    /// A heater is off or being taken off: 1.
    Off(usize),
    /// Water runs back from a heater to the turbine: 1.
    WaterInduction(usize),
    /// A level of the unit [mm].
    Level(Place),
    /// How much colder than the water at the suction a feed pump's casing is [K].
    PumpCold(usize),
}

impl Source {
    /// Its value now.
    pub fn value(self, m: &Measurements, s: &operation::State, d: &Demands) -> f64 {
        let flag = |x: bool| if x { 1.0 } else { 0.0 };
        match self {
            Source::Protection(row, _) => flag(s.protection.rows[row].cause),
            Source::Tripped => flag(s.unit.standing == unit::Standing::Tripped),
            Source::LevelHigh(k) | Source::LevelLow(k) => m.heaters[k].level,
            Source::Apart(k) => (m.heaters[k].level - m.heaters[k].level_protection).abs(),
            Source::EmergencyDrain(k) => m.heaters[k].emergency,
            Source::DrainOff(k) => d.heaters.get(k).map_or(0.0, |asked| {
                let x = &m.heaters[k];
                let line = (asked.extraction.drain - x.line_drain).abs();
                (asked.normal - x.normal).abs().max((asked.emergency - x.emergency).abs()).max(line)
            }),
            Source::Ramp(k) => m.heaters[k].ramp.abs(),
            Source::Off(k) => flag(s.is_off(k)),
            Source::WaterInduction(k) => flag(m.heaters[k].water_back),
            Source::PumpCold(k) => {
                let casing = m.feed_pumps.get(k).and_then(|x| x.casing);
                casing.map_or(0.0, |t| m.suction_temperature - t)
            }
            Source::Level(Place::Open) => m.open_level,
            Source::Level(Place::Hotwell) => m.hotwell_level,
            Source::Level(Place::Drum) => m.drum_level,
        }
    }

    /// It watches a measured value against a mark.
    pub fn is_level(self) -> bool {
        !matches!(self, Source::Protection(..) | Source::Tripped | Source::Off(_) | Source::WaterInduction(_))
    }

    /// Consequences are grouped under it.
    pub fn is_trip(self) -> bool {
        matches!(self, Source::Protection(..) | Source::Tripped | Source::Off(_))
    }

    /// What it set off waits for a reset.
    pub fn is_latched(self, s: &operation::State) -> bool {
        matches!(self, Source::Protection(row, _) if s.protection.rows[row].tripped)
    }

    /// What it watches is meant to be so: a heater that is off, or fills on its way back, is low and drains to the
    /// condenser; of pumps it is the one that stands by which must be warm.
    pub fn is_by_design(self, s: &operation::State) -> bool {
        let out_of_work = |k: usize| s.is_off(k) || s.heaters[k].mode == operation::Mode::Returning;
        match self {
            Source::LevelLow(k) | Source::EmergencyDrain(k) => out_of_work(k),
            Source::PumpCold(k) => s.pumps.feed.mode(k) != pump_logic::Mode::Standby,
            _ => false,
        }
    }

    /// The closed heater that it is about.
    fn heater(self) -> Option<usize> {
        match self {
            Source::Protection(_, k) => k,
            Source::LevelHigh(k)
            | Source::LevelLow(k)
            | Source::Apart(k)
            | Source::EmergencyDrain(k)
            | Source::DrainOff(k)
            | Source::Ramp(k)
            | Source::Off(k)
            | Source::WaterInduction(k) => Some(k),
            Source::Tripped | Source::Level(_) | Source::PumpCold(_) => None,
        }
    }

    /// It can follow from a trip: of the same heater, of one in the train with it, or of the unit. A transmitter that
    /// parts from its twin, a valve that does not go where it is asked, and a pump gone cold follow from nothing else; water on its way to the
    /// turbine is never put under something else.
    pub fn follows(self, trip: &Source, s: &operation::State) -> bool {
        if matches!(
            self,
            Source::Apart(_) | Source::DrainOff(_) | Source::WaterInduction(_) | Source::PumpCold(_)
        ) {
            return false;
        }
        match (self.heater(), trip.heater()) {
            (Some(k), Some(t)) => k == t || k.abs_diff(t) <= 2 || s.is_off(k),
            _ => true,
        }
    }
}

/// An alarm; never changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// `<device>.<name>`.
    pub id: String,
    /// What it watches.
    pub source: Source,
    /// It calls above its mark; else below.
    pub above: bool,
    /// Mark.
    pub setpoint: f64,
    /// How far the value must come back.
    pub deadband: f64,
    /// How long the value must stand beyond its mark [s].
    pub on_delay: f64,
    /// How long it must be back [s].
    pub off_delay: f64,
    /// How much it matters.
    pub priority: Priority,
}

impl Settings {
    /// The device that it is about.
    pub fn device(&self) -> &str {
        self.id.split('.').next().unwrap_or(&self.id)
    }
}

/// The alarms of a plant; `casings`: feed pumps whose casings are followed, and how much colder than the suction water one may
/// be [K].
pub fn list(
    heaters: &[HeaterParams],
    rows: &[protection::Row],
    open: &str,
    casings: Option<(usize, f64)>,
) -> Vec<Settings> {
    let mut all = Vec::new();
    let flag = |id: String, source: Source, priority: Priority| Settings {
        id,
        source,
        above: true,
        setpoint: 0.5,
        deadband: 0.0,
        on_delay: 0.0,
        off_delay: 0.0,
        priority,
    };
    for (i, row) in rows.iter().enumerate() {
        let source = Source::Protection(i, row.watched.heater());
        all.extend(row.alarm.map(|priority| flag(row.id.clone(), source, priority)));
    }
    all.push(flag("unit.tripped".into(), Source::Tripped, Priority::Critical));
    for (k, h) in heaters.iter().enumerate() {
        let id = |name: &str| format!("{}.{name}", h.id);
        let level = |name: &str, source: Source, above: bool, setpoint: f64, priority: Priority| Settings {
            id: id(name),
            source,
            above,
            setpoint,
            deadband: LEVEL_BACK,
            on_delay: ON_DELAY,
            off_delay: OFF_DELAY,
            priority,
        };
        all.push(level("high_level", Source::LevelHigh(k), true, h.level.high, Priority::High));
        all.push(level("low_level", Source::LevelLow(k), false, h.level.low, Priority::Medium));
        all.push(Settings {
            on_delay: APART_DELAY,
            ..level("levels_apart", Source::Apart(k), true, APART, Priority::High)
        });
        let share = |name: &str, source: Source, setpoint: f64, delay: f64, priority: Priority| Settings {
            deadband: 0.5 * setpoint,
            on_delay: delay,
            ..level(name, source, true, setpoint, priority)
        };
        all.push(share("emergency_open", Source::EmergencyDrain(k), 0.05, ON_DELAY, Priority::Medium));
        all.push(share("drain_off", Source::DrainOff(k), 0.15, APART_DELAY, Priority::Medium));
        all.push(share("ramp", Source::Ramp(k), h.ramp_limit, ON_DELAY, Priority::Medium));
        all.push(flag(id("off"), Source::Off(k), Priority::Medium));
        all.push(flag(id("water_induction"), Source::WaterInduction(k), Priority::Critical));
    }
    for (place, low, high) in UNIT_MARKS {
        let (device, name) = match place {
            Place::Open => (open, "level"),
            Place::Hotwell => ("unit", "hotwell"),
            Place::Drum => ("unit", "drum"),
        };
        for (side, above, setpoint) in [("high", true, high), ("low", false, low)] {
            all.push(Settings {
                id: format!("{device}.{name}_{side}"),
                source: Source::Level(place),
                above,
                setpoint,
                deadband: 4.0 * LEVEL_BACK,
                on_delay: ON_DELAY,
                off_delay: OFF_DELAY,
                priority: Priority::High,
            });
        }
    }
    for (k, limit) in casings.into_iter().flat_map(|(pumps, limit)| (0..pumps).map(move |k| (k, limit))) {
        all.push(Settings {
            id: format!("{}.standby_cold", Device::FeedPump(k).pump_id()),
            source: Source::PumpCold(k),
            above: true,
            setpoint: limit,
            deadband: COLD_BACK,
            on_delay: APART_DELAY,
            off_delay: OFF_DELAY,
            priority: Priority::High,
        });
    }
    all
}
