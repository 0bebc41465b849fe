//! The tape of a free run: marks of the plant at intervals and everything done since its start, so that any instant can be
//! had again by going on from the mark before it. A run is deterministic, so what comes again is the same to the last bit.

use super::queue::Queue;
use crate::exercise::condition::Condition;
use crate::exercise::control::{answers_alarm, is_malfunction};
use crate::run::CHECK;
use engine::Command;
use engine::malfunction::Malfunction;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Steps between marks: a minute, so that going back anywhere runs less than that again.
pub const MARK: u64 = CHECK;
/// Steps for which every mark is kept: an hour.
pub const FINE: u64 = 60 * MARK;
/// Steps between the marks that are kept for longer: ten minutes.
pub const COARSE: u64 = 10 * MARK;
/// Most marks kept: a week of coarse ones, and an hour of fine ones.
const MOST_MARKS: usize = 1_100;
/// Most deeds of a tape: far beyond what a person does in a day.
pub const MOST_DEEDS: usize = 20_000;

/// Something done to the plant that may matter for what follows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "deed", rename_all = "snake_case", deny_unknown_fields)]
pub enum Deed {
    /// A command was given, and taken.
    Command {
        /// The command.
        command: Command,
    },
    /// A malfunction was set to wait for a condition.
    Schedule {
        /// Its number among those that wait.
        id: u32,
        /// The condition.
        when: Condition,
        /// The malfunction.
        malfunction: Malfunction,
    },
    /// One that waited was called off.
    Cancel {
        /// Its number.
        id: u32,
    },
}

impl Deed {
    /// Whether it makes something go wrong, or takes that away.
    pub fn is_malfunction(&self) -> bool {
        match self {
            Deed::Command { command } => is_malfunction(command),
            Deed::Schedule { .. } | Deed::Cancel { .. } => true,
        }
    }

    /// Whether it is an operator's, and moves something.
    pub fn is_action(&self) -> bool {
        matches!(self, Deed::Command { command } if !is_malfunction(command) && !answers_alarm(command))
    }
}

/// A deed and when it was done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// Steps of the plant made before it.
    pub step: u64,
    /// What was done.
    pub what: Deed,
}

/// State hash at a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Steps of the plant made.
    pub step: u64,
    /// SHA-256 of the state.
    pub state: String,
}

/// The plant as it arrived at a step, before anything was done there.
#[derive(Clone, Debug)]
pub struct Mark {
    /// Steps of the plant made.
    pub step: u64,
    /// Snapshot of the plant.
    pub snapshot: Vec<u8>,
    /// What waited, and what its conditions remember.
    pub queue: Queue,
    /// How many deeds lie before it.
    pub deeds: usize,
}

/// A tape.
#[derive(Clone, Debug)]
pub struct Tape {
    marks: Vec<Mark>,
    deeds: Vec<Done>,
    checks: Vec<Check>,
}

impl Tape {
    /// Begins at a mark.
    pub fn new(start: Mark, check: Check) -> Tape {
        Tape { marks: vec![Mark { deeds: 0, ..start }], deeds: Vec::new(), checks: vec![check] }
    }

    /// Keeps a deed.
    pub fn put(&mut self, done: Done) {
        self.deeds.push(done);
    }

    /// Whether no more deeds can be kept.
    pub fn is_full(&self) -> bool {
        self.deeds.len() >= MOST_DEEDS
    }

    /// Keeps a mark, and lets go of old ones that lie too close.
    pub fn mark(&mut self, mark: Mark, check: Check) {
        let fine_from = mark.step.saturating_sub(FINE + MARK);
        self.marks.push(mark);
        self.checks.push(check);
        let first = self.marks.first().map_or(0, |m| m.step);
        self.marks.retain(|m| m.step == first || m.step >= fine_from || m.step.is_multiple_of(COARSE));
        if self.marks.len() > MOST_MARKS {
            // Its start stays: it is what the tape can be gone through from.
            self.marks.remove(1);
        }
    }

