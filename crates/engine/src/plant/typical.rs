//! Equipment of usual proportions for a plant that is only known by its heat balance.
//!
//! A heat balance says how much heat a heater exchanges, not how large its shell is. What is missing is filled in from
//! the duties and flows of the design balance by proportions as units of this kind have (*common practice, no source*
//! throughout), so that the plant can be run; what the file gives is kept. The result is a plant file like any other,
//! to be corrected where the real figures are known.

use super::file::{
    BoilerEquipment, Characteristic, ClosedHeater, CondenserEquipment, Cooling, DrainInlet, DrainValve,
    Economics, ExtractionValves, FeedPumpEquipment, Heater, HeaterEquipment, LevelSettings, LineDrain,
    OpenEquipment, Plant, Shell, WarmUp,
};
use crate::extraction::Source;
use crate::fault::Fault;
use crate::line_drain::Bore;
use crate::steady::{Balance, HeaterBalance, Model};
use steam::math;

/// Duty of a heater whose shell has [`SHELL_DIAMETER`] [kW].
const SHELL_DUTY: f64 = 35e3;
/// Inside diameter of such a shell [m].
const SHELL_DIAMETER: f64 = 1.5;
/// Length of a shell over its diameter.
const SHELL_SLENDERNESS: f64 = 6.0;
/// Steel of such a shell [kg].
const SHELL_METAL: f64 = 15_000.0;
/// Time that feedwater takes through tubes and channel at design [s].
const TUBE_TIME: f64 = 10.0;
/// Steel of the tubes over the water in them.
const TUBE_METAL: f64 = 6.5;
/// Time that feedwater takes through the pipe to the next heater [s].
const PIPE_TIME: f64 = 15.0;
/// Full-load feedwater stored in the open heater's tank [s]: somewhat more than the ten minutes of UFC 3-540-02N.
const STORAGE: f64 = 720.0;
/// Length of the tank over its diameter.
const TANK_SLENDERNESS: f64 = 7.0;
/// Height of normal level in the tank over its diameter, and the share of its volume below it.
const TANK_LEVEL: (f64, f64) = (0.68, 0.72);
/// Time through the suction pipe [s].
const SUCTION_TIME: f64 = 35.0;
/// Height of the tank above the pumps [m].
const TANK_HEIGHT: f64 = 20.0;
/// Share of the extraction steam that the line's drain passes when it is open.
const LINE_DRAIN: f64 = 0.015;
/// Fall from one shell to the next [m], which drains need where the pressures hardly differ.
const FALL: f64 = 2.0;

/// The plant with what it lacks to be run.
///
/// # Errors
/// A balance that has no solution, or a plant that lacks what no proportion can give: an open heater.
pub fn equip(plant: &Plant) -> Result<Plant, Fault> {
    let balance = Model::new(plant)?.design;
    let mut p = plant.clone();
    let Some(open) = p.heaters.iter().position(|h| matches!(h, Heater::Open(_))) else {
        return Err(Fault::new(
            "cannot_run",
            "heaters",
            "a plant without an open heater cannot be run.",
            "Add the open heater with its storage tank; its size can be left out.",
        ));
    };
    let tank_at = 1.0 + TANK_HEIGHT;
    let count = p.heaters.len();
    for (i, (h, b)) in p.heaters.iter_mut().zip(&balance.heaters).enumerate() {
        match h {
            Heater::Closed(c) if c.equipment.is_none() => {
                // Drains fall all the way: the last shell stands above the condenser, the others above their neighbour.
                let elevation = if i < open {
                    tank_at + FALL * (open - i) as f64
                } else {
                    4.0 + FALL * (count - 1 - i) as f64
                };
                c.equipment = Some(closed(c, b, elevation));
            }
            Heater::Open(o) if o.equipment.is_none() => {
                o.equipment = Some(Box::new(tank(b, balance.feed, tank_at)))
            }
            _ => {}
        }
    }
    p.condenser.equipment.get_or_insert_with(|| condenser(&balance));
    p.condenser.cooling.get_or_insert_with(|| cooling(balance.condenser_temperature));
    p.boiler.equipment.get_or_insert_with(|| boiler(&balance));
    p.feed_pumps.equipment.get_or_insert_with(|| feed_pumps(balance.feed));
    p.economics.get_or_insert_with(|| Economics {
        heating_value: 25_000.0,
        fuel_price: 3.0,
        currency: "¤".into(),
        carbon_dioxide: 94.0,
    });
    Ok(p)
}

