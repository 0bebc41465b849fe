//! The table of a plant, row by row.

use super::{Action, Row, Watched};
use crate::alarms::Priority;
use crate::event::Device;
use crate::operation::HeaterParams;
use crate::plant::file::Protection;

/// How far a level must come back inside the mark of a pumped drain's low level until the pump may run again [mm]
/// (*common practice, no source*).
const LOW_BACK: f64 = 20.0;
/// How far the open heater's level must come back [mm] (*common practice, no source*).
const OPEN_BACK: f64 = 50.0;
/// The same of the drum's [mm] (*common practice, no source*).
const DRUM_BACK: f64 = 30.0;
/// The same of the condenser's pressure [share of its mark] (*common practice, no source*).
const VACUUM_BACK: f64 = 0.1;
/// The same of a feed pump's suction head [m] and flow [share of its mark] (*common practice, no source*).
const PUMP_BACK: (f64, f64) = (0.5, 0.2);
/// Delays of the rows whose plant file gives none [s] (*common practice, no source*).
const DELAY: f64 = 2.0;
/// How long the feed pumps must stand at their limit, and the condensate be missing, until the standby pump starts [s]
/// (*common practice, no source*).
const LIMIT_DELAY: f64 = 10.0;
/// How much condensate must be missing until it counts [share of design] (*common practice, no source*).
const CONDENSATE_SHORT: f64 = 0.05;
/// How long the load must exceed what the pumps carry until it is run back [s]; and how long the feed must fall short of
/// the steam with every pump at its limit (*common practice, no source*).
const RUNBACK_DELAY: f64 = 1.0;
/// See [`RUNBACK_DELAY`] [s].
const SHORT_DELAY: f64 = 20.0;
/// See [`RUNBACK_DELAY`]: by so much [share of design].
const EXCESS: f64 = 1e-3;
/// See [`RUNBACK_DELAY`]: by so much [share of design].
const SHORT: f64 = 0.02;
/// Stop valves count as shut below this opening.
const STOP: f64 = 0.99;

/// What the table is made of.
#[derive(Debug)]
pub struct Layout<'a> {
    /// Closed heaters.
    pub heaters: &'a [HeaterParams],
    /// Which of them pump their drains forward.
    pub pumped: &'a [bool],
    /// Id of the open heater.
    pub open: &'a str,
    /// Its extraction line has a drain.
    pub open_line_drain: bool,
    /// Marks of its tank about normal level: low-low, high, high-high [mm].
    pub open_marks: [f64; 3],
    /// Pressure of the condenser at design [MPa].
    pub condenser: f64,
    /// Feed pumps installed.
    pub feed_pumps: u32,
    /// Least flow of a feed pump [share of its design flow].
    pub minimum_flow: f64,
    /// How long a feed pump may be short of suction head [s].
    pub starved_delay: f64,
    /// Header pressure below which the standby feed pump starts [MPa].
    pub low_header: f64,
    /// Condensate pumps installed.
    pub condensate_pumps: u32,
}

/// The table of a plant.
pub fn table(l: &Layout, marks: &Protection) -> Vec<Row> {
    let mut rows = heaters(l, marks);
    rows.extend(open_heater(l, marks));
    rows.extend(unit(l, marks));
    rows.extend(pumps(l, marks));
    rows
}

/// A row that acts above its mark and latches: what most of them are.
fn row(id: String, watched: Watched, sensor: String, setpoint: f64, actions: Vec<Action>) -> Row {
    Row {
        id,
        watched,
        quantity: watched.quantity(),
        sensor,
        above: true,
        setpoint,
        deadband: 0.0,
        delay: 0.0,
        actions,
        latched: true,
        alarm: Some(Priority::Critical),
    }
}

