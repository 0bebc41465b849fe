//! What `--help` says below the options. A test runs every example.

use crate::words;

/// Help of the program.
pub fn program() -> String {
    "\
Every job has its own help: bledsteam run --help

Examples:
  bledsteam balance reheat250
  bledsteam balance reheat250 --load 80 --out hp1
  bledsteam compare reheat250 --out-b hp1
  bledsteam run --plant reheat250 --for 10min --at 1min 'trip hp1'

Results go to the standard output, everything else to the standard error stream, faults as
'place: what is wrong. What to do.'

Exit codes:
  0  done
  1  the plant or the exercise has faults: its file is wrong, or its heat balance has no solution
  2  the command line, or a file it names, cannot be used; nothing was run
  3  the plant refused a command (run only; --keep-going makes it 0)
  4  the model stopped on its way (run only); the result up to there is printed
  5  the result could not be written
  6  the record or run is not what it says (replay only)
  7  a sentence does not hold (directions only)"
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
Without a case, the design heat balance. Any of --load, --hold, --out, --isolate asks for a case: surfaces,
lines and stages are those sized at design; pressures, temperatures and flows are found. --load 80 holds 80 %
of design steam flow, --hold output that share of gross output, --hold firing of heat added. A heater out
takes its bypass group with it.

TTD: saturation at shell pressure less feedwater out. DCA: drain out less feedwater in, where there is a
drain-cooling zone. Heat rate: heat added by boiler and reheater per electricity generated; net, per electricity
less the power of the pumps. Efficiency: work of the steam less work of the pumps on the water, over heat
added. UA: as sized, at design flows.

CSV has one line to a figure: section,device,figure,value,unit. What has no meaning (the TTD of an open
heater) is '-' in a table, null in JSON, no line in CSV.

Examples:
  bledsteam balance reheat250
  bledsteam balance reheat250 --load 80 --out hp1
  bledsteam balance reheat250 --hold output --isolate lp5 --units us
  bledsteam balance my-plant.json --load 50 --csv
  bledsteam balance reheat250 --json"
        .into()
}

/// Help of `compare`.
pub fn compare() -> String {
    "\
--load, --hold, --out and --isolate are for both A and B; the same with -b are for B alone, in place of those.
Without a second plant, B is A again, in the case that the options with -b ask for. 'bledsteam balance --help'
explains cases and figures. Heaters and groups of stages are paired by id and by number. Differences are B - A.

Examples:
  bledsteam compare reheat250 --out-b hp1
  bledsteam compare reheat250 --load 80 --out-b hp1
  bledsteam compare reheat250 --hold output --isolate-b hp2 --units us
  bledsteam compare reheat250 my-plant.json --load 60
  bledsteam compare reheat250 --load 100 --load-b 50 --csv"
        .into()
}

/// Help of `costs`.
pub fn costs() -> String {
    "\
Each line is the balance with one change against the balance without it, at the same gross output: so much more
heat, fuel money and carbon dioxide for the same electricity. A heater whose TTD or DCA grows by a kelvin keeps
everything but the surface of that zone. A heater that goes out takes its bypass group with it. Money and carbon
dioxide need the plant's prices. A change that has no balance is left out.

Examples:
  bledsteam costs reheat250
  bledsteam costs reheat250 --load 60 --units us
  bledsteam costs reheat250 --csv"
        .into()
}

/// Help of `explain`.
pub fn explain() -> String {
    "\
The equation with letters, with values in the chosen units, and with numbers in the engine's own units, which can be
put into a calculator; then each term: symbol, value, meaning, and where it comes from. What has a name like
hp1.shell_pressure there can be explained in turn. A component's name gives its mass and energy, flow by flow.

The plant starts at rest at its design point; --for and --at run it as 'run' does.

Examples:
  bledsteam explain reheat250 hp1.ttd
  bledsteam explain reheat250 unit.heat_rate --for 15min --at 1min trip hp1
  bledsteam explain reheat250 hp2.normal_drain_flow --units us
  bledsteam explain reheat250 hp2"
        .into()
}

