//! Gas that does not condense, in closed shells and in the open heater, and the oxygen that stays in the water.
//!
//! A step moves gas with the vessel as it stood when the step began: what is said here of shares and pressures of gas is
//! of that moment.

use super::expr::{Expr, Function, call, exp, ln, max, min, number, power, sum, within};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS_HENRY, PRACTICE, Working, balance, fixed, of};
use crate::deaeration::{self, BY_MASS, BY_VOLUME, STAY};
use crate::fault::{At, Fault};
use crate::gas::{self, DEPTH, Gas, HALVING, MOLAR, Spread};
use crate::henry::{CRITICAL, OXYGEN, WATER};
use crate::open_heater;
use crate::plant::file::VentTo;
use crate::sim::Sim;
use crate::vessel;
use steam::Saturation;
use steam::units::Quantity as Q;

/// Most of what the open heater's vent passes that is taken to be gas [share by mass].
const MOST: f64 = open_heater::MOST_GAS_VENTED;

/// A steam space with gas in it: how it stood when the step began, and what moved in the step.
struct Space<'a> {
    id: &'a str,
    closed: bool,
    /// Equipment that holds it, in the plant file.
    place: String,
    now: &'a Gas,
    was: &'a Gas,
    sat: Saturation,
    /// Whole volume, and that of the water [m³].
    volume: (f64, f64),
    /// Steam vented [kg/s], and the share of gas in what was.
    vent: (f64, f64),
    /// Steam that ran back to the turbine [kg/s], and the gas that went with it.
    back: (f64, f64),
    /// Gas that came, and went by the vent [kg/s].
    came: f64,
    went: f64,
    /// Vents of other heaters that lead here, with their gas [kg/s].
    vents: Vec<(&'a str, f64)>,
}

