//! Everything that the design balance sizes.

use super::account;
use super::case::{Case, Hold};
use super::newton::{self, Unknown};
use super::pass::{self, Context, Lines, Pass, SteamSide};
use super::pumps;
use super::result::Balance;
use super::solution::{self, Derivatives};
use super::vents;
use crate::condensate_pump;
use crate::drain;
use crate::extraction::Source;
use crate::fault::{At, Fault};
use crate::feed_pump::{self, GRAVITY};
use crate::gas::{self, Vent};
use crate::layout::Layout;
use crate::level::Geometry;
use crate::plant::file::{ClosedHeater, DrainTo, DrainValve, Heater, LevelSettings, Plant, VentTo, Water};
use crate::separator::{self, Delivery};
use crate::sought::Sought;
use crate::surface::{self, Surface};
use crate::turbine;
use crate::valve::{self, Stem};
use crate::water::WaterLine;
use std::sync::OnceLock;
use steam::{LiquidLine, Saturation};

/// A line or reheater without loss, as in a textbook, is one with this share: its coefficient has to be finite.
const LEAST_LOSS: f64 = 1e-6;

/// A closed heater, sized.
#[derive(Clone, Debug)]
pub struct ClosedModel {
    /// Its surface; none where the plant file fixes what leaves (a textbook's ideal heater).
    pub surface: Option<Surface>,
    /// Enthalpy of the water behind each zone at design [kJ/kg].
    pub water: [f64; surface::ZONES],
    /// Normal and emergency drain.
    pub drains: Option<(drain::Params, drain::Params)>,
    /// Vent of the shell.
    pub vent: Vent,
    /// Level marks.
    pub level: Option<LevelSettings>,
    /// Inside of the shell, and normal level [m].
    pub geometry: Option<(Geometry, f64)>,
}

/// The sized plant.
#[derive(Clone, Debug)]
pub struct Model {
    /// Order of things.
    pub layout: Layout,
    /// Feedwater properties.
    pub lines: Lines,
    /// Turbine.
    pub turbine: turbine::Params,
    /// Turbine at design.
    pub turbine_state: turbine::State,
    /// Closed heaters by index; none at the open heater's.
    pub closed: Vec<Option<ClosedModel>>,
    /// Coefficient of each heater's extraction line.
    pub extraction: Vec<f64>,
    /// Vent flow of the open heater per pressure, into a vacuum [kg/s per MPa], and the pressure that it goes against [MPa].
    pub vent: (f64, f64),
    /// Heat rejected per kelvin between steam and cooling water inlet [kW/K], and that temperature [°C].
    pub rejection: Option<(f64, f64)>,
    /// Feed pumps, where their curves are given.
    pub feed_pumps: Option<feed_pump::Params>,
    /// Condensate pumps, of a plant that has feed pumps to run.
    pub condensate_pumps: Option<condensate_pump::Params>,
    /// The design balance.
    pub design: Balance,
    /// Derivatives of the residuals at design, taken when first needed.
    derivatives: OnceLock<Derivatives>,
}

/// Pressure behind the feed pumps [MPa] at a share of design flow, for water of this specific volume.
pub fn discharge(plant: &Plant, volume: f64, share: f64) -> f64 {
    back_pressure(plant, volume) + plant.boiler.feed_line_loss * share * share
}

/// The same without flow: drum and static head.
pub(super) fn back_pressure(plant: &Plant, volume: f64) -> f64 {
    plant.boiler.drum_pressure + GRAVITY * plant.boiler.drum_elevation / volume * 1e-6
}

/// Static head from the storage tank's normal level to the pumps, and friction at design [m]; 0 without equipment.
pub(super) fn suction_heads(plant: &Plant, layout: &Layout) -> (f64, f64) {
    match (layout.open.map(|o| &plant.heaters[o]), &plant.feed_pumps.equipment) {
        (Some(Heater::Open(o)), Some(f)) => match &o.equipment {
            Some(e) => (e.tank.elevation + e.tank.normal_level - f.elevation, e.suction_loss),
            None => (0.0, 0.0),
        },
        _ => (0.0, 0.0),
    }
}

