//! What a soak has been through, so that one can see that it was worth running.

use crate::soak::Finding;
use crate::soak::case::Refused;
use crate::soak::laws::Breach;
use crate::soak::record::{Of, Record};
use engine::{Command, Event};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// Counts.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Plant time looked at [s], without what was played again.
    pub seconds: f64,
    /// Of it, in upsets and while the operator puts things right: looked at every second.
    pub upset: f64,
    /// Cases played.
    pub cases: usize,
    /// Of them, of plants at random.
    pub random: usize,
    /// Plants drawn that cannot be run, by why.
    pub refused: BTreeMap<String, usize>,
    /// Commands carried out, and refused.
    pub commands: (usize, usize),
    /// Kinds of malfunction put in force.
    pub malfunctions: BTreeSet<String>,
    /// Kinds of event seen.
    pub events: BTreeSet<String>,
    /// Cases with a snapshot that came to the same bits.
    pub same_bits: usize,
    /// Plants that rested for a day.
    pub rested: usize,
    /// Plants put right that settled at the balance.
    pub settled: usize,
    /// What an operator could not put right.
    pub left_over: Vec<String>,
    /// Plants at random, put right, whose level control hunts at that load.
    pub hunting: usize,
    /// Plants put right at a load without a balance.
    pub unbalanced: usize,
    /// What broke.
    pub found: Vec<Finding>,
}

impl Tally {
    /// Plant hours looked at.
    pub fn hours(&self) -> f64 {
        self.seconds / 3600.0
    }

    pub(super) fn refuse(&mut self, r: &Refused) {
        *self.refused.entry(r.fault.code.clone()).or_default() += 1;
        // A soak of nothing but refusals must end too.
        self.seconds += 1.0;
    }

    pub(super) fn command(&mut self, command: &Command, done: bool) {
        if done {
            self.commands.0 += 1;
            if let Command::InsertMalfunction { malfunction } = command {
                self.malfunctions.insert(malfunction.kind.word());
            }
        } else {
            self.commands.1 += 1;
        }
    }

    pub(super) fn events(&mut self, events: &[Event]) {
        self.events.extend(events.iter().map(|e| format!("{:?}", e.code)));
    }

    pub(super) fn case(&mut self, record: &Record, end: &Result<(), Breach>) {
        self.cases += 1;
        self.random += usize::from(matches!(record.plant, Of::Drawn(_)));
        self.same_bits += usize::from(end.is_ok() && record.kept_s.is_some());
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{:.1} plant hours, {:.1} of them upset, {} cases ({} of plants at random), {} commands carried out, {} \
             refused,",
            self.hours(),
            self.upset / 3600.0,
            self.cases,
            self.random,
            self.commands.0,
            self.commands.1
        )?;
        writeln!(
            f,
            "{} kinds of malfunction, {} kinds of event; {} snapshots went on with the same bits, {} plants rested \
             for a day,",
            self.malfunctions.len(),
            self.events.len(),
            self.same_bits,
            self.rested
        )?;
        writeln!(
            f,
            "{} settled at the balance after all was put right, {} hunted, {} could not be put right, {} had no balance \
             at that load;",
            self.settled,
            self.hunting,
            self.left_over.len(),
            self.unbalanced
        )?;
        write!(f, "plants drawn that cannot be run: {:?}; breaches: {}", self.refused, self.found.len())
    }
}
