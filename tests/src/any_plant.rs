//! Plants at random, in the order nature asks for: pressures fall along the turbine, every heater is hotter than the one
//! before it in the water, no approach reaches beyond the steam. Within that, anything a plant file can say.

use engine::plant::file::{
    Boiler, CONDENSER, ClosedHeater, CondensatePumps, Condenser, Cooling, Desuperheating, DrainCooling,
    DrainPump, DrainTo, Extraction, FORMAT, FeedPumps, Heater, HeaterEquipment, Instruments,
    MoistureSeparator, OpenHeater, Plant, Protection, Reheat, SteamReheater, Turbine, VentTo, Water,
};
use proptest::prelude::*;
use std::sync::LazyLock;

/// What is drawn for one closed heater; shares 0..=1 unless said otherwise.
#[derive(Clone, Debug)]
struct Drawn {
    /// Rise over the heater before it, against the others'.
    rise: f64,
    loss: f64,
    /// Of the rise; none: an ideal heater.
    ttd: Option<f64>,
    /// Of the rise; none: no drain cooler.
    approach: Option<f64>,
    /// Residual superheat [K]; none: no desuperheating zone.
    residual: Option<f64>,
    drain: u8,
    /// Of the extraction steam, about; none: no vent.
    vent: Option<f64>,
    efficiency: f64,
    water_side: f64,
}

/// What is drawn for the whole plant.
#[derive(Clone, Debug)]
struct Whole {
    /// Of the closed heaters; beyond them, none.
    open: usize,
    /// Main steam [MPa], superheat [K] or wetness, vacuum [MPa].
    pressure: f64,
    superheat: Option<f64>,
    wetness: f64,
    vacuum: f64,
    /// How far up the way from condenser to boiler the last heater reaches.
    top: f64,
    /// After which heater, how hot [°C], whether between two extractions, what is lost.
    reheat: Option<(usize, f64, bool, f64)>,
    /// The same for a moisture separator, where main steam is saturated.
    separator: Option<Separated>,
    cooling: bool,
    leaving_loss: f64,
    wetness_factor: f64,
    last_efficiency: f64,
    pump_efficiency: f64,
    inlet_loss: f64,
    vent: f64,
    /// Drain valves and level control, which can be too small for a drain.
    equipped: bool,
    saturated_water: bool,
}

/// What is drawn for a moisture separator.
#[derive(Clone, Debug)]
struct Separated {
    after: usize,
    between: bool,
    efficiency: f64,
    loss: f64,
    /// Terminal difference of the steam reheater, of what there is between both temperatures; and what it loses.
    reheater: Option<(f64, f64)>,
    /// Both drains to the condenser instead of a heater.
    away: (bool, bool),
}

fn separated() -> impl Strategy<Value = Option<Separated>> {
    let reheater = proptest::option::weighted(0.7, (0.1..0.5, 0.0..0.05));
    let away = (proptest::bool::weighted(0.3), proptest::bool::weighted(0.3));
    let all = (0..5_usize, any::<bool>(), 0.5..0.99, 0.0..0.05, reheater, away);
    proptest::option::weighted(
        0.8,
        all.prop_map(|(after, between, efficiency, loss, reheater, away)| Separated {
            after,
            between,
            efficiency,
            loss,
            reheater,
            away,
        }),
    )
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let ideal = prop_oneof![1 => Just(None), 4 => (0.03..0.35).prop_map(Some)];
    (
        0.6..1.4,
        prop_oneof![1 => Just(0.0), 4 => 0.01..0.07],
        ideal,
        proptest::option::of(0.15..0.6),
        proptest::option::weighted(0.4, 10.0..35.0),
        0..8_u8,
        proptest::option::of(0.003..0.01),
        0.78..0.93,
        0.1..0.6,
    )
        .prop_map(|(rise, loss, ttd, approach, residual, drain, vent, efficiency, water_side)| Drawn {
            rise,
            loss,
            ttd,
            approach,
            residual,
            drain,
            vent,
            efficiency,
            water_side,
        })
}

fn whole() -> impl Strategy<Value = Whole> {
    let steam = (
        0..14_usize,
        3.0..16.0,
        proptest::option::weighted(0.75, 40.0..250.0),
        0.0..0.01,
        0.003..0.012,
        0.55..0.9,
    );
    let reheat = proptest::option::of((0..5_usize, 20.0..250.0, any::<bool>(), 0.0..0.12));
    let losses = (0.0..30.0, 0.0..1.0, 0.75..0.9, 0.7..0.9, 0.0..0.06, 0.0..0.3);
    let kinds = (any::<bool>(), any::<bool>(), proptest::bool::weighted(0.15));
    (steam, reheat, separated(), losses, kinds).prop_map(|(s, reheat, separator, l, k)| Whole {
        separator: separator.filter(|_| s.2.is_none()),
        open: s.0,
        pressure: s.1,
        superheat: s.2,
        wetness: s.3,
        vacuum: s.4,
        top: s.5,
        reheat,
        leaving_loss: l.0,
        wetness_factor: l.1,
        last_efficiency: l.2,
        pump_efficiency: l.3,
        inlet_loss: l.4,
        vent: l.5,
        cooling: k.0,
        equipped: k.1,
        saturated_water: k.2,
    })
}

