//! What a plant file must fulfil beyond its form. Every fault is reported, not only the first.

use super::file::{
    Attitude, BoilerEquipment, ClosedHeater, CondenserEquipment, DrainTo, DrainValve, Economics, Extraction,
    ExtractionValves, FORMAT, FeedPumpEquipment, Heater, HeaterEquipment, LevelSettings, OpenEquipment,
    OpenHeater, Plant, Shell,
};
use super::{crossover, drains, pegging, protection, turbine_check, vent_check};
use crate::condensate_pump;
use crate::fault::Fault;
use crate::feed_pump;
use crate::steady::Model;

pub(super) struct Report {
    faults: Vec<Fault>,
}

impl Report {
    pub(super) fn need(&mut self, holds: bool, place: impl Into<String>, message: String, remedy: &str) {
        if !holds {
            self.faults.push(Fault::new("plant_value", place, message, remedy));
        }
    }

    /// The value lies within `low..=high`.
    pub(super) fn within(&mut self, place: impl Into<String>, value: f64, low: f64, high: f64, unit: &str) {
        let place = place.into();
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        self.need(
            value >= low && value <= high,
            place,
            format!("{value}{unit} is outside {low} to {high}{unit}."),
            "Give a value inside this range.",
        );
    }
}

/// Checks a plant that has the right form; an empty list means it can be sized.
pub fn check(plant: &Plant) -> Vec<Fault> {
    let mut r = Report { faults: Vec::new() };
    r.need(
        plant.format == FORMAT,
        "format",
        format!("'{}' is not a format this build reads.", plant.format),
        "This build reads bledsteam-plant/1.",
    );
    boiler(plant, &mut r);
    turbine_check::turbine(plant, &mut r);
    vent_check::vents(plant, &mut r);
    heaters(plant, &mut r);
    groups(plant, &mut r);
    condenser_and_pumps(plant, &mut r);
    if let Some(e) = &plant.economics {
        // Up to nuclear fuel at any burn-up.
        r.within("economics.heating_value", e.heating_value, 1e3, 1e11, "kJ/kg");
        r.within("economics.fuel_price", e.fuel_price, 0.0, 1e4, "per GJ");
        r.within("economics.carbon_dioxide", e.carbon_dioxide, 0.0, 500.0, "kg/GJ");
    }
    let i = &plant.instruments;
    protection::check(plant, &mut r);
    r.within("instruments.level_lag", i.level_lag, 0.0, 60.0, "s");
    r.within("instruments.level_noise", i.level_noise, 0.0, 50.0, "mm");
    r.within("instruments.level_resolution", i.level_resolution, 0.0, 20.0, "mm");
    r.within("instruments.temperature_lag", i.temperature_lag, 0.0, 60.0, "s");
    r.within("instruments.pressure_lag", i.pressure_lag, 0.0, 10.0, "s");
    r.within("instruments.flow_lag", i.flow_lag, 0.0, 10.0, "s");
    r.within("instruments.noise", i.noise, 0.0, 0.02, "of the span");
    r.faults
}

