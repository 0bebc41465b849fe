//! The instructor's place: malfunctions that wait, going back, what lies ahead, starts, snapshots, tapes, the other outcome,
//! questions to the class. All of it is in the crate `drill`; here it crosses.

use crate::lessons::taken;
use crate::{Session, thrown, to_js, too_many};
use drill::exercise::Start;
use drill::exercise::condition::Condition;
use drill::exercise::seconds;
use drill::free::file::{read_snapshot, read_tape};
use drill::free::other::{self, Without};
use drill::free::{Again, Asked, Done, Fired, Waiting};
use engine::malfunction::{Active, Malfunction};
use engine::{Fault, Sim};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Names of these shapes on the page's side, kept beside them.
#[wasm_bindgen(typescript_custom_section)]
const TYPES: &str = r#"
export type Condition =
  | { is: "above" | "below"; signal: string; value: number; held_s?: number }
  | { is: "inside"; signal: string; low: number; high: number; held_s?: number }
  | { is: "mode"; heater: string; mode: string; held_s?: number } | { is: "after"; time_s: number }
  | { is: "done"; command: Record<string, string | number> } | { is: "happened"; event: string; device?: string }
  | { is: "fired"; happening: string } | { is: "all" | "any"; of: Condition[] } | { is: "not"; of: Condition };
export interface WaitingMalfunction { id: number; since_s: number; when: Condition; malfunction: Malfunction }
export interface FiredMalfunction { id: number; at_s: number; malfunction: Malfunction; refused: Fault | null }
export interface ForceMalfunction {
  kind: string; device: string; size: number; begins: number; ramp: number; share: number;
}
export type Deed =
  | { deed: "command"; command: Command } | { deed: "schedule"; id: number; when: Condition; malfunction: Malfunction }
  | { deed: "cancel"; id: number };
export interface DeskView {
  time_s: number; reaches_s: number; ahead_s: number | null; to_do: number; again: "same" | "differs" | null;
  differs_s: number | null; has_left: boolean; deeds: number; last_action_s: number | null; marks: number; bytes: number;
  in_force: ForceMalfunction[]; waiting: WaitingMalfunction[]; fired: FiredMalfunction[];
}
export interface DoneAt { at_s: number; what: Deed; ahead: boolean }
export interface ReadingBeside {
  id: string; quantity: string; shown: number; truth: number; off: number; off_share: number; sound: boolean;
}
export interface PlantStart { load: number; out?: string[]; isolated?: string[]; cold?: string[]; commands?: Command[]; settle_s?: number }
export interface SnapshotInfo { name: string; kept: string; time_s: number; plant: string; engine: string; waiting: number }
export type OtherWithout =
  | { without: "last_action" } | { without: "malfunctions" } | { without: "malfunction"; kind: string; device: string };
export interface Outcome {
  signals: string[]; from_s: number; action: Command | null; with: number[][]; without: number[][]; now_s: number;
  stopped: Fault | null;
}
export interface ClassQuestion { signal: string; from_s: number; window_s: number; observed: number[] }
"#;

/// A malfunction in force, and how far it has grown.
#[derive(Serialize)]
struct Force<'a> {
    #[serde(flatten)]
    active: &'a Active,
    share: f64,
}

#[derive(Serialize)]
struct View<'a> {
    time_s: f64,
    reaches_s: f64,
    ahead_s: Option<f64>,
    to_do: usize,
    again: Option<&'static str>,
    differs_s: Option<f64>,
    has_left: bool,
    deeds: usize,
    last_action_s: Option<f64>,
    marks: usize,
    bytes: usize,
    in_force: Vec<Force<'a>>,
    waiting: &'a [Waiting],
    fired: &'a [Fired],
}

#[derive(Serialize)]
struct DoneAt<'a> {
    at_s: f64,
    what: &'a drill::free::Deed,
    ahead: bool,
}

/// Whole steps of a time [s].
fn step_of(time_s: f64) -> Result<u64, JsValue> {
    if (0.0..=1e9).contains(&time_s) {
        Ok(drill::exercise::steps(time_s))
    } else {
        Err(thrown(&too_many("time", time_s, 1e9)))
    }
}

