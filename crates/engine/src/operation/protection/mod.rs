//! Protection as a table: what is watched, the mark, the delay, what is done, how it is reset. Evaluated after control, so
//! that it wins; the first row that latches is kept until all are reset.
//!
//! The table follows from the plant file ([`table`]). To join it, a row needs a thing that it watches ([`Watched`]), of the
//! measurements and the controls' memory only, and its actions ([`Action`]).
//!
//! Each closed heater has two independent lines against water that reaches the turbine (*common practice*; a training
//! model, which replaces no code): at high level the emergency drain opens; at high-high level, by a transmitter apart
//! from the controller's, steam is shut off by stop and non-return valve, drains arriving are kept away and the water is
//! sent round. Whenever an extraction is not in service, the drain of its line is open, and all are at a turbine trip and
//! while the grid is lost. The unit trips on drum level and vacuum, and where its stop valves shut; pumps trip for want of suction head
//! and of flow, their standby starts, and the load is run back to what is left.

mod action;
mod rows;
mod watched;

pub use action::Action;
pub use rows::{Layout, table};
pub use watched::Watched;

use super::{Demands, Log, Params, State};
use crate::alarms::Priority;
use crate::fault::Fault;
use crate::in_place::clone_in_place;
use crate::measurements::Measurements;
use action::cascade_in_shut;
use serde::{Deserialize, Serialize};
use steam::units::Quantity;

/// A row of the table; never changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// `<device>.<name>`.
    pub id: String,
    /// What is watched.
    pub watched: Watched,
    /// What that measures.
    pub quantity: Quantity,
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
    /// How much its alarm matters; none where another alarm calls.
    #[serde(skip)]
    pub alarm: Option<Priority>,
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
#[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Memory {
    /// Rows, as in the table.
    pub rows: Vec<RowState>,
    /// The latched row that acted first, until all are reset.
    pub first_out: Option<usize>,
}

clone_in_place!(Memory { rows, first_out });

/// A row as an operator reads it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct View {
    /// The row.
    #[serde(flatten)]
    pub row: Row,
    /// What its sensor shows.
    pub value: f64,
    /// It is meant to act now: a pump that stands has no least flow.
    pub armed: bool,
    /// Its cause stands.
    pub cause: bool,
    /// It acts.
    pub tripped: bool,
    /// It acted first.
    pub first_out: bool,
}

impl Memory {
    /// Nothing acts.
    pub fn at_rest(rows: &[Row]) -> Memory {
        Memory { rows: vec![RowState::default(); rows.len()], first_out: None }
    }

    /// The row that acts and has this action.
    pub fn acting<'a>(&self, rows: &'a [Row], action: Action) -> Option<&'a Row> {
        rows.iter()
            .zip(&self.rows)
            .find(|(row, x)| x.tripped && row.actions.contains(&action))
            .map(|(r, _)| r)
    }

    /// The latched row that acts and has this action.
    pub(super) fn latched<'a>(&self, rows: &'a [Row], action: Action) -> Option<&'a Row> {
        let all = rows.iter().zip(&self.rows);
        all.into_iter()
            .find(|(row, x)| x.tripped && row.latched && row.actions.contains(&action))
            .map(|(row, _)| row)
    }
}

/// The table as an operator reads it.
pub fn views(p: &Params, s: &State, m: &Measurements) -> Vec<View> {
    let rows = p.protection.iter().zip(&s.protection.rows).enumerate();
    rows.map(|(i, (row, x))| View {
        row: row.clone(),
        value: row.watched.value(p, s, m),
        armed: row.watched.is_armed(s),
        cause: x.cause,
        tripped: x.tripped,
        first_out: s.protection.first_out == Some(i),
    })
    .collect()
}

/// Resets a row, or every one whose cause is gone.
///
/// # Errors
/// No such row; nothing to reset; the cause stands, with how far it is from gone.
pub(super) fn reset(p: &Params, s: &mut State, id: Option<&str>, m: &Measurements) -> Result<(), Fault> {
    let rows = &p.protection;
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
    match reset_those(p, s, |row| id.is_none_or(|id| row.id == id)) {
        (true, _) => Ok(()),
        (false, Some(row)) => Err(standing(p, s, row, m)),
        (false, None) => Err(Fault::new(
            "refused",
            id.unwrap_or("protection"),
            "nothing is latched here.",
            "There is nothing to reset.",
        )),
    }
}