fn boiler(plant: &Plant, r: &mut Report) {
    let b = &plant.boiler;
    r.within("boiler.steam_flow", b.steam_flow, 1.0, 5000.0, "kg/s");
    r.within("boiler.steam_pressure", b.steam_pressure, 0.5, 30.0, "MPa");
    r.need(
        b.steam_temperature.is_some() != b.steam_quality.is_some(),
        "boiler",
        "give either steam_temperature or steam_quality.".into(),
        "Superheated steam has a temperature of its own, saturated steam a quality.",
    );
    if let Some(t) = b.steam_temperature {
        r.within("boiler.steam_temperature", t, 150.0, 650.0, "°C");
    }
    if let Some(x) = b.steam_quality {
        r.within("boiler.steam_quality", x, 0.9, 1.0, "");
        r.within("boiler.steam_pressure", b.steam_pressure, 0.5, 16.0, "MPa");
    }
    r.within("boiler.drum_pressure", b.drum_pressure, b.steam_pressure, 40.0, "MPa");
    r.within("boiler.feed_line_loss", b.feed_line_loss, 0.0, 10.0, "MPa");
    r.within("boiler.drum_elevation", b.drum_elevation, 0.0, 150.0, "m");
    r.within("boiler.efficiency", b.efficiency, 0.3, 1.0, "");
    r.within("boiler.steam_gas", b.steam_gas, 0.0, 1e-3, "");
    if let Some(e) = &b.equipment {
        r.within("boiler.equipment.drum_surface", e.drum_surface, 0.1, 1000.0, "m²");
        r.within("boiler.equipment.drum_mass", e.drum_mass, 100.0, 1e7, "kg");
        r.within("boiler.equipment.load_rate", e.load_rate, 0.001, 1.0, "per minute");
        r.within("boiler.equipment.feed_line_volume", e.feed_line_volume, 0.01, 1000.0, "m³");
    }
    if let Some(h) = &b.reheat {
        r.within("boiler.reheat.temperature", h.temperature, 150.0, 650.0, "°C");
        r.within("boiler.reheat.pressure_loss", h.pressure_loss, 0.0, 0.5, "");
        let at = plant.heaters.iter().position(|x| x.id() == h.after);
        r.need(
            at.is_some(),
            "boiler.reheat.after",
            format!("there is no heater '{}'.", h.after),
            "Name the heater whose extraction point the steam passes last before it is reheated.",
        );
        if let (Some(i), Some(p)) = (at, h.pressure) {
            let above = plant.heaters[i].extraction().pressure;
            let below =
                plant.heaters.get(i + 1).map_or(plant.condenser.pressure, |x| x.extraction().pressure);
            r.need(
                p < above && p * (1.0 - h.pressure_loss) > below,
                "boiler.reheat.pressure",
                format!("{p} MPa does not lie between the points of {above} and {below} MPa."),
                "Leave the pressure out where the extraction is taken from the cold reheat line itself.",
            );
        }
    }
}

fn heaters(plant: &Plant, r: &mut Report) {
    let n = plant.heaters.len();
    let closed = plant.heaters.iter().filter(|h| matches!(h, Heater::Closed(_))).count();
    r.need(
        closed <= 10 && n > 0,
        "heaters",
        format!("{closed} closed heaters of {n}."),
        "A plant has at least one heater and at most 10 closed ones.",
    );
    r.need(
        n - closed <= 1,
        "heaters",
        format!("{} open heaters.", n - closed),
        "Give at most one open heater: the feed pumps draw from it.",
    );
    let mut above = plant.boiler.steam_pressure * (1.0 - plant.turbine.inlet_loss);
    for (i, h) in plant.heaters.iter().enumerate() {
        let place = format!("heaters[{i}]");
        r.need(
            !h.id().is_empty()
                && h.id().len() <= 12
                && h.id().chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit()),
            format!("{place}.id"),
            format!("'{}' is not an id.", h.id()),
            "Use 1 to 12 small letters and digits.",
        );
        r.need(
            !is_kept(h.id()) && plant.heaters.iter().filter(|o| o.id() == h.id()).count() == 1,
            format!("{place}.id"),
            format!("'{}' is used twice, or is kept for the unit, the condenser or a pump.", h.id()),
            "Give every heater an id of its own.",
        );
        extraction(h.extraction(), &place, above, plant.condenser.pressure, r);
        above = h.extraction().pressure;
        match h {
            Heater::Closed(c) => closed_heater(c, &place, i + 1 == n, r),
            Heater::Open(o) => open_heater(o, &place, r),
        }
    }
}

/// Whether an id is kept for something that every plant has: the unit, the condenser, feed pumps `fp1` and so on,
/// condensate pumps `cp1` and so on.
fn is_kept(id: &str) -> bool {
    let pump = |rest: &str| !rest.is_empty() && rest.chars().all(|c| c.is_ascii_digit());
    id == "unit"
        || id == "condenser"
        || ["fp", "cp"].iter().any(|kind| id.strip_prefix(kind).is_some_and(pump))
}

