//! The other outcome of a free run: the same stretch once more, without the last action or without a malfunction, beside the run
//! as it was. Done in portions, so that a page can show how far it is, and stop.

use super::{Ahead, Check, Deed, Done, Free, Mark, Tape, marked};
use crate::exercise::steps;
use crate::run::SECOND;
use crate::twin::Twin;
use engine::malfunction::{Active, Kind};
use engine::{Command, Fault, Sim};
use serde::{Deserialize, Serialize};

/// What the other run does without.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "without", rename_all = "snake_case", deny_unknown_fields)]
pub enum Without {
    /// The last action of the operator.
    LastAction,
    /// Every malfunction.
    Malfunctions,
    /// One malfunction.
    Malfunction {
        /// Kind.
        kind: Kind,
        /// Id of what it befell.
        device: String,
    },
}

/// Longest stretch run again [steps]: four hours.
const LONGEST: u64 = 4 * super::FINE;
/// Longest look ahead [s]: an hour.
const AHEAD: f64 = 3600.0;
/// What is shown of the time before that which is left out [steps]: a minute.
const BEFORE: u64 = super::MARK;
/// Most signals.
const MOST: usize = 8;

/// Both outcomes, and where a run could go no further.
#[derive(Clone, Debug, Serialize)]
pub struct Outcome {
    /// The two runs, a point every second.
    #[serde(flatten)]
    pub twin: Twin,
    /// Plant time of now: what lies behind has not happened yet [s].
    pub now_s: f64,
    /// Why the run without could go no further, where it could not.
    pub stopped: Option<Fault>,
}

/// Two runs on their way.
pub struct Other {
    with: Free,
    without: Free,
    indices: Vec<usize>,
    result: Outcome,
    first: u64,
    last: u64,
}

impl Without {
    /// Whether a malfunction is left out.
    fn omits(&self, k: Kind, d: &str) -> bool {
        match self {
            Without::LastAction => false,
            Without::Malfunctions => true,
            Without::Malfunction { kind, device } => k == *kind && d == device,
        }
    }

    /// Which deeds of a tape are left out.
    fn omitted(&self, deeds: &[Done]) -> Vec<bool> {
        let last = deeds.iter().rposition(|d| d.what.is_action());
        let mut gone = Vec::new();
        let one = |(k, d): (usize, &Done)| match (self, &d.what) {
            (Without::LastAction, _) => Some(k) == last,
            (Without::Malfunctions, deed) => deed.is_malfunction(),
            (_, Deed::Command { command: Command::InsertMalfunction { malfunction: m } }) => {
                self.omits(m.kind, &m.device)
            }
            (_, Deed::Command { command: Command::RemoveMalfunction { kind, device } }) => {
                self.omits(*kind, device)
            }
            (_, Deed::Schedule { id, malfunction: m, .. }) if self.omits(m.kind, &m.device) => {
                gone.push(*id);
                true
            }
            (_, Deed::Cancel { id }) => gone.contains(id),
            _ => false,
        };
        deeds.iter().enumerate().map(one).collect()
    }
}