/// What the suction adds to the tank's pressure at design [MPa].
pub fn suction_pressure(plant: &Plant, layout: &Layout, volume: f64) -> f64 {
    let (head, loss) = suction_heads(plant, layout);
    GRAVITY * (head - loss) / volume * 1e-6
}

impl Model {
    /// Solves the design balance of a checked plant and sizes everything by it.
    ///
    /// # Errors
    /// A fault that names the component which cannot be what the file asks of it.
    pub fn new(plant: &Plant) -> Result<Model, Fault> {
        let layout = Layout::new(plant);
        let condenser = steam::sat_p(plant.condenser.pressure).at("condenser.pressure")?;
        let shells: Vec<Saturation> = plant
            .heaters
            .iter()
            .map(|h| {
                let e = h.extraction();
                steam::sat_p(e.pressure * (1.0 - e.line_loss)).at(h.id())
            })
            .collect::<Result<_, _>>()?;
        let (mut params, mut state, march) = expansion(plant, &layout, condenser.p)?;

        let pumped = layout.open.map_or(condenser.vf, |o| shells[o].vf);
        let low = plant.condensate_pumps.discharge_pressure;
        let lines = Lines {
            low: water(plant, low, "condensate_pumps.discharge_pressure")?,
            high: water(
                plant,
                plant.feed_pumps.heater_pressure.unwrap_or(discharge(plant, pumped, 1.0)),
                "boiler.drum_pressure",
            )?,
        };
        let mut design = {
            let case = Case::at(Hold::SteamFlow(1.0), layout.heaters);
            let c = Context { plant, layout: &layout, lines: &lines, model: None, case: &case };
            design(&c, &params, &state, &shells, &condenser, &march)?
        };
        check(plant, &layout, &design)?;

        size_turbine(&mut params, &state, &design, march.hot);
        size_separator(&mut params, &state, &design, &layout)?;
        params.exhaust_volume = design.exhaust * state.exhaust_volume;
        state.exhaust = design.exhaust;
        state.gross = design.gross;

        let mut closed = Vec::new();
        let mut extraction = Vec::new();
        for (i, h) in plant.heaters.iter().enumerate() {
            let b = &mut design.heaters[i];
            let source = &state.points[layout.point_of[i]];
            let behind = b.pressure.min(source.pressure * (1.0 - LEAST_LOSS));
            extraction
                .push(b.extraction_flow / valve::steam_flow(1.0, source.pressure, source.volume, behind));
            closed.push(match h {
                Heater::Open(_) => None,
                Heater::Closed(c) => {
                    let line = if i < layout.high { &lines.high } else { &lines.low };
                    let vents_to = match (c.vents_to, layout.open) {
                        (VentTo::Open, Some(o)) => shells[o].p,
                        _ => condenser.p,
                    };
                    let vent = vents::size(plant, c, &design.heaters[i], &shells[i], vents_to)?;
                    Some(closed_model(plant, c, i, &mut design, &shells[i], line, vent)?)
                }
            });
        }
        Ok(Model {
            turbine: params,
            turbine_state: state,
            closed,
            extraction,
            vent: layout.open.map_or((0.0, 0.0), |o| open_vent(design.vent, shells[o].p)),
            rejection: plant.condenser.cooling.map(|c| (design.rejected / (condenser.t - c.inlet), c.inlet)),
            feed_pumps: pumps::feed_pumps(plant, &layout, &design, pumped)?,
            condensate_pumps: pumps::condensate_pumps(plant, &layout, &design, &condenser),
            design,
            layout,
            lines,
            derivatives: OnceLock::new(),
        })
    }

    /// Share of the condensing tubes under water in heater `i` at a level about normal [mm].
    pub fn flooded(&self, i: usize, level: f64) -> f64 {
        match self.closed[i].as_ref().and_then(|c| c.geometry.as_ref()) {
            Some((g, normal)) if level > 0.0 => g.flooded(normal + level * 1e-3),
            _ => 0.0,
        }
    }

    /// Derivatives of the residuals at design.
    pub fn derivatives(&self, plant: &Plant) -> &Derivatives {
        self.derivatives.get_or_init(|| Derivatives::new(self, plant))
    }

