//! How pumps are run: starting, stopping, standby and maintenance, the feed pumps' speed and minimum flow, and what is
//! done when those that are left cannot carry the load.
//!
//! Like all control it reads [`Measurements`] and writes [`Demands`].

use crate::event::{Code, Device, Log};
use crate::fault::Fault;
use crate::feed_pump::PumpDemand;
use crate::in_place::clone_in_place;
use crate::measurements::{Measurements, PumpMeasurements};
use crate::operation::protection::{self, Action};
use crate::operation::{self, Demands};
use crate::unit::Standing;
use serde::{Deserialize, Serialize};

/// Feed flow control: change of speed per second and per share of flow missing, at full flow (*common practice, no
/// source*). A pump's flow moves the more with its speed the less it gives, so the gain goes with the flow.
const SPEED_GAIN: f64 = 0.08;
/// Least flow share that this gain goes down with.
const LEAST_GAIN: f64 = 0.25;
/// Slowest that the feed pumps are asked to turn [share] (*common practice, no source*).
const SLOWEST: f64 = 0.5;
/// A pump counts as up to speed at this share of what is asked.
const UP: f64 = 0.98;
/// Speed of a minimum-flow valve per share of the least flow that is missing [strokes per stroke time].
const RECIRCULATION_GAIN: f64 = 3.0;
/// A flow counts as missing beyond this share of design.
const MISSING: f64 = 0.01;
/// Lowest load that is run back to [share of design]: below, the boiler needs support (*common practice, no source*).
const LEAST_RUNBACK: f64 = 0.25;
/// How much of what the pumps carry the load is run back to: the rest refills the drum (*common practice, no source*).
const RUNBACK_SHARE: f64 = 0.95;

/// Feed pumps; sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Feed flow at design [kg/s].
    pub design_flow: f64,
    /// Largest change of the flow asked [kg/s per s].
    pub flow_rate: f64,
    /// Pumps that run at design.
    pub running: u32,
    /// Largest speed [share].
    pub largest_speed: f64,
    /// Largest flow of a pump [share of its design flow].
    pub largest_flow: f64,
    /// Least flow of a pump [share of its design flow].
    pub minimum_flow: f64,
    /// Stroke time of a minimum-flow valve [s].
    pub recirculation_stroke: f64,
    /// Suction head that a pump needs to be started [m].
    pub suction_head: f64,
    /// How much colder than the water at the suction a casing may be for a start [K], where casings are followed.
    pub casing_limit: Option<f64>,
    /// How fast the load is run back [kg/s of steam per s].
    pub runback_rate: f64,
}

impl Params {
    /// Feed flow that so many pumps carry [share of design].
    fn carries(&self, pumps: usize) -> f64 {
        pumps as f64 * self.largest_flow / f64::from(self.running)
    }

    /// How much colder than the water at the suction a feed pump's casing is shown to be [K], where that is too much for a
    /// start. One that is hotter than the water does not bar it: what has cooled is the water.
    fn too_cold(&self, m: &Measurements, k: usize) -> Option<f64> {
        let casing = m.feed_pumps.get(k).and_then(|x| x.casing)?;
        let colder = m.suction_temperature - casing;
        self.casing_limit.filter(|limit| colder > *limit).map(|_| colder)
    }
}

/// What a pump is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// Stands ready.
    Standby,
    /// Under power, not yet up to speed.
    RunUp,
    /// Up to speed.
    Running,
    /// Stopped by command, still turning.
    CoastDown,
    /// Stopped by itself or by protection; it has to be looked at before it is put on standby again.
    Tripped,
    /// Out for maintenance.
    Out,
}

impl Mode {
    /// All modes, in the order of their codes.
    pub const ALL: [Mode; 6] =
        [Mode::Standby, Mode::RunUp, Mode::Running, Mode::CoastDown, Mode::Tripped, Mode::Out];
    /// Name of each, in the same order.
    pub const NAMES: [&str; 6] = ["standby", "run_up", "running", "coast_down", "tripped", "out"];

    /// Under power.
    pub fn is_on(self) -> bool {
        matches!(self, Mode::RunUp | Mode::Running)
    }

    /// Its code, as its signal shows it.
    pub fn code(self) -> f64 {
        Mode::ALL.iter().position(|m| *m == self).unwrap_or(0) as f64
    }
}

/// Memory of one pump's controls.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pump {
    /// Mode.
    pub mode: Mode,
    /// It was to start by itself in the last scan, and in this one, and was refused for its cold casing.
    refused: (bool, bool),
}

impl Pump {
    /// In a mode.
    fn now(mode: Mode) -> Pump {
        Pump { mode, refused: (false, false) }
    }
}

/// Memory of a group of pumps in parallel.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct Group {
    /// The pumps.
    pub pumps: Vec<Pump>,
}

clone_in_place!(Group { pumps });

