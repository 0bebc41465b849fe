//! Protection as a table: what is watched, the mark, the delay, what is done, how it is reset. Evaluated after control, so
//! that it wins; the first row that acts is kept until all are reset.
//!
//! The table follows from the plant file ([`table`]). To join it, a row needs a thing that it watches ([`Watched`]), of the
//! measurements only, and its actions ([`Action`]), of which [`act`] says what each does to the demands.
//!
//! Each closed heater has two independent lines against water that reaches the turbine (*common practice*; a training
//! model, which replaces no code): at high level the emergency drain opens; at high-high level, by a transmitter apart
//! from the controller's, steam is shut off by stop and non-return valve, drains arriving are kept away and the water is
//! sent round.

use super::{Demands, Log, Params, State, trip_group};
use crate::controller::Loop;
use crate::event::Code;
use crate::extraction;
use crate::fault::Fault;
use crate::measurements::Measurements;
use crate::unit;
use serde::{Deserialize, Serialize};

/// How far a level must come back inside the mark of a pumped drain's low level until the pump may run again [mm]
/// (*common practice, no source*).
const LOW_BACK: f64 = 20.0;
/// How far the open heater's level must come back [mm] (*common practice, no source*).
const OPEN_BACK: f64 = 50.0;
/// Delays of the rows whose plant file gives none [s] (*common practice, no source*).
const DELAY: f64 = 2.0;

/// What a row watches.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Watched {
    /// Level of a closed heater, by its transmitter for protection [mm].
    Level(usize),
    /// Level of the open heater's tank, by its transmitter for protection [mm].
    OpenLevel,
}

impl Watched {
    fn value(self, m: &Measurements) -> f64 {
        match self {
            Watched::Level(k) => m.heaters[k].level_protection,
            Watched::OpenLevel => m.open_level_protection,
        }
    }
}

/// What a row does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Action {
    /// Opens a heater's emergency drain, unless an operator holds it by hand.
    OpenEmergencyDrain(usize),
    /// Takes a closed heater off: stop valve and non-return valve shut, drains arriving kept away, water round its group.
    TakeOff(usize),
    /// Stops the pump that sends a heater's drain forward.
    StopDrainPump(usize),
    /// Shuts the open heater's steam and keeps drains of the heater above away.
    ShutOpenSteam,
}

/// A row of the table; never changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// `<device>.<name>`.
    pub id: String,
    /// What is watched.
    pub watched: Watched,
    /// Id of the sensor.
    pub sensor: String,
    /// It acts above its mark; else below.
    pub above: bool,
    /// Mark.
    pub setpoint: f64,
    /// How far the value must come back until the cause counts as gone.
    pub deadband: f64,
    /// How long the value must stand beyond its mark [s].
    pub delay: f64,
    /// What is done.
    pub actions: Vec<Action>,
    /// It keeps acting until it is reset; else until its cause is gone.
    pub latched: bool,
}

/// Memory of a row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct RowState {
    /// How long the cause has stood [s].
    held_for: f64,
    /// The cause stands.
    pub cause: bool,
    /// The row acts.
    pub tripped: bool,
}

/// Memory of the table.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Memory {
    /// Rows, as in the table.
    pub rows: Vec<RowState>,
    /// The latched row that acted first, until all are reset.
    pub first_out: Option<usize>,
}

/// A row as an operator reads it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct View {
    /// The row.
    #[serde(flatten)]
    pub row: Row,
    /// What its sensor shows.
    pub value: f64,
    /// Its cause stands.
    pub cause: bool,
    /// It acts.
    pub tripped: bool,
    /// It acted first.
    pub first_out: bool,
}

