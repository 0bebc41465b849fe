//! Everything that must hold before a change is kept, one after the other, with a summary at the end. A failed
//! check does not stop the others, so that one run shows all that is wrong.

use crate::places::Places;
use crate::process;
use crate::say::{self, step, stop};
use crate::server::Server;
use crate::system::{self, Consent};
use crate::{bindings, npm, page, single};
use anyhow::Result;
use std::env::consts::EXE_SUFFIX;
use std::path::PathBuf;
use std::process::{Command, ExitCode};
use std::time::Instant;

/// A half of the checks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Half {
    /// Format, lints and tests of the Rust crates.
    Rust,
    /// Types, Node tests and browser tests of the page.
    Page,
}

/// Names of the browser's program, in the order of preference.
const BROWSERS: [&str; 5] =
    ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];
/// Names the browser's program outright.
const BROWSER_VARIABLE: &str = "BLEDSTEAM_CHROMIUM";
/// Names of the second browser's program, in the order of preference.
const SECOND_BROWSERS: [&str; 2] = ["firefox-esr", "firefox"];
/// Names the second browser's program outright.
const SECOND_BROWSER_VARIABLE: &str = "BLEDSTEAM_FIREFOX";
/// Seconds for one file of tests; each test in it has its own, shorter limit.
const FILE_LIMIT_S: u32 = 300;

/// What became of the checks so far.
#[derive(Default)]
struct Report {
    passed: Vec<String>,
    failed: Vec<&'static str>,
}

impl Report {
    /// Runs one check and keeps its outcome.
    fn check(&mut self, name: &'static str, work: impl FnOnce() -> Result<()>) -> bool {
        println!();
        step("test", name);
        let start = Instant::now();
        match work() {
            Ok(()) => self.passed.push(format!("{name} {:.1} s", start.elapsed().as_secs_f64())),
            Err(error) => {
                eprintln!("error: {error:#}");
                self.failed.push(name);
            }
        }
        !self.failed.contains(&name)
    }

    fn close(self) -> ExitCode {
        let passed = format!("{} passed: {}", self.passed.len(), self.passed.join(", "));
        if self.failed.is_empty() {
            say::done("test", &format!("all checks passed; {passed}"));
            return ExitCode::SUCCESS;
        }
        say::done("test", &format!("{} FAILED: {}; {passed}", self.failed.len(), self.failed.join(", ")));
        ExitCode::FAILURE
    }
}

/// Runs the checks.
///
/// # Errors
/// When something that the checks themselves need is missing; a failed check is in the code instead.
pub fn run(places: &Places, consent: Consent, only: Option<Half>) -> Result<ExitCode> {
    let mut report = Report::default();
    if only != Some(Half::Page) {
        rust(places, &mut report);
    }
    if only != Some(Half::Rust) {
        the_page(places, consent, &mut report);
    }
    Ok(report.close())
}

fn rust(places: &Places, report: &mut Report) {
    let cargo = |arguments: &[&str]| {
        let mut cargo = process::cargo();
        cargo.current_dir(places.root()).args(arguments);
        // Where people work, a changed dependency may change the lock file; what is checked in must hold as it is.
        if system::in_ci() && arguments[0] != "fmt" {
            cargo.arg("--locked");
        }
        cargo
    };
    report.check("format", || process::run(&mut cargo(&["fmt", "--all", "--check"]), "cargo fmt --all"));
    report.check("lints", || {
        let mut clippy = cargo(&["clippy", "--workspace", "--all-targets"]);
        process::run(clippy.args(["--", "-D", "warnings"]), "correct what clippy reports above")
    });
    let remedy = "correct what the failed tests above show";
    if process::find("cargo-nextest").is_some() {
        report.check("Rust tests", || {
            process::run(&mut cargo(&["nextest", "run", "--workspace", "--no-fail-fast"]), remedy)
        });
        // nextest leaves the examples in the documentation out.
        report.check("doc tests", || {
            process::run(&mut cargo(&["test", "--workspace", "--doc", "--quiet"]), remedy)
        });
    } else {
        report.check("Rust tests", || {
            process::run(&mut cargo(&["test", "--workspace", "--no-fail-fast"]), remedy)
        });
    }
}

fn the_page(places: &Places, consent: Consent, report: &mut Report) {
    let built = report.check("build", || page::build(places, consent).and_then(|()| single::write(places)));
    if !built {
        // The rest would only repeat it.
        return;
    }
    report.check("types", || {
        let mut tsc = npm::tool(places, "typescript/bin/tsc");
        process::run(tsc.args(["--project", "tsconfig.json"]), "correct the types reported above")
    });
    report.check("page tests", || page_tests(places, consent));
}

