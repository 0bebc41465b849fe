//! The page's npm packages: installed when the lock file has changed since.

use crate::places::Places;
use crate::process;
use crate::say::{step, stop};
use crate::system::{self, Consent};
use anyhow::{Context, Result};
use sha2::{Digest, Sha256};
use std::path::PathBuf;
use std::process::Command;

/// The oldest Node that bundles the page.
pub const FOR_THE_PAGE: u32 = 18;
/// The oldest Node that runs the browser tests.
pub const FOR_THE_TESTS: u32 = 20;

/// Node.
pub fn node() -> Command {
    process::command(process::find("node").unwrap_or_else(|| "node".into()))
}

/// A program of an installed package, run by Node: the same on every system, and without its install script.
pub fn tool(places: &Places, script: &str) -> Command {
    let mut command = node();
    command.current_dir(places.www()).arg(places.www().join("node_modules").join(script));
    command
}

/// The bundler: the program itself where its place is known, since its starter for Node adds a trace of its own to
/// each fault it reports.
pub fn esbuild(places: &Places) -> Command {
    let modules = places.www().join("node_modules");
    let system = match std::env::consts::OS {
        "macos" => "darwin",
        "windows" => "win32",
        other => other,
    };
    let machine = match std::env::consts::ARCH {
        "x86_64" => "x64",
        "aarch64" => "arm64",
        other => other,
    };
    let package = modules.join("@esbuild").join(format!("{system}-{machine}"));
    let mut found = ["bin/esbuild", "esbuild.exe"].iter().map(|p| package.join(p)).filter(|p| p.is_file());
    match found.next() {
        Some(program) => {
            let mut command = process::command(program);
            command.current_dir(places.www());
            command
        }
        None => tool(places, "esbuild/bin/esbuild"),
    }
}

/// Installs what the lock file names, unless it is there already.
///
/// # Errors
/// When Node is missing or older than `minimum`, or npm fails.
pub fn install(places: &Places, consent: Consent, minimum: u32) -> Result<()> {
    if process::find("node").is_none() || process::find("npm").is_none() {
        system::install(&["nodejs", "npm"], "Node and npm are missing, which bundle the page", consent)?;
    }
    let version = process::output(node().arg("--version")).unwrap_or_default();
    if major(&version).is_none_or(|m| m < minimum) {
        let what = format!("Node {version} is too old for this");
        return Err(stop(what, format!("install Node {minimum} or newer, then start this again")));
    }
    let wanted = stamp(places, &version)?;
    let stamp = places.www().join("node_modules/.bledsteam-stamp");
    if std::fs::read_to_string(&stamp).is_ok_and(|had| had == wanted) {
        return Ok(());
    }
    step("npm", "installing the page's packages as www/package-lock.json names them");
    let npm = process::find("npm").unwrap_or_else(|| PathBuf::from("npm"));
    let remedy =
        "read npm's message above; without a network, copy www/node_modules from a machine that has one";
    process::run(
        process::command(npm).args(["ci", "--no-audit", "--no-fund"]).current_dir(places.www()),
        remedy,
    )?;
    std::fs::write(&stamp, wanted).with_context(|| format!("writing {}", places.shown(&stamp)))
}

/// Changes when the packages must be installed anew.
fn stamp(places: &Places, node: &str) -> Result<String> {
    let lock = places.www().join("package-lock.json");
    let text = std::fs::read(&lock).with_context(|| format!("reading {}", places.shown(&lock)))?;
    Ok(format!("{node} {} {}\n", std::env::consts::ARCH, hex(&Sha256::digest(&text))))
}

/// Bytes as hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// The first number of `v20.20.2`.
fn major(version: &str) -> Option<u32> {
    version.strip_prefix('v')?.split('.').next()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nodes_version_is_read() {
        assert_eq!(major("v20.20.2"), Some(20));
        assert_eq!(major(""), None);
        assert_eq!(major("v"), None);
    }

    #[test]
    fn the_lock_names_no_server() {
        let lock = include_str!("../../../www/package-lock.json");
        assert!(!lock.contains("\"resolved\""), "install with www/.npmrc in force");
        assert!(lock.contains("\"integrity\": \"sha512-"));
    }
}
