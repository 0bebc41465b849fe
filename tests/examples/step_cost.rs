//! Time of a step, native: `step_cost CASES`; prints microseconds by case as JSON, and with `--day` how many kilobytes
//! the process holds after an hour and after a day of a plant's life.

#![allow(clippy::unwrap_used, reason = "a measurement ends by panicking")]

use engine::{Command, Sim};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::time::Instant;

#[derive(Deserialize)]
struct Case {
    name: String,
    plant: String,
    commands: Vec<Command>,
    settle: u32,
    steps: u32,
}

fn start(plant: &str) -> Sim {
    Sim::new(catalog::plant(plant).unwrap()).unwrap()
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if arguments[1] == "--day" {
        return day();
    }
    let cases: Vec<Case> = serde_json::from_str(&std::fs::read_to_string(&arguments[1]).unwrap()).unwrap();
    let mut found = BTreeMap::new();
    for c in cases {
        let mut sim = start(&c.plant);
        c.commands.iter().for_each(|command| sim.command(command).unwrap());
        sim.advance(c.settle).unwrap();
        let began = Instant::now();
        sim.advance(c.steps).unwrap();
        found.insert(c.name, began.elapsed().as_secs_f64() * 1e6 / f64::from(c.steps));
    }
    println!("{}", serde_json::to_string(&found).unwrap());
}

/// A heater is tripped and put back every hour, so that there is something to remember.
fn day() {
    let mut sim = start("reheat250");
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
