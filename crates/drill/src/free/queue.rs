//! Malfunctions that wait for a condition in a free run: the same condition trees, looked at in the same way, as in an exercise.

use crate::exercise::check::{Names, alone};
use crate::exercise::condition::Condition;
use crate::exercise::control::is_malfunction;
use crate::watch::{Sight, Watch};
use engine::malfunction::Malfunction;
use engine::{Command, Event, Fault, Sim};
use serde::Serialize;

/// Most that can wait at once.
const MOST: usize = 64;

/// A malfunction that waits.
#[derive(Clone, Debug, Serialize)]
pub struct Waiting {
    /// Its number.
    pub id: u32,
    /// Plant time at which it was set [s].
    pub since_s: f64,
    /// What it waits for; times in it count from then on.
    pub when: Condition,
    /// What happens then.
    pub malfunction: Malfunction,
    #[serde(skip)]
    from: u64,
    #[serde(skip)]
    watch: Watch,
}

/// One whose moment came.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fired {
    /// Its number.
    pub id: u32,
    /// Plant time [s].
    pub at_s: f64,
    /// What was to happen.
    pub malfunction: Malfunction,
    /// Why the plant refused it, where it did.
    pub refused: Option<Fault>,
}

/// What waits, and what its conditions remember.
#[derive(Clone, Debug, Default)]
pub struct Queue {
    waiting: Vec<Waiting>,
    fired: Vec<Fired>,
    /// Numbers given so far.
    last: u32,
    /// Number of the last event looked at.
    last_event: u64,
    /// Commands since the last look.
    commands: Vec<Command>,
}

impl Queue {
    /// Checks a condition and a malfunction and lets the one wait for the other.
    ///
    /// # Errors
    /// A name that the plant lacks, a figure out of range, a malfunction that cannot befall its device, too many.
    pub(super) fn put(
        &mut self,
        sim: &Sim,
        names: &Names,
        when: &Condition,
        malfunction: &Malfunction,
    ) -> Result<u32, Fault> {
        if let Some(fault) = alone(when, names).into_iter().next() {
            return Err(fault);
        }
        if self.waiting.len() >= MOST {
            return Err(Fault::new(
                "too_many",
                "waiting",
                format!("{MOST} malfunctions wait, as many as there can be."),
                "Call one off first.",
            ));
        }
        engine::malfunction::insert(sim.params(), &mut Vec::new(), malfunction, sim.time())?;
        let no_timeline = |id: &str| {
            Err(Fault::new(
                "no_such_happening",
                id,
                "a free run has no timeline.",
                "Name a signal or an event.",
            ))
        };
        let signal = |id: &str| {
            names.signal(id).ok_or_else(|| {
                Fault::new(
                    "no_such_signal",
                    id,
                    "the plant has no such signal.",
                    "Name a signal of the plant.",
                )
            })
        };
        let watch = Watch::of(when, &signal, &no_timeline)?;
        if self.waiting.is_empty() {
            self.last_event = sim.state().events;
            self.commands.clear();
        }
        self.last += 1;
        self.waiting.push(Waiting {
            id: self.last,
            since_s: sim.time(),
            when: when.clone(),
            malfunction: malfunction.clone(),
            from: sim.state().steps,
            watch,
        });
        Ok(self.last)
    }

    /// Calls one off.
    ///
    /// # Errors
    /// None of this number waits.
    pub(super) fn cancel(&mut self, id: u32) -> Result<(), Fault> {
        let k = self.waiting.iter().position(|w| w.id == id).ok_or_else(|| {
            let message = "no malfunction of this number waits.";
            Fault::new("not_waiting", id.to_string(), message, "Look at the list of those that wait.")
        })?;
        self.waiting.remove(k);
        Ok(())
    }

    /// Calls off those whose malfunction is meant.
    pub(super) fn drop_where(&mut self, meant: impl Fn(&Malfunction) -> bool) {
        self.waiting.retain(|w| !meant(&w.malfunction));
    }

    /// Sets the number that the next one gets, so that a deed done again has the number it had.
    pub(super) fn count_from(&mut self, id: u32) {
        self.last = id.saturating_sub(1);
    }

    /// Takes note of a command of the operator's, for conditions that ask for one.
    pub(super) fn heard(&mut self, command: &Command) {
        if !self.waiting.is_empty() && !is_malfunction(command) {
            self.commands.push(command.clone());
        }
    }

    /// Looks once after a step; what no longer waits happens at once.
    pub(super) fn look(&mut self, sim: &mut Sim, values: &mut Vec<f64>) {
        if self.waiting.is_empty() {
            return;
        }
        engine::signals::read(sim, values);
        let events: Vec<Event> = sim.events(self.last_event).to_vec();
        self.last_event = sim.state().events;
        let (step, commands) = (sim.state().steps, std::mem::take(&mut self.commands));
        let mut due = Vec::new();
        self.waiting.retain_mut(|w| {
            let s = Sight { step: step - w.from, values, commands: &commands, events: &events, fired: &[] };
            let holds = w.watch.look(&s);
            if holds {
                due.push((w.id, w.malfunction.clone()));
            }
            !holds
        });
        for (id, malfunction) in due {
            let command = Command::InsertMalfunction { malfunction: malfunction.clone() };
            let refused = sim.command(&command).err();
            self.fired.push(Fired { id, at_s: sim.time(), malfunction, refused });
        }
    }

    /// Those that wait, in the order in which they were set.
    pub fn waiting(&self) -> &[Waiting] {
        &self.waiting
    }

    /// Those whose moment came.
    pub fn fired(&self) -> &[Fired] {
        &self.fired
    }
}
