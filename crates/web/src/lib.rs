//! The wasm surface of the page: one handle, typed results, flat arrays copied out.
//!
//! Every call returns a result; a fault crosses as an object {code, place, message, remedy}. No panic crosses: the
//! crates below deny unwrap, expect and panic, and a fault leaves the last good state.

mod class;
mod desk;
mod lessons;
mod manifest;
mod own;
mod plant;
mod taking;

use crate::plant::Shut;
use drill::Free;
use engine::{Command, Fault};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// A value of ours as a plain JavaScript object.
fn to_js<T: Serialize + ?Sized>(value: &T) -> Result<JsValue, JsValue> {
    value
        .serialize(&serde_wasm_bindgen::Serializer::json_compatible())
        .map_err(|e| JsValue::from_str(&format!("a result could not be handed over: {e}")))
}

fn thrown(f: &Fault) -> JsValue {
    to_js(f).unwrap_or_else(|e| e)
}

fn too_many(what: &str, given: f64, most: f64) -> Fault {
    Fault::new(
        "out_of_range",
        what,
        format!("{given} is not a whole number from 0 to {most}."),
        "Ask for less at a time.",
    )
}

/// Shipped plants: name, title, summary.
#[wasm_bindgen(unchecked_return_type = "PlantInfo[]")]
pub fn plants() -> Result<JsValue, JsValue> {
    let mut list = Vec::new();
    for e in catalog::PLANTS {
        let p = catalog::plant(e.name).map_err(|f| f.first().map_or(JsValue::NULL, thrown))?;
        list.push(manifest::PlantInfo { name: p.name, title: p.title, summary: p.summary });
    }
    to_js(&list)
}

/// Hash of a grid of water and steam properties: equal on every machine, or the build is not to be trusted.
#[wasm_bindgen]
pub fn property_fingerprint() -> String {
    format!("{:016x}", steam::fingerprint())
}

/// Most steps in one call: an hour of plant time; longer runs are cut so that the page can answer.
const MOST_STEPS: f64 = 14_400.0;

/// A running plant; what an instructor does with it is in `desk`.
#[wasm_bindgen]
pub struct Session {
    free: Free,
    values: Vec<f64>,
    /// The copy is a trainee's: what no instrument shows is left out.
    shut: bool,
}

#[wasm_bindgen]
impl Session {
    /// Sizes a shipped plant and lets it rest at its design point.
    #[wasm_bindgen(constructor)]
    pub fn new(plant: &str) -> Result<Session, JsValue> {
        let plant = catalog::plant(plant).map_err(|f| f.first().map_or(JsValue::NULL, thrown))?;
        let free = Free::new(plant).map_err(|f| thrown(&f))?;
        Ok(Session { free, values: Vec::new(), shut: false })
    }

    /// Sizes a plant out of its file and lets it rest at its design point.
    pub fn of_file(json: &str) -> Result<Session, JsValue> {
        let plant = engine::plant::read(json).map_err(|f| f.first().map_or(JsValue::NULL, thrown))?;
        let free = Free::new(plant).map_err(|f| thrown(&f))?;
        Ok(Session { free, values: Vec::new(), shut: false })
    }

    /// What does not change while the plant runs: signals, quantities, heaters, design values.
    #[wasm_bindgen(unchecked_return_type = "Manifest")]
    pub fn manifest(&self) -> Result<JsValue, JsValue> {
        to_js(&manifest::of(self.free.sim()).map_err(|f| thrown(&f))?)
    }

    /// Advances by whole steps. After a fault the session stays where it is and says so again.
    pub fn advance(&mut self, steps: f64) -> Result<(), JsValue> {
        if !(0.0..=MOST_STEPS).contains(&steps) || steps.fract() != 0.0 {
            return Err(thrown(&too_many("steps", steps, MOST_STEPS)));
        }
        self.free.advance(steps as u32).map_err(|f| thrown(&f))
    }

    /// From now on leaves out what no instrument shows, as in a trainee's copy of the page, or shows it again.
    pub fn shut(&mut self, shut: bool) {
        self.shut = shut;
    }

    /// Values of all signals now, in the order of the manifest, in inside units; in a trainee's copy, what no instrument
    /// shows is no number.
    pub fn read(&mut self) -> js_sys::Float64Array {
        let sim = self.free.sim();
        engine::signals::read(sim, &mut self.values);
        if self.shut {
            self.values = plant::shown_values(&engine::signals::definitions(sim), &self.values);
        }
        js_sys::Float64Array::from(self.values.as_slice())
    }

