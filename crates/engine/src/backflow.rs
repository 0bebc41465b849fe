//! What runs backwards through the extraction lines, watched: what is worth an event, and how much it has been.
//!
//! A shell that swings with the load gives a little steam back through a stuck non-return valve: that is no event until it
//! is more, and for longer. Water is one at once.

use crate::event::{Code, Device};
use crate::in_place::clone_in_place;
use crate::layout::Layout;
use crate::operation::Log;
use crate::steady::Balance;
use crate::turbine::Exchange;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// Reverse flow that counts, over the extraction at design, and how long it must last [s] (*common practice, no source*).
const STEAM: (f64, f64) = (0.02, 3.0);
/// Share of that mark, or of [`WATER`], below which it is over.
const BACK: f64 = 0.5;
/// How long it must have been less until it is over [s] (*common practice, no source*).
const OVER: f64 = 30.0;
/// Water that counts [kg/s]: more than a drop.
const WATER: f64 = 0.01;

/// Sized once, never changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Params {
    /// The line's heater, by point of the turbine; none without a line.
    pub device: Vec<Option<Device>>,
    /// Reverse flow that counts at each point [kg/s].
    pub mark: Vec<f64>,
}

impl Params {
    /// By the extraction flows at design.
    pub fn new(layout: &Layout, design: &Balance) -> Params {
        let device = |i: usize| match i.cmp(&layout.high) {
            Ordering::Less => Device::Closed(i),
            Ordering::Equal => Device::Open,
            Ordering::Greater => Device::Closed(i - 1),
        };
        let flow = |i: usize| design.heaters.get(i).map_or(0.0, |h| h.extraction_flow);
        Params {
            device: layout.points.iter().map(|i| i.map(device)).collect(),
            mark: layout.points.iter().map(|i| i.map_or(0.0, |i| STEAM.0 * flow(i))).collect(),
        }
    }
}

/// Whether something is going on, and how long it has been otherwise [s].
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Held {
    /// It is going on.
    pub on: bool,
    /// How long the flow has spoken against that [s].
    pub against: f64,
}

impl Held {
    /// Follows a flow [kg/s] that counts above `mark` once it has lasted `hold` seconds; whether it begins now.
    fn follow(&mut self, flow: f64, mark: f64, hold: f64, dt: f64) -> bool {
        let other = if self.on { flow < BACK * mark } else { flow > mark };
        self.against = if other { self.against + dt } else { 0.0 };
        // Half a step of grace: sums of steps are not exact.
        if !other || self.against + 0.5 * dt < if self.on { OVER } else { hold } {
            return false;
        }
        self.on = !self.on;
        self.against = 0.0;
        self.on
    }
}

/// Integrated from step to step.
#[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Steam and water at each point of the turbine.
    pub lines: Vec<[Held; 2]>,
    /// Steam that came back since the start [kg].
    pub returned: f64,
    /// Water that came back since the start [kg].
    pub inducted: f64,
    /// Water that would have, and that line drains took since the start [kg].
    pub drained: f64,
}

clone_in_place!(State { lines, returned, inducted, drained });

impl State {
    /// Nothing yet, at so many points.
    pub fn new(points: usize) -> State {
        State { lines: vec![[Held::default(); 2]; points], returned: 0.0, inducted: 0.0, drained: 0.0 }
    }

    /// Whether water runs back, or has just, at a point.
    pub fn water(&self, point: usize) -> bool {
        self.lines.get(point).is_some_and(|l| l[1].on)
    }

    /// Advances by `dt` seconds with what passed the `lines`.
    pub fn step(&mut self, p: &Params, lines: &[Exchange], dt: f64, log: &mut Log) {
        for (k, (l, held)) in lines.iter().zip(&mut self.lines).enumerate() {
            let Some(device) = p.device[k] else { continue };
            let [steam, water] = held;
            if l.returned <= 0.0 && l.water <= 0.0 && !steam.on && !water.on {
                steam.against = 0.0;
                continue;
            }
            self.returned += dt * l.returned;
            self.inducted += dt * l.water;
            if steam.follow(l.returned, p.mark[k], STEAM.1, dt) {
                log.put(Code::ReverseFlow, device, l.returned);
            }
            if water.follow(l.water, WATER, 0.0, dt) {
                log.put(Code::WaterInduction, device, l.water);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trickle_and_a_moment_do_not_count_and_water_does_at_once() {
        let p = Params { device: vec![Some(Device::Closed(0))], mark: vec![0.2] };
        let mut s = State::new(1);
        let mut codes = |returned: f64, water: f64, seconds: f64| {
            let mut log = Log::new();
            for _ in 0..(4.0 * seconds) as u32 {
                s.step(&p, &[Exchange { returned, water, ..Exchange::default() }], 0.25, &mut log);
            }
            log.into_iter().map(|happened| happened.code).collect::<Vec<_>>()
        };
        assert_eq!(codes(0.1, 0.0, 60.0), []);
        assert_eq!(codes(5.0, 0.0, 2.0), []);
        assert_eq!(codes(0.0, 0.0, 1.0), []);
        assert_eq!(codes(5.0, 0.0, 60.0), [Code::ReverseFlow]);
        // Over for a while, but not for long: the same one.
        assert_eq!(codes(0.0, 0.0, 20.0), []);
        assert_eq!(codes(5.0, 2.0, 20.0), [Code::WaterInduction]);
        assert_eq!(codes(0.0, 0.0, 60.0), []);
        assert_eq!(codes(5.0, 0.0, 60.0), [Code::ReverseFlow]);
        // 2 and 200 s at 5, 60 s at 0.1; 20 s at 2.
        assert!((s.returned - 5.0 * 142.0 - 6.0).abs() < 1e-9 && (s.inducted - 40.0).abs() < 1e-9, "{s:?}");
    }
}
