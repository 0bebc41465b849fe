//! A case played for the first time, and a record played again.

use crate::Run;
use crate::settled;
use crate::soak::case::Case;
use crate::soak::laws::{Breach, Laws};
use crate::soak::operator::{self, EVERY, PATIENCE, SETTLING};
use crate::soak::record::{Ending, Given, Of, Record};
use crate::soak::tally::Tally;
use engine::steady;
use engine::{Fault, Sim};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Of a span: how far a value at rest may move in a day.
const AT_REST: f64 = 1e-4;
/// How long a level is watched for hunting [s], and from which swing on it hunts [mm].
const HUNT: u32 = 3600;
const SWING: f64 = 1.0;
/// Refusals that are answers, not faults.
const ANSWERS: [&str; 5] = ["refused", "in_force", "not_in_force", "too_many", "out_of_range"];

/// Plays a case, writes down what the operator did after it, and says what broke.
pub fn first(case: Case, tally: &mut Tally) -> (Record, Result<(), Breach>) {
    let mut record = case.record;
    let end = guarded(|| {
        let mut p = Player::start(&record)?;
        p.play(&record, record.end_s, tally)?;
        if let Some(share) = case.restored_at {
            p.restore(&mut record, share, tally)?;
        }
        p.finish(&record, tally)
    });
    tally.case(&record, &end);
    (record, end)
}

/// Plays a record again.
///
/// # Errors
/// What broke.
pub fn again(record: &Record) -> Result<(), Breach> {
    again_with(record, &mut |_| Ok(()))
}

/// The same, with one more law.
///
/// # Errors
/// What broke.
pub fn again_with(record: &Record, look: &mut dyn FnMut(&Run) -> Result<(), Breach>) -> Result<(), Breach> {
    guarded(|| {
        let mut p = Player::start(record)?;
        let mut none = Tally::default();
        p.play_with(record, record.end_s, &mut none, look)?;
        p.finish(record, &mut none)
    })
}

/// Of a record's commands those that are carried out.
pub fn carried_out(record: &Record) -> Vec<Given> {
    let mut done = Vec::new();
    // Where it breaks, what comes after is not reached.
    let _ = guarded(|| {
        let mut p = Player::start(record)?;
        let end = p.play(record, record.end_s, &mut Tally::default());
        done = record.script.iter().zip(&p.done).filter(|(_, done)| **done).map(|(g, _)| g.clone()).collect();
        end
    });
    done
}

/// A panic is a breach like any other.
///
/// # Errors
/// The panic.
pub fn caught<T>(act: impl FnOnce() -> T) -> Result<T, Breach> {
    catch_unwind(AssertUnwindSafe(act)).map_err(|e| {
        let text = e.downcast_ref::<String>().cloned();
        let text = text.or_else(|| e.downcast_ref::<&str>().map(|s| (*s).to_owned()));
        Breach::new("no panic", text.unwrap_or_default(), f64::NAN)
    })
}

fn guarded(play: impl FnOnce() -> Result<(), Breach>) -> Result<(), Breach> {
    caught(play).and_then(|end| end)
}

struct Player {
    run: Run,
    laws: Laws,
    before: Vec<f64>,
    /// Of the commands given so far, which were carried out.
    done: Vec<bool>,
    kept: Option<Vec<u8>>,
}

impl Player {
    fn start(record: &Record) -> Result<Player, Breach> {
        let sim = record.plant.plant().and_then(Sim::new).map_err(|f| Breach::fault(&f, 0.0))?;
        let run = Run::of(sim);
        // Hotter and drier steam than in the shipped plants: the fit of superheat against mass is good to 6 %.
        let laws = Laws::new(if matches!(record.plant, Of::Shipped(_)) { 0.0 } else { 0.06 });
        Ok(Player { before: run.values().to_vec(), run, laws, done: Vec::new(), kept: None })
    }

    fn fault(&self, f: &Fault) -> Breach {
        Breach::fault(f, self.run.sim.time())
    }

