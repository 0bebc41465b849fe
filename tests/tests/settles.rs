//! The moving plant, left to settle, comes to the steady balance: two solutions of the same relations, one by marching
//! through hours of plant time, one by closing all balances at once, neither of which knows the other.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, isolate, load, trip};
use engine::Command;
use engine::plant::file::Heater;
use engine::steady::{Balance, Case, Hold, Outage};
use engine::unit;

/// Allowed of a temperature [K].
const KELVIN: f64 = 0.1;
/// Allowed of any other figure, relative.
const SHARE: f64 = 1e-3;
/// Hours of plant time to settle: the loops of hotwell and tank have some minutes, gas in the shells takes some hours.
const HOURS: f64 = 8.0;

/// A figure by both roads.
struct Pair {
    id: String,
    moving: f64,
    steady: f64,
    kelvin: bool,
    /// Below this share of it both count as nothing: an idle drain.
    design: f64,
}

impl Pair {
    /// How far apart, in units of what is allowed.
    fn apart(&self) -> f64 {
        let allowed = if self.kelvin { KELVIN } else { SHARE * self.steady.abs().max(1e-3 * self.design) };
        (self.moving - self.steady).abs() / allowed
    }
}

/// All figures that both give.
fn pairs(run: &Run, b: &Balance) -> Vec<Pair> {
    let d = run.sim.balance();
    let mut all = Vec::new();
    let mut put = |id: String, kelvin: bool, steady: f64, design: f64| {
        let moving = run.get(&id);
        all.push(Pair { id, moving, steady, kelvin, design });
    };
    for (i, h) in run.sim.plant().heaters.iter().enumerate() {
        let (s, d) = (&b.heaters[i], &d.heaters[i]);
        let outage = b.case.outages[i];
        let mut put =
            |name: &str, kelvin, steady, design| put(format!("{}.{name}", h.id()), kelvin, steady, design);
        put("extraction_pressure", false, s.extraction_pressure, d.extraction_pressure);
        let steam = steam::state_ph(s.extraction_pressure, s.extraction_enthalpy).unwrap();
        put("extraction_temperature", true, steam.t, 0.0);
        put("extraction_flow", false, s.extraction_flow, d.extraction_flow);
        put("fw_flow", false, s.water_flow, d.water_flow);
        if outage == Outage::Out {
            // What stands in its shell and tubes is its own affair: the water that passes it is the next heater's.
            continue;
        }
        put("fw_in_temperature", true, s.water_in_t, 0.0);
        put("fw_out_temperature", true, s.water_out_t, 0.0);
        put("shell_pressure", false, s.pressure, d.pressure);
        put("saturation_temperature", true, s.saturation, 0.0);
        put("drain_in_flow", false, s.drain_in, d.drain_flow.max(d.drain_in));
        if matches!(h, Heater::Open(_)) {
            continue;
        }
        put("ttd", true, s.ttd, 0.0);
        put("dca", true, s.dca, 0.0);
        put("drain_temperature", true, s.drain_t, 0.0);
        put("vent_flow", false, s.vent, d.vent);
        put("normal_drain_flow", false, s.drain_flow - s.spill, d.drain_flow);
        put("emergency_drain_flow", false, s.spill, d.drain_flow);
        put("duty", false, s.duty, d.duty);
        put("duty_drain_cooling", false, s.zone_duty[0], d.duty);
        put("duty_condensing", false, s.zone_duty[1], d.duty);
        put("duty_desuperheating", false, s.zone_duty[2], d.duty);
        if s.drain_flow > 0.0 {
            // Where no drain arrives, the level stays where the last of it left it.
            put("level", false, s.level, 100.0);
        }
    }
    let mut put = |name: &str, kelvin, steady, design| put(format!("unit.{name}"), kelvin, steady, design);
    put("throttle_flow", false, b.throttle, 0.0);
    put("gross_output", false, b.gross, 0.0);
    put("net_output", false, b.gross - b.auxiliary, 0.0);
    put("heat_added", false, b.heat_added, 0.0);
    put("heat_rate", false, b.heat_rate, 0.0);
    put("final_fw_temperature", true, b.final_temperature, 0.0);
    put("feed_flow", false, b.feed, 0.0);
    put("condensate_flow", false, b.condensate, 0.0);
    put("makeup_flow", false, b.vent, 0.0);
    put("condenser_pressure", false, b.condenser_pressure, 0.0);
    put("condenser_temperature", true, b.condenser_temperature, 0.0);
    put("condenser_heat", false, b.rejected, 0.0);
    put("feed_pump_discharge", false, b.discharge, 0.0);
    if let Some((s, d)) = b.separator.as_ref().zip(d.separator.as_ref()) {
        put("separator_pressure", false, s.pressure, d.pressure);
        put("moisture_removed_flow", false, s.drain_flow, d.drain_flow);
        let mut astray = s.spill;
        if let Some((s, d)) = s.reheater.as_ref().zip(d.reheater.as_ref()) {
            put("reheated_steam_temperature", true, s.temperature_out, 0.0);
            put("heating_steam_flow", false, s.heating_flow, d.heating_flow);
            astray += s.spill;
        }
        put("led_drain_spill_flow", false, astray, d.drain_flow);
    }
    all
}