fn heaters(l: &Layout, marks: &Protection) -> Vec<Row> {
    let mut rows = Vec::new();
    for (k, h) in l.heaters.iter().enumerate() {
        let level = |name: &str, setpoint: f64, actions: Vec<Action>| {
            let (id, sensor) = (format!("{}.{name}", h.id), format!("{}.level_protection", h.id));
            row(id, Watched::Level(k), sensor, setpoint, actions)
        };
        let x = &h.level;
        // Where the controller would have it fully open. The level's own alarm calls before.
        rows.push(Row {
            deadband: x.emergency_band,
            latched: false,
            alarm: None,
            ..level("level_high", x.emergency + x.emergency_band, vec![Action::OpenEmergencyDrain(k)])
        });
        let mut actions = vec![Action::TakeOff(k)];
        if marks.heaters_trip_turbine.contains(&h.id) {
            actions.push(Action::TripTurbine);
        }
        if h.line_drain {
            actions.push(Action::OpenLineDrain(k));
        }
        rows.push(Row {
            deadband: (x.high_high - x.high).min(LOW_BACK),
            delay: x.high_high_delay,
            ..level("level_high_high", x.high_high, actions)
        });
        if l.pumped.get(k).copied().unwrap_or(false) {
            rows.push(Row {
                above: false,
                deadband: LOW_BACK,
                delay: DELAY,
                latched: false,
                alarm: None,
                ..level("level_low", x.low, vec![Action::StopDrainPump(k)])
            });
        }
        if h.line_drain {
            rows.push(drains(&h.id, Watched::ExtractionOff(k), Action::OpenLineDrain(k)));
        }
    }
    rows
}

/// The drain of a line stands open as long as its extraction is not in service.
fn drains(id: &str, watched: Watched, action: Action) -> Row {
    let (row_id, sensor) = (format!("{id}.extraction_off"), format!("{id}.stop_valve"));
    Row { latched: false, alarm: None, ..row(row_id, watched, sensor, 0.5, vec![action]) }
}

fn open_heater(l: &Layout, marks: &Protection) -> Vec<Row> {
    let level = |name: &str, setpoint: f64, actions: Vec<Action>| {
        let (id, sensor) = (format!("{}.{name}", l.open), format!("{}.level_protection", l.open));
        Row {
            deadband: OPEN_BACK,
            delay: marks.open_delay,
            ..row(id, Watched::OpenLevel, sensor, setpoint, actions)
        }
    };
    let [low_low, high, high_high] = l.open_marks;
    let feed_pumps = (0..l.feed_pumps as usize).map(Action::TripPump).collect();
    let mut shut = vec![Action::ShutOpenSteam];
    let mut rows = Vec::new();
    if l.open_line_drain {
        shut.push(Action::DrainOpenHeaterLine);
        rows.push(drains(l.open, Watched::OpenExtractionOff, Action::DrainOpenHeaterLine));
    }
    rows.extend([
        Row {
            latched: false,
            alarm: Some(Priority::High),
            ..level("level_very_high", high, vec![Action::ShutCondensate])
        },
        level("level_high_high", high_high, shut),
        Row { above: false, ..level("level_low_low", low_low, feed_pumps) },
    ]);
    rows
}

fn unit(l: &Layout, marks: &Protection) -> Vec<Row> {
    let of = |name: &str, watched: Watched, sensor: &str, setpoint: f64, action: Action| {
        row(format!("unit.{name}"), watched, format!("unit.{sensor}"), setpoint, vec![action])
    };
    let mut rows = Vec::new();
    let drum = |name: &str, above: bool, setpoint: f64| Row {
        above,
        deadband: DRUM_BACK,
        delay: marks.drum_delay,
        ..of(name, Watched::DrumLevel, "drum_level", setpoint, Action::TripTurbine)
    };
    rows.extend(marks.drum_low_low.map(|level| drum("drum_low_low", false, level)));
    rows.extend(marks.drum_high_high.map(|level| drum("drum_high_high", true, level)));
    rows.extend(marks.vacuum(l.condenser).map(|pressure| Row {
        deadband: VACUUM_BACK * pressure,
        delay: marks.vacuum_delay,
        ..of("vacuum_low", Watched::CondenserPressure, "condenser_pressure", pressure, Action::TripTurbine)
    }));
    rows.push(Row {
        above: false,
        ..of("stop_valves_shut", Watched::MainStop, "main_stop_valve", STOP, Action::TripTurbine)
    });
    rows.push(of("load_rejection", Watched::GridLost, "grid", 0.5, Action::HouseLoad));
    if l.open_line_drain || l.heaters.iter().any(|h| h.line_drain) {
        let open = Action::OpenLineDrains;
        rows.iter_mut().filter(|r| r.watched == Watched::GridLost).for_each(|r| r.actions.push(open));
        let trip = of("turbine_tripped", Watched::TurbineTripped, "main_stop_valve", 0.5, open);
        rows.push(Row { latched: false, alarm: None, ..trip });
    }
    rows
}

