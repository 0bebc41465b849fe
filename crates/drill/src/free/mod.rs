//! A free run: no exercise, no score. The instructor runs the plant, makes things go wrong, goes back to any instant, plays
//! what was done again or goes another way, and keeps where it stands for another day.
//!
//! Order of a step: what was done here before, if the run is being played again; the plant; then what waits for a condition
//! looks; then, every minute, a mark.

mod asked;
pub mod file;
pub mod other;
mod queue;
mod tape;

pub use asked::Asked;
pub use queue::{Fired, Queue, Waiting};
pub use tape::{COARSE, Check, Deed, Done, FINE, MARK, Mark, Tape};

use crate::exercise::check::Names;
use crate::exercise::condition::Condition;
use crate::exercise::{Start, seconds};
use crate::lesson::started;
use engine::malfunction::Malfunction;
use engine::plant::file::Plant;
use engine::{Command, Fault, Sim, signals};
use std::sync::Arc;

/// What lies ahead of an instant to which the run was set back, or of the start of a tape that was opened.
#[derive(Clone, Debug)]
struct Ahead {
    deeds: Vec<Done>,
    next: usize,
    end: Check,
    /// Hashes of marks on the way that are to be met.
    checks: Vec<Check>,
}

/// A run that was left for another start, as it stood.
struct Left {
    sim: Sim,
    queue: Queue,
    tape: Tape,
    ahead: Option<Ahead>,
}

/// How playing again came out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Again {
    /// The plant stands where it stood, bit for bit.
    Same,
    /// It does not, from this step on.
    Differs {
        /// Steps of the plant made.
        step: u64,
    },
}

/// A free run.
pub struct Free {
    sim: Sim,
    names: Arc<Names>,
    values: Vec<f64>,
    queue: Queue,
    tape: Tape,
    ahead: Option<Ahead>,
    again: Option<Again>,
    asked: Option<Asked>,
    left: Option<Box<Left>>,
    stopped: Option<Fault>,
    made: std::cell::OnceCell<file::Made>,
}

impl Free {
    /// A plant at rest at its design point.
    ///
    /// # Errors
    /// The plant cannot be sized.
    pub fn new(plant: Plant) -> Result<Free, Fault> {
        let sim = Sim::new(plant)?;
        let (mark, check) = marked(&sim, &Queue::default(), 0)?;
        let names = Arc::new(Names::of(&sim));
        Ok(Free::begun(sim, names, Queue::default(), Tape::new(mark, check)))
    }

    fn begun(sim: Sim, names: Arc<Names>, queue: Queue, tape: Tape) -> Free {
        Free {
            sim,
            names,
            values: Vec::new(),
            queue,
            tape,
            ahead: None,
            again: None,
            asked: None,
            left: None,
            stopped: None,
            made: std::cell::OnceCell::new(),
        }
    }

    /// Goes on by whole steps.
    ///
    /// # Errors
    /// The model can go no further; it stays where it is and says so again until it is set back.
    pub fn advance(&mut self, steps: u32) -> Result<(), Fault> {
        for _ in 0..steps {
            self.one()?;
        }
        Ok(())
    }

    fn one(&mut self) -> Result<(), Fault> {
        if let Some(f) = &self.stopped {
            return Err(f.clone());
        }
        self.follow()?;
        // What was done at the last instant itself is all that lay ahead.
        if self.ahead.as_ref().is_some_and(|a| a.end.step <= self.step()) {
            self.arrive()?;
        }
        if let Err(f) = self.sim.advance(1) {
            self.stopped = Some(f.clone());
            return Err(f);
        }
        self.queue.look(&mut self.sim, &mut self.values);
        if self.asked.as_ref().is_some_and(|a| a.wants(self.sim.state().steps)) {
            signals::read(&self.sim, &mut self.values);
            if let Some(a) = &mut self.asked {
                a.observed.push(self.values[a.index]);
            }
        }
        if self.step().is_multiple_of(MARK) {
            let (mark, check) = marked(&self.sim, &self.queue, self.tape.deeds().len())?;
            self.meet(&check);
            self.tape.mark(mark, check);
        }
        if self.ahead.as_ref().is_some_and(|a| a.end.step <= self.step()) {
            self.follow()?;
            self.arrive()?;
        }
        Ok(())
    }

    /// Compares the hash of a mark with what is said of its step.
    fn meet(&mut self, here: &Check) {
        let said = self.ahead.as_ref().and_then(|a| a.checks.iter().find(|c| c.step == here.step));
        if self.again.is_none() && said.is_some_and(|c| c.state != here.state) {
            self.again = Some(Again::Differs { step: here.step });
        }
    }

