//! The turbine: pressures from flows, work from pressures.
//!
//! Between extraction points lie groups of stages. The pressure before a group follows from the flow that passes it
//! and the pressure behind it by the ellipse law (A. Stodola, Steam and Gas Turbines), in the form
//! W = C sqrt((p1² - p2²) / (p1 v1)), so that it moves with load and with every extraction that opens or closes.
//! Enthalpy along the expansion follows from each group's isentropic efficiency, lowered by the mean wetness times
//! Baumann's factor. The reheater is a resistance of the same form, and so are moisture separator and steam reheater
//! ([`crate::separator`]), which change the flow besides.
//!
//! Extraction lines drop only a few per cent of their pressure, so a small rise at the turbine lets much more steam
//! out, which lowers that pressure again: pressures and extractions have to be found together. For a trial exhaust flow
//! the pressures follow from the condenser up, each point's extraction with them, and so the throttle flow they need,
//! which rises with the trial: one bracketed root. The shells stand still meanwhile; they move later in the step.
//!
//! Steam that a line lets back ([`Tap::back`]) belongs to the same root: it grows less as the point's pressure rises. It
//! mixes with what passes and works in the stages behind. Water that comes back does not: it runs along to the condenser
//! with its heat, and costs the groups that it passes work as moisture does ([`Found`]).

use crate::extraction::{self, Source};
use crate::fault::{At, Fault};
use crate::in_place::clone_in_place;
use crate::line_drain::Bore;
use crate::separator;
use crate::solve;
use crate::sought::Sought;
use crate::valve::Stem;
use serde::{Deserialize, Serialize};

/// A group of stages.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// Flow coefficient C.
    pub coefficient: f64,
    /// Isentropic efficiency on dry steam.
    pub efficiency: f64,
}

/// Reheater behind the point it follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reheater {
    /// Index of the extraction point in the cold reheat line.
    pub after: usize,
    /// Temperature of the hot reheat steam [°C].
    pub temperature: f64,
    /// Flow coefficient of reheater and lines.
    pub coefficient: f64,
}

/// Sized once, never changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Params {
    /// Groups in the order of the steam: one more than there are extraction points.
    pub groups: Vec<Group>,
    /// Reheater, if any.
    pub reheater: Option<Reheater>,
    /// Moisture separator with what belongs to it, if any.
    pub separator: Option<separator::Params>,
    /// Enthalpy of main steam [kJ/kg].
    pub main_enthalpy: f64,
    /// Baumann's factor.
    pub wetness_factor: f64,
    /// Leaving loss at design [kJ/kg] and the volume flow it belongs to [m³/s].
    pub leaving_loss: f64,
    /// Exhaust volume flow at design [m³/s].
    pub exhaust_volume: f64,
    /// Mechanical and generator efficiency.
    pub efficiency: f64,
    /// Throttle flow at design [kg/s].
    pub throttle: f64,
}

/// Kept from step to step.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// p v before each group [MPa m³/kg]: changes so little that the last step's value serves the next pressures.
    pub pv: Vec<f64>,
    /// Temperatures found last [°C], where the next searches start: before the first group, then of each group at the end
    /// of an ideal expansion and of its own.
    pub found: Vec<Sought>,
    /// p v of the cold reheat steam [MPa m³/kg].
    pub pv_cold: f64,
    /// Moisture separator and steam reheater.
    pub separator: separator::State,
    /// Steam at each extraction point.
    pub points: Vec<Source>,
    /// Enthalpy of the steam before and behind each group [kJ/kg], without leaving loss.
    pub groups: Vec<(f64, f64)>,
    /// What has joined behind each point.
    pub joined: Vec<Joined>,
    /// Specific volume behind the last group [m³/kg].
    pub exhaust_volume: f64,
    /// Exhaust flow found last [kg/s].
    pub exhaust: f64,
    /// The same, where the next search starts.
    pub exhaust_found: Sought,
    /// How much throttle flow an exhaust flow took there [kg/s per kg/s]: the search's first step; 0 before the first.
    pub slope: f64,
    /// Stop valves before the first group.
    pub stop: Stem,
    /// Output at the generator's terminals in the last step [kW], as it is measured.
    pub gross: f64,
    /// The grid takes what the generator gives.
    pub grid: bool,
}

