//! The simulator: one plant, its state, and the one step that moves it.
//!
//! Order of a step: control and protect on the last measurements, drive the valves; pumps; feedwater on its way;
//! pressures along the turbine; drains and shells from the highest pressure down, the open heater in its place; work;
//! condenser; boiler; account; measure. A step that fails leaves the state as it was.

use crate::alarms;
use crate::boiler;
use crate::casing;
use crate::command::Command;
use crate::condenser;
use crate::event::{Code, Event, Happened};
use crate::falling::{self, Falling};
use crate::fault::{At, Fault};
use crate::instruments::Which;
use crate::ledger::Crossing;
use crate::malfunction;
use crate::measurements::HeaterMeasurements;
use crate::network;
use crate::open_heater;
use crate::operation::{self, Log};
use crate::outputs::{ClosedOutputs, Outputs};
use crate::plant::file::Plant;
use crate::sizing::{self, Sized};
use crate::snapshot;
use crate::steady::{Balance, Model};
use crate::train::{Params, SCAN, STEP, State};
use crate::transmitters::{self, Of, at};
use crate::turbine;
use sha2::{Digest, Sha256};

/// Events kept for reading; older ones are dropped.
const EVENTS_KEPT: usize = 4096;

/// A running plant.
pub struct Sim {
    plant: Plant,
    /// Whom its snapshots are for.
    identity: snapshot::Identity,
    params: Params,
    model: Model,
    state: State,
    /// Where the next step is made, so that a failing one leaves `state` and `outputs` alone.
    next: State,
    /// The state that the last step started from: the outputs follow from it.
    previous: State,
    outputs: Outputs,
    next_outputs: Outputs,
    events: Vec<Event>,
    start: (f64, f64),
}

impl Sim {
    /// Sizes a checked plant and lets it rest at its design point.
    pub fn new(plant: Plant) -> Result<Sim, Fault> {
        Sim::with_step(plant, STEP)
    }

    /// The same with steps of `dt` seconds, at most [`STEP`]: to see what the length of the step does to the answer.
    pub fn with_step(plant: Plant, dt: f64) -> Result<Sim, Fault> {
        if !(dt > 0.0 && dt <= STEP) {
            return Err(Fault::new(
                "out_of_range",
                "step",
                format!("a step of {dt} s is not above 0 and at most {STEP} s."),
                "Ask for a shorter step.",
            ));
        }
        let Sized { mut params, mut state, model } = sizing::size(&plant)?;
        params.dt = dt;
        params.scan = (SCAN / dt).ceil() as u32;
        if let Some(drains) = &mut state.plant.separator {
            drains.last(dt / STEP);
        }
        let start = (state.plant.mass(), state.plant.energy(&params));
        let mut sim = Sim {
            next: state.clone(),
            previous: state.clone(),
            identity: snapshot::Identity::of(&plant, dt)?,
            plant,
            params,
            model,
            state,
            outputs: Outputs::default(),
            next_outputs: Outputs::default(),
            events: Vec::new(),
            start,
        };
        sim.outputs.closed = vec![ClosedOutputs::default(); sim.params.closed.len()];
        sim.derive()?;
        Ok(sim)
    }

    /// Fills the outputs by making the last step once more; the state it leads to is dropped.
    fn derive(&mut self) -> Result<(), Fault> {
        let mut log = Log::new();
        self.next.clone_from(&self.previous);
        network::levels(&self.params, &self.next, &mut self.outputs)?;
        measure(&self.params, &self.next, &mut self.outputs)?;
        step(&self.params, &mut self.next, &mut self.outputs, &mut log)?;
        network::levels(&self.params, &self.state, &mut self.outputs)?;
        transmitters::read(&self.params, &self.state.plant, &mut self.outputs);
        measure(&self.params, &self.state, &mut self.outputs)?;
        self.account();
        Ok(())
    }

    fn account(&mut self) {
        let plant = &self.state.plant;
        let change = (plant.mass() - self.start.0, plant.energy(&self.params) - self.start.1);
        let l = &self.state.ledger;
        self.outputs.residuals = (l.mass_residual(change.0), l.energy_residual(change.1));
    }

    /// The plant at this instant as bytes, for [`Sim::restore`] of the same build and plant.
    ///
    /// # Errors
    /// A state that cannot be written.
    pub fn snapshot(&self) -> Result<Vec<u8>, Fault> {
        snapshot::write(&self.identity, &self.previous, &self.state)
    }

