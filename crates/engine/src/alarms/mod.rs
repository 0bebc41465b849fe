//! Alarms: what calls the operator, in the states of the alarm-management standard ISA-18.2 (*from memory; no conformance
//! is claimed*), with priority, deadband, delays, shelving, and grouping under the trip that caused them.
//!
//! Alarms read measurements and the controls' own memory, never the plant. After a trip its consequences are shown under
//! it and call nobody by themselves; what is critical always calls.

mod list;
mod state;

pub use list::{Priority, Settings, Source, list};
pub use state::{Standing, act};

use crate::fault::Fault;
use crate::in_place::clone_in_place;
use crate::measurements::Measurements;
use crate::operation::{self, Demands, Mode};
use serde::{Deserialize, Serialize};

/// For so long after a trip what follows from it is grouped under it [s] (*common practice, no source*).
pub const GROUPED_FOR: f64 = 600.0;
/// The window of the rate figures [s]: the standard's ten minutes.
pub const WINDOW: f64 = 600.0;
/// Longest that an alarm can be shelved [s]: a shift.
pub const LONGEST_SHELF: f64 = 8.0 * 3600.0;

/// Memory of one alarm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Alarm {
    /// Its state.
    pub standing: Standing,
    /// Its condition holds, delays and deadband counted.
    pub active: bool,
    /// How long the condition has held, or has been gone, against the delays [s].
    changing_for: f64,
    /// When it was last raised [s of plant time].
    pub raised_at: f64,
    /// How long it stays shelved [s].
    pub shelved_for: f64,
    /// It is shown under the trip that caused it, and called nobody.
    pub grouped: bool,
}

/// The trip that consequences are grouped under.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
struct Trip {
    /// Index of the alarm that it is.
    alarm: usize,
    /// When [s].
    at: f64,
}

/// How much the operator is called.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Figures {
    /// Alarms that called, since the start.
    pub called: u32,
    /// Alarms shown under a trip instead.
    pub grouped: u32,
    /// Calls in the last ten minutes.
    pub in_ten_minutes: u32,
    /// Most calls in any ten minutes.
    pub peak: u32,
    /// Alarms whose condition holds now.
    pub standing: u32,
}

/// Memory of all alarms.
#[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Alarms, as in the list.
    pub alarms: Vec<Alarm>,
    trip: Option<Trip>,
    /// When alarms called, within the last window [s].
    calls: Vec<f64>,
    /// Rates.
    pub figures: Figures,
}

clone_in_place!(State { alarms, trip, calls, figures });

/// An alarm as an operator reads it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct View {
    /// `<device>.<name>`.
    pub id: String,
    /// Device.
    pub device: String,
    /// How much it matters.
    pub priority: Priority,
    /// Its state.
    pub standing: Standing,
    /// Its condition holds.
    pub active: bool,
    /// What it watches, now.
    pub value: f64,
    /// Its mark; none where it watches whether something is so.
    pub setpoint: Option<f64>,
    /// When it was last raised [s of plant time].
    pub raised_at: f64,
    /// How long it stays shelved [s].
    pub shelved_for: f64,
    /// Id of the alarm that it is shown under.
    pub under: Option<String>,
    /// It is the trip that came first.
    pub first_out: bool,
}

impl State {
    /// Nothing calls.
    pub fn at_rest(list: &[Settings]) -> State {
        State { alarms: vec![Alarm::default(); list.len()], ..State::default() }
    }

    /// Follows measurements and controls for `dt` seconds, at a plant time [s].
    pub fn step(
        &mut self,
        list: &[Settings],
        m: &Measurements,
        (control, d): (&operation::State, &Demands),
        time: f64,
        dt: f64,
    ) {
        if self.trip.is_some_and(|t| time - t.at > GROUPED_FOR && !control.protection_acts()) {
            self.trip = None;
        }
        for (i, p) in list.iter().enumerate() {
            let a = &mut self.alarms[i];
            if a.standing == Standing::Shelved {
                a.shelved_for -= dt;
            }
            let suppressed = p.source.is_by_design(control);
            a.follow(p, p.source.value(m, control, d), dt);
            let latched = p.source.is_latched(control);
            let was = a.standing;
            a.standing = state::step(was, a.active, latched, suppressed, a.shelved_for <= 0.0);
            let new = a.standing == Standing::Unacknowledged && was != Standing::Unacknowledged;
            if new {
                a.raised_at = time;
                if self.trip.is_none() && p.source.is_trip() {
                    self.trip = Some(Trip { alarm: i, at: time });
                }
                let under = self.trip.is_some_and(|t| {
                    t.alarm != i
                        && time - t.at <= GROUPED_FOR
                        && p.priority != Priority::Critical
                        && p.source.follows(&list[t.alarm].source, control)
                });
                self.alarms[i].grouped = under;
                if under {
                    self.figures.grouped += 1;
                } else {
                    self.figures.called += 1;
                    self.calls.push(time);
                }
            }
        }
        self.calls.retain(|t| time - t <= WINDOW);
        self.figures.in_ten_minutes = self.calls.len() as u32;
        self.figures.peak = self.figures.peak.max(self.figures.in_ten_minutes);
        self.figures.standing = self.alarms.iter().filter(|a| a.active).count() as u32;
    }

