//! A run shows what the plant does, and is the engine's run.

use crate::shell::{PLANT, call, file};
use engine::{Command, Sim};
use std::path::Path;

/// CSV as headings and lines of numbers.
fn csv(text: &str) -> (Vec<&str>, Vec<Vec<f64>>) {
    let mut lines = text.lines();
    let headings = lines.next().unwrap().split(',').collect();
    (headings, lines.map(|l| l.split(',').map(|v| v.parse().unwrap()).collect()).collect())
}

/// Tripping the top heater at full steam flow takes its rise off the feedwater and gives its steam to the turbine.
#[test]
fn a_trip_of_the_top_heater_cools_the_feedwater_and_raises_output() {
    let done = call(
        "run --for 6min --every 10s --csv --signals unit.final_fw_temperature,unit.gross_output --plant",
        &[PLANT, "--at", "1min", "trip hp1"],
    );
    assert_eq!(done.code, 0, "{}", done.err);
    let (headings, lines) = csv(&done.out);
    assert_eq!(headings, ["unit.time [s]", "unit.final_fw_temperature [°C]", "unit.gross_output [kW]"]);
    assert_eq!(lines.len(), 37);
    assert!(lines.iter().enumerate().all(|(k, l)| l[0] == 10.0 * k as f64));
    let (before, after) = (&lines[6], &lines[36]);
    let fall = before[1] - after[1];
    assert!((20.0..=35.0).contains(&fall), "final feedwater fell by {fall} K");
    let rise = after[2] / before[2] - 1.0;
    assert!((0.01..=0.10).contains(&rise), "gross output rose by {rise}");
    // It rests until the command, to far less than is shown.
    assert!((lines[0][1] - before[1]).abs() < 1e-3 && (lines[0][2] / before[2] - 1.0).abs() < 1e-6);
    assert!(
        done.err.contains("Unaccounted for") && done.err.contains("State after 1440 steps"),
        "{}",
        done.err
    );
}

/// By hand through the engine, by words, and by a script: one state to the last bit.
#[test]
fn words_and_script_drive_the_same_plant_as_the_engine() {
    let mut sim = Sim::new(catalog::plant(PLANT).unwrap()).unwrap();
    sim.advance(120).unwrap();
    sim.command(&Command::IsolateExtraction { heater: "hp2".into() }).unwrap();
    sim.advance(240).unwrap();
    sim.command(&Command::SetLoad { fraction: 0.9 }).unwrap();
    sim.advance(840).unwrap();
    let expected = sim.state_hash().unwrap();

    let words = ["--at", "30s", "isolate hp2", "--at", "90s", "load", "90%"];
    let by_words = call("run --for 5min --json --plant", &[&[PLANT], &words[..]].concat()).json();
    assert_eq!(by_words["state_hash"], expected.as_str());
    assert_eq!(by_words["steps"], 1200);

    let script = file(
        "same.json",
        br#"[{"at_s": 90, "command": {"do": "set_load", "fraction": 0.9}},
            {"at_s": 30, "command": {"do": "isolate_extraction", "heater": "hp2"}}]"#,
    );
    let by_script =
        call("run --for 5min --every 7s --json --plant", &[PLANT, "--script", script.to_str().unwrap()])
            .json();
    assert_eq!(by_script["state_hash"], expected.as_str());
    assert_eq!(by_script["events"], by_words["events"]);

    let untouched = call("run --for 5min --json --plant", &[PLANT]).json();
    assert_ne!(untouched["state_hash"], expected.as_str());
}

#[test]
fn json_holds_lines_events_and_residuals() {
    let line = "run --for 3min --every 1min --json --units si --signals unit.load,hp1.mode --plant";
    let r = call(line, &[PLANT, "--at", "1min", "trip hp1"]).json();
    assert_eq!((r["plant"].as_str(), r["units"].as_str()), (Some(PLANT), Some("si")));
    let units: Vec<&str> =
        r["signals"].as_array().unwrap().iter().map(|s| s["unit"].as_str().unwrap()).collect();
    assert_eq!(units, ["s", "%", "-"]);
    let lines = r["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 4);
    assert!((lines[0][1].as_f64().unwrap() - 100.0).abs() < 1e-9);
    let mode = |k: usize| r["signals"][2]["codes"][lines[k][2].as_f64().unwrap() as usize].clone();
    assert_eq!((mode(0), mode(3)), ("in_service".into(), "out".into()));
    let trip = &r["events"][0];
    assert_eq!(
        (trip["code"].as_str(), trip["device"].as_str(), trip["time_s"].as_f64()),
        (Some("heater_tripped"), Some("hp1"), Some(60.0))
    );
    assert!(r["mass_residual"].as_f64().unwrap().abs() < 1e-9);
    assert!(r["energy_residual"].as_f64().unwrap().abs() < 1e-6);
    assert!(r["fault"].is_null() && r["refused"].as_array().unwrap().is_empty());
}

#[test]
fn units_reach_every_column() {
    let read = |units: &[&str]| {
        let more = [&[PLANT], units].concat();
        let done = call("run --for 0s --csv --signals hp1.*,unit.* --plant", &more);
        assert_eq!(done.code, 0, "{}", done.err);
        done.out
    };
    let (inside, us) = (read(&[]), read(&["--units", "us"]));
    let ((from, a), (to, b)) = (csv(&inside), csv(&us));
    let column = |id: &str| from.iter().position(|h| h.starts_with(&format!("{id} ["))).unwrap();
    let k = column("unit.final_fw_temperature");
    assert_eq!((from[k], to[k]), ("unit.final_fw_temperature [°C]", "unit.final_fw_temperature [°F]"));
    assert!((b[0][k] - (a[0][k] * 1.8 + 32.0)).abs() < 1e-8);
    let k = column("unit.feed_flow");
    assert_eq!((from[k], to[k]), ("unit.feed_flow [kg/s]", "unit.feed_flow [klb/h]"));
    // NIST SP 811, B.8: 1 lb = 0.45359237 kg.
    assert!((b[0][k] - a[0][k] * 3.6 / 0.453_592_37).abs() < 1e-6);
    let k = column("unit.load");
    assert_eq!((from[k], to[k]), ("unit.load [-]", "unit.load [%]"));
}

#[test]
fn a_table_ends_with_events_residuals_and_hash() {
    let done = call(
        "run --for 10min --plant",
        &[PLANT, "--at", "1min", "load 80", "--at", "2min", "move hp2 emergency 30%"],
    );
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let place = |what: &str| done.out.find(what).unwrap_or_else(|| panic!("no '{what}' in\n{}", done.out));
    assert!(place("load set, 80.0 %") < place("drain moved, emergency drain, 30.0 %"));
    assert!(
        place("drain moved") < place("Unaccounted for")
            && place("Unaccounted for") < place("State after 2400")
    );
    // No more lines than fit a screen, and the last at the end of the run.
    assert!(done.out.lines().count() < 60);
    assert!(done.out.contains("\n   0:10:00 "));
}

#[test]
fn a_result_can_go_to_a_file() {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("written.csv");
    let to = path.to_str().unwrap();
    let line = "run --for 1min --csv --plant";
    let (printed, written) = (call(line, &[PLANT]), call(line, &[PLANT, "--out-file", to]));
    assert_eq!((written.code, written.out.as_str()), (0, ""));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), printed.out);
}

