//! Plants at random, not only the shipped ones: equipped by usual proportions, they rest at their design point, and under
//! any upset their accounts close and nothing leaves the physical.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::any_plant::any_plant;
use bledsteam_tests::runnable::{lawful, runnable, start};
use bledsteam_tests::sane::Watch;
use bledsteam_tests::upset;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

proptest! {
    #![proptest_config(ProptestConfig { cases: upset::config().cases.div_ceil(2), ..upset::config() })]

    #[test]
    fn any_plant_keeps_the_laws_under_any_upset(
        plant in any_plant().prop_filter("cannot be run", runnable),
        u in upset::any(),
    ) {
        match start(&plant) {
            Ok(run) => {
                // Hotter and drier steam than in the shipped plants: the fit of superheat against mass is good to 6 %.
                let mut watch = Watch { fit: 0.06, ..Watch::default() };
                let end = upset::run_on(run, &u, |run| watch.look(run));
                prop_assert!(end.is_ok(), "{}", end.unwrap_err());
            }
            Err(f) => prop_assert!(lawful(&f), "{}: {f}", f.code),
        }
    }

    /// Left alone for an hour, nothing moves by more than a hundredth of a per cent of its span.
    #[test]
    fn any_plant_rests_at_its_design_point(plant in any_plant().prop_filter("cannot be run", runnable)) {
        if let Ok(mut run) = start(&plant) {
            let before = run.values().to_vec();
            run.minutes(60.0).unwrap();
            for ((d, &now), &was) in run.definitions().iter().zip(run.values()).zip(&before) {
                let moved = (now - was).abs() / (d.high - d.low);
                let clock = ["unit.time", "unit.mass_residual", "unit.energy_residual"].contains(&d.id.as_str());
                prop_assert!(clock || moved <= 1e-4, "{} from {was} to {now}", d.id);
            }
        }
    }
}

/// Few of the plants drawn cannot be run, or the properties above would say little.
#[test]
fn most_plants_drawn_can_be_run() {
    let mut runner = TestRunner::new(upset::config());
    let plants = any_plant().prop_filter("cannot be run", runnable);
    let (mut run, mut tried) = (0, 0);
    for _ in 0..60 {
        let plant = plants.new_tree(&mut runner).unwrap().current();
        tried += 1;
        match start(&plant) {
            Ok(_) => run += 1,
            Err(f) => eprintln!("{} {f}", f.code),
        }
    }
    assert!(run * 10 >= tried * 7, "{run} of {tried}");
}
