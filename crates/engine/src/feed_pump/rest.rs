//! The feed pumps at rest: what a feed flow takes of those that run while the others are kept warm.

use super::{Outputs, Params, PumpState, State, Suction};
use crate::casing::{self, Stream};
use crate::header::Found;
use crate::pump::Rotor;
use crate::valve::Stem;

/// Rounds in which warm-up flow and suction pressure at rest are found: each brings four digits or more.
const WARM_ROUNDS: u32 = 5;

/// What pumping at rest gives the water and brings back to the tank.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AtRest {
    /// Enthalpy given to the feedwater, less what casings took [kJ/kg].
    pub rise: f64,
    /// Back to the tank [kg/s].
    pub back: f64,
    /// Heat that it brings beyond that of the suction [kW].
    pub back_work: f64,
    /// Heat lost by the casings [kW].
    pub casing_loss: f64,
}

/// Pumps that run, each of which passes `flow` [kg/s] and gives it `work` [kJ/kg], beside pumps that stand, each warmed by
/// `warm` [kg/s]; the water comes at a temperature [°C].
pub fn warmed(
    casing: Option<&casing::Params>,
    (running, flow, work): (f64, f64, f64),
    (standing, warm): (f64, f64),
    temperature: f64,
) -> (AtRest, [f64; 2]) {
    let Some(c) = casing else {
        return (AtRest { rise: work, ..AtRest::default() }, [0.0; 2]);
    };
    let runs = c.at_rest(&Stream { flow, temperature });
    let rise = work - c.lost(runs) / flow;
    let stands = c.at_rest(&Stream { flow: warm, temperature: temperature + rise / c.water });
    let back = standing * warm;
    let lost = (running * c.lost(runs), standing * c.lost(stands));
    (AtRest { rise, back, back_work: back * rise - lost.1, casing_loss: lost.0 + lost.1 }, [runs, stands])
}

/// Head, speed and power that a feed flow [kg/s] takes of the pumps that run at design, at rest, the others being warmed.
pub fn at(p: &Params, flow: f64, suction: &Suction) -> Outputs {
    rest(p, flow, suction).0
}

/// The same, with the temperatures of the casings of a pump that runs and of one that stands [°C].
fn rest(p: &Params, flow: f64, suction: &Suction) -> (Outputs, [f64; 2]) {
    let running = f64::from(p.running);
    let standing = f64::from(p.installed - p.running);
    let discharge = p.line_pressure(flow);
    let coefficient = p.casing.map_or(0.0, |c| c.coefficient);
    // The minimum-flow valves hold each pump at its least flow. What the warm-up draws hardly moves the suction.
    let (mut warm, mut drawn) = (0.0, flow);
    for _ in 0..WARM_ROUNDS {
        let (at_suction, _) = p.at_suction(drawn, suction);
        warm = coefficient * (discharge - at_suction).max(0.0).sqrt();
        drawn = (flow + standing * warm).max(running * p.minimum_flow * p.curve.flow);
    }
    let (at_suction, per_metre) = p.at_suction(drawn, suction);
    let head = (discharge - at_suction) / per_metre;
    let q = drawn / running / p.curve.flow;
    let n = p.curve.speed(q, head);
    let work = (discharge - at_suction).max(0.0) * suction.volume * 1e3 / p.curve.efficiency(n, q);
    let each = drawn / running;
    let (x, casings) =
        warmed(p.casing.as_ref(), (running, each, work), (standing, warm), suction.temperature);
    let outputs = Outputs {
        flow,
        onward: flow,
        back: drawn - flow - x.back,
        back_work: (drawn - flow - x.back) * x.rise,
        warm: x.back,
        warm_work: x.back_work,
        suction: at_suction,
        return_pressure: suction.tank + (p.suction_head + suction.level) * per_metre,
        discharge,
        speed: n * p.speed,
        rise: x.rise,
        casing_heat: x.casing_loss,
        casing_loss: x.casing_loss,
        power: drawn * work / p.drive_efficiency,
        npsh_available: (at_suction - suction.vapour_pressure) / per_metre,
        npsh_required: p.curve.npsh_required(n, q),
        at_limit: false,
        pumps: Vec::new(),
    };
    (outputs, casings)
}

/// The pumps that run at design turn at design speed; the others stand with their minimum-flow valves open, and are warmed.
pub fn at_rest(p: &Params, flow: f64, suction: &Suction) -> State {
    let (o, casings) = rest(p, flow, suction);
    let pump = |k: u32| {
        let (speed, opening, warm) =
            if k < p.running { (1.0, 0.0, casings[0]) } else { (0.0, 1.0, casings[1]) };
        PumpState {
            rotor: Rotor::at(speed),
            recirculation: Stem { opening },
            flow: speed * p.curve.flow,
            tripped: false,
            casing: p.casing.map(|_| casing::State {
                temperature: warm,
                valve: Stem { opening: 1.0 },
                isolated: false,
            }),
        }
    };
    State {
        flow,
        drawn: flow + o.back + o.warm,
        discharge: p.line_pressure(flow),
        suction_head: p.suction_head - p.suction_loss,
        found: Found::default(),
        pumps: (0..p.installed).map(pump).collect(),
    }
}