    /// Solves a case.
    ///
    /// # Errors
    /// When the load is out of range, or the balances cannot be closed: the fault names the component with the largest
    /// residual and that residual.
    pub fn solve(&self, plant: &Plant, case: &Case) -> Result<Balance, Fault> {
        solution::solve(self, plant, case)
    }
}

/// The vent of an open heater at `pressure` [MPa] that passes `flow` [kg/s] there: to the atmosphere, unless it stands below.
fn open_vent(flow: f64, pressure: f64) -> (f64, f64) {
    let against = if pressure > gas::ATMOSPHERE { gas::ATMOSPHERE } else { 0.0 };
    (flow / (pressure * gas::blown_off(pressure, against)), against)
}

fn water(plant: &Plant, pressure: f64, place: &str) -> Result<WaterLine, Fault> {
    Ok(match plant.water {
        Water::Compressed => WaterLine::Compressed(LiquidLine::new(pressure).at(place)?),
        Water::Saturated => WaterLine::Saturated(pressure),
    })
}

/// Main steam enthalpy [kJ/kg].
fn main_enthalpy(plant: &Plant) -> Result<f64, Fault> {
    let b = &plant.boiler;
    match (b.steam_temperature, b.steam_quality) {
        (Some(t), _) => Ok(steam::steam_pt(b.steam_pressure, t).at("boiler.steam_temperature")?.h),
        (None, x) => {
            let s = steam::sat_p(b.steam_pressure).at("boiler.steam_pressure")?;
            Ok(s.hf + x.unwrap_or(1.0) * s.hfg())
        }
    }
}

/// The expansion at design: the points' pressures are given, so it does not depend on the flows. Coefficients are
/// still to be sized.
fn expansion(
    plant: &Plant,
    layout: &Layout,
    condenser: f64,
) -> Result<(turbine::Params, turbine::State, turbine::March), Fault> {
    let (t, reheat) = (&plant.turbine, plant.boiler.reheat.as_ref());
    let inlet = plant.boiler.steam_pressure * (1.0 - t.inlet_loss);
    // A point without heater is that of the reheater or the crossover.
    let crossover = t.moisture_separator.as_ref().and_then(|m| m.pressure);
    let cold = reheat.and_then(|r| r.pressure).or(crossover).unwrap_or(0.0);
    let pressures: Vec<f64> =
        layout.points.iter().map(|p| p.map_or(cold, |i| plant.heaters[i].extraction().pressure)).collect();
    let at_reheat = reheat.zip(layout.reheat);
    let params = turbine::Params {
        groups: t
            .section_efficiency
            .iter()
            .map(|&efficiency| turbine::Group { coefficient: 1.0, efficiency })
            .collect(),
        reheater: at_reheat.map(|(r, after)| turbine::Reheater {
            after,
            temperature: r.temperature,
            coefficient: 1.0,
        }),
        separator: separator(plant, layout)?,
        main_enthalpy: main_enthalpy(plant)?,
        wetness_factor: t.wetness_factor,
        leaving_loss: t.leaving_loss,
        exhaust_volume: 1.0,
        efficiency: t.generator_efficiency,
        throttle: plant.boiler.steam_flow,
    };
    let n = pressures.len();
    let mut state = turbine::State {
        pv: vec![0.0; n + 1],
        found: vec![Sought::default(); 2 * n + 3],
        pv_cold: 0.0,
        separator: separator::State::default(),
        points: pressures.iter().map(|&pressure| Source { pressure, enthalpy: 0.0, volume: 0.0 }).collect(),
        groups: vec![(0.0, 0.0); n + 1],
        joined: vec![turbine::Joined::default(); n],
        exhaust_volume: 0.0,
        exhaust: 0.0,
        exhaust_found: Sought::default(),
        slope: 0.0,
        stop: Stem { opening: 1.0 },
        gross: 0.0,
        grid: true,
    };
    let mut hot = at_reheat.map_or(0.0, |(r, k)| pressures[k] * (1.0 - r.pressure_loss.max(LEAST_LOSS)));
    let mut trial = separator::Trial::default();
    if let Some((m, k)) = t.moisture_separator.as_ref().zip(layout.separator) {
        trial.pressure = pressures[k] * (1.0 - m.pressure_loss.max(LEAST_LOSS));
        let reheater = m.reheater.as_ref().map_or(0.0, |h| h.pressure_loss.max(LEAST_LOSS));
        hot = trial.pressure * (1.0 - reheater);
    }
    let march = turbine::March { throttle: plant.boiler.steam_flow, inlet, hot, separator: trial };
    turbine::enthalpies(&params, &mut state, &march, condenser, None)?;
    Ok((params, state, march))
}

