//! Balances of loads and outages: what is asked is held, what is out is out, and everything closes.

use crate::shell::{PLANT, book, call};
use serde_json::Value;

fn printed(options: &str) -> Value {
    call(&format!("balance {PLANT} --json {options}"), &[]).json()
}

fn of(b: &Value, pointer: &str) -> f64 {
    b.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("no number at {pointer}"))
}

fn heater<'a>(b: &'a Value, id: &str) -> &'a Value {
    b["heaters"].as_array().unwrap().iter().find(|h| h["id"] == id).unwrap()
}

#[test]
fn what_is_held_is_held_and_the_balance_closes() {
    let design = printed("");
    let holds = [
        ("steam", "steam_flow", "/turbine/steam_flow"),
        ("output", "gross_output", "/unit/gross_output"),
        ("firing", "firing", "/unit/heat_added"),
    ];
    for (word, held, pointer) in holds {
        for percent in ["25", "80%", "105"] {
            let b = printed(&format!("--load {percent} --hold {word} --out hp1,lp6 --isolate hp3"));
            let share = percent.trim_end_matches('%').parse::<f64>().unwrap() / 100.0;
            assert!((of(&b, pointer) / of(&design, pointer) - share).abs() < 1e-9, "{word} {percent}");
            assert_eq!((b["case"]["held"].as_str(), of(&b, "/case/share")), (Some(held), share));
            for residual in ["mass_residual", "energy_residual"] {
                assert!(of(&b["solution"], &format!("/{residual}")) < 1e-9, "{}", b["solution"]);
            }
            assert_eq!(b["solution"]["ended"], "closed");
        }
    }
}

/// Nothing asked and everything asked as at design are one balance, found in two ways.
#[test]
fn the_design_point_asked_for_is_the_design_balance() {
    let (design, asked) = (printed(""), printed("--load 100"));
    assert_eq!((&design["case"]["design"], &asked["case"]["design"]), (&true.into(), &false.into()));
    for pointer in
        ["/unit/gross_output", "/unit/heat_rate", "/unit/final_fw_temperature", "/heaters/3/extraction_flow"]
    {
        assert!((of(&asked, pointer) / of(&design, pointer) - 1.0).abs() < 1e-8, "{pointer}");
    }
}

#[test]
fn a_heater_out_has_neither_steam_nor_water_and_takes_its_group() {
    let (all, b) = (printed("--load 80"), printed("--load 80 --out hp1,lp6"));
    let out: Vec<&str> = b["case"]["out"].as_array().unwrap().iter().map(|v| v.as_str().unwrap()).collect();
    assert_eq!(out, ["hp1", "lp6", "lp7"]);
    for id in out {
        let h = heater(&b, id);
        assert_eq!(
            (h["service"].as_str(), of(h, "/extraction_flow"), of(h, "/fw_flow")),
            (Some("out"), 0.0, 0.0)
        );
        for key in ["ttd", "dca", "fw_out_temperature", "drain_temperature", "duty_condensing"] {
            assert!(h[key].is_null(), "{id}.{key}: {}", h[key]);
        }
    }
    assert!(of(heater(&b, "hp2"), "/extraction_flow") > 0.0);
    // The next heater's drain has lost what hp1 sent; the economiser gets water as hp2 leaves it.
    assert_eq!(of(heater(&b, "hp2"), "/drain_in_flow"), 0.0);
    assert!(
        (of(&b, "/unit/final_fw_temperature") - of(heater(&b, "hp2"), "/fw_out_temperature")).abs() < 1e-9
    );
    assert!(of(&b, "/unit/heat_rate") > of(&all, "/unit/heat_rate"));
}

#[test]
fn an_isolated_heater_has_water_and_drains_but_no_steam() {
    let b = printed("--isolate hp2");
    let h = heater(&b, "hp2");
    assert_eq!((h["service"].as_str(), of(h, "/extraction_flow")), (Some("isolated"), 0.0));
    assert!(of(h, "/fw_flow") > 0.0 && of(h, "/drain_in_flow") > 0.0);
    assert!((of(h, "/drain_flow") + of(h, "/vent") - of(h, "/drain_in_flow")).abs() < 1e-9);
    assert_eq!(b["case"]["isolated"], serde_json::json!(["hp2"]));
}

/// Off design nothing is copied from design: pressures fall nearly as the flow, terminal differences shrink.
#[test]
fn part_load_is_found_and_not_copied() {
    let (full, half) = (printed("--load 100"), printed("--load 50"));
    for id in ["hp1", "hp3", "lp5", "lp7"] {
        let ratio =
            of(heater(&half, id), "/extraction_pressure") / of(heater(&full, id), "/extraction_pressure");
        assert!((0.4..0.6).contains(&ratio), "{id}: {ratio}");
        assert!(of(heater(&half, id), "/ttd") < of(heater(&full, id), "/ttd"), "{id}");
    }
}

