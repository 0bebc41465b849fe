//! The three zones of a closed heater: heat by conductance and effectiveness, and the same heat by the water's rise.
//!
//! Terms marked as of the beginning of the step are those that the step held fast while it sought the pressure.

use super::expr::{Expr, Function, call, exp, max, min, number, power};
use super::heater::water_temperature;
use super::{CONSERVATION, DEFINITION, Draft, FILMS, IAPWS, INCROPERA, PRACTICE, Working, of};
use crate::exchange;
use crate::fault::{At, Fault};
use crate::heater::{Condition, Outputs, State};
use crate::outputs::ClosedOutputs;
use crate::sim::Sim;
use crate::surface::{
    CONDENSING, DESUPERHEATING, DRAIN_COOLING, FLOODED_COEFFICIENT, TYPICAL_COEFFICIENT,
    WATER_SHARE_DESUPERHEATING, WATER_SHARE_DRAIN_COOLING, WATER_SHARE_FLOODED, ZONES,
};
use crate::vessel;
use steam::units::Quantity as Q;

const ZONE: [&str; ZONES] = ["drain_cooling", "condensing", "desuperheating"];
pub(super) const OUT: [&str; ZONES] =
    ["drain_cooling_out_enthalpy", "condensing_out_enthalpy", "desuperheating_out_enthalpy"];
const CAPACITY: [&str; ZONES] =
    ["capacity_water_drain_cooling", "capacity_water_condensing", "capacity_water_desuperheating"];
const HOT: [&str; ZONES] = ["capacity_drain", "", "capacity_steam"];

/// What the workings of one heater's zones draw on.
pub(super) struct Zones<'a> {
    pub(super) sim: &'a Sim,
    pub(super) k: usize,
    pub(super) c: &'a ClosedOutputs,
    pub(super) h: &'a Outputs,
    pub(super) before: &'a State,
}

/// Share of the design flow below which free convection keeps the film inside.
fn least_flow(d: &mut Draft) -> Expr {
    d.constant("k_0", "least_flow_share", of(Q::Ratio), 0.02, PRACTICE)
}

/// The working of a number of a closed heater's zones.
pub fn working(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let c = &sim.outputs().closed[k];
    let z = Zones { sim, k, c, h: &c.heater, before: &sim.previous().plant.closed[k].heater };
    let zone = ZONE.iter().position(|zone| name.ends_with(zone));
    let stem = zone.and_then(|i| name.strip_suffix(ZONE[i])).unwrap_or("");
    match (stem, zone, name) {
        (.., "duty") => z.duty(name),
        ("duty_", Some(DRAIN_COOLING), _) => z.drain_cooling(name),
        ("duty_", Some(CONDENSING), _) => z.condensing(name),
        ("duty_", Some(DESUPERHEATING), _) => z.desuperheating(name),
        ("ua_", Some(i), _) => z.conductance(name, i),
        (.., "ua_flooded") => z.pool(name),
        ("ntu_", Some(i), _) => z.ntu(name, i),
        ("effectiveness_", Some(i), _) => z.effectiveness(name, i),
        ("capacity_ratio_", Some(i), _) => z.ratio(name, i),
        ("capacity_water_", Some(i), _) => z.water_capacity(name, i),
        (.., "tube_flow" | "shell_drain_flow" | "leak_joins_drain" | "water_out_enthalpy") => z.flows(name),
        (
            ..,
            "steam_in_temperature"
            | "steam_cooled_temperature"
            | "fw_drain_cooling_temperature"
            | "fw_condensing_temperature",
        ) => z.shown(name),
        (.., "drain_in_flash") => z.flash(name),
        (.., "drain_in_heat") => z.drain_in_heat(name),
        (.., "capacity_drain") => z.drain_capacity(name),
        (.., "capacity_steam") => z.steam_capacity(name),
        (.., "inlet_share") => z.inlet_share(name),
        (.., "mean_water_temperature") => z.mean(name),
        (.., "drain_cooling_out_temperature") => z.temperature(name, DRAIN_COOLING),
        (.., "condensing_out_temperature") => z.temperature(name, CONDENSING),
        (.., "inlet_steam_temperature") => z.steam_temperature(name),
        (
            ..,
            "drain_enthalpy"
            | "drain_cooled_enthalpy"
            | "drain_entering_enthalpy"
            | "drain_entering_quality"
            | "drain_coldest_enthalpy",
        ) => z.drain(name),
        _ => {
            if let Some(i) = OUT.iter().position(|n| *n == name) {
                return z.outlet(name, i);
            }
            let by_water = name.strip_prefix("duty_").and_then(|n| n.strip_suffix("_by_water"));
            match by_water.and_then(|n| ZONE.iter().position(|zone| *zone == n)) {
                Some(i) => z.by_water(name, i),
                None => Ok(None),
            }
        }
    }
}

