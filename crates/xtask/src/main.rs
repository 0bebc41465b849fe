//! `cargo xtask`: set-up, build, serve, test, package. Each command brings what it lacks, says what it is
//! doing, and stops with what went wrong and what to do about it.

mod bench;
mod bindings;
mod checks;
mod html;
mod npm;
mod offline;
mod page;
mod places;
mod policy;
mod process;
mod route;
mod say;
mod server;
mod single;
mod soak;
mod system;
mod wasm;

use anyhow::Result;
use clap::{Parser, Subcommand};
use places::Places;
use std::process::ExitCode;
use system::Consent;

/// Set-up, build, serve, test and package Bledsteam.
///
/// What a command needs and does not find (the wasm target of the compiler, the page's npm packages, a browser
/// for the tests) it brings, or it stops and says what to type.
///
/// BLEDSTEAM_WASM_ROUTE=installed|debian|rustup forces where the standard library for wasm comes from.
/// BLEDSTEAM_CHROMIUM=<path> names the browser of the tests, BLEDSTEAM_FIREFOX=<path> the second one, which is used
/// where it is installed.
#[derive(Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask", version)]
struct Cli {
    /// Install missing Debian packages with apt-get without asking (as root, or through sudo).
    #[arg(long, short, global = true)]
    yes: bool,
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Build the page and serve it on this machine until Ctrl-C.
    Serve {
        /// Port on the loopback address; without it 8630, or the next free one.
        #[arg(long)]
        port: Option<u16>,
    },
    /// Build the page into target/www: static files, ready for any web server.
    Build,
    /// Build one HTML file, target/package/bledsteam.html, that runs by a double click, without a server.
    Package,
    /// Run every check: format, lints, Rust tests, types of the page, Node and browser tests.
    Test {
        /// Only this half, for quick rounds.
        #[arg(long)]
        only: Option<checks::Half>,
    },
    /// Soak plants and upsets at random for as many plant hours as there is time for, and shrink what breaks a law.
    ///
    /// Each case comes from its seed. What is found is written as a record that can be played again, and as a plant
    /// file and a script for `bledsteam run`.
    Soak {
        /// Plant hours; a night does some thousands on one core.
        #[arg(long, default_value_t = 24.0)]
        hours: f64,
        /// Seed of the first case; the next case has the next.
        #[arg(long, default_value_t = 1)]
        seed: u64,
        /// Where findings are written.
        #[arg(long, default_value = "target/soak")]
        into: std::path::PathBuf,
        /// Play one record that a soak has written, and nothing else.
        #[arg(long, value_name = "FILE", conflicts_with_all = ["hours", "seed", "into"])]
        replay: Option<std::path::PathBuf>,
    },
    /// Measure what a step costs, native and in WebAssembly, and what memory a day of a plant's life takes.
    Bench {
        /// Measure the page in a browser instead: first picture, frames, memory, sizes.
        #[arg(long)]
        page: bool,
    },
    /// Take the pictures of the README and of the guide anew from the page as it is.
    Pictures {
        /// Take every scene into this folder instead, at the sizes the page is made for, light and dark, to look at.
        folder: Option<String>,
        /// Only these scenes.
        only: Vec<String>,
    },
}

fn main() -> ExitCode {
    match run(Cli::parse()) {
        Ok(code) => code,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(cli: Cli) -> Result<ExitCode> {
    let places = Places::find()?;
    let consent = Consent::new(cli.yes);
    match cli.task {
        Task::Serve { port } => {
            page::build(&places, consent)?;
            let server = server::Server::open(places.www_out(), port)?;
            say::done("serve", &format!("{}  (Ctrl-C ends it)", server.address()));
            server.run();
        }
        Task::Build => {
            page::build(&places, consent)?;
            say::done("build", &format!("the page is in {}", places.shown(&places.www_out())));
        }
        Task::Package => {
            page::build(&places, consent)?;
            single::write(&places)?;
        }
        Task::Bench { page } => {
            page::build(&places, consent)?;
            if page {
                single::write(&places)?;
                checks::play(&places, consent, "measure.mjs", &[])?;
            } else {
                bench::run(&places, consent)?;
            }
        }
        Task::Pictures { folder, only } => {
            page::build(&places, consent)?;
            single::write(&places)?;
            let arguments: Vec<String> = folder.into_iter().chain(only).collect();
            checks::play(&places, consent, "pictures.mjs", &arguments)?;
        }
        Task::Soak { hours, seed, into, replay } => {
            let what = match replay {
                Some(record) => soak::What::Replay(record),
                None => soak::What::Soak { hours, seed, into },
            };
            soak::run(&places, &what)?;
        }
        Task::Test { only } => return checks::run(&places, consent, only),
    }
    Ok(ExitCode::SUCCESS)
}
