//! Solves a case of the sized plant.
//!
//! Unknowns: the extraction flow of every heater in service (of an isolated one that drains reach, its saturation temperature), the
//! condenser's temperature where cooling water decides it, and the throttle flow where it is not what is held. From them
//! pressures follow along the turbine from the condenser up, shell pressures through the extraction lines, and one pass
//! through drains and water gives each heater's imbalance. Flows and not pressures are sought, since a line that loses
//! three per cent of its pressure answers a small error of pressure with a large one of flow. Where drains bring a heater
//! more heat than its water takes, its non-return valve is shut: no steam flows, and the shell stands above the turbine.
//! Below 0 the unknown measures by how much, and above what the line passes when it chokes, how far the shell's pressure
//! falls: one unknown serves everywhere.

use super::account::{self, rejected, work_and_heat};
use super::case::{Case, Hold, LOAD_RANGE, Outage};
use super::line_drains;
use super::model::Model;
use super::newton::{self, Report, Unknown};
use super::pass::{self, Context, Pass, SteamSide};
use super::result::Balance;
use super::unsolved::{Sought, Unsolved};
use crate::fault::{At, Fault};
use crate::line_drain::Bore;
use crate::plant::file::Plant;
use crate::turbine;
use crate::valve;
use crate::vessel;

/// Residuals are closed to this, relative to the heat added or the throttle flow.
pub const TOLERANCE: f64 = 2e-12;
/// A solution is accepted with this much left.
pub const ACCEPTED: f64 = 1e-10;

/// What an unknown below 0 means, as a share of design throttle flow: by so much lower, the shell behind the shut
/// non-return valve stands e times as high above the turbine.
const SHUT: f64 = 0.01;

/// How much hotter than the one before it an isolated heater is thought to stand, to begin with [K].
const RISE: f64 = 5.0;

/// Most rounds for the flow of lines that choke: each gains a digit.
const CHOKING_ROUNDS: u32 = 40;

/// Solves a case.
pub fn solve(model: &Model, plant: &Plant, case: &Case) -> Result<Balance, Fault> {
    let share = case.hold.share();
    if !(LOAD_RANGE.0..=LOAD_RANGE.1).contains(&share) {
        return Err(Fault::new(
            "load_range",
            "load",
            format!("a load of {share} of design is not balanced."),
            format!("Ask for {} to {} of design.", LOAD_RANGE.0, LOAD_RANGE.1),
        ));
    }
    if case.outages.len() != model.layout.heaters {
        return Err(Fault::new(
            "outages",
            "case.outages",
            format!("{} entries for {} heaters.", case.outages.len(), model.layout.heaters),
            "Give one entry for each heater.",
        ));
    }
    if let Some(o) = model.layout.open.filter(|&o| case.outages[o] != Outage::None) {
        return Err(Fault::new(
            "open_heater_out",
            plant.heaters[o].id(),
            "the open heater cannot be taken out: the feed pumps draw from it.",
            "Take closed heaters out.",
        ));
    }
    let case = grouped(model, plant, case);
    Solution::new(model, plant, &case).run()
}

/// A heater that is out takes its bypass group with it.
fn grouped(model: &Model, plant: &Plant, case: &Case) -> Case {
    let mut case = case.clone();
    for group in &plant.bypass_groups {
        let members: Vec<usize> = (0..model.layout.heaters)
            .filter(|&i| group.iter().any(|id| id == plant.heaters[i].id()))
            .collect();
        if members.iter().any(|&i| case.outages[i] == Outage::Out) {
            members.iter().for_each(|&i| case.outages[i] = Outage::Out);
        }
    }
    case
}

/// A case on its way to be solved.
struct Solution<'a> {
    model: &'a Model,
    context: Context<'a>,
    /// Heaters with an unknown of their own.
    active: Vec<usize>,
    /// Volumes and p v along the turbine, held between evaluations.
    turbine: turbine::State,
    lag: pass::Lag,
    /// The evaluation made last.
    last: Option<Found>,
}

/// All that one evaluation finds.
struct Found {
    steam: SteamSide,
    march: turbine::March,
    turbine: turbine::State,
    pass: Pass,
    lag: pass::Lag,
}

