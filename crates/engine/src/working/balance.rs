//! Mass and energy of one component: named flows in and out, what is stored, and what is left over.
//!
//! The flows are those that the step booked; the stored rate is the difference of the states before and after it. They
//! come by different ways, so that what is left over would show a flow forgotten or counted twice.

use super::expr::{Expr, number, sum};
use super::{CONSERVATION, Draft, Working, separator};
use crate::event::Device;
use crate::fault::{At, Fault};
use crate::plant::file::VentTo;
use crate::sim::Sim;
use crate::train::Receiver;
use serde::Serialize;

/// Device name of the whole plant.
pub const PLANT: &str = "plant";

/// A flow across a component's boundary.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Flow {
    /// Word for what it is.
    pub name: &'static str,
    /// Device it comes from or goes to, where there may be several; empty otherwise.
    pub device: String,
    /// Into the component; otherwise out of it.
    pub inward: bool,
    /// Mass [kg/s]; none where no mass crosses.
    pub mass: Option<f64>,
    /// Energy [kW].
    pub energy: f64,
    /// Working of the mass flow, or of the energy where no mass crosses; empty without.
    pub working: String,
}

/// Balance of one component over the last step.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ComponentBalance {
    /// Device.
    pub device: String,
    /// Flows, those inward first.
    pub flows: Vec<Flow>,
    /// Mass held at the end of the step [kg].
    pub mass: f64,
    /// Energy held [kJ], each from its own zero.
    pub energy: f64,
    /// All mass that flows in, and out [kg/s].
    pub mass_through: (f64, f64),
    /// All energy that flows in, and out [kW].
    pub energy_through: (f64, f64),
    /// Mass stored [kg/s].
    pub mass_stored: f64,
    /// Energy stored [kW].
    pub energy_stored: f64,
    /// Mass in less out less stored [kg/s].
    pub mass_residual: f64,
    /// Energy in less out less stored [kW].
    pub energy_residual: f64,
}

/// Mass [kg] and energy [kJ] held before and after a step.
#[derive(Clone, Copy, Default)]
struct Held {
    mass: (f64, f64),
    energy: (f64, f64),
}

/// Flows while they are gathered.
#[derive(Default)]
struct Book {
    flows: Vec<Flow>,
}

impl Book {
    fn put(
        &mut self,
        inward: bool,
        name: &'static str,
        device: &str,
        mass: Option<f64>,
        energy: f64,
        working: String,
    ) {
        self.flows.push(Flow { name, device: device.into(), inward, mass, energy, working });
    }

    /// Mass `w` [kg/s] of enthalpy `h` [kJ/kg] flows in.
    fn gains(&mut self, name: &'static str, device: &str, (w, h): (f64, f64), working: String) {
        self.put(true, name, device, Some(w), w * h, working);
    }

    fn gives(&mut self, name: &'static str, device: &str, (w, h): (f64, f64), working: String) {
        self.put(false, name, device, Some(w), w * h, working);
    }

    fn heat_in(&mut self, name: &'static str, q: f64, working: String) {
        self.put(true, name, "", None, q, working);
    }

    fn heat_out(&mut self, name: &'static str, q: f64, working: String) {
        self.put(false, name, "", None, q, working);
    }

    fn close(mut self, device: &str, held: Held, dt: f64) -> ComponentBalance {
        self.flows.sort_by_key(|f| !f.inward);
        let sums = |inward: bool| {
            let some = self.flows.iter().filter(|f| f.inward == inward);
            some.fold((0.0, 0.0), |(m, e), f| (m + f.mass.unwrap_or(0.0), e + f.energy))
        };
        let (gains, losses) = (sums(true), sums(false));
        let mass_stored = (held.mass.1 - held.mass.0) / dt;
        let energy_stored = (held.energy.1 - held.energy.0) / dt;
        ComponentBalance {
            device: device.into(),
            flows: self.flows,
            mass_through: (gains.0, losses.0),
            energy_through: (gains.1, losses.1),
            mass: held.mass.1,
            energy: held.energy.1,
            mass_stored,
            energy_stored,
            mass_residual: gains.0 - losses.0 - mass_stored,
            energy_residual: gains.1 - losses.1 - energy_stored,
        }
    }
}

