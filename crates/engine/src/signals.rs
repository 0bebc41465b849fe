//! Every number that is read from outside: one list, in one order, with quantity and span.
//!
//! A signal's id is `<device>.<name>`; the device is the id of a heater or a pump, or `unit`. The list follows from the plant, so it
//! is built here and nowhere written down by hand.

use crate::controller::{Controller, Loop};
use crate::event::Device;
use crate::extraction;
use crate::falling::Arrived;
use crate::heater;
use crate::operation::HeaterControl;
use crate::outputs::ClosedOutputs;
use crate::sim::Sim;
use crate::surface::DESUPERHEATING;
use crate::transmitters::{self, Of};
use crate::water::saturated_at;
use steam::units::Quantity;

/// What a signal is.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Definition {
    /// `<device>.<name>`.
    pub id: String,
    /// Id of a heater or a pump, or `unit`.
    pub device: String,
    /// What it measures.
    pub quantity: Quantity,
    /// Low end of its span, in the inside unit.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Ends of the range of the transmitter that shows it, where it stands still when there is more or less; none without one.
    pub range: Option<(f64, f64)>,
    /// What no instrument of a real unit shows: for the instructor and the debrief.
    pub truth: bool,
}

/// How the name of what a transmitter should show ends.
pub(crate) const TRUE: &str = "_true";

/// Names of other signals that no instrument shows.
const TRUTHS: &[&str] = &[
    "flooded",
    "drain_cooler_covered",
    "leak_flow",
    "condenser_air",
    "air",
    // A handwheel by the pump, without a switch.
    "warm_up_valve",
    "warm_up_flow",
];

/// Receives one signal: device, name, quantity, span, value.
pub trait Visitor {
    /// Called before the signals of a device; whether they are to be computed at all.
    fn device(&mut self) -> bool {
        true
    }

    /// Called once per signal, always in the same order for one plant.
    fn signal(&mut self, device: &str, name: &'static str, quantity: Quantity, span: (f64, f64), value: f64);
}

struct Values<'a>(&'a mut Vec<f64>);

impl Visitor for Values<'_> {
    fn signal(&mut self, _: &str, _: &'static str, _: Quantity, _: (f64, f64), value: f64) {
        self.0.push(value);
    }
}

struct Definitions(Vec<Definition>);

impl Visitor for Definitions {
    fn signal(&mut self, device: &str, name: &'static str, quantity: Quantity, span: (f64, f64), _: f64) {
        self.0.push(Definition {
            id: format!("{device}.{name}"),
            device: device.into(),
            quantity,
            low: span.0,
            high: span.1,
            range: None,
            truth: name.ends_with(TRUE) || TRUTHS.contains(&name),
        });
    }
}

/// Devices in the order in which they are visited: how many signals each has, and whether they are wanted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted(Vec<(usize, bool)>);

impl Visitor for Wanted {
    fn device(&mut self) -> bool {
        self.0.push((0, false));
        true
    }

    fn signal(&mut self, _: &str, _: &'static str, _: Quantity, _: (f64, f64), _: f64) {
        if let Some((count, _)) = self.0.last_mut() {
            *count += 1;
        }
    }
}

impl Wanted {
    /// The devices of these signals, by place among [`definitions`].
    pub fn of(sim: &Sim, signals: &[usize]) -> Wanted {
        let mut list = Wanted::default();
        visit(sim, &mut list);
        let mut first = 0;
        for (count, wanted) in &mut list.0 {
            *wanted = signals.iter().any(|k| (first..first + *count).contains(k));
            first += *count;
        }
        list
    }
}

/// Writes the wanted devices' values over what was read before.
struct Part<'a> {
    into: &'a mut [f64],
    at: usize,
    devices: std::slice::Iter<'a, (usize, bool)>,
}

