//! A plant of the reader's own, by its file: what is wrong with it, and what it lacks to be run.

use crate::lessons::first;
use crate::{thrown, to_js};
use drill::lesson::written;
use engine::Sim;
use engine::plant::{read, typical};
use wasm_bindgen::prelude::*;

/// Every fault of a plant file, each with its place; an empty list where the plant can be run.
#[wasm_bindgen(unchecked_return_type = "Fault[]")]
pub fn check_plant(json: &str) -> Result<JsValue, JsValue> {
    to_js(&match read(json) {
        Ok(plant) => Sim::new(plant).err().into_iter().collect(),
        Err(faults) => faults,
    })
}

/// A plant with what it lacks to be run, by equipment of usual proportions: the text of its file.
#[wasm_bindgen]
pub fn equip_plant(json: &str) -> Result<String, JsValue> {
    let plant = read(json).map_err(|f| first(&f))?;
    typical::equip(&plant).and_then(|equipped| written(&equipped)).map_err(|f| thrown(&f))
}
