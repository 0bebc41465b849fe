//! Time of a heat balance, and of all that happens when a plant file is opened. `cargo bench -p bledsteam-engine`

use std::hint::black_box;

use bledsteam_engine::plant::{self, file::Plant};
use bledsteam_engine::steady::{Case, Hold, Model, Outage};
use criterion::{Criterion, criterion_group, criterion_main};

const PLANT: &str = include_str!("../../catalog/plants/reheat250.json");
/// Ten closed heaters and an open one, with everything a balance can be asked for.
const TEN: &str = include_str!("ten_heaters.json");

fn read(json: &str) -> Plant {
    plant::read(json).unwrap_or_else(|faults| {
        faults.iter().for_each(|f| eprintln!("{f}"));
        std::process::exit(1)
    })
}

fn model(plant: &Plant) -> Model {
    Model::new(plant).unwrap_or_else(|fault| {
        eprintln!("{fault}");
        std::process::exit(1)
    })
}

fn balance(c: &mut Criterion) {
    for (name, json, out, below) in [("reheat250", PLANT, "hp1", "hp3"), ("ten heaters", TEN, "h1", "h3")] {
        let plant = read(json);
        let model = model(&plant);
        let design = Case::at(Hold::SteamFlow(1.0), plant.heaters.len());
        let mut without = design.clone();
        for (outage, heater) in without.outages.iter_mut().zip(&plant.heaters) {
            if heater.id() == out {
                *outage = Outage::Out;
            }
        }
        let mut isolated = Case { hold: Hold::SteamFlow(0.8), ..design.clone() };
        for (outage, heater) in isolated.outages.iter_mut().zip(&plant.heaters) {
            if heater.id() == below {
                *outage = Outage::Isolated;
            }
        }
        let part = Case { hold: Hold::SteamFlow(0.8), ..design.clone() };
        let output = Case { hold: Hold::GrossOutput(0.8), ..design.clone() };
        for (what, case) in [
            ("design", &design),
            ("80 %", &part),
            ("80 % output", &output),
            ("top heater out", &without),
            ("80 %, third isolated", &isolated),
        ] {
            // A case that did not close would be timed as one that did.
            assert!(model.solve(&plant, case).is_ok(), "{name}, {what}");
            c.bench_function(&format!("balance, {name}, {what}"), |b| {
                b.iter(|| model.solve(black_box(&plant), black_box(case)));
            });
        }
    }
}

fn open(c: &mut Criterion) {
    for (name, json) in [("reheat250", PLANT), ("ten heaters", TEN)] {
        model(&read(json));
        c.bench_function(&format!("read, check and size, {name}"), |b| {
            b.iter(|| Model::new(&read(black_box(json))));
        });
    }
}

criterion_group!(benches, balance, open);
criterion_main!(benches);
