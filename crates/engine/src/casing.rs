//! Casing of a feed pump: it follows the water that passes it, loses heat to the room, and is kept warm while it stands.
//!
//! A thick casing must not meet hot feedwater cold: it would bend on its rotor. A standing pump is therefore passed by a
//! little hot water, from the header that the running pumps feed, against its own direction: through an orifice and a
//! warm-up valve with a handwheel round its check valve, through the casing, and by a branch of its own back to the tank.
//! At a pump that runs both ends of that line have one pressure, and nothing passes.
//!
//! Steel and water of a casing are one mass of one temperature (*common practice, no source*: barrels differ between top
//! and bottom, which makers limit too). What a stream of capacity `w c` gives it is `a (t - T)`, with `a = w c
//! (1 - exp(-G / w c))`: a small stream leaves with the casing's temperature, a large one is held back by the steel.

use crate::condenser::STEEL;
use crate::event::Device;
use crate::fault::Fault;
use crate::local::TURN;
use crate::plant::file::WarmUp;
use crate::train::PlantState;
use crate::valve::{self, Stem};
use crate::water::WaterLine;
use serde::{Deserialize, Serialize};
use steam::math;

/// In how long a casing of this heat capacity follows much water [s] (*common practice, no source*: walls some
/// centimetres thick).
const FOLLOWS: f64 = 240.0;
/// Temperature of the room that the pumps stand in [°C] (*common practice, no source*).
pub const ROOM: f64 = 25.0;

/// Sized once, never changes; the same for every pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Params {
    /// Heat capacity of steel and water [kJ/K].
    pub capacity: f64,
    /// Conductance between much water and the casing [kW/K].
    pub conductance: f64,
    /// Conductance between the casing and the room [kW/K].
    pub loss: f64,
    /// Heat capacity of the water [kJ/(kg K)], at the suction's temperature at design.
    pub water: f64,
    /// What warm-up valve and orifice pass, wide open [kg/s per square root of MPa].
    pub coefficient: f64,
    /// How much colder than the suction water a casing may be for a start [K].
    pub limit: f64,
}

/// Of one pump, kept from step to step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Its temperature [°C].
    pub temperature: f64,
    /// Warm-up valve.
    pub valve: Stem,
    /// Shut off on all sides, for maintenance.
    pub isolated: bool,
}

/// Water that passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stream {
    /// Flow [kg/s].
    pub flow: f64,
    /// Temperature at which it comes [°C].
    pub temperature: f64,
}

/// What one step gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Exchange {
    /// Heat that the water gives the casing [kW].
    pub taken: f64,
    /// Heat lost to the room [kW].
    pub lost: f64,
}

impl Params {
    /// From the plant file, for water saturated at `suction` [°C] and a warm-up driven by `rise` [MPa] at design.
    ///
    /// # Errors
    /// A temperature out of range.
    pub fn new(w: &WarmUp, suction: f64, rise: f64) -> steam::Result<Params> {
        let water = WaterLine::Saturated(0.0).cp(suction)?;
        let capacity = w.casing_metal * STEEL + w.casing_water * water;
        Ok(Params {
            capacity,
            conductance: capacity / FOLLOWS,
            loss: capacity / w.cooling_time,
            water,
            coefficient: w.flow / rise.sqrt(),
            limit: w.limit,
        })
    }

    /// Conductance between a stream of this flow [kg/s] and the casing [kW/K].
    pub fn to_water(&self, flow: f64) -> f64 {
        if !(flow > 0.0) {
            return 0.0;
        }
        let capacity = flow * self.water;
        capacity * (1.0 - math::exp(-self.conductance / capacity))
    }

    /// Temperature at which the casing comes to rest in a stream [°C].
    pub fn at_rest(&self, s: &Stream) -> f64 {
        let a = self.to_water(s.flow);
        (a * s.temperature + self.loss * ROOM) / (a + self.loss)
    }

    /// Heat lost to the room at a temperature [kW].
    pub fn lost(&self, temperature: f64) -> f64 {
        self.loss * (temperature - ROOM)
    }
}

/// The feed pump of this id, whose casing is followed.
pub fn find(x: &PlantState, id: &str) -> Result<usize, Fault> {
    let pumps: Vec<String> = (0..x.feed.pumps.len()).map(|k| Device::FeedPump(k).pump_id()).collect();
    let Some(k) = pumps.iter().position(|pump| pump == id) else {
        let remedy = format!("The feed pumps are {}.", pumps.join(", "));
        return Err(Fault::new("no_such_pump", id, "there is no feed pump of this id.", remedy));
    };
    if x.feed.pumps[k].casing.is_none() {
        return Err(Fault::new(
            "refused",
            id,
            "the pumps have no warm-up in the plant file.",
            "Give feed_pumps.equipment a warm_up there.",
        ));
    }
    Ok(k)
}

/// Leaves a standing pump as cold as the room, with its warm-up valve shut, and tells which it is.
pub fn begin_cold(x: &mut PlantState, id: &str) -> Result<usize, Fault> {
    let k = find(x, id)?;
    let pump = &mut x.feed.pumps[k];
    if pump.rotor.speed > 0.0 {
        return Err(Fault::new(
            "refused",
            id,
            "the pump runs, so its casing is as hot as its water.",
            "Name one that stands at design.",
        ));
    }
    if let Some(casing) = &mut pump.casing {
        casing.temperature = ROOM;
        casing.valve.opening = 0.0;
    }
    Ok(k)
}