/// Help of `directions`.
pub fn directions() -> String {
    "\
Each sentence comes with a 'bledsteam run' that can be typed as it stands, and with what is to be seen in it: a signal
at a time, above, below or equal to something. The plant is run, and each is said to hold or not. The values in JSON are
in the engine's own units, whatever --units says. Exit code 7 if a sentence does not hold.

Examples:
  bledsteam directions
  bledsteam directions top-heater-out tube-leak --units us
  bledsteam directions vent-shut --json"
        .into()
}

/// Help of `check`.
pub fn check() -> String {
    "\
First the form: every missing or unknown field, wrong type and unknown word. If the form is right, the values,
all at once. If they are right, the plant is sized at its design point, and brought to rest there if it has the
equipment that running needs. Exit code 1 if there is any fault. Warnings name what is possible but unlikely;
they are no faults. JSON has the lists 'faults' and 'warnings', and under 'not_run' what running lacks.

Example:
  bledsteam check my-plant.json"
        .into()
}

/// Help of `schema`.
pub fn schema() -> String {
    "\
For an editor that completes and checks plant files while they are written.

Example:
  bledsteam schema > plant.schema.json"
        .into()
}

/// Help of `equip`.
pub fn equip() -> String {
    "\
A heat balance says how much each heater exchanges, not how large it is. What the file lacks to be run (shells, pipes,
valves, pumps, inventories, control) is filled in by usual proportions from the design balance; what it gives is
kept. The result is a plant file: put in the real figures where they are known.

Example:
  bledsteam equip drum60 > my-plant.json"
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

/// Help of `exercises`.
pub fn exercises() -> String {
    "\
Example:
  bledsteam exercises"
        .into()
}

/// Help of `exercise`.
pub fn exercise() -> String {
    r#"An exercise is a JSON file, or an id of those shipped. Checking lists every missing or unknown field and every
value that means nothing, each with its place; an exercise is checked against its plant.

Taking it without a page writes a record: of a run shipped with the exercise (--run model, wrong or nothing),
or of a script, a list of deeds in order of time:
  [{"at_s": 30, "deed": {"kind": "predict", "prediction": "output", "guess": {"kind": "direction", "way": "up"}}},
   {"at_s": 60, "deed": {"kind": "command", "command": {"do": "isolate_extraction", "heater": "hp1"}}},
   {"at_s": 90, "deed": {"kind": "answer", "question": "steam", "answer": {"kind": "choice", "chosen": [1]}}}]
Further deeds: read (a question about a signal, with what its display shows), hint, hand_in.

Examples:
  bledsteam exercise check reading-a-heater
  bledsteam exercise schema > exercise.schema.json
  bledsteam exercise take reading-a-heater --run model --by 'A. Trainee' --out-file model.jsonl
  bledsteam exercise take reading-a-heater --run wrong --by 'B. Trainee' --out-file wrong.jsonl"#
        .into()
}

/// Help of `replay`.
pub fn replay() -> String {
    "\
The run is gone through again from its entries alone. It is reproduced when the plant comes to the same bits at
every minute, with the same entries before it and the same score after it; else the first minute that differs
is named. A record shows mistakes and edits; it is no seal against somebody who makes another with this program.
A free run that the page's desk saved as a file is played again from its start to its end likewise.

Examples:
  bledsteam replay model.jsonl
  bledsteam replay model.jsonl --json
  bledsteam replay tape.json"
        .into()
}

/// Help of `grade`.
pub fn grade() -> String {
    "\
Each record is replayed and scored anew; points are given only to those that are reproduced. The table ends with
the objectives that were missed most, and by whom. CSV has one line to a record and is what the page gives too.

Examples:
  bledsteam grade model.jsonl wrong.jsonl
  bledsteam grade model.jsonl wrong.jsonl --csv
  bledsteam grade model.jsonl wrong.jsonl --json
  bledsteam grade model.jsonl wrong.jsonl --plant my-plant.json"
        .into()
}
