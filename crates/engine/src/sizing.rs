//! From a sized plant with its equipment to everything that the moving plant needs and that never changes; and the
//! state in which it rests at design.

use crate::alarms;
use crate::backflow;
use crate::boiler;
use crate::condensate_pump;
use crate::condenser::{self, STEEL};
use crate::control::PiParams;
use crate::controller::{Controller, Loop, Settings};
use crate::deaeration;
use crate::extraction;
use crate::fault::{At, Fault};
use crate::feed_pump;
use crate::gas::{self, Gas, Vent};
use crate::heater;
use crate::instruments;
use crate::leak;
use crate::ledger::Ledger;
use crate::level::Geometry;
use crate::local;
use crate::measurements::{OverRamp, RateMeter};
use crate::open_heater;
use crate::operation::{self, HeaterControl, protection};
use crate::pegging;
use crate::pipe::Pipe;
use crate::plant::check::{self, Equipped};
use crate::plant::file::{
    ClosedHeater, CondenserEquipment, DrainTo, Heater, HeaterEquipment, LevelSettings, OpenEquipment,
    OpenHeater, Plant, Protection, Shell, VentTo,
};
use crate::pump_logic::{self, Group};
use crate::separator::{self, Drain};
use crate::sought::{ByHeat, Sought};
use crate::steady::{Balance, Model};
use crate::surface::{TYPICAL_COEFFICIENT, ZONES};
use crate::train::{Closed, ClosedState, Economics, Latched, Params, PlantState, Receiver, STEP, State};
use crate::transmitters;
use crate::unit;
use crate::valve::Stem;
use crate::vessel;
use steam::math;

/// Least share of pressure lost in an extraction line that is run: below, a breath moves the flow by as much as it is.
const LEAST_LINE_LOSS: f64 = 0.002;
/// Heights over which an outlet in the shell's bottom, without a drain cooler, runs from empty to covered [m].
const PLAIN_OUTLET: (f64, f64) = (0.03, 0.09);
/// Hotwell and drum level control (*common practice, no source*): gain per mm, integral time [s].
const HOTWELL_CONTROL: PiParams = PiParams { gain: 0.01, integral_time: 600.0 };
const DRUM_CONTROL: PiParams = PiParams { gain: 0.0015, integral_time: 150.0 };

/// Where the generator of the instruments' noise starts.
const NOISE_SEED: u64 = 1;
/// Least reach of a closed heater's level transmitters either side of normal level [mm].
const LEVEL_REACH: f64 = 400.0;
/// The same of the open heater's [mm].
const OPEN_LEVEL_REACH: f64 = 1500.0;
/// Largest change of a controller's output [per s] (*common practice, no source*): faster than any drain valve.
pub(crate) const OUTPUT_RATE: f64 = 0.2;

/// The sized plant, at rest at its design point.
pub struct Sized {
    /// What never changes.
    pub params: Params,
    /// The state at design.
    pub state: State,
    /// The steady model it was sized by.
    pub model: Model,
}