clone_in_place!(State {
    pv,
    found,
    pv_cold,
    separator,
    points,
    groups,
    joined,
    exhaust_volume,
    exhaust,
    exhaust_found,
    slope,
    stop,
    gross,
    grid
});

/// An extraction line as the turbine feels it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tap {
    /// Coefficient of the line with its valves as they stand.
    pub line: f64,
    /// Pressure of the shell behind it [MPa].
    pub shell: f64,
    /// What would come back, where the line lets it.
    pub back: Option<Back>,
    /// Drain of the line, as far as no water is in it.
    pub drain: Bore,
}

/// Steam that would come back through a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Back {
    /// Coefficient of the line for it, without the gas that comes with it.
    pub line: f64,
    /// Its specific volume in the shell [m³/kg].
    pub volume: f64,
    /// Its enthalpy [kJ/kg].
    pub enthalpy: f64,
}

impl Tap {
    /// A point without a line.
    pub const NONE: Tap = Tap { line: 0.0, shell: 0.0, back: None, drain: Bore { area: 0.0, down: 0.0 } };

    /// Steam that leaves the turbine here [kg/s], to the shell or by the line's drain; below 0, steam that comes back and
    /// that the drain does not take. It rises with the point's pressure.
    pub fn takes(&self, source: &Source) -> f64 {
        let drained = self.drain.steam(source);
        drained
            + match &self.back {
                Some(b) if self.shell > source.pressure => {
                    -extraction::back_flow(b.line, self.shell, b.volume, source.pressure)
                }
                _ => extraction::flow(self.line, source, self.shell),
            }
    }

    /// Most that can come back [kg/s].
    fn most_back(&self) -> f64 {
        self.back.map_or(0.0, |b| extraction::back_flow(b.line, self.shell, b.volume, 0.0))
    }
}

/// What joins the steam behind a point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Joined {
    /// Enthalpy of the steam there, with what came back [kJ/kg]: that of the point where nothing did.
    pub enthalpy: f64,
    /// Water that came back in the last step [kg/s].
    pub water: f64,
}

/// Flows that a search has found, where something may come back.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Through each group [kg/s].
    pub passing: Vec<f64>,
    /// Steam that comes back at each point [kg/s], and its enthalpy [kJ/kg].
    pub returned: Vec<(f64, f64)>,
    /// Steam to the first group [kg/s].
    pub throttle: f64,
}

impl Found {
    /// Share of its efficiency that water from extraction lines leaves a group: it does no work itself, and as moisture does
    /// it costs work by Baumann's factor.
    fn left_by_water(&self, p: &Params, s: &State, group: usize) -> f64 {
        (1.0 - p.wetness_factor * self.water_share(s, group)).max(0.0)
    }

    /// Share of water from extraction lines in what passes a group.
    pub fn water_share(&self, s: &State, group: usize) -> f64 {
        let water: f64 = s.joined[..group].iter().map(|j| j.water).sum();
        if water > 0.0 { water / (water + self.passing[group].max(0.0)) } else { 0.0 }
    }

    /// Share of the reheat that steam gets: the boiler heats no more of it than it makes, and nothing when it makes none.
    pub fn reheated(&self, group: usize) -> f64 {
        let flow = self.passing[group];
        if self.throttle <= 0.0 {
            0.0
        } else if flow > self.throttle {
            self.throttle / flow
        } else {
            1.0
        }
    }