fn open_heater(o: &OpenHeater, place: &str, r: &mut Report) {
    let Some(e) = &o.equipment else { return };
    let place = format!("{place}.equipment");
    valves(&e.extraction, &place, r);
    shell(&e.tank, &format!("{place}.tank"), r);
    r.within(format!("{place}.suction_pipe"), e.suction_pipe, 0.01, 500.0, "m³");
    r.within(format!("{place}.suction_loss"), e.suction_loss, 0.0, 20.0, "m");
    r.within(format!("{place}.level_gain"), e.level_gain, 1e-7, 0.1, "per mm");
    r.within(format!("{place}.level_integral_time"), e.level_integral_time, 1.0, 1e5, "s");
    if let Some(g) = &e.pegging {
        pegging::check(g, &place, o.extraction.pressure * (1.0 - o.extraction.line_loss), r);
    }
}

fn extraction(e: &Extraction, place: &str, above: f64, condenser: f64, r: &mut Report) {
    let here = format!("{place}.extraction");
    r.need(
        e.pressure < above && e.pressure > condenser,
        format!("{here}.pressure"),
        format!(
            "{} MPa is not between the condenser's {condenser} MPa and the {above} MPa of the point before.",
            e.pressure
        ),
        "List the heaters in the order the steam meets them, each at a lower pressure than the one before.",
    );
    r.within(format!("{here}.pressure"), e.pressure, 0.002, 16.0, "MPa");
    r.within(format!("{here}.line_loss"), e.line_loss, 0.0, 0.4, "");
}

fn valves(e: &ExtractionValves, place: &str, r: &mut Report) {
    let here = format!("{place}.extraction");
    r.within(format!("{here}.stop_stroke"), e.stop_stroke, 0.5, 600.0, "s");
    r.within(format!("{here}.non_return_close"), e.non_return_close, 0.1, 60.0, "s");
    if let Some(d) = &e.line_drain {
        super::line_drain::check(d, &here, r);
    }
}

fn closed_heater(c: &ClosedHeater, place: &str, last: bool, r: &mut Report) {
    r.need(
        c.ttd.is_some() != c.outlet_temperature.is_some(),
        place,
        "give either ttd or outlet_temperature.".into(),
        "One of the two says how far the feedwater is heated.",
    );
    if let Some(ttd) = c.ttd {
        r.within(
            format!("{place}.ttd"),
            ttd,
            if c.desuperheating.is_some() { -10.0 } else { 0.0 },
            60.0,
            "K",
        );
    }
    if let Some(t) = c.outlet_temperature {
        r.within(format!("{place}.outlet_temperature"), t, 5.0, 345.0, "°C");
    }
    if let Some(d) = &c.desuperheating {
        r.within(format!("{place}.desuperheating.residual_superheat"), d.residual_superheat, 0.0, 150.0, "K");
    }
    if let Some(d) = &c.drain_cooling {
        r.within(format!("{place}.drain_cooling.approach"), d.approach, 0.5, 60.0, "K");
    }
    r.within(format!("{place}.water_resistance"), c.water_resistance, 0.01, 0.95, "");
    r.need(
        !(last && c.drains_to == DrainTo::Next),
        format!("{place}.drains_to"),
        "the last heater has no next heater.".into(),
        "Drain the last heater to the condenser, or pump its drain forward.",
    );
    if let DrainTo::Forward(p) = &c.drains_to {
        drains::check_pump(p, place, r);
        if let Some(to) = p.pressure {
            let shell = c.extraction.pressure * (1.0 - c.extraction.line_loss);
            r.within(format!("{place}.drains_to.forward.pressure"), to, shell.max(0.01), 40.0, "MPa");
        }
    }
    if let Some(e) = &c.equipment {
        heater_equipment(c, e, &format!("{place}.equipment"), r);
    }
}

