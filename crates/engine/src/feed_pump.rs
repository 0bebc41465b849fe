//! Boiler feed pumps: alike, in parallel, from the storage tank to the drum, each with its own speed, minimum-flow line,
//! check valve, wear and vapour.
//!
//! What arrives at the impellers is the water that left the tank one pipe transit ago: when the tank's pressure falls, the
//! water there is still hot, and the suction head available shrinks until the pipe is flushed. Below what a pump needs
//! its head collapses.
//!
//! Where the plant file has it, each casing follows the water that passes it, and a pump that stands is warmed by a flow out
//! of the discharge header back to the tank ([`crate::casing`]): drawn, pumped and brought back like a minimum flow.

use crate::casing::{self, Stream};
use crate::header::{self, Behind, Ends, Found, Share, Source};
use crate::in_place::clone_in_place;
use crate::pump::{Curve, Drive, Rotor};
use crate::valve::{self, Stem};
use serde::{Deserialize, Serialize};

mod rest;

pub use crate::pump::GRAVITY;
pub use rest::{AtRest, at, at_rest, warmed};

/// What a minimum-flow line passes wide open at design pressure, over the minimum flow (*common practice, no source*:
/// enough in hand to pass it at the lowest header pressure).
const BACK_MARGIN: f64 = 1.25;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Total feed flow at design [kg/s].
    pub design_flow: f64,
    /// Drawn from the tank at design [kg/s]: with the warm-up of the pumps that stand.
    pub design_drawn: f64,
    /// Pumps installed.
    pub installed: u32,
    /// Pumps running at design, which share that flow.
    pub running: u32,
    /// Each pump.
    pub curve: Curve,
    /// How its speed moves.
    pub drive: Drive,
    /// Efficiency of drive and coupling.
    pub drive_efficiency: f64,
    /// Speed at design [rpm].
    pub speed: f64,
    /// Largest speed [share].
    pub largest_speed: f64,
    /// Largest flow of a pump [share of its design flow].
    pub largest_flow: f64,
    /// Least flow of a pump [share of its design flow].
    pub minimum_flow: f64,
    /// Stroke time of a minimum-flow valve [s].
    pub recirculation_stroke: f64,
    /// Static head from the tank's normal level to the pumps [m].
    pub suction_head: f64,
    /// Suction friction at design flow [m].
    pub suction_loss: f64,
    /// Drum pressure and static head behind the pumps [MPa].
    pub back_pressure: f64,
    /// Line loss at design flow [MPa].
    pub line_loss: f64,
    /// Discharge pressure over suction pressure at design [MPa]: what drives the minimum-flow lines.
    pub rise: f64,
    /// Casings and what keeps them warm, where the plant has it.
    pub casing: Option<casing::Params>,
}

/// One pump, kept from step to step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PumpState {
    /// Speed and vapour.
    pub rotor: Rotor,
    /// Minimum-flow valve.
    pub recirculation: Stem,
    /// Flow through it [kg/s].
    pub flow: f64,
    /// Its drive has tripped by itself.
    pub tripped: bool,
    /// Its casing, where it is followed.
    pub casing: Option<casing::State>,
}

/// Kept from step to step.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Total feed flow [kg/s].
    pub flow: f64,
    /// Drawn from the tank [kg/s]: with what goes back to it.
    pub drawn: f64,
    /// Pressure at the discharge [MPa].
    pub discharge: f64,
    /// Net positive suction head available [m].
    pub suction_head: f64,
    /// Where the next search for the header starts.
    pub found: Found,
    /// The pumps.
    pub pumps: Vec<PumpState>,
}

clone_in_place!(State { flow, drawn, discharge, suction_head, found, pumps });

/// Asked of one pump.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PumpDemand {
    /// Under power.
    pub run: bool,
    /// Opening of its minimum-flow valve.
    pub recirculation: f64,
    /// Shut off on all sides, for maintenance.
    pub isolated: bool,
}

