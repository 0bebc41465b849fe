//! What is done at a valve itself: a person walks there and turns its handwheel, which takes time, and then holds it
//! against whatever its drive is asked for, until it is handed back.
//!
//! One person is out in the plant. A valve that is jammed does not move by hand either. What stands in hand does not follow
//! protection: in a plant, local operation is for authorised people under its procedures, and means isolation and its tags.
//! A warm-up valve has a handwheel alone: it stays where it was turned, until its pump is isolated for maintenance.

use crate::casing;
use crate::event::{Code, Device, Log};
use crate::fault::Fault;
use crate::in_place::clone_in_place;
use crate::malfunction::Conditions;
use crate::train::{Params, PlantState};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Time to walk to a heater or a pump [s], and from one valve of it to the next (*common practice, no source*: some minutes from the
/// control room over stairs and platforms).
pub const WALK: (f64, f64) = (180.0, 30.0);
/// Time to turn a handwheel through the whole stroke [s] (*common practice, no source*).
pub const TURN: f64 = 90.0;
/// A valve that has not come so much later is jammed [s].
const PATIENCE: f64 = 10.0;
/// A valve is where it should be within this.
const THERE: f64 = 1e-9;

/// Valves of a heater, or of a feed pump, that have a handwheel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HandValve {
    /// Normal drain.
    NormalDrain,
    /// Emergency drain.
    EmergencyDrain,
    /// Extraction stop valve.
    StopValve,
    /// Water-side bypass of the heater's group.
    Bypass,
    /// Drain of the extraction line, where it has one.
    LineDrain,
    /// Start-up vent of the shell, which has a handwheel alone: past the orifice of the continuous vent.
    StartUpVent,
    /// Warm-up valve of a feed pump, which has a handwheel alone.
    WarmUp,
}

impl HandValve {
    /// All.
    pub const ALL: [HandValve; 7] = [
        HandValve::NormalDrain,
        HandValve::EmergencyDrain,
        HandValve::StopValve,
        HandValve::Bypass,
        HandValve::LineDrain,
        HandValve::StartUpVent,
        HandValve::WarmUp,
    ];

    /// Its name, as in signals.
    pub fn name(self) -> &'static str {
        match self {
            HandValve::NormalDrain => "normal_drain",
            HandValve::EmergencyDrain => "emergency_drain",
            HandValve::StopValve => "stop_valve",
            HandValve::Bypass => "bypass",
            HandValve::LineDrain => "line_drain",
            HandValve::StartUpVent => "start_up_vent",
            HandValve::WarmUp => "warm_up",
        }
    }
}

/// A valve held by hand.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Held {
    /// Heater or feed pump.
    device: Device,
    /// Which of its valves.
    valve: HandValve,
    /// Where it is held, or turned to.
    position: f64,
}

/// What the person is on the way to do.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
struct Job {
    device: Device,
    valve: HandValve,
    /// None: hand it back to its drive.
    position: Option<f64>,
    /// When the person is there [s of plant time].
    arrives: f64,
}

/// Memory.
#[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct State {
    job: Option<Job>,
    /// The heater or pump where the person is.
    at: Option<Device>,
    held: Vec<Held>,
}

clone_in_place!(State { job, at, held });

/// A valve held by hand, as it is read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct View {
    /// Id of the heater or the feed pump.
    pub heater: String,
    /// Which of its valves.
    pub valve: HandValve,
    /// Where it is held, or turned to.
    pub position: f64,
}

/// How far a valve is open; shut where there is none.
fn opening(p: &Params, x: &PlantState, device: Device, valve: HandValve) -> f64 {
    let k = match device {
        Device::Closed(k) => k,
        Device::FeedPump(k) => return casing(x, k).map_or(0.0, |c| c.valve.opening),
        Device::Open if valve == HandValve::LineDrain => return x.open_extraction.drain.valve.opening,
        Device::Unit | Device::Open | Device::CondensatePump(_) => return 0.0,
    };
    let c = &x.closed[k];
    match valve {
        HandValve::NormalDrain => c.normal.opening,
        HandValve::EmergencyDrain => c.emergency.opening,
        HandValve::StopValve => c.extraction.stop.opening,
        HandValve::Bypass => x.bypass[p.group(k)].opening,
        HandValve::LineDrain => c.extraction.drain.valve.opening,
        HandValve::StartUpVent => c.start_up_vent.opening,
        HandValve::WarmUp => 0.0,
    }
}

fn casing(x: &PlantState, pump: usize) -> Option<casing::State> {
    x.feed.pumps.get(pump).and_then(|pump| pump.casing)
}

/// Whoever isolated a pump has put a lock on its valves.
fn is_locked(x: &PlantState, device: Device) -> bool {
    matches!(device, Device::FeedPump(k) if casing(x, k).is_some_and(|c| c.isolated))
}

/// The heater or the feed pump that has this valve. Of the open heater only the drain of its line has a handwheel here.
fn find(p: &Params, x: &PlantState, id: &str, valve: HandValve) -> Result<Device, Fault> {
    let no = |message: &str, remedy: &str| Err(Fault::new("refused", id, message, remedy));
    if valve == HandValve::WarmUp {
        return casing::find(x, id).map(Device::FeedPump);
    }
    let no_drain =
        || no("this heater's extraction line has no drain in the plant file.", "Give it a line_drain there.");
    if valve == HandValve::LineDrain && p.open.id == id {
        return if p.open_extraction.drain.is_some() { Ok(Device::Open) } else { no_drain() };
    }
    let Some(k) = p.closed.iter().position(|c| c.heater.id == id) else {
        let ids: Vec<&str> = p.closed.iter().map(|c| c.heater.id.as_str()).collect();
        return Err(Fault::new(
            "no_such_heater",
            id,
            "there is no closed heater of this id.",
            format!("The closed heaters are {}.", ids.join(", ")),
        ));
    };
    if valve == HandValve::StartUpVent && !(p.closed[k].heater.vent.coefficient > 0.0) {
        return no("this heater has no vent in the plant file.", "Give it a vent_flow there to follow gas.");
    }
    if valve == HandValve::LineDrain && p.closed[k].extraction.drain.is_none() {
        return no_drain();
    }
    Ok(Device::Closed(k))
}