/// Any plant in its right order.
pub fn any_plant() -> impl Strategy<Value = Plant> {
    (whole(), proptest::collection::vec(drawn(), 1..=10)).prop_map(|(w, d)| build(&w, &d))
}

fn t_sat(p: f64) -> f64 {
    steam::t_sat(p).unwrap_or(f64::NAN)
}

fn build(w: &Whole, drawn: &[Drawn]) -> Plant {
    let closed = drawn.len();
    let open = (w.open <= closed).then_some(w.open);
    // Saturation temperatures: at most so many heaters that each rises by eight kelvin.
    let foot = t_sat(w.vacuum);
    let reach = (t_sat(w.pressure * (1.0 - w.inlet_loss) * 0.85) - foot) * w.top;
    let n = drawn.len() + usize::from(open.is_some());
    let rises: Vec<f64> = (0..n).map(|i| drawn[i.min(closed - 1)].rise).collect();
    let each = reach / rises.iter().sum::<f64>();
    let mut heaters = Vec::new();
    let mut saturation = foot + reach;
    let mut efficiency = Vec::new();
    for i in 0..n {
        let rise = rises[i] * each;
        // What the heater before it can leave of this one's rise.
        let room = rise.min(rises.get(i + 1).unwrap_or(&rises[i]) * each);
        let k = match open {
            Some(o) if i > o => i - 1,
            _ => i,
        };
        let shell = steam::p_sat(saturation).unwrap_or(f64::NAN);
        let d = &drawn[k.min(closed - 1)];
        let extraction = Extraction { pressure: shell / (1.0 - d.loss), line_loss: d.loss };
        efficiency.push(d.efficiency);
        if open == Some(i) {
            heaters.push(Heater::Open(OpenHeater {
                id: "open".into(),
                name: "Open heater".into(),
                extraction,
                vent_flow: w.vent,
                equipment: None,
            }));
        } else {
            heaters.push(Heater::Closed(Box::new(closed_heater(
                d,
                i,
                (n, open),
                room,
                extraction,
                w.equipped,
            ))));
        }
        saturation -= rise;
    }
    // Nobody reheats steam that is about to leave for the condenser.
    let hot_enough = |r: &(usize, f64, bool, f64)| {
        heaters.get(r.0).is_some_and(|h: &Heater| h.extraction().pressure > 0.3)
    };
    let reheat = w.reheat.filter(hot_enough).filter(|_| w.separator.is_none()).map(
        |(after, hotter, between, loss)| {
            let at = heaters[after].extraction().pressure;
            let below = heaters.get(after + 1).map_or(w.vacuum, |h| h.extraction().pressure);
            let pressure = between.then(|| at * steam::math::pow(below / at, 0.3));
            let cold = pressure.unwrap_or(at);
            let loss = if cold * (1.0 - loss) > below * 1.05 { loss } else { 0.0 };
            if pressure.is_some() {
                efficiency.insert(after + 1, drawn[after.min(closed - 1)].efficiency);
            }
            Reheat {
                after: heaters[after].id().to_owned(),
                pressure,
                temperature: (t_sat(cold) + 30.0 + hotter).clamp(160.0, 600.0),
                pressure_loss: loss,
            }
        },
    );
    let separator = w.separator.as_ref().and_then(|m| separator(m, w, &heaters));
    if separator.as_ref().is_some_and(|m| m.pressure.is_some()) {
        let after = w.separator.as_ref().map_or(0, |m| m.after);
        efficiency.insert(after + 1, drawn[after.min(closed - 1)].efficiency);
    }
    efficiency.push(w.last_efficiency);
    let low = open.and_then(|o| heaters.get(o)).map_or(0.0, |h| h.extraction().pressure);
    let main = t_sat(w.pressure);
    Plant {
        format: FORMAT.into(),
        name: "random".into(),
        title: "Random".into(),
        summary: "Random".into(),
        source: "Random".into(),
        boiler: Boiler {
            steam_flow: 200.0,
            steam_pressure: w.pressure,
            steam_temperature: w.superheat.map(|s| main + s),
            steam_quality: if w.superheat.is_some() { None } else { Some(1.0 - w.wetness) },
            drum_pressure: 1.05 * w.pressure,
            feed_line_loss: 0.08 * w.pressure,
            drum_elevation: 30.0,
            efficiency: 0.9,
            steam_gas: 5e-6,
            reheat,
            equipment: None,
        },
        turbine: Turbine {
            inlet_loss: w.inlet_loss,
            section_efficiency: efficiency,
            wetness_factor: w.wetness_factor,
            leaving_loss: w.leaving_loss,
            generator_efficiency: 0.98,
            moisture_separator: separator,
            stop_valve_stroke: 1.0,
            house_load: 0.07,
        },
        heaters,
        bypass_groups: vec![],
        bypass_stroke: 20.0,
        condenser: Condenser {
            pressure: w.vacuum,
            cooling: w.cooling.then_some(Cooling { inlet: 0.4 * foot, rise: 0.3 * foot }),
            makeup_temperature: 20.0,
            equipment: None,
        },
        condensate_pumps: CondensatePumps {
            // The condensate must not boil in the hottest heater before the open one.
            discharge_pressure: (1.3 * low).max(1.0),
            efficiency: w.pump_efficiency,
            largest_flow: 1.5,
            equipment: None,
        },
        feed_pumps: FeedPumps {
            efficiency: w.pump_efficiency,
            drive_efficiency: 0.95,
            heater_pressure: None,
            equipment: None,
        },
        water: if w.saturated_water { Water::Saturated } else { Water::Compressed },
        instruments: Instruments::default(),
        protection: Protection::default(),
        economics: None,
    }
}