/// Asked of the pumps.
#[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Demand {
    /// Speed of those that run [share of design].
    pub speed: f64,
    /// The flow asked is more than they can give.
    pub limited: bool,
    /// Each pump.
    pub pumps: Vec<PumpDemand>,
}

clone_in_place!(Demand { speed, limited, pumps });

/// What is wrong with a pump.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// Its drive has tripped.
    pub tripped: bool,
    /// Share of its head lost to wear.
    pub wear: f64,
    /// Its minimum-flow valve.
    pub recirculation: valve::Condition,
    /// Its warm-up valve.
    pub warm_up: valve::Condition,
}

/// What one step gives for one pump.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PumpOutputs {
    /// Through it [kg/s].
    pub flow: f64,
    /// Of which back to the tank [kg/s].
    pub back: f64,
    /// Speed [rpm].
    pub speed: f64,
    /// Share of its head that vapour and wear left it.
    pub strength: f64,
    /// Pressure at its discharge [MPa].
    pub discharge: f64,
    /// Enthalpy given to its water [kJ/kg].
    pub rise: f64,
    /// Power taken by its drive [kW].
    pub power: f64,
    /// Net positive suction head required [m].
    pub npsh_required: f64,
    /// Out of the header through its warm-up line [kg/s]: back to the tank.
    pub warm: f64,
    /// Enthalpy that water lost to its casing, each kilogram of what it pumps and of what warms it [kJ/kg].
    pub cooled: f64,
    /// Heat that its casing took [kW].
    pub casing_heat: f64,
    /// Heat that its casing lost to the room [kW].
    pub casing_loss: f64,
}

impl PumpOutputs {
    /// Forward, into the header [kg/s].
    pub fn forward(&self) -> f64 {
        self.flow - self.back
    }
}

/// What one step gives.
#[derive(Debug, Default, PartialEq)]
pub struct Outputs {
    /// Total feed flow [kg/s].
    pub flow: f64,
    /// Of which goes on to the boiler, and does not leak on its way [kg/s].
    pub onward: f64,
    /// Back to the tank through the minimum-flow lines [kg/s].
    pub back: f64,
    /// Enthalpy given to that water less what casings took of it, times its flow [kW].
    pub back_work: f64,
    /// Back to the tank through the warm-up lines [kg/s].
    pub warm: f64,
    /// The same of that water [kW].
    pub warm_work: f64,
    /// Pressure at the suction [MPa].
    pub suction: f64,
    /// Pressure against which the minimum-flow lines pass [MPa].
    pub return_pressure: f64,
    /// Pressure at the discharge [MPa].
    pub discharge: f64,
    /// Speed of the fastest pump [rpm].
    pub speed: f64,
    /// Enthalpy given to the feedwater, less what casings took of it [kJ/kg].
    pub rise: f64,
    /// Heat that the casings took of the water [kW].
    pub casing_heat: f64,
    /// Heat that the casings lost to the room [kW].
    pub casing_loss: f64,
    /// Power taken by the drives [kW].
    pub power: f64,
    /// Net positive suction head available [m].
    pub npsh_available: f64,
    /// The largest that a pump requires [m].
    pub npsh_required: f64,
    /// The flow asked is more than the pumps can give.
    pub at_limit: bool,
    /// Each pump.
    pub pumps: Vec<PumpOutputs>,
}

clone_in_place!(Outputs {
    flow,
    onward,
    back,
    back_work,
    warm,
    warm_work,
    suction,
    return_pressure,
    discharge,
    speed,
    rise,
    casing_heat,
    casing_loss,
    power,
    npsh_available,
    npsh_required,
    at_limit,
    pumps
});

/// Water at the suction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suction {
    /// Tank pressure [MPa].
    pub tank: f64,
    /// Tank level about normal [m].
    pub level: f64,
    /// Specific volume of the water that has arrived [m³/kg].
    pub volume: f64,
    /// Its vapour pressure [MPa].
    pub vapour_pressure: f64,
    /// Its temperature [°C].
    pub temperature: f64,
}

