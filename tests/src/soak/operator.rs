//! Who puts everything right again after an upset.

use crate::{Run, load, set};
use engine::command::WhichDrain;
use engine::controller::{Loop, Mode, Request};
use engine::event::Device;
use engine::feed_pump::PumpState;
use engine::local::HandValve;
use engine::operation::Mode as HeaterMode;
use engine::pump_logic::Mode as PumpMode;
use engine::unit::{Hold, Standing};
use engine::{Command, pump_logic};

/// How often the operator looks [s].
pub const EVERY: u32 = 300;
/// How long the operator has for it [s].
pub const PATIENCE: u32 = 4 * 3600;
/// How long the plant is then left alone [s]: gas in the shells takes some hours.
pub const SETTLING: u32 = 10 * 3600;

/// What an operator does now to bring everything back, at a load. What is refused for now is asked again.
pub fn acts(run: &Run, share: f64) -> Vec<Command> {
    let (p, s) = (run.sim.params(), run.sim.state());
    let mut all: Vec<Command> = s
        .malfunctions
        .iter()
        .map(|m| Command::RemoveMalfunction { kind: m.kind, device: m.device.clone() })
        .collect();
    let held = s.local.held(p);
    // A warm-up valve is not handed back: it is left open.
    all.extend(held.into_iter().filter(|h| h.valve != HandValve::WarmUp).map(|h| Command::LocalValve {
        heater: h.heater,
        valve: h.valve,
        position: None,
    }));
    let shut = |x: &PumpState| x.casing.is_some_and(|c| c.valve.opening < 1.0);
    let pumps_shut = s.plant.feed.pumps.iter().enumerate().filter(|(_, x)| shut(x));
    all.extend(pumps_shut.map(|(k, _)| Command::LocalValve {
        heater: Device::FeedPump(k).pump_id(),
        valve: HandValve::WarmUp,
        position: Some(1.0),
    }));
    for (settings, c) in p.operation.controllers.iter().zip(&s.control.controllers) {
        let file = settings;
        let heater = |k: usize| p.closed[k].heater.id.clone();
        match settings.acts {
            Loop::NormalDrain(k) if !c.is_auto() => {
                all.push(Command::ReleaseDrain { heater: heater(k), valve: WhichDrain::Normal });
            }
            Loop::EmergencyDrain(k) if !c.is_auto() => {
                all.push(Command::ReleaseDrain { heater: heater(k), valve: WhichDrain::Emergency });
            }
            _ => {}
        }
        let own = !matches!(settings.acts, Loop::NormalDrain(_) | Loop::EmergencyDrain(_));
        let retuned = (c.gain, c.setpoint, c.integral_time, c.limits)
            != (file.gain, file.setpoint, file.integral_time, file.limits);
        if retuned || own && !c.is_auto() {
            let request = Request {
                mode: own.then_some(Mode::Auto),
                setpoint: Some(file.setpoint),
                output: None,
                gain: Some(file.gain),
                integral_time: file.integral_time,
                lowest: Some(file.limits.0),
                highest: Some(file.limits.1),
            };
            all.push(set(&settings.id, &request));
        }
    }
    pumps(run, &mut all);
    all.push(Command::ResetProtection { row: None });
    if s.control.unit.standing != Standing::OnGrid {
        all.push(Command::ResetTurbine);
    } else if s.control.unit.hold != Hold::SteamFlow {
        all.push(Command::SetHold { hold: Hold::SteamFlow });
    } else if s.control.load != share {
        all.push(load(share));
    }
    for (q, c) in p.closed.iter().zip(&s.control.heaters) {
        if matches!(c.mode, HeaterMode::Out | HeaterMode::Isolated) {
            all.push(Command::PutBack { heater: q.heater.id.clone() });
        }
    }
    all
}

/// As many pumps as at design run, the others stand by.
fn pumps(run: &Run, all: &mut Vec<Command>) {
    let (p, s) = (run.sim.params(), &run.sim.state().control.pumps);
    let feed: fn(usize) -> Device = Device::FeedPump;
    let condensate: fn(usize) -> Device = Device::CondensatePump;
    let groups =
        [(&s.feed, p.feed_pumps.running, feed), (&s.condensate, p.condensate_pumps.running, condensate)];
    for (group, wanted, device) in groups {
        let id = |k: usize| device(k).pump_id();
        let on = |m: PumpMode| matches!(m, PumpMode::Running | PumpMode::RunUp);
        let running = (0..group.pumps.len()).filter(|&k| on(group.mode(k))).count();
        let mut missing = wanted as isize - running as isize;
        for k in 0..group.pumps.len() {
            match group.mode(k) {
                PumpMode::Tripped | PumpMode::Out => all.push(Command::PutPumpBack { pump: id(k) }),
                PumpMode::Standby | PumpMode::CoastDown if missing > 0 => {
                    all.push(Command::StartPump { pump: id(k) });
                    missing -= 1;
                }
                PumpMode::Running if missing < 0 => {
                    all.push(Command::StopPump { pump: id(k) });
                    missing += 1;
                }
                _ => {}
            }
        }
    }
}

/// What is not as it was, if anything: a plant that the operator could not bring back has no balance to settle at.
pub fn left_over(run: &Run, share: f64) -> Option<String> {
    acts(run, share)
        .into_iter()
        .find(|c| !matches!(c, Command::ResetProtection { .. }))
        .map(|c| format!("{c:?}"))
        .or_else(|| {
            let (p, s) = (run.sim.params(), &run.sim.state().control);
            let runback = s.pumps.runback > 0.0 || pump_logic::carried(&p.operation, s) < share;
            let away = p.closed.iter().zip(&s.heaters).find(|(_, c)| c.mode != HeaterMode::InService);
            away.map(|(q, c)| format!("{} is {:?}", q.heater.id, c.mode))
                .or_else(|| runback.then(|| "runback".to_owned()))
        })
}