impl Visitor for Part<'_> {
    fn device(&mut self) -> bool {
        match self.devices.next() {
            Some((count, false)) => {
                self.at += count;
                false
            }
            _ => true,
        }
    }

    fn signal(&mut self, _: &str, _: &'static str, _: Quantity, _: (f64, f64), value: f64) {
        if let Some(place) = self.into.get_mut(self.at) {
            *place = value;
        }
        self.at += 1;
    }
}

/// The list of signals of this plant.
pub fn definitions(sim: &Sim) -> Vec<Definition> {
    let mut d = Definitions(Vec::new());
    visit(sim, &mut d);
    for signal in &mut d.0 {
        // Of a shell's two, everyone is shown that of control.
        let of_shell = format!("{}_control", signal.id);
        let transmitters = &sim.params().instruments.list;
        let shows = transmitters.iter().find(|t| t.id == signal.id || t.id == of_shell);
        signal.range = shows.map(|t| (t.low, t.high));
    }
    d.0
}

/// Their values now, in the order of [`definitions`]; `into` is emptied first.
pub fn read(sim: &Sim, into: &mut Vec<f64>) {
    into.clear();
    visit(sim, &mut Values(into));
}

/// The values of the wanted devices' signals now; the others stay in `values` as they were read by [`read`] before. Some
/// signals take properties of steam to find: a full reading costs a third of a step.
pub fn read_wanted(sim: &Sim, wanted: &Wanted, values: &mut [f64]) {
    visit(sim, &mut Part { into: values, at: 0, devices: wanted.0.iter() });
}

fn visit<V: Visitor>(sim: &Sim, v: &mut V) {
    let open = |v: &mut V| {
        if v.device() {
            open(sim, v);
        }
    };
    for k in 0..sim.params().closed.len() {
        if k == sim.params().high {
            open(v);
        }
        if v.device() {
            closed(sim, k, v);
        }
    }
    if sim.params().high == sim.params().closed.len() {
        open(v);
    }
    if v.device() {
        unit(sim, v);
    }
    for k in 0..sim.state().plant.feed.pumps.len() {
        if v.device() {
            feed_pump(sim, k, v);
        }
    }
    for k in 0..sim.state().plant.condensate.pumps.len() {
        if v.device() {
            condensate_pump(sim, k, v);
        }
    }
}

const SHARE: (f64, f64) = (0.0, 1.0);
/// Half the span of a line drain's flow, over the extraction at design: steam takes a little of it, water more.
const LINE_DRAIN: f64 = 0.1;

/// What a device's transmitters show, each beside what it should show; gives what the first of them show.
fn transmitted<const N: usize>(sim: &Sim, of: Of, device: &str, v: &mut impl Visitor) -> [f64; N] {
    let (p, mut first) = (sim.params(), [0.0; N]);
    let start = of.first(p.closed.len());
    for (i, point) in of.points().iter().enumerate() {
        let k = start + i;
        let span = p.instruments.process().get(k).map_or((0.0, 0.0), |t| t.span);
        let shown = sim.state().instruments.process(&p.instruments, k);
        let truth = sim.outputs().truths.get(k).copied().unwrap_or(0.0);
        v.signal(device, point.name, point.quantity, span, shown);
        v.signal(device, point.truth, point.quantity, span, truth);
        if let Some(place) = first.get_mut(i) {
            *place = shown;
        }
    }
    first
}