fn page_tests(places: &Places, consent: Consent) -> Result<()> {
    let mut node = with_a_browser(places, consent)?;
    node.args(["--test", "--test-reporter=spec"])
        .arg(format!("--test-timeout={}", FILE_LIMIT_S * 1000))
        .args(test_files(&places.root().join("tests/browser"))?);
    process::run(&mut node, "correct what the failed tests above show")
}

/// Plays the page in a browser by a script of `tests/browser`.
///
/// # Errors
/// When there is no browser, or the script fails.
pub fn play(places: &Places, consent: Consent, script: &str, arguments: &[String]) -> Result<()> {
    let mut node = with_a_browser(places, consent)?;
    process::run(node.arg(script).args(arguments), "read what the script says above")
}

/// Node in `tests/browser`, told where the served page, the single file, the module, the shell and a browser are.
///
/// # Errors
/// When one of them cannot be had.
pub fn with_a_browser(places: &Places, consent: Consent) -> Result<Command> {
    npm::install(places, consent, npm::FOR_THE_TESTS)?;
    let browser = browser(consent)?;
    let second = second_browser();
    // What page and shell must judge alike is compared with the shell itself.
    let mut shell = process::cargo();
    shell.current_dir(places.root()).args(["build", "--package", "bledsteam-cli"]);
    process::run(&mut shell, "correct what the compiler reports above")?;
    let server = Server::on_any_port(places.www_out())?;
    let address = server.address();
    // It ends with this process.
    std::thread::spawn(move || server.run());
    let mut node = npm::node();
    node.current_dir(places.root().join("tests/browser"))
        .env("BLEDSTEAM_URL", address)
        .env("BLEDSTEAM_SINGLE_FILE", places.single_file())
        .env("BLEDSTEAM_GLUE", places.bindings().join(bindings::GLUE))
        .env("BLEDSTEAM_WASM", places.www_out().join(bindings::WASM))
        .env("BLEDSTEAM_SHELL", places.target().join("debug").join(format!("bledsteam{EXE_SUFFIX}")))
        .env(BROWSER_VARIABLE, browser);
    if let Some(second) = second {
        node.env(SECOND_BROWSER_VARIABLE, second);
    }
    Ok(node)
}

fn test_files(folder: &std::path::Path) -> Result<Vec<PathBuf>> {
    let mut files: Vec<PathBuf> = folder.read_dir()?.flatten().map(|entry| entry.path()).collect();
    files.retain(|file| file.to_string_lossy().ends_with(".test.mjs"));
    files.sort();
    if files.is_empty() {
        Err(stop("there are no page tests in tests/browser", "restore them"))
    } else {
        Ok(files)
    }
}

/// Firefox, where there is one; its tests are skipped otherwise, and say so.
fn second_browser() -> Option<PathBuf> {
    let named = std::env::var_os(SECOND_BROWSER_VARIABLE).map(PathBuf::from);
    let found = named.or_else(|| SECOND_BROWSERS.into_iter().find_map(process::find));
    if found.is_none() {
        step("test", "there is no Firefox (firefox-esr): its tests are skipped");
    }
    found
}

/// The browser for the tests, installed when there is none.
fn browser(consent: Consent) -> Result<PathBuf> {
    if let Some(named) = std::env::var_os(BROWSER_VARIABLE) {
        let named = PathBuf::from(named);
        let runs = process::output(Command::new(&named).arg("--version")).is_some();
        let remedy = format!("let {BROWSER_VARIABLE} name a Chromium's program, or unset it");
        return if runs {
            Ok(named)
        } else {
            Err(stop(format!("{} does not start", named.display()), remedy))
        };
    }
    let found = || BROWSERS.into_iter().find_map(process::find);
    if let Some(browser) = found() {
        return Ok(browser);
    }
    let why = "the page's tests need a browser, and there is no Chromium";
    system::install(&["chromium"], why, consent)?;
    found()
        .ok_or_else(|| stop("chromium was installed but is not on the search path", "add its folder to PATH"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failed_check_is_kept_and_the_others_still_run() {
        let mut report = Report::default();
        assert!(!report.check("first", || Err(stop("broken", "mend it"))));
        assert!(report.check("second", || Ok(())));
        assert_eq!((report.failed.as_slice(), report.passed.len()), (["first"].as_slice(), 1));
    }
}
