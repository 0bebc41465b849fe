//! `bledsteam`: the model from a shell, so that anyone can check it without a browser.
//!
//! Nothing is computed here that the engine computes; this crate reads what was typed, drives the engine and prints.

mod args;
mod balance;
mod case;
mod check;
mod compare;
mod costs;
mod directions;
mod duration;
mod equip;
mod events;
mod explain;
mod failure;
mod figures;
mod help;
mod lessons;
mod lists;
mod output;
mod plant_source;
mod run;
mod schedule;
mod schema;
mod select;
mod table;
mod text_file;
mod units;
mod words;

use args::Job;
use std::process::ExitCode;

fn main() -> ExitCode {
    let outcome = match args::parse(std::env::args_os()) {
        Ok(Job::Run(a)) => run::run(&a),
        Ok(Job::Balance(a)) => balance::balance(&a),
        Ok(Job::Compare(a)) => compare::compare(&a),
        Ok(Job::Costs(a)) => costs::costs(&a),
        Ok(Job::Directions(a)) => directions::directions(&a),
        Ok(Job::Explain(a)) => explain::explain(&a),
        Ok(Job::Check(a)) => check::check(&a),
        Ok(Job::Equip(a)) => equip::equip(&a),
        Ok(Job::Plants(a)) => lists::plants(&a),
        Ok(Job::Signals(a)) => lists::signals(&a),
        Ok(Job::Schema) => schema::schema(),
        Ok(Job::Exercises(a)) => lessons::exercise::exercises(&a),
        Ok(Job::Exercise(a)) => lessons::exercise::run(&a),
        Ok(Job::Replay(a)) => lessons::replay::replay(&a),
        Ok(Job::Grade(a)) => lessons::grade::grade(&a),
        Err(f) => Err(f),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(f) => f.report(),
    }
}
