//! What holds at any moment: the accounts close and nothing leaves the physical.

use crate::Run;
use engine::vessel::Holdup;

/// Mass unaccounted for, over the feedwater passed.
pub const MASS: f64 = 1e-9;
/// Energy unaccounted for, over the heat added.
pub const ENERGY: f64 = 1e-6;

/// Follows a run from its start.
#[derive(Debug, Default)]
pub struct Watch {
    /// Most enthalpy of the steam that each shell was offered so far [kJ/kg].
    pub hottest: Vec<f64>,
    /// How far a dry shell's steam may seem hotter than that, by the error of its straight-line fit [share of superheat].
    pub fit: f64,
}

impl Watch {
    /// What must hold at any moment, whatever was done to the plant; to be called every second.
    ///
    /// # Errors
    /// What does not.
    pub fn look(&mut self, run: &Run) -> Result<(), String> {
        let shells = shells(run);
        self.hottest.resize(shells.len(), 0.0);
        for (hottest, shell) in self.hottest.iter_mut().zip(&shells) {
            *hottest = hottest.max(shell.4);
        }
        sane(run, &shells, &self.hottest, self.fit)
    }
}

/// Id, holdup, volume [m³], pressure [MPa] of a shell or the tank, and the enthalpy of the steam that it is offered [kJ/kg].
type Shell = (String, Holdup, f64, f64, f64);

fn sane(run: &Run, shells: &[Shell], hottest: &[f64], fit: f64) -> Result<(), String> {
    for (d, &v) in run.definitions().iter().zip(run.values()) {
        let holds = v.is_finite() && possible(&d.id, v);
        if !holds {
            return Err(format!("{} = {v}", d.id));
        }
    }
    let (mass, energy) = (run.get("unit.mass_residual"), run.get("unit.energy_residual"));
    if mass.abs() > MASS || energy.abs() > ENERGY {
        return Err(format!("residuals: mass {mass:e}, energy {energy:e}"));
    }
    for q in &run.sim.params().closed {
        let id = &q.heater.id;
        let (normal, level) = (q.heater.normal_level * 1e3, run.get(&format!("{id}.level_true")));
        let top = q.heater.geometry.height() * 1e3 - normal;
        if !(-normal..=top).contains(&level) {
            return Err(format!(
                "{id}.level_true = {level} mm, the shell reaches from {} to {top} mm",
                -normal
            ));
        }
    }
    for ((id, holdup, volume, pressure, _), &offered) in shells.iter().zip(hottest) {
        let (volume, pressure) = (*volume, *pressure);
        let sat = steam::sat_p(pressure).map_err(|e| format!("{id}: {e}"))?;
        // More water than fits, or less than none, would be hidden by the level's limits. Less than none is superheated
        // steam in a shell drained dry: its internal energy is at most the enthalpy of the steam that it was ever offered.
        let water = holdup.mass - engine::vessel::steam_mass(holdup.mass, volume, &sat);
        let steam = engine::vessel::steam_temperature(holdup.mass, volume, &sat);
        let dry = if steam > sat.t { charged(pressure, sat.t, offered) } else { sat.t };
        let most = dry + 0.01 + fit * (steam - sat.t);
        if !(holdup.mass > 0.0 && water * sat.vf < volume && steam <= most) {
            let mass = holdup.mass;
            return Err(format!(
                "{id} holds {mass} kg, {water} kg of it water, in {volume} m³ at {pressure} MPa; steam at {steam} °C, \
                 offered with {offered} kJ/kg"
            ));
        }
    }
    Ok(())
}

/// Temperature [°C] of steam in a closed vessel at `p` [MPa], filled from nothing with steam of enthalpy `h` [kJ/kg]: it brings
/// its flow work along, so that it ends with u = h, hotter than it came (charging of a tank, first law for an open system, as
/// in any textbook of thermodynamics). At least saturation's, `t` [°C].
fn charged(p: f64, t: f64, h: f64) -> f64 {
    let colder = |t: f64| steam::steam_pt(p, t).is_ok_and(|s| s.h - 1e3 * s.p * s.v < h);
    let (mut low, mut high) = (t, 800.0);
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if colder(middle) { low = middle } else { high = middle }
    }
    low
}

/// Every shell and the tank.
fn shells(run: &Run) -> Vec<Shell> {
    let (p, s) = (run.sim.params(), &run.sim.state().plant);
    let offered = |point: usize| s.turbine.points[point].enthalpy;
    let closed = p.closed.iter().zip(&s.closed).enumerate();
    let mut all: Vec<_> = closed
        .map(|(k, (q, c))| {
            let (id, whole) = (q.heater.id.clone(), q.heater.geometry.whole());
            (id, c.heater.shell, whole, c.heater.pressure, offered(p.point(k)))
        })
        .collect();
    let tank = (p.open.id.clone(), s.open.tank, p.open.geometry.whole(), s.open.pressure);
    let pegging = p.open.pegging.as_ref().map_or(0.0, |g| g.source.enthalpy);
    all.push((tank.0, tank.1, tank.2, tank.3, offered(p.open_point()).max(pegging)));
    all
}

/// Whether a signal can have this value at all.
fn possible(id: &str, v: f64) -> bool {
    let name = id.split('.').next_back().unwrap_or(id);
    // What a transmitter shows may stand at the end of its range; what is true may not.
    let (name, truth) = name.strip_suffix("_true").map_or((name, false), |shown| (shown, true));
    match name {
        // Make-up below zero is the hotwell's overflow.
        "makeup_flow" => true,
        _ if name.ends_with("_flow") => v >= 0.0,
        _ if name.ends_with("_pressure") || name.ends_with("_temperature") => v > 0.0 || !truth && v == 0.0,
        _ if name.ends_with("_valve") => (0.0..=1.0).contains(&v),
        "bypass" | "flooded" | "drain_cooler_covered" => (0.0..=1.0).contains(&v),
        "mode" => (0.0..=4.0).contains(&v) && v.fract() == 0.0,
        // As the flow transmitter shows it.
        "load" => v >= 0.0 && (v <= 1.1 + 1e-9 || !truth),
        // Of what is held: with heaters out the output at design steam flow is more than at design.
        "load_demand" => (0.0..=1.3).contains(&v),
        "standing" | "hold" => [0.0, 1.0, 2.0].contains(&v),
        // Off the grid the unit gives nothing, and what the pumps take makes the net output negative.
        // Without flow it is the sum of stages that give nothing, to rounding [kW].
        "gross_output" => v >= -1e-6 || !truth,
        "heat_added" | "heat_rate" => v >= 0.0,
        _ => true,
    }
}
