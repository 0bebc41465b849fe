//! Condensate pumps: alike, in parallel, at one speed, from the hotwell to the open heater; a valve behind them sets the
//! flow that the store asks for, as far as the pumps that run can give it.
//!
//! The height that the water is lifted by is part of the discharge pressure. Before the hotwell is empty the pumps lose
//! their suction.

use crate::header::{self, Behind, Ends, Found, Share, Source};
use crate::in_place::clone_in_place;
use crate::pump::{Curve, Drive, GRAVITY, Rotor};
use serde::{Deserialize, Serialize};

/// Largest change of the flow by the valve [share of design per second] (*common practice, no source*).
const VALVE_RATE: f64 = 0.05;
/// Share of the hotwell's normal content below which the pumps begin to lose their suction (*common practice, no
/// source*).
const LEAST_HOTWELL: f64 = 0.1;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Total flow at design [kg/s].
    pub design_flow: f64,
    /// Pumps installed.
    pub installed: u32,
    /// Pumps running at design, which share that flow.
    pub running: u32,
    /// Each pump; its efficiency is with the motor.
    pub curve: Curve,
    /// How its speed moves.
    pub drive: Drive,
    /// Loss of line and valve, wide open, at design flow [MPa].
    pub line_loss: f64,
}

/// One pump, kept from step to step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PumpState {
    /// Speed and suction.
    pub rotor: Rotor,
    /// Flow through it [kg/s].
    pub flow: f64,
    /// Its drive has tripped by itself.
    pub tripped: bool,
}

/// Kept from step to step.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Total flow [kg/s].
    pub flow: f64,
    /// Where the next search for the header starts.
    pub found: Found,
    /// The pumps.
    pub pumps: Vec<PumpState>,
}

clone_in_place!(State { flow, found, pumps });

/// What is wrong with a pump.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// Its drive has tripped.
    pub tripped: bool,
}

/// Water before and pressure behind the pumps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suction {
    /// Pressure in the condenser [MPa].
    pub pressure: f64,
    /// Specific volume of the condensate [m³/kg].
    pub volume: f64,
    /// Water in the hotwell, over its normal content.
    pub hotwell: f64,
    /// Pressure of the open heater [MPa].
    pub tank: f64,
}

/// What one step gives for one pump.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PumpOutputs {
    /// Through it [kg/s].
    pub flow: f64,
    /// Enthalpy given to its water [kJ/kg].
    pub rise: f64,
    /// Power taken [kW].
    pub power: f64,
}

/// What one step gives.
#[derive(Debug, Default, PartialEq)]
pub struct Outputs {
    /// Enthalpy given to the condensate [kJ/kg].
    pub rise: f64,
    /// Power taken [kW].
    pub power: f64,
    /// Pressure at the discharge [MPa].
    pub discharge: f64,
    /// Each pump.
    pub pumps: Vec<PumpOutputs>,
}

clone_in_place!(Outputs { rise, power, discharge, pumps });

impl Params {
    /// Rise at rest at a total flow [kJ/kg], with the pumps that run at design.
    pub fn rise(&self, flow: f64) -> f64 {
        self.curve.rise(1.0, flow / self.design_flow, 1.0)
    }
}

/// The pumps that run at design turn, the others stand.
pub fn at_rest(p: &Params, flow: f64) -> State {
    let pump = |k: u32| {
        let speed = if k < p.running { 1.0 } else { 0.0 };
        PumpState { rotor: Rotor::at(speed), flow: speed * p.curve.flow, tripped: false }
    };
    State { flow, found: Found::default(), pumps: (0..p.installed).map(pump).collect() }
}

