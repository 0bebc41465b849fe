//! A record made smaller, as long as it breaks the same law.

use crate::soak::laws::Breach;
use crate::soak::play;
use crate::soak::record::{Ending, Record};
use engine::Command;
use engine::malfunction::Malfunction;

/// How often a record may be played to make it smaller.
const TRIES: u32 = 120;
/// Plant time that may be spent on it [s]; a record that has to settle takes a working day every time, and so is tried
/// half a dozen times.
const EFFORT: f64 = 96.0 * 3600.0;

/// The smallest record found, and what it breaks.
pub fn shrink(record: &Record, breach: &Breach) -> (Record, Breach) {
    let mut done = record.clone();
    // What was refused changes nothing: most of what an operator asks who waits for a plant to come back.
    done.script = play::carried_out(record);
    let (record, breach) = match play::again(&done) {
        Err(b) if b.sort() == breach.sort() => (&done, &b.clone()),
        _ => (record, breach),
    };
    shrink_by(record, breach, &mut play::again)
}

/// The same with another way to play a record.
pub fn shrink_by(
    record: &Record,
    breach: &Breach,
    play: &mut dyn FnMut(&Record) -> Result<(), Breach>,
) -> (Record, Breach) {
    let mut s = Shrinking { best: record.clone(), breach: breach.clone(), tries: TRIES, left: EFFORT, play };
    s.cut();
    s.drop_commands();
    s.simplify();
    s.draw_together();
    s.drop_commands();
    s.best.found = Some(format!("{}: {} (at {} s)", s.breach.law, s.breach.what, s.breach.at_s));
    (s.best, s.breach)
}

struct Shrinking<'a> {
    best: Record,
    breach: Breach,
    tries: u32,
    /// Plant seconds left.
    left: f64,
    play: &'a mut dyn FnMut(&Record) -> Result<(), Breach>,
}

impl Shrinking<'_> {
    /// Takes a record if it breaks the same law.
    fn take(&mut self, mut r: Record) -> bool {
        if self.tries == 0 || self.left < r.end_s {
            return false;
        }
        self.tries -= 1;
        self.left -= r.end_s;
        match (self.play)(&r) {
            Err(b) if b.sort() == self.breach.sort() => {
                if r.ending == Ending::Stops && b.at_s < r.end_s {
                    r.end_s = b.at_s;
                    r.close_s = r.close_s.min(r.end_s);
                }
                (self.best, self.breach) = (r, b);
                true
            }
            _ => false,
        }
    }

    /// Nothing after the breach, and no snapshot where it is about something else. What is told by the end alone needs no
    /// look before.
    fn cut(&mut self) {
        let mut r = self.best.clone();
        if self.breach.law != "same bits" {
            r.kept_s = None;
        }
        if self.breach.law == "settles at the balance" || self.breach.law == "at rest" {
            r.close_s = 0.0;
        } else if self.breach.at_s.is_finite() && self.breach.at_s < r.end_s {
            r.ending = Ending::Stops;
            r.end_s = self.breach.at_s;
            r.close_s = r.close_s.min(r.end_s);
            r.script.retain(|g| g.at_s <= r.end_s);
        }
        self.take(r);
    }

    /// Halves, quarters, ... of the commands at a time.
    fn drop_commands(&mut self) {
        let mut size = self.best.script.len().div_ceil(2);
        while size > 0 {
            let mut from = 0;
            while from < self.best.script.len() {
                let mut r = self.best.clone();
                r.script.drain(from..(from + size).min(r.script.len()));
                if !self.take(r) {
                    from += size;
                }
            }
            size /= 2;
        }
    }

    /// Whole figures where they do as well.
    fn simplify(&mut self) {
        for i in 0..self.best.script.len() {
            for simpler in simpler(&self.best.script[i].command) {
                let mut r = self.best.clone();
                r.script[i].command = simpler;
                self.take(r);
            }
        }
    }

    /// Pauses as short as they can be, by halves.
    fn draw_together(&mut self) {
        if !matches!(self.best.ending, Ending::Stops) || self.best.kept_s.is_some() {
            return;
        }
        for i in 0..self.best.script.len() {
            loop {
                let before = if i == 0 { 0.0 } else { self.best.script[i - 1].at_s };
                let pause = self.best.script[i].at_s - before;
                if pause < 1.0 {
                    break;
                }
                let less = if i == 0 { pause } else { (pause / 2.0).ceil() };
                let mut r = self.best.clone();
                r.script[i..].iter_mut().for_each(|g| g.at_s -= less);
                // As much time as before for what follows.
                if !self.take(r) {
                    break;
                }
            }
        }
    }
}

/// Simpler forms of a command, the simplest last.
fn simpler(command: &Command) -> Vec<Command> {
    let mut all = Vec::new();
    match command {
        Command::InsertMalfunction { malfunction } => {
            let mut m = malfunction.clone();
            m.delay_s = 0.0;
            m.ramp_s = 0.0;
            let default = Malfunction { size: None, ..m.clone() };
            all.extend([default, m].map(|malfunction| Command::InsertMalfunction { malfunction }));
        }
        Command::SetLoad { fraction } => {
            for digits in [1.0, 10.0, 100.0] {
                all.push(Command::SetLoad { fraction: ((fraction * digits).round() / digits).min(1.1) });
            }
        }
        Command::MoveDrain { heater, valve, position } => {
            for digits in [1.0, 10.0] {
                let position = (position * digits).round() / digits;
                all.push(Command::MoveDrain { heater: heater.clone(), valve: *valve, position });
            }
        }
        Command::LocalValve { heater, valve, position: Some(x) } => {
            for digits in [1.0, 10.0] {
                let position = Some((x * digits).round() / digits);
                all.push(Command::LocalValve { heater: heater.clone(), valve: *valve, position });
            }
        }
        Command::SetController { .. } => {
            // One figure less at a time; without any, it does nothing.
            for figure in ["setpoint", "gain", "integral_time", "lowest", "highest"] {
                let less = serde_json::to_value(command).ok().and_then(|mut v| {
                    v.as_object_mut()?.remove(figure)?;
                    serde_json::from_value(v).ok()
                });
                all.extend(less);
            }
        }
        _ => {}
    }
    all.retain(|c| c != command);
    // The coarsest last, so that a coarse one that was taken is not refined again.
    all.reverse();
    all
}