fn closed(sim: &Sim, k: usize, v: &mut impl Visitor) {
    use Quantity as Q;
    let (p, o, s) = (sim.params(), sim.outputs(), sim.state());
    let q = &p.closed[k];
    let (c, x) = (&o.closed[k], &s.plant.closed[k]);
    let h = &c.heater;
    let design = &sim.balance().heaters[p.index(k)];
    let control: &HeaterControl = &s.control.heaters[k];
    let (normal, emergency) =
        (s.control.controller(Loop::NormalDrain(k)), s.control.controller(Loop::EmergencyDrain(k)));
    let hand = |c: &Controller| f64::from(u8::from(!c.is_auto()));
    let source = s.plant.turbine.points[p.point(k)];
    let m = &o.measured.heaters[k];
    let id = q.heater.id.as_str();
    let [pressure, water_in, water_out, drain] = transmitted(sim, Of::Closed(k), id, v);
    let mut put = |name, quantity, span, value| v.signal(id, name, quantity, span, value);
    let temperature = (0.0, 350.0);
    let most = |x: f64| (0.0, 2.0 * x);
    let saturation = transmitters::saturation(pressure);
    put("saturation_temperature", Q::Temperature, temperature, saturation);
    put("saturation_temperature_true", Q::Temperature, temperature, h.saturation);
    put("ttd", Q::TemperatureDifference, (-10.0, 60.0), saturation - water_out);
    put("ttd_true", Q::TemperatureDifference, (-10.0, 60.0), h.saturation - h.water_out_t);
    put("dca", Q::TemperatureDifference, (0.0, 80.0), drain - water_in);
    put("dca_true", Q::TemperatureDifference, (0.0, 80.0), h.drain_t - h.water_in_t);
    put("level", Q::LevelOffset, (-400.0, 400.0), m.level);
    put("level_protection", Q::LevelOffset, (-400.0, 400.0), m.level_protection);
    put("level_true", Q::LevelOffset, (-400.0, 400.0), o.levels[k]);
    put("reverse_flow", Q::MassFlow, most(design.extraction_flow), h.returned);
    put("inducted_flow", Q::MassFlow, most(0.5 * design.water_flow), h.inducted);
    if q.extraction.drain.is_some() {
        put("line_drain_flow", Q::MassFlow, most(LINE_DRAIN * design.extraction_flow), c.line_drain.flow());
        put("line_drain_valve", Q::Fraction, SHARE, x.extraction.drain.valve.opening);
    }
    put("extraction_temperature", Q::Temperature, (0.0, 600.0), temperature_of(source));
    let (steam_in, steam_cooled) = in_the_shell(h, source);
    put("steam_in_temperature", Q::Temperature, (0.0, 600.0), steam_in);
    put("steam_cooled_temperature", Q::Temperature, (0.0, 600.0), steam_cooled);
    let [cooled, condensed, _] = x.heater.water.map(|e| p.line(k).t(e).unwrap_or(0.0));
    put("fw_drain_cooling_temperature", Q::Temperature, temperature, cooled);
    put("fw_condensing_temperature", Q::Temperature, temperature, condensed);
    put("drain_in_flow", Q::MassFlow, most(design.drain_flow), c.drain_in);
    put("drain_in_flash", Q::Fraction, SHARE, flash(c, h.pressure));
    put("normal_drain_flow", Q::MassFlow, most(design.drain_flow), c.normal);
    put("emergency_drain_flow", Q::MassFlow, most(design.drain_flow), c.emergency);
    put("normal_drain_valve", Q::Fraction, SHARE, x.normal.opening);
    put("emergency_drain_valve", Q::Fraction, SHARE, x.emergency.opening);
    put("stop_valve", Q::Fraction, SHARE, x.extraction.stop.opening);
    // The valve hangs open in flowing steam, as far as its assist lets it; one that is stuck hangs where it was.
    let hangs = h.steam_flow > 0.0 || o.conditions.closed.get(k).is_some_and(|w| w.non_return.stuck);
    let non_return = if hangs { x.extraction.assist.opening } else { 0.0 };
    put("non_return_valve", Q::Fraction, SHARE, non_return);
    put("bypass", Q::Fraction, SHARE, m.bypass);
    put("bypass_flow", Q::MassFlow, most(design.water_flow), c.round);
    put("duty", Q::HeatFlow, most(design.duty), h.duty.iter().sum());
    put("duty_desuperheating", Q::HeatFlow, most(design.duty), h.duty[2]);
    put("duty_condensing", Q::HeatFlow, most(design.duty), h.duty[1]);
    put("duty_drain_cooling", Q::HeatFlow, most(design.duty), h.duty[0]);
    put("fw_ramp", Q::TemperatureRate, (-30.0, 30.0), m.ramp);
    put("fw_ramp_true", Q::TemperatureRate, (-30.0, 30.0), x.ramp.rate);
    put("over_ramp", Q::TemperatureDifference, (0.0, 100.0), x.over_ramp.kelvin);
    put("over_ramp_time", Q::Duration, (0.0, 3600.0), x.over_ramp.seconds);
    put("vent_flow", Q::MassFlow, (0.0, 0.5), h.vent);
    put("start_up_vent_valve", Q::Fraction, SHARE, x.start_up_vent.opening);
    put("air", Q::GasMass, (0.0, 2.0), x.heater.gas.mass);
    put("leak_flow", Q::MassFlow, most(0.5 * design.water_flow), c.leak);
    put("flooded", Q::Fraction, SHARE, h.flooded);
    put("drain_cooler_covered", Q::Fraction, SHARE, h.covered);
    put("mode", Q::State, (0.0, 4.0), control.mode.code());
    put("normal_drain_hand", Q::State, SHARE, hand(normal));
    put("emergency_drain_hand", Q::State, SHARE, hand(emergency));
    put("level_setpoint", Q::LevelOffset, (-400.0, 400.0), normal.setpoint);
    put(
        "normal_drain_demand",
        Q::Fraction,
        SHARE,
        s.demands.heaters.get(k).map_or(normal.output, |d| d.normal),
    );
    put(
        "emergency_drain_demand",
        Q::Fraction,
        SHARE,
        s.demands.heaters.get(k).map_or(emergency.output, |d| d.emergency),
    );
}

