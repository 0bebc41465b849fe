//! What a step costs, native and in the shipped module, there in Node and in the browser, by turns in one run: machines warm
//! up and slow down, ratios taken at different times say little.

use crate::places::Places;
use crate::process;
use crate::say::{step, stop};
use crate::system::Consent;
use crate::{bindings, checks, npm};
use anyhow::Result;
use std::collections::BTreeMap;
use std::process::Command;

/// Rounds; of each side the quickest counts, which other programs disturbed least.
const ROUNDS: usize = 7;
/// Length of a step [µs of plant time].
const STEP: f64 = 250_000.0;

type Costs = BTreeMap<String, f64>;

/// Measures and prints a table as the README has it. The page must have been built.
pub fn run(places: &Places, consent: Consent) -> Result<()> {
    let mut browser = checks::with_a_browser(places, consent)?;
    browser.arg("step-cost.mjs");
    step("bench", "compiling the native side with the page's own profile");
    let mut cargo = process::cargo();
    cargo.current_dir(places.root());
    cargo.args(["build", "--profile", "web", "--package", "bledsteam-tests", "--example", "step_cost"]);
    process::run(&mut cargo, "correct what the compiler reports above")?;
    let native = places.target().join("web/examples/step_cost");
    let cases = places.root().join("tests/bench/cases.json");
    let (mut quickest, mut in_node, mut in_browser) = (Costs::new(), Costs::new(), Costs::new());
    for round in 1..=ROUNDS {
        step("bench", &format!("round {round} of {ROUNDS}"));
        keep(&mut quickest, costs(Command::new(&native).arg(&cases))?);
        let mut node = npm::node();
        node.arg(places.root().join("tests/bench/step.mjs"))
            .arg(places.bindings().join(bindings::GLUE))
            .arg(places.www_out().join(bindings::WASM))
            .arg(&cases);
        keep(&mut in_node, costs(&mut node)?);
        keep(&mut in_browser, costs(&mut browser)?);
    }
    println!(
        "\n| one step of | native [µs] | times real time | in Chromium [µs] | over native | in Node [µs] | over native |"
    );
    println!("|---|---|---|---|---|---|---|");
    for (name, own) in &quickest {
        let of = |costs: &Costs| costs.get(name).copied().unwrap_or(f64::NAN);
        let (page, node) = (of(&in_browser), of(&in_node));
        println!(
            "| {name} | {own:.1} | {:.0} | {page:.1} | {:.2} | {node:.1} | {:.2} |",
            STEP / own,
            page / own,
            node / own
        );
    }
    let day = process::output(Command::new(&native).arg("--day"))
        .ok_or_else(|| stop("the day of a plant's life could not be run", "see what it says by hand"))?;
    println!("\nMemory of the native process after\n{day}");
    Ok(())
}

fn keep(quickest: &mut Costs, round: Costs) {
    for (name, cost) in round {
        let kept = quickest.entry(name).or_insert(f64::INFINITY);
        *kept = kept.min(cost);
    }
}

fn costs(command: &mut Command) -> Result<Costs> {
    let text = process::output(command)
        .ok_or_else(|| stop("a side could not be measured", "run it by hand to see what it says"))?;
    Ok(serde_json::from_str(&text)?)
}
