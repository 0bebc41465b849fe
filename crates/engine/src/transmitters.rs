//! Which temperatures, pressures, flows and powers have a transmitter: the list with its ranges, and what each should show.
//!
//! What control, protection, alarms and trainee know of these is what the transmitter shows; the truth beside it is a
//! signal of its own, for the instructor and the debrief. Time constants are those of the plant file's `instruments`.

use crate::event::Device;
use crate::instruments::Transmitter;
use crate::operation::protection::Watched;
use crate::outputs::Outputs;
use crate::plant::file;
use crate::steady::Balance;
use crate::train::{Params, PlantState};
use steam::units::Quantity;

/// What a transmitter senses, which decides how fast it follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sense {
    /// A thermocouple or resistance in its well.
    Temperature,
    /// A cell behind a line filled with water.
    Pressure,
    /// A difference of pressure across an orifice or a nozzle.
    Flow,
    /// Of the generator.
    Power,
}

/// A measured number of a device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The signal that is shown.
    pub name: &'static str,
    /// The signal that is true.
    pub truth: &'static str,
    /// Quantity.
    pub quantity: Quantity,
    sense: Sense,
}

/// A point by its name; that of its truth follows.
macro_rules! point {
    ($name:literal, $quantity:ident, $sense:ident) => {
        Point {
            name: $name,
            truth: concat!($name, "_true"),
            quantity: Quantity::$quantity,
            sense: Sense::$sense,
        }
    };
}

const SHELL_PRESSURE: Point = point!("shell_pressure", Pressure, Pressure);
const WATER_IN: Point = point!("fw_in_temperature", Temperature, Temperature);
const WATER_OUT: Point = point!("fw_out_temperature", Temperature, Temperature);
const STEAM: Point = point!("extraction_flow", MassFlow, Flow);
const STEAM_PRESSURE: Point = point!("extraction_pressure", Pressure, Pressure);
const WATER: Point = point!("fw_flow", MassFlow, Flow);

/// Of a closed heater.
pub const CLOSED: [Point; 7] = [
    SHELL_PRESSURE,
    WATER_IN,
    WATER_OUT,
    point!("drain_temperature", Temperature, Temperature),
    STEAM,
    STEAM_PRESSURE,
    WATER,
];

/// Places of those that control reads, among their device's.
pub(crate) mod at {
    /// Outlet temperature of a closed heater.
    pub const TANK_PRESSURE: usize = 0;
    /// See [`CLOSED`].
    pub const OUTLET: usize = 2;
    /// Its extraction steam.
    pub const STEAM: usize = 4;
    /// Steam to the turbine.
    pub const THROTTLE: usize = 0;
    /// Output.
    pub const GROSS: usize = 1;
    /// Feed flow.
    pub const FEED: usize = 3;
    /// Condensate flow.
    pub const CONDENSATE: usize = 4;
    /// Pressure of the condenser.
    pub const VACUUM: usize = 5;
    /// Pressure behind the feed pumps.
    pub const HEADER: usize = 6;
    /// Temperature of the water at the feed pumps' suction.
    pub const SUCTION_TEMPERATURE: usize = 7;
    /// Suction head of the feed pumps.
    pub const SUCTION: usize = 8;
}

/// Of the open heater.
pub const OPEN: [Point; 6] = [SHELL_PRESSURE, WATER_IN, WATER_OUT, STEAM, STEAM_PRESSURE, WATER];

/// Of the unit.
pub const UNIT: [Point; 9] = [
    point!("throttle_flow", MassFlow, Flow),
    point!("gross_output", Power, Power),
    point!("final_fw_temperature", Temperature, Temperature),
    point!("feed_flow", MassFlow, Flow),
    point!("condensate_flow", MassFlow, Flow),
    point!("condenser_pressure", LowPressure, Pressure),
    point!("feed_pump_discharge", Pressure, Pressure),
    point!("feed_pump_suction_temperature", Temperature, Temperature),
    // Reckoned in the transmitter's own box, of pressure and temperature in the suction pipe.
    point!("suction_head_available", Length, Pressure),
];