impl Group {
    /// The first `running` run, the others stand by.
    pub fn at_rest(installed: u32, running: u32) -> Group {
        let mode = |k| if k < running { Mode::Running } else { Mode::Standby };
        Group { pumps: (0..installed).map(|k| Pump::now(mode(k))).collect() }
    }

    /// How many are under power.
    fn on(&self) -> usize {
        self.pumps.iter().filter(|x| x.mode.is_on()).count()
    }

    /// Mode of a pump.
    pub fn mode(&self, k: usize) -> Mode {
        self.pumps.get(k).map_or(Mode::Out, |x| x.mode)
    }

    /// A pump is on its way to speed.
    pub fn is_starting(&self) -> bool {
        self.pumps.iter().any(|x| x.mode == Mode::RunUp)
    }

    /// Moves the modes on with what the pumps do.
    fn follow(&mut self, m: &[PumpMeasurements], speed: f64, device: fn(usize) -> Device, log: &mut Log) {
        for (k, (x, now)) in self.pumps.iter_mut().zip(m).enumerate() {
            x.refused = (x.refused.1, false);
            match x.mode {
                Mode::RunUp | Mode::Running | Mode::Standby | Mode::CoastDown if now.tripped => {
                    x.mode = Mode::Tripped;
                    log.put(Code::PumpTripped, device(k), 0.0);
                }
                Mode::RunUp if now.speed >= UP * speed => {
                    x.mode = Mode::Running;
                    log.put(Code::PumpRunning, device(k), 0.0);
                }
                Mode::CoastDown if now.speed <= 0.0 => x.mode = Mode::Standby,
                _ => {}
            }
        }
    }

    /// Starts the first pump that stands by and may be started, unless one is starting; of those that are passed over for
    /// being too `cold` by so much, it is said once.
    fn start_standby(
        &mut self,
        device: fn(usize) -> Device,
        may: impl Fn(usize) -> bool,
        cold: impl Fn(usize) -> Option<f64>,
        log: &mut Log,
    ) {
        if self.is_starting() {
            return;
        }
        for (k, x) in self.pumps.iter_mut().enumerate() {
            if x.mode != Mode::Standby || !may(k) {
                continue;
            }
            let Some(colder) = cold(k) else {
                x.mode = Mode::RunUp;
                log.put(Code::StandbyStarted, device(k), 0.0);
                return;
            };
            if x.refused == (false, false) {
                log.put(Code::StandbyCold, device(k), colder);
            }
            x.refused.1 = true;
        }
    }
}

/// Memory of the pumps' controls.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Feed pumps.
    pub feed: Group,
    /// Condensate pumps.
    pub condensate: Group,
    /// Speed asked of the feed pumps [share].
    pub speed: f64,
    /// Feed flow asked, within its rate [kg/s].
    asked: f64,
    /// The feed pumps cannot give it.
    pub limited: bool,
    /// Condensate asked [kg/s].
    pub condensate_asked: f64,
    /// Steam flow that the load is being run back to [share of design]; 0 when it is not.
    pub runback: f64,
}

clone_in_place!(State { feed, condensate, speed, asked, limited, condensate_asked, runback });

impl State {
    /// Every pump by id.
    pub fn ids(&self) -> Vec<(String, Device)> {
        let feed = (0..self.feed.pumps.len()).map(Device::FeedPump);
        let condensate = (0..self.condensate.pumps.len()).map(Device::CondensatePump);
        feed.chain(condensate).map(|device| (device.pump_id(), device)).collect()
    }

    /// At rest at design, with this feed flow [kg/s].
    pub fn at_rest(feed: Group, condensate: Group, flow: f64) -> State {
        State {
            feed,
            condensate,
            condensate_asked: 0.0,
            speed: 1.0,
            asked: flow,
            limited: false,
            runback: 0.0,
        }
    }
}

/// What can be asked of a pump.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// Start it.
    Start,
    /// Stop it.
    Stop,
    /// Take it out for maintenance.
    TakeOut,
    /// Put it on standby again, after maintenance or after a trip.
    PutBack,
}

