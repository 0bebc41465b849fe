//! Compiling the wasm module.

use crate::places::Places;
use crate::process;
use crate::route::{Route, TARGET};
use crate::say::step;
use anyhow::Result;
use std::path::{Path, PathBuf};

const CRATE: &str = "bledsteam-web";
/// cargo's name for the module's file.
const FILE: &str = "bledsteam_web.wasm";
const PROFILE: &str = "web";
/// Two numbers at once, as native code has them: every browser since early 2023 takes it, and no bit changes by it. Measured, a
/// step takes 0.975 of the time and the module 0.976 of the bytes.
const FEATURES: &str = "-Ctarget-feature=+simd128";

/// Compiles the module and says where it lies, not yet passed through the bindings.
pub fn compile(places: &Places, route: &Route) -> Result<PathBuf> {
    let dir = places.wasm_target();
    let mut cargo = process::cargo();
    cargo.current_dir(places.root());
    cargo.args(["build", "--package", CRATE, "--lib", "--target", TARGET, "--profile", PROFILE]);
    cargo.arg("--target-dir").arg(&dir);
    let mut std_sources = None;
    match route {
        Route::Installed => step("wasm", "compiling with the installed target"),
        Route::Debian { rustc, linker, sources } => {
            step("wasm", "compiling with Debian's compiler, std built along");
            cargo.env("RUSTC", rustc).env("RUSTC_BOOTSTRAP", "1");
            cargo.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker);
            cargo.args(["-Zbuild-std=std,panic_abort", "-Zbuild-std-features="]);
            std_sources = Some(sources);
        }
    }
    cargo.env("CARGO_ENCODED_RUSTFLAGS", flags(places.root(), std_sources.map(PathBuf::as_path)));
    process::run(
        &mut cargo,
        "correct what the compiler reports above; a fault in std itself: BLEDSTEAM_WASM_ROUTE",
    )?;
    Ok(dir.join(TARGET).join(PROFILE).join(FILE))
}

/// The builder's own folders stay out of the shipped module, where panic messages would carry them to everyone.
fn flags(root: &Path, std_sources: Option<&Path>) -> String {
    let mut maps = vec![(root.to_owned(), "bledsteam")];
    for registry in registries() {
        maps.push((registry, "crates"));
    }
    if let Some(sources) = std_sources {
        maps.push((sources.canonicalize().unwrap_or(sources.to_owned()), "rust"));
        maps.push((sources.to_owned(), "rust"));
    }
    let flags = maps.iter().map(|(from, to)| format!("--remap-path-prefix={}={to}", from.display()));
    flags.chain([FEATURES.to_owned()]).collect::<Vec<_>>().join("\u{1f}")
}

/// The folders into which cargo unpacks crates, one for each registry.
fn registries() -> Vec<PathBuf> {
    let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let home = home.or_else(|| std::env::home_dir().map(|h| h.join(".cargo")));
    let Some(folder) = home.and_then(|h| h.join("registry/src").read_dir().ok()) else { return Vec::new() };
    let mut found: Vec<PathBuf> = folder.flatten().map(|entry| entry.path()).collect();
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_builders_folders_are_mapped_away() {
        let flags = flags(Path::new("/home/someone/bledsteam"), Some(Path::new("/usr/src/rust")));
        assert!(flags.starts_with("--remap-path-prefix=/home/someone/bledsteam=bledsteam"), "{flags}");
        assert!(flags.contains("\u{1f}--remap-path-prefix=/usr/src/rust=rust"), "{flags}");
        // One argument each: the separator is cargo's, so a blank in a folder's name does no harm.
        assert!(!flags.contains(' '), "{flags}");
    }
}