fn open(sim: &Sim, v: &mut impl Visitor) {
    use Quantity as Q;
    let (p, o, s) = (sim.params(), sim.outputs(), sim.state());
    let design = &sim.balance().heaters[p.high];
    let source = s.plant.turbine.points[p.open_point()];
    let [pressure] = transmitted(sim, Of::Open, &p.open.id, v);
    let mut put = |name, quantity, span, value| v.signal(&p.open.id, name, quantity, span, value);
    let temperature = (0.0, 350.0);
    put("saturation_temperature", Q::Temperature, temperature, transmitters::saturation(pressure));
    put("saturation_temperature_true", Q::Temperature, temperature, o.open.saturation);
    put("level", Q::LevelOffset, (-1500.0, 1500.0), o.measured.open_level);
    put("level_protection", Q::LevelOffset, (-1500.0, 1500.0), o.measured.open_level_protection);
    put("level_true", Q::LevelOffset, (-1500.0, 1500.0), o.levels[p.closed.len()]);
    put("reverse_flow", Q::MassFlow, (0.0, 2.0 * design.extraction_flow), o.open.returned);
    if p.open_extraction.drain.is_some() {
        let span = (0.0, 2.0 * LINE_DRAIN * design.extraction_flow);
        put("line_drain_flow", Q::MassFlow, span, o.open_line_drain.flow());
        put("line_drain_valve", Q::Fraction, SHARE, s.plant.open_extraction.drain.valve.opening);
    }
    put("extraction_temperature", Q::Temperature, (0.0, 600.0), temperature_of(source));
    put("drain_in_flow", Q::MassFlow, (0.0, 0.5 * design.water_flow), o.open_drain_in);
    put("stop_valve", Q::Fraction, SHARE, s.plant.open_extraction.stop.opening);
    put("vent_flow", Q::MassFlow, (0.0, 2.0), o.open.vent_flow);
    if let Some(g) = &p.open.pegging {
        put("pegging_flow", Q::MassFlow, (0.0, 2.0 * g.flow(g.coefficient, 0.0)), o.open.pegging_flow);
        put("pegging_valve", Q::Fraction, SHARE, s.plant.open.pegging.opening);
        let by_hand = !s.control.controller(Loop::OpenPressure).is_auto();
        put("pegging_hand", Q::State, SHARE, f64::from(u8::from(by_hand)));
    }
    put("overflow", Q::MassFlow, (0.0, 2.0 * design.water_flow), o.open.overflow);
    put("air", Q::GasMass, (0.0, 2.0), s.plant.open.gas.mass);
    put("oxygen", Q::Concentration, (0.0, 100.0), o.open.oxygen);
    // Down the suction pipe: what is on its way may be hotter than the tank now is.
    for (name, way) in SUCTION_PIPE {
        let t = saturated_at(s.plant.suction.at(way), o.open.saturation).unwrap_or(0.0);
        put(name, Q::Temperature, (0.0, 250.0), t);
    }
    put("mode", Q::State, (0.0, 4.0), 0.0);
}