/// Sizes a checked plant.
///
/// # Errors
/// When a component cannot be what the file asks of it, or lacks the equipment to move.
pub fn size(plant: &Plant) -> Result<Sized, Fault> {
    let model = Model::new(plant)?;
    let equipped = check::equipped(plant)?;
    let bal = &model.design;
    let open = model.layout.high;
    let groups = groups(plant, open);
    for (i, h) in plant.heaters.iter().enumerate() {
        if h.extraction().line_loss < LEAST_LINE_LOSS {
            return Err(Fault::new(
                "cannot_run",
                format!("heaters[{i}].extraction.line_loss"),
                "an extraction line that loses no pressure has no size that could be run.",
                "Give the pressure lost between turbine and shell: a few per cent are usual.",
            ));
        }
    }
    if let Some(o) = plant.heaters.iter().position(|h| matches!(h, Heater::Open(o) if o.vent_flow > 0.0))
        && bal.heaters[o].pressure <= gas::ATMOSPHERE
    {
        return Err(Fault::new(
            "cannot_run",
            format!("heaters[{o}].vent_flow"),
            format!("at {:.4} MPa this heater has nowhere to vent to.", bal.heaters[o].pressure),
            "Leave vent_flow out, or give it a pressure above the atmosphere's.",
        ));
    }

    let mut closed = Vec::new();
    let mut closed_states = Vec::new();
    let mut operated = Vec::new();
    let mut controls = Vec::new();
    let (mut controllers, mut outputs) = (Vec::new(), Vec::new());
    for (i, h) in plant.heaters.iter().enumerate() {
        let Heater::Closed(c) = h else { continue };
        let Some(e) = &c.equipment else { continue };
        let k = closed.len();
        let (params, state) = closed_heater(plant, &model, c, e, i)?;
        operated.push(operation::HeaterParams {
            id: c.id.clone(),
            level: e.level,
            group: groups.iter().position(|g| g.contains(&k)).unwrap_or(0),
            // The neighbour before, unless the open heater lies between.
            drained_into_by: (i > 0 && i - 1 != open && drains_to_next(&plant.heaters[i - 1])).then(|| k - 1),
            ramp_limit: e.ramp_limit,
            line_drain: e.extraction.line_drain.is_some(),
        });
        controls.push(HeaterControl::in_service());
        let marks = (e.level.low, e.level.high_high);
        let [normal, emergency] = drain_controllers(&c.id, k, &e.level, marks);
        outputs.extend([
            Controller::at(&normal, e.normal_drain.design_opening),
            Controller::at(&emergency, 0.0),
        ]);
        controllers.extend([normal, emergency]);
        closed.push(params);
        closed_states.push(state);
    }
    let (o, oe) = equipped.open;
    let (open_params, open_extraction, open_state) = open_heater(plant, &model, o, oe, open)?;
    let (condenser_params, condenser_state) = condenser(plant, equipped.condenser, &model)?;
    let (b, be) = (&plant.boiler, equipped.boiler);
    let tank_volume = steam::sat_p(bal.heaters[open].pressure).at(&o.id)?.vf;
    let boiler_params = boiler::Params {
        steam_flow: b.steam_flow,
        steam_enthalpy: model.turbine.main_enthalpy,
        drum_mass: be.drum_mass,
        // Saturated water at drum pressure; beyond the two-phase tables used here, that at their end.
        drum_per_mm: be.drum_surface * 1e-3
            / steam::sat_p(b.drum_pressure.min(vessel::HIGHEST_PRESSURE)).at("boiler")?.vf,
        load_rate: be.load_rate * b.steam_flow / 60.0,
        efficiency: b.efficiency,
    };
    let feed_pumps = equipped.sized_feed_pumps(&model)?;
    let condensate_pumps = equipped.sized_condensate_pumps(&model)?;
    let hp_volume = model.lines.high.v(bal.final_temperature).at("boiler")?;
    for (settings, output) in
        unit_controllers(&o.id, oe).into_iter().zip([1.0, bal.vent / equipped.condenser.makeup_limit, 0.0])
    {
        outputs.push(Controller::at(&settings, output));
        controllers.push(settings);
    }
    if let Some(settings) = oe.pegging.as_ref().map(|g| pegging::controller(&o.id, g)) {
        outputs.push(Controller::at(&settings, 0.0));
        controllers.push(settings);
    }
    let pumped: Vec<bool> = closed.iter().map(|c| matches!(c.receiver, Receiver::Forward(_))).collect();
    let open_marks = open_marks(oe, &plant.protection);
    let rows = protection::table(
        &protection::Layout {
            heaters: &operated,
            pumped: &pumped,
            open: &o.id,
            open_line_drain: oe.extraction.line_drain.is_some(),
            open_marks,
            condenser: plant.condenser.pressure,
            feed_pumps: feed_pumps.installed,
            minimum_flow: equipped.feed_pumps.minimum_flow,
            starved_delay: equipped.feed_pumps.starved_delay,
            low_header: equipped.feed_pumps.low_header * bal.discharge,
            condensate_pumps: condensate_pumps.installed,
        },
        &plant.protection,
    );
    let mut params = Params {
        alarms: alarms::list(&operated, &rows, &o.id, feed_pumps.casings()),
        dt: STEP,
        scan: 1,
        closed,
        high: open,
        layout: model.layout.clone(),
        open: open_params,
        open_extraction,
        groups: groups.clone(),
        bypass_stroke: plant.bypass_stroke,
        instruments: instruments(plant, o),
        operation: operation::Params {
            protection: rows,
            heaters: operated,
            groups: groups.clone(),
            controllers,
            drained_into_open: (open > 0 && drains_to_next(&plant.heaters[open - 1])).then(|| open - 1),
            condensate: bal.condensate,
            steam: bal.throttle,
            feed: bal.feed,
            makeup_limit: equipped.condenser.makeup_limit,
            pumps: pump_control(&equipped, bal),
            led_to: led_to(&model),
            open_line_drain: oe.extraction.line_drain.is_some(),
            unit: unit::Params {
                steam: bal.throttle,
                gross: bal.gross,
                heat: bal.heat_added,
                load_rate: be.load_rate / 60.0,
                house_load: plant.turbine.house_load,
                stroke: plant.turbine.stop_valve_stroke,
            },
        },
        turbine: model.turbine.clone(),
        condenser: condenser_params,
        boiler: boiler_params,
        feed_pumps: feed_pumps.clone(),
        condensate_pumps: condensate_pumps.clone(),
        lines: model.lines.clone(),
        backflow: backflow::Params::new(&model.layout, bal),
        economics: Economics {
            heating_value: equipped.economics.heating_value,
            fuel_price: equipped.economics.fuel_price,
            carbon_dioxide: equipped.economics.carbon_dioxide,
        },
    };
    let process = transmitters::list(&plant.instruments, &params, bal);
    params.instruments.list.extend(process);
    let tank = steam::sat_p(bal.heaters[open].pressure).at(&o.id)?;
    let suction = feed_pump::Suction {
        tank: tank.p,
        level: 0.0,
        volume: tank.vf,
        vapour_pressure: tank.p,
        temperature: tank.t,
    };
    let plant_state = PlantState {
        closed: closed_states,
        open: open_state,
        open_extraction: extraction::OPEN,
        suction: Pipe::new(
            pipe_mass(oe.suction_pipe, tank_volume, b.steam_flow),
            bal.heaters[open].water_out,
        ),
        feed_line: Pipe::new(pipe_mass(be.feed_line_volume, hp_volume, b.steam_flow), bal.final_enthalpy),
        bypass: vec![Stem { opening: 0.0 }; groups.len()],
        turbine: model.turbine_state.clone(),
        separator: model.design.separator.as_ref().map(|b| separator::Drains {
            separator: Drain::running(b.drain_flow, b.drain, STEP),
            reheater: b
                .reheater
                .as_ref()
                .map_or(Drain::NONE, |r| Drain::running(r.heating_flow, r.drain, STEP)),
        }),
        condenser: condenser_state,
        condensate: condensate_pump::at_rest(&condensate_pumps, bal.condensate),
        boiler: boiler::State { drum: be.drum_mass, steam: b.steam_flow, heat: bal.heat_added },
        feed: feed_pump::at_rest(&feed_pumps, bal.feed, &suction),
    };
    let control = operation::State {
        heaters: controls,
        controllers: outputs,
        open_line_drain: false,
        protection: protection::Memory::at_rest(&params.operation.protection),
        load: 1.0,
        pumps: pump_logic::State::at_rest(
            Group::at_rest(feed_pumps.installed, feed_pumps.running),
            Group::at_rest(condensate_pumps.installed, condensate_pumps.running),
            bal.feed,
        ),
        unit: unit::State::at_design(),
    };
    let start = transmitters::at_start(&params, &plant_state, bal);
    let m = params.closed.len();
    let state = State {
        steps: 0,
        plant: plant_state,
        instruments: instruments::State::at_rest(&params.instruments, &start, m, NOISE_SEED),
        control,
        alarms: alarms::State::at_rest(&params.alarms),
        demands: operation::Demands::default(),
        backflow: backflow::State::new(params.layout.points.len()),
        ledger: Ledger::default(),
        local: local::State::default(),
        malfunctions: Vec::new(),
        latched: Latched::default(),
        events: 0,
    };
    Ok(Sized { params, state, model })
}