impl State {
    /// Heat held by the casings [kJ], from 0 °C.
    pub fn heat(&self, p: &Params) -> f64 {
        let casings = self.pumps.iter().filter_map(|x| x.casing);
        p.casing.map_or(0.0, |c| casings.map(|x| c.capacity * x.temperature).sum())
    }
}

impl Params {
    /// Pressure at the suction [MPa] with this flow drawn, and that of a metre of water there.
    fn at_suction(&self, drawn: f64, s: &Suction) -> (f64, f64) {
        let w = drawn / self.design_drawn;
        let per_metre = GRAVITY / s.volume * 1e-6;
        (s.tank + (self.suction_head + s.level - self.suction_loss * w * w) * per_metre, per_metre)
    }

    /// How many casings are followed, and how much colder than the suction water one may be for a start [K].
    pub fn casings(&self) -> Option<(usize, f64)> {
        self.casing.map(|c| (self.installed as usize, c.limit))
    }

    /// Pressure that the line asks of the pumps at this flow [MPa].
    pub fn line_pressure(&self, flow: f64) -> f64 {
        let w = flow / self.design_flow;
        self.back_pressure + self.line_loss * w * w
    }

    /// Flow coefficient of a minimum-flow line wide open [kg/s per square root of MPa].
    pub fn back_coefficient(&self) -> f64 {
        BACK_MARGIN * self.minimum_flow * self.curve.flow / self.rise.sqrt()
    }

    /// Feed flow that so many pumps carry [share of design]: by the flow that each is allowed.
    pub fn carries(&self, pumps: u32) -> f64 {
        f64::from(pumps) * self.largest_flow / f64::from(self.running)
    }

    /// Feed flow [kg/s] that so many pumps can give over this suction: what each is allowed, or less where the largest
    /// speed gives less.
    pub fn largest(&self, pumps: u32, s: &Suction) -> f64 {
        let allowed = self.carries(pumps) * self.design_flow;
        let (suction, per_metre) = self.at_suction(allowed, s);
        let ends = Ends { suction, per_metre, end: s.tank };
        let pump =
            Source { curve: self.curve, speed: self.largest_speed, strength: 1.0, back: 0.0, warm: 0.0 };
        let stands = Source { speed: 0.0, warm: self.casing.map_or(0.0, |c| c.coefficient), ..pump };
        let mut all = vec![pump; pumps as usize];
        all.resize(all.len().max(self.installed as usize), stands);
        let found = header::meet(
            &all,
            &ends,
            &Behind { line: |flow| self.line_pressure(flow), most: allowed, leaks: header::tight },
            (&mut Found::default(), self.design_flow),
            &mut Vec::new(),
        );
        found.0
    }
}