    /// Goes to the instant of a snapshot: from there the same inputs give the same bits. Events after that instant are
    /// forgotten. On failure nothing has changed.
    ///
    /// # Errors
    /// Bytes that are damaged or belong to another plant, build or length of step.
    pub fn restore(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        let (previous, state) = snapshot::read(&self.identity, bytes)?;
        let kept = (
            std::mem::replace(&mut self.previous, previous),
            std::mem::replace(&mut self.state, state),
            self.outputs.clone(),
        );
        if let Err(f) = self.derive() {
            (self.previous, self.state, self.outputs) = kept;
            return Err(f);
        }
        let last = self.state.events;
        self.events.retain(|e| e.seq <= last);
        Ok(())
    }

    /// The same with bytes that came from outside, such as a file: what does not have this plant's parts is refused too.
    ///
    /// # Errors
    /// As of [`Sim::restore`].
    pub fn restore_from_outside(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        let (previous, state) = snapshot::read(&self.identity, bytes)?;
        let mut sample = Sim::with_step(self.plant.clone(), self.params.dt)?;
        sample.advance(1)?;
        snapshot::fits(&sample.state, &previous)?;
        snapshot::fits(&sample.state, &state)?;
        self.restore(bytes)
    }

    /// Advances by `steps` steps.
    pub fn advance(&mut self, steps: u32) -> Result<(), Fault> {
        for _ in 0..steps {
            let mut log = Log::new();
            self.next.clone_from(&self.state);
            self.next_outputs.clone_from(&self.outputs);
            step(&self.params, &mut self.next, &mut self.next_outputs, &mut log)?;
            std::mem::swap(&mut self.previous, &mut self.state);
            std::mem::swap(&mut self.state, &mut self.next);
            std::mem::swap(&mut self.outputs, &mut self.next_outputs);
            self.watch(&mut log);
            self.record(log);
        }
        if steps > 0 {
            self.account();
        }
        Ok(())
    }

    /// Carries out a command at the present instant, or refuses it with the reason.
    pub fn command(&mut self, command: &Command) -> Result<(), Fault> {
        let now = self.time();
        let (p, s) = (&self.params, &mut self.state);
        match command {
            Command::InsertMalfunction { malfunction } => {
                malfunction::insert(p, &mut s.malfunctions, malfunction, now)
            }
            Command::RemoveMalfunction { kind, device } => {
                malfunction::remove(&mut s.malfunctions, *kind, device)
            }
            Command::LocalValve { heater, valve, position } => {
                let mut log = Log::new();
                s.local.send(p, &s.plant, (heater, *valve, *position), now, &mut log)?;
                self.record(log);
                Ok(())
            }
            _ if alarms::act(&mut s.alarms, &p.alarms, command)? => Ok(()),
            _ => {
                let mut log = Log::new();
                operation::command(&p.operation, &mut s.control, &self.outputs.measured, command, &mut log)?;
                self.record(log);
                Ok(())
            }
        }
    }

    /// Lets a run begin with a standing feed pump that nothing has kept warm: its casing as cold as the room, its warm-up
    /// valve shut. Before the first step only.
    ///
    /// # Errors
    /// No such pump; one whose casing is not followed, or that runs; a run that has begun. Then nothing has changed.
    pub fn begin_cold(&mut self, pump: &str) -> Result<(), Fault> {
        if self.state.steps > 0 {
            return Err(Fault::new(
                "refused",
                pump,
                "the run has begun.",
                "Say it before the first step; later shut the pump's warm-up valve and wait.",
            ));
        }
        let p = &self.params;
        let warm = self.state.plant.energy(p);
        let k = casing::begin_cold(&mut self.state.plant, pump)?;
        // What it had lost to the room before: so the account closes from design, also for whoever restores a snapshot.
        self.state.ledger.energy += self.state.plant.energy(p) - warm;
        let pumps = (p.feed_pumps.installed + p.condensate_pumps.installed) as usize;
        let transmitter = Of::Casing(pumps + k).first(p.closed.len());
        self.state.instruments.rest(&p.instruments, transmitter, casing::ROOM);
        self.previous.clone_from(&self.state);
        self.derive()
    }

    /// Events with a number above `after`, oldest first.
    pub fn events(&self, after: u64) -> &[Event] {
        let from = self.events.partition_point(|e| e.seq <= after);
        &self.events[from..]
    }