/// Of a feed pump or a condensate pump.
pub const PUMP: [Point; 1] = [point!("pump_flow", MassFlow, Flow)];

/// Of a feed pump whose casing is followed.
pub const CASING: [Point; 1] = [point!("casing_temperature", Temperature, Temperature)];

/// Numbers that the control system reckons from what transmitters show, each with the same reckoned of the truth.
pub const RECKONED: [(&str, &str); 5] = [
    ("saturation_temperature", "saturation_temperature_true"),
    ("ttd", "ttd_true"),
    ("dca", "dca_true"),
    ("fw_ramp", "fw_ramp_true"),
    ("casing_difference", "casing_difference_true"),
];

/// Lowest pressure that steam and water share, and that of 350 °C, above which water has another formulation and no heater
/// works [MPa]: where an indicator of saturation temperature stands still when its transmitter shows less or more.
pub(crate) const SATURATION: (f64, f64) = (0.000_612, 16.5);

/// Time constant of a generator's power transducer [s]: well below a step (*common practice, no source*).
const POWER_LAG: f64 = 0.0;
/// Whatever trips on it, the transmitter of condenser pressure reaches the air's [MPa].
const ATMOSPHERE: f64 = 0.12;

/// Where a device's transmitters begin among those of the process: closed heaters, the open one, the unit, feed
/// pumps, condensate pumps, casings of the feed pumps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// A closed heater by its place, highest pressure first.
    Closed(usize),
    /// The open heater.
    Open,
    /// The unit.
    Unit,
    /// A feed pump, or one of the condensate pumps counted on behind them.
    Pump(usize),
    /// The casing of a feed pump, counted on behind all pumps.
    Casing(usize),
}

impl Of {
    /// Index of its first transmitter in a plant of `closed` closed heaters.
    pub fn first(self, closed: usize) -> usize {
        let open = closed * CLOSED.len();
        let unit = open + OPEN.len();
        match self {
            Of::Closed(k) => k * CLOSED.len(),
            Of::Open => open,
            Of::Unit => unit,
            // One each.
            Of::Pump(k) | Of::Casing(k) => unit + UNIT.len() + k * PUMP.len(),
        }
    }

    /// What is measured there.
    pub fn points(self) -> &'static [Point] {
        match self {
            Of::Closed(_) => &CLOSED,
            Of::Open => &OPEN,
            Of::Unit => &UNIT,
            Of::Pump(_) => &PUMP,
            Of::Casing(_) => &CASING,
        }
    }
}

/// The transmitters of a plant in their order, each with the span that its signal is drawn over.
pub fn list(settings: &file::Instruments, p: &Params, b: &Balance) -> Vec<Transmitter> {
    let mut all = Vec::new();
    let mut put = |device: &str, points: &[Point], spans: &[(f64, f64)]| {
        for (point, span) in points.iter().zip(spans) {
            let lag = match point.sense {
                Sense::Temperature => settings.temperature_lag,
                Sense::Pressure => settings.pressure_lag,
                Sense::Flow => settings.flow_lag,
                Sense::Power => POWER_LAG,
            };
            // Where it is drawn ends and where it measures ends are mostly one.
            let (low, high) = match point.name {
                "condenser_pressure" => (0.0, ATMOSPHERE.max(1.1 * vacuum_trip(p))),
                "suction_head_available" => (-span.1, span.1),
                // Beside a heater that is out, one takes more than twice its own.
                "extraction_flow" => (0.0, 2.0 * span.1),
                "gross_output" => (-0.1 * span.1, span.1),
                _ => *span,
            };
            all.push(Transmitter {
                id: format!("{device}.{}", point.name),
                quantity: point.quantity,
                span: *span,
                low,
                high,
                of_means: point.sense == Sense::Flow,
                lag,
                noise: settings.noise * (span.1 - span.0),
                resolution: 0.0,
            });
        }
    };
    let most = |x: f64| (0.0, 2.0 * x);
    let temperature = (0.0, 350.0);
    for (k, c) in p.closed.iter().enumerate() {
        let design = &b.heaters[p.index(k)];
        let spans = [
            most(design.pressure),
            temperature,
            temperature,
            temperature,
            most(design.extraction_flow),
            most(design.extraction_pressure),
            most(design.water_flow),
        ];
        put(&c.heater.id, &CLOSED, &spans);
    }
    let design = &b.heaters[p.high];
    let spans = [
        most(design.pressure),
        temperature,
        temperature,
        most(design.extraction_flow),
        most(design.extraction_pressure),
        most(design.water_flow),
    ];
    put(&p.open.id, &OPEN, &spans);
    let flow = (0.0, 1.5 * b.throttle);
    let spans = [
        flow,
        (0.0, 1.5 * b.gross),
        temperature,
        flow,
        flow,
        (0.0, 0.03),
        (0.0, 1.5 * b.discharge),
        (0.0, 250.0),
        (0.0, 60.0),
    ];
    put("unit", &UNIT, &spans);
    for k in 0..p.feed_pumps.installed as usize {
        put(&Device::FeedPump(k).pump_id(), &PUMP, &[(0.0, 1.5 * p.feed_pumps.curve.flow)]);
    }
    for k in 0..p.condensate_pumps.installed as usize {
        put(&Device::CondensatePump(k).pump_id(), &PUMP, &[most(p.condensate_pumps.curve.flow)]);
    }
    if p.feed_pumps.casing.is_some() {
        for k in 0..p.feed_pumps.installed as usize {
            put(&Device::FeedPump(k).pump_id(), &CASING, &[(0.0, 250.0)]);
        }
    }
    all
}

