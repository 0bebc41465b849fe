//! An exercise being taken, as the views of the plant read it: the same calls as a session's, less what a trainee must not
//! see before it is over.

use crate::lessons::{Drill, taken};
use crate::plant::{self, Shut};
use crate::{thrown, to_js};
use drill::exercise::control::Pattern;
use drill::standing::standing;
use wasm_bindgen::prelude::*;

/// Names of these shapes on the page's side, kept beside them.
#[wasm_bindgen(typescript_custom_section)]
const TYPES: &str = r#"
export interface Standing {
  step: number; time_s: number; left_s: number; began_s: number; ended: Ended | null; hints: number;
  notes: { at_s: number; text: string }[];
  predictions: { prediction: string; locked_s: number | null; guess: Guess | null }[];
  questions: { question: string; open: boolean; answer: Answer | null; reading: number | null }[];
}
"#;

impl Drill {
    fn over(&self) -> bool {
        self.run.ended().is_some()
    }
}

#[wasm_bindgen]
impl Drill {
    /// Values of all signals now, in the order of the manifest, in inside units; while it runs, what no instrument shows is
    /// no number.
    pub fn read(&self) -> js_sys::Float64Array {
        // Not those of the last step: a command shows at once.
        let mut values = Vec::new();
        engine::signals::read(self.run.sim(), &mut values);
        if !self.over() {
            values = plant::shown_values(self.run.lesson().signals(), &values);
        }
        js_sys::Float64Array::from(values.as_slice())
    }

    /// How it stands: time, notes, what is predicted and answered.
    #[wasm_bindgen(unchecked_return_type = "Standing")]
    pub fn standing(&self) -> Result<JsValue, JsValue> {
        to_js(&standing(&self.run))
    }

    /// Whether the trainee may operate this: whether any command with the given fields could be admitted.
    pub fn may(
        &self,
        #[wasm_bindgen(unchecked_param_type = "{ do: string; [field: string]: string | number }")]
        given: JsValue,
    ) -> Result<bool, JsValue> {
        let given: Pattern = taken(given, "part of a command")?;
        Ok(!self.over() && self.run.lesson().exercise().controls.may(&given))
    }

    /// How a number came about in the last step; while it runs, only what instruments show.
    #[wasm_bindgen(unchecked_return_type = "Working")]
    pub fn working(&self, id: &str) -> Result<JsValue, JsValue> {
        let sim = self.run.sim();
        if self.over() {
            return plant::working(sim, id);
        }
        to_js(
            &plant::open_working(sim, self.run.lesson().signals(), id, Shut::Exercise)
                .map_err(|f| thrown(&f))?,
        )
    }

    /// Mass and energy of a component over the last step; closed while it runs.
    #[wasm_bindgen(unchecked_return_type = "ComponentBalance")]
    pub fn component_balance(&self, device: &str) -> Result<JsValue, JsValue> {
        if self.over() {
            return plant::component_balance(self.run.sim(), device);
        }
        Err(thrown(&plant::closed(device, Shut::Exercise)))
    }

    /// The steady heat balance of a case, whatever the plant of the exercise does.
    #[wasm_bindgen(unchecked_return_type = "Balance")]
    pub fn balance(
        &self,
        #[wasm_bindgen(unchecked_param_type = "BalanceCase")] case: JsValue,
    ) -> Result<JsValue, JsValue> {
        plant::balance(self.run.sim(), case)
    }

    /// What each heater out, and each kelvin of TTD or DCA, costs at a gross output (share of design).
    #[wasm_bindgen(unchecked_return_type = "Cost[]")]
    pub fn costs(&self, output: f64) -> Result<JsValue, JsValue> {
        plant::costs(self.run.sim(), output)
    }

    /// Every controller as it stands.
    #[wasm_bindgen(unchecked_return_type = "ControllerView[]")]
    pub fn controllers(&self) -> Result<JsValue, JsValue> {
        plant::controllers(self.run.sim())
    }

    /// Valves that a person holds by hand.
    #[wasm_bindgen(unchecked_return_type = "HeldValve[]")]
    pub fn held_by_hand(&self) -> Result<JsValue, JsValue> {
        plant::held_by_hand(self.run.sim())
    }

    /// The table of protection as it stands.
    #[wasm_bindgen(unchecked_return_type = "ProtectionRow[]")]
    pub fn protection(&self) -> Result<JsValue, JsValue> {
        plant::protection(self.run.sim())
    }

    /// Every alarm as it stands.
    #[wasm_bindgen(unchecked_return_type = "AlarmView[]")]
    pub fn alarms(&self) -> Result<JsValue, JsValue> {
        plant::alarms(self.run.sim())
    }

    /// How much the operator was called.
    #[wasm_bindgen(unchecked_return_type = "AlarmFigures")]
    pub fn alarm_figures(&self) -> Result<JsValue, JsValue> {
        plant::alarm_figures(self.run.sim())
    }
}
