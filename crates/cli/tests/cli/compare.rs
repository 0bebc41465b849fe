//! Two balances beside each other, and what changes cost: the same numbers as the balances themselves.

use crate::shell::{PLANT, book, call};
use serde_json::Value;

fn figure<'a>(list: &'a Value, device: &str, key: &str) -> &'a Value {
    let fits = |f: &&Value| f["device"] == device && f["figure"] == key;
    list["figures"].as_array().unwrap().iter().find(fits).unwrap_or_else(|| panic!("no {device} {key}"))
}

fn of(object: &Value, key: &str) -> f64 {
    object[key].as_f64().unwrap_or_else(|| panic!("{key} is not a number: {object}"))
}

#[test]
fn both_sides_are_the_balances_and_differences_are_b_less_a() {
    let a = call(&format!("balance {PLANT} --load 80 --json"), &[]).json();
    let b = call(&format!("balance {PLANT} --load 80 --out hp1 --json"), &[]).json();
    let c = call(&format!("compare {PLANT} --load 80 --out-b hp1 --json"), &[]).json();
    assert_eq!((&c["a"]["case"], &c["b"]["case"]), (&a["case"], &b["case"]));
    let mut seen = 0;
    for f in c["figures"].as_array().unwrap() {
        let (section, key) = (f["section"].as_str().unwrap(), f["figure"].as_str().unwrap());
        for (side, whole) in [("a", &a), ("b", &b)] {
            let device = match &whole[section] {
                Value::Array(list) => list.iter().find(|d| d["id"] == f["device"]).unwrap(),
                lone => lone,
            };
            assert_eq!(f[side], device[key], "{section} {key}");
            assert_eq!(f["unit"], whole["unit_of"][section][key]);
        }
        if let (Some(x), Some(y), Some(d)) = (f["a"].as_f64(), f["b"].as_f64(), f["difference"].as_f64()) {
            assert!((d - (y - x)).abs() <= 1e-12 * x.abs().max(1.0), "{f}");
            seen += 1;
        }
    }
    assert!(seen > 150, "{seen}");
    assert!(of(figure(&c, "unit", "final_fw_temperature"), "difference") < -20.0);
    assert_eq!(of(figure(&c, "turbine", "steam_flow"), "difference"), 0.0);
    // A heater that is out has no TTD to compare.
    let ttd = figure(&c, "hp1", "ttd");
    assert!(ttd["a"].is_number() && ttd["b"].is_null() && ttd["difference"].is_null());
}

#[test]
fn two_plants_are_paired_by_id() {
    let (x, y) = (book("moran-8-5"), book("moran-8-6"));
    let c = call("compare --json", &[&x, &y]).json();
    assert!((of(figure(&c, "unit", "efficiency"), "difference") - (0.43053 - 0.36913)).abs() < 1e-4);
    let only_b = figure(&c, "c1", "extraction_flow");
    assert!(only_b["a"].is_null() && only_b["b"].is_number() && only_b["difference"].is_null());
    assert_eq!(c["b"]["plant"], "moran-8-6");
    // Sections stay together.
    let mut sections: Vec<&str> =
        c["figures"].as_array().unwrap().iter().map(|f| f["section"].as_str().unwrap()).collect();
    sections.dedup();
    assert_eq!(sections, ["unit", "turbine", "pumps", "stages", "heaters", "solution"]);
}

#[test]
fn what_is_said_for_both_is_said_for_b_unless_b_has_its_own() {
    let line =
        format!("compare {PLANT} --load 90 --hold output --out hp1 --load-b 60 --out-b none --isolate-b lp5");
    let c = call(&format!("{line} --json"), &[]).json();
    let case = |side: &str, key: &str| c[side]["case"][key].clone();
    assert_eq!((case("a", "share"), case("b", "share")), (0.9.into(), 0.6.into()));
    assert_eq!((case("a", "held"), case("b", "held")), ("gross_output".into(), "gross_output".into()));
    assert_eq!((case("a", "out"), case("b", "out")), (serde_json::json!(["hp1"]), serde_json::json!([])));
    assert_eq!(
        (case("a", "isolated"), case("b", "isolated")),
        (serde_json::json!([]), serde_json::json!(["lp5"]))
    );
    let wrong = call(&format!("compare {PLANT} --out-b hp9"), &[]);
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("--out-b 'hp9'"), "{}", wrong.err);
    let alone = call(&format!("compare {PLANT} --load 80"), &[]);
    assert_eq!(alone.code, 2);
    assert!(
        alone.err.contains("nothing to compare A with") && alone.err.contains("--out-b"),
        "{}",
        alone.err
    );
}