impl<'a> Solution<'a> {
    fn new(model: &'a Model, plant: &'a Plant, case: &'a Case) -> Solution<'a> {
        let context = Context { plant, layout: &model.layout, lines: &model.lines, model: Some(model), case };
        let sought = |&i: &usize| case.outages[i] != Outage::Out && !context.idle(i);
        Solution {
            model,
            active: (0..model.layout.heaters).filter(sought).collect(),
            context,
            turbine: model.turbine_state.clone(),
            lag: model.design.heaters.iter().map(|h| h.drain).collect(),
            last: None,
        }
    }

    fn run(mut self) -> Result<Balance, Fault> {
        let m = self.model;
        let (mut x, unknowns) = self.start()?;
        let known = self.derivatives(&x, &unknowns)?;
        let report = newton::solve(&mut self, &mut x, &unknowns, TOLERANCE, known)?;
        if !(report.residual < ACCEPTED) {
            return Err(self.unsolved(&report, &unknowns).into());
        }
        // What was evaluated last was evaluated there.
        let f = match self.last.take() {
            Some(f) => f,
            None => self.evaluate(&x)?,
        };
        account::draw_up(&self.context, &m.turbine, report, &f.steam, &f.march, &f.turbine, f.pass)
    }

    /// First trial: pressures and flows in proportion to the load.
    fn start(&self) -> Result<(Vec<f64>, Vec<Unknown>), Fault> {
        let (d, case) = (&self.model.design, self.context.case);
        let share = case.hold.share();
        let temperature = Unknown { low: 2.0, high: 345.0, stride: 15.0, difference: 1e-4 };
        let flow = Unknown {
            low: 1e-3 * d.throttle,
            high: 1.5 * d.throttle,
            stride: 0.2 * d.throttle,
            difference: 1e-6 * d.throttle,
        };
        let mut x = Vec::new();
        let mut unknowns = Vec::new();
        for &i in &self.active {
            let h = &d.heaters[i];
            if case.outages[i] == Outage::Isolated {
                x.push(self.standing(i));
                unknowns.push(temperature);
            } else {
                x.push(h.extraction_flow * share);
                unknowns.push(Unknown { low: -3.0 * SHUT * d.throttle, stride: 0.04 * d.throttle, ..flow });
            }
        }
        if let Some((_, inlet)) = self.model.rejection {
            x.push(inlet + (d.condenser_temperature - inlet) * share);
            unknowns.push(Unknown { stride: 5.0, ..temperature });
        }
        if !matches!(case.hold, Hold::SteamFlow(_)) {
            x.push(d.throttle * share);
            unknowns.push(flow);
        }
        Ok((x, unknowns))
    }

    /// Where an isolated heater's saturation may lie [°C]: a little above the water that the next heater in service before
    /// it, or the condenser, has at design; the higher the heater, the more, since drains flow down.
    fn standing(&self, i: usize) -> f64 {
        let (d, n) = (&self.model.design, self.model.layout.heaters);
        let below = (i + 1..n).find(|&j| self.context.case.outages[j] == Outage::None);
        let water = below.map_or(d.condenser_temperature, |j| d.heaters[j].water_out_t);
        water + RISE * (below.unwrap_or(n) - i) as f64
    }

    /// What is known of the derivatives at a start: those at design, and by differences those by the saturation of isolated
    /// heaters, which design does not have.
    fn derivatives(&mut self, x: &[f64], unknowns: &[Unknown]) -> Result<Option<Vec<f64>>, Fault> {
        let (m, case) = (self.model, self.context.case);
        let known = m.derivatives(self.context.plant).for_case(case, &self.active, m.rejection.is_some());
        let Some(mut known) = known else { return Ok(None) };
        let isolated: Vec<usize> =
            (0..self.active.len()).filter(|&j| case.outages[self.active[j]] == Outage::Isolated).collect();
        if isolated.is_empty() {
            return Ok(Some(known));
        }
        let (mut base, mut moved) = (Vec::new(), Vec::new());
        newton::System::residuals(self, x, &mut base)?;
        newton::System::renew(self);
        newton::System::residuals(self, x, &mut base)?;
        let mut trial = x.to_vec();
        for j in isolated {
            trial[j] = x[j] + unknowns[j].difference;
            newton::System::residuals(self, &trial, &mut moved)?;
            trial[j] = x[j];
            for (i, (a, b)) in moved.iter().zip(&base).enumerate() {
                known[i * x.len() + j] = (a - b) / unknowns[j].difference;
            }
        }
        Ok(Some(known))
    }

    fn unsolved(&self, report: &Report, unknowns: &[Unknown]) -> Unsolved {
        let id = |i: usize| self.context.plant.heaters[i].id().to_owned();
        let mut components: Vec<String> = self.active.iter().map(|&i| id(i)).collect();
        let mut sought: Vec<Sought> = self
            .active
            .iter()
            .map(|&i| match self.context.case.outages[i] {
                Outage::Isolated => Sought::Saturation(id(i)),
                _ => Sought::Extraction(id(i)),
            })
            .collect();
        if self.model.rejection.is_some() {
            components.push("condenser".into());
            sought.push(Sought::Condenser);
        }
        sought.push(Sought::Throttle);
        Unsolved::new(report, &sought, unknowns, &components)
    }

    fn evaluate(&self, x: &[f64]) -> Result<Found, Fault> {
        let (m, c) = (self.model, &self.context);
        let n = m.layout.heaters;
        let k = self.active.len();
        let condenser = match m.rejection {
            Some(_) => steam::sat_t(x[k]),
            None => steam::sat_p(c.plant.condenser.pressure),
        }
        .at("condenser")?;
        let throttle = match c.case.hold {
            Hold::SteamFlow(share) => m.design.throttle * share,
            _ => x[x.len() - 1],
        };
        let isolated = |i: usize| c.case.outages[i] == Outage::Isolated;
        let mut extraction = vec![0.0; n];
        for (&i, &w) in self.active.iter().zip(x).filter(|(i, _)| !isolated(**i)) {
            extraction[i] = w.max(0.0);
        }
        let bores: Vec<Bore> = (0..n).map(|i| line_drains::bore(c, i, condenser.p)).collect();
        let mut line_drain = vec![0.0; n];
        let mut turbine = self.turbine.clone();
        let mut points = turbine.points.clone();
        // A line passes no more than it chokes at, and its drain by the pressure before it, which depend on what they pass.
        let mut rounds = 0;
        let march = loop {
            let taken = |k: usize| m.layout.points[k].map_or(0.0, |i| extraction[i] + line_drain[i]);
            let mut exhaust = 0.0;
            turbine::walk(&m.turbine, &turbine, throttle, taken, |_, flow| exhaust = flow);
            let exhaust = exhaust.max(1e-3 * throttle);
            let march =
                turbine::march(&m.turbine, &turbine, &mut points, exhaust, condenser.p, |k, _| taken(k));
            let mut moved = 0.0_f64;
            for (i, bore) in bores.iter().enumerate().filter(|(_, b)| b.area > 0.0) {
                let passes = bore.steam(&points[m.layout.point_of[i]]);
                moved = moved.max((passes - line_drain[i]).abs());
                line_drain[i] = passes;
            }
            for (&i, &w) in self.active.iter().zip(x).filter(|(i, w)| !isolated(**i) && **w > 0.0) {
                let source = &points[m.layout.point_of[i]];
                let passes = w.min(valve::steam_flow(m.extraction[i], source.pressure, source.volume, 0.0));
                moved = moved.max((passes - extraction[i]).abs());
                extraction[i] = passes;
            }
            rounds += 1;
            if moved <= 1e-14 * throttle || rounds == CHOKING_ROUNDS {
                break march;
            }
        };
        // A heater that is out stands at the condenser's pressure: its drains and vents go there.
        let mut shells = vec![condenser; n];
        for (&i, &u) in self.active.iter().zip(x) {
            let source = &points[m.layout.point_of[i]];
            shells[i] = if isolated(i) {
                steam::sat_t(u)
            } else {
                let p = if u < 0.0 {
                    source.pressure * steam::math::exp(-u / (SHUT * m.design.throttle))
                } else {
                    valve::steam_pressure_behind(m.extraction[i], source.pressure, source.volume, u)
                };
                steam::sat_p(p.clamp(vessel::LOWEST_PRESSURE, vessel::HIGHEST_PRESSURE))
            }
            .at(c.plant.heaters[i].id())?;
        }
        turbine.points = points;
        turbine::enthalpies(&m.turbine, &mut turbine, &march, condenser.p, None)?;
        // Flows by what separator and reheater do now; the pressures above rest on what they did in the evaluation before.
        let taken = |k: usize| m.layout.points[k].map_or(0.0, |i| extraction[i] + line_drain[i]);
        let mut exhaust = 0.0;
        let streams = turbine::walk(&m.turbine, &turbine, throttle, taken, |_, flow| exhaust = flow);
        turbine.exhaust = exhaust;
        let end = turbine.groups[m.layout.points.len()].1;
        let mut steam = SteamSide {
            throttle,
            sources: m.layout.point_of.iter().map(|&p| turbine.points[p]).collect(),
            extraction,
            line_drain,
            shells,
            exhaust,
            exhaust_enthalpy: end + turbine::leaving_loss(&m.turbine, &turbine, exhaust),
            condenser,
            separator: streams,
            led: Default::default(),
        };
        steam.separate(&m.turbine, &turbine, streams);
        let mut lag = self.lag.clone();
        let pass = pass::run(c, &steam, &mut lag)?;
        Ok(Found { steam, march, turbine, pass, lag })
    }

    fn imbalances(&self, x: &[f64], f: &Found, r: &mut Vec<f64>) {
        let (m, c) = (self.model, &self.context);
        let d = &m.design;
        r.clear();
        r.extend(self.active.iter().map(|&i| f.pass.imbalance[i] / d.heat_added));
        if let Some((per_kelvin, inlet)) = m.rejection {
            let t = x[self.active.len()];
            r.push((rejected(c.plant, &f.steam, &f.pass) - per_kelvin * (t - inlet)) / d.heat_added);
        }
        let (shaft, added) = work_and_heat(c.layout, &m.turbine, &f.steam, &f.turbine, &f.pass);
        match c.case.hold {
            Hold::SteamFlow(_) => {}
            Hold::GrossOutput(share) => {
                r.push((shaft * m.turbine.efficiency - share * d.gross) / d.heat_added);
            }
            Hold::Firing(share) => r.push((added - share * d.heat_added) / d.heat_added),
        }
    }
}

impl newton::System for Solution<'_> {
    type Error = Fault;

