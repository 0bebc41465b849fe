//! What stays put while a shell's pressure is sought, and the rates that a trial pressure leads to.

use super::{BRIM, Inputs, Params, State, Trace};
use crate::exchange;
use crate::extraction;
use crate::fault::{At, Fault};
use crate::gas::{self, Spread};
use crate::surface::{
    self, CONDENSING, DESUPERHEATING, DRAIN_COOLING, WATER_SHARE_DESUPERHEATING, WATER_SHARE_DRAIN_COOLING,
    WATER_SHARE_FLOODED, ZONES,
};
use crate::valve;
use crate::vessel;
use crate::water::WaterLine;
use steam::Saturation;

/// Rates at one trial pressure.
pub(super) struct Rates {
    pub(super) steam: f64,
    /// Mixture through the vent [kg/s].
    pub(super) vent: f64,
    /// Steam in it [kg/s], and its heat [kW].
    pub(super) vented: (f64, f64),
    /// Steam and gas back to the turbine [kg/s].
    pub(super) back: f64,
    /// Steam in it [kg/s], and its heat [kW].
    pub(super) returned: (f64, f64),
    pub(super) duty: [f64; ZONES],
    pub(super) water: [f64; ZONES],
    pub(super) metal_heat: f64,
    pub(super) mass: f64,
    pub(super) energy: f64,
}

/// What stays put while the pressure is sought.
pub(super) struct Frozen<'a> {
    pub(super) p: &'a Params,
    pub(super) s: &'a State,
    pub(super) i: &'a Inputs,
    /// Temperature of the water arriving and leaving each zone at the start of the step.
    pub(super) t_in: f64,
    pub(super) t: [f64; ZONES],
    /// Heat capacity of water at each zone's outlet [kJ/(kg K)].
    pub(super) cp: [f64; ZONES],
    /// Drain cooler: kW per K of (saturation - water in).
    pub(super) drain_cooler: f64,
    /// Enthalpy of a drain as cold as the water that arrives [kJ/kg].
    pub(super) coldest: f64,
    /// Desuperheating: kJ per kg of steam and K of (steam in - water in).
    pub(super) desuperheater: f64,
    pub(super) steam_t: f64,
    /// Condensing conductance [kW/K], and the inlet's weight in the mean difference.
    pub(super) condensing: f64,
    pub(super) inlet_share: f64,
    /// Quality of what enters the drain outlet.
    pub(super) quality: f64,
    /// Enthalpy of the shell's steam above saturation [kJ/kg].
    pub(super) superheat: f64,
    /// Water above the brim [kg/s] that goes to the condenser, and that runs back to the turbine.
    pub(super) carry_over: f64,
    pub(super) inducted: f64,
    /// Volume of the shell's steam over that of saturated steam: above 1 in a shell drained dry.
    pub(super) dry: f64,
    /// Share of gas in what runs back, by mass: the mean, for the nozzle is far from the cold end.
    pub(super) gas_back: f64,
    /// Share of the conductances that is left for heat into the shell.
    pub(super) boiling: f64,
    /// What goes out with the result as it is.
    pub(super) trace: Trace,
    /// Gas: how it is spread, what it adds to the pressure [MPa], its share of what is vented, by mass.
    pub(super) spread: Spread,
    pub(super) gas_pressure: f64,
    pub(super) gas_vented: f64,
}