    /// The mark from which a step can be reached within reasonable time, if there is one.
    pub fn before(&self, step: u64) -> Option<&Mark> {
        let k = self.marks.partition_point(|m| m.step <= step);
        self.marks[..k].last().filter(|m| step - m.step <= COARSE)
    }

    /// The mark of its start.
    pub fn start(&self) -> Option<&Mark> {
        self.marks.first()
    }

    /// The earliest step from which on every step can be had.
    pub fn reaches(&self) -> u64 {
        let gap = self.marks.windows(2).rposition(|w| w[1].step - w[0].step > COARSE);
        self.marks.get(gap.map_or(0, |k| k + 1)).map_or(0, |m| m.step)
    }

    /// Cuts off everything after a mark at `step`, and gives the deeds and hashes that lay there.
    pub fn cut(&mut self, step: u64) -> (Vec<Done>, Vec<Check>) {
        let k = self.marks.partition_point(|m| m.step <= step).max(1);
        self.marks.truncate(k);
        let checks = self.checks.partition_point(|c| c.step <= step);
        let keep = self.marks.last().map_or(0, |m| m.deeds).min(self.deeds.len());
        (self.deeds.split_off(keep), self.checks.split_off(checks))
    }

    /// What was done, oldest first.
    pub fn deeds(&self) -> &[Done] {
        &self.deeds
    }

    /// Hashes by which a replay is compared, one a minute.
    pub fn checks(&self) -> &[Check] {
        &self.checks
    }

    /// Number of marks kept, and the memory that their snapshots take [bytes].
    pub fn size(&self) -> (usize, usize) {
        (self.marks.len(), self.marks.iter().map(|m| m.snapshot.len()).sum())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(step: u64, deeds: usize) -> Mark {
        Mark { step, snapshot: vec![0; 10], queue: Queue::default(), deeds }
    }

    fn check(step: u64) -> Check {
        Check { step, state: step.to_string() }
    }

    fn long(steps: u64) -> Tape {
        let mut t = Tape::new(mark(7, 0), check(7));
        for step in (MARK..=steps).step_by(MARK as usize) {
            t.mark(mark(step, 0), check(step));
        }
        t
    }

    /// Within the last hour less than a minute is run again, before that at most ten.
    #[test]
    fn any_step_lies_close_behind_a_mark() {
        let end = 6 * FINE + 3 * MARK;
        let t = long(end);
        for step in (7..=end).step_by(37) {
            let from = t.before(step).unwrap().step;
            let far = if end - step <= FINE { MARK } else { COARSE };
            assert!(from <= step && step - from <= far, "{step}: {from}");
        }
        assert!(t.before(6).is_none());
        assert_eq!(t.reaches(), 7);
        assert!(t.size().0 < 100, "{:?}", t.size());
        assert_eq!(t.checks().len() as u64, 1 + end / MARK);
    }

    /// After weeks the start is kept and the middle is let go: that is said, not run for minutes.
    #[test]
    fn a_very_long_one_keeps_its_start_and_its_last_week() {
        let end = 3 * 7 * 24 * FINE;
        let t = long(end);
        assert!(t.size().0 <= MOST_MARKS);
        assert_eq!(t.start().unwrap().step, 7);
        assert!(t.before(end / 3).is_none());
        assert!(t.before(t.reaches()).is_some() && t.before(t.reaches() - 1).is_none());
        assert!(end - t.reaches() > 6 * 24 * FINE);
    }

    #[test]
    fn what_lies_behind_a_cut_is_given_back() {
        let mut t = long(2 * MARK);
        let done = |step| Done { step, what: Deed::Cancel { id: step as u32 } };
        t.put(done(2 * MARK + 1));
        t.mark(mark(3 * MARK, 1), check(3 * MARK));
        t.put(done(3 * MARK));
        assert_eq!(t.cut(3 * MARK), (vec![done(3 * MARK)], vec![]));
        assert_eq!(t.deeds(), [done(2 * MARK + 1)]);
        assert_eq!(t.cut(2 * MARK + 50), (vec![done(2 * MARK + 1)], vec![check(3 * MARK)]));
        assert_eq!(t.checks().last().unwrap().step, 2 * MARK);
        assert_eq!(t.size().0, 3);
    }
}
