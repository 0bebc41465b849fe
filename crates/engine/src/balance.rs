//! The design heat balance: all extraction flows at once, from the figures of the plant file.
//!
//! Pressures, terminal temperature differences and drain cooler approaches fix every enthalpy; one energy balance per
//! heater and one mass balance round the open heater are then linear in the flows and solved together. This code
//! shares the properties and the expansion of a group of stages with the time-stepping model, and nothing else, so
//! that each checks the other.

use crate::fault::{At, Fault};
use crate::feed_pump::GRAVITY;
use crate::plant::file::{ClosedHeater, DrainTo, Heater, Plant};
use crate::solve;
use crate::turbine;
use serde::Serialize;
use steam::LiquidLine;

/// Steam and water at one heater at design.
#[derive(Clone, Debug, Serialize)]
pub struct HeaterBalance {
    /// Id.
    pub id: String,
    /// Pressure at the turbine [MPa].
    pub extraction_pressure: f64,
    /// Enthalpy of the extraction steam [kJ/kg].
    pub extraction_enthalpy: f64,
    /// Its specific volume at the turbine [m³/kg].
    pub extraction_volume: f64,
    /// Extraction flow [kg/s].
    pub extraction_flow: f64,
    /// Shell pressure [MPa].
    pub pressure: f64,
    /// Saturation temperature [°C].
    pub saturation: f64,
    /// Water flow [kg/s].
    pub water_flow: f64,
    /// Water temperature in and out [°C], and enthalpy [kJ/kg].
    pub water_in_t: f64,
    /// Water temperature out [°C].
    pub water_out_t: f64,
    /// Water enthalpy in [kJ/kg].
    pub water_in: f64,
    /// Water enthalpy out [kJ/kg].
    pub water_out: f64,
    /// Drain from the heater above [kg/s].
    pub drain_in: f64,
    /// Drain that leaves [kg/s]; 0 for the open heater.
    pub drain_flow: f64,
    /// Its enthalpy [kJ/kg].
    pub drain: f64,
    /// Its temperature [°C].
    pub drain_t: f64,
    /// Duty [kW].
    pub duty: f64,
}

impl HeaterBalance {
    /// Terminal temperature difference: saturation at shell pressure less feedwater out [K].
    pub fn ttd(&self) -> f64 {
        self.saturation - self.water_out_t
    }

    /// Drain cooler approach: drain out less feedwater in [K].
    pub fn dca(&self) -> f64 {
        self.drain_t - self.water_in_t
    }
}

/// The plant at design.
#[derive(Clone, Debug, Serialize)]
pub struct Balance {
    /// Heaters, heater 1 first.
    pub heaters: Vec<HeaterBalance>,
    /// Index of the open heater.
    pub open: usize,
    /// Steam to the turbine [kg/s].
    pub throttle: f64,
    /// Condensate [kg/s].
    pub condensate: f64,
    /// Steam vented by the open heater, made up in the hotwell [kg/s].
    pub vent: f64,
    /// Steam to the condenser [kg/s] and its enthalpy [kJ/kg].
    pub exhaust: f64,
    /// Exhaust enthalpy [kJ/kg].
    pub exhaust_enthalpy: f64,
    /// Pressure before the first group [MPa].
    pub inlet_pressure: f64,
    /// Hot reheat pressure [MPa], 0 without reheat.
    pub hot_reheat_pressure: f64,
    /// Condensate enthalpy before the condensate pumps and the pumps' rise [kJ/kg].
    pub hotwell: f64,
    /// Rise over the condensate pumps [kJ/kg].
    pub condensate_rise: f64,
    /// Feed pump suction and discharge [MPa].
    pub suction: f64,
    /// Feed pump discharge [MPa].
    pub discharge: f64,
    /// Rise over the feed pumps [kJ/kg].
    pub feed_rise: f64,
    /// Gross output [kW].
    pub gross: f64,
    /// Pump power [kW].
    pub auxiliary: f64,
    /// Heat added by boiler and reheater [kW].
    pub heat_added: f64,
    /// Heat rejected by the condenser [kW].
    pub rejected: f64,
    /// Gross heat rate [kJ/kWh].
    pub heat_rate: f64,
    /// Largest imbalance of any mass balance over the largest flow.
    pub mass_residual: f64,
    /// Imbalance of the plant's energy over the heat added.
    pub energy_residual: f64,
}