    /// Carries out a command, or throws the reason for refusing it.
    pub fn command(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "Command")] command: JsValue,
    ) -> Result<(), JsValue> {
        let command: Command = serde_wasm_bindgen::from_value(command).map_err(|e| {
            thrown(&Fault::new(
                "not_a_command",
                "command",
                format!("this is not a command: {e}."),
                "Give an object with 'do' and the fields of that command.",
            ))
        })?;
        self.free.command(&command).map_err(|f| thrown(&f))
    }

    /// Events with a number above `after`, oldest first.
    #[wasm_bindgen(unchecked_return_type = "PlantEvent[]")]
    pub fn events(&self, after: f64) -> Result<JsValue, JsValue> {
        to_js(self.free.sim().events(after.max(0.0) as u64))
    }

    /// The steady heat balance of a case, whatever the running plant does; each heater's outage in the order heater 1
    /// first (`"none"`, `"out"`, `"isolated"`).
    #[wasm_bindgen(unchecked_return_type = "Balance")]
    pub fn balance(
        &self,
        #[wasm_bindgen(unchecked_param_type = "BalanceCase")] case: JsValue,
    ) -> Result<JsValue, JsValue> {
        plant::balance(self.free.sim(), case)
    }

    /// What each heater out, and each kelvin of TTD or DCA, costs at a gross output (share of design).
    #[wasm_bindgen(unchecked_return_type = "Cost[]")]
    pub fn costs(&self, output: f64) -> Result<JsValue, JsValue> {
        plant::costs(self.free.sim(), output)
    }

    /// Every controller as it stands.
    #[wasm_bindgen(unchecked_return_type = "ControllerView[]")]
    pub fn controllers(&self) -> Result<JsValue, JsValue> {
        plant::controllers(self.free.sim())
    }

    /// Valves that a person holds by hand.
    #[wasm_bindgen(unchecked_return_type = "HeldValve[]")]
    pub fn held_by_hand(&self) -> Result<JsValue, JsValue> {
        plant::held_by_hand(self.free.sim())
    }

    /// The table of protection as it stands.
    #[wasm_bindgen(unchecked_return_type = "ProtectionRow[]")]
    pub fn protection(&self) -> Result<JsValue, JsValue> {
        plant::protection(self.free.sim())
    }

    /// How a number came about in the last step: a signal, or a value that another working links to.
    #[wasm_bindgen(unchecked_return_type = "Working")]
    pub fn working(&self, id: &str) -> Result<JsValue, JsValue> {
        let sim = self.free.sim();
        if !self.shut {
            return plant::working(sim, id);
        }
        let signals = engine::signals::definitions(sim);
        to_js(&plant::open_working(sim, &signals, id, Shut::Copy).map_err(|f| thrown(&f))?)
    }

    /// Mass and energy of a component over the last step; `plant` is the whole. Closed in a trainee's copy.
    #[wasm_bindgen(unchecked_return_type = "ComponentBalance")]
    pub fn component_balance(&self, device: &str) -> Result<JsValue, JsValue> {
        if self.shut {
            return Err(thrown(&plant::closed(device, Shut::Copy)));
        }
        plant::component_balance(self.free.sim(), device)
    }

    /// Every alarm as it stands.
    #[wasm_bindgen(unchecked_return_type = "AlarmView[]")]
    pub fn alarms(&self) -> Result<JsValue, JsValue> {
        plant::alarms(self.free.sim())
    }

    /// How much the operator was called.
    #[wasm_bindgen(unchecked_return_type = "AlarmFigures")]
    pub fn alarm_figures(&self) -> Result<JsValue, JsValue> {
        plant::alarm_figures(self.free.sim())
    }

    /// Malfunctions in force, for the instructor's eyes.
    #[wasm_bindgen(unchecked_return_type = "ActiveMalfunction[]")]
    pub fn malfunctions(&self) -> Result<JsValue, JsValue> {
        to_js(&self.free.sim().state().malfunctions)
    }

    /// SHA-256 of the whole state.
    pub fn state_hash(&self) -> Result<String, JsValue> {
        self.free.sim().state_hash().map_err(|f| thrown(&f))
    }
}