pub(super) type Found = Result<Option<Working>, Fault>;

impl<'a> Zones<'a> {
    pub(super) fn draft(&self, name: &str) -> Draft<'a> {
        Draft::new(self.sim, &self.sim.params().closed[self.k].heater.id, name)
    }

    pub(super) fn surface(&self) -> &'a crate::surface::Surface {
        &self.sim.params().closed[self.k].heater.surface
    }

    pub(super) fn id(&self) -> &'a str {
        &self.sim.params().closed[self.k].heater.id
    }

    pub(super) fn condition(&self) -> Condition {
        self.sim.outputs().conditions.closed[self.k].heater
    }

    /// Drain from the shell through the zone [kg/s].
    pub(super) fn drained(&self) -> f64 {
        self.c.normal + self.c.emergency - self.joins()
    }

    /// What leaks from the tubes and joins the drain behind its zone [kg/s].
    pub(super) fn joins(&self) -> f64 {
        if self.surface().conductance[DRAIN_COOLING] > 0.0 {
            self.c.leak.min(self.c.normal + self.c.emergency)
        } else {
            0.0
        }
    }

    /// Drain from the shell through the zone.
    pub(super) fn drain_flow(&self, d: &mut Draft) -> Expr {
        d.link("shell_drain_flow", self.drained())
    }

    /// Water through the tubes [kg/s].
    pub(super) fn tubes(&self) -> f64 {
        self.c.water_flow * (1.0 - self.condition().past_partition)
    }

    /// Water through the tubes.
    pub(super) fn tube_flow(&self, d: &mut Draft) -> Expr {
        d.link("tube_flow", self.tubes())
    }

    fn duty(&self, name: &str) -> Found {
        let mut d = self.draft(name);
        let [a, b, c] = [0, 1, 2].map(|i| d.link(&format!("duty_{}", ZONE[i]), self.h.duty[i]));
        d.is(self.h.duty.iter().sum(), a + b + c, CONSERVATION)
    }

    /// Smaller of the two capacity rates.
    fn least(&self, d: &mut Draft, i: usize) -> Expr {
        let t = &self.h.trace;
        min(d.link(CAPACITY[i], t.cold[i]), d.link(HOT[i], t.hot[i]))
    }

    fn at_work(&self, i: usize) -> bool {
        self.h.trace.conductance[i] > 0.0
    }

    fn effective(&self, i: usize) -> f64 {
        let t = &self.h.trace;
        let (least, most) = (t.cold[i].min(t.hot[i]), t.cold[i].max(t.hot[i]));
        exchange::counterflow(t.conductance[i] / least, least / most)
    }

    fn drain_cooling(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        d.see("duty_drain_cooling_by_water");
        let value = self.h.duty[DRAIN_COOLING];
        if !self.at_work(DRAIN_COOLING) {
            d.case("zone_idle");
            return d.is(value, number(0.0), INCROPERA);
        }
        let least = t.cold[DRAIN_COOLING].min(t.hot[DRAIN_COOLING]);
        let raw = self.effective(DRAIN_COOLING) * least * (self.h.condensing - self.h.water_in_t);
        let most = (self.drained() * (t.entering - t.coldest)).max(0.0);
        if raw > most {
            // As the pressure falls, the drain holds less heat than the zone could take.
            d.case("drain_as_cold_as_the_water");
            let flow = self.drain_flow(&mut d);
            let (from, to) =
                (d.link("drain_entering_enthalpy", t.entering), d.link("drain_coldest_enthalpy", t.coldest));
            return d.is(value, max(flow * (from - to), number(0.0)), CONSERVATION);
        }
        let e = d.link("effectiveness_drain_cooling", self.effective(DRAIN_COOLING));
        let c = self.least(&mut d, DRAIN_COOLING);
        let hot = d.condensing(self.h.condensing);
        let cold = d.link("fw_in_temperature", self.h.water_in_t);
        d.is(value, e * c * (hot - cold), INCROPERA)
    }

    fn condensing(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        d.see("duty_condensing_by_water");
        let ua = d.link("ua_condensing", t.conductance[CONDENSING]);
        let ts = d.condensing(self.h.condensing);
        let tm = d.link("mean_water_temperature", self.mean_value());
        d.is(self.h.duty[CONDENSING], ua * (ts - tm), INCROPERA)
    }

    fn desuperheating(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        let value = self.h.duty[DESUPERHEATING];
        d.see("duty_desuperheating_by_water");
        if !self.at_work(DESUPERHEATING) {
            d.case("zone_idle");
            return d.is(value, number(0.0), INCROPERA);
        }
        let source = self.sim.state().plant.turbine.points[self.sim.params().point(self.k)];
        let steam_p = self.sim.state().plant.closed[self.k].heater.pressure;
        let hg = steam::sat_p(steam_p).at(self.id())?.hg;
        let least = t.cold[DESUPERHEATING].min(t.hot[DESUPERHEATING]);
        let e = self.effective(DESUPERHEATING);
        let raw = e * least / self.before.steam_flow * (t.steam_t - t.water_t[CONDENSING]);
        let flow = d.link("extraction_flow", self.h.steam_flow);
        if raw > (source.enthalpy - hg).max(0.0) {
            d.case("steam_at_saturation");
            let h = d.link("extraction_enthalpy", source.enthalpy);
            let p = d.steam_pressure(steam_p);
            let over = max(h - call(Function::SteamEnthalpy, [p]), number(0.0));
            return d.is(value, flow * over, CONSERVATION);
        }
        let e = d.link("effectiveness_desuperheating", e);
        let c = self.least(&mut d, DESUPERHEATING);
        let hot = d.link("inlet_steam_temperature", t.steam_t);
        let cold = d.link("condensing_out_temperature", t.water_t[CONDENSING]);
        // The zone's size belongs to the flow that it was reckoned for.
        let was = d.before("extraction_flow", self.before.steam_flow);
        d.is(value, flow / was * e * c * (hot - cold), INCROPERA)
    }

    /// Heat by the water's rise, with what its own store takes up.
    fn by_water(&self, name: &str, i: usize) -> Found {
        let mut d = self.draft(name);
        d.see(&format!("duty_{}", ZONE[i]));
        let into = if i == 0 { self.c.water_in } else { self.out(i - 1) };
        let flow = self.tube_flow(&mut d);
        let h_in = d.link(if i == 0 { "water_in_enthalpy" } else { OUT[i - 1] }, into);
        let (h_out, was) = (d.link(OUT[i], self.out(i)), d.before(OUT[i], self.before.water[i]));
        let (m, dt) = self.store(&mut d, i);
        d.is(self.h.duty[i], flow * (h_out.clone() - h_in) + m * (h_out - was) / dt, CONSERVATION)
    }

    pub(super) fn out(&self, i: usize) -> f64 {
        self.sim.state().plant.closed[self.k].heater.water[i]
    }

    fn store(&self, d: &mut Draft, i: usize) -> (Expr, Expr) {
        let m = self.sim.params().closed[self.k].heater.storage[i];
        let m = d.sized("m_w", "water_store", of(Q::Mass), m);
        (m, d.step())
    }

    fn outlet(&self, name: &str, i: usize) -> Found {
        let mut d = self.draft(name);
        let m = self.sim.params().closed[self.k].heater.storage[i];
        let was = d.before(OUT[i], self.before.water[i]);
        if m <= 0.0 && self.tubes() <= 0.0 {
            d.case("no_flow");
            return d.is(self.out(i), was, CONSERVATION);
        }
        let into = if i == 0 { self.c.water_in } else { self.out(i - 1) };
        let flow = self.tube_flow(&mut d);
        let h_in = d.link(if i == 0 { "water_in_enthalpy" } else { OUT[i - 1] }, into);
        let q = d.link(&format!("duty_{}", ZONE[i]), self.h.duty[i]);
        let (m, dt) = self.store(&mut d, i);
        let rate = m / dt;
        let e = (rate.clone() * was + q + flow.clone() * h_in) / (rate + flow);
        d.is(self.out(i), e, CONSERVATION)
    }

    fn conductance(&self, name: &str, i: usize) -> Found {
        let (mut d, t, s) = (self.draft(name), &self.h.trace, self.surface());
        if i != CONDENSING && !self.at_work(i) {
            d.case("zone_idle");
            return d.is(t.conductance[i], number(0.0), FILMS);
        }
        let ua = d.sized("UA_0", "conductance_design", of(Q::Conductance), s.conductance[i]);
        let least = least_flow(&mut d);
        let film = |share: Expr, exponent: f64| power(max(share, least.clone()), exponent);
        let series = |d: &mut Draft, r: Expr, outer: Option<Expr>| {
            self.resistances(d, &least, TYPICAL_COEFFICIENT[i], (r, outer))
        };
        let share = |d: &mut Draft, r| d.constant("r", "water_side_share", of(Q::Fraction), r, PRACTICE);
        let e = match i {
            CONDENSING => {
                let place = format!("heaters.{}", self.id());
                let r = d.plant("r", "water_side_share", of(Q::Fraction), s.water_share, &place);
                let flooded = self.flooded_before(&mut d)?;
                let mut e = ua * series(&mut d, r, None) * (1.0 - flooded);
                let design = self.sim.params().closed[self.k].heater.vent.lost;
                if self.h.blanketed != design {
                    // Gas takes its part; what it takes at design is in the design's conductance.
                    let now = d.link("share_blanketed", self.h.blanketed);
                    let then = d.sized("k_g,0", "share_blanketed_design", of(Q::Fraction), design);
                    e = e * (1.0 - now) / (1.0 - then);
                }
                if self.h.duty[CONDENSING] < 0.0 {
                    d.case("boiling");
                    e * d.link("boiling_share", t.boiling)
                } else {
                    e
                }
            }
            DRAIN_COOLING => {
                let r = share(&mut d, WATER_SHARE_DRAIN_COOLING);
                let covered = d.link("drain_cooler_covered", self.h.covered);
                let design = d.sized("ṁ_d,0", "design_drain_flow", of(Q::MassFlow), s.drain_flow);
                let outer = film(self.drain_flow(&mut d) / design, 0.6);
                let e = ua * covered * series(&mut d, r, Some(outer));
                if t.pool > 0.0 { e + d.link("ua_flooded", t.pool) } else { e }
            }
            _ => {
                let r = share(&mut d, WATER_SHARE_DESUPERHEATING);
                let design = d.sized("ṁ_x,0", "design_extraction", of(Q::MassFlow), s.steam_flow);
                let outer = film(d.before("extraction_flow", self.before.steam_flow) / design, 0.6);
                ua * series(&mut d, r, Some(outer))
            }
        };
        d.is(t.conductance[i], e, FILMS)
    }

    /// Conductance of flooded tubes.
    fn pool(&self, name: &str) -> Found {
        let (mut d, t, s) = (self.draft(name), &self.h.trace, self.surface());
        if t.pool <= 0.0 {
            d.case("no_tube_flooded");
            return d.is(t.pool, number(0.0), FILMS);
        }
        let ua = d.sized("UA_0", "conductance_design", of(Q::Conductance), s.conductance[CONDENSING]);
        let here = FLOODED_COEFFICIENT / TYPICAL_COEFFICIENT[CONDENSING];
        let ratio = d.constant("k_f", "flooded_coefficient_ratio", of(Q::Ratio), here, INCROPERA);
        let flooded = self.flooded_before(&mut d)?;
        let r = d.constant("r", "water_side_share", of(Q::Fraction), WATER_SHARE_FLOODED, PRACTICE);
        let least = least_flow(&mut d);
        let e = ua * ratio * flooded * self.resistances(&mut d, &least, FLOODED_COEFFICIENT, (r, None));
        d.is(t.pool, e, FILMS)
    }

    /// Share of the condensing tubes under water, as the step began.
    fn flooded_before(&self, d: &mut Draft) -> Result<Expr, Fault> {
        let g = &self.sim.params().closed[self.k].heater.geometry;
        let sat = steam::sat_p(self.before.pressure).at(self.id())?;
        let y = g.height_of(vessel::water_volume(self.before.shell.mass, g.whole(), &sat));
        Ok(d.before("flooded", g.flooded(y)))
    }

    /// What is left of a conductance at design: resistances in series over the surface that is left, of tubes whose overall
    /// coefficient is typically `coefficient`, with `r` of it on the water side and what the film outside has become.
    fn resistances(
        &self,
        d: &mut Draft,
        least: &Expr,
        coefficient: f64,
        (r, outer): (Expr, Option<Expr>),
    ) -> Expr {
        let design = d.sized("ṁ_w,0", "design_water_flow", of(Q::MassFlow), self.surface().water_flow);
        let water = self.tube_flow(d) / design;
        // What has become of the tubes shows only where something has.
        let wrong = self.condition();
        let left = (wrong.plugged > 0.0)
            .then(|| 1.0 - d.sized("k_pl", "share_plugged", of(Q::Fraction), wrong.plugged));
        let water = left.iter().fold(water, |w, l| w / l.clone());
        let inner = power(max(water, least.clone()), 0.8);
        let outside = outer.into_iter().fold(1.0 - r.clone(), |rest, o| rest / o);
        let mut all = r / inner + outside;
        if wrong.fouling > 0.0 {
            let f = d.sized("R_f", "deposit_resistance", of(Q::Ratio), wrong.fouling);
            let here = coefficient / TYPICAL_COEFFICIENT[CONDENSING];
            all = all
                + match here == 1.0 {
                    true => f,
                    false => f * d.constant("k_z", "zone_coefficient_ratio", of(Q::Ratio), here, PRACTICE),
                };
        }
        left.unwrap_or(number(1.0)) / all
    }

    fn ntu_value(&self, i: usize) -> f64 {
        let t = &self.h.trace;
        match i {
            CONDENSING => self.condensing_dry() / t.cold[i],
            _ => t.conductance[i] / t.cold[i].min(t.hot[i]),
        }
    }

    /// Conductance of the condensing zone as for heat out of the shell.
    fn condensing_dry(&self) -> f64 {
        let t = &self.h.trace;
        if self.h.duty[CONDENSING] < 0.0 && t.boiling > 0.0 {
            t.conductance[CONDENSING] / t.boiling
        } else {
            t.conductance[CONDENSING]
        }
    }

    fn ntu(&self, name: &str, i: usize) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        if t.cold[i] <= 0.0 {
            d.case("zone_idle");
            return d.is(0.0, number(0.0), INCROPERA);
        }
        let ua = d.link(&format!("ua_{}", ZONE[i]), t.conductance[i]);
        let e = if i == CONDENSING {
            let c = d.link(CAPACITY[i], t.cold[i]);
            if self.h.duty[CONDENSING] < 0.0 && t.boiling > 0.0 {
                ua / (d.link("boiling_share", t.boiling) * c)
            } else {
                ua / c
            }
        } else {
            ua / self.least(&mut d, i)
        };
        d.is(self.ntu_value(i), e, INCROPERA)
    }

    fn ratio_value(&self, i: usize) -> f64 {
        let t = &self.h.trace;
        t.cold[i].min(t.hot[i]) / t.cold[i].max(t.hot[i])
    }

    fn ratio(&self, name: &str, i: usize) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        if i == CONDENSING || !self.at_work(i) {
            return Ok(None);
        }
        let (a, b) = (d.link(CAPACITY[i], t.cold[i]), d.link(HOT[i], t.hot[i]));
        d.is(self.ratio_value(i), min(a.clone(), b.clone()) / max(a, b), INCROPERA)
    }

    fn effectiveness(&self, name: &str, i: usize) -> Found {
        let mut d = self.draft(name);
        if i == CONDENSING || !self.at_work(i) {
            return Ok(None);
        }
        let n = d.link(&format!("ntu_{}", ZONE[i]), self.ntu_value(i));
        if 1.0 - self.ratio_value(i) < 1e-6 {
            d.case("equal_capacities");
            return d.is(self.effective(i), n.clone() / (1.0 + n), INCROPERA);
        }
        let r = d.link(&format!("capacity_ratio_{}", ZONE[i]), self.ratio_value(i));
        let e = exp(number(0.0) - n * (1.0 - r.clone()));
        d.is(self.effective(i), (1.0 - e.clone()) / (1.0 - r * e), INCROPERA)
    }

    pub(super) fn water_function(&self) -> (Function, Function) {
        match water_temperature(self.sim, self.k) {
            Function::HighWaterTemperature => (Function::HighWaterTemperature, Function::HighWaterCapacity),
            t => (t, Function::LowWaterCapacity),
        }
    }

    /// Capacity rate of the water through a zone: mean heat capacity over the zone as the step found it.
    fn water_capacity(&self, name: &str, i: usize) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        let (temperature, capacity) = self.water_function();
        if t.cold[i] <= 0.0 {
            d.case("zone_idle");
            return d.is(t.cold[i], number(0.0), DEFINITION);
        }
        let flow = self.tube_flow(&mut d);
        let h_out = d.before(OUT[i], self.before.water[i]);
        let (h_in, h_in_value) = match i {
            DRAIN_COOLING => (d.link("water_in_enthalpy", self.c.water_in), self.c.water_in),
            _ => (d.before(OUT[i - 1], self.before.water[i - 1]), self.before.water[i - 1]),
        };
        let line = self.sim.params().line(self.k);
        let (a, b) = (line.t(h_in_value).at(self.id())?, line.t(self.before.water[i]).at(self.id())?);
        let t_out = call(temperature, [h_out.clone()]);
        if (b - a).abs() > 0.05 {
            let e = flow * (h_out - h_in.clone()) / (t_out - call(temperature, [h_in]));
            return d.is(t.cold[i], e, DEFINITION);
        }
        d.case("ends_too_close");
        d.is(t.cold[i], flow * call(capacity, [t_out]), IAPWS)
    }

    /// Enthalpy of what entered the drain outlet as the step began.
    fn entering_before(&self) -> Result<f64, Fault> {
        let g = &self.sim.params().closed[self.k].heater.geometry;
        let sat = steam::sat_p(self.before.pressure).at(self.id())?;
        Ok(sat.hf
            + self.h.trace.quality
                * (sat.hfg() + vessel::superheat_enthalpy(self.before.shell.mass, g.whole(), &sat)))
    }

    fn drain_capacity(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        if !self.at_work(DRAIN_COOLING) {
            d.case("zone_idle");
            return d.is(t.hot[DRAIN_COOLING], number(0.0), DEFINITION);
        }
        let flow = self.drain_flow(&mut d);
        let at = d.steam_pressure_before(self.before.pressure);
        let ts = call(Function::SaturationTemperature, [at.clone()]);
        let t_s = steam::sat_p(self.before.pressure).at(self.id())?.t;
        if t_s > self.h.water_in_t + 0.1 {
            let h = d.before("drain_entering_enthalpy", self.entering_before()?);
            let cold = d.link("fw_in_temperature", self.h.water_in_t);
            let e = flow * (h - call(Function::WaterEnthalpy, [at, cold.clone()])) / (ts - cold);
            return d.is(t.hot[DRAIN_COOLING], e, DEFINITION);
        }
        d.case("ends_too_close");
        let tenth = d.constant("δ", "small_difference", of(Q::TemperatureDifference), 0.1, DEFINITION);
        let below = call(Function::WaterEnthalpy, [at.clone(), ts - tenth.clone()]);
        let e = flow * (call(Function::LiquidEnthalpy, [at]) - below) / tenth;
        d.is(t.hot[DRAIN_COOLING], e, DEFINITION)
    }

    fn steam_capacity(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        if !self.at_work(DESUPERHEATING) {
            d.case("zone_idle");
            return d.is(t.hot[DESUPERHEATING], number(0.0), DEFINITION);
        }
        let source = self.sim.state().plant.turbine.points[self.sim.params().point(self.k)];
        let flow = d.before("extraction_flow", self.before.steam_flow);
        let at = d.steam_pressure_before(self.before.pressure);
        let h = d.link("extraction_enthalpy", source.enthalpy);
        let hot = d.link("inlet_steam_temperature", t.steam_t);
        let e = flow * (h - call(Function::SteamEnthalpy, [at.clone()]))
            / (hot - call(Function::SaturationTemperature, [at]));
        d.is(t.hot[DESUPERHEATING], e, DEFINITION)
    }

    fn inlet_share(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        if t.cold[CONDENSING] <= 0.0 {
            d.case("no_flow");
            return d.is(t.inlet_share, number(0.0), INCROPERA);
        }
        let value = self.ntu_value(CONDENSING);
        let n = d.link("ntu_condensing", value);
        let e = if value < 1e-3 {
            d.case("small_ntu");
            0.5 - n / number(12.0)
        } else if value > 500.0 {
            d.case("large_ntu");
            1.0 / n
        } else {
            1.0 / n.clone() - 1.0 / (exp(n) - 1.0)
        };
        d.is(t.inlet_share, e, INCROPERA)
    }

    fn mean_value(&self) -> f64 {
        let t = &self.h.trace;
        t.inlet_share * t.water_t[DRAIN_COOLING] + (1.0 - t.inlet_share) * t.water_t[CONDENSING]
    }

    fn mean(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        let a = d.link("inlet_share", t.inlet_share);
        let t1 = d.link("drain_cooling_out_temperature", t.water_t[DRAIN_COOLING]);
        let t2 = d.link("condensing_out_temperature", t.water_t[CONDENSING]);
        d.is(self.mean_value(), a.clone() * t1 + (1.0 - a) * t2, INCROPERA)
    }

    /// Water temperature behind a zone, along the tangent at the step's beginning.
    fn temperature(&self, name: &str, i: usize) -> Found {
        let mut d = self.draft(name);
        let (temperature, capacity) = self.water_function();
        let (now, was) = (d.link(OUT[i], self.out(i)), d.before(OUT[i], self.before.water[i]));
        let then = call(temperature, [was.clone()]);
        d.is(self.h.trace.water_t[i], then.clone() + (now - was) / call(capacity, [then]), IAPWS)
    }

    fn steam_temperature(&self, name: &str) -> Found {
        let mut d = self.draft(name);
        let source = self.sim.state().plant.turbine.points[self.sim.params().point(self.k)];
        let at = d.steam_pressure_before(self.before.pressure);
        let sat = steam::sat_p(self.before.pressure).at(self.id())?;
        if self.h.trace.steam_t <= sat.t {
            d.case("no_superheat");
            return d.is(self.h.trace.steam_t, call(Function::SaturationTemperature, [at]), IAPWS);
        }
        let h = d.link("extraction_enthalpy", source.enthalpy);
        d.is(self.h.trace.steam_t, call(Function::Temperature, [at, h]), IAPWS)
    }
}