#[test]
fn csv_holds_every_figure_of_json_once() {
    let options = "--load 80 --out hp1 --units us";
    let b = printed(options);
    let csv = call(&format!("balance {PLANT} --csv {options}"), &[]);
    assert_eq!((csv.code, csv.err.as_str()), (0, ""));
    let lines: Vec<Vec<&str>> = csv.out.lines().map(|l| l.split(',').collect()).collect();
    assert_eq!(lines[0], ["section", "device", "figure", "value", "unit"]);
    assert!(lines.contains(&vec!["case", "unit", "steam_flow", "80", "%"]));
    assert!(lines.contains(&vec!["case", "hp1", "out", "1", "-"]));
    let mut seen = 0;
    let mut holds = |section: &str, device: &str, figures: &Value| {
        for (key, value) in figures.as_object().unwrap() {
            let Some(value) = value.as_f64() else { continue };
            let found: Vec<_> = lines.iter().filter(|l| l[..3] == [section, device, key]).collect();
            assert_eq!(found.len(), 1, "{section} {device} {key}");
            let printed: f64 = found[0][3].parse().unwrap();
            assert!((printed - value).abs() <= 1e-12 * value.abs(), "{section} {device} {key}");
            assert_eq!(found[0][4], b["unit_of"][section][key], "{section} {key}");
            seen += 1;
        }
    };
    for section in ["unit", "turbine", "pumps", "solution"] {
        holds(section, section, &b[section]);
    }
    for section in ["heaters", "stages"] {
        for device in b[section].as_array().unwrap() {
            holds(section, device["id"].as_str().unwrap(), device);
        }
    }
    assert_eq!(seen + 3, lines.len());
}

/// From the printed numbers: each group's work and the fall of its pressure, the flow less what is extracted.
#[test]
fn stages_add_up_to_the_turbine() {
    for options in ["", "--load 60 --out hp2 --hold output"] {
        let b = printed(options);
        let stages = b["stages"].as_array().unwrap();
        let work: f64 = stages.iter().map(|s| of(s, "/work")).sum();
        assert!((work / of(&b, "/turbine/work") - 1.0).abs() < 1e-12);
        for pair in stages.windows(2) {
            let id = pair[0]["ends_at"].as_str().unwrap();
            let taken = of(&pair[0], "/flow") - of(&pair[1], "/flow");
            // Of a heater that is out the line's drain stands open.
            let h = heater(&b, id);
            let leaves = of(h, "/extraction_flow") + of(h, "/line_drain_flow");
            assert!((taken - leaves).abs() < 1e-9, "{id}: {taken}");
            assert!(of(&pair[0], "/pressure_out") < of(&pair[0], "/pressure_in"), "{id}");
            assert!((0.8..=1.0).contains(&of(&pair[1], "/quality_out")), "{id}");
        }
        assert_eq!(stages.last().unwrap()["ends_at"], "condenser");
    }
}

#[test]
fn a_plant_without_prices_has_no_money() {
    let b = call("balance --json", &[&book("moran-8-5")]).json();
    assert!(b["unit"]["fuel_flow"].is_null() && b["unit"]["co2"].is_null());
    let b = printed("");
    // Lower heating value and price of the plant file, by hand.
    let e = &crate::shell::plant_file()["economics"];
    let fuel = of(&b, "/unit/fuel_flow") * of(e, "/heating_value"); // kW
    assert!((of(&b, "/unit/fuel_cost") / (fuel * 3.6e-3 * of(e, "/fuel_price")) - 1.0).abs() < 1e-12);
    assert!((of(&b, "/unit/co2") / (fuel * 1e-6 * of(e, "/carbon_dioxide")) - 1.0).abs() < 1e-12);
}

#[test]
fn options_without_meaning_are_refused_all_at_once() {
    for (options, says) in [
        ("--out hp9", vec!["--out 'hp9': the plant has no such heater", "hp1, hp2, hp3, lp5, lp6, lp7"]),
        ("--out open4 --isolate hp8", vec!["--out 'open4': an open heater cannot", "--isolate 'hp8'"]),
        ("--out hp1,hp2 --isolate hp2", vec!["--isolate 'hp2': the heater is asked for out and isolated"]),
        ("--load 24", vec!["--load '24': 24 % is outside 25 to 105 %"]),
        ("--load -5 --out hp9", vec!["--load '-5': -5 % is outside", "--out 'hp9'"]),
        ("--load half", vec!["'half' is not a percentage", "like 80"]),
        ("--load NaN", vec!["'NaN' is not a percentage"]),
        ("--hold speed", vec!["'speed'", "steam, output, firing"]),
        ("--csv --json", vec!["'--csv' cannot be used with '--json'"]),
    ] {
        let done = call(&format!("balance {PLANT} {options}"), &[]);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{options}: {}", done.err);
        for what in says {
            assert!(done.err.contains(what), "{options}: no '{what}' in {}", done.err);
        }
    }
    assert_eq!(call("balance", &[PLANT, "--plant", PLANT]).code, 2);
    assert_eq!(call("balance", &[]).code, 2);
    assert_eq!(call("balance", &[PLANT]).out, call("balance --plant", &[PLANT]).out);
}

/// A bare plant answers at other loads too, as its turbine is sized.
#[test]
fn books_have_part_loads() {
    for name in ["moran-8-5", "moran-8-6", "cengel-10-6", "nag-2-6"] {
        let b = call("balance --json --load 60", &[&book(name)]).json();
        assert!(of(&b, "/solution/energy_residual") < 1e-9, "{name}");
        assert!(of(&b, "/heaters/0/extraction_pressure") > 0.0);
    }
}