/// A moisture separator, where there is a heater that it can follow.
fn separator(m: &Separated, w: &Whole, heaters: &[Heater]) -> Option<MoistureSeparator> {
    let at = heaters.get(m.after)?.extraction().pressure;
    let below = heaters.get(m.after + 1).map_or(w.vacuum, |h| h.extraction().pressure);
    // Nobody dries steam that is about to leave for the condenser.
    if at < 0.2 {
        return None;
    }
    let pressure = m.between.then(|| at * steam::math::pow(below / at, 0.3));
    let crossover = pressure.unwrap_or(at);
    let lost = |loss: f64| if crossover * (1.0 - 2.0 * loss) > below * 1.05 { loss } else { 0.0 };
    let to = |heater: Option<&Heater>, away: bool| match heater.filter(|_| !away) {
        Some(h) => h.id().to_owned(),
        None => CONDENSER.to_owned(),
    };
    let reheater = m.reheater.map(|(ttd, loss)| {
        let (hot, cold) = (t_sat(w.pressure * 0.97), t_sat(crossover));
        SteamReheater {
            ttd: (ttd * (hot - cold)).clamp(1.0, 80.0),
            pressure_loss: lost(loss),
            heating_loss: 0.03,
            drains_to: to(heaters.first(), m.away.1),
        }
    });
    Some(MoistureSeparator {
        after: heaters[m.after].id().to_owned(),
        pressure,
        efficiency: m.efficiency,
        pressure_loss: lost(m.loss),
        drains_to: to(heaters.get(m.after + 1), m.away.0),
        reheater,
    })
}

/// Heater `i` of `n`, with `room` kelvin between its saturation and that of its neighbours.
fn closed_heater(
    d: &Drawn,
    i: usize,
    (n, open): (usize, Option<usize>),
    room: f64,
    extraction: Extraction,
    equipped: bool,
) -> ClosedHeater {
    let drains_to = match d.drain {
        0 | 1 => DrainTo::Forward(DrainPump { efficiency: 0.75, pressure: None, suction_head: 3.0 }),
        2 => DrainTo::Condenser,
        _ if i + 1 == n => DrainTo::Condenser,
        _ => DrainTo::Next,
    };
    let ttd = d.ttd.map_or(0.0, |share| share * room.min(20.0));
    // An ideal heater has no surface, and so no zones to speak of but the drain's fixed approach.
    let desuperheating =
        d.ttd.and(d.residual).map(|residual_superheat| Desuperheating { residual_superheat });
    let drain_cooling = d.approach.map(|share| DrainCooling { approach: (share * room.min(25.0)).max(0.6) });
    let equipment = if equipped { equipment(i, n, drain_cooling.is_some()) } else { None };
    ClosedHeater {
        id: format!("h{i}"),
        name: format!("Heater {i}"),
        extraction,
        ttd: Some(ttd),
        outlet_temperature: None,
        desuperheating,
        drain_cooling,
        water_resistance: d.water_side,
        drains_to,
        // Of some twelve kilograms of steam.
        vent_flow: d.vent.map_or(0.0, |share| 12.0 * share),
        vents_to: if d.drain.is_multiple_of(2) && open.is_some_and(|o| i < o) {
            VentTo::Open
        } else {
            VentTo::Condenser
        },
        equipment,
    }
}

/// Shell, valves and control of a shipped plant's heater.
static SHIPPED: LazyLock<Option<HeaterEquipment>> = LazyLock::new(|| {
    let plant = catalog::plant("reheat250").ok()?;
    plant.heaters.into_iter().find_map(|h| match h {
        Heater::Closed(c) => c.equipment,
        Heater::Open(_) => None,
    })
});

/// The same, each shell some metres above the next.
fn equipment(i: usize, n: usize, drain_cooling: bool) -> Option<HeaterEquipment> {
    let mut e = SHIPPED.clone()?;
    e.shell.elevation = 3.0 * (n - i) as f64;
    e.drain_inlet = e.drain_inlet.filter(|_| drain_cooling);
    Some(e)
}

/// Faults by which a plant in its right order may be refused when it is sized: a zone or an approach that no surface
/// reaches, a drain that brings more heat than its receiver can use, or that cannot run where it is sent.
pub const REFUSALS: [&str; 5] =
    ["zone_impossible", "drain_approach", "extraction_not_positive", "no_exhaust", "drain_cannot_flow"];
