//! What is wrong is said with its place and a way out; the exit code says what kind of wrong it is.

use crate::shell::{BINARY, Done, PLANT, book, call, file, plant_file};
use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};

/// Ends with `code`, prints no result, and names each of `says`.
fn fails(done: &Done, code: i32, says: &[&str]) {
    assert_eq!(done.code, code, "{}{}", done.out, done.err);
    assert_eq!(done.out, "");
    for what in says {
        assert!(done.err.contains(what), "no '{what}' in: {}", done.err);
    }
    assert!(!done.err.contains("panicked"), "{}", done.err);
}

#[test]
fn an_unknown_heater_is_refused_with_a_list() {
    let words = [PLANT, "--at", "10s", "trip hp9", "--at", "20s", "trip hp1"];
    let done = call("run --for 1min --plant", &words);
    assert_eq!(done.code, 3);
    for what in ["at 0:00:10 'trip hp9': hp9: ", "hp1, hp2, hp3, lp5, lp6, lp7."] {
        assert!(done.err.contains(what), "{}", done.err);
    }
    // The run went on, and says so.
    assert!(done.out.contains("hp1       heater tripped") && done.out.contains("1 command was refused."));
    let kept = call("run --for 1min --keep-going --json --plant", &words).json();
    assert_eq!(kept["refused"][0]["command"], "trip hp9");
    assert_eq!(kept["refused"][0]["time_s"], 10.0);
    assert_eq!(kept["events"][0]["code"], "heater_tripped");
}

#[test]
fn what_the_plant_refuses_is_reported_with_the_reason() {
    let done = call("run --for 1min --plant", &[PLANT, "--at", "0s", "put-back hp1"]);
    assert_eq!(done.code, 3);
    assert!(done.err.contains("at 0:00:00 'put-back hp1': hp1: the heater is in service."), "{}", done.err);
}

/// A condenser that holds next to nothing leaves the range of the properties when its heaters are tripped.
#[test]
fn a_run_that_stops_keeps_what_it_has_and_says_where() {
    let mut plant = plant_file();
    for key in ["metal", "hotwell_mass"] {
        plant["condenser"]["equipment"][key] = 100.0.into();
    }
    plant["condenser"]["equipment"]["hotwell_surface"] = 0.5.into();
    let path = file("stops.json", plant.to_string().as_bytes());
    let done = call("run --for 10min --json --plant", &[path.to_str().unwrap(), "--at", "1s", "trip hp1"]);
    assert_eq!(done.code, 4, "{}", done.err);
    let result: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(result["fault"]["place"], "condenser");
    assert_eq!(result["events"][0]["code"], "heater_tripped");
    let reached = result["time_s"].as_f64().unwrap();
    assert!(reached < 600.0 && result["steps"].as_f64().unwrap() * 0.25 == reached, "{reached}");
    let last = result["lines"].as_array().unwrap().last().unwrap();
    assert_eq!(last[0].as_f64(), Some(reached));
    assert!(done.err.starts_with("at 0:") && done.err.contains(": condenser: "), "{}", done.err);
}

#[test]
fn a_broken_file_shows_all_its_faults() {
    let mut plant = plant_file();
    plant["boiler"]["steam_flow"] = (-3.0).into();
    plant["heaters"][1]["extraction"]["pressure"] = 9.0.into();
    let path = file("broken.json", plant.to_string().as_bytes());
    let places =
        ["broken.json: boiler.steam_flow: -3 kg/s", "broken.json: heaters[1].extraction.pressure: 9 MPa"];
    let path = path.to_str().unwrap();
    fails(&call("check", &[path]), 1, &places);
    fails(&call("balance --plant", &[path]), 1, &places);
    fails(&call("run --for 1min --plant", &[path]), 1, &places);
    let listed = call("check --json", &[path]);
    assert_eq!(listed.code, 1);
    let found: serde_json::Value = serde_json::from_str(&listed.out).unwrap();
    assert_eq!(found["faults"].as_array().unwrap().len(), 2);
}