/// Every shipped plant.
fn plants() -> impl Iterator<Item = &'static str> {
    catalog::PLANTS.iter().map(|e| e.name)
}

/// Gives the commands, lets the plant settle, compares.
fn settles(plant: &str, what: &str, commands: &[Command], case: &Case) {
    let what = &format!("{plant}, {what}");
    let mut run = Run::open(plant).unwrap();
    for command in commands {
        run.command(command.clone()).unwrap();
    }
    run.minutes(60.0 * HOURS).unwrap();
    let steady = run.sim.model().solve(run.sim.plant(), case).unwrap_or_else(|f| panic!("{what}: {f}"));
    let all = pairs(&run, &steady);
    let strays: Vec<String> = all
        .iter()
        .filter(|p| !(p.apart() <= 1.0))
        .map(|p| format!("{}: {} settled, {} balanced", p.id, p.moving, p.steady))
        .collect();
    assert!(strays.is_empty(), "{what}: {strays:#?}");
    // Shown by `--nocapture`: how near the two came.
    let worst = all.iter().max_by(|a, b| a.apart().total_cmp(&b.apart())).unwrap();
    println!("{what}: {} figures, {} within {:.1e} of what is allowed", all.len(), worst.id, worst.apart());
}

fn full(plant: &str) -> Case {
    Case::at(Hold::SteamFlow(1.0), Run::open(plant).unwrap().sim.plant().heaters.len())
}

/// Heaters out of the same group are one case.
fn with(outage: Outage, command: impl Fn(&str) -> Command) {
    for plant in plants() {
        let run = Run::open(plant).unwrap();
        for (i, h) in run.sim.plant().heaters.iter().enumerate() {
            if matches!(h, Heater::Closed(_)) {
                let mut case = full(plant);
                case.outages[i] = outage;
                settles(plant, &format!("{} {outage:?}", h.id()), &[command(h.id())], &case);
            }
        }
    }
}

fn at_loads(shares: [f64; 3]) {
    for plant in plants() {
        for share in shares {
            let case = Case { hold: Hold::SteamFlow(share), ..full(plant) };
            settles(plant, &format!("load {share}"), &[load(share)], &case);
        }
    }
}

#[test]
fn at_part_load() {
    at_loads([0.25, 0.4, 0.6]);
}

#[test]
fn at_high_load() {
    at_loads([0.8, 1.0, 1.05]);
}

/// The gross output held: it stands where it was asked to, and the steam flow is what the balance needs for it, also when
/// heaters go out later.
#[test]
fn with_the_gross_output_held() {
    let hold = Command::SetHold { hold: unit::Hold::GrossOutput };
    for (share, out) in [(0.8, None), (1.0, Some(0)), (0.5, Some(2))] {
        let mut case = Case { hold: Hold::GrossOutput(share), ..full(PLANT) };
        let mut commands = vec![hold.clone(), load(share)];
        if let Some(i) = out {
            case.outages[i] = Outage::Out;
            commands.push(trip(["hp1", "hp2", "hp3"][i]));
        }
        settles(PLANT, &format!("output {share}, {out:?} out"), &commands, &case);
    }
}

/// The firing held: with a heater out the same fuel makes less steam of colder feedwater.
#[test]
fn with_the_firing_held() {
    let hold = Command::SetHold { hold: unit::Hold::Firing };
    for (share, out) in [(0.7, None), (1.0, Some(0))] {
        let mut case = Case { hold: Hold::Firing(share), ..full(PLANT) };
        let mut commands = vec![hold.clone(), load(share)];
        if let Some(i) = out {
            case.outages[i] = Outage::Out;
            commands.push(trip(["hp1", "hp2", "hp3"][i]));
        }
        settles(PLANT, &format!("firing {share}, {out:?} out"), &commands, &case);
    }
}

/// Each heater out; heaters of a bypass group go together.
#[test]
fn with_a_heater_out() {
    with(Outage::Out, trip);
}

#[test]
fn with_an_extraction_isolated() {
    with(Outage::Isolated, isolate);
}