/// The two level controllers of a closed heater.
fn drain_controllers(id: &str, k: usize, l: &LevelSettings, setpoints: (f64, f64)) -> [Settings; 2] {
    let normal = Settings {
        id: format!("{id}.normal_drain"),
        acts: Loop::NormalDrain(k),
        gain: l.gain,
        integral_time: Some(l.integral_time),
        setpoint: 0.0,
        setpoints,
        limits: (0.0, 1.0),
        rate: OUTPUT_RATE,
        direct: true,
    };
    let emergency = Settings {
        id: format!("{id}.emergency_drain"),
        acts: Loop::EmergencyDrain(k),
        gain: 1.0 / l.emergency_band,
        integral_time: None,
        setpoint: l.emergency,
        ..normal.clone()
    };
    [normal, emergency]
}

/// The controllers of the unit's levels: open heater, hotwell, drum.
fn unit_controllers(open: &str, oe: &OpenEquipment) -> [Settings; 3] {
    let one = |id: String, acts: Loop, tuning: PiParams, limits: (f64, f64)| Settings {
        id,
        acts,
        gain: tuning.gain,
        integral_time: Some(tuning.integral_time),
        setpoint: 0.0,
        setpoints: (-200.0, 200.0),
        limits,
        rate: OUTPUT_RATE,
        direct: false,
    };
    let open_level = PiParams { gain: oe.level_gain, integral_time: oe.level_integral_time };
    [
        one(format!("{open}.condensate"), Loop::OpenLevel, open_level, (0.0, 3.0)),
        one("unit.makeup".into(), Loop::Hotwell, HOTWELL_CONTROL, (-1.0, 1.0)),
        one("unit.feed_trim".into(), Loop::Drum, DRUM_CONTROL, (-0.2, 0.2)),
    ]
}

