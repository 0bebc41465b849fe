//! The distribution's packages, installed only where that is allowed.

use crate::process;
use crate::say::{step, stop};
use anyhow::Result;
use std::io::{BufRead, IsTerminal, Write};
use std::process::Command;

/// Whether packages may be installed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Consent {
    /// By `--yes`, or because this is a CI machine.
    Given,
    /// Someone sits at a terminal and can be asked.
    Ask,
    /// Nobody can be asked: stop and print the commands.
    Withheld,
}

impl Consent {
    /// From the command line and the surroundings.
    pub fn new(yes: bool) -> Consent {
        Consent::from_facts(yes || in_ci(), std::io::stdin().is_terminal())
    }

    fn from_facts(given: bool, terminal: bool) -> Consent {
        match (given, terminal) {
            (true, _) => Consent::Given,
            (false, true) => Consent::Ask,
            (false, false) => Consent::Withheld,
        }
    }
}

/// On a CI machine, by the variable that all of them set.
pub fn in_ci() -> bool {
    std::env::var("CI").is_ok_and(|v| !v.is_empty() && v != "false" && v != "0")
}

/// The command that installs `packages`, as one would type it.
pub fn line(packages: &[&str]) -> String {
    let sudo = if is_root() { "" } else { "sudo " };
    format!("{sudo}apt-get install -y --no-install-recommends {}", packages.join(" "))
}

/// Installs Debian packages, having asked where that is needed.
///
/// # Errors
/// When it is not allowed, this is not a Debian, or apt-get fails: with the command to type.
pub fn install(packages: &[&str], why: &str, consent: Consent) -> Result<()> {
    let by_hand = format!("install what is missing, then start this again:\n{}", line(packages));
    if process::find("apt-get").is_none() {
        let remedy = format!("install your system's counterpart of: {}", packages.join(" "));
        return Err(stop(format!("{why}, and there is no apt-get here"), remedy));
    }
    match consent {
        Consent::Given => {}
        Consent::Ask if agreed(&format!("{why}. Run `{}` now?", line(packages)))? => {}
        Consent::Ask | Consent::Withheld => return Err(stop(why, by_hand)),
    }
    step("apt", &format!("installing {}", packages.join(" ")));
    let remedy = format!("read apt-get's message above; by hand it is:\n{}", line(packages));
    // A machine whose lists are fresh enough needs no update; one without any does.
    if apt(packages).status().is_ok_and(|s| s.success()) {
        return Ok(());
    }
    process::run(as_root("apt-get").args(["update", "-q", "-o", "Acquire::Retries=3"]), &remedy)?;
    process::run(&mut apt(packages), &remedy)
}

fn apt(packages: &[&str]) -> Command {
    let mut command = as_root("apt-get");
    command
        .args(["install", "-y", "-q", "--no-install-recommends"])
        .args(["-o", "Acquire::Retries=3", "-o", "DPkg::Lock::Timeout=120"])
        .args(packages);
    command
}

fn as_root(program: &str) -> Command {
    let mut command = if is_root() {
        process::command(program)
    } else {
        let mut sudo = process::command("sudo");
        sudo.arg(program);
        sudo
    };
    command.env("DEBIAN_FRONTEND", "noninteractive");
    command
}

/// By the owner of our own process entry; false where there is none, and then sudo is asked.
fn is_root() -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        std::fs::metadata("/proc/self").is_ok_and(|m| m.uid() == 0)
    }
    #[cfg(not(unix))]
    false
}

fn agreed(question: &str) -> Result<bool> {
    print!("{question} [y/N] ");
    std::io::stdout().flush()?;
    let mut answer = String::new();
    std::io::stdin().lock().read_line(&mut answer)?;
    Ok(matches!(answer.trim().to_ascii_lowercase().as_str(), "y" | "yes"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_to_ask_means_no() {
        assert_eq!(Consent::from_facts(false, false), Consent::Withheld);
        assert_eq!(Consent::from_facts(false, true), Consent::Ask);
        assert_eq!(Consent::from_facts(true, false), Consent::Given);
    }

    #[test]
    fn without_consent_nothing_is_installed_and_the_command_is_printed() {
        let error =
            install(&["no-such-package"], "a thing is missing", Consent::Withheld).unwrap_err().to_string();
        assert!(error.contains("a thing is missing") && error.contains("no-such-package"), "{error}");
    }
}