/// Id of a feed pump.
pub fn feed_pump(k: usize) -> String {
    Device::FeedPump(k).pump_id()
}

/// Whether a device is a heater.
pub fn is_heater(sim: &Sim, device: &str) -> bool {
    device == sim.params().open.id || sim.params().closed.iter().any(|c| c.heater.id == device)
}

/// Devices that have a balance, in the order of the plant file.
pub fn devices(sim: &Sim) -> Vec<String> {
    let heaters = sim.plant().heaters.iter().map(|h| h.id().to_owned());
    heaters.chain(["turbine", "condenser", "boiler", PLANT].map(str::to_owned)).collect()
}

/// Device whose balance a device's numbers belong to.
pub fn device_of(sim: &Sim, device: &str) -> String {
    if devices(sim).iter().any(|d| d == device) { device.into() } else { PLANT.into() }
}

fn closed(sim: &Sim, k: usize) -> ComponentBalance {
    let (p, o) = (sim.params(), sim.outputs());
    let (q, c) = (&p.closed[k], &o.closed[k]);
    let (h, id) = (&c.heater, p.closed[k].heater.id.as_str());
    let own = |name: &str| format!("{id}.{name}");
    let source = sim.state().plant.turbine.points[p.point(k)];
    let mut b = Book::default();
    b.gains("extraction_steam", "turbine", (h.steam_flow, source.enthalpy), own("extraction_flow"));
    returns(&mut b, h.returned, h.returned_heat, own("reverse_flow"));
    if h.inducted > 0.0 {
        b.put(false, "inducted_water", "turbine", Some(h.inducted), h.inducted_heat, own("inducted_flow"));
    }
    for (from, w, heat) in arriving(sim, Receiver::Closed(k)) {
        b.put(true, "drain_from", &from, Some(w), heat, format!("{from}.normal_drain_flow"));
    }
    led(sim, &mut b, Some(p.index(k)));
    b.gains("feedwater_in", "", (c.water_flow + c.leak, c.water_in), own("arriving_flow"));
    b.gives("feedwater_out", "", (c.water_flow, h.water_out), own("fw_flow"));
    b.gives("normal_drain", "", (c.normal, h.drain), own("normal_drain_flow"));
    b.gives("emergency_drain", "condenser", (c.emergency, h.drain), own("emergency_drain_flow"));
    b.put(false, "carry_over", "condenser", Some(h.carry_over), h.carry_over_heat, own("carry_over_flow"));
    let to = if q.vents_to == VentTo::Open { p.open.id.as_str() } else { "condenser" };
    b.put(false, "vent", to, Some(h.vent), h.vent_heat, own("vent_flow"));
    let (x, y) = (&sim.previous().plant.closed[k].heater, &sim.state().plant.closed[k].heater);
    let held = |s: &crate::heater::State| {
        let water: f64 = q.heater.storage.iter().zip(s.water).map(|(m, h)| m * h).sum();
        s.shell.energy + s.metal * q.heater.metal_capacity + water
    };
    b.close(id, Held { mass: (x.shell.mass, y.shell.mass), energy: (held(x), held(y)) }, p.dt)
}

/// Steam that runs back from a shell to the turbine, where any does.
fn returns(b: &mut Book, w: f64, heat: f64, working: String) {
    if w > 0.0 {
        b.put(false, "returned_steam", "turbine", Some(w), heat, working);
    }
}

/// Steam that the shells' vents bring to a place.
fn vented(sim: &Sim, to: VentTo, b: &mut Book) {
    for (q, c) in sim.params().closed.iter().zip(&sim.outputs().closed).filter(|(q, _)| q.vents_to == to) {
        let (id, h) = (q.heater.id.as_str(), &c.heater);
        b.put(true, "vent_from", id, Some(h.vent), h.vent_heat, format!("{id}.vent_flow"));
    }
}

