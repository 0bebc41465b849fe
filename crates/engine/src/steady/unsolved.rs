//! A balance that cannot be had: which component is left unbalanced, by how much, and which unknown met a bound.

use super::newton::{End, Report, Unknown};
use crate::fault::Fault;

/// An unknown of a balance, by what it is for a practitioner.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sought {
    /// Extraction flow of a heater, by id. Below 0: its non-return valve is shut and its shell stands above the turbine.
    Extraction(String),
    /// Saturation temperature of a heater whose steam is shut off, by id.
    Saturation(String),
    /// Condenser temperature.
    Condenser,
    /// Throttle flow.
    Throttle,
}

/// A bound that was met.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// The unknown that stands there.
    pub sought: Sought,
    /// At which end of its range.
    pub end: End,
    /// Where that is [kg/s or °C].
    pub value: f64,
}

/// Why there is no balance.
#[derive(Clone, Debug, PartialEq)]
pub struct Unsolved {
    /// Component that is left unbalanced: a heater's id, `condenser` or `turbine`.
    pub component: String,
    /// What is left over there, of the heat added or the throttle flow.
    pub residual: f64,
    /// Evaluations spent.
    pub evaluations: u32,
    /// The bound that stands in the way, if one does.
    pub bound: Option<Bound>,
}

impl Unsolved {
    /// From a report on these unknowns; `components`: whose balance each equation is.
    pub fn new(report: &Report, sought: &[Sought], unknowns: &[Unknown], components: &[String]) -> Unsolved {
        let bound = report.bound.and_then(|(j, end)| {
            let (sought, u) = sought.get(j).zip(unknowns.get(j))?;
            let value = if end == End::Low { u.low } else { u.high };
            Some(Bound { sought: sought.clone(), end, value })
        });
        Unsolved {
            component: components.get(report.worst).cloned().unwrap_or_else(|| "turbine".into()),
            residual: report.residual,
            evaluations: report.evaluations,
            bound,
        }
    }
}

impl Bound {
    fn words(&self) -> String {
        let end = if self.end == End::Low { "lowest" } else { "highest" };
        let value = self.value;
        match &self.sought {
            Sought::Extraction(id) if self.end == End::Low => {
                format!("the shell of '{id}' stands as far above the turbine as is followed")
            }
            Sought::Extraction(id) => {
                format!("the extraction of '{id}' stands at the {end} that is sought, {value:.3} kg/s")
            }
            Sought::Saturation(id) => {
                format!("the saturation in '{id}' stands at the {end} that is sought, {value:.1} °C")
            }
            Sought::Condenser => format!("the condenser stands at the {end} that is sought, {value:.1} °C"),
            Sought::Throttle => {
                format!("the throttle flow stands at the {end} that is sought, {value:.3} kg/s")
            }
        }
    }
}

impl From<Unsolved> for Fault {
    fn from(u: Unsolved) -> Fault {
        let met = u.bound.as_ref().map_or_else(|| "no unknown stands at a bound".into(), Bound::words);
        Fault::new(
            "not_closed",
            u.component,
            format!(
                "the balance does not close: {:.1e} of the heat or flow is left over here after {} evaluations; {met}.",
                u.residual, u.evaluations
            ),
            "Try a load nearer to design, or fewer heaters out.",
        )
    }
}