    fn give(&mut self, g: &Given, tally: &mut Tally) -> Result<(), Breach> {
        let end = self.run.command(g.command.clone());
        self.done.push(end.is_ok());
        match end {
            Err(f) if !ANSWERS.contains(&f.code.as_str()) => Err(self.fault(&f)),
            other => {
                tally.command(&g.command, other.is_ok());
                Ok(())
            }
        }
    }

    fn play(&mut self, record: &Record, to: f64, tally: &mut Tally) -> Result<(), Breach> {
        self.play_with(record, to, tally, &mut |_| Ok(()))
    }

    fn play_with(
        &mut self,
        record: &Record,
        to: f64,
        tally: &mut Tally,
        look: &mut dyn FnMut(&Run) -> Result<(), Breach>,
    ) -> Result<(), Breach> {
        loop {
            let now = self.run.sim.time();
            if record.kept_s.is_some_and(|k| k.0 == now) {
                self.kept = Some(self.run.sim.snapshot().map_err(|f| self.fault(&f))?);
            }
            while let Some(g) = record.script.get(self.done.len()).filter(|g| g.at_s <= now) {
                self.give(g, tally)?;
            }
            if record.kept_s.is_some_and(|k| k.1 == now) {
                self.same_bits(record)?;
            }
            if now >= to {
                return Ok(());
            }
            let next = record.script.get(self.done.len()).map_or(to, |g| g.at_s.min(to));
            // Whole seconds: a minute at a time once nothing much happens, unless something is due before.
            let wait = if now < record.close_s { 1.0 } else { (next - now).clamp(1.0, 60.0) };
            self.run.seconds(wait).map_err(|f| self.fault(&f))?;
            tally.seconds += wait;
            tally.upset += if now < record.close_s { wait } else { 0.0 };
            self.laws.look(&self.run)?;
            look(&self.run)?;
        }
    }

    /// The snapshot, restored elsewhere and given the rest of the record from its text, comes to the same bits.
    fn same_bits(&self, record: &Record) -> Result<(), Breach> {
        let Some((bytes, (from, now))) = self.kept.as_ref().zip(record.kept_s) else { return Ok(()) };
        let other = |what: String| Breach::new("same bits", what, now);
        let text = record.script_text().map_err(|e| other(format!("the script cannot be written: {e}")))?;
        let script: Vec<Given> =
            serde_json::from_str(&text).map_err(|e| other(format!("the script cannot be read: {e}")))?;
        let mut sim = record.plant.plant().and_then(Sim::new).map_err(|f| self.fault(&f))?;
        sim.restore(bytes).map_err(|f| self.fault(&f))?;
        if sim.snapshot().map_err(|f| self.fault(&f))? != *bytes {
            return Err(other("snapshot of what was restored differs".into()));
        }
        let step = sim.params().dt;
        let advance_to = |sim: &mut Sim, at: f64| {
            let steps = ((at - sim.time()) / step).round() as u32;
            // Seven and the rest at once: other batches than the four to a second of the first run.
            for batch in [steps.min(7), steps - steps.min(7)] {
                sim.advance(batch).map_err(|f| self.fault(&f))?;
            }
            Ok::<(), Breach>(())
        };
        for g in script.iter().filter(|g| g.at_s >= from && g.at_s <= now) {
            advance_to(&mut sim, g.at_s)?;
            // Refused there, refused here.
            let _ = sim.command(&g.command);
        }
        advance_to(&mut sim, now)?;
        let hashes = (sim.state_hash(), self.run.sim.state_hash());
        match hashes {
            (Ok(a), Ok(b)) if a == b => Ok(()),
            (a, b) => Err(other(format!("state {a:?} after a snapshot at {from} s, {b:?} without"))),
        }
    }

