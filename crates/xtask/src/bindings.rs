//! The glue between the wasm module and the page, by the same code as the `wasm-bindgen` tool, in this process:
//! no global tool to install, and its version cannot stray from the crate's.

use crate::places::Places;
use anyhow::{Context, Result};
use std::path::Path;
use wasm_bindgen_cli_support::Bindgen;

/// The module as shipped.
pub const WASM: &str = "bledsteam_web_bg.wasm";
/// Its glue, before bundling.
pub const GLUE: &str = "bledsteam_web.js";

/// Writes glue, types and the stripped module into the bindings folder.
pub fn generate(places: &Places, module: &Path) -> Result<()> {
    Bindgen::new()
        .input_path(module)
        .web(true)
        .and_then(|bindgen| {
            bindgen
                .typescript(true)
                .remove_name_section(true)
                .remove_producers_section(true)
                // The page says where the bytes are: beside it, or inside the single file.
                .omit_default_module_path(true)
                .generate(places.bindings())
        })
        .with_context(|| format!("making the bindings of {}", places.shown(module)))
}

#[cfg(test)]
mod tests {
    /// The glue of one version does not fit the module of another.
    #[test]
    fn glue_and_crate_are_of_one_version() {
        let lock = include_str!("../../../Cargo.lock");
        let version = |name: &str| {
            let (_, rest) = lock.split_once(&format!("name = \"{name}\"\nversion = \""))?;
            rest.split('"').next()
        };
        assert!(version("wasm-bindgen").is_some());
        assert_eq!(version("wasm-bindgen"), version("wasm-bindgen-cli-support"));
    }
}