/// The table of a plant; `open` is the open heater's id and the mark of its high-high level [mm]; `pumped` says which
/// heaters' drains are pumped forward.
pub fn table(p: &[super::HeaterParams], pumped: &[bool], open: (&str, f64)) -> Vec<Row> {
    let mut rows = Vec::new();
    for (k, h) in p.iter().enumerate() {
        let row = |name: &str, setpoint: f64, deadband: f64, delay: f64, action: Action, latched: bool| Row {
            id: format!("{}.{name}", h.id),
            watched: Watched::Level(k),
            sensor: format!("{}.level_protection", h.id),
            above: true,
            setpoint,
            deadband,
            delay,
            actions: vec![action],
            latched,
        };
        let l = &h.level;
        // Where the controller would have it fully open.
        let high = l.emergency + l.emergency_band;
        rows.push(row("level_high", high, l.emergency_band, 0.0, Action::OpenEmergencyDrain(k), false));
        rows.push(row(
            "level_high_high",
            l.high_high,
            (l.high_high - l.high).min(LOW_BACK),
            l.high_high_delay,
            Action::TakeOff(k),
            true,
        ));
        if pumped.get(k).copied().unwrap_or(false) {
            let stop = row("level_low", l.low, LOW_BACK, DELAY, Action::StopDrainPump(k), false);
            rows.push(Row { above: false, ..stop });
        }
    }
    rows.push(Row {
        id: format!("{}.level_high_high", open.0),
        watched: Watched::OpenLevel,
        sensor: format!("{}.level_protection", open.0),
        above: true,
        setpoint: open.1,
        deadband: OPEN_BACK,
        delay: DELAY,
        actions: vec![Action::ShutOpenSteam],
        latched: true,
    });
    rows
}

impl Memory {
    /// Nothing acts.
    pub fn at_rest(rows: &[Row]) -> Memory {
        Memory { rows: vec![RowState::default(); rows.len()], first_out: None }
    }

    /// The table as an operator reads it.
    pub fn views(&self, rows: &[Row], m: &Measurements) -> Vec<View> {
        rows.iter()
            .zip(&self.rows)
            .enumerate()
            .map(|(i, (row, x))| View {
                row: row.clone(),
                value: row.watched.value(m),
                cause: x.cause,
                tripped: x.tripped,
                first_out: self.first_out == Some(i),
            })
            .collect()
    }

    /// Ids of latched rows that act and have this action.
    pub(super) fn latched<'a>(&self, rows: &'a [Row], action: Action) -> Option<&'a Row> {
        rows.iter()
            .zip(&self.rows)
            .find(|(row, x)| x.tripped && row.latched && row.actions.contains(&action))
            .map(|(row, _)| row)
    }

    /// Resets a row, or every one whose cause is gone.
    ///
    /// # Errors
    /// No such row; nothing to reset; the cause stands, with how far it is from gone.
    pub(super) fn reset(&mut self, rows: &[Row], id: Option<&str>, m: &Measurements) -> Result<(), Fault> {
        let refuse =
            |id: &str, message: String, remedy: &str| Err(Fault::new("refused", id, message, remedy));
        if let Some(id) = id
            && !rows.iter().any(|r| r.id == id)
        {
            let ids: Vec<&str> = rows.iter().map(|r| r.id.as_str()).collect();
            return Err(Fault::new(
                "no_such_row",
                id,
                "protection has no row of this id.",
                format!("The rows are {}.", ids.join(", ")),
            ));
        }
        let asked = |row: &Row, x: &RowState| x.tripped && row.latched && id.is_none_or(|id| row.id == id);
        let mut standing = None;
        let mut done = false;
        for (row, x) in rows.iter().zip(&mut self.rows) {
            if asked(row, x) {
                if x.cause {
                    standing = standing.or(Some(row));
                } else {
                    x.tripped = false;
                    done = true;
                }
            }
        }
        if !self.rows.iter().zip(rows).any(|(x, row)| x.tripped && row.latched) {
            self.first_out = None;
        }
        match (done, standing) {
            (true, _) => Ok(()),
            (false, Some(row)) => {
                let (side, back) = if row.above {
                    ("below", row.setpoint - row.deadband)
                } else {
                    ("above", row.setpoint + row.deadband)
                };
                refuse(
                    &row.id,
                    format!("its cause stands: {} shows {:.0}.", row.sensor, row.watched.value(m)),
                    &format!("Bring it {side} {back:.0} first."),
                )
            }
            (false, None) => refuse(
                id.unwrap_or("protection"),
                "nothing is latched here.".into(),
                "There is nothing to reset.",
            ),
        }
    }
}

