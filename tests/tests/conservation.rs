//! Mass and energy close, and nothing leaves the physical, whatever is done to the plant.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::sane::{ENERGY, MASS, Watch};
use bledsteam_tests::second_law::{Hottest, breaches};
use bledsteam_tests::{PLANT, Run, kept, trip, upset};
use proptest::prelude::*;

proptest! {
    #![proptest_config(upset::config())]

    #[test]
    fn mass_and_energy_close_under_any_upset(u in upset::any()) {
        for plant in catalog::PLANTS {
            let mut watch = Watch::default();
            let end = upset::run(plant.name, &u, |run| watch.look(run));
            prop_assert!(end.is_ok(), "{}: {}", plant.name, end.unwrap_err());
        }
    }
}

#[test]
fn what_once_broke_a_law_does_no_more() {
    for u in kept::all() {
        for plant in catalog::PLANTS {
            let (mut watch, mut hottest) = (Watch::default(), Hottest::default());
            let end = upset::run(plant.name, &u, |run| {
                watch.look(run)?;
                breaches(run)?;
                hottest.look(run)
            });
            assert_eq!(end, Ok(()), "{}: {u:?}", plant.name);
        }
    }
}

/// The account itself: a gram that vanishes in an hour shows, and so does the heat of a hundred grams of steam.
#[test]
fn the_account_would_notice() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(trip("hp1")).unwrap();
    run.minutes(60.0).unwrap();
    let (state, params) = (run.sim.state(), run.sim.params());
    let start = Run::open(PLANT).unwrap();
    let before = &start.sim.state().plant;
    let residuals = |plant: &engine::train::PlantState| {
        (
            state.ledger.mass_residual(plant.mass() - before.mass()),
            state.ledger.energy_residual(plant.energy(params) - before.energy(params)),
        )
    };
    let kept = residuals(&state.plant);
    assert_eq!(kept, run.sim.outputs().residuals);
    let mut lost = state.plant.clone();
    lost.closed[2].heater.shell.mass -= 1e-3;
    lost.open.tank.energy -= 2.5e3;
    let found = residuals(&lost);
    assert!(found.0 < -MASS && found.1 < -ENERGY, "{found:?}");
}