    /// Plant time [s].
    pub fn time(&self) -> f64 {
        self.state.steps as f64 * self.params.dt
    }

    /// The plant file.
    pub fn plant(&self) -> &Plant {
        &self.plant
    }

    /// What was sized.
    pub fn params(&self) -> &Params {
        &self.params
    }

    /// The design heat balance.
    pub fn balance(&self) -> &Balance {
        &self.model.design
    }

    /// The sized plant, which balances any other case.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// The state.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// The state that the last step started from.
    pub fn previous(&self) -> &State {
        &self.previous
    }

    /// Results of the last step.
    pub fn outputs(&self) -> &Outputs {
        &self.outputs
    }

    /// SHA-256 of the state's bytes: every number, bit for bit.
    pub fn state_hash(&self) -> Result<String, Fault> {
        let bytes = postcard::to_allocvec(&self.state).map_err(|e| {
            Fault::new(
                "state_bytes",
                "state",
                format!("the state cannot be written: {e}."),
                "Report this fault.",
            )
        })?;
        Ok(Sha256::digest(&bytes).iter().map(|b| format!("{b:02x}")).collect())
    }

    fn watch(&mut self, log: &mut Log) {
        operation::watch(&self.params.operation, &mut self.state.control, &self.outputs.measured, log);
        let (o, l) = (&self.outputs, &mut self.state.latched);
        let mut edge = |now: bool, was: &mut bool, on: Code, off: Option<Code>, k: Option<usize>, v: f64| {
            if now && !*was {
                log.push((on, k, v));
            } else if let (false, true, Some(off)) = (now, *was, off) {
                log.push((off, k, v));
            }
            *was = now;
        };
        edge(o.feed.at_limit, &mut l.pumps_at_limit, Code::FeedPumpsAtLimit, None, None, o.feed.flow);
        edge(
            o.feed.npsh_available < o.feed.npsh_required,
            &mut l.suction_low,
            Code::SuctionHeadLow,
            Some(Code::SuctionHeadRestored),
            None,
            o.feed.npsh_available,
        );
        let out = o.closed.iter().position(|c| c.heater.out_of_range);
        edge(
            out.is_some() || o.open.out_of_range,
            &mut l.out_of_range,
            Code::PressureOutOfRange,
            None,
            out,
            0.0,
        );
        let over = o.closed.iter().position(|c| c.heater.carry_over > 0.0);
        edge(over.is_some(), &mut l.carry_over, Code::CarryOver, None, over, 0.0);
        edge(o.condenser.relief > 0.0, &mut l.relief, Code::CondenserRelief, None, None, 0.0);
    }

    fn record(&mut self, log: Log) {
        for Happened { code, device, part, value } in log {
            self.state.events += 1;
            self.events.push(Event {
                seq: self.state.events,
                time_s: self.time(),
                code,
                device: self.params.device_id(device),
                part,
                value,
            });
        }
        if self.events.len() > EVENTS_KEPT {
            self.events.drain(..self.events.len() - EVENTS_KEPT);
        }
    }
}