/// Protection, after control: rows that act change the demands; a heater that is off receives no drain.
pub fn protect(p: &Params, s: &mut State, m: &Measurements, d: &mut Demands, dt: f64, log: &mut Log) {
    unit::watch(&mut s.unit, &mut s.load, &p.unit, m, log);
    for (i, row) in p.protection.iter().enumerate() {
        let x = &mut s.protection.rows[i];
        let over =
            if row.above { row.watched.value(m) - row.setpoint } else { row.setpoint - row.watched.value(m) };
        // Once it stands, the cause is gone only a deadband inside the mark.
        x.held_for = if over >= 0.0 || (x.cause && over > -row.deadband) { x.held_for + dt } else { 0.0 };
        x.cause = x.held_for > row.delay;
        let acted = x.cause && !x.tripped;
        x.tripped = x.cause || (x.tripped && row.latched);
        if acted {
            if row.latched && s.protection.first_out.is_none() {
                s.protection.first_out = Some(i);
            }
            for action in &row.actions {
                begin(p, s, m, *action, log);
            }
        }
        if s.protection.rows[i].tripped {
            for action in &row.actions {
                act(p, s, d, *action);
            }
        }
    }
    // The drains of moisture separator and steam reheater keep away from it too.
    d.led = p.led_to.map(|to| to.is_none_or(|k| !s.heaters[k].mode.is_off()));
    for k in 0..p.heaters.len() {
        if s.heaters[k].mode.is_off() {
            d.heaters[k].extraction = extraction::Demand { stop: 0.0, shut_non_return: true };
            if let Some(above) = p.heaters[k].drained_into_by {
                cascade_in_shut(s, d, above);
            }
        }
    }
}

/// What an action does once, when its row begins to act.
fn begin(p: &Params, s: &mut State, m: &Measurements, action: Action, log: &mut Log) {
    match action {
        Action::TakeOff(k) => {
            log.push((Code::LevelHighHigh, Some(k), m.heaters[k].level_protection));
            if !s.heaters[k].mode.is_off() {
                trip_group(p, s, k, true, log);
            }
            s.heaters[k].urgent = true;
        }
        Action::ShutOpenSteam => log.push((Code::OpenHeaterShut, None, m.open_level_protection)),
        // Its valve gives an event of its own, or its alarm says so.
        Action::OpenEmergencyDrain(_) | Action::StopDrainPump(_) => {}
    }
}

/// What an action does as long as its row acts.
fn act(p: &Params, s: &State, d: &mut Demands, action: Action) {
    match action {
        Action::OpenEmergencyDrain(k) => {
            if s.controller(Loop::EmergencyDrain(k)).is_auto() {
                d.heaters[k].emergency = 1.0;
            }
        }
        // Its mode does the rest.
        Action::TakeOff(k) => {
            d.heaters[k].extraction = extraction::Demand { stop: 0.0, shut_non_return: true };
        }
        Action::StopDrainPump(k) => d.heaters[k].normal = 0.0,
        Action::ShutOpenSteam => {
            d.open_extraction = extraction::Demand { stop: 0.0, shut_non_return: true };
            if let Some(above) = p.drained_into_open {
                cascade_in_shut(s, d, above);
            }
        }
    }
}

/// The heater above drains to the condenser under its own level controller.
fn cascade_in_shut(s: &State, d: &mut Demands, above: usize) {
    let da = &mut d.heaters[above];
    let asked = std::mem::replace(&mut da.normal, 0.0);
    if s.controller(Loop::EmergencyDrain(above)).is_auto() {
        da.emergency = da.emergency.max(asked);
    }
}