/// Marks of the open heater's tank about normal level, low-low, high and high-high [mm].
fn open_marks(e: &OpenEquipment, p: &Protection) -> [f64; 3] {
    let height = Geometry::new(&e.tank).height();
    [p.open_low_low, p.open_high, p.open_high_high].map(|share| 1e3 * (share * height - e.tank.normal_level))
}

/// Level transmitters of every shell: closed heaters, then the open one.
fn instruments(plant: &Plant, o: &OpenHeater) -> instruments::Params {
    let mut shells = Vec::new();
    for h in &plant.heaters {
        if let Heater::Closed(c) = h
            && let Some(e) = &c.equipment
        {
            let range = (LEVEL_REACH.max(-1.5 * e.level.low), LEVEL_REACH.max(1.5 * e.level.high_high));
            shells.push((c.id.as_str(), (-range.0, range.1)));
        }
    }
    let [low, _, high] = o.equipment.as_ref().map_or([0.0; 3], |e| open_marks(e, &plant.protection));
    let range = ((-OPEN_LEVEL_REACH).min(1.1 * low), OPEN_LEVEL_REACH.max(1.1 * high));
    shells.push((o.id.as_str(), range));
    instruments::Params::new(&plant.instruments, &shells)
}

fn pump_control(e: &Equipped, bal: &Balance) -> pump_logic::Params {
    let f = e.feed_pumps;
    pump_logic::Params {
        design_flow: bal.feed,
        flow_rate: f.flow_rate * bal.feed,
        running: f.running,
        largest_speed: f.largest_speed,
        largest_flow: f.largest_flow,
        minimum_flow: f.minimum_flow,
        recirculation_stroke: f.recirculation_stroke,
        suction_head: f.npsh_required,
        casing_limit: f.warm_up.map(|w| w.limit),
        runback_rate: f.runback_rate * bal.throttle / 60.0,
    }
}

/// Closed heaters that take the drains of moisture separator and steam reheater, by index among the closed.
fn led_to(model: &Model) -> [Option<usize>; 2] {
    let slot = |d: &separator::Delivery| {
        d.heater
            .filter(|&i| Some(i) != model.layout.open)
            .map(|i| if i > model.layout.high { i - 1 } else { i })
    };
    let Some(q) = &model.turbine.separator else { return [None; 2] };
    [slot(&q.drain), q.reheater.as_ref().and_then(|r| slot(&r.drain))]
}

/// Whether a heater's normal drain goes on to the next heater.
fn drains_to_next(h: &Heater) -> bool {
    matches!(h, Heater::Closed(c) if c.drains_to == DrainTo::Next)
}

/// Water in a pipe [kg]; never so little that a step could flush it.
fn pipe_mass(volume: f64, specific: f64, flow: f64) -> f64 {
    (volume / specific).max(3.0 * flow * STEP)
}

/// Bypass groups by index of closed heater: those of the file, and one for each heater in none.
fn groups(plant: &Plant, open: usize) -> Vec<Vec<usize>> {
    let slot =
        |id: &str| plant.heaters.iter().position(|h| h.id() == id).map(|i| if i > open { i - 1 } else { i });
    let mut groups: Vec<Vec<usize>> = plant
        .bypass_groups
        .iter()
        .map(|g| {
            let mut v: Vec<usize> = g.iter().filter_map(|id| slot(id)).collect();
            v.sort_unstable();
            v
        })
        .collect();
    for h in plant.heaters.iter().filter(|h| matches!(h, Heater::Closed(_))) {
        if let Some(k) = slot(h.id())
            && !groups.iter().any(|g| g.contains(&k))
        {
            groups.push(vec![k]);
        }
    }
    groups
}

