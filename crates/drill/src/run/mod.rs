//! An exercise being taken: the plant is driven by whole steps, what is done is recorded, what is judged is watched.
//!
//! Time is a count of steps: how fast they follow one another, and when they stop, is the page's business. Order of a step:
//! what the timeline holds for now; predictions whose moment has come are locked; the plant; then every condition looks.

mod acts;
mod judge;

pub use judge::Outcome;

use crate::entry::{Ended, Entry, FORMAT, Head};
use crate::exercise::control::is_malfunction;
use crate::exercise::prediction::Guess;
use crate::exercise::question::Answer;
use crate::exercise::{seconds, steps};
use crate::lesson::{Lesson, hash};
use crate::score::Known;
use crate::series::Series;
use crate::track::{Track, When};
use crate::watch::{Sight, Watch};
use engine::signals::{self, Wanted};
use engine::{Command, Event, Fault, Sim};
use serde::Serialize;
use std::sync::Arc;

/// Steps between marks of a record: a minute.
pub const CHECK: u64 = 240;
/// Steps between points of the kept series: a second.
pub const SECOND: u64 = 4;
/// Most entries a trainee can make: far beyond what a person does in four hours, little for a machine.
pub const MOST_ENTRIES: usize = 20_000;

/// What is to be left out when an exercise is run again.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Omit {
    /// Malfunctions of the timeline and of the start are not inserted.
    pub malfunctions: bool,
    /// Nothing but its length ends the exercise.
    pub ends: bool,
}

/// A prediction at work.
struct Foreseen {
    index: usize,
    when: When,
    window: u64,
    locked: Option<u64>,
    guess: Option<Guess>,
    observed: Vec<f64>,
    /// It has been pointed out that its moment has come.
    called: bool,
}

/// What an advance did.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advance {
    /// Steps made.
    pub steps: u32,
    /// Predictions not made whose moment has come: the advance stops once before it is too late.
    pub waiting: Vec<String>,
}

/// Something that happened, for the time line.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Step.
    pub step: u64,
    /// Place in the exercise's timeline.
    pub happening: usize,
    /// What of its commands the plant refused.
    pub refused: Vec<Fault>,
}

/// An exercise being taken.
pub struct Run {
    lesson: Arc<Lesson>,
    sim: Sim,
    omit: Omit,
    step: u64,
    /// Values of all signals at the end of an advance; while it goes on only those that are looked at are renewed.
    values: Vec<f64>,
    wanted: Wanted,
    triggers: Vec<Option<Watch>>,
    due: Vec<bool>,
    fired: Vec<Option<u64>>,
    moved: Vec<Moved>,
    tracks: Vec<Track>,
    ends: Vec<Watch>,
    foreseen: Vec<Foreseen>,
    answers: Vec<Option<(Answer, Known)>>,
    /// What each question's signal showed when it was answered.
    readings: Vec<Option<f64>>,
    hints: usize,
    /// Commands taken since the last look.
    commands: Vec<Command>,
    /// Number of the last event seen.
    last_event: u64,
    events: Vec<Event>,
    entries: Vec<Entry>,
    /// Entries that the last mark covers, and the mark's chain.
    marked: usize,
    chain: String,
    series: Series,
    ended: Option<Ended>,
}

impl Run {
    /// Begins a lesson.
    ///
    /// # Errors
    /// The plant cannot be brought where the exercise begins.
    pub fn new(lesson: Arc<Lesson>, by: Option<String>, begun: Option<String>) -> Result<Run, Fault> {
        let id = lesson.identity().clone();
        let head = Head {
            format: FORMAT.into(),
            exercise: lesson.exercise().id.clone(),
            exercise_hash: id.exercise,
            plant: lesson.plant().name.clone(),
            plant_hash: id.plant,
            engine: id.engine,
            properties: id.properties,
            behaviour: id.behaviour,
            by: by.map(|t| short(&t)),
            begun: begun.map(|t| short(&t)),
        };
        Run::with(lesson, head, Omit::default())
    }