/// The moisture separator as the plant file gives it; its coefficients are still to be sized.
fn separator(plant: &Plant, layout: &Layout) -> Result<Option<separator::Params>, Fault> {
    let (Some(m), Some(after)) = (&plant.turbine.moisture_separator, layout.separator) else {
        return Ok(None);
    };
    let drain = |to: &str| Delivery {
        heater: plant.heaters.iter().position(|h| h.id() == to),
        ..Delivery::default()
    };
    let reheater = match &m.reheater {
        Some(h) => {
            let (pressure, enthalpy) = (plant.boiler.steam_pressure, main_enthalpy(plant)?);
            let volume = steam::state_ph(pressure, enthalpy).at("reheater")?.v;
            Some(separator::Reheater {
                source: Source { pressure, enthalpy, volume },
                line: 1.0,
                coefficient: 1.0,
                conductance: 1.0,
                flow: 1.0,
                given: Some((pressure * (1.0 - h.heating_loss.max(LEAST_LOSS)), h.ttd)),
                drain: drain(&h.drains_to),
            })
        }
        None => None,
    };
    Ok(Some(separator::Params {
        after,
        efficiency: m.efficiency,
        coefficient: 1.0,
        drain: drain(&m.drains_to),
        reheater,
    }))
}

/// Coefficients of the groups of stages and of the reheater.
fn size_turbine(params: &mut turbine::Params, state: &turbine::State, design: &Balance, hot: f64) {
    for (g, s) in design.stages.iter().enumerate() {
        params.groups[g].coefficient =
            turbine::coefficient(s.flow, s.pressure_in, state.pv[g], s.pressure_out);
        if let Some(r) = params.reheater.as_mut().filter(|r| r.after == g) {
            let flow = design.stages[g + 1].flow;
            r.coefficient = turbine::coefficient(flow, s.pressure_out, state.pv_cold, hot);
        }
    }
}

/// Coefficients of moisture separator and steam reheater.
fn size_separator(
    params: &mut turbine::Params,
    state: &turbine::State,
    design: &Balance,
    layout: &Layout,
) -> Result<(), Fault> {
    let extractions = |k: usize| layout.points[k].map_or(0.0, |i| design.heaters[i].extraction_flow);
    let streams = turbine::walk(params, state, design.throttle, extractions, |_, _| ());
    let Some(q) = &mut params.separator else { return Ok(()) };
    let at = |d: &Delivery| d.heater.map_or(design.condenser_pressure, |i| design.heaters[i].pressure);
    let receivers = (at(&q.drain), q.reheater.as_ref().map_or(0.0, |r| at(&r.drain)));
    let crossover = state.points[q.after].pressure;
    separator::size(q, &state.separator, &streams, crossover, receivers)
}

/// The design balance: extraction flows are the unknowns, everything else is given.
fn design(
    c: &Context,
    params: &turbine::Params,
    state: &turbine::State,
    shells: &[Saturation],
    condenser: &Saturation,
    march: &turbine::March,
) -> Result<Balance, Fault> {
    let (plant, layout) = (c.plant, c.layout);
    let n = layout.heaters;
    let throttle = plant.boiler.steam_flow;
    let mut x = vec![0.04 * throttle; n];
    let bound =
        Unknown { low: -0.5 * throttle, high: throttle, stride: throttle, difference: 1e-4 * throttle };
    let mut system = AtDesign {
        context: *c,
        steam: SteamSide {
            throttle,
            sources: layout.point_of.iter().map(|&p| state.points[p]).collect(),
            extraction: x.clone(),
            line_drain: vec![0.0; n],
            shells: shells.to_vec(),
            exhaust: 0.0,
            exhaust_enthalpy: state.groups[layout.points.len()].1 + params.leaving_loss,
            condenser: *condenser,
            separator: separator::Streams::default(),
            led: Default::default(),
        },
        turbine: (params, state),
        lag: shells.iter().map(|s| s.hf).collect(),
        pass: Pass::default(),
        heat: throttle * (params.main_enthalpy - condenser.hf),
    };
    let report = newton::solve(&mut system, &mut x, &vec![bound; n], solution::TOLERANCE, None)?;
    if !(report.residual < solution::ACCEPTED) {
        return Err(Fault::new(
            "not_closed",
            plant.heaters.get(report.worst).map_or("heaters", |h| h.id()),
            format!(
                "the design balance does not close: {:.1e} of the heat is left over here.",
                report.residual
            ),
            "Check this heater's pressures and temperatures against its neighbours'.",
        ));
    }
    account::draw_up(c, params, report, &system.steam, march, state, system.pass)
}

