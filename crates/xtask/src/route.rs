//! Where the standard library for wasm comes from, and in which order the ways are tried.
//!
//! 1. The compiler's own, when it is installed.
//! 2. Debian's compiler with its library sources (`rustc-web`, `rust-web-src`), when they are ready: std is built
//!    along.
//! 3. `rustup target add`, for a minute at most. Not on a CI machine, which keeps to the package registries.
//! 4. Debian's packages by apt-get, where that is allowed.
//! 5. Stop, with the commands to type.

use crate::process::{self, Ended};
use crate::say::{step, stop};
use crate::system::{self, Consent};
use anyhow::Result;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The target of the page's module.
pub const TARGET: &str = "wasm32-unknown-unknown";
/// What Debian calls a recent compiler and its library sources.
const PACKAGES: [&str; 2] = ["rustc-web", "rust-web-src"];
/// A server that stays silent holds rustup for three minutes; one that answers is done in some seconds.
const RUSTUP_LIMIT: Duration = Duration::from_secs(60);
/// Names a route for tests and for machines where the order picks the wrong one.
const VARIABLE: &str = "BLEDSTEAM_WASM_ROUTE";

/// How the wasm is compiled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Route {
    /// By the usual compiler, whose std for the target is installed.
    Installed,
    /// By Debian's compiler, building std along.
    Debian {
        /// Its `rustc`.
        rustc: PathBuf,
        /// The linker for wasm.
        linker: PathBuf,
        /// Its library sources, for the paths in messages.
        sources: PathBuf,
    },
}

/// A way to a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Installed,
    Debian,
    Rustup,
    Apt,
}

/// What the order depends on.
#[derive(Clone, Copy, Debug, Default)]
struct Facts {
    std_installed: bool,
    debian_ready: bool,
    rustup: bool,
    ci: bool,
}

/// The ways to try, in order; the first that works is taken.
fn ways(facts: Facts, forced: Option<&str>) -> Result<Vec<Way>> {
    let debian = if facts.debian_ready { Way::Debian } else { Way::Apt };
    Ok(match forced {
        Some("installed") => vec![Way::Installed],
        Some("debian") => vec![debian],
        Some("rustup") => vec![Way::Rustup],
        Some(other) => {
            return Err(stop(
                format!("{VARIABLE}={other} is not a route"),
                "use installed, debian or rustup, or unset it",
            ));
        }
        None if facts.std_installed => vec![Way::Installed],
        None if facts.debian_ready => vec![Way::Debian],
        None if facts.rustup && !facts.ci => vec![Way::Rustup, Way::Apt],
        None => vec![Way::Apt],
    })
}

/// Finds or makes the way to compile wasm.
///
/// # Errors
/// When no way is left: with the commands to type.
pub fn choose(consent: Consent) -> Result<Route> {
    let forced = std::env::var(VARIABLE).ok();
    let facts = Facts {
        std_installed: std_installed(),
        debian_ready: debian().is_some(),
        rustup: process::find("rustup").is_some(),
        ci: system::in_ci(),
    };
    let mut last = None;
    for way in ways(facts, forced.as_deref())? {
        match take(way, consent) {
            Ok(route) => return Ok(route),
            Err(error) => last = Some(error),
        }
    }
    Err(last.unwrap_or_else(missing))
}

fn take(way: Way, consent: Consent) -> Result<Route> {
    match way {
        Way::Installed if std_installed() => Ok(Route::Installed),
        Way::Installed => Err(missing()),
        Way::Debian => debian().ok_or_else(missing),
        Way::Rustup => add_target(),
        Way::Apt => {
            system::install(&PACKAGES, &format!("the compiler has no {TARGET} target"), consent).map_err(
                |e| {
                    let rustup = format!("or, where rustup can reach its server: rustup target add {TARGET}");
                    anyhow::anyhow!("{e}\n    {rustup}")
                },
            )?;
            debian().ok_or_else(|| {
                stop(
                    format!("Debian's compiler is installed but older than {}, or has no linker", MINIMUM),
                    format!("rustup target add {TARGET}"),
                )
            })
        }
    }
}

fn missing() -> anyhow::Error {
    stop(
        format!("the compiler has no {TARGET} target"),
        format!("one of:\nrustup target add {TARGET}\n{}", system::line(&PACKAGES)),
    )
}

fn add_target() -> Result<Route> {
    step("wasm", &format!("rustup target add {TARGET} (at most {} s)", RUSTUP_LIMIT.as_secs()));
    let outcome = process::run_for(process::command("rustup").args(["target", "add", TARGET]), RUSTUP_LIMIT);
    match outcome {
        Ok(Ended::Exit(status)) if status.success() && std_installed() => return Ok(Route::Installed),
        Ok(Ended::Exit(status)) => step("wasm", &format!("rustup could not add it ({status})")),
        Ok(Ended::TimedOut) => step("wasm", "rustup's server does not answer; going on without"),
        Err(error) => step("wasm", &format!("rustup does not start: {error}")),
    }
    Err(missing())
}

