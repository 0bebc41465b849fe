//! What can be asked of a plant, whoever drives it: the page by itself, or an exercise.
//!
//! A trainee must not read the answer off the equations: while an exercise runs, what no instrument shows is left out, and
//! with it every working that would give it away.

use crate::{thrown, to_js};
use engine::signals::Definition;
use engine::steady::{self, Case};
use engine::working::{Origin, Working};
use engine::{Fault, Sim};
use wasm_bindgen::prelude::*;

/// The steady heat balance of a case.
pub fn balance(sim: &Sim, case: JsValue) -> Result<JsValue, JsValue> {
    let case: Case = serde_wasm_bindgen::from_value(case).map_err(|e| {
        thrown(&Fault::new(
            "not_a_case",
            "case",
            format!("this is not a case: {e}."),
            "Give an object with 'hold' and 'outages'.",
        ))
    })?;
    to_js(&sim.model().solve(sim.plant(), &case).map_err(|f| thrown(&f))?)
}

/// What each heater out, and each kelvin of TTD or DCA, costs at a gross output (share of design).
pub fn costs(sim: &Sim, output: f64) -> Result<JsValue, JsValue> {
    to_js(&steady::costs(sim.model(), sim.plant(), output).map_err(|f| thrown(&f))?)
}

/// Every controller as it stands.
pub fn controllers(sim: &Sim) -> Result<JsValue, JsValue> {
    to_js(&sim.controllers())
}

/// Valves that a person holds by hand.
pub fn held_by_hand(sim: &Sim) -> Result<JsValue, JsValue> {
    to_js(&sim.local())
}

/// The table of protection as it stands.
pub fn protection(sim: &Sim) -> Result<JsValue, JsValue> {
    to_js(&sim.protection())
}

/// Every alarm as it stands.
pub fn alarms(sim: &Sim) -> Result<JsValue, JsValue> {
    to_js(&sim.alarms())
}

/// How much the operator was called.
pub fn alarm_figures(sim: &Sim) -> Result<JsValue, JsValue> {
    to_js(&sim.alarm_figures())
}

/// How a number came about in the last step.
pub fn working(sim: &Sim, id: &str) -> Result<JsValue, JsValue> {
    to_js(&sim.working(id).map_err(|f| thrown(&f))?)
}

/// Mass and energy of a component over the last step.
pub fn component_balance(sim: &Sim, device: &str) -> Result<JsValue, JsValue> {
    to_js(&sim.component_balance(device).map_err(|f| thrown(&f))?)
}

/// Whether an instrument shows it.
fn is_shown(signals: &[Definition], id: &str) -> bool {
    signals.iter().any(|d| d.id == id && !d.truth)
}

/// Why a trainee does not see all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shut {
    /// An exercise runs.
    Exercise,
    /// The copy of the page is a trainee's.
    Copy,
}

/// A working as a trainee may see it: of what an instrument shows, out of what instruments show.
///
/// # Errors
/// It would show more than that.
pub fn open_working(sim: &Sim, signals: &[Definition], id: &str, shut: Shut) -> Result<Working, Fault> {
    let mut w = sim.working(id)?;
    let shown = |id: &str| is_shown(signals, id);
    let terms = w.equation.iter().flat_map(|e| &e.terms);
    let hidden = terms.filter(|t| match &t.origin {
        Origin::Working { id, .. } | Origin::Flow { id } => !shown(id),
        Origin::Sized | Origin::Plant { .. } | Origin::Constant { .. } => false,
    });
    if !shown(id) || hidden.count() > 0 {
        return Err(closed(id, shut));
    }
    w.see.retain(|other| shown(other));
    Ok(w)
}

/// What a trainee is told who asks for what is closed.
pub fn closed(id: &str, shut: Shut) -> Fault {
    let (when, opens) = match shut {
        Shut::Exercise => ("while the exercise runs", "when the exercise is over"),
        Shut::Copy => ("in a trainee's copy", "when the instructor opens the desk"),
    };
    Fault::new(
        "hidden",
        id.split('.').next().unwrap_or(id),
        format!("this is closed {when}: it would show what no instrument shows."),
        format!("Judge by what the instruments show; it opens {opens}."),
    )
}

/// Values of signals with what no instrument shows left out.
pub fn shown_values(signals: &[Definition], values: &[f64]) -> Vec<f64> {
    signals.iter().zip(values).map(|(d, v)| if d.truth { f64::NAN } else { *v }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sim() -> Sim {
        Sim::new(catalog::plant("reheat250").unwrap()).unwrap()
    }

    #[test]
    fn what_no_instrument_shows_is_closed_and_so_is_what_is_made_of_it() {
        let sim = sim();
        let signals = engine::signals::definitions(&sim);
        let code = |id: &str| open_working(&sim, &signals, id, Shut::Exercise).map(|_| ()).unwrap_err().code;
        for id in ["hp1.level_true", "hp1.leak_flow", "hp1.flooded"] {
            assert_eq!(code(id), "hidden", "{id}");
        }
        // A duty is made of zones, and those of the level that is true.
        assert_eq!(code("hp1.duty_condensing"), "hidden");
        let open = open_working(&sim, &signals, "hp1.ttd", Shut::Copy).unwrap();
        assert!(open.equation.is_some_and(|e| e.terms.len() == 2));
        assert_eq!(sim.working("hp1.nothing").unwrap_err().code, code("hp1.nothing"));
    }

    #[test]
    fn values_of_truths_are_left_out_and_no_other() {
        let sim = sim();
        let signals = engine::signals::definitions(&sim);
        let mut values = Vec::new();
        engine::signals::read(&sim, &mut values);
        let shown = shown_values(&signals, &values);
        assert!(signals.iter().zip(&shown).all(|(d, v)| d.truth == v.is_nan()));
        assert!(signals.iter().any(|d| d.truth));
    }
}