    fn residuals(&mut self, x: &[f64], r: &mut Vec<f64>) -> Result<(), Fault> {
        let found = self.evaluate(x)?;
        self.imbalances(x, &found, r);
        self.last = Some(found);
        Ok(())
    }

    fn renew(&mut self) {
        if let Some(f) = &self.last {
            self.turbine.clone_from(&f.turbine);
            self.lag.clone_from(&f.lag);
        }
    }
}

/// Derivatives of all residuals at design with all heaters in service: where the search for any other case starts. They
/// change little with load; what changes, the search learns.
#[derive(Clone, Debug, Default)]
pub struct Derivatives {
    /// Number of heaters.
    heaters: usize,
    /// By column: extraction flow of each heater, condenser temperature, throttle flow. By row within: imbalance of each
    /// heater, of the condenser, gross output, firing. Empty where they could not be had.
    columns: Vec<Vec<f64>>,
}

impl Derivatives {
    /// Takes them by differences.
    pub fn new(model: &Model, plant: &Plant) -> Derivatives {
        Derivatives::taken(model, plant).unwrap_or_default()
    }

    fn taken(model: &Model, plant: &Plant) -> Result<Derivatives, Fault> {
        let n = model.layout.heaters;
        let case = Case::at(Hold::GrossOutput(1.0), n);
        let mut s = Solution::new(model, plant, &case);
        let (x, unknowns) = s.start()?;
        let rows = |s: &mut Solution, x: &[f64]| -> Result<Vec<f64>, Fault> {
            let found = s.evaluate(x)?;
            let mut r = Vec::with_capacity(n + 3);
            s.imbalances(x, &found, &mut r);
            if model.rejection.is_none() {
                r.insert(n, 0.0);
            }
            let (_, added) =
                work_and_heat(s.context.layout, &model.turbine, &found.steam, &found.turbine, &found.pass);
            r.push(added / model.design.heat_added);
            s.last = Some(found);
            Ok(r)
        };
        rows(&mut s, &x)?;
        newton::System::renew(&mut s);
        let base = rows(&mut s, &x)?;
        let mut columns = Vec::with_capacity(n + 2);
        let mut trial = x.clone();
        for (j, u) in unknowns.iter().enumerate() {
            trial[j] += u.difference;
            let moved = rows(&mut s, &trial)?;
            trial[j] = x[j];
            columns.push(moved.iter().zip(&base).map(|(a, b)| (a - b) / u.difference).collect());
            if j + 1 == n && model.rejection.is_none() {
                columns.push(vec![0.0; n + 3]);
            }
        }
        Ok(Derivatives { heaters: n, columns })
    }

    /// Row by row for the unknowns of a case, those of the heaters `active` first; by the extraction of an isolated one
    /// where its saturation is sought.
    fn for_case(&self, case: &Case, active: &[usize], condenser: bool) -> Option<Vec<f64>> {
        let n = self.heaters;
        if self.columns.is_empty() {
            return None;
        }
        let mut columns = active.to_vec();
        columns.extend(condenser.then_some(n));
        let mut rows = columns.clone();
        match case.hold {
            Hold::SteamFlow(_) => {}
            Hold::GrossOutput(_) => rows.push(n + 1),
            Hold::Firing(_) => rows.push(n + 2),
        }
        if rows.len() > columns.len() {
            columns.push(n + 1);
        }
        Some(rows.iter().flat_map(|&i| columns.iter().map(move |&j| self.columns[j][i])).collect())
    }
}