impl<'a> Space<'a> {
    fn closed(sim: &'a Sim, k: usize) -> Result<Space<'a>, Fault> {
        let (q, h) = (&sim.params().closed[k].heater, &sim.outputs().closed[k].heater);
        let before = &sim.previous().plant.closed[k].heater;
        let sat = steam::sat_p(before.pressure).at(&q.id)?;
        let whole = q.geometry.whole();
        Ok(Space {
            id: &q.id,
            closed: true,
            place: format!("heaters.{}.equipment.shell", q.id),
            now: &sim.state().plant.closed[k].heater.gas,
            was: &before.gas,
            volume: (whole, vessel::water_volume(before.shell.mass, whole, &sat)),
            sat,
            vent: (h.vent, h.vent_gas),
            back: (h.returned, h.returned_gas),
            came: h.gas_in,
            went: h.gas_out,
            vents: Vec::new(),
        })
    }

    fn open(sim: &'a Sim) -> Result<Space<'a>, Fault> {
        let (p, o) = (sim.params(), sim.outputs());
        let (q, h, before) = (&p.open, &o.open, &sim.previous().plant.open);
        let sat = steam::sat_p(before.pressure).at(&q.id)?;
        let whole = q.geometry.whole();
        let into = p.closed.iter().zip(&o.closed).filter(|(c, _)| c.vents_to == VentTo::Open);
        Ok(Space {
            id: &q.id,
            closed: false,
            place: format!("heaters.{}.equipment.tank", q.id),
            now: &sim.state().plant.open.gas,
            was: &before.gas,
            volume: (whole, vessel::water_volume(before.tank.mass, whole, &sat)),
            sat,
            vent: (h.vent_flow, h.trays.gas_vented),
            back: (h.returned, h.returned_gas),
            came: h.gas_in,
            went: h.gas_out,
            vents: into.map(|(c, out)| (c.heater.id.as_str(), out.heater.gas_out)).collect(),
        })
    }

    /// Pressure of the steam as the step began.
    fn steam(&self, d: &mut Draft) -> Expr {
        if self.closed { d.steam_pressure_before(self.sat.p) } else { d.before("shell_pressure", self.sat.p) }
    }

    fn pressure(&self) -> f64 {
        gas::pressure(self.was.mass, gas::space(self.volume.0, self.volume.1), self.sat.t)
    }

    fn share(&self) -> f64 {
        self.pressure() / (self.pressure() + self.sat.p)
    }

    fn working(&self, mut d: Draft, name: &str) -> Result<Option<Working>, Fault> {
        match name {
            "air" => {
                let was = d.before("air", self.was.mass);
                let came = self.coming(&mut d);
                let mut e = came - d.link("gas_out", self.went);
                if self.back.1 > 0.0 {
                    e = e - d.link("gas_returned", self.back.1);
                }
                let e = was + d.step() * e;
                d.is(self.now.mass, e, CONSERVATION)
            }
            "gas_returned" if !(self.back.1 > 0.0) => {
                d.case("no_gas");
                d.is(self.back.1, number(0.0), CONSERVATION)
            }
            "gas_out" | "gas_returned" => {
                if self.was.mass <= 0.0 {
                    d.case("no_gas");
                    // What other vents bring to a tank in which gas is not followed goes as it comes.
                    let came = self.coming(&mut d);
                    let e = if self.went > 0.0 { came } else { number(0.0) };
                    return d.is(self.went, e, CONSERVATION);
                }
                let (was, step) = (d.before("air", self.was.mass), d.step());
                let came = self.coming(&mut d);
                let steam = d.link("vent_flow", self.vent.0);
                let share = d.link("gas_in_vent", self.vent.1);
                // By the content at the end of the step, which is what leaves that settles.
                let drawn = step.clone() * (steam / (1.0 - share.clone())) * share / was.clone();
                let mut all = drawn.clone();
                let mut back = drawn.clone();
                if self.back.1 > 0.0 {
                    let steam = d.link("reverse_flow", self.back.0);
                    let share = d.link("gas_share_returned", self.share_back());
                    back = step.clone() * (steam / (1.0 - share.clone())) * share / was.clone();
                    all = all + back.clone();
                }
                let (value, way) = if name == "gas_out" { (self.went, drawn) } else { (self.back.1, back) };
                d.is(value, (was / step + came) * way / (1.0 + all), CONSERVATION)
            }
            "gas_share_returned" => {
                // The mean: the nozzle is far from the cold end.
                let y = d.link("gas_share", self.share());
                let m = d.constant("M_a/M_w", "molar_mass_of_air", of(Q::Ratio), MOLAR, DEFINITION);
                let e = y.clone() * m.clone() / (1.0 + y * (m - 1.0));
                d.is(self.share_back(), if self.closed { e } else { min(e, number(MOST)) }, DEFINITION)
            }
            "gas_pressure" => {
                let m = d.before("air", self.was.mass);
                let r = d.constant("R", "gas_constant_of_air", fixed("MPa·m³/(kg·K)"), gas::AIR, DEFINITION);
                let zero = d.constant("T_0", "ice_point", fixed("K"), 273.15, DEFINITION);
                let t = call(Function::SaturationTemperature, [self.steam(&mut d)]);
                let whole = d.plant("V_0", "shell_volume", of(Q::Volume), self.volume.0, &self.place);
                let water = d.before("water_volume", self.volume.1);
                let space = max(whole.clone() - water, 0.01 * whole);
                d.is(self.pressure(), m * r * (t + zero) / space, DEFINITION)
            }
            "gas_share" => {
                let gas = d.link("gas_pressure", self.pressure());
                let e = gas.clone() / (gas + self.steam(&mut d));
                d.is(self.share(), e, DEFINITION)
            }
            "gas_in_vent" => {
                let y = cold(&mut d, self.share());
                let m = d.constant("M_a/M_w", "molar_mass_of_air", of(Q::Ratio), MOLAR, DEFINITION);
                let e = y.clone() * m.clone() / (1.0 + y * (m - 1.0));
                d.is(self.vent.1, if self.closed { e } else { min(e, number(MOST)) }, PRACTICE)
            }
            "share_blanketed" => {
                let y = cold(&mut d, self.share());
                let depth = depth(&mut d, self.share());
                let far = exp(-1.0 / depth.clone());
                let half = d.constant("y_1/2", "gas_that_halves", of(Q::Ratio), HALVING, PRACTICE);
                let e = depth * ln((half.clone() + y.clone()) / (half + y * far));
                d.is(Spread::of(self.share()).lost, e, PRACTICE)
            }
            _ => Ok(None),
        }
    }

    /// Share of gas in what runs back, by mass.
    fn share_back(&self) -> f64 {
        let w = gas::by_mass(self.share());
        if self.closed { w } else { w.min(MOST) }
    }

    /// Gas that comes, with what other heaters' vents bring.
    fn coming(&self, d: &mut Draft) -> Expr {
        let mut parts = vec![d.link("gas_in", self.came)];
        for (id, gas) in &self.vents {
            parts.push(d.link_of(id, "gas_out", *gas));
        }
        sum(parts)
    }
}

/// How far gas reaches into the bundle.
fn depth(d: &mut Draft, share: f64) -> Expr {
    let mean = d.link("gas_share", share);
    d.constant("δ_0", "gas_depth", of(Q::Ratio), DEPTH, PRACTICE) + mean.clone() / (1.0 - mean)
}

/// Share of gas at the cold end, by volume.
fn cold(d: &mut Draft, share: f64) -> Expr {
    let depth = depth(d, share);
    d.link("gas_share", share) / (depth.clone() * (1.0 - exp(-1.0 / depth)))
}

/// The working of one of a closed heater's numbers about gas.
pub fn closed(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let space = Space::closed(sim, k)?;
    let mut d = Draft::new(sim, space.id, name);
    if name == "gas_in" {
        let (q, h) = (&sim.params().closed[k].heater, &sim.outputs().closed[k].heater);
        if q.vent.coefficient <= 0.0 {
            d.case("no_vent");
            return d.is(h.gas_in, number(0.0), PRACTICE);
        }
        let w = d.link("extraction_flow", h.steam_flow);
        let share = d.plant("w_0", "gas_in_steam", of(Q::Ratio), q.vent.in_steam, "boiler.steam_gas");
        let mut e = share * w;
        let ratio = h.pressure / gas::ATMOSPHERE;
        if ratio < 1.0 && sim.outputs().closed[k].open.line > 0.0 {
            let place = format!("heaters.{}.equipment.air_leakage", space.id);
            let most = d.plant("ṁ_air", "air_into_a_vacuum", of(Q::MassFlow), q.vent.leakage, &place);
            let air = d.constant("p_0", "atmosphere", of(Q::Pressure), gas::ATMOSPHERE, DEFINITION);
            let sonic = d.constant("r_c", "sonic_ratio", of(Q::Ratio), gas::SONIC, PRACTICE);
            let p = d.link("shell_pressure", h.pressure);
            d.case(if ratio > gas::SONIC { "below_the_speed_of_sound" } else { "at_the_speed_of_sound" });
            let x = max((p / air - sonic.clone()) / (1.0 - sonic), number(0.0));
            e = e + most * super::expr::root(1.0 - super::expr::square(x));
        }
        return d.is(h.gas_in, e, CONSERVATION);
    }
    space.working(d, name)
}

/// The working of one of the open heater's numbers about gas and oxygen.
pub fn open(sim: &Sim, name: &str) -> Result<Option<Working>, Fault> {
    let space = Space::open(sim)?;
    let (p, o) = (sim.params(), sim.outputs());
    let (q, h, t) = (&p.open.deaeration, &o.open, &o.open.trays);
    let before = &sim.previous().plant.open;
    let id = space.id;
    let equipment = |what: &str| format!("heaters.{id}.equipment.{what}");
    let mut d = Draft::new(sim, id, name);
    match name {
        "gas_in" => {
            if p.open.vent <= 0.0 {
                d.case("no_vent");
                return d.is(h.gas_in, number(0.0), PRACTICE);
            }
            let off = deaeration::given_off(o.open_water_flow, q.incoming, t.below);
            let least = -0.5 * before.gas.mass / p.dt - space.vents.iter().map(|v| v.1).sum::<f64>();
            if q.in_steam * h.steam_flow + off < least {
                d.case("water_takes_gas");
                let dt = d.step();
                let mut parts = vec![0.5 * d.before("air", before.gas.mass) / dt];
                for (id, gas) in &space.vents {
                    parts.push(d.link_of(id, "gas_out", *gas));
                }
                return d.is(h.gas_in, number(0.0) - sum(parts), PRACTICE);
            }
            let steam = d.link("extraction_flow", h.steam_flow);
            let share = d.plant("w_0", "gas_in_steam", of(Q::Ratio), q.in_steam, "boiler.steam_gas");
            let water = d.link("water_in_flow", o.open_water_flow);
            let from = d.plant(
                "c_in",
                "oxygen_incoming",
                of(Q::Concentration),
                q.incoming,
                &equipment("incoming_oxygen"),
            );
            let to = d.link("oxygen_below_trays", t.below);
            let by_mass = d.constant("w_O2", "oxygen_in_air_by_mass", of(Q::Ratio), BY_MASS, DEFINITION);
            let e = share * steam + 1e-9 * water * (from - to) / by_mass;
            d.is(h.gas_in, e, CONSERVATION)
        }
        "oxygen" => {
            let was = d.before("oxygen", before.oxygen);
            if t.water + o.open_drain_in <= 0.0 {
                d.case("no_flow");
                return d.is(h.oxygen, was, CONSERVATION);
            }
            let arriving = sum(waters(sim, &mut d)) + d.link("drain_in_flow", o.open_drain_in);
            let into = d.link("oxygen_arriving", t.arriving);
            let dt = d.step();
            let m = d.before("shell_mass", before.tank.mass);
            let fresh = dt * arriving;
            let e = was.clone() + fresh.clone() / (m + fresh) * (into - was);
            d.is(h.oxygen, e, CONSERVATION)
        }
        "oxygen_arriving" => {
            if t.water + o.open_drain_in <= 0.0 {
                d.case("no_flow");
                let was = d.before("oxygen", before.oxygen);
                return d.is(t.arriving, was, CONSERVATION);
            }
            let water = sum(waters(sim, &mut d));
            let drains = d.link("drain_in_flow", o.open_drain_in);
            let below = d.link("oxygen_below_trays", t.below);
            let rest = d.link("oxygen_at_rest", t.equilibrium);
            let e = (water.clone() * below + drains.clone() * rest) / (water + drains);
            d.is(t.arriving, e, CONSERVATION)
        }
        "oxygen_below_trays" => {
            let place = equipment("incoming_oxygen");
            let into = d.plant("c_in", "oxygen_incoming", of(Q::Concentration), q.incoming, &place);
            let rest = d.link("oxygen_at_rest", t.equilibrium);
            let heated = d.link("share_heated", t.heated);
            let n = d.sized("N_0", "transfer_units_of_trays", of(Q::Ratio), q.transfer);
            let water = d.link("water_in_flow", o.open_water_flow);
            let design = d.sized("ṁ_w,0", "condensate_at_design", of(Q::MassFlow), q.condensate);
            let n = n * power(max(water / design, number(0.05)), -STAY);
            let reached = rest.clone() + (into.clone() - rest) * exp(0.0 - n);
            d.is(t.below, heated.clone() * reached + (1.0 - heated) * into, PRACTICE)
        }
        "oxygen_at_rest" => {
            let gas = d.link("gas_pressure", space.pressure());
            let zero = d.constant("T_0", "ice_point", fixed("K"), 273.15, DEFINITION);
            let critical = d.constant("T_c", "critical_temperature", fixed("K"), CRITICAL, IAPWS_HENRY);
            let at = d.before("shell_pressure", before.pressure);
            let saturation = call(Function::SaturationTemperature, [at]);
            let reduced = (saturation.clone() + zero) / critical;
            let k = |d: &mut Draft, s: &str, what: &str, x: f64| {
                d.constant(s, what, of(Q::Ratio), x, IAPWS_HENRY)
            };
            let a = k(&mut d, "A", "henry_a", OXYGEN.a);
            let b = k(&mut d, "B", "henry_b", OXYGEN.b);
            let c = k(&mut d, "C", "henry_c", OXYGEN.c);
            let tau = 1.0 - reduced.clone();
            let exponent =
                (a + b * power(tau.clone(), 0.355)) / reduced.clone() + c * power(reduced, -0.41) * exp(tau);
            let henry = call(Function::SaturationPressure, [saturation]) * exp(exponent);
            let share = d.constant("y_O2", "oxygen_in_air_by_volume", of(Q::Ratio), BY_VOLUME, DEFINITION);
            let mol =
                |d: &mut Draft, s: &str, what: &str, x| d.constant(s, what, fixed("g/mol"), x, DEFINITION);
            let oxygen = mol(&mut d, "M_O2", "molar_mass_of_oxygen", OXYGEN.molar_mass);
            let water = mol(&mut d, "M_w", "molar_mass_of_water", WATER);
            d.is(t.equilibrium, 1e9 * share * gas / henry * oxygen / water, IAPWS_HENRY)
        }
        "share_heated" => {
            let b = sim.component_balance(id)?;
            let hot = steam::sat_p(before.pressure).at(id)?.hf;
            let at = d.before("shell_pressure", before.pressure);
            let boiling = call(Function::LiquidEnthalpy, [at]);
            let (mut brought, mut taken, mut cold) = (Vec::new(), Vec::new(), 0.0);
            for (n, f) in b.flows.iter().enumerate().filter(|(_, f)| f.inward) {
                let Some(w) = f.mass else { continue };
                let mass = d.flow(f, n + 1, true, w);
                let heat = d.flow(f, n + 1, false, f.energy);
                // Condensate and what the feed pumps send back fall over the trays; steam and drains heat them.
                if matches!(f.name, "condensate" | "minimum_flow_from") {
                    cold += w * hot - f.energy;
                    taken.push(mass * boiling.clone() - heat);
                } else {
                    brought.push(heat - mass * boiling.clone());
                }
            }
            if cold <= 0.0 {
                d.case("boils_already");
                return d.is(t.heated, number(1.0), DEFINITION);
            }
            d.is(t.heated, within(sum(brought) / sum(taken), 0.0, 1.0), CONSERVATION)
        }
        _ => space.working(d, name),
    }
}

/// Water that falls over the trays: condensate, and what the feed pumps send back.
fn waters(sim: &Sim, d: &mut Draft) -> Vec<Expr> {
    let o = sim.outputs();
    let mut parts = vec![d.link("water_in_flow", o.open_water_flow)];
    for (k, pump) in o.feed.pumps.iter().enumerate() {
        let id = balance::feed_pump(k);
        parts.push(d.link_of(&id, "recirculation_flow", pump.back));
    }
    parts
}