#[wasm_bindgen]
impl Session {
    /// How the run stands, for the instructor's eyes.
    #[wasm_bindgen(unchecked_return_type = "DeskView")]
    pub fn desk(&self) -> Result<JsValue, JsValue> {
        let (free, sim): (_, &Sim) = (&self.free, self.free.sim());
        let time = sim.time();
        let force = |active| Force { active, share: Active::share(active, time) };
        let (tape, ahead) = (free.tape(), free.ahead());
        let (marks, bytes) = tape.size();
        to_js(&View {
            time_s: time,
            reaches_s: seconds(tape.reaches()),
            ahead_s: ahead.map(|(end, _)| seconds(end)),
            to_do: ahead.map_or(0, |(_, deeds)| deeds.len()),
            again: free.again().map(|a| if *a == Again::Same { "same" } else { "differs" }),
            differs_s: match free.again() {
                Some(Again::Differs { step }) => Some(seconds(*step)),
                _ => None,
            },
            has_left: free.has_left(),
            deeds: tape.deeds().len(),
            last_action_s: tape.deeds().iter().rev().find(|d| d.what.is_action()).map(|d| seconds(d.step)),
            marks,
            bytes,
            in_force: sim.state().malfunctions.iter().map(force).collect(),
            waiting: free.queue().waiting(),
            fired: free.queue().fired(),
        })
    }

    /// The last things done, and those that lie ahead, oldest first.
    #[wasm_bindgen(unchecked_return_type = "DoneAt[]")]
    pub fn deeds(&self, most: usize) -> Result<JsValue, JsValue> {
        fn at(d: &Done, ahead: bool) -> DoneAt<'_> {
            DoneAt { at_s: seconds(d.step), what: &d.what, ahead }
        }
        let done = self.free.tape().deeds();
        let last = done[done.len().saturating_sub(most)..].iter().map(|d| at(d, false));
        let next = self.free.ahead().map_or(&[][..], |(_, deeds)| deeds).iter().take(most);
        to_js(&last.chain(next.map(|d| at(d, true))).collect::<Vec<_>>())
    }

    /// Every transmitter beside what it should show.
    #[wasm_bindgen(unchecked_return_type = "ReadingBeside[]")]
    pub fn readings(&self) -> Result<JsValue, JsValue> {
        to_js(&self.free.sim().readings())
    }

    /// Lets a malfunction wait for a condition; gives the number it has among those that wait.
    pub fn schedule(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "Condition")] when: JsValue,
        #[wasm_bindgen(unchecked_param_type = "Malfunction")] malfunction: JsValue,
    ) -> Result<u32, JsValue> {
        let (when, m): (Condition, Malfunction) =
            (taken(when, "condition")?, taken(malfunction, "malfunction")?);
        self.free.schedule(when, m).map_err(|f| thrown(&f))
    }

    /// Calls off a malfunction that waits.
    pub fn cancel(&mut self, id: u32) -> Result<(), JsValue> {
        self.free.cancel(id).map_err(|f| thrown(&f))
    }

    /// Goes back to an instant [s of plant time], as the plant arrived there; what was done since lies ahead.
    pub fn back(&mut self, time_s: f64) -> Result<(), JsValue> {
        self.free.back(step_of(time_s)?).map_err(|f| thrown(&f))
    }

    /// Leaves behind what lies ahead.
    pub fn branch(&mut self) {
        self.free.branch();
    }

    /// Begins a run at a start, which is then advanced until it has settled and begun once more by `begin_here`.
    pub fn begin(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "PlantStart")] start: JsValue,
    ) -> Result<(), JsValue> {
        let start: Start = taken(start, "start")?;
        self.free.begin(&start).map_err(|f| thrown(&f))
    }

    /// Begins the run here: nothing before this instant can be gone back to.
    pub fn begin_here(&mut self) -> Result<(), JsValue> {
        self.free.begin_here().map_err(|f| thrown(&f))
    }

    /// Goes back to the run that was left for a start, a snapshot or a tape.
    pub fn back_to_left(&mut self) -> Result<(), JsValue> {
        self.free.back_to_left().map_err(|f| thrown(&f))
    }

    /// The plant as it stands as the text of a file.
    pub fn snapshot_file(&self, name: &str, kept: &str) -> Result<String, JsValue> {
        self.free.snapshot_file(name, kept).map_err(|f| thrown(&f))
    }

    /// Begins a run at a snapshot. On failure nothing has changed.
    pub fn load_snapshot(&mut self, text: &str) -> Result<(), JsValue> {
        read_snapshot(text).and_then(|file| self.free.load(&file)).map_err(|f| thrown(&f))
    }

    /// The run so far as the text of a file, to be played again.
    pub fn tape_file(&self, name: &str, kept: &str) -> Result<String, JsValue> {
        self.free.tape_file(name, kept).map_err(|f| thrown(&f))
    }

    /// Goes to the start of a tape, whose deeds then lie ahead. On failure nothing has changed.
    pub fn open_tape(&mut self, text: &str) -> Result<(), JsValue> {
        read_tape(text).and_then(|file| self.free.open_tape(file)).map_err(|f| thrown(&f))
    }

    /// Prepares the same stretch once more without something, beside the run as it was.
    pub fn other(
        &self,
        #[wasm_bindgen(unchecked_param_type = "OtherWithout")] without: JsValue,
        signals: Vec<String>,
        plus_s: f64,
    ) -> Result<Other, JsValue> {
        let without: Without = taken(without, "choice of what to leave out")?;
        self.free.other(&without, &signals, plus_s).map(|o| Other { other: o }).map_err(|f| thrown(&f))
    }

    /// Asks what a signal will do from now on, for so long [s].
    pub fn ask(&mut self, signal: &str, window_s: f64) -> Result<(), JsValue> {
        self.free.ask(signal, window_s).map_err(|f| thrown(&f))
    }

    /// The question asked last, with what has been observed; null without one.
    #[wasm_bindgen(unchecked_return_type = "ClassQuestion | null")]
    pub fn asked(&self) -> Result<JsValue, JsValue> {
        self.free.asked().map_or(Ok(JsValue::NULL), to_js)
    }

    /// Marks what was drawn, as pairs of time after the question [s] and value [inside unit].
    #[wasm_bindgen(unchecked_return_type = "Marks")]
    pub fn marks(
        &self,
        #[wasm_bindgen(unchecked_param_type = "[number, number][]")] points: JsValue,
    ) -> Result<JsValue, JsValue> {
        let points: Vec<(f64, f64)> = taken(points, "curve")?;
        let none = || Fault::new("not_asked", "guess", "nothing was asked.", "Ask the class first.");
        let asked: &Asked = self.free.asked().ok_or_else(|| thrown(&none()))?;
        to_js(&asked.marks(&points).map_err(|f| thrown(&f))?)
    }
}