/// Normal drains that arrive at a place in this step: device, flow [kg/s], heat [kW].
pub fn arriving(sim: &Sim, at: Receiver) -> Vec<(String, f64, f64)> {
    let (p, o) = (sim.params(), sim.outputs());
    let from = p.closed.iter().zip(&o.closed).filter(|(q, _)| q.receiver == at);
    from.map(|(q, c)| (q.heater.id.clone(), c.normal, c.normal * c.heater.drain)).collect()
}

/// What moisture separator and steam reheater lead to a heater, by its index among all, or to the condenser.
fn led(sim: &Sim, b: &mut Book, heater: Option<usize>) {
    for (drain, a) in separator::led(sim) {
        let w = match (heater, drain.heater) {
            (None, _) => a.away,
            (to, meant) if to == meant => a.there,
            _ => continue,
        };
        let name = if heater.is_some() { "arrived" } else { "away" };
        b.gains(drain.name, "turbine", (w, a.enthalpy), format!("turbine.{}_{name}", drain.name));
    }
}

fn open(sim: &Sim) -> ComponentBalance {
    let (p, o) = (sim.params(), sim.outputs());
    let (id, h) = (p.open.id.as_str(), &o.open);
    let own = |name: &str| format!("{id}.{name}");
    let source = sim.state().plant.turbine.points[p.open_point()];
    let mut b = Book::default();
    b.gains("extraction_steam", "turbine", (h.steam_flow, source.enthalpy), own("extraction_flow"));
    if p.open.pegging.is_some() {
        b.put(true, "pegging_steam", "", Some(h.pegging_flow), h.pegging_heat, own("pegging_flow"));
    }
    returns(&mut b, h.returned, h.returned_heat, own("reverse_flow"));
    b.gains("condensate", "", (o.open_water_flow, o.open_water_in), own("water_in_flow"));
    for (from, w, heat) in arriving(sim, Receiver::Open) {
        b.put(true, "drain_from", &from, Some(w), heat, format!("{from}.normal_drain_flow"));
    }
    led(sim, &mut b, Some(p.high));
    vented(sim, VentTo::Open, &mut b);
    let drawn = sim.state().plant.feed.drawn;
    b.gives("to_feed_pumps", "", (drawn, h.water_out), "feed_pumps.drawn".into());
    for (k, x) in o.feed.pumps.iter().enumerate() {
        let id = feed_pump(k);
        let returned = (x.back, o.suction_h + x.rise - x.cooled);
        b.gains("minimum_flow_from", &id, returned, format!("{id}.recirculation_flow"));
        if p.feed_pumps.casing.is_some() {
            let returned = (x.warm, o.suction_h + o.feed.rise - x.cooled);
            b.gains("warm_up_from", &id, returned, format!("{id}.warm_up_flow"));
        }
    }
    b.put(false, "vent", "", Some(h.vent_flow), h.vent_heat, own("vent_flow"));
    b.put(false, "overflow", "condenser", Some(h.overflow), h.overflow_heat, own("overflow"));
    let (x, y) = (&sim.previous().plant.open, &sim.state().plant.open);
    let held = |s: &crate::open_heater::State| s.tank.energy + s.metal * p.open.metal_capacity;
    b.close(id, Held { mass: (x.tank.mass, y.tank.mass), energy: (held(x), held(y)) }, p.dt)
}

