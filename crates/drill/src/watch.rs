//! A condition at work: looked at once after every step.

use crate::exercise::condition::Condition;
use crate::exercise::control::Pattern;
use crate::exercise::{Exercise, steps};
use crate::lesson::Lesson;
use engine::event::Code;
use engine::operation::Mode;
use engine::{Command, Event, Fault};

/// What a condition can look at.
pub struct Sight<'a> {
    /// Steps made.
    pub step: u64,
    /// Values of the plant's signals.
    pub values: &'a [f64],
    /// Commands of the trainee that were taken since the last look.
    pub commands: &'a [Command],
    /// Events of the plant since the last look.
    pub events: &'a [Event],
    /// When each happening of the timeline took place.
    pub fired: &'a [Option<u64>],
}

/// A condition with what it has to remember.
#[derive(Clone, Debug)]
pub enum Watch {
    /// A signal within `low..=high`, ends as told, without a break for `need` looks.
    Signal {
        /// Place among the signals.
        index: usize,
        /// Test.
        test: Test,
        /// Looks it must have held.
        need: u64,
        /// Looks it has held.
        held: u64,
    },
    /// From a step on.
    After(u64),
    /// A command has been given.
    Done(Pattern, bool),
    /// An event has come.
    Happened(Code, Option<String>, bool),
    /// A happening has taken place.
    Fired(usize),
    /// All.
    All(Vec<Watch>),
    /// Any.
    Any(Vec<Watch>),
    /// Not.
    Not(Box<Watch>),
}

/// Test of a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Test {
    /// Above.
    Above(f64),
    /// Below.
    Below(f64),
    /// From, to.
    Inside(f64, f64),
}

impl Test {
    fn holds(self, v: f64) -> bool {
        match self {
            Test::Above(x) => v > x,
            Test::Below(x) => v < x,
            Test::Inside(low, high) => v >= low && v <= high,
        }
    }
}

/// Finds the place of a name.
type Find<'a> = &'a dyn Fn(&str) -> Result<usize, Fault>;

impl Watch {
    /// Prepares a condition of a lesson.
    ///
    /// # Errors
    /// A name is unknown; a checked exercise has none.
    pub fn new(c: &Condition, lesson: &Lesson) -> Result<Watch, Fault> {
        Watch::of(c, &|id| lesson.signal(id), &|id| happening_at(lesson.exercise(), id))
    }

    /// Prepares a condition whose signals and happenings are found so.
    ///
    /// # Errors
    /// A name is unknown.
    pub fn of(c: &Condition, place: Find, happening_at: Find) -> Result<Watch, Fault> {
        let signal = |id: &str, test: Test, held_s: f64| {
            // Held for no time at all: one look is enough.
            Ok(Watch::Signal { index: place(id)?, test, need: steps(held_s).max(1), held: 0 })
        };
        let one = |c: &Condition| Watch::of(c, place, happening_at);
        let all = |of: &[Condition]| of.iter().map(one).collect::<Result<_, _>>();
        match c {
            Condition::Above { signal: id, value, held_s } => signal(id, Test::Above(*value), *held_s),
            Condition::Below { signal: id, value, held_s } => signal(id, Test::Below(*value), *held_s),
            Condition::Inside { signal: id, low, high, held_s } => {
                signal(id, Test::Inside(*low, *high), *held_s)
            }
            Condition::Mode { heater, mode, held_s } => {
                let code = Mode::ALL.iter().position(|m| m == mode).unwrap_or(Mode::ALL.len()) as f64;
                signal(&format!("{heater}.mode"), Test::Inside(code, code), *held_s)
            }
            Condition::After { time_s } => Ok(Watch::After(steps(*time_s))),
            Condition::Done { command } => Ok(Watch::Done(command.clone(), false)),
            Condition::Happened { event, device } => Ok(Watch::Happened(*event, device.clone(), false)),
            Condition::Fired { happening } => happening_at(happening).map(Watch::Fired),
            Condition::All { of } => all(of).map(Watch::All),
            Condition::Any { of } => all(of).map(Watch::Any),
            Condition::Not { of } => Ok(Watch::Not(Box::new(one(of)?))),
        }
    }