    /// Enthalpy behind a point, of what arrives there with `h` [kJ/kg] and what comes back; none where nothing does.
    fn joined(&self, point: usize, h: f64) -> Option<f64> {
        let (w, back) = self.returned[point];
        let flow = self.passing[point].max(0.0);
        (w > 0.0).then(|| (flow * h + w * back) / (flow + w))
    }
}

/// What passed between a point and its line in a step, either way.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Exchange {
    /// Steam taken, by shell and line drain [kg/s].
    pub taken: f64,
    /// Steam that came back and was not drained [kg/s].
    pub returned: f64,
    /// Its heat [kW].
    pub returned_heat: f64,
    /// Water that came back and was not drained [kg/s].
    pub water: f64,
    /// Its heat [kW].
    pub water_heat: f64,
}

/// What one step gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outputs {
    /// Pressure before the first group [MPa].
    pub inlet_pressure: f64,
    /// Power at the generator terminals [kW].
    pub gross: f64,
    /// Work taken from the steam [kW].
    pub shaft: f64,
    /// Steam to the condenser [kg/s].
    pub exhaust_flow: f64,
    /// Its enthalpy [kJ/kg].
    pub exhaust_enthalpy: f64,
    /// Heat given by the reheater [kW].
    pub reheat: f64,
    /// Flow through the reheater [kg/s].
    pub reheat_flow: f64,
    /// Streams of moisture separator and steam reheater.
    pub separator: separator::Streams,
    /// Heat [kW] that returned steam brought beyond what the enthalpies reckon with, which rest on what the pressures were
    /// found with: it goes along to the condenser.
    pub carried: f64,
    /// Water that came back through extraction lines [kg/s]: it goes to the condenser.
    pub water: f64,
    /// Its heat [kW].
    pub water_heat: f64,
}

/// Lowest pressure that a trial may lead to [MPa]: a search passes there, no answer lies there.
const LEAST_PRESSURE: f64 = 1e-5;

/// Pressure before a resistance of coefficient `c` that passes `w` into `behind` (the ellipse law); where the flow goes
/// backwards, it is the lower of the two.
pub fn pressure_before(c: f64, w: f64, pv: f64, behind: f64) -> f64 {
    let q = w / c;
    (behind * behind + q * q.abs() * pv).max(LEAST_PRESSURE * LEAST_PRESSURE).sqrt()
}

/// Coefficient of a resistance that passes `w` from `p1` with `pv` to `p2`.
pub fn coefficient(w: f64, p1: f64, pv: f64, p2: f64) -> f64 {
    w * (pv / (p1 * p1 - p2 * p2)).sqrt()
}

/// Enthalpy at the end of an expansion from `start` to `p2` [kJ/kg]. `found`: temperature at the end of the ideal one.
pub fn expand(
    efficiency: f64,
    wetness_factor: f64,
    start: &steam::State,
    p2: f64,
    found: &mut Sought,
) -> steam::Result<f64> {
    let end = steam::state_ps_near(p2, start.s, found.guess())?;
    found.is(end.t);
    let ideal = efficiency * (start.h - end.h);
    let dry = start.h - ideal;
    let sat = steam::sat_p(p2)?;
    if dry >= sat.hg {
        return Ok(dry);
    }
    // Half the wetness at each end counts; that at the end depends on the end, linearly.
    let wet_start = 1.0 - start.x;
    let c = ideal * wetness_factor * 0.5 / sat.hfg();
    Ok((start.h - ideal * (1.0 - 0.5 * wetness_factor * wet_start) + c * sat.hg) / (1.0 + c))
}

/// Pressures that an exhaust flow leads to, from the condenser up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct March {
    /// Throttle flow that they need [kg/s].
    pub throttle: f64,
    /// Pressure before the first group [MPa].
    pub inlet: f64,
    /// Pressure behind reheater, or behind moisture separator and steam reheater [MPa]; 0 without.
    pub hot: f64,
    /// Moisture separator and steam reheater.
    pub separator: separator::Trial,
}

