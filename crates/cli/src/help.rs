//! What `--help` says below the options. A test runs every example.

use crate::words;

/// Help of the program.
pub fn program() -> String {
    "\
Every job has its own help: bledsteam run --help

Examples:
  bledsteam balance --plant reheat250
  bledsteam run --plant reheat250 --for 10min --at 1min 'trip hp1'

Results go to the standard output, everything else to the standard error stream, faults as
'place: what is wrong. What to do.'

Exit codes:
  0  done
  1  the plant has faults: its file is wrong, or its heat balance has no solution
  2  the command line, or a file it names, cannot be used; nothing was run
  3  the plant refused a command (run only; --keep-going makes it 0)
  4  the model stopped on its way (run only); the result up to there is printed
  5  the result could not be written"
        .into()
}

/// Help of `run`.
pub fn run() -> String {
    words::help()
        + r#"
A command is given before the step it names: time 0 is before the first. Times are rounded to steps of
0.25 s. A command that no step would follow is an error. What the plant refuses is reported with the reason,
and the run goes on. Commands on the line need quotes only where the shell asks for them.

A script holds the same commands as data:
  [{"at_s": 600, "command": {"do": "trip_heater", "heater": "hp1"}},
   {"at_s": 900, "command": {"do": "move_drain", "heater": "hp2", "valve": "emergency", "position": 0.4}},
   {"at_s": 960, "command": {"do": "release_drain", "heater": "hp2", "valve": "emergency"}},
   {"at_s": 1200, "command": {"do": "set_load", "fraction": 0.8}}]
Further: isolate_extraction, put_back. Positions and loads are shares of 1.

Without --signals the result shows load, output, heat rate, final feedwater temperature and feed flow, and
of the first two heaters that a command names its mode, extraction flow, feedwater outlet and level.

A table and JSON end with the events, the mass and energy unaccounted for since the start over what passed,
and a hash of every number in the state: equal runs have equal hashes. With CSV these go to the standard
error stream. The line of a command's own time shows the plant before the command.

Examples:
  bledsteam run --plant reheat250 --for 15min --at 1min 'trip hp1' --at 8min 'put-back hp1'
  bledsteam run --plant reheat250 --for 30min --at 5min 'load 80' --units us
  bledsteam run --plant reheat250 --for 5min --every 1s --signals 'hp1.*,*.level' --csv --out-file hp1.csv
  bledsteam run --plant reheat250 --for 20min --at 1min 'move hp2 emergency 40%' --at 10min 'release hp2 emergency'
  bledsteam run --plant reheat250 --for 10min --at 30s 'isolate hp2' --signals all --json"#
}

/// Help of `balance`.
pub fn balance() -> String {
    "\
TTD: saturation at shell pressure less feedwater out. DCA: drain out less feedwater in, where there is a
drain-cooling zone. Heat rate: heat added by boiler and reheater per electricity generated.

Examples:
  bledsteam balance --plant reheat250
  bledsteam balance --plant reheat250 --units us
  bledsteam balance --plant reheat250 --json"
        .into()
}

/// Help of `check`.
pub fn check() -> String {
    "\
Values are checked all at once. A fault in the file's form (a missing or unknown field, a wrong type) is
reported alone, as nothing behind it can be trusted. A file without such faults is sized at its design
point, and what stands in the way of that is reported. Exit code 1 if there is any fault.

Example:
  bledsteam check my-plant.json"
        .into()
}

/// Help of `plants`.
pub fn plants() -> String {
    "\
Example:
  bledsteam plants"
        .into()
}

/// Help of `signals`.
pub fn signals() -> String {
    "\
A signal's id is the device (a heater's id, or 'unit') and its name.

Examples:
  bledsteam signals --plant reheat250
  bledsteam signals --plant reheat250 --json"
        .into()
}