    /// Begins a lesson under the head of a record.
    pub(crate) fn with(lesson: Arc<Lesson>, head: Head, omit: Omit) -> Result<Run, Fault> {
        let sim = lesson.sim(omit.malfunctions)?;
        let e = lesson.exercise();
        let trigger = |c: &Option<_>| c.as_ref().map(|c| Watch::new(c, &lesson)).transpose();
        let triggers: Vec<_> = e.timeline.iter().map(|h| trigger(&h.when)).collect::<Result<_, _>>()?;
        let tracks: Vec<_> =
            e.objectives.iter().map(|o| Track::new(&o.rule, &lesson)).collect::<Result<_, _>>()?;
        let ends: Vec<Watch> =
            e.ends.iter().map(|x| Watch::new(&x.when, &lesson)).collect::<Result<_, _>>()?;
        let mut foreseen = Vec::new();
        for p in &e.predictions {
            foreseen.push(Foreseen {
                index: lesson.signal(&p.signal)?,
                when: When::new(&p.moment, e)?,
                window: steps(p.window_s) / SECOND,
                locked: None,
                guess: None,
                observed: Vec::new(),
                called: false,
            });
        }
        let mut followed: Vec<usize> =
            e.trends.iter().map(|id| lesson.signal(id)).collect::<Result<_, _>>()?;
        followed.extend(foreseen.iter().map(|f| f.index));
        tracks.iter().for_each(|t| t.signals(&mut followed));
        let wanted = looked_at(&sim, &followed, &triggers, &tracks, &ends);
        let last_event = sim.state().events;
        let mut run = Run {
            omit,
            step: 0,
            values: Vec::new(),
            wanted,
            due: vec![false; triggers.len()],
            fired: vec![None; triggers.len()],
            moved: Vec::new(),
            triggers,
            tracks,
            ends,
            foreseen,
            answers: vec![None; e.questions.len()],
            readings: vec![None; e.questions.len()],
            hints: 0,
            commands: Vec::new(),
            last_event,
            events: Vec::new(),
            entries: vec![Entry::Head(head)],
            marked: 0,
            chain: String::new(),
            series: Series::new(followed),
            ended: None,
            sim,
            lesson,
        };
        signals::read(&run.sim, &mut run.values);
        run.series.put(&run.values);
        run.mark()?;
        Ok(run)
    }

    /// Advances by whole steps, or until the exercise is over, or before a moment whose prediction is not made.
    ///
    /// # Errors
    /// The record cannot be kept. That the model stops ends the exercise and is no error.
    pub fn advance(&mut self, most: u32) -> Result<Advance, Fault> {
        let mut done = 0;
        while done < most && self.ended.is_none() {
            let waiting = self.call();
            if !waiting.is_empty() {
                signals::read(&self.sim, &mut self.values);
                return Ok(Advance { steps: done, waiting });
            }
            self.one()?;
            done += 1;
        }
        signals::read(&self.sim, &mut self.values);
        Ok(Advance { steps: done, waiting: Vec::new() })
    }

    /// Predictions whose moment is now, that are not made and have not been called for.
    fn call(&mut self) -> Vec<String> {
        let mut fired = self.fired.clone();
        for k in 0..fired.len() {
            if fired[k].is_none() && self.is_due(k) {
                fired[k] = Some(self.step);
            }
        }
        let (step, e) = (self.step, self.lesson.exercise());
        let mut ids = Vec::new();
        for (f, p) in self.foreseen.iter_mut().zip(&e.predictions) {
            if f.locked.is_none() && f.guess.is_none() && !f.called && f.when.come(step, &fired) {
                f.called = true;
                ids.push(p.id.clone());
            }
        }
        ids
    }

    fn is_due(&self, k: usize) -> bool {
        let at = self.lesson.exercise().timeline[k].at_s;
        self.due[k] || at.is_some_and(|s| self.step >= steps(s))
    }

    fn one(&mut self) -> Result<(), Fault> {
        for k in 0..self.fired.len() {
            if self.fired[k].is_none() && self.is_due(k) {
                self.fire(k);
            }
        }
        for f in &mut self.foreseen {
            if f.locked.is_none() && f.when.come(self.step, &self.fired) {
                f.locked = Some(self.step);
                f.observed.push(self.values[f.index]);
            }
        }
        if let Err(fault) = self.sim.advance(1) {
            return self.end(Ended::Stopped { fault: (&fault).into() });
        }
        self.step += 1;
        let end = self.look();
        self.commands.clear();
        if self.step.is_multiple_of(CHECK) {
            self.mark()?;
        }
        if let Some(end) = end {
            self.end(Ended::Condition { end })
        } else if self.step >= steps(self.lesson.exercise().length_s) {
            self.end(Ended::Length)
        } else {
            Ok(())
        }
    }

    fn fire(&mut self, k: usize) {
        self.fired[k] = Some(self.step);
        let mut refused = Vec::new();
        for c in &self.lesson.exercise().timeline[k].commands {
            if self.omit.malfunctions && is_malfunction(c) {
                continue;
            }
            if let Err(f) = self.sim.command(c) {
                refused.push(f);
            }
        }
        self.moved.push(Moved { step: self.step, happening: k, refused });
    }