impl State {
    /// How long the person is still at it [s].
    pub fn remaining(&self, p: &Params, x: &PlantState, time: f64) -> f64 {
        self.job.map_or(0.0, |j| {
            let way = j.position.map_or(0.0, |to| (to - opening(p, x, j.device, j.valve)).abs());
            (j.arrives - time).max(0.0) + TURN * way
        })
    }

    /// What stands in hand.
    pub fn held(&self, p: &Params) -> Vec<View> {
        let all = self.held.iter();
        all.map(|h| View { heater: p.device_id(h.device), valve: h.valve, position: h.position }).collect()
    }

    /// Sends the person to a valve, to turn it to a position or to hand it back, at a time [s].
    ///
    /// # Errors
    /// No such heater or pump; a position that cannot be; a vent or a warm-up that is not there; a pump that is isolated; nobody
    /// free; a valve to be handed back that is not in hand, or has no drive.
    pub fn send(
        &mut self,
        p: &Params,
        x: &PlantState,
        (id, valve, position): (&str, HandValve, Option<f64>),
        time: f64,
        log: &mut Log,
    ) -> Result<(), Fault> {
        let device = find(p, x, id, valve)?;
        if let Some(v) = position
            && !(0.0..=1.0).contains(&v)
        {
            return Err(Fault::new(
                "out_of_range",
                id,
                format!("{v} is not a valve position that can be asked for."),
                "Give a value from 0 to 1.",
            ));
        }
        if is_locked(x, device) {
            return Err(Fault::new(
                "refused",
                id,
                "the pump is isolated for maintenance.",
                "Put it back on standby first: who has isolated it lifts that.",
            ));
        }
        if valve == HandValve::WarmUp && position.is_none() {
            return Err(Fault::new(
                "refused",
                id,
                "a warm-up valve has a handwheel alone.",
                "Say how far it is to be open: it stays there.",
            ));
        }
        if self.job.is_some() {
            let left = self.remaining(p, x, time);
            return Err(Fault::new(
                "refused",
                id,
                format!("the person outside is busy for {left:.0} s more."),
                "Wait until the valve is where it should be.",
            ));
        }
        if position.is_none() && !self.held.iter().any(|h| h.device == device && h.valve == valve) {
            return Err(Fault::new(
                "refused",
                id,
                "this valve does not stand in hand.",
                "There is nothing to hand back.",
            ));
        }
        let walk = if self.at == Some(device) { WALK.1 } else { WALK.0 };
        let job = Job { device, valve, position, arrives: time + walk };
        self.job = Some(job);
        log.of(Code::LocalSent, device, valve.name(), self.remaining(p, x, time));
        Ok(())
    }

    /// Goes on for the step that begins at a time [s], and puts what stands in hand among the conditions of the valves.
    pub fn step(&mut self, p: &Params, x: &PlantState, time: f64, wrong: &mut Conditions, log: &mut Log) {
        // Who isolates a pump shuts its warm-up valve, whoever had it in hand.
        self.held.retain(|h| !is_locked(x, h.device));
        if let Some(j) = self.job
            && time >= j.arrives
        {
            self.at = Some(j.device);
            self.held.retain(|h| h.device != j.device || h.valve != j.valve);
            match j.position {
                None => {
                    self.job = None;
                    log.of(Code::LocalHandedBack, j.device, j.valve.name(), 0.0);
                }
                Some(position) => {
                    let now = opening(p, x, j.device, j.valve);
                    let there = (now - position).abs() < THERE;
                    let late = time > j.arrives + TURN + PATIENCE || is_locked(x, j.device);
                    if there || !late {
                        self.held.push(Held { device: j.device, valve: j.valve, position });
                    }
                    if there || late {
                        self.job = None;
                        let code = if there { Code::LocalDone } else { Code::LocalStuck };
                        log.of(code, j.device, j.valve.name(), now);
                    }
                }
            }
        }
        for h in &self.held {
            let hand = Some((h.position, TURN));
            let k = match h.device {
                Device::Closed(k) => k,
                Device::FeedPump(k) => {
                    if let Some(c) = wrong.feed_pumps.get_mut(k) {
                        c.warm_up.hand = hand;
                    }
                    continue;
                }
                Device::Open => {
                    wrong.open.line_drain.hand = hand;
                    continue;
                }
                Device::Unit | Device::CondensatePump(_) => continue,
            };
            if h.valve == HandValve::Bypass {
                wrong.bypass[p.group(k)].hand = hand;
                continue;
            }
            let c = &mut wrong.closed[k];
            match h.valve {
                HandValve::NormalDrain => c.normal.hand = hand,
                HandValve::EmergencyDrain => c.emergency.hand = hand,
                HandValve::StartUpVent => c.start_up_vent.hand = hand,
                HandValve::LineDrain => c.line_drain.hand = hand,
                HandValve::StopValve => c.stop.hand = hand,
                // The group's, done above; a pump's.
                HandValve::Bypass | HandValve::WarmUp => {}
            }
        }
    }
}