/// Reads the instruments.
fn measure(p: &Params, s: &State, o: &mut Outputs) -> Result<(), Fault> {
    let (i, m) = (&p.instruments, &mut o.measured);
    let closed = s.plant.closed.len();
    let shown = |of: Of, at: usize| s.instruments.process(i, of.first(closed) + at);
    m.heaters.clear();
    for (k, c) in s.plant.closed.iter().enumerate() {
        m.heaters.push(HeaterMeasurements {
            level: s.instruments.level(k, Which::Control),
            level_protection: s.instruments.level(k, Which::Protection),
            ramp: s.instruments.ramps.get(k).map_or(0.0, |r| r.rate),
            steam_flow: shown(Of::Closed(k), at::STEAM),
            stop: c.extraction.stop.opening,
            non_return: c.extraction.assist.opening,
            water_back: s.backflow.water(p.point(k)),
            bypass: s.plant.bypass[p.group(k)].opening,
            normal: c.normal.opening,
            emergency: c.emergency.opening,
            line_drain: c.extraction.drain.valve.opening,
        });
    }
    m.open_level = s.instruments.level(p.closed.len(), Which::Control);
    m.open_level_protection = s.instruments.level(p.closed.len(), Which::Protection);
    m.open_stop = s.plant.open_extraction.stop.opening;
    m.open_line_drain = s.plant.open_extraction.drain.valve.opening;
    m.open_pressure = shown(Of::Open, at::TANK_PRESSURE);
    [m.hotwell_level, m.drum_level] = s.instruments.alone(i);
    m.condenser_pressure = shown(Of::Unit, at::VACUUM);
    m.steam_flow = shown(Of::Unit, at::THROTTLE);
    m.gross = shown(Of::Unit, at::GROSS);
    m.heat_added = s.plant.boiler.heat;
    m.main_stop = s.plant.turbine.stop.opening;
    m.grid = s.plant.turbine.grid;
    m.feed_flow = shown(Of::Unit, at::FEED);
    m.suction_head = shown(Of::Unit, at::SUCTION);
    m.suction_temperature = shown(Of::Unit, at::SUCTION_TEMPERATURE);
    m.header_pressure = shown(Of::Unit, at::HEADER);
    m.condensate_flow = shown(Of::Unit, at::CONDENSATE);
    let pumps = (p.feed_pumps.installed + p.condensate_pumps.installed) as usize;
    m.read_pumps(
        p,
        &s.plant,
        |k| s.instruments.process(i, Of::Pump(k).first(closed)),
        |k| s.instruments.process(i, Of::Casing(pumps + k).first(closed)),
    );
    Ok(())
}