fn heater_equipment(c: &ClosedHeater, e: &HeaterEquipment, place: &str, r: &mut Report) {
    valves(&e.extraction, place, r);
    shell(&e.shell, &format!("{place}.shell"), r);
    r.need(
        e.drain_inlet.is_some() == c.drain_cooling.is_some(),
        format!("{place}.drain_inlet"),
        "a drain inlet belongs to a drain-cooling zone, and to no other heater.".into(),
        "Give both or neither.",
    );
    if let Some(d) = &e.drain_inlet {
        r.need(
            d.bottom >= 0.0 && d.top > d.bottom && d.top <= e.shell.normal_level,
            format!("{place}.drain_inlet"),
            format!(
                "an inlet from {} to {} m is not below the normal level of {} m.",
                d.bottom, d.top, e.shell.normal_level
            ),
            "Put the drain cooler's inlet under normal level.",
        );
    }
    r.within(format!("{place}.tube_water"), e.tube_water, 1.0, 1e6, "kg");
    r.within(format!("{place}.tube_metal"), e.tube_metal, 1.0, 1e6, "kg");
    r.within(format!("{place}.air_leakage"), e.air_leakage, 0.0, 0.1, "kg/s");
    r.within(format!("{place}.tube_bore"), e.tube_bore, 0.004, 0.1, "m");
    r.within(format!("{place}.outlet_pipe"), e.outlet_pipe, 0.01, 500.0, "m³");
    r.within(format!("{place}.ramp_limit"), e.ramp_limit, 0.1, 60.0, "K/min");
    drain_valve(&e.normal_drain, &format!("{place}.normal_drain"), r);
    drain_valve(&e.emergency_drain, &format!("{place}.emergency_drain"), r);
    level(&e.level, &e.shell, &format!("{place}.level"), r);
}

fn drain_valve(v: &DrainValve, place: &str, r: &mut Report) {
    if let Some(at) = v.fails_to {
        r.within(format!("{place}.fails_to"), at, 0.0, 1.0, "");
    }
    r.within(format!("{place}.design_opening"), v.design_opening, 0.05, 1.0, "");
    r.within(format!("{place}.recovery"), v.recovery, 0.3, 1.0, "");
    r.within(format!("{place}.stroke"), v.stroke, 0.5, 300.0, "s");
}

fn level(l: &LevelSettings, s: &Shell, place: &str, r: &mut Report) {
    r.need(
        l.low < 0.0 && 0.0 < l.high && l.high <= l.emergency && l.emergency < l.high_high,
        place,
        format!(
            "low {}, high {}, emergency {}, high-high {} mm are out of order.",
            l.low, l.high, l.emergency, l.high_high
        ),
        "Marks rise from low (below 0) over high and emergency to high-high.",
    );
    r.within(format!("{place}.high_high"), l.high_high, 0.0, 1e3 * (height(s) - s.normal_level), "mm");
    r.within(format!("{place}.low"), l.low, -1e3 * s.normal_level, 0.0, "mm");
    r.within(format!("{place}.emergency_band"), l.emergency_band, 1.0, 2000.0, "mm");
    r.within(format!("{place}.high_high_delay"), l.high_high_delay, 0.0, 60.0, "s");
    r.within(format!("{place}.gain"), l.gain, 1e-5, 1.0, "per mm");
    r.within(format!("{place}.integral_time"), l.integral_time, 1.0, 1e4, "s");
}

fn height(s: &Shell) -> f64 {
    match s.attitude {
        Attitude::Horizontal => s.diameter,
        Attitude::Vertical => s.length,
    }
}

fn shell(s: &Shell, place: &str, r: &mut Report) {
    r.within(format!("{place}.diameter"), s.diameter, 0.1, 10.0, "m");
    r.within(format!("{place}.length"), s.length, 0.2, 60.0, "m");
    r.within(format!("{place}.tube_share"), s.tube_share, 0.0, 0.8, "");
    let height = height(s);
    r.within(format!("{place}.normal_level"), s.normal_level, 0.02, 0.9 * height, "m");
    r.within(format!("{place}.lowest_tube"), s.lowest_tube, 0.0, 0.95 * height, "m");
    r.within(format!("{place}.metal"), s.metal, 10.0, 1e7, "kg");
    r.within(format!("{place}.metal_lag"), s.metal_lag, 1.0, 1e4, "s");
    r.within(format!("{place}.elevation"), s.elevation, -50.0, 150.0, "m");
}

