//! What passes the zones of a closed heater and mixes behind them: water, drain, steam, and their temperatures.

use super::expr::{Function, call, max, min, number, sum, within};
use super::zones::{Found, OUT, Zones};
use super::{CONSERVATION, DEFINITION, Draft, IAPWS, PRACTICE, balance, of, separator};
use crate::fault::At;
use crate::surface::{DESUPERHEATING, DRAIN_COOLING};
use crate::train::Receiver;
use crate::vessel;
use steam::units::Quantity as Q;

impl Zones<'_> {
    /// Flows that the zones see, and what mixes behind them.
    pub(super) fn flows(&self, name: &str) -> Found {
        let mut d = self.draft(name);
        let (c, past) = (self.c, self.condition().past_partition);
        let both = |d: &mut Draft| {
            d.link("normal_drain_flow", c.normal) + d.link("emergency_drain_flow", c.emergency)
        };
        match name {
            "tube_flow" => {
                let w = d.link("fw_flow", c.water_flow);
                if past <= 0.0 {
                    return d.is(self.tubes(), w, CONSERVATION);
                }
                let past = d.sized("k_p", "share_past_partition", of(Q::Fraction), past);
                d.is(self.tubes(), w * (1.0 - past), CONSERVATION)
            }
            "shell_drain_flow" => {
                let e = both(&mut d);
                let e = if self.joins() > 0.0 { e - d.link("leak_joins_drain", self.joins()) } else { e };
                d.is(self.drained(), e, CONSERVATION)
            }
            "leak_joins_drain" => {
                if self.surface().conductance[DRAIN_COOLING] <= 0.0 {
                    d.case("zone_idle");
                    return d.is(0.0, number(0.0), PRACTICE);
                }
                let leak = d.link("leak_flow", c.leak);
                let e = min(leak, both(&mut d));
                d.is(self.joins(), e, PRACTICE)
            }
            _ => {
                let h3 = d.link(OUT[DESUPERHEATING], self.out(DESUPERHEATING));
                if past <= 0.0 {
                    return d.is(self.h.water_out, h3, DEFINITION);
                }
                let into = d.link("water_in_enthalpy", c.water_in);
                let past = d.sized("k_p", "share_past_partition", of(Q::Fraction), past);
                d.is(self.h.water_out, h3.clone() + past * (into - h3), CONSERVATION)
            }
        }
    }

    /// Temperatures that are shown along the zones.
    pub(super) fn shown(&self, name: &str) -> Found {
        let mut d = self.draft(name);
        let line = self.sim.params().line(self.k);
        let source = self.sim.state().plant.turbine.points[self.sim.params().point(self.k)];
        let zone =
            ["fw_drain_cooling_temperature", "fw_condensing_temperature"].iter().position(|n| *n == name);
        if let Some(i) = zone {
            let h = d.link(OUT[i], self.out(i));
            let t = line.t(self.out(i)).at(self.id())?;
            return d.is(t, call(self.water_function().0, [h]), IAPWS);
        }
        let at = d.link("shell_pressure", self.h.pressure);
        if !(self.h.steam_flow > 0.0) {
            d.case("no_flow");
            return d.is(self.h.saturation, call(Function::SaturationTemperature, [at]), IAPWS);
        }
        let h = d.link("extraction_enthalpy", source.enthalpy);
        if name == "steam_in_temperature" {
            let t = steam::state_ph(self.h.pressure, source.enthalpy).at(self.id())?.t;
            return d.is(t, call(Function::Temperature, [at, h]), IAPWS);
        }
        let cooled = source.enthalpy - self.h.duty[DESUPERHEATING] / self.h.steam_flow;
        let t = steam::state_ph(self.h.pressure, cooled).at(self.id())?.t;
        let q = d.link("duty_desuperheating", self.h.duty[DESUPERHEATING]);
        let w = d.link("extraction_flow", self.h.steam_flow);
        d.is(t, call(Function::Temperature, [at, h - q / w]), IAPWS)
    }

    /// Share of the arriving drains that becomes steam.
    pub(super) fn flash(&self, name: &str) -> Found {
        let mut d = self.draft(name);
        let c = self.c;
        let sat = steam::sat_p(self.h.pressure).at(self.id())?;
        if !(c.drain_in > 0.0) {
            d.case("no_flow");
            return d.is(0.0, number(0.0), CONSERVATION);
        }
        let value = ((c.drain_in_heat / c.drain_in - sat.hf) / sat.hfg()).clamp(0.0, 1.0);
        let at = d.link("shell_pressure", self.h.pressure);
        let heat = d.link("drain_in_heat", c.drain_in_heat);
        let w = d.link("drain_in_flow", c.drain_in);
        let (hf, hg) = (call(Function::LiquidEnthalpy, [at.clone()]), call(Function::SteamEnthalpy, [at]));
        d.is(value, within((heat / w - hf.clone()) / (hg - hf), 0.0, 1.0), CONSERVATION)
    }

    pub(super) fn drain_in_heat(&self, name: &str) -> Found {
        let mut d = self.draft(name);
        let mut parts = Vec::new();
        for (id, w, heat) in balance::arriving(self.sim, Receiver::Closed(self.k)) {
            if w != 0.0 {
                let flow = d.link_of(&id, "normal_drain_flow", w);
                parts.push(flow * d.link_of(&id, "drain_enthalpy", heat / w));
            }
        }
        for (name, w, h) in separator::arriving(self.sim, self.sim.params().index(self.k)) {
            let flow = d.link_of("turbine", &format!("{name}_arrived"), w);
            parts.push(flow * d.link_of("turbine", &format!("{name}_arriving_enthalpy"), h));
        }
        d.is(self.c.drain_in_heat, sum(parts), CONSERVATION)
    }

    /// Enthalpy of the drain behind its zone [kJ/kg].
    fn cooled(&self) -> f64 {
        let from = self.h.trace.entering;
        if self.drained() > 0.0 { from - self.h.duty[DRAIN_COOLING] / self.drained() } else { from }
    }

    pub(super) fn drain(&self, name: &str) -> Found {
        let (mut d, t) = (self.draft(name), &self.h.trace);
        match name {
            "drain_enthalpy" => {
                let cooled = self.cooled();
                let h = d.link("drain_cooled_enthalpy", cooled);
                if self.joins() <= 0.0 {
                    return d.is(self.h.drain, h, DEFINITION);
                }
                d.case("leak_joins");
                let into = d.link("water_in_enthalpy", self.c.water_in);
                let joins = d.link("leak_joins_drain", self.joins());
                let all = d.link("normal_drain_flow", self.c.normal)
                    + d.link("emergency_drain_flow", self.c.emergency);
                d.is(self.h.drain, h.clone() + (into - h) * joins / all, CONSERVATION)
            }
            "drain_cooled_enthalpy" => {
                let from = d.link("drain_entering_enthalpy", t.entering);
                if self.drained() <= 0.0 {
                    d.case("no_flow");
                    return d.is(self.cooled(), from, CONSERVATION);
                }
                let q = d.link("duty_drain_cooling", self.h.duty[DRAIN_COOLING]);
                let flow = self.drain_flow(&mut d);
                d.is(self.cooled(), from - q / flow, CONSERVATION)
            }
            "drain_entering_enthalpy" => {
                let at = d.steam_pressure(self.sim.state().plant.closed[self.k].heater.pressure);
                let x = d.link("drain_entering_quality", t.quality);
                let (hf, hg) =
                    (call(Function::LiquidEnthalpy, [at.clone()]), call(Function::SteamEnthalpy, [at]));
                let g = &self.sim.params().closed[self.k].heater.geometry;
                let sat = steam::sat_p(self.before.pressure).at(self.id())?;
                let over = vessel::superheat_enthalpy(self.before.shell.mass, g.whole(), &sat);
                let mut rise = hg - hf.clone();
                if over > 0.0 {
                    d.case("dry");
                    rise = rise + d.sized("Δh_sup", "superheat_enthalpy", of(Q::Enthalpy), over);
                }
                d.is(t.entering, hf + x * rise, IAPWS)
            }
            "drain_entering_quality" => {
                let g = &self.sim.params().closed[self.k].heater.geometry;
                let sat = steam::sat_p(self.before.pressure).at(self.id())?;
                let at = d.steam_pressure_before(self.before.pressure);
                let covered = d.link("drain_cooler_covered", self.h.covered);
                let volume = vessel::water_volume(self.before.shell.mass, g.whole(), &sat);
                let (vf, vg) =
                    (call(Function::LiquidVolume, [at.clone()]), call(Function::SteamVolume, [at]));
                let void = (1.0 - covered.clone()) / vg;
                let passing = void.clone() / (void + covered / vf.clone());
                let v = d.before("water_volume", volume);
                let share = d.constant("k", "share_that_may_leave", of(Q::Ratio), 0.9, PRACTICE);
                let dt = d.step();
                let flow = self.drain_flow(&mut d);
                let left = 1.0 - share * v / vf / max(flow * dt, number(1e-9));
                d.is(t.quality, max(passing, left), PRACTICE)
            }
            _ => {
                if !t.coldest.is_finite() {
                    return Ok(None);
                }
                let at = d.steam_pressure_before(self.before.pressure);
                let cold = d.link("fw_in_temperature", self.h.water_in_t);
                d.is(t.coldest, call(Function::WaterEnthalpy, [at, cold]), IAPWS)
            }
        }
    }
}