fn closed_heater(
    plant: &Plant,
    model: &Model,
    c: &ClosedHeater,
    e: &HeaterEquipment,
    i: usize,
) -> Result<(Closed, ClosedState), Fault> {
    let hb = &model.design.heaters[i];
    let id = c.id.as_str();
    let cannot = |what: &str, remedy: &str| Fault::new("cannot_run", format!("heaters.{id}"), what, remedy);
    let sized = model.closed[i].as_ref();
    let (Some(surface), Some((normal, emergency))) =
        (sized.and_then(|m| m.surface.clone()), sized.and_then(|m| m.drains))
    else {
        return Err(cannot(
            "an ideal heater has no surface that could be run.",
            "Give a terminal temperature difference above 0.",
        ));
    };
    let water = sized.map_or([hb.water_out; ZONES], |m| m.water);
    let receiver = match (&c.drains_to, plant.heaters.get(i + 1)) {
        (DrainTo::Condenser, _) => Receiver::Condenser,
        (DrainTo::Next, Some(Heater::Open(_))) => Receiver::Open,
        (DrainTo::Next, _) => Receiver::Closed(if i > model.layout.high { i } else { i + 1 }),
        (DrainTo::Forward(pump), _) => Receiver::Forward(*pump),
    };
    let line = if i < model.layout.high { &model.lines.high } else { &model.lines.low };
    let sat = steam::sat_p(hb.pressure).at(id)?;

    // Tube water and metal, shared by the area that each zone's conductance needs.
    let area: Vec<f64> = surface.conductance.iter().zip(TYPICAL_COEFFICIENT).map(|(ua, u)| ua / u).collect();
    let whole: f64 = area.iter().sum();
    let cp = line.cp(0.5 * (hb.water_in_t + hb.water_out_t)).at(id)?;
    let held = e.tube_water + e.tube_metal * STEEL / cp;
    let storage = [held * area[0] / whole, held * area[1] / whole, held * area[2] / whole];
    let geometry = Geometry::new(&e.shell);
    let level_volume = geometry.volume(e.shell.normal_level);
    let vent = model.closed[i].as_ref().map_or(Vent::NONE, |m| m.vent);
    let space = gas::space(geometry.whole(), level_volume);
    let gas_pressure = sat.p * vent.mean / (1.0 - vent.mean);
    let params = heater::Params {
        id: c.id.clone(),
        vent,
        gas_pressure,
        normal_level: e.shell.normal_level,
        normal_volume: level_volume,
        metal_capacity: e.shell.metal * STEEL,
        metal_conductance: e.shell.metal * STEEL / e.shell.metal_lag,
        surface,
        storage,
        bore: leak::bore(e.tube_bore),
        relief: (extraction::RELIEF.0 * hb.pressure).max(extraction::RELIEF.1),
        outlet: e.drain_inlet.as_ref().map_or(PLAIN_OUTLET, |d| (d.bottom, d.top)),
        geometry: geometry.clone(),
    };
    let state = heater::State {
        shell: vessel::fill(geometry.volume(e.shell.normal_level), geometry.whole(), &sat),
        gas: Gas { mass: gas_pressure / gas::pressure(1.0, space, sat.t) },
        pressure: sat.p,
        gas_pressure: 0.0,
        heading: Sought::default(),
        slope: 0.0,
        metal: sat.t,
        water,
        inlet: hb.water_in,
        drain: hb.drain,
        drain_found: ByHeat::default(),
        steam_found: Sought::default(),
        steam_flow: hb.extraction_flow,
    };
    let fails_to = [e.normal_drain.fails_to.unwrap_or(0.0), e.emergency_drain.fails_to.unwrap_or(1.0)];
    let extraction = extraction::Params::new(model.extraction[i], &e.extraction);
    let volume = line.v(hb.water_out_t).at(id)?;
    // Behind the heater, where a pumped drain has joined: what the next in the water, or the boiler, receives.
    let behind = match i {
        0 => model.design.final_enthalpy,
        _ => model.design.heaters[i - 1].water_in,
    };
    let closed_state = ClosedState {
        heater: state,
        extraction: extraction::OPEN,
        normal: Stem { opening: e.normal_drain.design_opening },
        emergency: Stem { opening: 0.0 },
        start_up_vent: Stem { opening: 0.0 },
        drain_at_valve: hb.drain,
        drain_found: ByHeat::default(),
        outlet_pipe: Pipe::new(pipe_mass(e.outlet_pipe, volume, hb.water_flow), behind),
        ramp: RateMeter::at(hb.water_out_t),
        over_ramp: OverRamp::default(),
    };
    let vents_to = c.vents_to;
    let closed = Closed { heater: params, extraction, normal, emergency, receiver, fails_to, vents_to };
    Ok((closed, closed_state))
}