fn groups(plant: &Plant, r: &mut Report) {
    let open = plant.heaters.iter().position(|h| matches!(h, Heater::Open(_)));
    let mut seen: Vec<&str> = Vec::new();
    for (g, group) in plant.bypass_groups.iter().enumerate() {
        let mut at = Vec::new();
        for (k, id) in group.iter().enumerate() {
            let place = format!("bypass_groups[{g}][{k}]");
            match plant.heaters.iter().position(|h| h.id() == id && matches!(h, Heater::Closed(_))) {
                Some(i) => at.push(i),
                None => {
                    r.need(false, place.clone(), format!("there is no closed heater '{id}'."), "Use ids.")
                }
            }
            r.need(
                !seen.contains(&id.as_str()),
                place,
                format!("'{id}' is grouped twice."),
                "Group it once.",
            );
            seen.push(id);
        }
        at.sort_unstable();
        let joined = at.windows(2).all(|w| w[1] == w[0] + 1);
        r.need(
            joined,
            format!("bypass_groups[{g}]"),
            "the heaters of a group do not follow one another.".into(),
            "Group neighbours on one side of the open heater.",
        );
        if let (Some(o), Some(a), Some(b)) = (open, at.first(), at.last()) {
            r.need(
                *b < o || *a > o,
                format!("bypass_groups[{g}]"),
                "the group reaches across the open heater.".into(),
                "Group neighbours on one side of the open heater.",
            );
        }
    }
    for (g, group) in plant.bypass_groups.iter().enumerate() {
        // The water meets the group from its lowest pressure up: the first in the list of heaters is its end.
        let end = plant.heaters.iter().find(|h| group.iter().any(|id| id == h.id())).map(Heater::id);
        let inside =
            plant.heaters.iter().filter(|h| group.iter().any(|id| id == h.id()) && Some(h.id()) != end);
        for h in inside {
            let forward = matches!(h, Heater::Closed(c) if matches!(c.drains_to, DrainTo::Forward(_)));
            r.need(
                !forward,
                format!("bypass_groups[{g}]"),
                format!("'{}' pumps its drain into the middle of the group.", h.id()),
                "Let only the last heater that the water meets in a group pump its drain forward.",
            );
        }
    }
    r.within("bypass_stroke", plant.bypass_stroke, 0.5, 600.0, "s");
}