impl Frozen<'_> {
    /// What the balance reckoned with at the pressure it found.
    pub(super) fn trace(&self, entering: f64, r: &Rates) -> Trace {
        let mut t = self.trace;
        for z in 0..ZONES {
            t.water_t[z] = self.t[z] + (r.water[z] - self.s.water[z]) / self.cp[z];
        }
        t.conductance[CONDENSING] =
            self.condensing * if r.duty[CONDENSING] < 0.0 { self.boiling } else { 1.0 };
        Trace {
            inlet_share: self.inlet_share,
            steam_t: self.steam_t,
            entering,
            coldest: self.coldest,
            boiling: self.boiling,
            ..t
        }
    }

    /// Enthalpy of what enters the drain outlet [kJ/kg]: from a shell drained dry, steam as hot as it holds.
    pub(super) fn entering(&self, sat: &Saturation) -> f64 {
        sat.hf + self.quality * (sat.hfg() + self.superheat)
    }

    pub(super) fn rates(&self, sat: &Saturation) -> Rates {
        let (p, s, i) = (self.p, self.s, self.i);
        let w = i.water_flow;
        let whole = sat.p + self.gas_pressure;
        let steam = extraction::flow(i.line, &i.source, whole);
        let vent = valve::steam_flow(p.vent.coefficient * i.vent.0, whole, sat.vg, i.vent.1);
        let vented = vent * (1.0 - self.gas_vented);
        let vented_heat = vented * (sat.hg + self.superheat);
        let back = if i.back.steam > 0.0 {
            extraction::back_flow(i.back.steam, whole, sat.vg * self.dry, i.source.pressure)
        } else {
            0.0
        };
        let returned = back * (1.0 - self.gas_back);
        let returned_heat = returned * (sat.hg + self.superheat);

        // The zone's capacity is that of the step's beginning; as the pressure falls, the drain holds less than it had.
        let drain_h = self.entering(sat);
        let drain_cooling =
            (self.drain_cooler * (sat.t - self.t_in)).min((i.drain_out * (drain_h - self.coldest)).max(0.0));
        let m = p.storage[DRAIN_COOLING] / i.dt;
        let h1 = if m + w > 0.0 {
            (m * s.water[DRAIN_COOLING] + drain_cooling + w * i.water_in) / (m + w)
        } else {
            s.water[DRAIN_COOLING]
        };
        let t1 = self.t[DRAIN_COOLING] + (h1 - s.water[DRAIN_COOLING]) / self.cp[DRAIN_COOLING];

        let (ua, a) = (self.condensing, self.inlet_share);
        let (h20, t20, cp2) = (s.water[CONDENSING], self.t[CONDENSING], self.cp[CONDENSING]);
        let m = p.storage[CONDENSING] / i.dt;
        let condense = |ua: f64| {
            let rise =
                (ua * (sat.t - a * t1 - (1.0 - a) * t20) + w * (h1 - h20)) / (m + w + ua * (1.0 - a) / cp2);
            let t2 = t20 + rise / cp2;
            (h20 + rise, t2, ua * (sat.t - a * t1 - (1.0 - a) * t2))
        };
        // Both branches are zero at one pressure and rise with it.
        let (h2, t2, condensing) = match condense(ua) {
            forward if forward.2 >= 0.0 => forward,
            _ => condense(ua * self.boiling),
        };

        // Steam cannot leave the zone below saturation: what would cool it further condenses in the next.
        let desuperheating =
            steam * (self.desuperheater * (self.steam_t - t2)).min((i.source.enthalpy - sat.hg).max(0.0));
        let m = p.storage[DESUPERHEATING] / i.dt;
        let h3 = if m + w > 0.0 {
            (m * s.water[DESUPERHEATING] + desuperheating + w * h2) / (m + w)
        } else {
            s.water[DESUPERHEATING]
        };

        let g = p.metal_conductance * if sat.t < s.metal { self.boiling } else { 1.0 };
        let metal_heat = (sat.t - s.metal) * g / (1.0 + g * i.dt / p.metal_capacity);
        let duty = [drain_cooling, condensing, desuperheating];
        // What drains leaves the shell before the drain-cooling zone, which takes its heat from it alone.
        let over = self.carry_over + self.inducted;
        let mass = steam + i.drain_in - i.drain_out - over - vented - returned;
        let energy = steam * i.source.enthalpy + i.drain_in_heat
            - i.drain_out * drain_h
            - over * sat.hf
            - vented_heat
            - returned_heat
            - condensing
            - desuperheating
            - metal_heat;
        Rates {
            steam,
            vent,
            vented: (vented, vented_heat),
            back,
            returned: (returned, returned_heat),
            duty,
            water: [h1, h2, h3],
            metal_heat,
            mass,
            energy,
        }
    }
}