/// Places along the suction pipe, as shares of the water's way from the tank to the pumps.
pub(crate) const SUCTION_PIPE: [(&str, f64); 5] = [
    ("suction_temperature_1", 0.0),
    ("suction_temperature_2", 0.25),
    ("suction_temperature_3", 0.5),
    ("suction_temperature_4", 0.75),
    ("suction_temperature_5", 1.0),
];

/// Heat rate by the output that is shown [kJ/kWh]; none of next to no output, where it would say nothing.
pub(crate) fn heat_rate(sim: &Sim) -> Option<f64> {
    let gross = sim.outputs().measured.gross;
    (gross > 0.01 * sim.balance().gross).then(|| sim.outputs().heat_added / gross * 3600.0)
}

fn unit(sim: &Sim, v: &mut impl Visitor) {
    use Quantity as Q;
    let (p, o, s, b) = (sim.params(), sim.outputs(), sim.state(), sim.balance());
    let [throttle, gross] = transmitted(sim, Of::Unit, "unit", v);
    let mut put = |name, quantity, span, value| v.signal("unit", name, quantity, span, value);
    let flow = (0.0, 1.5 * b.throttle);
    let heat_rate = heat_rate(sim);
    let fuel_heat = o.heat_added / p.boiler.efficiency; // kW
    put("time", Q::Duration, (0.0, 86_400.0), sim.time());
    put("load", Q::Fraction, (0.0, 1.2), throttle / p.boiler.steam_flow);
    put("load_demand", Q::Fraction, (0.0, 1.2), s.control.load);
    put("standing", Q::State, (0.0, 2.0), s.control.unit.standing.code());
    put("hold", Q::State, (0.0, 2.0), s.control.unit.hold.code());
    put("load_limited", Q::State, SHARE, f64::from(u8::from(s.control.unit.limited())));
    put("main_stop_valve", Q::Fraction, SHARE, s.plant.turbine.stop.opening);
    put("net_output", Q::Power, (0.0, 1.5 * b.gross), gross - o.auxiliary);
    put("shaft_power", Q::Power, (0.0, 1.5 * b.gross), o.turbine.shaft);
    put("returned_steam", Q::Mass, (0.0, 1e5), s.backflow.returned);
    put("inducted_water", Q::Mass, (0.0, 1e5), s.backflow.inducted);
    put("drained_water", Q::Mass, (0.0, 1e5), s.backflow.drained);
    put("heat_added", Q::HeatFlow, (0.0, 1.5 * b.heat_added), o.heat_added);
    put("heat_rate", Q::HeatRate, (0.0, 2.0 * b.heat_rate), heat_rate.unwrap_or(0.0));
    put("heat_rate_change", Q::HeatRate, (-1000.0, 1000.0), heat_rate.map_or(0.0, |rate| rate - b.heat_rate));
    put(
        "fuel_flow",
        Q::MassRate,
        (0.0, 1.5 * b.heat_added / p.economics.heating_value),
        fuel_heat / p.economics.heating_value,
    );
    put("fuel_cost", Q::MoneyRate, (0.0, 1e5), fuel_heat * 3600.0 / 1e6 * p.economics.fuel_price);
    put("co2", Q::MassRate, (0.0, 200.0), fuel_heat / 1e6 * p.economics.carbon_dioxide);
    put("makeup_flow", Q::MassFlow, (-20.0, 20.0), o.makeup);
    put("condenser_air", Q::LowPressure, (0.0, 0.03), o.condenser.air_pressure);
    put("cooling_flow", Q::Fraction, SHARE, o.condenser.cooling_flow);
    put("condenser_relief_flow", Q::MassFlow, flow, o.condenser.relief);
    put("condenser_temperature", Q::Temperature, (0.0, 80.0), s.plant.condenser.temperature);
    put("condenser_heat", Q::HeatFlow, (0.0, 1.5 * b.rejected), o.condenser.rejected);
    put("cooling_inlet_temperature", Q::Temperature, (0.0, 80.0), p.condenser.cooling_inlet);
    put("cooling_outlet_temperature", Q::Temperature, (0.0, 80.0), o.condenser.cooling_outlet);
    put("hotwell_level", Q::LevelOffset, (-1000.0, 1000.0), o.measured.hotwell_level);
    put("drum_level", Q::LevelOffset, (-400.0, 400.0), o.measured.drum_level);
    let [hotwell, drum] = [1, 2].map(|k| o.levels.get(p.closed.len() + k).copied().unwrap_or(0.0));
    put("hotwell_level_true", Q::LevelOffset, (-1000.0, 1000.0), hotwell);
    put("drum_level_true", Q::LevelOffset, (-400.0, 400.0), drum);
    put("feed_pump_power", Q::Power, (0.0, 1.5 * b.auxiliary), o.feed.power);
    put("feed_pump_speed", Q::Speed, (0.0, 1.5 * p.feed_pumps.speed), o.feed.speed);
    put("suction_head_required", Q::Length, (0.0, 60.0), o.feed.npsh_required);
    put("suction_head_margin", Q::Length, (-60.0, 60.0), o.measured.suction_head - o.feed.npsh_required);
    if let Some(design) = &b.separator {
        let (x, x0) = (&o.turbine.separator, &s.plant.turbine.separator);
        put("separator_pressure", Q::Pressure, (0.0, 2.0 * design.pressure), x0.pressure);
        put("moisture_removed_flow", Q::MassFlow, (0.0, 2.0 * design.drain_flow), x.drained);
        if let Some(r) = &design.reheater {
            put("reheated_steam_temperature", Q::Temperature, (0.0, 350.0), x0.hot_t);
            put("heating_steam_flow", Q::MassFlow, (0.0, 2.0 * r.heating_flow), x.heating);
        }
        put(
            "led_drain_spill_flow",
            Q::MassFlow,
            (0.0, 2.0 * design.drain_flow),
            o.led.iter().map(Arrived::astray).sum(),
        );
    }
    let remaining = s.local.remaining(p, &s.plant, sim.time());
    put("local_remaining", Q::Duration, (0.0, 300.0), remaining);
    put("mass_residual", Q::Residual, (-1e-9, 1e-9), o.residuals.0);
    put("energy_residual", Q::Residual, (-1e-6, 1e-6), o.residuals.1);
}

