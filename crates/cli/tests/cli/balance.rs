//! The printed heat balance closes, and is the engine's.

use crate::shell::{PLANT, call, plant_file};
use serde_json::Value;

fn printed() -> Value {
    call("balance --json --plant", &[PLANT]).json()
}

fn of(object: &Value, key: &str) -> f64 {
    object[key].as_f64().unwrap_or_else(|| panic!("{key} is not a number: {}", object[key]))
}

fn near(got: f64, expected: f64, within: f64, what: &str) {
    assert!((got - expected).abs() <= within * expected.abs().max(1.0), "{what}: {got} {expected}");
}

/// From the printed numbers alone: mass and energy round every heater and round the whole.
#[test]
fn it_closes() {
    let b = printed();
    let heaters = b["heaters"].as_array().unwrap();
    assert_eq!(heaters.len(), 7);
    let (mut taken, mut above) = (0.0, None);
    for h in heaters {
        let id = h["id"].as_str().unwrap();
        taken += of(h, "extraction_flow");
        let heating = of(h, "fw_flow") * (of(h, "fw_out_enthalpy") - of(h, "fw_in_enthalpy"));
        near(of(h, "duty"), heating, 1e-12, id);
        let (drain_flow, drain_heat): (f64, f64) = above.take().unwrap_or_default();
        near(of(h, "drain_in_flow"), drain_flow, 1e-12, id);
        if h["kind"] == "closed" {
            near(of(h, "drain_flow") + of(h, "vent"), drain_flow + of(h, "extraction_flow"), 1e-12, id);
            let out = of(h, "drain_flow") * of(h, "drain_enthalpy");
            let vented = of(h, "vent") * steam::sat_p(of(h, "shell_pressure")).unwrap().hg;
            let given = of(h, "extraction_flow") * of(h, "extraction_enthalpy") + drain_heat - out - vented;
            near(given, heating, 1e-9, id);
            near(of(h, "ttd"), of(h, "saturation_temperature") - of(h, "fw_out_temperature"), 1e-12, id);
            near(of(h, "dca"), of(h, "drain_temperature") - of(h, "fw_in_temperature"), 1e-12, id);
            above = Some((of(h, "drain_flow"), out));
        } else {
            assert!(h["ttd"].is_null() && h["drain_flow"].is_null(), "{h}");
        }
    }
    let (turbine, pumps, unit) = (&b["turbine"], &b["pumps"], &b["unit"]);
    near(of(turbine, "exhaust_flow") + taken, of(turbine, "steam_flow"), 1e-12, "steam");
    near(
        of(unit, "heat_rate"),
        3600.0 * of(unit, "heat_added") / of(unit, "gross_output"),
        1e-12,
        "heat rate",
    );
    // Shaft work from the generator's efficiency in the plant file; pump work as it reaches the water.
    let file = plant_file();
    let shaft = of(unit, "gross_output") / of(&file["turbine"], "generator_efficiency");
    // What casings lose is work that does not stay in the water; what is sent back to the tank brings some back.
    let pumping = of(pumps, "condensate_pump_power")
        + of(turbine, "steam_flow") * of(pumps, "feed_pump_rise")
        + of(pumps, "feed_pump_recirculation_heat");
    let all = pumping + of(pumps, "feed_pump_loss");
    near(of(pumps, "pump_work"), all, 1e-12, "pump work");
    let vent = of(unit, "vent_flow")
        * (steam::sat_p(of(&heaters[3], "shell_pressure")).unwrap().hg
            - steam::sat_t(of(&file["condenser"], "makeup_temperature")).unwrap().hf);
    near(of(unit, "heat_added") + pumping, shaft + of(unit, "heat_rejected") + vent, 1e-9, "energy");
    let solution = &b["solution"];
    assert!(of(solution, "mass_residual") < 1e-9 && of(solution, "energy_residual") < 1e-9, "{solution}");
}