fn condenser_and_pumps(plant: &Plant, r: &mut Report) {
    let c = &plant.condenser;
    r.within("condenser.pressure", c.pressure, 0.0015, 0.1, "MPa");
    if let Some(w) = &c.cooling {
        r.within("condenser.cooling.inlet", w.inlet, 0.5, 60.0, "°C");
        r.within("condenser.cooling.rise", w.rise, 0.5, 40.0, "K");
        if let Ok(t) = steam::t_sat(c.pressure) {
            r.need(
                w.inlet + w.rise < t,
                "condenser.cooling.rise",
                format!(
                    "cooling water would leave at {:.1} °C, the steam condenses at {t:.1} °C.",
                    w.inlet + w.rise
                ),
                "Lower the rise or the inlet temperature, or raise the condenser pressure.",
            );
        }
    }
    r.within("condenser.makeup_temperature", c.makeup_temperature, 1.0, 90.0, "°C");
    if let Some(e) = &c.equipment {
        r.within("condenser.equipment.metal", e.metal, 100.0, 1e7, "kg");
        r.within("condenser.equipment.hotwell_mass", e.hotwell_mass, 100.0, 1e7, "kg");
        r.within("condenser.equipment.hotwell_surface", e.hotwell_surface, 0.5, 2000.0, "m²");
        r.within("condenser.equipment.makeup_limit", e.makeup_limit, 0.1, 1000.0, "kg/s");
        r.within("condenser.equipment.elevation", e.elevation, -50.0, 100.0, "m");
        r.within("condenser.equipment.steam_volume", e.steam_volume, 1.0, 1e5, "m³");
        r.within("condenser.equipment.vacuum_pump", e.vacuum_pump, 1e-3, 100.0, "m³/s");
    }
    let p = &plant.condensate_pumps;
    r.within("condensate_pumps.discharge_pressure", p.discharge_pressure, 0.005, 20.0, "MPa");
    if let Some(h) = plant.heaters.iter().find(|h| matches!(h, Heater::Open(_))) {
        let tank = h.extraction().pressure * (1.0 - h.extraction().line_loss);
        r.need(
            p.discharge_pressure >= tank * (1.0 - 1e-12),
            "condensate_pumps.discharge_pressure",
            format!("{} MPa does not reach the open heater's {tank} MPa.", p.discharge_pressure),
            "Raise the discharge pressure.",
        );
    }
    r.within("condensate_pumps.efficiency", p.efficiency, 0.1, 1.0, "");
    r.within("condensate_pumps.largest_flow", p.largest_flow, 1.0, 3.0, "of design");
    if let Some(e) = &p.equipment {
        r.need(
            e.installed >= e.running && e.running >= 1 && e.installed <= 8,
            "condensate_pumps.equipment",
            format!("{} of {} pumps running.", e.running, e.installed),
            "Install 1 to 8 pumps and run at least one of them.",
        );
        r.within("condensate_pumps.equipment.shutoff_head", e.shutoff_head, 1.02, 2.0, "of design");
        r.within("condensate_pumps.equipment.run_up", e.run_up, 0.5, 600.0, "s");
        r.within("condensate_pumps.equipment.coast_down", e.coast_down, 0.5, 600.0, "s");
    }
    let f = &plant.feed_pumps;
    r.within("feed_pumps.efficiency", f.efficiency, 0.3, 1.0, "");
    r.within("feed_pumps.drive_efficiency", f.drive_efficiency, 0.3, 1.0, "");
    if let Some(p) = f.heater_pressure {
        r.within("feed_pumps.heater_pressure", p, 0.1, plant.boiler.drum_pressure, "MPa");
    }
    if let Some(e) = &f.equipment {
        r.need(
            e.installed >= e.running && e.running >= 1 && e.installed <= 8,
            "feed_pumps.equipment",
            format!("{} of {} pumps running.", e.running, e.installed),
            "Install 1 to 8 pumps and run at least one of them.",
        );
        r.within("feed_pumps.equipment.speed", e.speed, 100.0, 20_000.0, "rpm");
        r.within("feed_pumps.equipment.largest_speed", e.largest_speed, 1.0, 1.5, "of design");
        r.within("feed_pumps.equipment.shutoff_head", e.shutoff_head, 1.02, 2.0, "of design");
        r.within("feed_pumps.equipment.npsh_required", e.npsh_required, 0.5, 100.0, "m");
        r.within("feed_pumps.equipment.elevation", e.elevation, -50.0, 50.0, "m");
        r.within("feed_pumps.equipment.flow_rate", e.flow_rate, 0.001, 1.0, "per second");
        r.within("feed_pumps.equipment.largest_flow", e.largest_flow, 1.06, 2.0, "of design");
        r.within("feed_pumps.equipment.minimum_flow", e.minimum_flow, 0.02, 0.6, "of design");
        r.within("feed_pumps.equipment.recirculation_stroke", e.recirculation_stroke, 0.5, 120.0, "s");
        r.within("feed_pumps.equipment.run_up", e.run_up, 1.0, 600.0, "s");
        r.within("feed_pumps.equipment.coast_down", e.coast_down, 0.5, 600.0, "s");
        r.within("feed_pumps.equipment.starved_delay", e.starved_delay, 0.0, 120.0, "s");
        r.within("feed_pumps.equipment.low_header", e.low_header, 0.1, 0.99, "of design");
        r.within("feed_pumps.equipment.runback_rate", e.runback_rate, 0.02, 10.0, "per minute");
        if let Some(w) = &e.warm_up {
            w.check("feed_pumps.equipment", plant.boiler.steam_flow, r);
        }
    }
}

/// The equipment of a plant that has all of it.
#[derive(Clone, Copy, Debug)]
pub struct Equipped<'a> {
    /// Drum and feed line.
    pub boiler: &'a BoilerEquipment,
    /// The open heater and what it is made of.
    pub open: (&'a OpenHeater, &'a OpenEquipment),
    /// Condenser inventory.
    pub condenser: &'a CondenserEquipment,
    /// Prices.
    pub economics: &'a Economics,
    /// Feed pumps.
    pub feed_pumps: &'a FeedPumpEquipment,
}

