//! The twin: the plant runs a second time from the start without the trainee's last action, or without the malfunctions, and
//! both runs give the same signals, so that they can be drawn over each other.

use crate::entry::Entry;
use crate::exercise::steps;
use crate::lesson::Lesson;
use crate::record::Record;
use crate::replay::{act, is_action};
use crate::run::{Omit, Run};
use engine::{Command, Fault};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// What the twin does without.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "without", rename_all = "snake_case", deny_unknown_fields)]
pub enum Without {
    /// The last action of the trainee up to a time [s].
    LastAction {
        /// Time [s].
        before_s: f64,
    },
    /// The malfunctions of the exercise.
    Malfunctions,
}

/// Two runs side by side, a point every second.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Twin {
    /// Signals.
    pub signals: Vec<String>,
    /// Time of the first point [s].
    pub from_s: f64,
    /// The action left out, if it is one.
    pub action: Option<Command>,
    /// The run as it was: a column for each signal [inside unit].
    pub with: Vec<Vec<f64>>,
    /// The run without [inside unit].
    pub without: Vec<Vec<f64>>,
}

/// Runs a record twice, as it was and without something, and shows the signals between two times [s].
///
/// # Errors
/// A signal is unknown, nothing is to be left out, or the plant cannot be started.
pub fn twin(
    lesson: &Arc<Lesson>,
    record: &Record,
    without: Without,
    signals: &[String],
    (from_s, to_s): (f64, f64),
) -> Result<Twin, Fault> {
    let end = lesson.exercise().length_s;
    if !(from_s >= 0.0 && to_s > from_s && to_s <= end) {
        return Err(Fault::new(
            "out_of_range",
            "twin",
            format!("{from_s} s to {to_s} s does not lie within the exercise."),
            format!("Give a window within 0 to {end} s."),
        ));
    }
    let indices: Vec<usize> = signals.iter().map(|id| lesson.signal(id)).collect::<Result<_, _>>()?;
    let last = |before: u64| {
        record.entries.iter().rposition(|e| is_action(e) && e.step().is_some_and(|s| s <= before))
    };
    let (omit, skip) = match without {
        Without::Malfunctions => (Omit { malfunctions: true, ends: true }, None),
        Without::LastAction { before_s } => {
            let before = if before_s >= 0.0 { steps(before_s) } else { 0 };
            let skip = last(before).ok_or_else(|| {
                let message = "the trainee had done nothing by then.";
                Fault::new("no_action", "twin", message, "Choose a time after the first action.")
            })?;
            (Omit { malfunctions: false, ends: true }, Some(skip))
        }
    };
    let both = Omit { malfunctions: false, ends: true };
    let columns = |omit, skip| columns(lesson, record, omit, skip, &indices, (from_s, to_s));
    let action = skip.and_then(|k| match &record.entries[k] {
        Entry::Command { command, .. } => Some(command.clone()),
        _ => None,
    });
    Ok(Twin {
        signals: signals.to_vec(),
        from_s: from_s.floor(),
        action,
        with: columns(both, None)?,
        without: columns(omit, skip)?,
    })
}

fn columns(
    lesson: &Arc<Lesson>,
    record: &Record,
    omit: Omit,
    skip: Option<usize>,
    indices: &[usize],
    (from_s, to_s): (f64, f64),
) -> Result<Vec<Vec<f64>>, Fault> {
    let mut run = Run::with(lesson.clone(), record.head.clone(), omit)?;
    run.follow(indices.to_vec());
    let until = steps(to_s);
    for (k, entry) in record.entries.iter().enumerate() {
        if let (Entry::Command { step, .. }, false) = (entry, skip == Some(k))
            && *step <= until
        {
            run.go_to(*step)?;
            act(&mut run, entry);
        }
    }
    run.go_to(until)?;
    let (from, to) = (from_s.floor() as usize, to_s.floor() as usize);
    let cut = |k: &usize| {
        let column = run.series().of(*k).unwrap_or(&[]);
        column.get(from..column.len().min(to + 1)).unwrap_or(&[]).to_vec()
    };
    Ok(indices.iter().map(cut).collect())
}
