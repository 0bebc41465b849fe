//! What the user reads: progress with the seconds since the start, and errors that carry their remedy.

use std::sync::OnceLock;
use std::time::Instant;

static START: OnceLock<Instant> = OnceLock::new();

/// One line of progress: what is being worked on, and what is being done to it.
pub fn step(area: &str, what: &str) {
    let seconds = START.get_or_init(Instant::now).elapsed().as_secs_f64();
    println!("[{seconds:6.1} s] {area:8} {what}");
}

/// The line that says a command has reached its end, set off so that it is found under other programs' output.
pub fn done(area: &str, what: &str) {
    println!();
    step(area, what);
}

/// Why a command cannot go on, and what the user does about it.
#[derive(Debug)]
pub struct Stop {
    what: String,
    remedy: String,
}

impl std::fmt::Display for Stop {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}\n  what to do: {}", self.what, self.remedy.replace('\n', "\n    "))
    }
}

impl std::error::Error for Stop {}

/// An error with its remedy.
pub fn stop(what: impl Into<String>, remedy: impl Into<String>) -> anyhow::Error {
    Stop { what: what.into(), remedy: remedy.into() }.into()
}