/// Resets every row with one of these actions, or none: who resets turbine or pump resets what has tripped it.
///
/// # Errors
/// The cause of one stands.
pub fn reset_for(
    p: &Params,
    s: &mut State,
    m: &Measurements,
    is: impl Fn(&Action) -> bool,
) -> Result<(), Fault> {
    let concerns = |row: &Row| row.actions.iter().any(&is);
    let held = p.protection.iter().zip(&s.protection.rows);
    if let Some((row, _)) =
        held.into_iter().find(|(row, x)| concerns(row) && row.latched && x.tripped && x.cause)
    {
        return Err(standing(p, s, row, m));
    }
    reset_those(p, s, concerns);
    Ok(())
}

/// Whether one was reset, and the first whose cause stands.
fn reset_those<'a>(p: &'a Params, s: &mut State, asked: impl Fn(&Row) -> bool) -> (bool, Option<&'a Row>) {
    let memory = &mut s.protection;
    let (mut done, mut standing) = (false, None);
    for (row, x) in p.protection.iter().zip(&mut memory.rows) {
        if asked(row) && row.latched && x.tripped {
            if x.cause {
                standing = standing.or(Some(row));
            } else {
                x.tripped = false;
                done = true;
            }
        }
    }
    if !memory.rows.iter().zip(&p.protection).any(|(x, row)| x.tripped && row.latched) {
        memory.first_out = None;
    }
    (done, standing)
}

/// Why a row is not reset.
fn standing(p: &Params, s: &State, row: &Row, m: &Measurements) -> Fault {
    let (side, back) = if row.above {
        ("below", row.setpoint - row.deadband)
    } else {
        ("above", row.setpoint + row.deadband)
    };
    let shown = row.quantity.display(steam::units::System::Si);
    let text = |value: f64| {
        let digits = usize::from(shown.digits);
        format!("{:.digits$} {}", value * shown.factor + shown.offset, shown.unit).trim_end().to_owned()
    };
    Fault::new(
        "refused",
        row.id.as_str(),
        format!("its cause stands: {} shows {}.", row.sensor, text(row.watched.value(p, s, m))),
        format!("Bring it {side} {} first.", text(back)),
    )
}

/// Protection, after control: rows that act change the demands; a heater that is off receives no drain.
pub fn protect(p: &Params, s: &mut State, m: &Measurements, d: &mut Demands, dt: f64, log: &mut Log) {
    for (i, row) in p.protection.iter().enumerate() {
        let value = row.watched.value(p, s, m);
        let over = if row.above { value - row.setpoint } else { row.setpoint - value };
        let armed = row.watched.is_armed(s);
        let x = &mut s.protection.rows[i];
        // Once it stands, the cause is gone only a deadband inside the mark.
        let beyond = armed && (over >= 0.0 || (x.cause && over > -row.deadband));
        x.held_for = if beyond { x.held_for + dt } else { 0.0 };
        x.cause = x.held_for > row.delay;
        let acted = x.cause && !x.tripped;
        x.tripped = x.cause || (x.tripped && row.latched);
        if acted {
            if row.latched && s.protection.first_out.is_none() {
                s.protection.first_out = Some(i);
            }
            action::begin(p, s, m, row, log);
        }
        if s.protection.rows[i].tripped {
            for action in &row.actions {
                action::act(p, s, m, d, (row, *action), log);
            }
        }
    }
    // The drains of moisture separator and steam reheater keep away from it too.
    d.led = p.led_to.map(|to| to.is_none_or(|k| !s.heaters[k].mode.is_off()));
    for k in 0..p.heaters.len() {
        if s.heaters[k].mode.is_off() {
            d.heaters[k].extraction.shut();
            if let Some(above) = p.heaters[k].drained_into_by {
                cascade_in_shut(s, d, above);
            }
        }
    }
}
