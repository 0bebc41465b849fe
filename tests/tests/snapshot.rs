//! Snapshot, restore, go on: the same bits, and what was read at that instant reads the same again.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{Run, load, trip, upset};
use engine::signals;
use proptest::prelude::*;

fn values(sim: &engine::Sim) -> Vec<u64> {
    let mut v = Vec::new();
    signals::read(sim, &mut v);
    v.into_iter().map(f64::to_bits).collect()
}

/// After an upset the plant is stepped on in lockstep with one restored from its snapshot, and with itself taken back.
fn lockstep(plant: &str, u: &upset::Upset) -> Result<(), String> {
    let mut at_end = None;
    let mut first = None;
    upset::run(plant, u, |run| {
        let now = run.sim.time();
        if first.is_none() && now > 200.0 {
            first = Some((
                run.sim.snapshot().map_err(|f| f.to_string())?,
                run.sim.state_hash().unwrap(),
                values(&run.sim),
            ));
        }
        at_end = Some((
            run.sim.snapshot().map_err(|f| f.to_string())?,
            run.sim.state_hash().unwrap(),
            values(&run.sim),
        ));
        Ok(())
    })?;
    let mut one = Run::open(plant).unwrap().sim;
    for (bytes, hash, shown) in [at_end, first].into_iter().flatten() {
        // `one` has been elsewhere: nothing of it may be left.
        one.restore(&bytes).map_err(|f| f.to_string())?;
        if one.state_hash().unwrap() != hash || values(&one) != shown || one.snapshot().unwrap() != bytes {
            return Err("the restored plant is not the one that was kept".into());
        }
        let mut other = Run::open(plant).unwrap().sim;
        other.restore(&bytes).unwrap();
        for _ in 0..40 {
            one.advance(7).map_err(|f| f.to_string())?;
            for _ in 0..7 {
                other.advance(1).map_err(|f| f.to_string())?;
            }
            let same: Vec<bool> = values(&one).iter().zip(values(&other)).map(|(a, b)| *a == b).collect();
            if let Some(k) = same.iter().position(|s| !s) {
                return Err(format!("{} differs", signals::definitions(&one)[k].id));
            }
        }
        if one.state_hash().unwrap() != other.state_hash().unwrap() {
            return Err("the states differ where no signal does".into());
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: upset::config().cases.div_ceil(6), ..upset::config() })]

    #[test]
    fn a_restored_plant_goes_on_with_the_same_bits(u in upset::any()) {
        for plant in catalog::PLANTS {
            let end = lockstep(plant.name, &u);
            prop_assert!(end.is_ok(), "{}: {}", plant.name, end.unwrap_err());
        }
    }
}

/// The run that was restored ends where the run that was never stopped does.
#[test]
fn a_run_taken_back_ends_as_the_run_that_went_on() {
    let mut run = Run::open("reheat250").unwrap();
    run.command(trip("hp1")).unwrap();
    run.minutes(3.0).unwrap();
    let (kept, events) = (run.sim.snapshot().unwrap(), run.events().len());
    run.minutes(5.0).unwrap();
    let end = run.sim.state_hash().unwrap();
    run.command(load(0.6)).unwrap();
    run.minutes(20.0).unwrap();
    run.sim.restore(&kept).unwrap();
    assert_eq!(run.events().len(), events, "what happened later is forgotten");
    run.minutes(5.0).unwrap();
    assert_eq!(run.sim.state_hash().unwrap(), end);
}

/// Whatever byte is changed, the snapshot is refused and the plant stays as it was; so is that of another plant.
#[test]
fn a_damaged_or_foreign_snapshot_is_refused() {
    let mut run = Run::open("drum60").unwrap();
    run.minutes(1.0).unwrap();
    let kept = run.sim.snapshot().unwrap();
    let before = (run.sim.state_hash().unwrap(), values(&run.sim));
    for k in (0..kept.len()).step_by(37) {
        let mut bytes = kept.clone();
        bytes[k] ^= 1;
        let fault = run.sim.restore(&bytes).unwrap_err();
        assert!(["damaged_snapshot", "other_snapshot"].contains(&fault.code.as_str()), "{fault}");
        assert!(run.sim.restore(&kept[..k]).is_err());
    }
    let foreign = Run::open("reheat250").unwrap().sim.snapshot().unwrap();
    assert_eq!(run.sim.restore(&foreign).unwrap_err().code, "other_snapshot");
    assert_eq!((run.sim.state_hash().unwrap(), values(&run.sim)), before);
}
