//! The design heat balance, computed anew by a script that shares nothing with the engine but the plant file: other
//! language, other property library, other equations (`tests/independent/balance.py`).

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::Run;
use serde::Deserialize;
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
    water_out: Vec<f64>,
    condensate: f64,
    exhaust: f64,
    feed_rise: f64,
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

/// What the script makes of a plant.
fn independent(python: &Path, name: &str, json: &str) -> Independent {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.json"));
    std::fs::write(&file, json).unwrap();
    let script = format!("{FOLDER}/balance.py");
    let printed = run(Command::new(python).arg(script).arg(&file), "Correct the script or the plant file.");
    serde_json::from_str(&printed).unwrap()
}

#[test]
fn the_design_balance_is_met_by_another_route() {
    let python = python();
    for plant in catalog::PLANTS {
        let other = independent(&python, plant.name, plant.json);
        let run = Run::open(plant.name).unwrap();
        let ours = run.sim.balance();
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
            same(
                format!("{id} extraction enthalpy"),
                heater.extraction_enthalpy,
                other.extraction_enthalpy[k],
            );
            same(format!("{id} drain flow"), heater.drain_flow, other.drain_flow[k]);
            same(format!("{id} water out"), heater.water_out, other.water_out[k]);
        }
        same("condensate".into(), ours.condensate, other.condensate);
        same("exhaust".into(), ours.exhaust, other.exhaust);
        same("feed pumps' rise".into(), ours.feed_rise, other.feed_rise);
        same("gross output".into(), ours.gross, other.gross);
        same("heat added".into(), ours.heat_added, other.heat_added);
        same("heat rate".into(), ours.heat_rate, other.heat_rate);
        // Shown by `--nocapture`: how near the two came.
        println!("{}: within {worst:.1e}", plant.name);
    }
    // The script follows the file: a terminal difference of one kelvin more is seen in the flow that it changes.
    let plant = &catalog::PLANTS[0];
    let mut changed: serde_json::Value = serde_json::from_str(plant.json).unwrap();
    let ttd = changed.pointer_mut("/heaters/0/ttd").unwrap();
    *ttd = (ttd.as_f64().unwrap() + 1.0).into();
    let other = independent(&python, "changed", &changed.to_string());
    let ours = Run::open(plant.name).unwrap().sim.balance().heaters[0].extraction_flow;
    assert!(other.extraction_flow[0] < ours * (1.0 - 100.0 * ALLOWED));
}