/// Turns the pumps, moves their valves and finds what each gives. `wrong` may be shorter than there are pumps; `leaks`:
/// what the tubes behind them lose [kg/s] at a pressure [MPa].
pub fn step(
    p: &Params,
    s: &mut State,
    d: &Demand,
    wrong: &[Condition],
    (suction, leaks): (&Suction, impl Fn(f64) -> f64),
    dt: f64,
    o: &mut Outputs,
) {
    let (at_suction, per_metre) = p.at_suction(s.drawn, suction);
    // The minimum-flow lines lead up to the tank again: what the static head gives, it takes back.
    let end = suction.tank + (p.suction_head + suction.level) * per_metre;
    let ends = Ends { suction: at_suction, per_metre, end };
    let full = p.back_coefficient();
    let mut sources = Vec::with_capacity(s.pumps.len());
    for (k, x) in s.pumps.iter_mut().enumerate() {
        let c = wrong.get(k).copied().unwrap_or_default();
        let a = d.pumps.get(k).copied().unwrap_or_default();
        x.tripped = c.tripped;
        x.rotor.turn(&p.drive, (a.run && !c.tripped).then_some(d.speed), dt);
        x.recirculation.drive(a.recirculation, p.recirculation_stroke, &c.recirculation, dt);
        let warm = x.casing.as_mut().map_or(0.0, |casing| casing::drive(casing, a.isolated, &c.warm_up, dt));
        sources.push(Source {
            curve: p.curve,
            speed: x.rotor.speed,
            strength: x.rotor.vapour * (1.0 - c.wear),
            back: full * c.recirculation.passing(x.recirculation.opening),
            warm: p.casing.map_or(0.0, |casing| casing.coefficient * warm),
        });
    }
    let mut shares: Vec<Share> = Vec::with_capacity(sources.len());
    let (onward, header) = header::meet(
        &sources,
        &ends,
        &Behind { line: |flow| p.line_pressure(flow), most: f64::INFINITY, leaks: &leaks },
        (&mut s.found, p.design_flow),
        &mut shares,
    );
    let flow = onward + leaks(header);
    let available = (at_suction - suction.vapour_pressure) / per_metre;
    *o = Outputs {
        flow,
        onward,
        suction: at_suction,
        return_pressure: end,
        npsh_available: available,
        at_limit: d.limited,
        pumps: std::mem::take(&mut o.pumps),
        ..Outputs::default()
    };
    o.pumps.clear();
    for ((x, share), source) in s.pumps.iter_mut().zip(&shares).zip(&sources) {
        let (n, q) = (x.rotor.speed, share.flow / p.curve.flow);
        let rise = p.curve.rise(n, q, x.rotor.vapour);
        let required = p.curve.npsh_required(n, q);
        o.discharge = o.discharge.max(share.discharge);
        o.speed = o.speed.max(n * p.speed);
        o.npsh_required = o.npsh_required.max(required);
        let power = share.flow * rise / p.drive_efficiency;
        o.power += power;
        o.pumps.push(PumpOutputs {
            flow: share.flow,
            back: share.back,
            speed: n * p.speed,
            strength: source.strength,
            discharge: share.discharge,
            rise,
            power,
            npsh_required: required,
            warm: share.warm,
            ..PumpOutputs::default()
        });
        x.flow = share.flow;
        x.rotor.draw(available, required, dt);
    }
    // The header as it was met, also where nothing but the warm-up lines takes from it.
    if flow > 0.0 || shares.iter().any(|share| share.warm > 0.0) {
        o.discharge = header;
    }
    share_heat(p, s, suction.temperature, dt, o);
    s.flow = flow;
    s.drawn = flow + o.back + o.warm;
    (s.discharge, s.suction_head) = (o.discharge, available);
}

