//! No heat flows up-temperature, whatever is done to the plant.
//!
//! What is compared is what the step itself balanced: each zone's duty with the temperatures at the end of the step.
//! Tubes and water store heat, so a zone's water outlet may for a while be hotter than the steam that is now there: then
//! the heat has to go the other way, from the water to the shell. That is not a breach but the law itself, and the sign
//! of the duty must follow the sign of the difference at every moment.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, upset};
use proptest::prelude::*;

/// Temperatures closer than this are equal [K]: the shell's pressure is found to 1e-11, the liquid table to 1e-6 K.
const EQUAL: f64 = 1e-3;
/// Heat that does not count [kW]: a millionth of a heater's duty.
const NOTHING: f64 = 0.05;

/// Temperatures [°C] and duties [kW] of one closed heater at one moment.
#[derive(Clone, Copy, Debug)]
struct Zones {
    /// Drain cooling, condensing, desuperheating.
    duty: [f64; 3],
    /// Water that enters, and that leaves each zone.
    entering: f64,
    water: [f64; 3],
    saturation: f64,
    /// Steam that enters and drain that leaves.
    steam: f64,
    drain: f64,
}

impl Zones {
    fn of(run: &Run, k: usize) -> Result<Zones, steam::SteamError> {
        let (params, state) = (run.sim.params(), &run.sim.state().plant);
        let (h, c, line) = (&run.sim.outputs().closed[k].heater, &state.closed[k].heater, params.line(k));
        let source = state.turbine.points[params.point(k)];
        Ok(Zones {
            duty: h.duty,
            entering: h.water_in_t,
            water: [line.t(c.water[0])?, line.t(c.water[1])?, line.t(c.water[2])?],
            // Gas in the shell takes part of its pressure: steam condenses at what is left.
            saturation: h.condensing,
            steam: steam::state_ph(h.pressure, source.enthalpy)?.t.max(h.condensing),
            drain: h.drain_t,
        })
    }

    /// Which zone, if any, has its heat go up.
    fn breach(&self) -> Option<&'static str> {
        let Zones { duty: [drain_cooling, condensing, desuperheating], entering, water, .. } = *self;
        let (saturation, steam) = (self.saturation, self.steam);
        // Heat goes to the water only if the steam is hotter than the coldest of it, and back only if it is colder than
        // the hottest.
        let (low, high) = (water[0].min(water[1]), water[0].max(water[1]));
        if condensing > NOTHING && saturation < low - EQUAL
            || condensing < -NOTHING && saturation > high + EQUAL
        {
            return Some("condensing");
        }
        // Only from steam hotter than the water that comes to it, and back only to colder steam.
        if desuperheating < -NOTHING && steam > water[1] + EQUAL
            || desuperheating > NOTHING && steam < water[1] - EQUAL
        {
            return Some("desuperheating");
        }
        // The drain never leaves beyond the temperature of the water that cools it (or, in a shell gone cold, warms it).
        if drain_cooling.abs() > NOTHING {
            let (from, to) = (saturation.min(entering), saturation.max(entering));
            // What the drain holds is taken at the pressure where the step began: some millikelvin.
            let over = 5.0 * EQUAL;
            if (drain_cooling > 0.0) != (saturation > entering)
                || !(self.drain > from - over && self.drain < to + over)
            {
                return Some("drain cooling");
            }
        }
        None
    }
}

fn breaches(run: &Run) -> Result<(), String> {
    for (k, id) in run.closed().iter().enumerate() {
        let zones = Zones::of(run, k).map_err(|e| format!("{id}: {e}"))?;
        if let Some(zone) = zones.breach() {
            return Err(format!("{id}, {zone}: {zones:?}"));
        }
    }
    let condenser = run.get("unit.condenser_temperature");
    let inlet = run.sim.params().condenser.cooling_inlet;
    let outlet = run.get("unit.cooling_outlet_temperature");
    // Off the grid the condenser comes down to the cooling water, and cold make-up takes it a little below: the cooling
    // water then warms it.
    let (low, high) = (inlet.min(condenser) - EQUAL, inlet.max(condenser) + EQUAL);
    if !(outlet > low && outlet < high) {
        return Err(format!("condenser at {condenser} °C, cooling water from {inlet} to {outlet} °C"));
    }
    Ok(())
}

/// The hottest that a heater's water can be: as hot as the hottest of what heated it.
///
/// A running maximum: the steam that is offered now, the saturation of the shell and the water that arrives, or what
/// they were so far, because tubes and water keep what they were given.
struct Hottest(Vec<f64>);

impl Hottest {
    fn look(&mut self, run: &Run) -> Result<(), String> {
        let (params, outputs, state) = (run.sim.params(), run.sim.outputs(), &run.sim.state().plant);
        self.0.resize(params.closed.len(), f64::NEG_INFINITY);
        for (k, most) in self.0.iter_mut().enumerate() {
            let h = &outputs.closed[k].heater;
            let source = state.turbine.points[params.point(k)];
            // Throttling in the line costs temperature: that at the turbine is the higher.
            let steam = steam::state_ph(source.pressure, source.enthalpy).map_err(|e| e.to_string())?.t;
            *most = most.max(steam).max(h.condensing).max(h.water_in_t);
            if h.water_out_t > *most + EQUAL {
                let id = &params.closed[k].heater.id;
                return Err(format!(
                    "{id}: water leaves at {} °C, nothing was above {most} °C",
                    h.water_out_t
                ));
            }
        }
        Ok(())
    }
}

proptest! {
    #![proptest_config(upset::config())]

    #[test]
    fn heat_flows_down_under_any_upset(u in upset::any()) {
        for plant in catalog::PLANTS {
            let mut hottest = Hottest(Vec::new());
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
