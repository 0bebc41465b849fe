//! The case that a balance is asked for: load, what is held, heaters out; and its solution.

use crate::args::{CaseArgs, HoldArg};
use crate::failure::{Failure, within};
use crate::words;
use engine::Fault;
use engine::plant::file::{Heater, Plant};
use engine::steady::case::LOAD_RANGE;
use engine::steady::{Balance, Case, Hold, Model, Outage};
use serde::Serialize;
use std::path::Path;

/// A balance and what was asked.
pub struct Solved {
    /// The balance.
    pub balance: Balance,
    /// Nothing was asked: it is the design balance.
    pub design: bool,
}

/// Solves the case that options ask for; without any, the design balance.
///
/// # Errors
/// Options that this plant has no meaning for; a plant that cannot be sized; a case without solution.
pub fn solve(source: &Path, plant: &Plant, args: &CaseArgs) -> Result<Solved, Failure> {
    let case = read(plant, args).map_err(Failure::Usage)?;
    let here = |f| Failure::Plant(vec![within(&format!("{}:", source.display()), f)]);
    let model = Model::new(plant).map_err(here)?;
    match case {
        None => Ok(Solved { balance: model.design, design: true }),
        Some(case) => Ok(Solved { balance: model.solve(plant, &case).map_err(here)?, design: false }),
    }
}

/// Share of design out of the text given to an option; 1 without one.
pub fn load(option: &str, text: Option<&str>) -> Result<f64, Fault> {
    let Some(text) = text else { return Ok(1.0) };
    words::share(text.trim(), LOAD_RANGE).map_err(|message| {
        Fault::new(
            "bad_load",
            format!("{option} '{text}'"),
            message,
            "Write a percentage of design, like 80.",
        )
    })
}

/// The case; none if nothing is asked.
fn read(plant: &Plant, args: &CaseArgs) -> Result<Option<Case>, Vec<Fault>> {
    if args.is_empty() {
        return Ok(None);
    }
    let suffix = args.suffix;
    let mut faults = Vec::new();
    let share = load(&format!("--load{suffix}"), args.load.as_deref()).unwrap_or_else(|f| {
        faults.push(f);
        1.0
    });
    let hold = match args.hold.unwrap_or(HoldArg::Steam) {
        HoldArg::Steam => Hold::SteamFlow(share),
        HoldArg::Output => Hold::GrossOutput(share),
        HoldArg::Firing => Hold::Firing(share),
    };
    let mut case = Case::at(hold, plant.heaters.len());
    for (name, ids, outage) in [("out", &args.out, Outage::Out), ("isolate", &args.isolate, Outage::Isolated)]
    {
        for id in ids.iter().map(|id| id.trim()) {
            let place = format!("--{name}{suffix} '{id}'");
            match plant.heaters.iter().position(|h| h.id() == id && matches!(h, Heater::Closed(_))) {
                Some(i) if case.outages[i] != Outage::None && case.outages[i] != outage => {
                    let message = "the heater is asked for out and isolated at once.";
                    let remedy = "Out shuts off steam and water, isolated the steam alone: name it once.";
                    faults.push(Fault::new("twice", place, message, remedy));
                }
                Some(i) => case.outages[i] = outage,
                None => faults.push(no_such_heater(plant, id, place)),
            }
        }
    }
    if faults.is_empty() { Ok(Some(case)) } else { Err(faults) }
}

fn no_such_heater(plant: &Plant, id: &str, place: String) -> Fault {
    let closed = plant.heaters.iter().filter(|h| matches!(h, Heater::Closed(_)));
    let ids: Vec<&str> = closed.map(Heater::id).collect();
    let message = if plant.heaters.iter().any(|h| h.id() == id) {
        "an open heater cannot be taken out: the feed pumps draw from it."
    } else {
        "the plant has no such heater."
    };
    let remedy = if ids.is_empty() {
        "It has no closed heater.".to_owned()
    } else {
        format!("Its closed heaters are {}.", ids.join(", "))
    };
    Fault::new("no_such_heater", place, message, remedy)
}

/// A case as data.
#[derive(Serialize)]
pub struct Described<'a> {
    /// Nothing was asked.
    design: bool,
    /// What is held.
    held: &'static str,
    /// At this share of design.
    share: f64,
    /// Heaters out, with those of their bypass groups.
    out: Vec<&'a str>,
    /// Heaters whose steam alone is shut.
    isolated: Vec<&'a str>,
}

/// Describes what was solved.
pub fn describe<'a>(plant: &'a Plant, s: &Solved) -> Described<'a> {
    let case = &s.balance.case;
    let which = |outage| {
        let list = plant.heaters.iter().zip(&case.outages).filter(move |(_, o)| **o == outage);
        list.map(|(h, _)| h.id()).collect()
    };
    let held = match case.hold {
        Hold::SteamFlow(_) => "steam_flow",
        Hold::GrossOutput(_) => "gross_output",
        Hold::Firing(_) => "firing",
    };
    Described {
        design: s.design,
        held,
        share: case.hold.share(),
        out: which(Outage::Out),
        isolated: which(Outage::Isolated),
    }
}

impl Described<'_> {
    /// In words.
    pub fn words(&self) -> String {
        if self.design {
            return "design".into();
        }
        let percent = format!("{:.2}", self.share * 100.0);
        let percent = percent.trim_end_matches('0').trim_end_matches('.');
        let mut text = format!("{} {percent} % of design", self.held.replace('_', " "));
        for (what, list) in [("out", &self.out), ("isolated", &self.isolated)] {
            if !list.is_empty() {
                text += &format!(", {what}: {}", list.join(" "));
            }
        }
        text
    }

    /// As figures, for a list of figures: device, name, value.
    pub fn figures(&self) -> Vec<(&str, &'static str, f64)> {
        let mut list = vec![("unit", self.held, self.share)];
        list.extend(self.out.iter().map(|id| (*id, "out", 1.0)));
        list.extend(self.isolated.iter().map(|id| (*id, "isolated", 1.0)));
        list
    }
}