fn turbine(sim: &Sim) -> ComponentBalance {
    let (p, o) = (sim.params(), sim.outputs());
    let t = &o.turbine;
    let points = &sim.state().plant.turbine.points;
    let mut b = Book::default();
    // The steam that passed in this step: the boiler moves it at the end.
    let throttle = sim.outputs().throttle;
    let x = &sim.state().plant.turbine.separator;
    let working = (throttle - t.separator.heating, p.turbine.main_enthalpy);
    b.gains("throttle_steam", "boiler", working, "turbine.stage_flow_1".into());
    if let Some(q) = &p.turbine.separator {
        let water = (t.separator.drained, x.drain);
        b.gives("moisture_removed", "", water, "unit.moisture_removed_flow".into());
        if q.reheater.is_some() {
            let heating = (t.separator.heating, p.turbine.main_enthalpy);
            b.gains("heating_steam", "boiler", heating, "unit.heating_steam_flow".into());
            let condensed = (t.separator.heating, x.heating_drain);
            b.gives("heating_steam_condensed", "", condensed, "unit.heating_steam_flow".into());
        }
    }
    b.heat_in("reheat", t.reheat, "turbine.reheat".into());
    for (k, c) in o.closed.iter().enumerate() {
        let id = p.closed[k].heater.id.as_str();
        let h = points[p.point(k)].enthalpy;
        let x = &c.heater;
        b.gives("extraction_to", id, (x.steam_flow, h), format!("{id}.extraction_flow"));
        if x.returned > 0.0 {
            let number = format!("{id}.reverse_flow");
            b.put(true, "returned_steam_from", id, Some(x.returned), x.returned_heat, number);
        }
        if x.inducted > 0.0 {
            let number = format!("{id}.inducted_flow");
            b.put(true, "inducted_water_from", id, Some(x.inducted), x.inducted_heat, number);
        }
    }
    line_drains(sim, &mut b, false);
    let h = points[p.open_point()].enthalpy;
    b.gives("extraction_to", &p.open.id, (o.open.steam_flow, h), format!("{}.extraction_flow", p.open.id));
    let (id, w, heat) = (&p.open.id, o.open.returned, o.open.returned_heat);
    if w > 0.0 {
        b.put(true, "returned_steam_from", id, Some(w), heat, format!("{id}.reverse_flow"));
    }
    for (name, w, heat) in drained(t) {
        b.put(false, name, "condenser", w, heat, format!("turbine.{name}"));
    }
    b.gives(
        "exhaust_steam",
        "condenser",
        (t.exhaust_flow, t.exhaust_enthalpy),
        "turbine.exhaust_flow".into(),
    );
    b.heat_out("work", t.shaft, "turbine.shaft".into());
    b.close("turbine", Held::default(), p.dt)
}

/// What the drains of the extraction lines take from turbine and lines to the condenser.
fn line_drains(sim: &Sim, b: &mut Book, inward: bool) {
    let (p, o) = (sim.params(), sim.outputs());
    let closed = p.closed.iter().zip(&o.closed);
    let closed = closed.map(|(q, c)| (&q.extraction, q.heater.id.as_str(), &c.line_drain));
    for (line, id, x) in closed.chain([(&p.open_extraction, p.open.id.as_str(), &o.open_line_drain)]) {
        if line.drain.is_some() {
            let name = if inward { "line_drain_from" } else { "line_drain_of" };
            b.put(inward, name, id, Some(x.flow()), x.heat(), format!("{id}.line_drain_flow"));
        }
    }
}

/// What the turbine sends to the condenser beside its exhaust, where anything came back through extraction lines: water, and
/// heat that goes along.
fn drained(t: &crate::turbine::Outputs) -> Vec<(&'static str, Option<f64>, f64)> {
    let mut all = Vec::new();
    if t.water > 0.0 {
        all.push(("water_drained", Some(t.water), t.water_heat));
    }
    if t.carried != 0.0 {
        all.push(("carried", None, t.carried));
    }
    all
}