/// Rounded to three digits, as somebody would write it.
fn tidy(x: f64) -> f64 {
    if !(x > 0.0) {
        return x;
    }
    let unit = math::pow(10.0, (math::ln(x) / math::ln(10.0)).floor() - 2.0);
    let rounded = (x / unit).round() * unit;
    // Away with the tail that the multiplication leaves.
    if unit >= 1.0 { rounded.round() } else { (rounded / unit).round() / (1.0 / unit).round() }
}

fn valves(b: &HeaterBalance) -> ExtractionValves {
    ExtractionValves { stop_stroke: 45.0, non_return_close: 1.0, line_drain: Some(line_drain(b)) }
}

/// An orifice for a share of the extraction steam, in whole millimetres: no larger than a drain line is, and no smaller than
/// dirt would block.
fn line_drain(b: &HeaterBalance) -> LineDrain {
    let at = Source {
        pressure: b.extraction_pressure,
        enthalpy: b.extraction_enthalpy,
        volume: b.extraction_volume,
    };
    let per_area = Bore { area: 1.0, down: 0.0 }.steam(&at);
    let bore = (LINE_DRAIN * b.extraction_flow / per_area / core::f64::consts::FRAC_PI_4).sqrt();
    LineDrain { bore: (1e3 * bore).round().clamp(8.0, 50.0) / 1e3, stroke: super::line_drain::stroke() }
}

fn closed(c: &ClosedHeater, b: &HeaterBalance, elevation: f64) -> HeaterEquipment {
    let size = b.duty.max(1.0) / SHELL_DUTY;
    let diameter = tidy((SHELL_DIAMETER * math::cbrt(size)).clamp(0.5, 4.0));
    let water = tidy(TUBE_TIME * b.water_flow);
    let shell = Shell {
        attitude: super::file::Attitude::Horizontal,
        diameter,
        length: tidy(SHELL_SLENDERNESS * diameter),
        tube_share: 0.28,
        lowest_tube: tidy(0.29 * diameter),
        normal_level: tidy(0.26 * diameter),
        metal: tidy(SHELL_METAL * size),
        metal_lag: 45.0,
        elevation,
    };
    // Marks in proportion to the shell; a level moves with the flow over its surface, so that the same loop fits all.
    let mm = |share: f64| (share * diameter * 1e3).round();
    let drain = |design_opening, stroke| DrainValve {
        design_opening,
        recovery: 0.85,
        stroke,
        characteristic: Characteristic::Linear,
        fails_to: None,
    };
    HeaterEquipment {
        extraction: valves(b),
        drain_inlet: c
            .drain_cooling
            .as_ref()
            .map(|_| DrainInlet { bottom: tidy(0.12 * diameter), top: tidy(0.21 * diameter) }),
        tube_water: water,
        tube_metal: tidy(TUBE_METAL * water),
        tube_bore: 0.0125,
        air_leakage: 5e-5,
        outlet_pipe: tidy(PIPE_TIME * b.water_flow * 1.1e-3),
        normal_drain: drain(0.5, 12.0),
        emergency_drain: drain(0.3, 8.0),
        level: LevelSettings {
            low: -mm(0.055),
            high: mm(0.034),
            emergency: mm(0.044),
            emergency_band: mm(0.034),
            high_high: mm(0.095),
            high_high_delay: 2.0,
            gain: tidy(0.006 / diameter),
            integral_time: 60.0,
        },
        shell,
        ramp_limit: 3.0,
    }
}

fn tank(b: &HeaterBalance, feed: f64, elevation: f64) -> OpenEquipment {
    let volume = steam::sat_p(b.pressure).map_or(1.1e-3, |s| s.vf);
    let whole = STORAGE * feed * volume / TANK_LEVEL.1;
    let diameter = tidy(math::cbrt(whole / (TANK_SLENDERNESS * core::f64::consts::FRAC_PI_4)));
    OpenEquipment {
        incoming_oxygen: 40.0,
        leaving_oxygen: 7.0,
        extraction: valves(b),
        tank: Shell {
            attitude: super::file::Attitude::Horizontal,
            diameter,
            length: tidy(TANK_SLENDERNESS * diameter),
            tube_share: 0.0,
            lowest_tube: 0.0,
            normal_level: tidy(TANK_LEVEL.0 * diameter),
            metal: tidy(235.0 * whole),
            metal_lag: 120.0,
            elevation,
        },
        suction_pipe: tidy(SUCTION_TIME * feed * volume),
        suction_loss: 1.3,
        level_gain: tidy(0.0051 / diameter),
        level_integral_time: 500.0,
        pegging: None,
    }
}