/// Sets the pressures of `points` for an exhaust flow into a condenser at `condenser` [MPa]; `taken` tells what leaves
/// at a point once its pressure is known [kg/s].
pub fn march(
    p: &Params,
    s: &State,
    points: &mut [Source],
    exhaust: f64,
    condenser: f64,
    mut taken: impl FnMut(usize, &Source) -> f64,
) -> March {
    let mut flow = exhaust;
    let mut pressure = condenser;
    let mut hot = 0.0;
    let mut trial = separator::Trial::default();
    for g in (0..=points.len()).rev() {
        pressure = pressure_before(p.groups[g].coefficient, flow, s.pv[g], pressure);
        if g > 0 {
            let k = g - 1;
            if let Some(r) = p.reheater.filter(|r| r.after == k) {
                hot = pressure;
                pressure = pressure_before(r.coefficient, flow, s.pv_cold, pressure);
            }
            if let Some(m) = p.separator.as_ref().filter(|m| m.after == k) {
                hot = pressure;
                (pressure, flow, trial) = separator::march(m, &s.separator, pressure, flow);
            }
            points[k].pressure = pressure;
            flow += taken(k, &points[k]);
        }
    }
    March { throttle: flow + trial.heating, inlet: pressure, hot, separator: trial }
}

/// Renews enthalpies and volumes along the expansion for the pressures that stand in `s.points`; `found`: the flows, where
/// something may come back through a line.
pub fn enthalpies(
    p: &Params,
    s: &mut State,
    m: &March,
    condenser: f64,
    found: Option<&Found>,
) -> Result<(), Fault> {
    let place = "turbine";
    let n = s.points.len();
    let mut start = steam::state_ph_near(m.inlet, p.main_enthalpy, s.found[0].guess()).at(place)?;
    s.found[0].is(start.t);
    for g in 0..=n {
        s.pv[g] = start.p * start.v;
        let p2 = if g < n { s.points[g].pressure } else { condenser };
        let left = found.map_or(1.0, |f| f.left_by_water(p, s, g));
        let efficiency = p.groups[g].efficiency * left;
        let h2 = expand(efficiency, p.wetness_factor, &start, p2, &mut s.found[2 * g + 1]).at(place)?;
        s.groups[g] = (start.h, h2);
        let end = steam::state_ph_near(p2, h2, s.found[2 * g + 2].guess()).at(place)?;
        s.found[2 * g + 2].is(end.t);
        if g == n {
            s.exhaust_volume = end.v;
            break;
        }
        s.points[g] = Source { pressure: p2, enthalpy: h2, volume: end.v };
        s.joined[g].enthalpy = h2;
        start = end;
        if let Some(h) = found.and_then(|f| f.joined(g, h2)) {
            s.joined[g].enthalpy = h;
            start = steam::state_ph(p2, h).at(place)?;
        }
        if let Some(r) = p.reheater.filter(|r| r.after == g) {
            s.pv_cold = p2 * start.v;
            let cold = s.joined[g].enthalpy;
            start = steam::steam_pt(m.hot, r.temperature).at("reheater")?;
            let share = found.map_or(1.0, |f| f.reheated(g + 1));
            if share < 1.0 {
                start = steam::state_ph(m.hot, cold + share * (start.h - cold)).at("reheater")?;
            }
        }
        if let Some(q) = p.separator.as_ref().filter(|q| q.after == g) {
            let most = found.map_or(f64::INFINITY, |f| separator::most_heating(f.throttle, m.separator.flow));
            start = separator::renew(q, &mut s.separator, &start, &m.separator, (m.hot, most))?;
        }
    }
    Ok(())
}