/// Starting the standby pump, tripping a pump, running the load back.
fn pumps(l: &Layout, marks: &Protection) -> Vec<Row> {
    let mut rows = Vec::new();
    for k in 0..l.feed_pumps as usize {
        let id = Device::FeedPump(k).pump_id();
        let trip = |name: &str, watched: Watched, sensor: &str, setpoint: f64| {
            let actions = vec![Action::TripPump(k), Action::StartFeedPump];
            Row {
                above: false,
                ..row(format!("{id}.{name}"), watched, format!("{id}.{sensor}"), setpoint, actions)
            }
        };
        rows.push(tripped(&id, Watched::FeedPumpTripped(k), Action::StartFeedPump));
        rows.push(Row {
            deadband: PUMP_BACK.0,
            delay: l.starved_delay,
            ..trip("suction_head_low", Watched::SuctionMargin(k), "suction_head_margin", 0.0)
        });
        let flow = marks.pump_low_flow * l.minimum_flow;
        rows.push(Row {
            deadband: PUMP_BACK.1 * flow,
            delay: marks.pump_low_flow_delay,
            ..trip("low_flow", Watched::PumpFlow(k), "pump_flow", flow)
        });
    }
    for k in 0..l.condensate_pumps as usize {
        let id = Device::CondensatePump(k).pump_id();
        rows.push(tripped(&id, Watched::CondensatePumpTripped(k), Action::StartCondensatePump));
    }
    let of = |name: &str, watched: Watched, sensor: &str, setpoint: f64, delay: f64, action: Action| Row {
        delay,
        latched: false,
        alarm: Some(Priority::High),
        ..row(format!("unit.{name}"), watched, format!("unit.{sensor}"), setpoint, vec![action])
    };
    use Action::{Runback, RunbackToFeed, StartCondensatePump, StartFeedPump};
    rows.push(Row {
        above: false,
        ..of(
            "feed_header_low",
            Watched::HeaderPressure,
            "feed_pump_discharge",
            l.low_header,
            DELAY,
            StartFeedPump,
        )
    });
    rows.push(of("feed_limited", Watched::FeedLimited, "feed_flow", 0.5, LIMIT_DELAY, StartFeedPump));
    rows.push(of("feed_excess", Watched::FeedExcess, "load", EXCESS, RUNBACK_DELAY, Runback));
    rows.push(of("feed_short", Watched::FeedShort, "feed_flow", SHORT, SHORT_DELAY, RunbackToFeed));
    let missing = Watched::CondensateShort;
    rows.push(of(
        "condensate_short",
        missing,
        "condensate_flow",
        CONDENSATE_SHORT,
        LIMIT_DELAY,
        StartCondensatePump,
    ));
    rows
}

/// A pump that has tripped by itself: the standby pump starts. The pump's own trip is kept by the pump.
fn tripped(id: &str, watched: Watched, start: Action) -> Row {
    Row {
        latched: false,
        alarm: Some(Priority::High),
        ..row(format!("{id}.tripped"), watched, format!("{id}.drive"), 0.5, vec![start])
    }
}