    /// The list as an operator reads it.
    pub fn views(
        &self,
        list: &[Settings],
        m: &Measurements,
        (control, d): (&operation::State, &Demands),
    ) -> Vec<View> {
        let trip = self.trip.map(|t| t.alarm);
        list.iter()
            .zip(&self.alarms)
            .enumerate()
            .map(|(i, (p, a))| View {
                id: p.id.clone(),
                device: p.device().to_owned(),
                priority: p.priority,
                standing: a.standing,
                active: a.active,
                value: p.source.value(m, control, d),
                setpoint: p.source.is_level().then_some(p.setpoint),
                raised_at: a.raised_at,
                shelved_for: a.shelved_for.max(0.0),
                under: trip.filter(|_| a.grouped).map(|t| list[t].id.clone()),
                first_out: trip == Some(i),
            })
            .collect()
    }

    /// Acknowledges an alarm, or all that call.
    ///
    /// # Errors
    /// No such alarm, or nothing to acknowledge.
    pub fn acknowledge(&mut self, list: &[Settings], id: Option<&str>) -> Result<(), Fault> {
        let only = id.map(|id| find(list, id)).transpose()?;
        let mut done = false;
        for (i, a) in self.alarms.iter_mut().enumerate() {
            if only.is_none_or(|k| k == i)
                && let Some(next) = state::acknowledged(a.standing)
            {
                a.standing = next;
                done = true;
            }
        }
        if done {
            return Ok(());
        }
        Err(Fault::new(
            "refused",
            id.unwrap_or("alarms"),
            "nothing here waits to be acknowledged.",
            "Look at the list for what does.",
        ))
    }

    /// Shelves an alarm for some time [s], takes it from the shelf, or takes it out of service and back.
    ///
    /// # Errors
    /// No such alarm, a time that cannot be, a state from which it cannot be done.
    pub fn put_aside(&mut self, list: &[Settings], id: &str, how: Aside) -> Result<(), Fault> {
        let i = find(list, id)?;
        let refuse = |message: &str, remedy: String| Err(Fault::new("refused", id, message, remedy));
        let a = &mut self.alarms[i];
        match how {
            Aside::Shelve(seconds) => {
                if !(seconds > 0.0 && seconds <= LONGEST_SHELF) {
                    return Err(Fault::new(
                        "out_of_range",
                        id,
                        format!("an alarm is not shelved for {seconds} s."),
                        format!("Give a time up to {LONGEST_SHELF} s."),
                    ));
                }
                if list[i].priority == Priority::Critical {
                    return refuse("a critical alarm is not shelved.", "Acknowledge it.".into());
                }
                if a.standing == Standing::OutOfService {
                    return refuse("the alarm is out of service.", "Put it back in service first.".into());
                }
                a.shelved_for = seconds;
                a.standing = Standing::Shelved;
            }
            Aside::Unshelve if a.standing == Standing::Shelved => {
                a.shelved_for = 0.0;
                a.standing = Standing::Normal;
            }
            Aside::Unshelve => return refuse("the alarm is not shelved.", "Leave it.".into()),
            Aside::OutOfService(true) => a.standing = Standing::OutOfService,
            Aside::OutOfService(false) if a.standing == Standing::OutOfService => {
                a.standing = Standing::Normal;
            }
            Aside::OutOfService(false) => return refuse("the alarm is in service.", "Leave it.".into()),
        }
        Ok(())
    }
}

/// How an alarm is put aside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aside {
    /// For so long [s].
    Shelve(f64),
    /// From the shelf.
    Unshelve,
    /// Out of service, or back.
    OutOfService(bool),
}

impl Alarm {
    /// Follows its condition with deadband and delays.
    fn follow(&mut self, p: &Settings, value: f64, dt: f64) {
        let over = if p.above { value - p.setpoint } else { p.setpoint - value };
        let (holds, delay) =
            if self.active { (over <= -p.deadband, p.off_delay) } else { (over > 0.0, p.on_delay) };
        self.changing_for = if holds { self.changing_for + dt } else { 0.0 };
        if holds && self.changing_for > delay {
            self.active = !self.active;
            self.changing_for = 0.0;
        }
    }
}

fn find(list: &[Settings], id: &str) -> Result<usize, Fault> {
    list.iter().position(|p| p.id == id).ok_or_else(|| {
        Fault::new(
            "no_such_alarm",
            id,
            "there is no alarm of this id.",
            "Take an id from the list of alarms.",
        )
    })
}

impl operation::State {
    /// Something that protection has latched still acts.
    fn protection_acts(&self) -> bool {
        self.protection.first_out.is_some()
    }

    fn is_off(&self, k: usize) -> bool {
        matches!(self.heaters[k].mode, Mode::Tripping | Mode::Out)
    }
}