fn open_heater(
    plant: &Plant,
    model: &Model,
    o: &OpenHeater,
    e: &OpenEquipment,
    at: usize,
) -> Result<(open_heater::Params, extraction::Params, open_heater::State), Fault> {
    let Shell { metal, metal_lag, normal_level, .. } = e.tank;
    let (bal, hb) = (&model.design, &model.design.heaters[at]);
    let sat = steam::sat_p(hb.pressure).at(&o.id)?;
    let geometry = Geometry::new(&e.tank);
    let metal_capacity = metal * STEEL;
    let into =
        (0..at).filter(|&j| matches!(&plant.heaters[j], Heater::Closed(c) if c.vents_to == VentTo::Open));
    let vents = into.filter_map(|j| Some((&bal.heaters[j], &model.closed[j].as_ref()?.vent)));
    let design = deaeration::Design {
        incoming: e.incoming_oxygen,
        leaving: e.leaving_oxygen,
        condensate: bal.open_water_in,
        drains: hb.drain_in,
        steam: hb.extraction_flow,
        in_steam: plant.boiler.steam_gas,
        vents: vents.map(|(b, v)| v.arriving(b.extraction_flow, b.pressure, true)).sum(),
        vent: o.vent_flow,
    };
    let deaeration = deaeration::Params::size(&design, &sat).at(&o.id)?;
    let space = geometry.whole() - geometry.volume(normal_level);
    let gas_pressure = sat.p * deaeration.mean / (1.0 - deaeration.mean);
    let drained = hb.drain_in / (hb.drain_in + bal.open_water_in);
    let equilibrium = deaeration::equilibrium(deaeration.mean, &sat).at(&o.id)?;
    let state = open_heater::State {
        tank: vessel::fill(geometry.volume(normal_level), geometry.whole(), &sat),
        pressure: sat.p,
        heading: Sought::default(),
        slope: 0.0,
        metal: sat.t,
        pegging: Stem { opening: 0.0 },
        gas: Gas { mass: gas_pressure / gas::pressure(1.0, space, sat.t) },
        oxygen: deaeration.leaving + drained * (equilibrium - deaeration.leaving),
    };
    let params = open_heater::Params {
        id: o.id.clone(),
        geometry,
        normal_level,
        metal_capacity,
        metal_conductance: metal_capacity / metal_lag,
        vent: model.vent.0,
        deaeration,
        pegging: e.pegging.as_ref().map(|g| pegging::Params::size(g, &o.id)).transpose()?,
    };
    let extraction = extraction::Params::new(model.extraction[at], &e.extraction);
    Ok((params, extraction, state))
}

fn condenser(
    plant: &Plant,
    e: &CondenserEquipment,
    model: &Model,
) -> Result<(condenser::Params, condenser::State), Fault> {
    let c = &plant.condenser;
    let t = model.design.condenser_temperature;
    let (rejection, cooling_inlet, cooling_capacity) = match (model.rejection, &c.cooling) {
        (Some((per_kelvin, inlet)), Some(w)) => (per_kelvin, inlet, model.design.rejected / w.rise),
        _ => {
            return Err(Fault::new(
                "cannot_run",
                "condenser.cooling",
                "a condenser without cooling water cannot be run.",
                "Give the cooling water's inlet temperature and rise.",
            ));
        }
    };
    let params = condenser::Params {
        // What the effectiveness of a condensing exchanger gives back.
        transfer_units: -math::ln_1p(-rejection / cooling_capacity),
        steam_volume: e.steam_volume,
        vacuum_pump: e.vacuum_pump,
        exhaust: model.design.exhaust,
        cooling_inlet,
        cooling_capacity,
        metal_capacity: e.metal * STEEL,
        hotwell_mass: e.hotwell_mass,
        hotwell_surface: e.hotwell_surface,
        makeup_enthalpy: steam::sat_t(c.makeup_temperature).at("condenser")?.hf,
    };
    let state = condenser::at_rest(&params, t).at("condenser")?;
    Ok((params, state))
}