    /// Looks once; every part looks, since each may have to remember.
    pub fn look(&mut self, s: &Sight) -> bool {
        match self {
            Watch::Signal { index, test, need, held } => {
                *held = if test.holds(s.values[*index]) { *held + 1 } else { 0 };
                *held >= *need
            }
            Watch::After(step) => s.step >= *step,
            Watch::Done(pattern, seen) => {
                *seen |= s.commands.iter().any(|c| pattern.fits(c));
                *seen
            }
            Watch::Happened(code, device, seen) => {
                let fits = |e: &Event| e.code == *code && device.as_ref().is_none_or(|d| *d == e.device);
                *seen |= s.events.iter().any(fits);
                *seen
            }
            Watch::Fired(k) => s.fired[*k].is_some(),
            Watch::All(of) => hold(of, s) == of.len(),
            Watch::Any(of) => hold(of, s) > 0,
            Watch::Not(of) => !of.look(s),
        }
    }

    /// Places of the signals it looks at.
    pub fn signals(&self, into: &mut Vec<usize>) {
        match self {
            Watch::Signal { index, .. } if !into.contains(index) => into.push(*index),
            Watch::All(of) | Watch::Any(of) => of.iter().for_each(|w| w.signals(into)),
            Watch::Not(of) => of.signals(into),
            _ => {}
        }
    }
}

/// How many hold; every one looks, also when the answer is known.
fn hold(of: &mut [Watch], s: &Sight) -> usize {
    of.iter_mut().map(|w| usize::from(w.look(s))).sum()
}

/// Place of a happening in the timeline.
pub fn happening_at(e: &Exercise, id: &str) -> Result<usize, Fault> {
    e.timeline.iter().position(|h| h.id == id).ok_or_else(|| {
        Fault::new(
            "no_such_happening",
            id,
            "the timeline has no such entry.",
            "Name an entry of the timeline.",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn signal(test: Test, need: u64) -> Watch {
        Watch::Signal { index: 0, test, need, held: 0 }
    }

    /// Steps after which the watch held, over these values.
    fn over(mut w: Watch, values: &[f64]) -> Vec<usize> {
        let look = |(k, v): (usize, &f64)| {
            let s = Sight { step: k as u64, values: &[*v], commands: &[], events: &[], fired: &[] };
            w.look(&s).then_some(k)
        };
        values.iter().enumerate().filter_map(look).collect()
    }

    #[test]
    fn a_comparison_must_hold_without_a_break() {
        assert_eq!(over(signal(Test::Above(1.0), 1), &[1.0, 1.1, 0.9, 2.0]), [1, 3]);
        assert_eq!(over(signal(Test::Below(1.0), 2), &[0.0, 0.0, 1.0, 0.0, 0.0, 0.0]), [1, 4, 5]);
        assert_eq!(over(signal(Test::Inside(0.0, 1.0), 1), &[-0.1, 0.0, 1.0, 1.1, f64::NAN]), [1, 2]);
    }

    /// The second part keeps count also while the first does not hold.
    #[test]
    fn every_part_of_a_tree_looks() {
        let parts = vec![signal(Test::Above(2.0), 1), signal(Test::Above(0.0), 3)];
        let values = [1.0, 1.0, 3.0, 1.0, 3.0];
        assert_eq!(over(Watch::All(parts.clone()), &values), [2, 4]);
        assert_eq!(over(Watch::Any(parts.clone()), &values), [2, 3, 4]);
        assert_eq!(over(Watch::Not(Box::new(Watch::All(parts))), &values), [0, 1, 3]);
        assert_eq!(over(Watch::After(3), &values), [3, 4]);
    }

    #[test]
    fn what_was_done_or_happened_stays_so() {
        let pattern = serde_json::from_str(r#"{"do": "trip_heater"}"#).unwrap();
        let mut done = Watch::Done(pattern, false);
        let mut happened = Watch::Happened(Code::Bypassed, Some("hp1".into()), false);
        let event = |device: &str| Event {
            seq: 1,
            time_s: 0.0,
            code: Code::Bypassed,
            device: device.into(),
            part: String::new(),
            value: 0.0,
        };
        let trip = Command::TripHeater { heater: "hp1".into() };
        let mut look = |commands: &[Command], events: &[Event]| {
            let s = Sight { step: 0, values: &[], commands, events, fired: &[] };
            (done.look(&s), happened.look(&s))
        };
        assert_eq!(look(&[], &[event("hp2")]), (false, false));
        assert_eq!(look(&[trip], &[event("hp1")]), (true, true));
        assert_eq!(look(&[], &[]), (true, true));
    }
}