impl Free {
    /// Prepares the other outcome: of these signals, from a minute before what is left out up to now and so much farther [s].
    ///
    /// # Errors
    /// There is nothing to be left out, it lies too far back, a signal is unknown, or the plant cannot be started.
    pub fn other(&self, without: &Without, signals: &[String], plus_s: f64) -> Result<Other, Fault> {
        let wrong = |code: &str, message: &str, remedy: &str| Fault::new(code, "other", message, remedy);
        if !(0.0..=AHEAD).contains(&plus_s) || signals.is_empty() || signals.len() > MOST {
            let message = format!("{} signals over {plus_s} s more cannot be asked for.", signals.len());
            let remedy = format!("Ask for 1 to {MOST} signals, and for 0 to {AHEAD} s more.");
            return Err(wrong("out_of_range", &message, &remedy));
        }
        let indices: Vec<usize> = signals.iter().map(|id| self.place(id)).collect::<Result<_, _>>()?;
        let deeds = self.tape.deeds();
        let omitted = without.omitted(deeds);
        let first = omitted.iter().position(|o| *o);
        let in_force = &self.sim.state().malfunctions;
        let inserted = |a: &Active| {
            deeds.iter().zip(&omitted).any(|(d, o)| match &d.what {
                Deed::Command { command: Command::InsertMalfunction { malfunction: m } }
                | Deed::Schedule { malfunction: m, .. } => *o && m.kind == a.kind && m.device == a.device,
                _ => false,
            })
        };
        // What was in force, or waited, before the tape began has to be left out from there on.
        let inherited = in_force.iter().any(|a| without.omits(a.kind, &a.device) && !inserted(a));
        let (now, start) = (self.step(), self.tape.start().map_or(0, |m| m.step));
        let from = match first {
            _ if inherited => start,
            Some(k) => deeds[k].step,
            None => {
                return Err(match without {
                    Without::LastAction => {
                        wrong("no_action", "the operator has done nothing yet.", "Do something first.")
                    }
                    _ => wrong("none", "no malfunction was in force in this run.", "Insert one first."),
                });
            }
        };
        let shown = from.saturating_sub(BEFORE).max(start);
        let mark = self.tape.before(shown).or_else(|| self.tape.before(from));
        let mark = mark.filter(|m| now - m.step <= LONGEST).ok_or_else(|| {
            wrong(
                "too_far",
                "what is to be left out lies more than four hours back.",
                "Begin from a snapshot.",
            )
        })?;
        let end = now + steps(plus_s);
        let rest = deeds[mark.deeds..].to_vec();
        let kept = rest.iter().zip(&omitted[mark.deeds..]).filter(|(_, o)| !**o);
        let kept = kept.map(|(d, _)| d.clone()).collect();
        let (with, mut without_it) = (self.fork(mark, rest, end)?, self.fork(mark, kept, end)?);
        let there = without_it.sim.state().malfunctions.clone();
        for a in there.iter().filter(|a| without.omits(a.kind, &a.device)) {
            without_it.sim.command(&Command::RemoveMalfunction { kind: a.kind, device: a.device.clone() })?;
        }
        without_it.queue.drop_where(|m| without.omits(m.kind, &m.device));
        let first_point = shown.max(mark.step).next_multiple_of(SECOND);
        let action = match (without, first.map(|k| &deeds[k].what)) {
            (Without::LastAction, Some(Deed::Command { command })) => Some(command.clone()),
            _ => None,
        };
        let columns = vec![Vec::new(); indices.len()];
        let mut other = Other {
            with,
            without: without_it,
            indices,
            first: first_point,
            last: end,
            result: Outcome {
                twin: Twin {
                    signals: signals.to_vec(),
                    from_s: crate::exercise::seconds(first_point),
                    action,
                    with: columns.clone(),
                    without: columns,
                },
                now_s: self.sim.time(),
                stopped: None,
            },
        };
        other.keep();
        Ok(other)
    }

    /// A run of its own from a mark, with these deeds ahead.
    fn fork(&self, mark: &Mark, deeds: Vec<Done>, end: u64) -> Result<Free, Fault> {
        let mut sim = Sim::new(self.sim.plant().clone())?;
        sim.restore(&mark.snapshot)?;
        let (start, check) = marked(&sim, &mark.queue, 0)?;
        let mut run = Free::begun(sim, self.names.clone(), mark.queue.clone(), Tape::new(start, check));
        run.ahead = Some(Ahead {
            deeds,
            next: 0,
            // It is run beyond its deeds, and not compared.
            end: Check { step: end + 1, state: String::new() },
            checks: Vec::new(),
        });
        Ok(run)
    }
}

impl Other {
    /// Goes on by at most so many steps of each run, and says which share of the whole is done; 1: all.
    ///
    /// # Errors
    /// The run as it was does not come again, which would be a fault of the program.
    pub fn go(&mut self, most: u32) -> Result<f64, Fault> {
        for _ in 0..most {
            if self.with.step() >= self.last {
                break;
            }
            // The end of a run that stopped on its own is no fault of the comparison.
            if self.with.stopped.is_none()
                && let Err(f) = self.with.one()
                && self.result.twin.with.iter().all(Vec::is_empty)
            {
                return Err(f);
            }
            if self.result.stopped.is_none() {
                self.result.stopped = self.without.one().err();
            }
            if self.with.stopped.is_some() && self.result.stopped.is_some() {
                return Ok(1.0);
            }
            self.keep();
        }
        let (from, to) = (self.first as f64, self.last as f64);
        let done = (self.with.step().max(self.without.step()) as f64).min(to);
        Ok(if done >= to { 1.0 } else { ((done - from) / (to - from)).clamp(0.0, 0.999) })
    }

    fn keep(&mut self) {
        let Twin { with, without, .. } = &mut self.result.twin;
        for (run, columns, stopped) in
            [(&mut self.with, with, false), (&mut self.without, without, self.result.stopped.is_some())]
        {
            let step = run.step();
            if stopped || run.stopped.is_some() || step < self.first || !step.is_multiple_of(SECOND) {
                continue;
            }
            engine::signals::read(&run.sim, &mut run.values);
            for (k, column) in self.indices.iter().zip(columns) {
                column.push(run.values[*k]);
            }
        }
    }

    /// Both outcomes, as far as they have come.
    pub fn outcome(&self) -> &Outcome {
        &self.result
    }
}