/// Pressure at which the unit trips on low vacuum [MPa]; 0 where it does not.
fn vacuum_trip(p: &Params) -> f64 {
    let rows = &p.operation.protection;
    rows.iter().find(|r| r.watched == Watched::CondenserPressure).map_or(0.0, |r| r.setpoint)
}

/// Writes into the outputs what each transmitter should show now, in the order of [`list`].
pub fn read(p: &Params, x: &PlantState, o: &mut Outputs) {
    let mut into = std::mem::take(&mut o.truths);
    into.clear();
    for (k, c) in o.closed.iter().enumerate() {
        let h = &c.heater;
        let source = x.turbine.points[p.point(k)].pressure;
        into.extend([h.pressure, h.water_in_t, h.water_out_t, h.drain_t, h.steam_flow, source, c.water_flow]);
    }
    let source = x.turbine.points[p.open_point()].pressure;
    let h = &o.open;
    into.extend([h.pressure, o.open_water_in_t, h.saturation, h.steam_flow, source, o.open_water_flow]);
    into.extend([
        o.throttle,
        o.turbine.gross,
        o.final_t,
        o.feed.flow,
        x.condensate.flow,
        x.condenser.pressure,
        o.feed.discharge,
        o.suction_t,
        o.feed.npsh_available,
    ]);
    let condensate = o.condensate.pumps.iter().map(|pump| pump.flow);
    into.extend(o.feed.pumps.iter().map(|pump| pump.flow).chain(condensate));
    into.extend(casings(x));
    o.truths = into;
}

/// What they show of a plant that rests at its design balance `b` in the state `x`, in the order of [`list`].
pub fn at_start(p: &Params, x: &PlantState, b: &Balance) -> Vec<f64> {
    let mut all = Vec::new();
    for (k, c) in x.closed.iter().enumerate() {
        let (h, d) = (&c.heater, &b.heaters[p.index(k)]);
        let shell = h.whole_pressure();
        let steam = d.extraction_pressure;
        all.extend([shell, d.water_in_t, d.water_out_t, d.drain_t, h.steam_flow, steam, d.water_flow]);
    }
    let d = &b.heaters[p.high];
    all.extend([
        d.pressure,
        d.water_in_t,
        d.saturation,
        d.extraction_flow,
        d.extraction_pressure,
        d.water_flow,
    ]);
    all.extend([
        x.boiler.steam,
        x.turbine.gross,
        b.final_temperature,
        x.feed.flow,
        x.condensate.flow,
        x.condenser.pressure,
        x.feed.discharge,
        d.saturation,
        x.feed.suction_head,
    ]);
    let condensate = x.condensate.pumps.iter().map(|pump| pump.flow);
    all.extend(x.feed.pumps.iter().map(|pump| pump.flow).chain(condensate));
    all.extend(casings(x));
    all
}