fn std_installed() -> bool {
    let Some(sysroot) = sysroot(Path::new("rustc")) else { return false };
    let lib = sysroot.join("lib/rustlib").join(TARGET).join("lib");
    lib.read_dir().is_ok_and(|mut files| {
        files.any(|f| f.is_ok_and(|f| f.file_name().to_string_lossy().starts_with("libstd-")))
    })
}

/// Where a compiler keeps its libraries.
pub fn sysroot(rustc: &Path) -> Option<PathBuf> {
    process::output(process::command(rustc).args(["--print", "sysroot"])).map(PathBuf::from)
}

/// What the workspace asks of a compiler.
const MINIMUM: &str = env!("CARGO_PKG_RUST_VERSION");

fn debian() -> Option<Route> {
    let rustc = PathBuf::from("/usr/bin/rustc");
    let version = process::output(process::command(&rustc).arg("--version"))?;
    let sources = sysroot(&rustc)?.join("lib/rustlib/src/rust");
    let ready = recent_enough(&version, MINIMUM) && sources.join("library/std/src/lib.rs").is_file();
    let linker = linker()?;
    ready.then_some(Route::Debian { rustc, linker, sources })
}

/// rustup's own linker; beside a cargo that is not rustup's, Debian's for wasm.
fn linker() -> Option<PathBuf> {
    let host = process::output(process::command("rustc").args(["--print", "host-tuple"]))?;
    let own = sysroot(Path::new("rustc"))?.join("lib/rustlib").join(host).join("bin/rust-lld");
    if own.is_file() {
        return Some(own);
    }
    ["wasm-ld-19", "wasm-ld"].into_iter().find_map(process::find)
}

/// Whether `rustc --version`'s answer is at least `minimum`, by its first two numbers.
fn recent_enough(answer: &str, minimum: &str) -> bool {
    let numbers = |text: &str| {
        let mut parts = text.split('.').map(|n| n.parse::<u32>().ok());
        Some((parts.next()??, parts.next()??))
    };
    let answer = answer.split_whitespace().nth(1).and_then(numbers);
    answer.zip(numbers(minimum)).is_some_and(|(have, need)| have >= need)
}

#[cfg(test)]
mod tests {
    use super::*;

    const NONE: Facts = Facts { std_installed: false, debian_ready: false, rustup: false, ci: false };

    #[test]
    fn what_is_ready_is_used_before_anything_is_fetched() {
        let all = Facts { std_installed: true, debian_ready: true, rustup: true, ci: false };
        assert_eq!(ways(all, None).unwrap(), [Way::Installed]);
        assert_eq!(ways(Facts { std_installed: false, ..all }, None).unwrap(), [Way::Debian]);
    }

    #[test]
    fn rustup_comes_before_apt_but_never_on_a_ci_machine() {
        let fresh = Facts { rustup: true, ..NONE };
        assert_eq!(ways(fresh, None).unwrap(), [Way::Rustup, Way::Apt]);
        assert_eq!(ways(Facts { ci: true, ..fresh }, None).unwrap(), [Way::Apt]);
        assert_eq!(ways(NONE, None).unwrap(), [Way::Apt]);
    }

    #[test]
    fn a_forced_route_is_the_only_one() {
        let all = Facts { std_installed: true, debian_ready: true, rustup: true, ci: true };
        assert_eq!(ways(all, Some("debian")).unwrap(), [Way::Debian]);
        assert_eq!(ways(NONE, Some("debian")).unwrap(), [Way::Apt]);
        assert_eq!(ways(all, Some("rustup")).unwrap(), [Way::Rustup]);
        assert_eq!(ways(NONE, Some("installed")).unwrap(), [Way::Installed]);
        let error = ways(all, Some("cloud")).unwrap_err().to_string();
        assert!(error.contains("cloud") && error.contains("debian"), "{error}");
    }

    #[test]
    fn an_older_distribution_compiler_is_not_taken() {
        assert!(recent_enough("rustc 1.96.0 (ac68faa20 2026-05-25) (built from a source tarball)", "1.95"));
        assert!(recent_enough("rustc 1.95.0", "1.95.0"));
        assert!(recent_enough("rustc 2.0.0", "1.95"));
        assert!(!recent_enough("rustc 1.63.0 (4b91a6ea7 2022-08-08)", "1.95"));
        assert!(!recent_enough("something else", "1.95"));
    }

    #[test]
    fn the_message_holds_both_commands() {
        let text = missing().to_string();
        assert!(text.contains("rustup target add wasm32-unknown-unknown"), "{text}");
        assert!(text.contains("rustc-web rust-web-src"), "{text}");
    }
}