fn condensate_pump(sim: &Sim, k: usize, v: &mut impl Visitor) {
    use Quantity as Q;
    let (p, o, s) = (&sim.params().condensate_pumps, &sim.outputs().condensate, sim.state());
    let id = Device::CondensatePump(k).pump_id();
    let out = o.pumps.get(k).copied().unwrap_or_default();
    let (x, mode) = (&s.plant.condensate.pumps[k], s.control.pumps.condensate.pumps[k].mode);
    transmitted::<1>(sim, Of::Pump(s.plant.feed.pumps.len() + k), &id, v);
    let mut put = |name, quantity, span, value| v.signal(&id, name, quantity, span, value);
    put("state", Q::State, (0.0, 5.0), mode.code());
    put("speed_share", Q::Ratio, (0.0, 1.2), x.rotor.speed);
    put("power", Q::Power, (0.0, 3.0 * p.curve.flow * p.rise(p.design_flow)), out.power);
}

fn feed_pump(sim: &Sim, k: usize, v: &mut impl Visitor) {
    use Quantity as Q;
    let (p, o, s) = (&sim.params().feed_pumps, sim.outputs(), sim.state());
    let id = Device::FeedPump(k).pump_id();
    let out = o.feed.pumps.get(k).copied().unwrap_or_default();
    let (x, mode) = (&s.plant.feed.pumps[k], s.control.pumps.feed.pumps[k].mode);
    transmitted::<1>(sim, Of::Pump(k), &id, v);
    let mut put = |name, quantity, span, value| v.signal(&id, name, quantity, span, value);
    let flow = (0.0, 1.5 * p.curve.flow);
    put("state", Q::State, (0.0, 5.0), mode.code());
    put("speed", Q::Speed, (0.0, 1.5 * p.speed), x.rotor.speed * p.speed);
    put("recirculation_flow", Q::MassFlow, flow, out.back);
    put("recirculation_valve", Q::Fraction, SHARE, x.recirculation.opening);
    put("suction_head_available", Q::Length, (0.0, 60.0), o.measured.suction_head);
    put("suction_head_required", Q::Length, (0.0, 60.0), out.npsh_required);
    put("power", Q::Power, (0.0, sim.balance().auxiliary), out.power);
    if let (Some(casing), Some(design)) = (&x.casing, &p.casing) {
        let pumps = s.plant.feed.pumps.len() + s.plant.condensate.pumps.len();
        let [shown] = transmitted(sim, Of::Casing(pumps + k), &id, v);
        let mut put = |name, quantity, span, value| v.signal(&id, name, quantity, span, value);
        let (suction, difference) = (o.measured.suction_temperature, (-50.0, 150.0));
        put("casing_difference", Q::TemperatureDifference, difference, suction - shown);
        let truth = o.suction_t - casing.temperature;
        put("casing_difference_true", Q::TemperatureDifference, difference, truth);
        put("warm_up_valve", Q::Fraction, SHARE, casing.valve.opening);
        put("warm_up_flow", Q::MassFlow, (0.0, 2.0 * design.coefficient * p.rise.sqrt()), out.warm);
    }
}