/// What a snapshot's file says of itself.
#[wasm_bindgen(unchecked_return_type = "SnapshotInfo")]
pub fn snapshot_info(text: &str) -> Result<JsValue, JsValue> {
    #[derive(Serialize)]
    struct Info {
        name: String,
        kept: String,
        time_s: f64,
        plant: String,
        engine: String,
        waiting: usize,
    }
    let f = read_snapshot(text).map_err(|f| thrown(&f))?;
    to_js(&Info {
        name: f.name,
        kept: f.kept,
        time_s: f.time_s,
        plant: f.made.plant,
        engine: f.made.engine,
        waiting: f.waiting.len(),
    })
}

/// SHA-256 of a code with its salt, in hexadecimal.
#[wasm_bindgen]
pub fn code_hash(salt: &str, code: &str) -> String {
    drill::lesson::hash(format!("{salt}\n{code}").as_bytes())
}

/// Two runs on their way.
#[wasm_bindgen]
pub struct Other {
    other: other::Other,
}

#[wasm_bindgen]
impl Other {
    /// Goes on by at most so many steps of each run; the share of the whole that is done, 1 at the end.
    pub fn go(&mut self, steps: u32) -> Result<f64, JsValue> {
        self.other.go(steps).map_err(|f| thrown(&f))
    }

    /// Both outcomes, as far as they have come.
    #[wasm_bindgen(unchecked_return_type = "Outcome")]
    pub fn outcome(&self) -> Result<JsValue, JsValue> {
        to_js(self.other.outcome())
    }
}