/// Turns the pumps and finds what they give towards `asked` [kg/s]; `on` says which are under power.
pub fn step(
    p: &Params,
    s: &mut State,
    (asked, on): (f64, &[bool]),
    wrong: &[Condition],
    suction: &Suction,
    dt: f64,
    o: &mut Outputs,
) {
    let per_metre = GRAVITY / suction.volume * 1e-6;
    let ends = Ends { suction: suction.pressure, per_metre, end: suction.pressure };
    let mut sources = Vec::with_capacity(s.pumps.len());
    for (k, x) in s.pumps.iter_mut().enumerate() {
        x.tripped = wrong.get(k).is_some_and(|c| c.tripped);
        let run = on.get(k).copied().unwrap_or(false) && !x.tripped;
        x.rotor.turn(&p.drive, run.then_some(1.0), dt);
        x.rotor.draw(suction.hotwell, LEAST_HOTWELL, dt);
        sources.push(Source {
            curve: p.curve,
            speed: x.rotor.speed,
            strength: x.rotor.vapour,
            back: 0.0,
            warm: 0.0,
        });
    }
    let most = VALVE_RATE * p.design_flow * dt;
    let valve = s.flow + (asked.max(0.0) - s.flow).clamp(-most, most);
    let mut shares: Vec<Share> = Vec::with_capacity(sources.len());
    let line = |flow: f64| suction.tank + p.line_loss * (flow / p.design_flow) * (flow / p.design_flow);
    let behind = Behind { line, most: valve, leaks: header::tight };
    let (flow, header) = header::meet(&sources, &ends, &behind, (&mut s.found, p.design_flow), &mut shares);
    o.pumps.clear();
    o.discharge = if flow > 0.0 { header } else { 0.0 };
    let mut work = 0.0;
    // The search leaves a little over, which counts where next to nothing flows: the shares make up the flow exactly.
    let found: f64 = shares.iter().map(|share| share.flow).sum();
    for (x, share) in s.pumps.iter_mut().zip(&shares) {
        // Behind a shut valve nothing flows, whatever the search has left over.
        let through = if flow > 0.0 && found > 0.0 { share.flow * flow / found } else { 0.0 };
        let (n, q) = (x.rotor.speed, through / p.curve.flow);
        let rise = p.curve.rise(n, q, x.rotor.vapour);
        work += through * rise;
        if !(flow > 0.0) {
            o.discharge = o.discharge.max(share.discharge);
        }
        o.pumps.push(PumpOutputs { flow: through, rise, power: through * rise });
        x.flow = through;
    }
    s.flow = flow;
    o.rise = if flow > 0.0 { work / flow } else { 0.0 };
    o.power = flow * o.rise;
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two of three, cold water, 2.2 MPa at design against a tank of 0.7 MPa.
    fn pumps() -> (Params, Suction) {
        let cold = steam::sat_t(33.0).unwrap();
        let w = Suction { pressure: cold.p, volume: cold.vf, hotwell: 1.0, tank: 0.7 };
        let curve = Curve {
            flow: 100.0,
            head: (2.2 - cold.p) * 1e6 * cold.vf / GRAVITY,
            shutoff: 1.25,
            efficiency: 0.76,
            npsh_required: 0.0,
        };
        let drive = Drive { run_up: 4.0, coast: 3.0 };
        (Params { design_flow: 200.0, installed: 3, running: 2, curve, drive, line_loss: 0.6 }, w)
    }

    fn settle(p: &Params, s: &mut State, w: &Suction, asked: f64, on: [bool; 3]) -> Outputs {
        let mut o = Outputs::default();
        for _ in 0..400 {
            step(p, s, (asked, &on), &[], w, 0.25, &mut o);
        }
        o
    }

    #[test]
    fn at_design_the_rise_is_the_work_over_the_efficiency() {
        let (p, w) = pumps();
        let mut s = at_rest(&p, 200.0);
        let o = settle(&p, &mut s, &w, 200.0, [true, true, false]);
        assert!((s.flow - 200.0).abs() < 1e-9 && (o.discharge - 2.2).abs() < 1e-9, "{o:?}");
        assert!((o.rise - (2.2 - w.pressure) * w.volume * 1e3 / 0.76).abs() < 1e-9);
        assert!((p.rise(200.0) - o.rise).abs() < 1e-9);
        // At less flow the valve throttles: more head, and the balance's rise is the same as the pumps'.
        let o = settle(&p, &mut s, &w, 120.0, [true, true, false]);
        assert!(o.discharge > 2.2 && (p.rise(120.0) - o.rise).abs() < 1e-9);
    }

    /// One of two gives more than its half, and less than the whole; by hand: 0.7 + 0.6 w² = head of one pump.
    #[test]
    fn one_pump_alone_is_short() {
        let (p, w) = pumps();
        let mut s = at_rest(&p, 200.0);
        settle(&p, &mut s, &w, 200.0, [true, false, false]);
        let rise = 2.2 - w.pressure;
        let share = ((w.pressure + 1.25 * rise - 0.7) / (0.6 + rise * 0.25 * 4.0)).sqrt();
        assert!((s.flow - 200.0 * share).abs() < 1e-6, "{}", s.flow);
        assert!(s.flow > 110.0 && s.flow < 180.0);
        assert_eq!(s.pumps[1].flow, 0.0);
    }

    #[test]
    fn an_empty_hotwell_gives_nothing() {
        let (p, w) = pumps();
        let mut s = at_rest(&p, 200.0);
        let o = settle(&p, &mut s, &Suction { hotwell: 0.02, ..w }, 200.0, [true, true, false]);
        assert_eq!((s.flow, o.rise), (0.0, 0.0));
    }
}