/// Temperature of extraction steam [°C]; 0 where it left the range, which the step itself would have refused.
fn temperature_of(s: extraction::Source) -> f64 {
    steam::state_ph(s.pressure, s.enthalpy).map_or(0.0, |x| x.t)
}

/// Temperatures of the steam as it enters the shell and as it leaves the desuperheating zone [°C]; saturation where no
/// steam comes. 0 where it left the range, which the step itself would have refused.
fn in_the_shell(h: &heater::Outputs, source: extraction::Source) -> (f64, f64) {
    if !(h.steam_flow > 0.0) {
        return (h.saturation, h.saturation);
    }
    let at = |enthalpy: f64| steam::state_ph(h.pressure, enthalpy).map_or(0.0, |x| x.t);
    (at(source.enthalpy), at(source.enthalpy - h.duty[DESUPERHEATING] / h.steam_flow))
}

/// Share of the arriving drains that becomes steam at the shell's pressure: none where they come colder than it boils.
fn flash(c: &ClosedOutputs, pressure: f64) -> f64 {
    if !(c.drain_in > 0.0) {
        return 0.0;
    }
    steam::sat_p(pressure)
        .map_or(0.0, |sat| ((c.drain_in_heat / c.drain_in - sat.hf) / sat.hfg()).clamp(0.0, 1.0))
}