/// Every fault of form, not only the first that stops the reading.
#[test]
fn a_misshapen_file_shows_all_its_faults() {
    let mut plant = plant_file();
    plant["boiler"]["steam_flow"] = "much".into();
    plant["heaters"][1]["tdt"] = 3.0.into();
    plant["heaters"][2]["drains_to"] = "lake".into();
    plant["condenser"].as_object_mut().unwrap().remove("pressure");
    let path = file("misshapen.json", plant.to_string().as_bytes());
    let places = [
        "misshapen.json: boiler.steam_flow: a text stands here, expected is a number. Expected: Steam flow",
        "misshapen.json: heaters[1].tdt: there is no such field here. The fields here are",
        "misshapen.json: heaters[2].drains_to: 'lake' stands here, expected is 'next' or 'condenser'",
        "misshapen.json: condenser.pressure: this field is missing.",
    ];
    let path = path.to_str().unwrap();
    let done = call("check", &[path]);
    fails(&done, 1, &places);
    assert_eq!(done.err.lines().count(), 4, "{}", done.err);
    fails(&call("balance", &[path]), 1, &places);
    // What is in no schema is still told: the line of a syntax error, a field given twice.
    let cut = file("cut.json", &plant_file().to_string().as_bytes()[..500]);
    fails(&call("check", &[cut.to_str().unwrap()]), 1, &["cut.json: ", "EOF", "line 1"]);
    let twice = plant_file().to_string().replacen('{', "{\"name\": \"twice\",", 1);
    let twice = file("twice.json", twice.as_bytes());
    fails(&call("check", &[twice.to_str().unwrap()]), 1, &["twice.json: ", "duplicate field `name`"]);
}

/// Possible but unlikely: said, and no fault.
#[test]
fn warnings_do_not_fail_a_check() {
    let mut plant = plant_file();
    plant["heaters"][6]["ttd"] = 15.0.into();
    let path = file("unlikely.json", plant.to_string().as_bytes());
    let path = path.to_str().unwrap();
    let done = call("check", &[path]);
    assert_eq!(done.code, 0, "{}", done.err);
    let says = "unlikely.json: heaters[6].ttd: a terminal temperature difference of 15 K";
    assert!(done.err.starts_with("warning: ") && done.err.contains(says), "{}", done.err);
    assert!(done.out.contains("no faults, 1 warning. "), "{}", done.out);
    let found = call("check --json", &[path]).json();
    assert_eq!(found["warnings"][0]["code"], "unlikely");
    assert_eq!(found["faults"], serde_json::json!([]));
}

/// A textbook's plant is sound, though there is nothing to run.
#[test]
fn a_bare_plant_is_sound_and_says_what_running_lacks() {
    let path = book("moran-8-5");
    let done = call("check", &[&path]);
    assert_eq!(done.code, 0, "{}", done.err);
    assert!(done.out.contains("no faults") && done.out.contains(": 1 heater, 98.5 MW"), "{}", done.out);
    assert!(done.out.contains("can be balanced but not run"), "{}", done.out);
    assert_eq!(call("check --json", &[&path]).json()["not_run"]["code"], "cannot_run");
    fails(&call("run --for 1min --plant", &[&path]), 1, &["not run", "boiler.equipment"]);
}

/// Values each in range that together have no heat balance.
#[test]
fn check_goes_as_far_as_the_balance() {
    let mut plant = plant_file();
    plant["heaters"][2]["ttd"] = 28.0.into();
    plant["heaters"][2]["extraction"]["pressure"] = 0.8.into();
    let path = file("unbalanced.json", plant.to_string().as_bytes());
    fails(&call("check", &[path.to_str().unwrap()]), 1, &["unbalanced.json: ", "hp3"]);
}

