//! A record in its short form, for places that hold little: what was done, without the marks a minute but the last. Made
//! again it is the whole record; the mark that is left, and what each command came to, say whether it leads where it led.

use crate::entry::Entry;
use crate::lesson::Lesson;
use crate::record::Record;
use crate::replay::{act, stranger};
use crate::run::{Omit, Run};
use engine::Fault;
use std::sync::Arc;

/// The short form of a run as it stands: its head, what was done, the last mark, how far it has come.
pub fn shorten(run: &Run) -> Vec<Entry> {
    let all = run.entries();
    let last = all.iter().rposition(|e| matches!(e, Entry::Check { .. }));
    let kept = all.iter().enumerate().filter(|(k, e)| match e {
        Entry::Check { .. } => Some(*k) == last,
        Entry::Score(_) => false,
        _ => true,
    });
    kept.map(|(_, e)| e.clone()).chain([run.reached()]).collect()
}

/// Takes up a short form where it broke off.
///
/// # Errors
/// It was made of another exercise, plant or version, or does not lead where it says.
pub fn restore(lesson: &Arc<Lesson>, short: &Record) -> Result<Run, Fault> {
    let refuse = |message: &str| Fault::new("not_resumed", "record", message, "Begin the exercise anew.");
    if stranger(&short.head.identity(), lesson.identity()).is_some() {
        return Err(refuse("the record was made of another exercise, plant or version."));
    }
    let mut run = Run::with(lesson.clone(), short.head.clone(), Omit::default())?;
    for entry in &short.entries {
        if let Some(step) = entry.step() {
            run.go_to(step)?;
        }
        act(&mut run, entry);
    }
    if shorten(&run)[1..] == short.entries[..] {
        Ok(run)
    } else {
        Err(refuse("the record does not lead where it says."))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise::read::read;
    use crate::script::{Runs, perform};
    use engine::Command;

    fn lesson(entry: &catalog::ExerciseEntry) -> Arc<Lesson> {
        let exercise = read(entry.json).unwrap();
        let plant = catalog::plant(&exercise.plant).unwrap();
        Arc::new(Lesson::new(exercise, plant).unwrap())
    }

    fn find(id: &str) -> &'static catalog::ExerciseEntry {
        catalog::EXERCISES.iter().find(|e| e.id == id).unwrap()
    }

    #[test]
    fn the_short_form_makes_the_whole_record_again() {
        let entry = find("heater-trip");
        let lesson = lesson(entry);
        let runs: Runs = serde_json::from_str(entry.runs).unwrap();
        let whole = perform(&lesson, Some("A. N. Other".into()), &runs.model.does).unwrap();
        let short = Record::of(shorten(&whole)).unwrap();
        let again = restore(&lesson, &short).unwrap();
        assert_eq!(again.entries(), whole.entries());
        assert_eq!(again.score(), whole.score());
        assert!(short.entries.len() < whole.entries().len() / 2);
    }

    #[test]
    fn it_goes_on_where_it_broke_off_with_what_was_refused_among_it() {
        let entry = find("heater-trip");
        let lesson = lesson(entry);
        let mut run = Run::new(lesson.clone(), None, None).unwrap();
        run.go_to(500).unwrap();
        assert!(run.command(&Command::TripHeater { heater: "hp3".into() }).is_err());
        run.go_to(777).unwrap();
        let text = Record::text(&shorten(&run)).unwrap();
        let mut again = restore(&lesson, &Record::read(&text).unwrap()).unwrap();
        assert_eq!((again.step(), again.entries()), (777, run.entries()));
        run.go_to(1200).unwrap();
        again.go_to(1200).unwrap();
        assert_eq!(again.entries(), run.entries());
    }

    #[test]
    fn an_edited_one_is_refused() {
        let lesson = lesson(find("heater-trip"));
        let mut run = Run::new(lesson.clone(), None, None).unwrap();
        run.go_to(600).unwrap();
        let mut entries = shorten(&run);
        for e in &mut entries {
            if let Entry::Check { state, .. } = e {
                state.replace_range(0..1, if state.starts_with('0') { "1" } else { "0" });
            }
        }
        let refused = restore(&lesson, &Record::of(entries).unwrap()).map(|_| ()).unwrap_err();
        assert_eq!(refused.code, "not_resumed");
        let mut entries = shorten(&run);
        if let Entry::Head(head) = &mut entries[0] {
            head.exercise_hash = "0".repeat(64);
        }
        assert!(restore(&lesson, &Record::of(entries).unwrap()).is_err());
    }
}