impl Equipped<'_> {
    /// The sized feed pumps.
    pub fn sized_feed_pumps(&self, model: &Model) -> Result<feed_pump::Params, Fault> {
        model.feed_pumps.clone().ok_or_else(|| missing(&["feed_pumps.equipment".to_owned()]))
    }

    /// The sized condensate pumps.
    pub fn sized_condensate_pumps(&self, model: &Model) -> Result<condensate_pump::Params, Fault> {
        model.condensate_pumps.clone().ok_or_else(|| missing(&["feed_pumps.equipment".to_owned()]))
    }
}

fn missing(places: &[String]) -> Fault {
    Fault::new(
        "cannot_run",
        places.join(", "),
        "this plant can be balanced but not run: the equipment named here is missing.",
        "Give the equipment of these components.",
    )
}

/// The equipment that running needs.
///
/// # Errors
/// When any is missing, with every place where it is.
pub fn equipped(plant: &Plant) -> Result<Equipped<'_>, Fault> {
    let mut places = Vec::new();
    let mut lacks = |lacks: bool, place: String| {
        if lacks {
            places.push(place);
        }
    };
    for (i, h) in plant.heaters.iter().enumerate() {
        let lacking = match h {
            Heater::Closed(c) => c.equipment.is_none(),
            Heater::Open(o) => o.equipment.is_none(),
        };
        lacks(lacking, format!("heaters[{i}].equipment"));
    }
    let open = plant.heaters.iter().find_map(|h| match h {
        Heater::Open(o) => Some((o, o.equipment.as_deref()?)),
        Heater::Closed(_) => None,
    });
    lacks(!plant.heaters.iter().any(|h| matches!(h, Heater::Open(_))), "heaters (an open heater)".into());
    lacks(plant.feed_pumps.equipment.is_none(), "feed_pumps.equipment".into());
    lacks(
        plant.feed_pumps.heater_pressure.is_some(),
        "feed_pumps.heater_pressure (a last stage behind the heaters is not run)".into(),
    );
    let pumps = &plant.feed_pumps.equipment;
    let found = (&plant.boiler.equipment, open, &plant.condenser.equipment, &plant.economics, pumps);
    lacks(found.0.is_none(), "boiler.equipment".into());
    lacks(found.2.is_none(), "condenser.equipment".into());
    lacks(found.3.is_none(), "economics".into());
    match found {
        (Some(boiler), Some(open), Some(condenser), Some(economics), Some(feed_pumps))
            if places.is_empty() =>
        {
            Ok(Equipped { boiler, open, condenser, economics, feed_pumps })
        }
        _ => Err(missing(&places)),
    }
}

/// What is possible but unlikely: worth a look, no reason to refuse (*common practice, no source*).
pub fn advise(plant: &Plant) -> Vec<Fault> {
    let mut list = Vec::new();
    let mut unlikely = |is: bool, place: String, message: String| {
        if is {
            list.push(Fault::new("unlikely", place, message, "Check the figure against the data sheet."));
        }
    };
    for (i, h) in plant.heaters.iter().enumerate() {
        let e = h.extraction();
        unlikely(
            e.line_loss > 0.12,
            format!("heaters[{i}].extraction.line_loss"),
            format!("{:.0} % of pressure lost in an extraction line is much.", e.line_loss * 100.0),
        );
        if let Heater::Closed(c) = h {
            if let Some(ttd) = c.ttd {
                unlikely(
                    !(-4.0..=10.0).contains(&ttd),
                    format!("heaters[{i}].ttd"),
                    format!("a terminal temperature difference of {ttd} K is unusual at design."),
                );
            }
            if let Some(d) = &c.drain_cooling {
                unlikely(
                    !(2.0..=20.0).contains(&d.approach),
                    format!("heaters[{i}].drain_cooling.approach"),
                    format!("a drain cooler approach of {} K is unusual at design.", d.approach),
                );
            }
        }
    }
    crossover::advise(plant, &mut unlikely);
    unlikely(
        plant.condenser.pressure > 0.015,
        "condenser.pressure".into(),
        format!("{:.1} kPa is high for a condenser.", plant.condenser.pressure * 1e3),
    );
    for (i, e) in plant.turbine.section_efficiency.iter().enumerate() {
        unlikely(
            !(0.75..=0.96).contains(e),
            format!("turbine.section_efficiency[{i}]"),
            format!("{e} is unusual for a section."),
        );
    }
    list
}
