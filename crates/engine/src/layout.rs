//! Which extraction point feeds which heater, and where the steam is reheated or dried.

use crate::plant::file::{Heater, Plant};

/// The order of things along turbine and feedwater line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Number of heaters.
    pub heaters: usize,
    /// Index of the open heater.
    pub open: Option<usize>,
    /// Heaters on the high-pressure side: all before the open heater, or all where there is none.
    pub high: usize,
    /// Heater fed by each point along the turbine; none for a reheater or a crossover with a pressure of its own.
    pub points: Vec<Option<usize>>,
    /// Point of each heater.
    pub point_of: Vec<usize>,
    /// Point behind which the steam is reheated.
    pub reheat: Option<usize>,
    /// Point behind which its moisture is taken out.
    pub separator: Option<usize>,
}

impl Layout {
    /// From a checked plant.
    pub fn new(plant: &Plant) -> Layout {
        let mut points = Vec::new();
        let mut point_of = Vec::new();
        let (mut reheat, mut separator) = (None, None);
        for (i, h) in plant.heaters.iter().enumerate() {
            point_of.push(points.len());
            points.push(Some(i));
            if let Some(r) = plant.boiler.reheat.as_ref().filter(|r| r.after == h.id()) {
                if r.pressure.is_some() {
                    points.push(None);
                }
                reheat = Some(points.len() - 1);
            }
            if let Some(m) = plant.turbine.moisture_separator.as_ref().filter(|m| m.after == h.id()) {
                if m.pressure.is_some() {
                    points.push(None);
                }
                separator = Some(points.len() - 1);
            }
        }
        let open = plant.heaters.iter().position(|h| matches!(h, Heater::Open(_)));
        let heaters = plant.heaters.len();
        Layout { heaters, open, high: open.unwrap_or(heaters), points, point_of, reheat, separator }
    }

    /// Number of groups of stages.
    pub fn groups(&self) -> usize {
        self.points.len() + 1
    }
}

/// Number of groups of stages that a plant's turbine has: for the check of its efficiencies.
pub fn groups(plant: &Plant) -> usize {
    Layout::new(plant).groups()
}
