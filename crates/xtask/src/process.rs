//! Running other programs: found or not, with a clean environment, with a time limit.

use crate::say::stop;
use anyhow::Result;
use std::ffi::OsStr;
use std::path::PathBuf;
use std::process::{Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

/// The file that `name` would start, by the search path.
pub fn find(name: &str) -> Option<PathBuf> {
    let names: &[String] = &if cfg!(windows) {
        vec![format!("{name}.exe"), format!("{name}.cmd")]
    } else {
        vec![name.to_owned()]
    };
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path)
        .flat_map(|dir| names.iter().map(move |n| dir.join(n)))
        .find(|file| is_program(file))
}

#[cfg(unix)]
fn is_program(file: &std::path::Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    file.metadata().is_ok_and(|m| m.is_file() && m.permissions().mode() & 0o111 != 0)
}

#[cfg(not(unix))]
fn is_program(file: &std::path::Path) -> bool {
    file.is_file()
}

/// A command without what `cargo run` left in the environment for this program: `CARGO_PKG_*` and
/// `CARGO_MANIFEST_*` would make crates that read them in their build be built anew at each change of caller.
pub fn command(program: impl AsRef<OsStr>) -> Command {
    let mut command = Command::new(program);
    for (name, _) in std::env::vars_os() {
        let Some(name) = name.to_str() else { continue };
        if ["CARGO_PKG_", "CARGO_MANIFEST_", "CARGO_BIN_", "CARGO_CRATE_"].iter().any(|p| name.starts_with(p))
        {
            command.env_remove(name);
        }
    }
    command
}

/// The cargo that started this program, so that the toolchain does not change under way.
pub fn cargo() -> Command {
    command(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// The command as one would type it.
pub fn line(command: &Command) -> String {
    let program = PathBuf::from(command.get_program());
    let name = program.file_stem().unwrap_or(program.as_os_str()).to_string_lossy().into_owned();
    let arguments = command.get_args().map(|a| a.to_string_lossy().into_owned());
    std::iter::once(name).chain(arguments).collect::<Vec<_>>().join(" ")
}

/// Runs to the end, its output going to the user.
///
/// # Errors
/// When it cannot be started or reports failure: with `remedy`.
pub fn run(command: &mut Command, remedy: &str) -> Result<()> {
    let shown = line(command);
    let status = command.status().map_err(|e| stop(format!("`{shown}` does not start: {e}"), remedy))?;
    if status.success() { Ok(()) } else { Err(stop(format!("`{shown}` failed ({status})"), remedy)) }
}

/// What it prints, trimmed; nothing when it does not start or fails.
pub fn output(command: &mut Command) -> Option<String> {
    let out = command.stdin(Stdio::null()).stderr(Stdio::null()).output().ok()?;
    out.status.success().then(|| String::from_utf8_lossy(&out.stdout).trim().to_owned())
}

/// How a command with a time limit ended.
#[derive(Debug)]
pub enum Ended {
    /// By itself.
    Exit(ExitStatus),
    /// Stopped by us.
    TimedOut,
}

/// Runs for at most `limit`, then kills it: a silent server can hold a client for minutes.
pub fn run_for(command: &mut Command, limit: Duration) -> std::io::Result<Ended> {
    let mut child = command.stdin(Stdio::null()).spawn()?;
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait()? {
            return Ok(Ended::Exit(status));
        }
        if start.elapsed() >= limit {
            child.kill()?;
            child.wait()?;
            return Ok(Ended::TimedOut);
        }
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_silent_program_is_killed_at_its_limit() {
        let start = Instant::now();
        let ended = run_for(Command::new("sleep").arg("20"), Duration::from_millis(200)).unwrap();
        assert!(matches!(ended, Ended::TimedOut), "{ended:?}");
        assert!(start.elapsed() < Duration::from_secs(10));
    }

    #[test]
    fn a_quick_program_is_not() {
        let ended = run_for(&mut Command::new("false"), Duration::from_secs(20)).unwrap();
        assert!(matches!(ended, Ended::Exit(status) if !status.success()), "{ended:?}");
    }

    #[test]
    fn cargos_variables_for_this_program_are_cleared() {
        // Set by cargo for the test itself, so the test has something to find.
        assert!(std::env::var_os("CARGO_PKG_NAME").is_some());
        let cleared: Vec<_> = command("x").get_envs().map(|(k, v)| (k.to_owned(), v.is_none())).collect();
        assert!(cleared.contains(&("CARGO_PKG_NAME".into(), true)), "{cleared:?}");
        assert!(cleared.contains(&("CARGO_MANIFEST_DIR".into(), true)), "{cleared:?}");
    }

    #[test]
    fn a_missing_program_is_not_found_and_says_so() {
        assert_eq!(find("no-such-program-here"), None);
        let error = run(&mut Command::new("no-such-program-here"), "type this").unwrap_err().to_string();
        assert!(error.contains("no-such-program-here") && error.contains("type this"), "{error}");
    }
}