fn condenser(b: &Balance) -> CondenserEquipment {
    CondenserEquipment {
        metal: tidy(820.0 * b.condensate),
        hotwell_mass: tidy(300.0 * b.condensate),
        hotwell_surface: tidy(0.28 * b.condensate),
        makeup_limit: tidy(0.15 * b.condensate),
        elevation: 2.5,
        steam_volume: tidy(2.5 * b.condensate),
        vacuum_pump: tidy(0.007 * b.condensate),
    }
}

/// Cooling water that leaves three kelvin below the steam, from half-way up from a river.
fn cooling(steam: f64) -> Cooling {
    let rise = tidy((0.3 * steam).min(10.0));
    Cooling { inlet: tidy((steam - 3.0 - rise).max(1.0)), rise }
}

fn boiler(b: &Balance) -> BoilerEquipment {
    BoilerEquipment {
        drum_surface: tidy(0.16 * b.throttle),
        drum_mass: tidy(275.0 * b.throttle),
        load_rate: 0.03,
        feed_line_volume: tidy(0.025 * b.throttle),
    }
}

fn feed_pumps(feed: f64) -> FeedPumpEquipment {
    FeedPumpEquipment {
        installed: 3,
        running: 2,
        warm_up: Some(WarmUp::usual(0.5 * feed)),
        speed: 4500.0,
        largest_speed: 1.12,
        shutoff_head: 1.24,
        npsh_required: 10.0,
        elevation: 1.0,
        flow_rate: 0.02,
        largest_flow: 1.2,
        minimum_flow: 0.2,
        recirculation_stroke: 4.0,
        run_up: 15.0,
        coast_down: 6.0,
        starved_delay: 4.0,
        low_header: 0.875,
        runback_rate: 0.5,
    }
}

#[cfg(test)]
mod tests {
    use super::super::{check, file::Heater, read};
    use super::*;
    use crate::sim::Sim;

    const SHIPPED: &str = include_str!("../../../catalog/plants/reheat250.json");

    /// The heat balance alone of a plant that has its equipment.
    fn bare() -> Plant {
        let mut p = read(SHIPPED).unwrap();
        for h in &mut p.heaters {
            match h {
                Heater::Closed(c) => c.equipment = None,
                Heater::Open(o) => o.equipment = None,
            }
        }
        p.boiler.equipment = None;
        p.condenser.equipment = None;
        p.feed_pumps.equipment = None;
        p
    }

    #[test]
    fn a_heat_balance_is_made_to_run() {
        let equipped = equip(&bare()).unwrap();
        assert!(check::check(&equipped).is_empty(), "{:?}", check::check(&equipped));
        let mut sim = Sim::new(equipped.clone()).unwrap();
        sim.advance(400).unwrap();
        // What is given is kept: equipping again changes nothing.
        assert_eq!(equip(&equipped).unwrap(), equipped);
        assert_eq!(equip(&read(SHIPPED).unwrap()).unwrap(), read(SHIPPED).unwrap());
    }

    /// UFC 3-540-02N: at least ten minutes of full-load feedwater in storage.
    #[test]
    fn the_tank_stores_ten_minutes() {
        let sim = Sim::new(equip(&bare()).unwrap()).unwrap();
        let (p, b) = (&sim.params().open, sim.balance());
        let volume = p.geometry.volume(p.normal_level);
        let specific = steam::sat_p(b.heaters[3].pressure).unwrap().vf;
        assert!(volume / specific >= 600.0 * b.feed, "{} s", volume / specific / b.feed);
    }

    #[test]
    fn figures_are_written_with_three_digits() {
        for (x, text) in [(1234.6, "1230"), (0.0012346, "0.00123"), (0.4, "0.4"), (19.97, "20"), (0.0, "0")] {
            assert_eq!(tidy(x).to_string(), text);
        }
    }
}