#[test]
fn differences_of_temperature_have_no_offset_in_any_unit() {
    let read = |units: &str| call(&format!("compare {PLANT} --out-b hp1 --json {units}"), &[]).json();
    let (si, us) = (read("--units si"), read("--units us"));
    let (f, g) = (figure(&si, "unit", "final_fw_temperature"), figure(&us, "unit", "final_fw_temperature"));
    assert!((of(g, "a") - (of(f, "a") * 1.8 + 32.0)).abs() < 1e-8);
    assert!((of(g, "difference") - of(f, "difference") * 1.8).abs() < 1e-8);
    assert_eq!((f["difference_unit"].as_str(), g["difference_unit"].as_str()), (Some("K"), Some("°F")));
}

/// Nobody can say what one money less another is.
#[test]
fn different_moneys_have_no_difference() {
    let mut plant = crate::shell::plant_file();
    plant["economics"]["currency"] = "€".into();
    let path = crate::shell::file("euro.json", plant.to_string().as_bytes());
    let c = call(&format!("compare {PLANT} --json"), &[path.to_str().unwrap()]).json();
    let cost = figure(&c, "unit", "fuel_cost");
    assert!(cost["a"].is_number() && cost["a"] == cost["b"] && cost["difference"].is_null(), "{cost}");
    assert_eq!(cost["unit"], "¤|€/h");
    assert_eq!(of(figure(&c, "unit", "co2"), "difference"), 0.0);
}

#[test]
fn the_table_of_a_comparison_shows_sides_and_signs() {
    let done = call(&format!("compare {PLANT} --out-b hp1"), &[]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    assert!(done.out.lines().next().unwrap().starts_with("A  ") && done.out.contains(": design\nB  "));
    let line = |label: &str| done.out.lines().find(|l| l.starts_with(label)).unwrap().to_owned();
    let cells =
        |label: &str| line(label).split_whitespace().rev().take(2).map(str::to_owned).collect::<Vec<_>>();
    let output = cells("Gross output");
    assert!(output.iter().all(|c| c.starts_with('+')), "{output:?}");
    assert!(cells("Final feedwater temperature")[0].starts_with('-'));
    let csv = call(&format!("compare {PLANT} --out-b hp1 --csv"), &[]);
    let mut lines = csv.out.lines();
    assert_eq!(lines.next().unwrap(), "section,device,figure,a,b,unit,difference,difference_unit");
    assert!(lines.all(|l| l.split(',').count() == 8));
}

/// The cost of a heater out is the difference of two balances at the same output.
#[test]
fn costs_are_differences_of_balances() {
    let list = call(&format!("costs {PLANT} --load 90 --json"), &[]).json();
    let c = call(&format!("compare {PLANT} --hold output --load 90 --out-b hp1 --json"), &[]).json();
    let row = |heater: &str, change: &str| {
        let fits = |r: &&Value| r["heater"] == heater && r["change"] == change;
        list["costs"].as_array().unwrap().iter().find(fits).unwrap_or_else(|| panic!("no {heater} {change}"))
    };
    for (key, figure_key) in [
        ("heat_rate", "heat_rate"),
        ("heat_added", "heat_added"),
        ("money", "fuel_cost"),
        ("co2", "co2"),
        ("final_fw_temperature", "final_fw_temperature"),
    ] {
        let (cost, difference) =
            (of(row("hp1", "out"), key), of(figure(&c, "unit", figure_key), "difference"));
        assert!((cost - difference).abs() < 1e-6 * difference.abs().max(1.0), "{key}: {cost} {difference}");
    }
    for id in ["hp1", "hp2", "hp3", "lp5", "lp6", "lp7"] {
        let share = |change: &str| of(row(id, change), "heat_rate_share");
        assert!(share("out") > share("ttd") && share("ttd") > share("dca") && share("dca") > 0.0, "{id}");
    }
    assert_eq!(row("lp6", "out")["with"], serde_json::json!(["lp7"]));
    assert_eq!(list["unit_of"]["heat_rate"], "kJ/kWh");
}

#[test]
fn costs_in_every_form() {
    let table = call(&format!("costs {PLANT}"), &[]);
    assert_eq!((table.code, table.err.as_str()), (0, ""));
    assert!(table.out.lines().any(|l| l.starts_with("lp6") && l.contains("out with lp7")), "{}", table.out);
    assert!(table.out.lines().any(|l| l.starts_with("hp1") && l.contains("TTD 1 K more")));
    let us = call(&format!("costs {PLANT} --units us"), &[]);
    assert!(us.out.contains("DCA 1.8 °F more"), "{}", us.out);
    let csv = call(&format!("costs {PLANT} --csv"), &[]);
    assert!(csv.out.starts_with("section,device,figure,value,unit\nout,hp1,heat_rate,"), "{}", csv.out);
    // No prices, no closed heater: said, not invented.
    let bare = call("costs --json", &[&book("nag-2-6")]).json();
    assert!(
        bare["costs"].as_array().unwrap().iter().all(|r| r["money"].is_null() && r["heat_rate"].is_number())
    );
    let open = call("costs", &[&book("moran-8-5")]);
    assert!(open.code == 0 && open.out.contains("No closed heater"), "{}", open.out);
    assert_eq!(call(&format!("costs {PLANT} --load 300"), &[]).code, 2);
}