/// The step. On failure `s` and `o` are spoilt: the caller keeps the state it started from.
fn step(p: &Params, s: &mut State, o: &mut Outputs, log: &mut Log) -> Result<(), Fault> {
    let dt = p.dt;
    o.conditions.derive(p, &s.malfunctions, s.steps as f64 * dt);
    s.local.step(p, &s.plant, s.steps as f64 * dt, &mut o.conditions, log);
    let d = &mut s.demands;
    if s.steps.is_multiple_of(u64::from(p.scan)) {
        let since = f64::from(p.scan) * dt;
        operation::control(&p.operation, &mut s.control, &o.measured, &o.conditions.frozen, d, since, log);
        operation::protect(&p.operation, &mut s.control, &o.measured, d, since, log);
        s.alarms.step(&p.alarms, &o.measured, (&s.control, d), s.steps as f64 * dt, since);
    }
    let x = &mut s.plant;
    network::drive(p, x, d, o);

    // Pumps.
    let (feed, drawn) = network::feed_pumps(p, x, d, o)?;
    let condensate = network::condensate_pumps(p, x, d, o)?;
    let condensate_h = condenser::condensate(&x.condenser)?;

    // Drains by their valves as they stand, and feedwater on its way.
    let condenser_p = x.condenser.pressure;
    network::drains(p, x, o, condenser_p)?;
    let m = p.closed.len();
    let low = network::Side { from: p.high, to: m };
    let high = network::Side { from: 0, to: p.high };
    (o.open_water_flow, o.open_water_in) =
        network::arrive(p, x, o, low, condensate, condensate_h + o.condensate.rise)?;
    let taken = x.suction.take(drawn * dt);
    o.suction_h = taken;
    let economiser = network::arrive(p, x, o, high, feed, taken + o.feed.rise)?;
    o.boiler_feed = economiser.0;
    o.final_h = x.feed_line.take(o.boiler_feed * dt);

    // Pressures along the turbine, with the shells as they stand.
    let throttle = o.throttle;
    let taps = network::taps(p, x, o)?;
    let inlet = turbine::expansion(&p.turbine, &mut x.turbine, throttle, &taps, condenser_p)?;

    // Shells, from the highest pressure down, with the drains that fall from one to the next.
    let mut falling = Falling::new(m + 1);
    o.led = falling.led(p, x, d.led);
    let mut lines = vec![turbine::Exchange::default(); taps.len()];
    for k in 0..=m {
        if k == p.high {
            let arrived = falling.take(p.high);
            o.open_drain_in = arrived.mass;
            let i = open_heater::Inputs {
                dt,
                source: x.turbine.points[p.open_point()],
                line: o.open_line,
                back: o.open_back,
                pegging: o.pegging,
                water_in: o.open_water_flow + o.feed.back,
                water_in_heat: o.open_water_flow * o.open_water_in + o.feed.back * taken + o.feed.back_work,
                drain_in: arrived.mass,
                drain_in_heat: arrived.heat,
                vents: falling.vents.mass,
                vents_heat: falling.vents.heat,
                vents_gas: falling.vents_gas,
                returned: o.feed.back,
                warm_up: o.feed.warm,
                warm_up_heat: o.feed.warm * taken + o.feed.warm_work,
                water_out: drawn,
                condition: o.conditions.open,
            };
            o.open = open_heater::step(&p.open, &mut x.open, &i)?;
            lines[p.open_point()] = falling::open_line(p, x, o, &mut falling)?;
            falling.gas.1 += o.open.returned_gas;
            falling.condenser.add(o.open.overflow, o.open.overflow_heat);
        }
        if k == m {
            break;
        }
        lines[p.point(k)] = falling::closed(p, x, o, k, d.heaters[k].vent, &mut falling)?;
    }

    // Feedwater sent on.
    network::send(p, x, o, low);
    x.suction.put(drawn * dt, o.open.water_out);
    network::send(p, x, o, high);
    x.feed_line.put(o.boiler_feed * dt, economiser.1);

    // Work, condenser, boiler.
    o.turbine = turbine::work(&p.turbine, &x.turbine, inlet, throttle, &lines, d.unit.generating);
    x.turbine.joined.iter_mut().zip(&lines).for_each(|(j, l)| j.water = l.water);
    s.backflow.step(&p.backflow, &lines, dt, log);
    s.backflow.drained += dt * o.closed.iter().map(|c| c.line_drain.water).sum::<f64>();
    x.turbine.gross = o.turbine.gross;
    let led = o.turbine.separator;
    if let Some(drains) = &mut x.separator {
        let s = &x.turbine.separator;
        drains.separator.collect(led.drained, s.drain, dt);
        drains.reheater.collect(led.heating, s.heating_drain, dt);
    }
    o.makeup = d.makeup;
    let inputs = condenser::Inputs {
        dt,
        inflow: o.turbine.exhaust_flow + o.turbine.water + falling.condenser.mass,
        inflow_heat: o.turbine.exhaust_flow * o.turbine.exhaust_enthalpy
            + (o.turbine.carried + o.turbine.water_heat)
            + falling.condenser.heat,
        condensate,
        makeup: o.makeup,
        wrong: o.conditions.condenser,
    };
    o.condenser = condenser::step(&p.condenser, &mut x.condenser, &inputs)?;
    o.heat_added = boiler::heat_added(&p.boiler, throttle, o.final_h) + o.turbine.reheat;
    x.boiler.heat = o.heat_added;
    boiler::step(&mut x.boiler, throttle, o.boiler_feed, dt);

    // Account and read-outs.
    o.gas = (falling.gas.0 + o.open.gas_in, falling.gas.1 + o.open.gas_out);
    let drain_pumping: f64 = o.closed.iter().map(|c| c.forward * c.forward_rise).sum();
    o.auxiliary = o.feed.power + o.condensate.power + drain_pumping;
    s.ledger.book(
        &Crossing {
            mass: o.makeup + o.open.pegging_flow - o.open.vent_flow - o.condenser.relief + o.gas.0 - o.gas.1,
            feed: o.boiler_feed,
            energy: throttle * p.turbine.main_enthalpy
                + o.turbine.reheat
                + o.open.pegging_heat
                + feed * o.feed.rise
                + o.feed.back_work
                + o.feed.warm_work
                + o.feed.casing_heat
                - o.feed.casing_loss
                + drain_pumping
                - o.boiler_feed * o.final_h
                + o.condensate.power
                + o.condenser.makeup_heat
                - o.turbine.shaft
                - o.condenser.rejected
                - o.condenser.relief_heat
                - o.open.vent_heat,
            added: o.heat_added,
        },
        dt,
    );
    for (k, c) in x.closed.iter_mut().enumerate() {
        c.ramp.step(o.closed[k].heater.water_out_t, dt);
        c.over_ramp.step(c.ramp.rate, p.operation.heaters[k].ramp_limit, dt);
    }
    o.final_t = p.lines.high.t(o.final_h).at("boiler")?;
    o.open_water_in_t = p.lines.low.t(o.open_water_in).at(&p.open.id)?;
    s.steps += 1;
    network::levels_found(p, s, o)?;
    transmitters::read(p, &s.plant, o);
    s.instruments.step(&p.instruments, (&o.levels, &o.truths), &o.conditions.transmitters, dt);
    measure(p, s, o)
}