    /// Every condition looks; the first end that has come.
    fn look(&mut self) -> Option<usize> {
        signals::read_wanted(&self.sim, &self.wanted, &mut self.values);
        let before = self.events.len();
        self.events.extend_from_slice(self.sim.events(self.last_event));
        if let Some(e) = self.events.last() {
            self.last_event = e.seq;
        }
        let s = Sight {
            step: self.step,
            values: &self.values,
            commands: &self.commands,
            events: &self.events[before..],
            fired: &self.fired,
        };
        for (watch, due) in self.triggers.iter_mut().zip(&mut self.due) {
            *due |= watch.as_mut().is_some_and(|w| w.look(&s));
        }
        self.tracks.iter_mut().for_each(|t| t.look(&s));
        let ends: Vec<bool> = self.ends.iter_mut().map(|w| w.look(&s)).collect();
        let end = ends.iter().position(|e| *e && !self.omit.ends);
        for f in &mut self.foreseen {
            if let Some(from) = f.locked
                && (f.observed.len() as u64) <= f.window
                && (self.step - from).is_multiple_of(SECOND)
            {
                f.observed.push(self.values[f.index]);
            }
        }
        if self.step.is_multiple_of(SECOND) {
            self.series.put(&self.values);
        }
        end
    }

    /// Follows these signals instead, from here on.
    pub(crate) fn follow(&mut self, signals: Vec<usize>) {
        self.wanted = looked_at(&self.sim, &signals, &self.triggers, &self.tracks, &self.ends);
        self.series = Series::new(signals);
        self.series.put(&self.values);
    }

    /// Steps on without calling for predictions: what was recorded is gone through again.
    pub(crate) fn go_to(&mut self, step: u64) -> Result<(), Fault> {
        while self.step < step && self.ended.is_none() {
            self.one()?;
        }
        signals::read(&self.sim, &mut self.values);
        Ok(())
    }

    /// Puts a mark: the state's hash, and one over everything since the last mark.
    fn mark(&mut self) -> Result<(), Fault> {
        let state = self.sim.state_hash()?;
        let mut text = self.chain.clone();
        for entry in &self.entries[self.marked..] {
            text.push_str(&entry.line()?);
            text.push('\n');
        }
        text.push_str(&state);
        self.chain = hash(text.as_bytes());
        self.entries.push(Entry::Check { step: self.step, state, chain: self.chain.clone() });
        self.marked = self.entries.len();
        Ok(())
    }

    fn end(&mut self, why: Ended) -> Result<(), Fault> {
        self.entries.push(Entry::End { step: self.step, why: why.clone() });
        self.ended = Some(why);
        self.mark()?;
        let score = self.score();
        self.entries.push(Entry::Score(score));
        Ok(())
    }

    /// The lesson.
    pub fn lesson(&self) -> &Arc<Lesson> {
        &self.lesson
    }

    /// The plant, to be read.
    pub fn sim(&self) -> &Sim {
        &self.sim
    }

    /// Steps made.
    pub fn step(&self) -> u64 {
        self.step
    }

    /// Plant time at which the exercise began [s].
    pub fn began_s(&self) -> f64 {
        self.sim.time() - seconds(self.step)
    }

    /// Values of the plant's signals now, in inside units.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// Entries of the record so far.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// An entry that says how far it has come; kept beside the record until the next one replaces it.
    pub fn reached(&self) -> Entry {
        Entry::Reached { step: self.step }
    }

    /// Why it is over, once it is.
    pub fn ended(&self) -> Option<&Ended> {
        self.ended.as_ref()
    }

    /// Events of the plant since the exercise began.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// What the timeline has done so far.
    pub fn moved(&self) -> &[Moved] {
        &self.moved
    }

    /// Signals followed, every second.
    pub fn series(&self) -> &Series {
        &self.series
    }
}

/// The devices that have to be read after every step.
fn looked_at(
    sim: &Sim,
    followed: &[usize],
    triggers: &[Option<Watch>],
    tracks: &[Track],
    ends: &[Watch],
) -> Wanted {
    let mut signals = followed.to_vec();
    triggers.iter().flatten().chain(ends).for_each(|w| w.signals(&mut signals));
    tracks.iter().for_each(|t| t.signals(&mut signals));
    Wanted::of(sim, &signals)
}

/// A name or a date as a record keeps it: one short line.
fn short(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(80).collect()
}