/// Finds the pressures and enthalpies along the expansion for this step, and renews the points for the extraction
/// lines. `throttle`: steam to the first group [kg/s]; `condenser`: pressure behind the last group [MPa]. Returns the
/// pressure before the first group.
pub fn expansion(
    p: &Params,
    s: &mut State,
    throttle: f64,
    taps: &[Tap],
    condenser: f64,
) -> Result<f64, Fault> {
    let taken = |k: usize, source: &Source| taps[k].takes(source);
    let most = if returns(s, taps) { taps.iter().map(Tap::most_back).sum() } else { 0.0 };
    let mut points = std::mem::take(&mut s.points);
    // Shells that stand below the condenser may draw their steam from there.
    let mut slope = s.slope;
    let mut last = f64::NAN;
    let (root, m) = solve::near_root(
        (-0.2 * p.throttle, throttle + most),
        s.exhaust_found.guess_or(s.exhaust),
        &mut slope,
        1e-4 * p.throttle,
        1e-11 * p.throttle,
        |exhaust| {
            last = exhaust;
            let m = march(p, s, &mut points, exhaust, condenser, taken);
            Ok::<_, Fault>((m.throttle - throttle, m))
        },
    )?;
    if last != root.x {
        march(p, s, &mut points, root.x, condenser, taken);
    }
    let found = found(p, s, &points, (root.x, throttle), taps);
    s.points = points;
    s.slope = slope;
    s.exhaust = root.x;
    s.exhaust_found.is(root.x);
    enthalpies(p, s, &m, condenser, found.as_ref())?;
    Ok(m.inlet)
}

/// Whether anything may come back through a line, or water has in the last step.
pub fn returns(s: &State, taps: &[Tap]) -> bool {
    taps.iter().any(|t| t.back.is_some()) || s.joined.iter().any(|j| j.water > 0.0)
}

/// Flow through each group [kg/s] at the pressures that a search has found.
pub fn passing(p: &Params, s: &State, points: &[Source], exhaust: f64, taps: &[Tap]) -> Vec<f64> {
    let n = points.len();
    let mut passing = vec![exhaust; n + 1];
    for k in (0..n).rev() {
        let mut flow = passing[k + 1];
        if p.separator.as_ref().is_some_and(|q| q.after == k) {
            flow /= 1.0 - s.separator.moisture;
        }
        passing[k] = flow + taps[k].takes(&points[k]);
    }
    passing
}

/// Flows where something may come back; none where nothing may.
pub fn found(
    p: &Params,
    s: &State,
    points: &[Source],
    (exhaust, throttle): (f64, f64),
    taps: &[Tap],
) -> Option<Found> {
    let back = |(t, source): (&Tap, &Source)| {
        let returned = (-t.takes(source)).max(0.0);
        t.back.map_or((0.0, 0.0), |b| (returned, b.enthalpy))
    };
    returns(s, taps).then(|| Found {
        passing: passing(p, s, points, exhaust, taps),
        returned: taps.iter().zip(points).map(back).collect(),
        throttle,
    })
}

/// Leaving loss of an exhaust flow [kJ/kg]: with the square of its volume.
pub fn leaving_loss(p: &Params, s: &State, exhaust: f64) -> f64 {
    let share = exhaust * s.exhaust_volume / p.exhaust_volume;
    p.leaving_loss * share * share
}

/// Walks the steam from before the throttle, `throttle` [kg/s], to the condenser: `each` is told every group and its
/// flow, `taken` tells what leaves at a point [kg/s]. Returns what moisture separator and steam reheater do on the way.
pub fn walk(
    p: &Params,
    s: &State,
    throttle: f64,
    taken: impl Fn(usize) -> f64,
    mut each: impl FnMut(usize, f64),
) -> separator::Streams {
    let n = s.points.len();
    let streams = match &p.separator {
        Some(q) => separator::divide(&s.separator, throttle - (0..=q.after).map(&taken).sum::<f64>()),
        None => separator::Streams::default(),
    };
    let mut flow = throttle - streams.heating;
    for g in 0..=n {
        each(g, flow);
        if g < n {
            flow -= taken(g);
            if p.separator.as_ref().is_some_and(|q| q.after == g) {
                flow = streams.leaving;
            }
        }
    }
    streams
}