    /// At the end of what lay ahead, everything done again: whether the plant stands where it stood.
    fn arrive(&mut self) -> Result<(), Fault> {
        if let Some(Ahead { end, .. }) = self.ahead.take()
            && self.again.is_none()
        {
            let same = end.state == self.sim.state_hash()?;
            self.again = Some(if same { Again::Same } else { Again::Differs { step: end.step } });
        }
        Ok(())
    }

    /// Does what was done at this step, if the run is being played again.
    fn follow(&mut self) -> Result<(), Fault> {
        let now = self.step();
        loop {
            let Some(a) = &mut self.ahead else { return Ok(()) };
            let Some(done) = a.deeds.get(a.next).filter(|d| d.step <= now).cloned() else { return Ok(()) };
            a.next += 1;
            // What was taken then is taken now; without something that came before it, it may be refused, and is left out.
            if self.act(&done.what).is_ok() {
                self.tape.put(Done { step: now, what: done.what });
            }
        }
    }

    fn act(&mut self, deed: &Deed) -> Result<(), Fault> {
        match deed {
            Deed::Command { command } => {
                self.sim.command(command)?;
                self.queue.heard(command);
                Ok(())
            }
            Deed::Schedule { id, when, malfunction } => {
                self.queue.count_from(*id);
                self.queue.put(&self.sim, &self.names, when, malfunction).map(drop)
            }
            Deed::Cancel { id } => self.queue.cancel(*id),
        }
    }

    /// Does something and keeps it on the tape. What lay ahead is left behind: from here the run goes another way.
    fn keep(&mut self, what: Deed) -> Result<(), Fault> {
        if self.tape.is_full() {
            let message = "the tape holds as much as it can.";
            return Err(Fault::new("tape_full", "tape", message, "Keep a snapshot and begin from it."));
        }
        self.act(&what)?;
        self.branch();
        self.tape.put(Done { step: self.step(), what });
        Ok(())
    }

    /// Gives a command.
    ///
    /// # Errors
    /// The plant refuses it.
    pub fn command(&mut self, command: &Command) -> Result<(), Fault> {
        // What cannot be written and read again the same cannot be replayed.
        let same = serde_json::to_string(command).ok().and_then(|t| serde_json::from_str(&t).ok());
        if same.as_ref() != Some(command) {
            let message = "a figure of this command is no number.";
            return Err(Fault::new("out_of_range", "command", message, "Give a number."));
        }
        self.keep(Deed::Command { command: command.clone() })
    }

    /// Lets a malfunction wait for a condition; gives the number it has.
    ///
    /// # Errors
    /// A name that the plant lacks, a figure out of range, too many.
    pub fn schedule(&mut self, when: Condition, malfunction: Malfunction) -> Result<u32, Fault> {
        let mut trial = self.queue.clone();
        let id = trial.put(&self.sim, &self.names, &when, &malfunction)?;
        self.keep(Deed::Schedule { id, when, malfunction })?;
        Ok(id)
    }

    /// Calls off one that waits.
    ///
    /// # Errors
    /// None of this number waits.
    pub fn cancel(&mut self, id: u32) -> Result<(), Fault> {
        self.keep(Deed::Cancel { id })
    }

    /// Goes back to the instant at which the plant arrived at a step, before anything was done there. What was done since lies
    /// ahead: going on plays it again, doing something else leaves it behind.
    ///
    /// # Errors
    /// The step lies ahead of now, or before what is kept. Then nothing has changed.
    pub fn back(&mut self, step: u64) -> Result<(), Fault> {
        let now = self.step();
        let mark = self.tape.before(step).filter(|_| step <= now).cloned().ok_or_else(|| {
            Fault::new(
                "not_kept",
                "tape",
                format!("{} s is not an instant of this run that is kept.", seconds(step)),
                format!("Choose one from {} s to {} s.", seconds(self.tape.reaches()), seconds(now)),
            )
        })?;
        let end = match &self.ahead {
            Some(a) => a.end.clone(),
            None => Check { step: now, state: self.sim.state_hash()? },
        };
        self.sim.restore(&mark.snapshot)?;
        self.queue = mark.queue;
        if let Some(a) = &mut self.asked {
            a.cut(mark.step);
        }
        self.stopped = None;
        self.again = None;
        let (mut deeds, mut checks) = self.tape.cut(mark.step);
        if let Some(a) = self.ahead.take() {
            deeds.extend_from_slice(&a.deeds[a.next..]);
            checks.extend(a.checks.into_iter().filter(|c| c.step > now));
        }
        self.ahead = Some(Ahead { deeds, next: 0, end, checks });
        while self.step() < step {
            self.one()?;
        }
        // Back at the very instant from which it was gone back, with nothing undone: there is nothing ahead.
        if self.ahead.as_ref().is_some_and(|a| a.end.step <= step && a.next >= a.deeds.len()) {
            self.ahead = None;
        }
        Ok(())
    }