/// Carries out a command to a pump, or says why not.
///
/// # Errors
/// No pump of this id, or a permissive that is not met.
pub fn command(
    p: &operation::Params,
    s: &mut operation::State,
    m: &Measurements,
    (id, ask): (&str, Ask),
    log: &mut Log,
) -> Result<(), Fault> {
    let no = |message: String, remedy: &str| Err(Fault::new("refused", id, message, remedy));
    let all = s.pumps.ids();
    let Some(&(_, device)) = all.iter().find(|(known, _)| known == id) else {
        let ids: Vec<&str> = all.iter().map(|(known, _)| known.as_str()).collect();
        return Err(Fault::new(
            "no_such_pump",
            id,
            "there is no pump of this id.",
            format!("The pumps are {}.", ids.join(", ")),
        ));
    };
    let (group, k, read) = match device {
        Device::CondensatePump(k) => (&mut s.pumps.condensate, k, &m.condensate_pumps),
        Device::FeedPump(k) => (&mut s.pumps.feed, k, &m.feed_pumps),
        Device::Unit | Device::Closed(_) | Device::Open => {
            return no("it is no pump.".into(), "Name a pump.");
        }
    };
    let feeds = matches!(device, Device::FeedPump(_));
    let barred = match device {
        Device::FeedPump(k) => {
            s.protection.acting(&p.protection, Action::TripPump(k)).map(|row| row.id.clone())
        }
        _ => None,
    };
    let now = read.get(k).copied().unwrap_or_default();
    let mode = group.pumps[k].mode;
    let others = group.on().saturating_sub(1);
    let mut become_ = |mode| group.pumps[k] = Pump::now(mode);
    match (ask, mode) {
        (Ask::Start, Mode::RunUp | Mode::Running) => {
            return no("the pump is running.".into(), "There is nothing to start.");
        }
        (Ask::Start, Mode::Out) => {
            return no("the pump is out for maintenance.".into(), "Put it back first.");
        }
        (Ask::Start, Mode::Tripped) => {
            return no("the pump has tripped.".into(), "See why, and put it back on standby first.");
        }
        (Ask::Start, Mode::Standby | Mode::CoastDown) => {
            if let Some(row) = barred {
                return no(
                    format!("protection keeps it off: {row} has acted."),
                    "Reset protection, once the cause is gone.",
                );
            }
            let needed = p.pumps.suction_head;
            if feeds && !(m.suction_head > needed) {
                return no(
                    format!(
                        "the suction head available, {:.1} m, is not above the {needed:.1} m that it needs.",
                        m.suction_head
                    ),
                    "Wait until the water at the suction is cold enough, or raise the tank's level.",
                );
            }
            if feeds && let (Some(colder), Some(limit)) = (p.pumps.too_cold(m, k), p.pumps.casing_limit) {
                return no(
                    format!(
                        "the casing, {:.0} °C, is {colder:.0} K colder than the water at the suction; {limit:.0} K are \
                         permitted.",
                        now.casing.unwrap_or_default()
                    ),
                    "Open its warm-up valve, by hand at the pump, and wait until the casing is warm.",
                );
            }
            become_(Mode::RunUp);
            log.put(Code::PumpStarted, device, 0.0);
        }
        (Ask::Stop, Mode::RunUp | Mode::Running) => {
            let (load, left) = (m.steam_flow / p.steam, p.pumps.carries(others));
            if feeds && load > left {
                return no(
                    format!(
                        "the pumps left would carry {:.0} % of the load of {:.0} %.",
                        left * 1e2,
                        load * 1e2
                    ),
                    "Start another pump or bring the load down first.",
                );
            }
            become_(Mode::CoastDown);
            log.put(Code::PumpStopped, device, 0.0);
        }
        (Ask::Stop, _) => return no("the pump is not running.".into(), "There is nothing to stop."),
        (Ask::TakeOut, Mode::RunUp | Mode::Running) => {
            return no("the pump is running.".into(), "Stop it first.");
        }
        (Ask::TakeOut, Mode::Out) => {
            return no("the pump is out already.".into(), "There is nothing to take out.");
        }
        (Ask::TakeOut, _) if now.speed > 0.0 => {
            return no("the pump is still turning.".into(), "Wait until it stands.");
        }
        (Ask::TakeOut, _) => {
            become_(Mode::Out);
            log.put(Code::PumpTakenOut, device, 0.0);
        }
        (Ask::PutBack, Mode::Tripped) if now.tripped => {
            return no("what has tripped it still stands.".into(), "Have it mended first.");
        }
        (Ask::PutBack, Mode::Tripped) if now.speed > 0.0 => {
            return no("the pump is still turning.".into(), "Wait until it stands.");
        }
        (Ask::PutBack, Mode::Tripped | Mode::Out) => {
            become_(Mode::Standby);
            if let Device::FeedPump(k) = device {
                // Who looks at a pump that has tripped resets what has tripped it; refused, nothing has changed.
                if let Err(why) = protection::reset_for(p, s, m, |a| *a == Action::TripPump(k)) {
                    s.pumps.feed.pumps[k] = Pump::now(mode);
                    return Err(why);
                }
            }
            log.put(Code::PumpOnStandby, device, 0.0);
        }
        (Ask::PutBack, _) => {
            return no("the pump is neither out nor tripped.".into(), "There is nothing to put back.");
        }
    }
    Ok(())
}

/// Load that the feed pumps under power carry [share of design].
pub fn carried(p: &operation::Params, s: &operation::State) -> f64 {
    p.pumps.carries(s.pumps.feed.on())
}

