//! Time of a step, native: `step_cost CASES`; prints microseconds by case as JSON, and with `--day` how many kilobytes
//! the process holds after an hour and after a day of a plant's life.

#![allow(clippy::unwrap_used, reason = "a measurement ends by panicking")]

use drill::Free;
use engine::{Command, Sim};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::time::Instant;

/// How often a case is run: a browser's compiler has done with the module after the first.
const REPEATS: u32 = 5;
/// Parts of a case: other programs disturb few of them every time.
const PARTS: u32 = 20;

#[derive(Deserialize)]
struct Case {
    name: String,
    plant: String,
    commands: Vec<Command>,
    settle: u32,
    steps: u32,
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if arguments[1] == "--day" {
        return day();
    }
    let cases: Vec<Case> = serde_json::from_str(&std::fs::read_to_string(&arguments[1]).unwrap()).unwrap();
    let found: BTreeMap<String, f64> = cases.iter().map(|c| (c.name.clone(), cost(c))).collect();
    println!("{}", serde_json::to_string(&found).unwrap());
}

/// Microseconds of a step: the case is run several times, and of each of its parts the quickest counts.
fn cost(c: &Case) -> f64 {
    let part = c.steps / PARTS;
    let mut quickest = [f64::INFINITY; PARTS as usize];
    for _ in 0..REPEATS {
        // As the page's handle runs it, with a mark every minute.
        let mut free = Free::new(catalog::plant(&c.plant).unwrap()).unwrap();
        c.commands.iter().for_each(|command| free.command(command).unwrap());
        free.advance(c.settle).unwrap();
        for kept in &mut quickest {
            let began = Instant::now();
            free.advance(part).unwrap();
            *kept = kept.min(began.elapsed().as_secs_f64() * 1e6 / f64::from(part));
        }
    }
    quickest.iter().sum::<f64>() / f64::from(PARTS)
}

/// A heater is tripped and put back every hour, so that there is something to remember.
fn day() {
    let mut sim = Sim::new(catalog::plant("reheat250").unwrap()).unwrap();
    for hour in 1..=24 {
        sim.command(&Command::TripHeater { heater: "hp1".into() }).unwrap();
        sim.advance(4800).unwrap();
        sim.command(&Command::PutBack { heater: "hp1".into() }).unwrap();
        sim.advance(9600).unwrap();
        if hour == 1 || hour == 24 {
            println!("{hour} h: {} kB", resident().unwrap_or(0));
        }
    }
}

/// Memory of this process [kB], where the system tells.
fn resident() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
