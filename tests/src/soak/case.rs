//! A case from its seed.

use crate::Run;
use crate::any_plant::any_plant;
use crate::load;
use crate::runnable::{equipped, lawful, runnable};
use crate::soak::laws::Breach;
use crate::soak::record::{Ending, Given, Of, Record};
use crate::upset::{self, Broken, Upset};
use engine::plant::file::Plant;
use engine::{Fault, Sim};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// A day [s].
const DAY: f64 = 86_400.0;

/// What a seed gives: a record to be played, and whether the operator then puts all right.
#[derive(Clone, Debug)]
pub struct Case {
    /// What is done.
    pub record: Record,
    /// At which load the operator puts all right [share of design steam flow].
    pub restored_at: Option<f64>,
}

/// A plant that was drawn and cannot be run.
#[derive(Clone, Debug)]
pub struct Refused {
    /// Why.
    pub fault: Fault,
    /// Nothing done to that plant.
    pub record: Record,
}

impl Refused {
    /// The breach that it is, unless it is as it should be: a drain that has to climb, a plant without an open heater.
    pub fn breach(&self) -> Option<Breach> {
        (!lawful(&self.fault)).then(|| Breach::fault(&self.fault, 0.0))
    }
}

/// Numbers that depend on the seed alone.
fn runner(seed: u64) -> TestRunner {
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    TestRunner::new_with_rng(Config::default(), TestRng::from_seed(RngAlgorithm::ChaCha, &bytes))
}

#[derive(Clone, Debug)]
enum Kind {
    Upset,
    Restored(f64),
    Alone,
}

#[derive(Clone, Debug)]
enum Which {
    Shipped(usize),
    Drawn(Box<Plant>),
}

fn any_case() -> impl Strategy<Value = (Which, Upset, Kind, f64)> {
    let drawn = |p| Which::Drawn(Box::new(p));
    let plant = prop_oneof![
        12 => (0..catalog::PLANTS.len()).prop_map(Which::Shipped),
        12 => any_plant().prop_filter("cannot be run", runnable).prop_map(drawn),
        // Whatever a plant file can say, without an open heater too: run, or refused with the reason.
        1 => any_plant().prop_map(drawn),
    ];
    let kind = prop_oneof![
        40 => Just(Kind::Upset),
        4 => (0.25..=1.05).prop_map(Kind::Restored),
        1 => Just(Kind::Alone),
    ];
    (plant, upset::any(), kind, 0.0..1.0)
}

/// Nothing done to no plant yet.
pub fn blank(seed: u64) -> Record {
    Record {
        seed,
        found: None,
        end_s: DAY,
        close_s: 0.0,
        kept_s: None,
        ending: Ending::Rests,
        script: Vec::new(),
        plant: Of::Shipped(crate::PLANT.to_owned()),
    }
}

/// Draws the case of a seed.
///
/// # Errors
/// A plant that cannot be run.
pub fn draw(seed: u64) -> Result<Case, Box<Refused>> {
    let mut record = blank(seed);
    let refused = |record: &Record, fault: Fault| Box::new(Refused { fault, record: record.clone() });
    let tree = any_case().new_tree(&mut runner(seed)).map_err(|why| {
        refused(&record, Fault::new("not_drawn", "soak", why.to_string(), "Take the next seed."))
    })?;
    let (which, upset, kind, at) = tree.current();
    record.plant = match which {
        Which::Shipped(k) => Of::Shipped(catalog::PLANTS[k].name.to_owned()),
        Which::Drawn(plant) => {
            record.plant = Of::Drawn(plant.clone());
            Of::Drawn(Box::new(equipped(&plant).map_err(|f| refused(&record, f))?))
        }
    };
    let run = record.plant.plant().and_then(Sim::new).map(Run::of).map_err(|f| refused(&record, f))?;
    if matches!(kind, Kind::Alone) {
        return Ok(Case { record, restored_at: None });
    }
    record.script = script(&run, &upset);
    let last = record.script.last().map_or(0.0, |g| g.at_s);
    record.ending = Ending::Stops;
    record.end_s = last + f64::from(upset.rest);
    record.close_s = record.end_s;
    record.kept_s = Some(((at * record.end_s).floor(), record.end_s));
    let restored_at = if let Kind::Restored(load) = kind { Some(load) } else { None };
    Ok(Case { record, restored_at })
}

/// An upset as commands to this plant.
fn script(run: &Run, upset: &Upset) -> Vec<Given> {
    let closed = run.closed();
    let mut at = 0.0;
    let mut all = vec![Given { at_s: at, command: load(upset.load) }];
    let mut broken = Broken::new();
    for (pause, act) in &upset.script {
        at += f64::from(*pause);
        all.push(Given { at_s: at, command: act.command(run.sim.params(), &closed, &mut broken) });
    }
    all
}