fn condenser(sim: &Sim) -> Result<ComponentBalance, Fault> {
    let (p, o) = (sim.params(), sim.outputs());
    let t = &o.turbine;
    let mut b = Book::default();
    b.gains("exhaust_steam", "turbine", (t.exhaust_flow, t.exhaust_enthalpy), "turbine.exhaust_flow".into());
    for (name, w, heat) in drained(t) {
        b.put(true, name, "turbine", w, heat, format!("turbine.{name}"));
    }
    for (from, w, heat) in arriving(sim, Receiver::Condenser) {
        b.put(true, "drain_from", &from, Some(w), heat, format!("{from}.normal_drain_flow"));
    }
    led(sim, &mut b, None);
    for (q, c) in p.closed.iter().zip(&o.closed) {
        let (id, h) = (q.heater.id.as_str(), &c.heater);
        let drain = (c.emergency, h.drain);
        b.gains("emergency_drain_from", id, drain, format!("{id}.emergency_drain_flow"));
        let over = format!("{id}.carry_over_flow");
        b.put(true, "carry_over_from", id, Some(h.carry_over), h.carry_over_heat, over);
    }
    line_drains(sim, &mut b, true);
    vented(sim, VentTo::Condenser, &mut b);
    let id = &p.open.id;
    b.put(true, "overflow_from", id, Some(o.open.overflow), o.open.overflow_heat, format!("{id}.overflow"));
    b.put(true, "makeup", "", Some(o.makeup), o.condenser.makeup_heat, "unit.makeup_flow".into());
    let (x, y) = (&sim.previous().plant.condenser, &sim.state().plant.condenser);
    let condensate = steam::sat_t(x.temperature).at("condenser")?.hf;
    b.gives("condensate", "", (sim.state().plant.condensate.flow, condensate), "unit.condensate_flow".into());
    let (w, q) = (o.condenser.relief, o.condenser.relief_heat);
    b.put(false, "relief", "", Some(w), q, "unit.condenser_relief_flow".into());
    b.heat_out("to_cooling_water", o.condenser.rejected, "unit.condenser_heat".into());
    Ok(b.close("condenser", Held { mass: (x.hotwell, y.hotwell), energy: (x.heat, y.heat) }, p.dt))
}

fn boiler(sim: &Sim) -> ComponentBalance {
    let (p, o) = (sim.params(), sim.outputs());
    let (x, y) = (&sim.previous().plant.boiler, &sim.state().plant.boiler);
    let mut b = Book::default();
    b.gains("feedwater_in", "", (o.boiler_feed, o.final_h), "unit.boiler_feed".into());
    b.heat_in("heat_to_steam", o.heat_added - o.turbine.reheat, "unit.heat_added".into());
    let heating = o.turbine.separator.heating;
    let main = |w: f64| (w, p.turbine.main_enthalpy);
    b.gives("main_steam", "turbine", main(sim.outputs().throttle - heating), "turbine.stage_flow_1".into());
    if p.turbine.separator.as_ref().is_some_and(|q| q.reheater.is_some()) {
        b.gives("heating_steam", "turbine", main(heating), "unit.heating_steam_flow".into());
    }
    // What the drum gains or loses is counted at the feedwater's enthalpy.
    let held = Held { mass: (x.drum, y.drum), energy: (x.drum * o.final_h, y.drum * o.final_h) };
    b.close("boiler", held, p.dt)
}