/// Trips a feed pump that is under power, and keeps it without.
pub fn trip(s: &mut operation::State, d: &mut Demands, k: usize, log: &mut Log) {
    if let Some(pump) = s.pumps.feed.pumps.get_mut(k)
        && pump.mode.is_on()
    {
        pump.mode = Mode::Tripped;
        log.put(Code::PumpTripped, Device::FeedPump(k), 0.0);
    }
    if let Some(asked) = d.feed_pumps.pumps.get_mut(k) {
        asked.run = false;
    }
}

/// Starts the standby feed pump, where protection lets it, its suction head suffices and its casing is warm.
pub fn start_feed(p: &operation::Params, s: &mut operation::State, m: &Measurements, log: &mut Log) {
    if m.suction_head > p.pumps.suction_head {
        let acting = &s.protection;
        let may = |k| acting.acting(&p.protection, Action::TripPump(k)).is_none();
        s.pumps.feed.start_standby(Device::FeedPump, may, |k| p.pumps.too_cold(m, k), log);
    }
}

/// Starts the standby condensate pump.
pub fn start_condensate(s: &mut operation::State, log: &mut Log) {
    s.pumps.condensate.start_standby(Device::CondensatePump, |_| true, |_| None, log);
}

/// Runs the load back to a share of design; one that is on its way is led `further` down, or comes to its end first.
pub fn runback(s: &mut operation::State, to: f64, further: bool, log: &mut Log) {
    let x = &mut s.pumps;
    let end = (RUNBACK_SHARE * to).max(LEAST_RUNBACK);
    if x.runback == 0.0 || (further && end < x.runback) {
        x.runback = end;
        if s.load > end {
            s.load = end;
            log.put(Code::Runback, Device::Unit, end);
        }
    }
}

/// From measurements to demands over one step of `dt` seconds; `d.feed` is the feed flow that the drum asks for.
pub fn control(
    p: &operation::Params,
    s: &mut operation::State,
    m: &Measurements,
    d: &mut Demands,
    dt: f64,
    log: &mut Log,
) {
    let f = &p.pumps;
    let x = &mut s.pumps;
    let most = f.flow_rate * dt;
    let change = d.feed.max(0.0) - x.asked;
    // Off the grid the steam is gone within a second, and the feed goes with it, or the drum would run over.
    x.asked += if s.unit.standing == Standing::OnGrid { change.clamp(-most, most) } else { change.min(most) };
    x.feed.follow(&m.feed_pumps, x.speed, Device::FeedPump, log);
    x.condensate.follow(&m.condensate_pumps, 1.0, Device::CondensatePump, log);

    // Speed, by the flow that is missing, and by what the fullest pump may still take.
    let on = || x.feed.pumps.iter().zip(&m.feed_pumps).filter(|(pump, _)| pump.mode.is_on());
    let running = on().count();
    let missing = (x.asked - m.feed_flow) / f.design_flow;
    let spare = f.largest_flow - on().map(|(_, now)| now.flow).fold(0.0, f64::max);
    let nothing_flows = m.feed_flow <= 0.0 && missing < 0.0;
    if running > 0 && !nothing_flows {
        let gain = SPEED_GAIN * (m.feed_flow / f.design_flow).max(LEAST_GAIN);
        x.speed = (x.speed + gain * missing.min(spare) * dt).clamp(SLOWEST, f.largest_speed);
    }
    x.limited = missing > MISSING && (running == 0 || x.speed >= f.largest_speed - 1e-9 || spare < MISSING);

    // A runback is over when the load is there.
    if x.runback > 0.0 {
        s.load = s.load.min(x.runback);
        if m.steam_flow / p.steam <= x.runback + MISSING {
            x.runback = 0.0;
        }
    }
    d.unload_rate = if x.runback > 0.0 { f.runback_rate } else { 0.0 };

    x.condensate_asked = d.condensate;
    d.condensate_pumps.clear();
    d.condensate_pumps.extend(x.condensate.pumps.iter().map(|pump| pump.mode.is_on()));

    let x = &s.pumps;
    // To the feed pumps. One that stands has its minimum-flow valve open for its start.
    d.feed_pumps.speed = x.speed;
    d.feed_pumps.limited = x.limited;
    d.feed_pumps.pumps.clear();
    for (pump, now) in x.feed.pumps.iter().zip(&m.feed_pumps) {
        let run = pump.mode.is_on();
        let missing = 1.0 - now.flow / f.minimum_flow;
        let step = (RECIRCULATION_GAIN * missing).clamp(-1.0, 1.0) * dt / f.recirculation_stroke;
        let recirculation = if run { (now.recirculation + step).clamp(0.0, 1.0) } else { 1.0 };
        d.feed_pumps.pumps.push(PumpDemand { run, recirculation, isolated: pump.mode == Mode::Out });
    }
}
