//! The design heat balance, computed anew by a script that shares nothing with the engine but the plant file: other
//! language, other property library, other equations (`tests/independent/balance.py`).

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use engine::steady::Model;
use serde::Deserialize;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Allowed difference of every figure, relative.
const ALLOWED: f64 = 1e-4;

/// What the script prints; kg/s, kJ/kg, kW, kJ/kWh.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Independent {
    extraction_flow: Vec<f64>,
    extraction_enthalpy: Vec<f64>,
    drain_flow: Vec<f64>,
    water_in: Vec<f64>,
    water_out: Vec<f64>,
    condensate: f64,
    exhaust: f64,
    moisture: f64,
    heating: f64,
    feed_rise: f64,
    r#final: f64,
    pumping: f64,
    gross: f64,
    heat_added: f64,
    heat_rate: f64,
}

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/independent");

/// Runs a command to its end, or fails with what it said and what to do.
fn run(command: &mut Command, remedy: &str) -> String {
    match command.output() {
        Ok(done) if done.status.success() => String::from_utf8(done.stdout).unwrap(),
        Ok(done) => panic!("{command:?}: {}\n{remedy}", String::from_utf8_lossy(&done.stderr)),
        Err(error) => panic!("{command:?}: {error}\n{remedy}"),
    }
}

/// A Python with the property library, made once under the build's folder.
fn python() -> PathBuf {
    let requirements = format!("{FOLDER}/requirements.txt");
    let wanted = std::fs::read_to_string(&requirements).unwrap();
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("independent");
    let (python, done) = (home.join("bin/python"), home.join("installed"));
    if std::fs::read_to_string(&done).is_ok_and(|installed| installed == wanted) {
        return python;
    }
    let venv = ["-m", "venv", "--clear"];
    run(
        Command::new("python3").args(venv).arg(&home),
        "This test needs Python 3 with its venv module: on Debian, apt-get install python3-venv.",
    );
    let pip =
        ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps", "--only-binary"];
    run(
        Command::new(&python).args(pip).args([":all:", "--requirement", &requirements]),
        "This test installs one property library from the Python package index: it needs the network the first time.",
    );
    std::fs::write(done, wanted).unwrap();
    python
}

/// A plant to be balanced twice.
struct Twice {
    name: String,
    json: String,
}

/// What the script makes of each plant. One run for all: it takes Python seconds to load the library.
fn independent(plants: &[Twice]) -> Vec<Independent> {
    let script = format!("{FOLDER}/balance.py");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let mut command = Command::new(python());
    command.arg(script);
    for (k, plant) in plants.iter().enumerate() {
        let file = folder.join(format!("twice-{k}.json"));
        std::fs::write(&file, &plant.json).unwrap();
        command.arg(file);
    }
    serde_json::from_str(&run(&mut command, "Correct the script or the plant files.")).unwrap()
}

/// Holds the engine's design balance to the script's.
fn compare(plant: &Twice, other: &Independent) {
    let ours = Model::new(&engine::plant::read(&plant.json).unwrap()).unwrap().design;
    let mut worst = 0.0_f64;
    let mut same = |what: String, ours: f64, other: f64| {
        let apart = (ours - other).abs() / other.abs().max(1e-3);
        assert!(apart <= ALLOWED, "{}, {what}: {ours}, and {other} by the other route", plant.name);
        worst = worst.max(apart);
    };
    assert_eq!(ours.heaters.len(), other.extraction_flow.len());
    for (k, heater) in ours.heaters.iter().enumerate() {
        let id = &heater.id;
        same(format!("{id} extraction flow"), heater.extraction_flow, other.extraction_flow[k]);
        same(format!("{id} extraction enthalpy"), heater.extraction_enthalpy, other.extraction_enthalpy[k]);
        same(format!("{id} drain flow"), heater.drain_flow, other.drain_flow[k]);
        same(format!("{id} water in"), heater.water_in, other.water_in[k]);
        same(format!("{id} water out"), heater.water_out, other.water_out[k]);
    }
    same("condensate".into(), ours.condensate, other.condensate);
    same("exhaust".into(), ours.exhaust, other.exhaust);
    let separator = ours.separator.as_ref();
    let reheater = separator.and_then(|s| s.reheater.as_ref());
    same("moisture taken out".into(), separator.map_or(0.0, |s| s.drain_flow), other.moisture);
    same("heating steam".into(), reheater.map_or(0.0, |r| r.heating_flow), other.heating);
    same("feed pumps' rise".into(), ours.feed_rise, other.feed_rise);
    same("final enthalpy".into(), ours.final_enthalpy, other.r#final);
    same("work of the pumps".into(), ours.pumping, other.pumping);
    same("gross output".into(), ours.gross, other.gross);
    same("heat added".into(), ours.heat_added, other.heat_added);
    same("heat rate".into(), ours.heat_rate, other.heat_rate);
    // Shown by `--nocapture`: how near the two came.
    println!("{}: within {worst:.1e}", plant.name);
}

/// Every shipped plant; and some with one figure changed, which both routes have to feel, and feel alike.
#[test]
fn the_design_balance_is_met_by_another_route() {
    let shipped = |e: &catalog::Entry| Twice { name: e.name.into(), json: e.json.into() };
    let mut plants: Vec<Twice> = catalog::PLANTS.iter().map(shipped).collect();
    let forward = json!({ "forward": { "efficiency": 0.6 } });
    let lifted = json!({ "forward": { "efficiency": 0.6, "pressure": 3.0 } });
    let mut before = Vec::new();
    for (name, place, value) in [
        ("reheat250", "/heaters/0/ttd", json!(4.0)),
        ("reheat250", "/heaters/1/drains_to", forward),
        ("drum60", "/heaters/2/drains_to", lifted),
        ("saturated300", "/boiler/steam_quality", json!(0.98)),
        ("saturated300", "/heaters/4/drains_to", json!("condenser")),
        ("saturated300", "/turbine/moisture_separator/efficiency", json!(0.8)),
        ("saturated300", "/turbine/moisture_separator/drains_to", json!("lp4")),
        ("saturated300", "/turbine/moisture_separator/reheater/ttd", json!(25.0)),
        ("saturated300", "/turbine/moisture_separator/reheater/drains_to", json!("condenser")),
    ] {
        let unchanged = catalog::PLANTS.iter().position(|e| e.name == name).unwrap();
        let mut changed: Value = serde_json::from_str(catalog::PLANTS[unchanged].json).unwrap();
        *changed.pointer_mut(place).unwrap() = value;
        before.push(unchanged);
        plants.push(Twice { name: format!("{name}, {place} changed"), json: changed.to_string() });
    }
    let others = independent(&plants);
    assert_eq!(others.len(), plants.len());
    for (plant, other) in plants.iter().zip(&others) {
        compare(plant, other);
    }
    for (k, unchanged) in before.into_iter().enumerate() {
        let (a, b) = (others[unchanged].heat_rate, others[catalog::PLANTS.len() + k].heat_rate);
        assert!((b / a - 1.0).abs() > ALLOWED, "{} changes nothing", plants[catalog::PLANTS.len() + k].name);
    }
}
