//! What a plant file must fulfil beyond its form. Every fault is reported, not only the first.

use super::file::{ClosedHeater, DrainTo, Extraction, FORMAT, Heater, Plant, Shell};
use crate::fault::Fault;

struct Report {
    faults: Vec<Fault>,
}

impl Report {
    fn need(&mut self, holds: bool, place: impl Into<String>, message: String, remedy: &str) {
        if !holds {
            self.faults.push(Fault::new("plant_value", place, message, remedy));
        }
    }

    /// The value lies within `low..=high`.
    fn within(&mut self, place: impl Into<String>, value: f64, low: f64, high: f64, unit: &str) {
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
    turbine(plant, &mut r);
    heaters(plant, &mut r);
    groups(plant, &mut r);
    condenser_and_pumps(plant, &mut r);
    let e = &plant.economics;
    r.within("economics.heating_value", e.heating_value, 1e3, 1.5e5, "kJ/kg");
    r.within("economics.fuel_price", e.fuel_price, 0.0, 1e4, "per GJ");
    r.within("economics.carbon_dioxide", e.carbon_dioxide, 0.0, 500.0, "kg/GJ");
    r.faults
}

fn boiler(plant: &Plant, r: &mut Report) {
    let b = &plant.boiler;
    r.within("boiler.steam_flow", b.steam_flow, 1.0, 5000.0, "kg/s");
    r.within("boiler.steam_pressure", b.steam_pressure, 0.5, 30.0, "MPa");
    r.within("boiler.steam_temperature", b.steam_temperature, 150.0, 650.0, "°C");
    r.within("boiler.drum_pressure", b.drum_pressure, b.steam_pressure, 40.0, "MPa");
    r.within("boiler.feed_line_loss", b.feed_line_loss, 0.0, 10.0, "MPa");
    r.within("boiler.drum_elevation", b.drum_elevation, 0.0, 150.0, "m");
    r.within("boiler.drum_surface", b.drum_surface, 0.1, 1000.0, "m²");
    r.within("boiler.drum_mass", b.drum_mass, 100.0, 1e7, "kg");
    r.within("boiler.efficiency", b.efficiency, 0.3, 1.0, "");
    r.within("boiler.load_rate", b.load_rate, 0.001, 1.0, "per minute");
    r.within("boiler.feed_line_volume", b.feed_line_volume, 0.01, 1000.0, "m³");
    if let Some(h) = &b.reheat {
        r.within("boiler.reheat.temperature", h.temperature, 150.0, 650.0, "°C");
        r.within("boiler.reheat.pressure_loss", h.pressure_loss, 0.0, 0.5, "");
        r.need(
            plant.heaters.iter().any(|x| x.id() == h.after),
            "boiler.reheat.after",
            format!("there is no heater '{}'.", h.after),
            "Name the heater whose extraction comes from the cold reheat line.",
        );
    }
}

fn turbine(plant: &Plant, r: &mut Report) {
    let t = &plant.turbine;
    r.within("turbine.inlet_loss", t.inlet_loss, 0.0, 0.3, "");
    r.need(
        t.section_efficiency.len() == plant.heaters.len() + 1,
        "turbine.section_efficiency",
        format!("{} efficiencies for {} heaters.", t.section_efficiency.len(), plant.heaters.len()),
        "Give one efficiency more than there are heaters, in the order of the steam.",
    );
    for (i, e) in t.section_efficiency.iter().enumerate() {
        r.within(format!("turbine.section_efficiency[{i}]"), *e, 0.3, 1.0, "");
    }
    r.within("turbine.wetness_factor", t.wetness_factor, 0.0, 2.0, "");
    r.within("turbine.leaving_loss", t.leaving_loss, 0.0, 150.0, "kJ/kg");
    r.within("turbine.generator_efficiency", t.generator_efficiency, 0.5, 1.0, "");
}

fn heaters(plant: &Plant, r: &mut Report) {
    let n = plant.heaters.len();
    let closed = plant.heaters.iter().filter(|h| matches!(h, Heater::Closed(_))).count();
    r.need(
        (1..=10).contains(&closed),
        "heaters",
        format!("{closed} closed heaters."),
        "A plant has 1 to 10 closed heaters.",
    );
    r.need(
        n - closed == 1,
        "heaters",
        format!("{} open heaters.", n - closed),
        "Give exactly one open heater: the feed pumps draw from its tank.",
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
            h.id() != "unit" && plant.heaters.iter().filter(|o| o.id() == h.id()).count() == 1,
            format!("{place}.id"),
            format!("'{}' is used twice, or is the word kept for the whole unit.", h.id()),
            "Give every heater an id of its own.",
        );
        extraction(h.extraction(), &place, above, plant.condenser.pressure, r);
        above = h.extraction().pressure;
        match h {
            Heater::Closed(c) => closed_heater(c, &place, i + 1 == n, r),
            Heater::Open(o) => {
                shell(&o.tank, &format!("{place}.tank"), r);
                r.within(format!("{place}.vent_flow"), o.vent_flow, 0.0, 10.0, "kg/s");
                r.within(format!("{place}.suction_pipe"), o.suction_pipe, 0.01, 500.0, "m³");
                r.within(format!("{place}.suction_loss"), o.suction_loss, 0.0, 20.0, "m");
                r.within(format!("{place}.level_gain"), o.level_gain, 1e-7, 0.1, "per mm");
                r.within(format!("{place}.level_integral_time"), o.level_integral_time, 1.0, 1e5, "s");
            }
        }
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
    r.within(format!("{here}.line_loss"), e.line_loss, 0.001, 0.4, "");
    r.within(format!("{here}.stop_stroke"), e.stop_stroke, 0.5, 600.0, "s");
    r.within(format!("{here}.non_return_close"), e.non_return_close, 0.1, 60.0, "s");
}

fn closed_heater(c: &ClosedHeater, place: &str, last: bool, r: &mut Report) {
    r.within(format!("{place}.ttd"), c.ttd, if c.desuperheating.is_some() { -5.0 } else { 0.1 }, 30.0, "K");
    if let Some(d) = &c.desuperheating {
        r.within(format!("{place}.desuperheating.residual_superheat"), d.residual_superheat, 0.0, 150.0, "K");
    }
    shell(&c.shell, &format!("{place}.shell"), r);
    if let Some(d) = &c.drain_cooling {
        r.within(format!("{place}.drain_cooling.approach"), d.approach, 0.5, 60.0, "K");
        r.need(
            d.inlet_bottom >= 0.0 && d.inlet_top > d.inlet_bottom && d.inlet_top <= c.shell.normal_level,
            format!("{place}.drain_cooling.inlet_top"),
            format!(
                "an inlet from {} to {} m is not below the normal level of {} m.",
                d.inlet_bottom, d.inlet_top, c.shell.normal_level
            ),
            "Put the drain cooler's inlet under normal level.",
        );
    }
    r.within(format!("{place}.water_resistance"), c.water_resistance, 0.01, 0.95, "");
    r.within(format!("{place}.tube_water"), c.tube_water, 1.0, 1e6, "kg");
    r.within(format!("{place}.tube_metal"), c.tube_metal, 1.0, 1e6, "kg");
    r.within(format!("{place}.outlet_pipe"), c.outlet_pipe, 0.01, 500.0, "m³");
    r.within(format!("{place}.ramp_limit"), c.ramp_limit, 0.1, 60.0, "K/min");
    for (name, v) in [("normal", &c.drains.normal), ("emergency", &c.drains.emergency)] {
        let here = format!("{place}.drains.{name}");
        r.within(format!("{here}.design_opening"), v.design_opening, 0.05, 1.0, "");
        r.within(format!("{here}.recovery"), v.recovery, 0.3, 1.0, "");
        r.within(format!("{here}.stroke"), v.stroke, 0.5, 300.0, "s");
    }
    r.need(
        !(last && c.drains.to == DrainTo::Next),
        format!("{place}.drains.to"),
        "the last heater has no next heater.".into(),
        "Drain the last heater to the condenser.",
    );
    let l = &c.level;
    r.need(
        l.low < 0.0 && 0.0 < l.high && l.high <= l.emergency && l.emergency < l.high_high,
        format!("{place}.level"),
        format!(
            "low {}, high {}, emergency {}, high-high {} mm are out of order.",
            l.low, l.high, l.emergency, l.high_high
        ),
        "Marks rise from low (below 0) over high and emergency to high-high.",
    );
    r.within(
        format!("{place}.level.high_high"),
        l.high_high,
        0.0,
        1e3 * (c.shell.diameter.max(c.shell.length) - c.shell.normal_level),
        "mm",
    );
    r.within(format!("{place}.level.low"), l.low, -1e3 * c.shell.normal_level, 0.0, "mm");
    r.within(format!("{place}.level.emergency_band"), l.emergency_band, 1.0, 2000.0, "mm");
    r.within(format!("{place}.level.high_high_delay"), l.high_high_delay, 0.0, 60.0, "s");
    r.within(format!("{place}.level.gain"), l.gain, 1e-5, 1.0, "per mm");
    r.within(format!("{place}.level.integral_time"), l.integral_time, 1.0, 1e4, "s");
}

fn shell(s: &Shell, place: &str, r: &mut Report) {
    r.within(format!("{place}.diameter"), s.diameter, 0.1, 10.0, "m");
    r.within(format!("{place}.length"), s.length, 0.2, 60.0, "m");
    r.within(format!("{place}.tube_share"), s.tube_share, 0.0, 0.8, "");
    let height = match s.attitude {
        super::file::Attitude::Horizontal => s.diameter,
        super::file::Attitude::Vertical => s.length,
    };
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
    r.within("bypass_stroke", plant.bypass_stroke, 0.5, 600.0, "s");
}

fn condenser_and_pumps(plant: &Plant, r: &mut Report) {
    let c = &plant.condenser;
    r.within("condenser.pressure", c.pressure, 0.0015, 0.1, "MPa");
    r.within("condenser.cooling_inlet", c.cooling_inlet, 0.5, 60.0, "°C");
    if let Ok(t) = steam::t_sat(c.pressure) {
        r.need(
            c.cooling_inlet + c.cooling_rise < t,
            "condenser.cooling_rise",
            format!(
                "cooling water would leave at {:.1} °C, the steam condenses at {t:.1} °C.",
                c.cooling_inlet + c.cooling_rise
            ),
            "Lower the rise or the inlet temperature, or raise the condenser pressure.",
        );
    }
    r.within("condenser.cooling_rise", c.cooling_rise, 0.5, 40.0, "K");
    r.within("condenser.metal", c.metal, 100.0, 1e7, "kg");
    r.within("condenser.hotwell_mass", c.hotwell_mass, 100.0, 1e7, "kg");
    r.within("condenser.hotwell_surface", c.hotwell_surface, 0.5, 2000.0, "m²");
    r.within("condenser.makeup_temperature", c.makeup_temperature, 1.0, 90.0, "°C");
    r.within("condenser.makeup_limit", c.makeup_limit, 0.1, 1000.0, "kg/s");
    r.within("condenser.elevation", c.elevation, -50.0, 100.0, "m");
    let p = &plant.condensate_pumps;
    r.within("condensate_pumps.discharge_pressure", p.discharge_pressure, 0.2, 10.0, "MPa");
    r.within("condensate_pumps.efficiency", p.efficiency, 0.1, 1.0, "");
    r.within("condensate_pumps.largest_flow", p.largest_flow, 1.0, 3.0, "of design");
    let f = &plant.feed_pumps;
    r.need(
        f.installed >= f.running && f.running >= 1 && f.installed <= 8,
        "feed_pumps",
        format!("{} of {} pumps running.", f.running, f.installed),
        "Install 1 to 8 pumps and run at least one of them.",
    );
    r.within("feed_pumps.speed", f.speed, 100.0, 20_000.0, "rpm");
    r.within("feed_pumps.largest_speed", f.largest_speed, 1.0, 1.5, "of design");
    r.within("feed_pumps.shutoff_head", f.shutoff_head, 1.02, 2.0, "of design");
    r.within("feed_pumps.efficiency", f.efficiency, 0.3, 1.0, "");
    r.within("feed_pumps.drive_efficiency", f.drive_efficiency, 0.3, 1.0, "");
    r.within("feed_pumps.npsh_required", f.npsh_required, 0.5, 100.0, "m");
    r.within("feed_pumps.elevation", f.elevation, -50.0, 50.0, "m");
    r.within("feed_pumps.flow_rate", f.flow_rate, 0.001, 1.0, "per second");
}