/// Share of the drain outlet under water at height `y`.
fn covered(p: &Params, y: f64) -> f64 {
    ((y - p.outlet.0) / (p.outlet.1 - p.outlet.0)).clamp(0.0, 1.0)
}

pub(super) fn freeze<'a>(
    p: &'a Params,
    s: &'a State,
    i: &'a Inputs,
    line: &WaterLine,
) -> Result<(Frozen<'a>, f64), Fault> {
    let id = p.id.as_str();
    let sat = steam::sat_p(s.pressure).at(id)?;
    let whole = p.geometry.whole();
    let water = vessel::water_volume(s.shell.mass, whole, &sat);
    let open = covered(p, p.geometry.height_of(water));
    let w = i.water_flow;
    // One water in all zones' tubes.
    let inside = i.condition.tubes(CONDENSING).inside_film(w / p.surface.water_flow);

    let t_in = line.t(i.water_in).at(id)?;
    let mut t = [t_in; ZONES];
    let mut cp = [0.0; ZONES];
    for k in 0..ZONES {
        t[k] = line.t(s.water[k]).at(id)?;
        cp[k] = line.cp(t[k]).at(id)?;
    }

    // Steam and water enter the drain outlet at one velocity: the free share of the opening is the void fraction.
    // What is not there cannot leave: the last kilograms do not outlast the step.
    let quality = {
        let void = 1.0 - open;
        let (passing, wet) = (void / sat.vg, open / sat.vf);
        let there = 0.9 * water / sat.vf;
        (passing / (passing + wet)).max(1.0 - there / (i.drain_out * i.dt).max(1e-9))
    };

    let mut trace = Trace { quality, ..Trace::default() };
    let superheat = vessel::superheat_enthalpy(s.shell.mass, whole, &sat);
    let mut drain_cooler = 0.0;
    let mut coldest = f64::NEG_INFINITY;
    let ua = p.surface.conductance[DRAIN_COOLING] * open;
    let flooded = p.geometry.flooded_by(water);
    // Tubes hotter than the steam boil the water about them rather than warm it on its way out.
    let pool = if sat.t > t_in { p.surface.pool(flooded) } else { 0.0 };
    if ua + pool > 0.0 && w > 0.0 && i.drain_out > 0.0 && (sat.t - t_in).abs() > 1e-6 {
        let cold =
            w * mean_capacity(i.water_in, t_in, s.water[DRAIN_COOLING], t[DRAIN_COOLING], cp[DRAIN_COOLING]);
        let hot_h = sat.hf + quality * (sat.hfg() + superheat);
        if sat.t > t_in {
            coldest = steam::liquid_pt(s.pressure, t_in).at(id)?.h;
        }
        let hot = i.drain_out * surface::drain_capacity_over(&sat, hot_h, t_in, coldest).at(id)?;
        let outside = exchange::outside_film(i.drain_out / p.surface.drain_flow);
        let tubes = i.condition.tubes(DRAIN_COOLING);
        let mut ua = ua * tubes.conductance_by(inside, WATER_SHARE_DRAIN_COOLING, outside);
        if pool > 0.0 {
            trace.pool = pool * i.condition.flooded().conductance_by(inside, WATER_SHARE_FLOODED, 1.0);
            ua += trace.pool;
        }
        let (least, most) = (cold.min(hot), cold.max(hot));
        trace.conductance[DRAIN_COOLING] = ua;
        (trace.cold[DRAIN_COOLING], trace.hot[DRAIN_COOLING]) = (cold, hot);
        drain_cooler = exchange::counterflow(ua / least, least / most) * least;
    }

    let mut desuperheater = 0.0;
    let mut steam_t = sat.t;
    if i.source.enthalpy > sat.hg && i.line > 0.0 {
        steam_t = steam::state_ph_near(s.pressure, i.source.enthalpy, s.steam_found.guess()).at(id)?.t;
        let ua = p.surface.conductance[DESUPERHEATING];
        if ua > 0.0 && w > 0.0 && s.steam_flow > 0.0 && steam_t > sat.t + 0.01 {
            let cp_steam = (i.source.enthalpy - sat.hg) / (steam_t - sat.t);
            let hot = s.steam_flow * cp_steam;
            let cold = w * mean_capacity(
                s.water[CONDENSING],
                t[CONDENSING],
                s.water[DESUPERHEATING],
                t[DESUPERHEATING],
                cp[DESUPERHEATING],
            );
            let outside = exchange::outside_film(s.steam_flow / p.surface.steam_flow);
            let tubes = i.condition.tubes(DESUPERHEATING);
            let ua = ua * tubes.conductance_by(inside, WATER_SHARE_DESUPERHEATING, outside);
            let (least, most) = (cold.min(hot), cold.max(hot));
            trace.conductance[DESUPERHEATING] = ua;
            (trace.cold[DESUPERHEATING], trace.hot[DESUPERHEATING]) = (cold, hot);
            // Per kilogram of steam, so that it vanishes with the flow that the pressure search finds.
            desuperheater = exchange::counterflow(ua / least, least / most) * least / s.steam_flow;
        }
    }

    let in_shell = gas::pressure(s.gas.mass, gas::space(whole, water), sat.t);
    let mean = in_shell / (in_shell + sat.p);
    let spread = Spread::of(mean);
    let condensing = p.surface.conductance[CONDENSING]
        * ((1.0 - spread.lost) / (1.0 - p.vent.lost))
        * i.condition.tubes(CONDENSING).conductance_by(inside, p.surface.water_share, 1.0)
        * (1.0 - flooded);
    let inlet_share = if w > 0.0 {
        let cp_mean = mean_capacity(
            s.water[DRAIN_COOLING],
            t[DRAIN_COOLING],
            s.water[CONDENSING],
            t[CONDENSING],
            cp[CONDENSING],
        );
        trace.cold[CONDENSING] = w * cp_mean;
        exchange::inlet_share(condensing / (w * cp_mean))
    } else {
        0.0
    };

    let above = excess(s, i, whole, &sat);
    let inducted = if above > 0.0 && i.back.water > 0.0 {
        above.min(extraction::most_water_back(i.back.water, p.relief, sat.p, sat.vf, i.source.pressure))
    } else {
        0.0
    };

    let f = Frozen {
        p,
        s,
        i,
        t_in,
        t,
        cp,
        drain_cooler,
        coldest,
        desuperheater,
        steam_t,
        condensing,
        inlet_share,
        quality,
        superheat,
        carry_over: above - inducted,
        inducted,
        dry: vessel::dry_volume(s.shell.mass, whole, &sat),
        gas_back: gas::by_mass(mean),
        spread,
        gas_pressure: (in_shell - p.gas_pressure).max(0.0),
        gas_vented: gas::by_mass(spread.cold),
        boiling: (water / p.normal_volume).min(1.0),
        trace,
    };
    Ok((f, open))
}

/// What would stand above the brim at the end of the step [kg/s]: all that comes and does not drain away. Reckoned by
/// mass: a shell whose water is larger than itself shows no level that would tell by how much.
fn excess(s: &State, i: &Inputs, whole: f64, sat: &Saturation) -> f64 {
    let brim = BRIM * whole / sat.vf + (1.0 - BRIM) * whole / sat.vg;
    ((s.shell.mass - brim) / i.dt + s.steam_flow + i.drain_in - i.drain_out).max(0.0)
}

/// Mean heat capacity between two points of the water's way; the local one where they are too close to tell.
fn mean_capacity(h1: f64, t1: f64, h2: f64, t2: f64, local: f64) -> f64 {
    if (t2 - t1).abs() > 0.05 { (h2 - h1) / (t2 - t1) } else { local }
}
