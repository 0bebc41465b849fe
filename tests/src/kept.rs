//! Upsets that once broke a law, as they were shrunk. Seeds would not keep them: what a seed draws changes with [`upset::any`].
//!
//! [`upset::any`]: crate::upset::any

use crate::upset::{Act, Upset};
use engine::malfunction::{Kind, SPECS};

/// A kind of malfunction by its number, at the low end of its size, at once.
fn at_once(kind: Kind, device: usize) -> Act {
    let number = SPECS.iter().position(|s| s.kind == kind);
    Act::Break(number.unwrap_or(0), device, 0.0, 0, 0)
}

/// All of them.
pub fn all() -> Vec<Upset> {
    use Act::{Emergency, Isolate, Load, Normal, PutBack, ResetTurbine, Trip, TripTurbine};
    let of = |load: f64, script: &[(u32, Act)], rest: u32| Upset { load, script: script.to_vec(), rest };
    vec![
        of(
            0.25,
            &[(0, Emergency(0, 1.0)), (0, Trip(6)), (22, Trip(2)), (287, Normal(0, 0.0)), (173, Trip(0))],
            526,
        ),
        of(0.25, &[(0, Trip(0)), (7, Trip(3)), (0, Emergency(8, 1.0))], 300),
        of(0.25, &[(0, Trip(8)), (0, Normal(3, 1.0))], 338),
        of(0.25, &[(0, Emergency(0, 1.0)), (0, Isolate(0)), (85, Isolate(2)), (204, PutBack(0))], 300),
        of(1.1, &[(0, at_once(Kind::LevelHigh, 6)), (41, ResetTurbine)], 813),
        of(0.0, &[(0, at_once(Kind::TransmitterDrift, 0))], 300),
        of(0.25, &[(0, Load(1.05)), (0, Trip(1)), (0, Trip(0)), (0, Trip(0)), (61, PutBack(0))], 300),
        of(0.0, &[(0, TripTurbine), (0, Trip(0))], 300),
    ]
}