/// The design balance on its way to be closed.
struct AtDesign<'a> {
    context: Context<'a>,
    turbine: (&'a turbine::Params, &'a turbine::State),
    steam: SteamSide,
    lag: pass::Lag,
    pass: Pass,
    heat: f64,
}

impl newton::System for AtDesign<'_> {
    type Error = Fault;

    fn residuals(&mut self, x: &[f64], r: &mut Vec<f64>) -> Result<(), Fault> {
        self.steam.extraction.copy_from_slice(x);
        let (params, state) = self.turbine;
        let taken = |k: usize| self.context.layout.points[k].map_or(0.0, |i| x[i]);
        let mut exhaust = 0.0;
        let streams = turbine::walk(params, state, self.steam.throttle, taken, |_, flow| exhaust = flow);
        self.steam.exhaust = exhaust;
        self.steam.separate(params, state, streams);
        self.pass = pass::run(&self.context, &self.steam, &mut self.lag)?;
        r.clear();
        r.extend(self.pass.imbalance.iter().map(|q| q / self.heat));
        Ok(())
    }

    fn renew(&mut self) {}
}

/// Refuses a design that no heater can fulfil.
fn check(plant: &Plant, layout: &Layout, b: &Balance) -> Result<(), Fault> {
    for (i, h) in b.heaters.iter().enumerate() {
        let place = format!("heaters.{}", h.id);
        if !(h.water_out_t > h.water_in_t) {
            return Err(Fault::new(
                "no_rise",
                place,
                format!(
                    "feedwater would leave at {:.1} °C and arrives at {:.1} °C.",
                    h.water_out_t, h.water_in_t
                ),
                "Raise this heater's extraction pressure above that of the heater before it in the water.",
            ));
        }
        if !(h.extraction_flow > 0.0) {
            return Err(Fault::new(
                "extraction_not_positive",
                place,
                format!("the heat balance asks for {:.3} kg/s of extraction steam.", h.extraction_flow),
                "Its feedwater rise is covered by the drain that arrives: check the pressures and approaches.",
            ));
        }
        if let Heater::Closed(c) = &plant.heaters[i]
            && let Some(d) = &c.drain_cooling
            && h.water_in_t + d.approach >= h.saturation
        {
            return Err(Fault::new(
                "drain_approach",
                place,
                format!(
                    "an approach of {} K from {:.1} °C ends above saturation at {:.1} °C.",
                    d.approach, h.water_in_t, h.saturation
                ),
                "Lower the drain cooler approach, or leave the drain-cooling zone out.",
            ));
        }
        if Some(i) != layout.open && h.water_out_t > h.saturation + 10.0 {
            return Err(Fault::new(
                "outlet_temperature",
                place,
                format!(
                    "feedwater cannot leave at {:.1} °C, steam condenses at {:.1} °C.",
                    h.water_out_t, h.saturation
                ),
                "Lower the outlet temperature or raise the extraction pressure.",
            ));
        }
    }
    if !(b.exhaust > 0.0 && b.condensate > 0.0) {
        return Err(Fault::new(
            "no_exhaust",
            "heaters",
            format!(
                "the heaters take more steam than there is: {:.3} kg/s is left for the condenser.",
                b.exhaust
            ),
            "Lower the heaters' temperature rises or check the enthalpies.",
        ));
    }
    Ok(())
}