/// Moves the warm-up valve and tells how far it is open.
pub fn drive(s: &mut State, isolated: bool, wrong: &valve::Condition, dt: f64) -> f64 {
    s.isolated = isolated;
    // Who isolates a pump shuts this valve too. Otherwise it stays as it was left.
    if isolated {
        s.valve.drive(0.0, TURN, &valve::Condition::default(), dt);
    } else {
        s.valve.drive(s.valve.opening, TURN, wrong, dt);
    }
    s.valve.opening
}

/// Follows a stream for `dt` seconds; what was taken and lost is what the change of temperature stores, to rounding.
pub fn step(p: &Params, temperature: &mut f64, stream: &Stream, dt: f64) -> Exchange {
    let (a, end) = (p.to_water(stream.flow), p.at_rest(stream));
    let steps = (a + p.loss) * dt / p.capacity;
    // By the mean of the step: short against a casing's minutes, this is the exponential to seven digits.
    let way = (end - *temperature) * steps / (1.0 + 0.5 * steps);
    let mean = *temperature + 0.5 * way;
    *temperature += way;
    Exchange { taken: a * (stream.temperature - mean), lost: p.lost(mean) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 5 t of steel and 500 kg of water, 0.6 kg/s of 185 °C water, a day and a half to cool by 1 - 1/e.
    fn casing() -> Params {
        let w = WarmUp {
            flow: 0.6,
            casing_metal: 5000.0,
            casing_water: 500.0,
            cooling_time: 130_000.0,
            limit: 30.0,
        };
        Params::new(&w, 180.0, 16.0).unwrap()
    }

    fn run(p: &Params, from: f64, stream: &Stream, seconds: u32) -> (f64, Exchange) {
        let (mut t, mut sum) = (from, Exchange::default());
        for _ in 0..4 * seconds {
            let x = step(p, &mut t, stream, 0.25);
            sum = Exchange { taken: sum.taken + 0.25 * x.taken, lost: sum.lost + 0.25 * x.lost };
        }
        (t, sum)
    }

    /// Capacity: 5000 x 0.49 + 500 x 4.41 kJ/K (cp of saturated water at 180 °C is 4.405, IAPWS R7-97 by its enthalpies).
    #[test]
    fn capacity_is_that_of_steel_and_water() {
        let p = casing();
        assert!((p.water - 4.405).abs() < 0.02, "{}", p.water);
        assert!((p.capacity - (5000.0 * 0.49 + 500.0 * p.water)).abs() < 1e-9);
        assert!((p.coefficient - 0.15).abs() < 1e-12);
    }

    /// Closed form: T = T_end + (T_0 - T_end) exp(-t (a + U) / C), with T_end = (a t_w + U t_room) / (a + U).
    #[test]
    fn a_constant_stream_warms_it_exponentially() {
        let p = casing();
        let s = Stream { flow: 0.6, temperature: 185.0 };
        // A small stream leaves with the casing's temperature: a = w c but for exp(-G / w c).
        let (wc, u) = (0.6 * p.water, p.capacity / 130_000.0);
        let a = wc * (1.0 - math::exp(-p.capacity / 240.0 / wc));
        assert!(a > 0.98 * wc && a < wc, "{a} {wc}");
        let end = (a * 185.0 + u * 25.0) / (a + u);
        for minutes in [1, 20, 45, 120] {
            let (t, sum) = run(&p, 25.0, &s, 60 * minutes);
            let closed = end + (25.0 - end) * math::exp(-f64::from(60 * minutes) * (a + u) / p.capacity);
            assert!((t - closed).abs() < 1e-4, "{minutes} min: {t} {closed}");
            let stored = p.capacity * (t - 25.0);
            assert!((sum.taken - sum.lost - stored).abs() < 1e-8 * stored, "{sum:?} {stored}");
        }
        // Some tens of minutes to an hour and a half until it may be started (common practice, no source).
        let (t, _) = run(&p, 25.0, &s, 60 * 30);
        assert!(t < 150.0, "{t}");
        let (t, _) = run(&p, 25.0, &s, 60 * 90);
        assert!(t > 150.0, "{t}");
    }

    /// Closed form: T = t_room + (T_0 - t_room) exp(-t / tau), whatever it is made of.
    #[test]
    fn without_a_stream_it_cools_exponentially() {
        let p = casing();
        let still = Stream { flow: 0.0, temperature: 180.0 };
        for hours in [1, 12, 36] {
            let (t, sum) = run(&p, 180.0, &still, 3600 * hours);
            let closed = 25.0 + 155.0 * math::exp(-f64::from(3600 * hours) / 130_000.0);
            assert!((t - closed).abs() < 1e-6 && sum.taken == 0.0, "{hours} h: {t} {closed}");
        }
    }

    /// Much water is held back by the steel: minutes, not the seconds in which it flows through.
    #[test]
    fn a_running_pump_warms_its_casing_in_minutes() {
        let p = casing();
        let (t, _) = run(&p, 150.0, &Stream { flow: 100.0, temperature: 180.0 }, 240);
        assert!((t - (180.0 - 30.0 * math::exp(-1.0))).abs() < 0.5, "{t}");
    }

    /// No heat flows up-temperature, whichever is hotter.
    #[test]
    fn heat_flows_down() {
        let p = casing();
        for (casing, water) in [(20.0, 180.0), (180.0, 110.0), (10.0, 10.0)] {
            for flow in [0.0, 0.01, 0.6, 100.0] {
                let mut t: f64 = casing;
                let x = step(&p, &mut t, &Stream { flow, temperature: water }, 0.25);
                assert!(x.taken * (water - casing) >= 0.0 && x.lost * (casing - ROOM) >= 0.0, "{x:?}");
            }
        }
    }
}