    /// Leaves behind what lies ahead.
    pub fn branch(&mut self) {
        self.ahead = None;
    }

    /// Begins a new tape at a plant that has been told what a start asks of it; it is then left to settle, and the tape begun
    /// once more by [`Free::begin_here`]. The run so far is kept for [`Free::back_to_left`].
    ///
    /// # Errors
    /// The plant refuses what is asked. Then nothing has changed.
    pub fn begin(&mut self, start: &Start) -> Result<(), Fault> {
        let sim = started(self.sim.plant().clone(), start, false)?;
        let (mark, check) = marked(&sim, &Queue::default(), 0)?;
        self.enter(sim, Queue::default(), Tape::new(mark, check), None);
        Ok(())
    }

    /// Begins a new tape here: nothing before this instant can be gone back to.
    ///
    /// # Errors
    /// The state cannot be written.
    pub fn begin_here(&mut self) -> Result<(), Fault> {
        let (mark, check) = marked(&self.sim, &self.queue, 0)?;
        self.tape = Tape::new(mark, check);
        self.branch();
        Ok(())
    }

    /// Takes up another run and keeps the one of now beside it.
    fn enter(&mut self, sim: Sim, queue: Queue, tape: Tape, ahead: Option<Ahead>) {
        use std::mem::replace;
        self.left = Some(Box::new(Left {
            sim: replace(&mut self.sim, sim),
            queue: replace(&mut self.queue, queue),
            tape: replace(&mut self.tape, tape),
            ahead: replace(&mut self.ahead, ahead),
        }));
        self.again = None;
        self.asked = None;
        self.stopped = None;
    }

    /// Goes back to the run that was left last, with its tape; the one of now becomes the one that was left.
    ///
    /// # Errors
    /// None was left.
    pub fn back_to_left(&mut self) -> Result<(), Fault> {
        let Some(there) = self.left.take() else {
            let message = "no other run was left.";
            return Err(Fault::new("none_left", "tape", message, "Go on with this one."));
        };
        let Left { sim, queue, tape, ahead } = *there;
        self.enter(sim, queue, tape, ahead);
        Ok(())
    }

    /// Asks what a signal will do from now on, for so long [s]; the question before is forgotten.
    ///
    /// # Errors
    /// The plant has no such signal, or the window is too short or too long.
    pub fn ask(&mut self, signal: &str, window_s: f64) -> Result<(), Fault> {
        let index = self.place(signal)?;
        let d = &self.names.signals[index];
        signals::read(&self.sim, &mut self.values);
        let now = self.values[index];
        self.asked = Some(Asked::new((signal, index, d.high - d.low), window_s, self.step(), now)?);
        Ok(())
    }

    /// The question that was asked last, with what has been observed since.
    pub fn asked(&self) -> Option<&Asked> {
        self.asked.as_ref()
    }

    /// Place of a signal among the plant's.
    fn place(&self, id: &str) -> Result<usize, Fault> {
        self.names.signal(id).ok_or_else(|| {
            Fault::new("no_such_signal", id, "the plant has no such signal.", "Name a signal of the plant.")
        })
    }

    /// The plant, to be read.
    pub fn sim(&self) -> &Sim {
        &self.sim
    }

    /// Steps of the plant made.
    pub fn step(&self) -> u64 {
        self.sim.state().steps
    }

    /// What waits for a condition.
    pub fn queue(&self) -> &Queue {
        &self.queue
    }

    /// The tape up to now.
    pub fn tape(&self) -> &Tape {
        &self.tape
    }

    /// Last step that lies ahead, while the run is being played again, and what is yet to be done until there.
    pub fn ahead(&self) -> Option<(u64, &[Done])> {
        self.ahead.as_ref().map(|a| (a.end.step, &a.deeds[a.next..]))
    }

    /// How playing again came out, once it has.
    pub fn again(&self) -> Option<&Again> {
        self.again.as_ref()
    }

    /// Whether another run was left that can be gone back to.
    pub fn has_left(&self) -> bool {
        self.left.is_some()
    }
}

/// A mark of now, after `deeds` deeds, and its hash.
fn marked(sim: &Sim, queue: &Queue, deeds: usize) -> Result<(Mark, Check), Fault> {
    let step = sim.state().steps;
    let mark = Mark { step, snapshot: sim.snapshot()?, queue: queue.clone(), deeds };
    Ok((mark, Check { step, state: sim.state_hash()? }))
}
