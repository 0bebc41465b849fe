//! No heat flows up-temperature, whatever is done to the plant.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::second_law::{Hottest, Zones, breaches};
use bledsteam_tests::{PLANT, Run, upset};
use proptest::prelude::*;

proptest! {
    #![proptest_config(upset::config())]

    #[test]
    fn heat_flows_down_under_any_upset(u in upset::any()) {
        for plant in catalog::PLANTS {
            let mut hottest = Hottest::default();
            let end = upset::run(plant.name, &u, |run| breaches(run).and_then(|()| hottest.look(run)));
            prop_assert!(end.is_ok(), "{}: {}", plant.name, end.unwrap_err());
        }
    }
}

/// At rest the stricter form holds: saturation lies between, zone by zone, and no stream crosses the other.
#[test]
fn at_design_no_zone_crosses() {
    let run = Run::open(PLANT).unwrap();
    for (k, q) in run.sim.params().closed.iter().enumerate() {
        let h = &run.sim.outputs().closed[k].heater;
        let c = &run.sim.state().plant.closed[k].heater;
        let line = run.sim.params().line(k);
        let water: Vec<f64> = c.water.iter().map(|w| line.t(*w).unwrap()).collect();
        let id = &q.heater.id;
        assert!(h.water_in_t < water[0] && water[0] < water[1] && water[1] <= water[2], "{id}: {water:?}");
        assert!(water[1] < h.saturation, "{id}: leaves the condensing zone at {} °C", water[1]);
        assert!(h.drain_t > h.water_in_t && h.drain_t < h.saturation, "{id}: drain at {} °C", h.drain_t);
        if h.duty[2] > 0.0 {
            let steam = run.get(&format!("{id}.extraction_temperature"));
            assert!(water[2] < steam, "{id}: water {} °C, steam {steam} °C", water[2]);
        }
    }
}

/// The detector: every duty turned round, and a drain colder than the water that cooled it, are noticed.
#[test]
fn heat_that_flows_up_would_be_noticed() {
    let run = Run::open(PLANT).unwrap();
    let good = Zones::of(&run, 0).unwrap();
    assert_eq!(good.breach(), None);
    for (zone, name) in ["drain cooling", "condensing", "desuperheating"].into_iter().enumerate() {
        let mut bad = good;
        bad.duty[zone] = -bad.duty[zone];
        assert_eq!(bad.breach(), Some(name));
    }
    assert_eq!(Zones { drain: good.entering - 1.0, ..good }.breach(), Some("drain cooling"));
    assert_eq!(Zones { saturation: good.water[0] - 1.0, ..good }.breach(), Some("condensing"));
}
