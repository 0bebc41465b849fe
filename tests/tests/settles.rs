//! The moving plant, left to settle, comes to the steady balance: two solutions of the same relations, one by marching
//! through hours of plant time, one by closing all balances at once, neither of which knows the other.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::settled::pairs;
use bledsteam_tests::{PLANT, Run, isolate, load, trip};
use engine::Command;
use engine::plant::file::Heater;
use engine::steady::{Case, Hold, Outage};
use engine::unit;

/// Hours of plant time to settle: the loops of hotwell and tank have some minutes, gas in the shells takes some hours.
const HOURS: f64 = 8.0;

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
    let all = pairs(&run, &steady).unwrap();
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