#[test]
fn it_is_the_engines_balance() {
    let b = engine::steady::Model::new(&catalog::plant(PLANT).unwrap()).unwrap().design;
    let printed = printed();
    // The reader of JSON here may miss the last bit of a number.
    let same = |object: &Value, key: &str, value: f64| near(of(object, key), value, 1e-15, key);
    for (h, p) in b.heaters.iter().zip(printed["heaters"].as_array().unwrap()) {
        assert_eq!(p["id"], h.id.as_str());
        same(p, "extraction_flow", h.extraction_flow);
        same(p, "extraction_enthalpy", h.extraction_enthalpy);
        same(p, "shell_pressure", h.pressure);
        same(p, "fw_out_temperature", h.water_out_t);
    }
    same(&printed["unit"], "gross_output", b.gross);
    same(&printed["unit"], "heat_rate", b.heat_rate);
    same(&printed["pumps"], "feed_pump_discharge", b.discharge);
}

/// The time-stepping model at rest, which shares only properties and expansion with the balance.
#[test]
fn the_plant_at_rest_agrees() {
    let b = printed();
    let rest = call("run --for 0s --signals all --json --plant", &[PLANT]).json();
    let at_rest = |id: &str| {
        let k = rest["signals"].as_array().unwrap().iter().position(|s| s["id"] == id).unwrap();
        rest["lines"][0][k].as_f64().unwrap()
    };
    for h in b["heaters"].as_array().unwrap() {
        for key in ["extraction_flow", "shell_pressure", "fw_in_temperature", "fw_out_temperature", "fw_flow"]
        {
            let id = format!("{}.{key}", h["id"].as_str().unwrap());
            near(at_rest(&id), of(h, key), 1e-5, &id);
        }
    }
    near(at_rest("unit.gross_output"), of(&b["unit"], "gross_output"), 1e-6, "gross");
    near(at_rest("unit.heat_rate"), of(&b["unit"], "heat_rate"), 1e-6, "heat rate");
}

#[test]
fn every_number_states_its_unit_and_follows_it() {
    let (inside, us) = (printed(), call("balance --json --units us --plant", &[PLANT]).json());
    for part in ["turbine", "pumps", "unit", "solution", "heaters", "stages"] {
        let device = inside[part].get(0).unwrap_or(&inside[part]);
        let numbers = device.as_object().unwrap().iter().filter(|(_, v)| !v.is_string());
        for (key, _) in numbers {
            assert!(inside["unit_of"][part][key].is_string(), "{part}.{key}");
        }
    }
    let hp1 = |b: &Value, key: &str| of(&b["heaters"][0], key);
    assert_eq!(us["unit_of"]["heaters"]["shell_pressure"], "psia");
    // NIST SP 811, B.8: 1 psi = 6.894757 kPa.
    near(hp1(&us, "shell_pressure"), hp1(&inside, "shell_pressure") / 6.894_757e-3, 1e-6, "psia");
    near(hp1(&us, "fw_out_temperature"), hp1(&inside, "fw_out_temperature") * 1.8 + 32.0, 1e-9, "°F");
    assert_eq!(inside["unit_of"]["unit"]["gross_output"], "kW");
    assert_eq!(us["unit_of"]["unit"]["gross_output"], "MW");
}

#[test]
fn the_table_shows_every_heater() {
    let done = call("balance --plant", &[PLANT]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let line = |label: &str| done.out.lines().find(|l| l.starts_with(label)).unwrap().to_owned();
    let heaters: Vec<String> = line("Heater ").split_whitespace().skip(1).map(str::to_owned).collect();
    assert_eq!(heaters, ["hp1", "hp2", "hp3", "open4", "lp5", "lp6", "lp7"]);
    let ttd: Vec<String> = line("TTD").split_whitespace().skip(2).map(str::to_owned).collect();
    assert_eq!(ttd, ["-1.00", "-0.50", "-1.00", "-", "2.80", "2.80", "2.80"]);
    assert!(line("Gross heat rate").contains("kJ/kWh"));
}