/// Liquid-property tables of the two sides of the feed pumps.
#[derive(Clone, Debug)]
pub struct Lines {
    /// Condensate and low-pressure feedwater, at the condensate pumps' discharge pressure.
    pub low: LiquidLine,
    /// High-pressure feedwater, at the feed pumps' discharge pressure.
    pub high: LiquidLine,
}

/// Pressure behind the feed pumps without flow [MPa]: drum and static head.
pub fn back_pressure(plant: &Plant, density: f64) -> f64 {
    plant.boiler.drum_pressure + density * GRAVITY * plant.boiler.drum_elevation * 1e-6
}

/// Static head from the storage tank's normal level to the pumps [m].
pub fn suction_head(plant: &Plant, open: usize) -> f64 {
    match &plant.heaters[open] {
        Heater::Open(o) => o.tank.elevation + o.tank.normal_level - plant.feed_pumps.elevation,
        Heater::Closed(_) => 0.0,
    }
}

/// Solves the design heat balance of a checked plant.
pub fn design(plant: &Plant) -> Result<(Balance, Lines), Fault> {
    let n = plant.heaters.len();
    let open = plant
        .heaters
        .iter()
        .position(|h| matches!(h, Heater::Open(_)))
        .ok_or_else(|| Fault::new("no_open_heater", "heaters", "there is no open heater.", "Add one."))?;
    let b = &plant.boiler;
    let t = &plant.turbine;

    // Turbine: the points' pressures are given, so the expansion does not depend on the flows.
    let main = steam::steam_pt(b.steam_pressure, b.steam_temperature).at("boiler")?.h;
    let inlet_pressure = b.steam_pressure * (1.0 - t.inlet_loss);
    let (mut p1, mut h1) = (inlet_pressure, main);
    let mut ends = Vec::with_capacity(n + 1); // (start, end) enthalpy of each group
    let mut hot_reheat_pressure = 0.0;
    let mut reheat_rise = 0.0;
    for g in 0..=n {
        let p2 = if g < n { plant.heaters[g].extraction().pressure } else { plant.condenser.pressure };
        let place = if g < n { plant.heaters[g].id() } else { "condenser" };
        let mut h2 = turbine::expand(t.section_efficiency[g], t.wetness_factor, p1, h1, p2).at(place)?;
        if g == n {
            h2 += t.leaving_loss;
        }
        ends.push((h1, h2));
        (p1, h1) = (p2, h2);
        if let Some(r) = b.reheat.as_ref().filter(|r| g < n && r.after == plant.heaters[g].id()) {
            hot_reheat_pressure = p2 * (1.0 - r.pressure_loss);
            let hot = steam::steam_pt(hot_reheat_pressure, r.temperature).at("boiler.reheat")?.h;
            reheat_rise = hot - h2;
            (p1, h1) = (hot_reheat_pressure, hot);
        }
    }

    // Pumps.
    let mut heaters: Vec<HeaterBalance> = Vec::with_capacity(n);
    let shell = |i: usize| {
        let e = plant.heaters[i].extraction();
        e.pressure * (1.0 - e.line_loss)
    };
    let tank = steam::sat_p(shell(open)).at(plant.heaters[open].id())?;
    let hotwell = steam::sat_p(plant.condenser.pressure).at("condenser")?;
    let low_pressure = plant.condensate_pumps.discharge_pressure;
    let condensate_rise =
        (low_pressure - plant.condenser.pressure) * hotwell.vf * 1e3 / plant.condensate_pumps.efficiency;
    let head = suction_head(plant, open);
    let suction_loss = match &plant.heaters[open] {
        Heater::Open(o) => o.suction_loss,
        Heater::Closed(_) => 0.0,
    };
    let density = 1.0 / tank.vf;
    let suction = tank.p + density * GRAVITY * (head - suction_loss) * 1e-6;
    let discharge = back_pressure(plant, density) + b.feed_line_loss;
    let feed_rise = (discharge - suction) * tank.vf * 1e3 / plant.feed_pumps.efficiency;
    let lines = Lines {
        low: LiquidLine::new(low_pressure).at("condensate_pumps.discharge_pressure")?,
        high: LiquidLine::new(discharge).at("boiler.drum_pressure")?,
    };

    // Temperatures and enthalpies of water and drains.
    let mut volumes = Vec::with_capacity(n);
    for (i, h) in plant.heaters.iter().enumerate() {
        let sat = steam::sat_p(shell(i)).at(h.id())?;
        volumes.push(steam::state_ph(h.extraction().pressure, ends[i].1).at(h.id())?.v);
        heaters.push(HeaterBalance {
            id: h.id().into(),
            extraction_pressure: h.extraction().pressure,
            extraction_enthalpy: ends[i].1,
            extraction_volume: volumes[i],
            extraction_flow: 0.0,
            pressure: sat.p,
            saturation: sat.t,
            water_flow: 0.0,
            water_in_t: 0.0,
            water_out_t: 0.0,
            water_in: 0.0,
            water_out: 0.0,
            drain_in: 0.0,
            drain_flow: 0.0,
            drain: 0.0,
            drain_t: 0.0,
            duty: 0.0,
        });
    }
    let mut water = hotwell.hf + condensate_rise;
    for i in (0..n).rev() {
        let line = if i < open { &lines.high } else { &lines.low };
        let id = plant.heaters[i].id().to_owned();
        let hb = &mut heaters[i];
        hb.water_in = water;
        hb.water_in_t = line.t(water).at(&id)?;
        match &plant.heaters[i] {
            Heater::Closed(c) => {
                hb.water_out_t = hb.saturation - c.ttd;
                hb.water_out = line.h(hb.water_out_t).at(&id)?;
                let sat = steam::sat_p(hb.pressure).at(&id)?;
                (hb.drain, hb.drain_t) = (sat.hf, sat.t);
                if let Some(d) = &c.drain_cooling {
                    hb.drain_t = hb.water_in_t + d.approach;
                    hb.drain = steam::liquid_pt(hb.pressure, hb.drain_t).at(&id)?.h;
                }
                check_temperatures(c, hb)?;
                water = hb.water_out;
            }
            Heater::Open(_) => {
                (hb.water_out, hb.water_out_t) = (tank.hf, tank.t);
                (hb.drain, hb.drain_t) = (tank.hf, tank.t);
                water = tank.hf + feed_rise;
            }
        }
    }

    // Linear system: unknown extraction flows 0..n and condensate flow n.
    let vent = match &plant.heaters[open] {
        Heater::Open(o) => o.vent_flow,
        Heater::Closed(_) => 0.0,
    };
    let m = n + 1;
    let mut a = vec![0.0; m * m];
    let mut rhs = vec![0.0; m];
    // Which extraction flows make up the drain that leaves heater i.
    let mut drains: Vec<Vec<usize>> = vec![Vec::new(); n];
    for i in 0..n {
        let arriving: Vec<usize> = match i.checked_sub(1).map(|k| (k, &plant.heaters[k])) {
            Some((k, Heater::Closed(c))) if c.drains.to == DrainTo::Next => drains[k].clone(),
            _ => Vec::new(),
        };
        let hb = &heaters[i];
        for &k in &arriving {
            a[i * m + k] += heaters[i - 1].drain - hb.drain;
        }
        a[i * m + i] += hb.extraction_enthalpy - hb.drain;
        let rise = hb.water_out - hb.water_in;
        match &plant.heaters[i] {
            Heater::Closed(_) => {
                if i < open {
                    rhs[i] = b.steam_flow * rise;
                } else {
                    a[i * m + n] -= rise;
                }
                drains[i] = arriving;
                drains[i].push(i);
            }
            Heater::Open(_) => {
                // Energy about the leaving water's enthalpy: what comes in above it heats the condensate.
                a[i * m + n] += hb.water_in - hb.drain;
                rhs[i] = vent * (tank.hg - tank.hf);
                // Mass.
                for &k in &arriving {
                    a[n * m + k] += 1.0;
                }
                a[n * m + i] += 1.0;
                a[n * m + n] += 1.0;
                rhs[n] = b.steam_flow + vent;
            }
        }
    }
    solve::linear(&mut a, &mut rhs).ok_or_else(|| {
        Fault::new(
            "balance_singular",
            "heaters",
            "the heat balance has no single solution.",
            "Look for a heater that heats nothing or a drain that goes nowhere.",
        )
    })?;
    let condensate = rhs[n];
    for i in 0..n {
        let drain_in: f64 =
            if i > 0 && drains_to_next(&plant.heaters[i - 1]) { heaters[i - 1].drain_flow } else { 0.0 };
        let flow = rhs[i];
        if !(flow > 0.0) {
            return Err(Fault::new(
                "extraction_not_positive",
                format!("heaters.{}", heaters[i].id),
                format!("the heat balance asks for {flow:.3} kg/s of extraction steam."),
                "Its feedwater rise is covered by the drain that arrives: check the pressures and approaches.",
            ));
        }
        let hb = &mut heaters[i];
        hb.extraction_flow = flow;
        hb.drain_in = drain_in;
        hb.water_flow = if i < open { b.steam_flow } else { condensate };
        hb.duty = hb.water_flow * (hb.water_out - hb.water_in);
        if matches!(plant.heaters[i], Heater::Closed(_)) {
            hb.drain_flow = drain_in + flow;
        }
    }
    let exhaust = b.steam_flow - rhs[..n].iter().sum::<f64>();
    if !(exhaust > 0.0 && condensate > 0.0) {
        return Err(Fault::new(
            "no_exhaust",
            "heaters",
            format!(
                "the heaters take more steam than there is: {exhaust:.3} kg/s would be left for the condenser."
            ),
            "Lower the heaters' temperature rises or check the enthalpies.",
        ));
    }

    // Work and heat.
    let mut flow = b.steam_flow;
    let mut shaft = 0.0;
    let mut reheat_flow = 0.0;
    for g in 0..=n {
        shaft += flow * (ends[g].0 - ends[g].1);
        if g < n {
            flow -= rhs[g];
            if b.reheat.as_ref().is_some_and(|r| r.after == plant.heaters[g].id()) {
                reheat_flow = flow;
            }
        }
    }
    let gross = shaft * t.generator_efficiency;
    let heat_added = b.steam_flow * (main - heaters[0].water_out) + reheat_flow * reheat_rise;
    let pumping = condensate * condensate_rise + b.steam_flow * feed_rise;
    let auxiliary =
        condensate * condensate_rise + b.steam_flow * feed_rise / plant.feed_pumps.drive_efficiency;

    // What reaches the condenser leaves as condensate, the rest with the cooling water.
    let mut to_condenser = exhaust;
    let mut to_condenser_heat = exhaust * ends[n].1;
    for (i, h) in plant.heaters.iter().enumerate() {
        if matches!(h, Heater::Closed(_)) && !(drains_to_next(h) && i + 1 < n) {
            to_condenser += heaters[i].drain_flow;
            to_condenser_heat += heaters[i].drain_flow * heaters[i].drain;
        }
    }
    let makeup = steam::sat_t(plant.condenser.makeup_temperature).at("condenser.makeup_temperature")?.hf;
    let rejected = to_condenser_heat + vent * makeup - condensate * hotwell.hf;
    let mass_residual = (to_condenser + vent - condensate).abs() / b.steam_flow;
    let energy_residual =
        (heat_added + pumping + vent * makeup - shaft - rejected - vent * tank.hg).abs() / heat_added;
    let balance = Balance {
        heaters,
        open,
        throttle: b.steam_flow,
        condensate,
        vent,
        exhaust,
        exhaust_enthalpy: ends[n].1,
        inlet_pressure,
        hot_reheat_pressure,
        hotwell: hotwell.hf,
        condensate_rise,
        suction,
        discharge,
        feed_rise,
        gross,
        auxiliary,
        heat_added,
        rejected,
        heat_rate: heat_added / gross * 3600.0,
        mass_residual,
        energy_residual,
    };
    Ok((balance, lines))
}

/// Whether a heater's normal drain goes on to the next heater.
pub fn drains_to_next(h: &Heater) -> bool {
    matches!(h, Heater::Closed(c) if c.drains.to == DrainTo::Next)
}

fn check_temperatures(c: &ClosedHeater, hb: &HeaterBalance) -> Result<(), Fault> {
    let place = format!("heaters.{}", c.id);
    if hb.water_out_t <= hb.water_in_t {
        return Err(Fault::new(
            "no_rise",
            place,
            format!(
                "feedwater would leave at {:.1} °C and arrives at {:.1} °C.",
                hb.water_out_t, hb.water_in_t
            ),
            "Raise this heater's extraction pressure above that of the heater before it.",
        ));
    }
    if hb.drain_t >= hb.saturation && c.drain_cooling.is_some() {
        return Err(Fault::new(
            "drain_approach",
            place,
            format!(
                "the drain would leave at {:.1} °C, above saturation at {:.1} °C.",
                hb.drain_t, hb.saturation
            ),
            "Lower the drain cooler approach, or leave the drain-cooling zone out.",
        ));
    }
    Ok(())
}