/// Temperatures of the feed pumps' casings, where they are followed [°C].
fn casings(x: &PlantState) -> impl Iterator<Item = f64> {
    x.feed.pumps.iter().filter_map(|pump| pump.casing).map(|casing| casing.temperature)
}

/// Saturation temperature [°C] that an indicator shows beside a pressure [MPa].
pub fn saturation(pressure: f64) -> f64 {
    steam::sat_p(pressure.clamp(SATURATION.0, SATURATION.1)).map_or(0.0, |s| s.t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::Sim;

    fn plant() -> file::Plant {
        serde_json::from_str(include_str!("../../catalog/plants/reheat250.json")).unwrap()
    }

    /// List, places and truths go by one order: at rest each shows its own signal's truth.
    #[test]
    fn at_rest_every_transmitter_shows_its_own_truth() {
        let mut sim = Sim::new(plant()).unwrap();
        sim.advance(400).unwrap();
        let (p, mut values) = (sim.params(), Vec::new());
        crate::signals::read(&sim, &mut values);
        let definitions = crate::signals::definitions(&sim);
        let value = |id: &str| {
            let at = definitions.iter().position(|d| d.id == id);
            values[at.unwrap_or_else(|| panic!("{id}"))]
        };
        let process = &p.instruments.list[p.instruments.levels..];
        assert_eq!(process.len(), sim.outputs().truths.len());
        for t in process {
            let (shown, truth) = (value(&t.id), value(&format!("{}_true", t.id)));
            assert!((shown - truth).abs() <= 1e-6 * (t.high - t.low), "{}: {shown}, {truth}", t.id);
            assert!(truth >= t.low && truth <= t.high, "{}: {truth}", t.id);
        }
        let closed = [(at::OUTLET, "fw_out_temperature"), (at::STEAM, "extraction_flow")];
        assert!(closed.iter().all(|(i, name)| CLOSED[*i].name == *name));
        let unit = [
            (at::THROTTLE, "throttle_flow"),
            (at::GROSS, "gross_output"),
            (at::FEED, "feed_flow"),
            (at::CONDENSATE, "condensate_flow"),
            (at::VACUUM, "condenser_pressure"),
            (at::HEADER, "feed_pump_discharge"),
            (at::SUCTION_TEMPERATURE, "feed_pump_suction_temperature"),
            (at::SUCTION, "suction_head_available"),
        ];
        assert!(unit.iter().all(|(i, name)| UNIT[*i].name == *name));
        let last = Of::Pump(2).first(p.closed.len());
        assert_eq!(process[last].id, "fp3.pump_flow");
        let last = Of::Casing(6 + 2).first(p.closed.len());
        assert_eq!(process[last].id, "fp3.casing_temperature");
    }

    /// A plant that trips on low vacuum beyond the air's pressure has a transmitter that reaches its mark.
    #[test]
    fn whatever_trips_on_it_the_vacuum_is_measured() {
        let mut plant = plant();
        plant.protection.vacuum_low = Some(0.3);
        let sim = Sim::new(plant).unwrap();
        let vacuum =
            &sim.params().instruments.process()[Of::Unit.first(sim.params().closed.len()) + at::VACUUM];
        assert!(vacuum.id == "unit.condenser_pressure" && vacuum.high > 0.3, "{} {}", vacuum.id, vacuum.high);
    }

    /// 1 MPa: 453.035632 K (IAPWS R7-97, table 36); a dead transmitter's end of range gives a number, not a fault.
    #[test]
    fn saturation_beside_a_shown_pressure() {
        assert!((saturation(1.0) - (453.035_632 - 273.15)).abs() < 1e-5);
        assert!(saturation(0.0) < 0.1 && (saturation(60.0) - 349.9).abs() < 0.2);
    }
}