#[test]
fn a_sound_file_is_called_sound() {
    let path = file("sound.json", format!("\u{feff}{}", plant_file()).as_bytes());
    let done = call("check", &[path.to_str().unwrap()]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    assert!(done.out.contains("no faults") && done.out.contains("7 heaters"), "{}", done.out);
    let found = call("check --json", &[path.to_str().unwrap()]).json();
    assert_eq!(found, serde_json::json!({"faults": [], "warnings": [], "not_run": null}));
}

#[test]
fn files_that_are_no_plants_are_told_apart() {
    fails(&call("check nowhere.json", &[]), 2, &["nowhere.json: there is neither", PLANT]);
    fails(&call("check", &[env!("CARGO_TARGET_TMPDIR")]), 2, &["cannot be read"]);
    let odd = file("odd.json", b"{\n\xff\xfe}");
    fails(&call("check", &[odd.to_str().unwrap()]), 2, &["odd.json: line 2 is not UTF-8", "Save the file"]);
    let huge = file("huge.json", &vec![b' '; 3 << 20]);
    fails(&call("check", &[huge.to_str().unwrap()]), 2, &["huge.json: it has more than 1048576 bytes"]);
    let deep = file("deep.json", "[".repeat(500_000).as_bytes());
    fails(&call("check", &[deep.to_str().unwrap()]), 1, &["deep.json: "]);
    let empty = file("empty.json", b"");
    fails(&call("check", &[empty.to_str().unwrap()]), 1, &["empty.json: file: "]);
}

#[test]
fn times_are_checked_before_anything_runs() {
    for (time, says) in [
        ("NaN", "not a time"),
        ("-5min", "negative"),
        ("10", "no unit"),
        ("1e9h", "not a unit"),
        ("999999h", "longer than 720 h"),
        ("", "no time"),
    ] {
        fails(&call("run --plant", &[PLANT, "--for", time]), 2, &[&format!("--for '{time}': "), says]);
    }
    fails(
        &call("run --for 1min --every 0s --plant", &[PLANT]),
        2,
        &["--every '0s': it is shorter than a step"],
    );
    fails(
        &call(
            "run --for 1min --every x --plant",
            &[PLANT, "--at", "90s", "trip hp1", "--at", "x", "tirp hp1"],
        ),
        2,
        &[
            "--every 'x'",
            "--at 90s 'trip hp1': 0:01:30 is not before",
            "--at 'x'",
            "--at x 'tirp hp1': 'tirp' is not",
        ],
    );
    fails(&call("run --for 1min --plant", &[PLANT, "--at", "-5min", "trip hp1"]), 2, &["negative"]);
    fails(
        &call("run --for 1min --plant", &[PLANT, "--at", "5s", "load 300"]),
        2,
        &["--at 5s 'load 300': 300 % is outside 0 to 110 %"],
    );
}

#[test]
fn scripts_are_checked_with_their_place() {
    for (k, (text, says)) in [
        (
            r#"[{"at_s": -5, "command": {"do": "trip_heater", "heater": "hp1"}}]"#,
            "[0].at_s: -5 s lies before",
        ),
        (
            r#"[{"at_s": 60, "command": {"do": "trip_heater", "heater": "hp1"}}]"#,
            "[0].at_s: 0:01:00 is not before",
        ),
        (
            r#"[{"at_s": 5, "command": {"do": "trip_heater", "haeter": "hp1"}}]"#,
            "[0].command: unknown field `haeter`",
        ),
        (r#"[{"at_s": 5, "command": {"do": "explode"}}]"#, "unknown variant `explode`"),
        (
            r#"[{"at_s": 1e999, "command": {"do": "trip_heater", "heater": "hp1"}}]"#,
            "[0].at_s: number out of range",
        ),
        (r#"[] []"#, "trailing characters"),
        (r#"{}"#, "expected a sequence"),
    ]
    .into_iter()
    .enumerate()
    {
        let name = format!("script{k}.json");
        let path = file(&name, text.as_bytes());
        let done = call("run --for 1min --plant", &[PLANT, "--script", path.to_str().unwrap()]);
        fails(&done, 2, &[&name, says]);
    }
    fails(
        &call("run --for 1min --script nowhere.json --plant", &[PLANT]),
        2,
        &["nowhere.json: it cannot be read"],
    );
}

#[test]
fn the_command_line_itself_is_checked() {
    fails(&call("run", &[]), 2, &["command line: ", "--plant <FILE|NAME>"]);
    fails(&call("blance", &[]), 2, &["'blance'", "'balance'"]);
    fails(&call("balance --units xx --plant", &[PLANT]), 2, &["'xx'", "si, us"]);
    fails(&call("run --csv --json --for 1s --plant", &[PLANT]), 2, &["'--csv' cannot be used with '--json'"]);
    fails(&call("run --for 1min --signals hp1.levle --plant", &[PLANT]), 2, &["'hp1.levle'", "hp1.level"]);
    fails(&call("run --for 1min --plant nowhere", &[]), 2, &["nowhere: there is neither", PLANT]);
}

/// As `head` does: reads a line and leaves. Nobody is left to be told, so nothing is wrong.
#[test]
fn a_reader_may_leave() {
    let mut child = Command::new(BINARY)
        .args(["run", "--plant", PLANT, "--for", "2h", "--every", "1s", "--signals", "all", "--csv"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
    assert!(line.starts_with("unit.time [s],"));
    let status = child.wait().unwrap();
    let mut said = String::new();
    child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    assert_eq!((status.code(), said.as_str()), (Some(0), ""));
}

#[test]
fn a_result_that_cannot_be_written_is_told() {
    let nowhere = format!("{}/no/such/place.csv", env!("CARGO_TARGET_TMPDIR"));
    let done = call("run --for 1min --plant", &[PLANT, "--out-file", &nowhere]);
    fails(&done, 5, &[&nowhere, "could not be written"]);
    if cfg!(target_os = "linux") {
        let done = call("run --for 1min --out-file /dev/full --plant", &[PLANT]);
        fails(&done, 5, &["/dev/full: the result could not be written", "No space left"]);
    }
}