/// Work and flows of the step, once the shells have taken their steam and given back: `lines` at each point.
pub fn work(
    p: &Params,
    s: &State,
    inlet: f64,
    throttle: f64,
    lines: &[Exchange],
    generating: bool,
) -> Outputs {
    let n = lines.len();
    let mut out = Outputs { inlet_pressure: inlet, ..Outputs::default() };
    let streams = walk(
        p,
        s,
        throttle,
        |k| lines[k].taken - lines[k].returned,
        |g, flow| {
            let (h1, mut h2) = s.groups[g];
            if g == n {
                h2 += leaving_loss(p, s, flow);
                out.exhaust_flow = flow;
                out.exhaust_enthalpy = h2;
            } else {
                let x = &lines[g];
                if p.reheater.is_some_and(|r| r.after == g) {
                    out.reheat_flow = flow - (x.taken - x.returned);
                    out.reheat = out.reheat_flow * (s.groups[g + 1].0 - s.joined[g].enthalpy);
                }
                if x.returned > 0.0 || s.joined[g].enthalpy != h2 {
                    let h = s.joined[g].enthalpy;
                    out.carried += (flow - x.taken) * (h2 - h) + (x.returned_heat - x.returned * h);
                }
                out.water += x.water;
                out.water_heat += x.water_heat;
            }
            out.shaft += flow * (h1 - h2);
        },
    );
    out.separator = streams;
    out.gross = if generating { out.shaft * p.efficiency } else { 0.0 };
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ellipse law m/m0 = (p1/p10) sqrt(T10/T1) sqrt[(1-(p2/p1)²)/(1-(p20/p10)²)] with p v constant (Stodola):
    /// 10 -> 0.05 bar at half flow 5.000 bar; 40 -> 20 bar with the exit held, half flow 26.4575 and three-quarter
    /// flow 32.7872 bar.
    #[test]
    fn ellipse_law_as_published() {
        let c = coefficient(100.0, 1.0, 250.0, 0.005);
        assert!((pressure_before(c, 50.0, 250.0, 0.005) * 10.0 - 5.000).abs() < 5e-4);
        let c = coefficient(100.0, 4.0, 250.0, 2.0);
        assert!((pressure_before(c, 50.0, 250.0, 2.0) * 10.0 - 26.4575).abs() < 5e-5);
        assert!((pressure_before(c, 75.0, 250.0, 2.0) * 10.0 - 32.7872).abs() < 5e-5);
    }

    /// M. J. Moran and H. N. Shapiro, Fundamentals of Engineering Thermodynamics, example 8.5: 8 MPa 480 °C to 0.7 MPa
    /// at stage efficiency 0.85: h2 = 2832.8 kJ/kg (*from memory*, older steam tables: band 0.1 %).
    #[test]
    fn expansion_of_the_textbook() {
        let h2 =
            expand(0.85, 0.0, &steam::steam_pt(8.0, 480.0).unwrap(), 0.7, &mut Sought::default()).unwrap();
        assert!((h2 - 2832.8).abs() < 2.8, "{h2}");
    }

    #[test]
    fn wetness_costs_work() {
        let h1 = steam::sat_p(0.3).unwrap().hg;
        let start = steam::state_ph(0.3, h1).unwrap();
        let dry = expand(0.9, 0.0, &start, 0.005, &mut Sought::default()).unwrap();
        let wet = expand(0.9, 1.0, &start, 0.005, &mut Sought::default()).unwrap();
        let sat = steam::sat_p(0.005).unwrap();
        // Baumann: one per cent of mean wetness costs one per cent of efficiency.
        let mean = 0.5 * (sat.hg - wet) / sat.hfg();
        assert!(((h1 - wet) / (h1 - dry) - (1.0 - mean)).abs() < 1e-12);
    }
}