fn closed_model(
    plant: &Plant,
    c: &ClosedHeater,
    i: usize,
    design: &mut Balance,
    sat: &Saturation,
    line: &WaterLine,
    vent: Vent,
) -> Result<ClosedModel, Fault> {
    let b = &mut design.heaters[i];
    // A terminal difference of nothing without superheat needs an endless surface: the heater stays ideal.
    let ideal = c.desuperheating.is_none() && b.ttd < 1e-6;
    let (surface, water) = if ideal {
        (None, [b.water_in, b.water_out, b.water_out])
    } else {
        let d = surface::Design {
            water_flow: b.water_flow,
            water_in: b.water_in,
            water_out: b.water_out,
            steam_flow: b.extraction_flow,
            steam: b.extraction_enthalpy,
            drain_flow: b.drain_flow,
            drain: b.drain,
            residual_superheat: c.desuperheating.as_ref().map(|d| d.residual_superheat),
        };
        let (s, w) = Surface::size(&c.id, &d, c.water_resistance, sat, line)?;
        b.conductance = s.conductance;
        b.zone_duty =
            [b.water_flow * (w[0] - b.water_in), b.water_flow * (w[1] - w[0]), b.water_flow * (w[2] - w[1])];
        (Some(s), w)
    };
    let Some(e) = &c.equipment else {
        return Ok(ClosedModel { surface, water, drains: None, vent, level: None, geometry: None });
    };
    let level = e.shell.elevation + e.shell.normal_level;
    let condenser = plant.condenser.equipment.as_ref().map_or(0.0, |c| c.elevation);
    let to_condenser = (plant.condenser.pressure, level - condenser);
    let b = &design.heaters[i];
    let next = match (&c.drains_to, plant.heaters.get(i + 1)) {
        (DrainTo::Next, Some(Heater::Closed(n))) => {
            let to = n.equipment.as_ref().map_or(level, |e| e.shell.elevation + e.shell.normal_level);
            (design.heaters[i + 1].pressure, level - to)
        }
        (DrainTo::Next, Some(Heater::Open(o))) => {
            let to = o.equipment.as_ref().map_or(level, |e| e.tank.elevation + e.tank.diameter);
            (design.heaters[i + 1].pressure, level - to)
        }
        (DrainTo::Forward(_), _) => (line.pressure(), 0.0),
        _ => to_condenser,
    };
    let pump = match &c.drains_to {
        DrainTo::Forward(p) => Some(drain::Pump::for_line(p, line.pressure())),
        _ => None,
    };
    let size = |v: &DrainValve, (down, head): (f64, f64), pump: Option<drain::Pump>, name: &str| {
        let unit = drain::Params {
            coefficient: 1.0,
            recovery: v.recovery,
            stroke: v.stroke,
            characteristic: v.characteristic,
            head,
            pump,
        };
        let place = format!("heaters.{}.equipment.{name}", c.id);
        size_drain(unit, v.design_opening, (b.pressure, b.drain, b.drain_flow), down, &place)
    };
    Ok(ClosedModel {
        surface,
        water,
        drains: Some((
            size(&e.normal_drain, next, pump, "normal_drain")?,
            size(&e.emergency_drain, to_condenser, None, "emergency_drain")?,
        )),
        vent,
        level: Some(e.level),
        geometry: Some((Geometry::new(&e.shell), e.shell.normal_level)),
    })
}

/// Sizes the valve of the line `unit`, which has a coefficient of 1. `from`: shell pressure [MPa], drain enthalpy
/// [kJ/kg] and flow [kg/s] at design.
fn size_drain(
    unit: drain::Params,
    opening: f64,
    from: (f64, f64, f64),
    down: f64,
    place: &str,
) -> Result<drain::Params, Fault> {
    let (pressure, drain, flow) = from;
    let up = drain::upstream(pressure, drain, &unit).at(place)?;
    let passed = drain::flow(&unit, opening, &up, down);
    if !(passed > 0.0) {
        return Err(Fault::new(
            "drain_cannot_flow",
            place,
            format!("{pressure:.4} MPa and {:.1} m do not drive the drain to {down:.4} MPa.", unit.head),
            "Check the elevations, or drain this heater elsewhere.",
        ));
    }
    Ok(drain::Params { coefficient: flow / passed, ..unit })
}