/// What the casings take of the water, and what it brings on: those that feed the header first, then those it warms.
fn share_heat(p: &Params, s: &mut State, temperature: f64, dt: f64, o: &mut Outputs) {
    let mut follow = |x: &mut PumpOutputs, k: usize, stream: Stream| {
        let (Some(c), Some(Some(casing))) = (&p.casing, s.pumps.get_mut(k).map(|x| &mut x.casing)) else {
            return;
        };
        let heat = casing::step(c, &mut casing.temperature, &stream, dt);
        (x.casing_heat, x.casing_loss) = (heat.taken, heat.lost);
        x.cooled = if stream.flow > 0.0 { heat.taken / stream.flow } else { 0.0 };
    };
    let (mut forward, mut forward_work) = (0.0, 0.0);
    for (k, x) in o.pumps.iter_mut().enumerate().filter(|(_, x)| x.forward() > 0.0) {
        follow(x, k, Stream { flow: x.flow, temperature });
        forward += x.forward();
        forward_work += x.forward() * (x.rise - x.cooled);
    }
    o.rise = if forward > 0.0 { forward_work / forward } else { 0.0 };
    for (k, x) in o.pumps.iter_mut().enumerate().filter(|(_, x)| !(x.forward() > 0.0)) {
        let flow = x.flow + x.warm;
        // The header's water brings the pumps' work, which throttling leaves it as heat.
        let warmer = p.casing.filter(|_| flow > 0.0).map_or(0.0, |c| x.warm / flow * o.rise / c.water);
        follow(x, k, Stream { flow, temperature: temperature + warmer });
    }
    for x in &o.pumps {
        o.back += x.back;
        o.back_work += x.back * (x.rise - x.cooled);
        o.warm += x.warm;
        o.warm_work += x.warm * (o.rise - x.cooled);
        o.casing_heat += x.casing_heat;
        o.casing_loss += x.casing_loss;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pumps() -> Params {
        Params {
            design_flow: 200.0,
            design_drawn: 200.0,
            installed: 3,
            running: 2,
            curve: Curve { flow: 100.0, head: 2000.0, shutoff: 1.25, efficiency: 0.82, npsh_required: 9.0 },
            drive: Drive { run_up: 20.0, coast: 8.0 },
            drive_efficiency: 0.95,
            speed: 5000.0,
            largest_speed: 1.08,
            largest_flow: 1.2,
            minimum_flow: 0.25,
            recirculation_stroke: 4.0,
            suction_head: 20.0,
            suction_loss: 1.5,
            back_pressure: 17.0,
            line_loss: 1.0,
            rise: 17.3,
            casing: None,
        }
    }

    fn water(tank: f64) -> Suction {
        let sat = steam::sat_p(tank).unwrap();
        Suction { tank, level: 0.0, volume: sat.vf, vapour_pressure: tank, temperature: sat.t }
    }

    fn run(speed: f64) -> Demand {
        let on = PumpDemand { run: true, ..PumpDemand::default() };
        Demand {
            speed,
            limited: false,
            pumps: vec![on, on, PumpDemand { recirculation: 1.0, ..PumpDemand::default() }],
        }
    }

    /// Design head such that design speed gives design flow.
    fn fitted(w: &Suction) -> Params {
        let p = pumps();
        let o = at(&p, 200.0, w);
        let head = (o.discharge - o.suction) / (GRAVITY / w.volume * 1e-6);
        Params { curve: Curve { head, ..p.curve }, ..p }
    }

    /// Saturated tank: head available = static head - friction, the pressure cancels: 0.5 MPa, 20 m, 1.5 m -> 18.50 m.
    #[test]
    fn suction_head_over_a_saturated_tank() {
        let (p, w) = (fitted(&water(0.5)), water(0.5));
        let (mut s, mut o) = (at_rest(&p, 200.0, &w), Outputs::default());
        step(&p, &mut s, &run(1.0), &[], (&w, header::tight), 0.25, &mut o);
        assert!((o.npsh_available - 18.50).abs() < 1e-9, "{}", o.npsh_available);
        assert!((at(&p, 200.0, &w).npsh_available - 18.50).abs() < 1e-9);
    }

    /// The moving pumps at rest are where the balance has them; hydraulic work: rise = v dp / efficiency.
    #[test]
    fn rest_is_the_steady_point() {
        let w = water(0.5);
        let p = fitted(&w);
        let (mut s, mut o) = (at_rest(&p, 200.0, &w), Outputs::default());
        for _ in 0..400 {
            step(&p, &mut s, &run(1.0), &[], (&w, header::tight), 0.25, &mut o);
        }
        let steady = at(&p, 200.0, &w);
        assert!((o.flow - 200.0).abs() < 1e-7, "{}", o.flow);
        assert!((steady.speed - 5000.0).abs() < 1e-7 && (o.speed - 5000.0).abs() < 1e-9);
        assert!((o.rise - steady.rise).abs() < 1e-9 && (o.power - steady.power).abs() < 1e-6);
        assert!((o.rise - (o.discharge - o.suction) * w.volume * 1e3 / 0.82).abs() < 1e-9);
        assert!((o.pumps[0].flow - 100.0).abs() < 1e-7 && o.pumps[0] == o.pumps[1]);
        assert_eq!((o.pumps[2].flow, o.back), (0.0, 0.0));
    }

    /// Two of three half-duty pumps carry full load, one alone does not (common practice, no source).
    #[test]
    fn one_half_duty_pump_does_not_carry_full_load() {
        let w = water(0.7);
        let p = fitted(&w);
        for (running, enough) in [(3, true), (2, true), (1, false), (0, false)] {
            assert_eq!(p.largest(running, &w) >= 200.0, enough, "{running}: {}", p.largest(running, &w));
        }
    }

    #[test]
    fn a_worn_pump_leaves_its_share_to_the_other() {
        let w = water(0.5);
        let p = fitted(&w);
        let worn = [Condition { wear: 0.04, ..Condition::default() }];
        let (mut s, mut o) = (at_rest(&p, 200.0, &w), Outputs::default());
        step(&p, &mut s, &run(1.0), &worn, (&w, header::tight), 0.25, &mut o);
        assert!(o.flow < 199.0 && o.pumps[0].flow < 0.95 * o.pumps[1].flow, "{o:?}");
        // More work for each kilogram that it still gives.
        assert!(o.pumps[0].rise > o.pumps[1].rise);
    }

    #[test]
    fn water_that_boils_at_the_suction_takes_the_head_away() {
        let w = water(0.5);
        let p = fitted(&w);
        let (mut s, mut o) = (at_rest(&p, 200.0, &w), Outputs::default());
        // Less pressure over the water that left the tank before: 13 m of head gone, and the pumps give as much as still
        // finds its way; then 18 m, and they give nothing.
        for (fall, least, most) in [(0.12, 50.0, 150.0), (0.165, 0.0, 0.0)] {
            let fallen = Suction { tank: w.tank - fall, ..w };
            for _ in 0..80 {
                step(&p, &mut s, &run(1.0), &[], (&fallen, header::tight), 0.25, &mut o);
            }
            assert!(o.npsh_available < o.npsh_required, "{o:?}");
            assert!((least..=most).contains(&o.flow), "{fall} MPa: {}", o.flow);
        }
        for _ in 0..200 {
            step(&p, &mut s, &run(1.0), &[], (&w, header::tight), 0.25, &mut o);
        }
        assert!((o.flow - 200.0).abs() < 1e-6, "{}", o.flow);
    }

    /// What goes back through the minimum-flow lines is drawn from the tank and brought back hotter.
    #[test]
    fn a_minimum_flow_line_stuck_open_takes_flow_and_work() {
        let w = water(0.5);
        let p = fitted(&w);
        let stuck = [Condition {
            recirculation: valve::Condition { fails_to: Some(1.0), ..valve::Condition::default() },
            ..Condition::default()
        }];
        let (mut s, mut o) = (at_rest(&p, 200.0, &w), Outputs::default());
        for _ in 0..40 {
            step(&p, &mut s, &run(1.0), &stuck, (&w, header::tight), 0.25, &mut o);
        }
        assert_eq!(s.pumps[0].recirculation.opening, 1.0);
        assert!(o.back > 20.0 && o.flow < 195.0, "{o:?}");
        assert!((s.drawn - o.flow - o.back).abs() < 1e-12);
        let work: f64 = o.pumps.iter().map(|p| p.flow * p.rise).sum();
        assert!((work - o.flow * o.rise - o.back_work).abs() < 1e-6 * work);
        assert!((work / 0.95 - o.power).abs() < 1e-6 * work);
    }

    /// At little flow the steady point holds each pump at its least flow.
    #[test]
    fn the_steady_point_has_the_minimum_flow() {
        let w = water(0.5);
        let o = at(&fitted(&w), 20.0, &w);
        assert!((o.back - 30.0).abs() < 1e-12 && (o.back_work / o.back - o.rise).abs() < 1e-12);
    }

    #[test]
    fn a_tripped_pump_coasts_and_its_check_valve_shuts() {
        let w = water(0.5);
        let p = fitted(&w);
        let tripped = [Condition { tripped: true, ..Condition::default() }];
        let (mut s, mut o) = (at_rest(&p, 200.0, &w), Outputs::default());
        let mut t: f64 = 0.0;
        while s.pumps[0].rotor.speed > 0.5 {
            step(&p, &mut s, &run(1.0), &tripped, (&w, header::tight), 0.25, &mut o);
            t += 0.25;
        }
        assert!((t - 8.0).abs() <= 0.25 && o.pumps[0].flow == 0.0, "{t} s, {o:?}");
        assert!(s.pumps[0].tripped && o.pumps[1].flow > 100.0 && o.flow < 150.0);
    }
}