    /// The operator puts all right; the plant is left to settle.
    fn restore(&mut self, record: &mut Record, share: f64, tally: &mut Tally) -> Result<(), Breach> {
        let begun = record.end_s;
        for look in 0..=PATIENCE / EVERY {
            let now = begun + f64::from(look * EVERY);
            self.play(record, now, tally)?;
            // What breaks while the operator is at it must leave a record as long as it got.
            (record.end_s, record.close_s) = (now + f64::from(EVERY), now + f64::from(EVERY));
            for command in operator::acts(&self.run, share) {
                record.script.push(Given { at_s: now, command });
            }
        }
        record.end_s = begun + f64::from(PATIENCE + SETTLING);
        record.ending = Ending::Settles(share);
        self.play(record, record.end_s, tally)
    }

    fn finish(&mut self, record: &Record, tally: &mut Tally) -> Result<(), Breach> {
        tally.events(self.run.events());
        let now = self.run.sim.time();
        match record.ending {
            Ending::Stops => Ok(()),
            Ending::Rests => {
                for ((d, &v), &was) in self.run.definitions().iter().zip(self.run.values()).zip(&self.before)
                {
                    let clock =
                        ["unit.time", "unit.mass_residual", "unit.energy_residual"].contains(&d.id.as_str());
                    if !(clock || (v - was).abs() <= AT_REST * (d.high - d.low)) {
                        return Err(Breach::new("at rest", format!("{} from {was} to {v}", d.id), now));
                    }
                }
                tally.rested += 1;
                Ok(())
            }
            Ending::Settles(share) => self.settled(record, share, tally),
        }
    }

    fn settled(&mut self, record: &Record, share: f64, tally: &mut Tally) -> Result<(), Breach> {
        let (run, now) = (&self.run, self.run.sim.time());
        if let Some(left) = operator::left_over(run, share) {
            tally.left_over.push(left);
            return Ok(());
        }
        let heaters = run.sim.plant().heaters.len();
        let case = steady::Case::at(steady::Hold::SteamFlow(share), heaters);
        let Ok(balance) = run.sim.model().solve(run.sim.plant(), &case) else {
            tally.unbalanced += 1;
            return Ok(());
        };
        let pairs = settled::pairs(run, &balance)
            .map_err(|e| Breach::new("settles at the balance", e.to_string(), now))?;
        let worst = pairs.iter().max_by(|a, b| a.apart().total_cmp(&b.apart()));
        let Some(p) = worst.filter(|p| !(p.apart() <= 1.0)) else {
            tally.settled += 1;
            return Ok(());
        };
        let what = format!("{}: {} settled, {} balanced, load {share}", p.id, p.moving, p.steady);
        if matches!(record.plant, Of::Drawn(_)) && self.hunts()? {
            tally.hunting += 1;
            return Ok(());
        }
        Err(Breach::new("settles at the balance", what, now))
    }

    /// Whether a level swings to and fro, slowly. Level controllers of a plant that was drawn have usual settings, nobody
    /// has tuned them: far from design some hunt, with no balance to settle at. What changes its mind within some steps is
    /// no control loop but the numbers.
    fn hunts(&mut self) -> Result<bool, Breach> {
        let levels: Vec<usize> = (0..self.run.definitions().len())
            .filter(|&i| self.run.definitions()[i].id.ends_with("level_true"))
            .collect();
        let mut seen: Vec<Vec<f64>> = vec![Vec::new(); levels.len()];
        for _ in 0..HUNT {
            self.run.seconds(1.0).map_err(|f| self.fault(&f))?;
            levels.iter().zip(&mut seen).for_each(|(&i, all)| all.push(self.run.values()[i]));
        }
        let turns = |all: &[f64]| {
            all.windows(3).filter(|w| (w[1] - w[0]) * (w[2] - w[1]) < 0.0 && w[1] != w[0]).count() as u32
        };
        let swings = |all: &[f64]| {
            let (low, high) = all.iter().fold((f64::MAX, f64::MIN), |(l, h), &x| (l.min(x), h.max(x)));
            high - low > SWING && turns(all) >= 2
        };
        let hunting: Vec<&Vec<f64>> = seen.iter().filter(|all| swings(all)).collect();
        Ok(!hunting.is_empty() && hunting.iter().all(|all| turns(all) < HUNT / 5))
    }
}