/// The boundary of the whole plant runs from the throttle to the economiser inlet; the drum's mass lies within.
fn plant(sim: &Sim) -> ComponentBalance {
    let (p, o) = (sim.params(), sim.outputs());
    let (x, y) = (&sim.previous().plant, &sim.state().plant);
    let mut b = Book::default();
    b.put(true, "makeup", "", Some(o.makeup), o.condenser.makeup_heat, "unit.makeup_flow".into());
    if p.open.pegging.is_some() {
        let (w, q) = (o.open.pegging_flow, o.open.pegging_heat);
        b.put(true, "pegging_steam", &p.open.id, Some(w), q, format!("{}.pegging_flow", p.open.id));
    }
    b.heat_in("steam_from_boiler", o.throttle * p.turbine.main_enthalpy, "turbine.stage_flow_1".into());
    b.heat_in("reheat", o.turbine.reheat, "turbine.reheat".into());
    b.heat_in("feed_pump_work", o.feed.flow * o.feed.rise, "feed_pumps.rise".into());
    b.heat_in("minimum_flow_work", o.feed.back_work, "feed_pumps.back_work".into());
    if p.feed_pumps.casing.is_some() {
        b.heat_in("warm_up_work", o.feed.warm_work, "feed_pumps.warm_up_work".into());
        b.heat_in("work_to_casings", o.feed.casing_heat, "feed_pumps.casing_heat".into());
        b.heat_out("casing_loss", o.feed.casing_loss, "feed_pumps.casing_loss".into());
    }
    b.heat_in("condensate_pump_work", o.condensate.power, "unit.condensate_power".into());
    let pumped: f64 = o.closed.iter().map(|c| c.forward * c.forward_rise).sum();
    b.heat_in("drain_pump_work", pumped, "unit.drain_pumping".into());
    b.heat_out("feedwater_to_boiler", o.boiler_feed * o.final_h, "unit.boiler_feed".into());
    b.put(
        false,
        "vent",
        &p.open.id,
        Some(o.open.vent_flow),
        o.open.vent_heat,
        format!("{}.vent_flow", p.open.id),
    );
    // Gas comes with steam, air and condensate; its heat is not counted.
    for (q, c) in p.closed.iter().zip(&o.closed) {
        let id = q.heater.id.as_str();
        b.put(true, "gas_into", id, Some(c.heater.gas_in), 0.0, format!("{id}.gas_in"));
        if q.vents_to == VentTo::Condenser {
            b.put(false, "gas_from", id, Some(c.heater.gas_out), 0.0, format!("{id}.gas_out"));
        }
    }
    let back = p.closed.iter().zip(&o.closed).map(|(q, c)| (&q.heater.id, c.heater.returned_gas));
    for (id, w) in back.chain([(&p.open.id, o.open.returned_gas)]).filter(|(_, w)| *w > 0.0) {
        b.put(false, "gas_returned_from", id, Some(w), 0.0, format!("{id}.gas_returned"));
    }
    let id = &p.open.id;
    b.put(true, "gas_into", id, Some(o.open.gas_in), 0.0, format!("{id}.gas_in"));
    b.put(false, "gas_from", id, Some(o.open.gas_out), 0.0, format!("{id}.gas_out"));
    b.heat_out("work", o.turbine.shaft, "turbine.shaft".into());
    let (w, q) = (o.condenser.relief, o.condenser.relief_heat);
    b.put(false, "relief", "condenser", Some(w), q, "unit.condenser_relief_flow".into());
    b.heat_out("to_cooling_water", o.condenser.rejected, "unit.condenser_heat".into());
    b.close(PLANT, Held { mass: (x.mass(), y.mass()), energy: (x.energy(p), y.energy(p)) }, p.dt)
}

impl Sim {
    /// Mass and energy of a component over the last step; `plant` is the whole.
    ///
    /// # Errors
    /// When no component is called that, or a property left its range.
    pub fn component_balance(&self, device: &str) -> Result<ComponentBalance, Fault> {
        if let Some(k) = self.params().closed.iter().position(|c| c.heater.id == device) {
            return Ok(closed(self, k));
        }
        match device {
            d if d == self.params().open.id => Ok(open(self)),
            "turbine" => Ok(turbine(self)),
            "condenser" => condenser(self),
            "boiler" => Ok(boiler(self)),
            PLANT => Ok(plant(self)),
            _ => Err(Fault::new(
                "no_such_component",
                device,
                "no component of this plant that has a balance is called that.",
                format!("Take one of {}.", devices(self).join(", ")),
            )),
        }
    }
}

/// What a component gains of mass or energy, as a working: all that flows in less all that flows out.
pub fn rate(sim: &Sim, device: &str, name: &str) -> Result<Option<Working>, Fault> {
    let of_mass = match name {
        "mass_rate" => true,
        "energy_rate" => false,
        _ => return Ok(None),
    };
    if !devices(sim).iter().any(|d| d == device) {
        return Ok(None);
    }
    let b = sim.component_balance(device)?;
    let mut d = Draft::new(sim, device, name);
    let (mut gains, mut losses): (Vec<Expr>, Vec<Expr>) = (Vec::new(), Vec::new());
    for (n, f) in b.flows.iter().enumerate() {
        let value = match (of_mass, f.mass) {
            (true, None) => continue,
            (true, Some(w)) => w,
            (false, _) => f.energy,
        };
        let term = d.flow(f, n + 1, of_mass, value);
        if f.inward { gains.push(term) } else { losses.push(term) }
    }
    let formula = match (gains.is_empty(), losses.is_empty()) {
        (_, true) => sum(gains),
        (true, _) => number(0.0) - sum(losses),
        _ => sum(gains) - sum(losses),
    };
    d.is(if of_mass { b.mass_stored } else { b.energy_stored }, formula, CONSERVATION)
}
