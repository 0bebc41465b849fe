//! Ways for a job to fail, what each says on the standard error stream, and the exit code it ends with.

use engine::Fault;
use std::io::{self, Write};
use std::process::ExitCode;

/// Why a job did not end well.
#[derive(Debug)]
pub enum Failure {
    /// The plant cannot be used: its file is wrong, or its heat balance has no solution.
    Plant(Vec<Fault>),
    /// The exercise cannot be taken: its file is wrong.
    Exercise(Vec<Fault>),
    /// A record is not what it says; that was the result.
    NotReproduced,
    /// A sentence of a practitioner does not hold; that was the result.
    DoesNotHold,
    /// The command line, or a file it names, cannot be used. Nothing was run.
    Usage(Vec<Fault>),
    /// The plant refused commands; each was reported when it happened.
    Refused,
    /// The model stopped on its way.
    Stopped(Fault),
    /// The result could not be written; the error says where and why.
    Output(io::Error),
    /// The reader of the result has gone, as `head` does: nobody is left to be told.
    ReaderGone,
    /// Help or version was asked for and has been printed.
    Helped,
}

impl Failure {
    /// One fault of the command line.
    pub fn usage(fault: Fault) -> Failure {
        Failure::Usage(vec![fault])
    }

    /// Says what is wrong and gives the exit code.
    pub fn report(self) -> ExitCode {
        match &self {
            Failure::Plant(faults) | Failure::Exercise(faults) | Failure::Usage(faults) => {
                faults.iter().for_each(say)
            }
            Failure::Stopped(fault) => say(fault),
            Failure::Output(e) => note(&format!("{e} Check the path, the permission and the space left.")),
            Failure::Refused
            | Failure::NotReproduced
            | Failure::DoesNotHold
            | Failure::ReaderGone
            | Failure::Helped => {}
        }
        ExitCode::from(self.code())
    }

    /// Exit code; the help of the program lists them.
    pub fn code(&self) -> u8 {
        match self {
            Failure::ReaderGone | Failure::Helped => 0,
            Failure::Plant(_) | Failure::Exercise(_) => 1,
            Failure::Usage(_) => 2,
            Failure::Refused => 3,
            Failure::Stopped(_) => 4,
            Failure::Output(_) => 5,
            Failure::NotReproduced => 6,
            Failure::DoesNotHold => 7,
        }
    }
}

impl From<io::Error> for Failure {
    fn from(e: io::Error) -> Failure {
        if e.kind() == io::ErrorKind::BrokenPipe { Failure::ReaderGone } else { Failure::Output(e) }
    }
}

/// Reports a fault: `place: what is wrong. What to do.`
pub fn say(fault: &Fault) {
    note(&fault.to_string());
}

/// Writes a line beside the result. That nobody reads it is no reason to fail.
pub fn note(line: &str) {
    let _ = writeln!(io::stderr(), "{line}");
}

/// Puts a fault's place inside a wider one.
pub fn within(outer: &str, fault: Fault) -> Fault {
    Fault { place: format!("{outer} {}", fault.place), ..fault }
}