#[test]
fn lists_are_complete() {
    let plants = call("plants --json", &[]).json();
    assert_eq!(plants.as_array().unwrap().len(), catalog::PLANTS.len());
    let sim = Sim::new(catalog::plant(PLANT).unwrap()).unwrap();
    let all = call("signals --json --plant", &[PLANT]).json();
    let table = call("signals --plant", &[PLANT]);
    let definitions = engine::signals::definitions(&sim);
    assert_eq!(all.as_array().unwrap().len(), definitions.len());
    for (d, s) in definitions.iter().zip(all.as_array().unwrap()) {
        assert_eq!((s["id"].as_str(), s["quantity"].as_str()), (Some(d.id.as_str()), Some(d.quantity.key())));
        assert!(table.out.contains(&format!("{} ", d.id)), "{}", d.id);
    }
}

/// A recorded run of every malfunction: begun in the first minute by its words, it is the engine's run to the last bit, and
/// nothing has moved before it.
#[test]
fn every_malfunction_is_run_from_the_shell() {
    let quiet = call("run --for 1min --json --plant", &[PLANT]).json();
    for spec in engine::malfunction::SPECS {
        let mut sim = Sim::new(catalog::plant(PLANT).unwrap()).unwrap();
        sim.advance(240).unwrap();
        assert_eq!(sim.state_hash().unwrap(), quiet["state_hash"].as_str().unwrap(), "{:?}", spec.kind);
        let device = engine::malfunction::devices(sim.params(), spec.class).remove(0);
        let malfunction = engine::malfunction::Malfunction {
            kind: spec.kind,
            device: device.clone(),
            size: None,
            delay_s: 0.0,
            ramp_s: 0.0,
        };
        sim.command(&Command::InsertMalfunction { malfunction }).unwrap();
        sim.advance(720).unwrap();
        let words = format!("malfunction {} {device}", spec.kind.word().replace('_', "-"));
        let recorded = call("run --for 4min --json --plant", &[PLANT, "--at", "1min", &words]).json();
        assert_eq!(recorded["state_hash"].as_str().unwrap(), sim.state_hash().unwrap(), "{words}");
        assert_eq!(recorded["steps"], 960, "{words}");
    }
}

/// A pump that was out half a day is cold: its start is refused and says why, somebody opens its warm-up valve, and an hour
/// later it starts.
#[test]
fn a_cold_pump_is_warmed_before_it_starts() {
    let words = [
        ["--at", "1min", "pump-out fp3"],
        ["--at", "12h", "pump-in fp3"],
        ["--at", "12h1min", "start-pump fp3"],
        ["--at", "12h2min", "local fp3 warm-up 100"],
        ["--at", "13h", "start-pump fp3"],
    ];
    let shown = "run --keep-going --for 13h5min --every 1h --csv --signals fp3.casing_temperature,fp3.casing_difference,fp3.state --plant";
    let done = call(shown, &[&[PLANT], words.as_flattened()].concat());
    assert_eq!(done.code, 0, "{}", done.err);
    let (_, lines) = csv(&done.out);
    let (rest, cold, warm) = (&lines[0], &lines[12], &lines[13]);
    assert!(rest[2] < 0.0 && cold[2] > 30.0 && warm[2] < 30.0, "{rest:?} {cold:?} {warm:?}");
    assert!(lines[..=12].windows(2).all(|w| w[1][1] < w[0][1]), "it cools all the time");
    assert!(done.err.contains("K colder than the water at the suction; 30 K are permitted"), "{}", done.err);
    assert!(done.err.contains("Open its warm-up valve") && done.err.contains("1 command was refused"));
    // Its code for running.
    assert_eq!(lines.last().unwrap()[3], 2.0);
}
