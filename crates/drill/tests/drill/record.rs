//! Records: written line by line, replayed bit for bit, resumed; edited ones are found out, with the minute.

use crate::common::{begin, document, go, lesson, sample, trip, well};
use bledsteam_drill::exercise::question::Answer;
use bledsteam_drill::grade::{Gradebook, Judging, Row, row};
use bledsteam_drill::replay::{Differs, Verdict, resume, verify};
use bledsteam_drill::{Entry, Record, Run};
use engine::Command;
use serde_json::json;

fn text(run: &Run) -> String {
    Record::text(run.entries()).unwrap()
}

fn verdict(text: &str) -> Verdict {
    verify(&sample(), &Record::read(text).unwrap()).unwrap().verdict
}

#[test]
fn a_record_is_reproduced_with_its_score() {
    let run = well();
    let record = Record::read(&text(&run)).unwrap();
    assert_eq!(record.head.by.as_deref(), Some("A. Trainee"));
    let again = verify(&sample(), &record).unwrap();
    assert_eq!(again.verdict, Verdict::Reproduced { over: true });
    assert_eq!(again.score(), Some(run.score()));
    // A mark a minute, from the start to the end.
    let marks = record.entries.iter().filter(|e| matches!(e, Entry::Check { .. })).count();
    assert_eq!(marks, 12);
}

/// Every line of a record keeps to its schema.
#[test]
fn lines_keep_to_the_schema() {
    let validator = jsonschema::validator_for(&bledsteam_drill::record::schema()).unwrap();
    for line in text(&well()).lines() {
        let value = serde_json::from_str(line).unwrap();
        let faults: Vec<String> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
        assert!(faults.is_empty(), "{line}: {faults:?}");
    }
}

/// However the steps are batched, and with figures that have no short decimal, the record is the same.
#[test]
fn batching_and_digits_change_nothing() {
    let take = |batch: u32| {
        let mut run = begin();
        go(&mut run, 10.0);
        let position = 0.1 + 0.2 / 3.0;
        let valve = engine::command::WhichDrain::Normal;
        run.command(&Command::MoveDrain { heater: "hp2".into(), valve, position }).unwrap();
        while run.ended().is_none() {
            run.advance(batch).unwrap();
        }
        text(&run)
    };
    let one = take(1);
    assert_eq!(one, take(977));
    assert_eq!(verdict(&one), Verdict::Reproduced { over: true });
}

/// Wherever a record breaks off, it resumes there and then is as if nothing had been: to the last mark and score.
#[test]
fn a_broken_record_resumes() {
    let whole = text(&well());
    let lines: Vec<&str> = whole.lines().collect();
    for cut in [2, 4, 6, lines.len() - 4, lines.len() - 1] {
        // The last line is torn, as when the battery goes.
        let torn = format!("{}\n{}", lines[..cut].join("\n"), &lines[cut][..lines[cut].len() / 2]);
        let record = Record::read(&torn).unwrap();
        let mut run = resume(&sample(), &record).unwrap();
        assert_eq!(run.step(), record.last_step());
        // What had been done and was lost is done again, at the same steps.
        for entry in Record::read(&whole).unwrap().entries {
            if run.entries().contains(&entry) {
                continue;
            }
            go(&mut run, entry.step().unwrap_or(0) as f64 / 4.0);
            match entry {
                Entry::Command { command, .. } => run.command(&command).unwrap(),
                Entry::Answer { question, answer, .. } => run.answer(&question, &answer).unwrap(),
                Entry::Prediction { prediction, guess, .. } => run.predict(&prediction, &guess).unwrap(),
                _ => {}
            }
        }
        go(&mut run, 600.0);
        assert_eq!(text(&run), whole, "cut at {cut}");
    }
}

/// The entry that says how far it came brings a resumed run there.
#[test]
fn what_was_reached_is_kept() {
    let mut run = begin();
    go(&mut run, 130.0);
    let mut entries = run.entries().to_vec();
    entries.push(run.reached());
    let again = resume(&sample(), &Record::of(entries).unwrap()).unwrap();
    assert_eq!((again.step(), text(&again)), (520, text(&run)));
    assert_eq!(again.sim().state_hash().unwrap(), run.sim().state_hash().unwrap());
}

/// Each edit is found, with what differs and in which minute.
#[test]
fn an_edited_record_is_found_out() {
    let whole = text(&well());
    let entries = || Record::read(&whole).unwrap().entries;
    let found = |change: &dyn Fn(&mut Vec<Entry>)| {
        let mut list = entries();
        change(&mut list);
        let head = Entry::Head(Record::read(&whole).unwrap().head);
        let text = Record::text(&[vec![head], list].concat()).unwrap();
        verdict(&text)
    };
    let not = |minute, what| Verdict::NotReproduced { minute, what };
    let command = |list: &[Entry]| list.iter().position(|e| matches!(e, Entry::Command { .. })).unwrap();
    // The trip comes earlier, never, or hits another heater.
    let at = |step| {
        found(&move |list: &mut Vec<Entry>| {
            let k = command(list);
            list[k] = Entry::Command { step, command: trip("hp1"), refused: None };
        })
    };
    assert_eq!(at(100), not(1, Differs::State));
    let gone = found(&|list| {
        let k = command(list);
        list.remove(k);
    });
    assert_eq!(gone, not(1, Differs::State));
    let late = found(&|list| {
        let k = list.iter().position(|e| matches!(e, Entry::Check { step: 1200, .. })).unwrap();
        list.insert(k, Entry::Command { step: 1190, command: trip("lp5"), refused: None });
    });
    assert_eq!(late, not(5, Differs::State));
    // A better answer, a hint that was not taken, a better score.
    let answer = found(&|list| {
        for e in list.iter_mut() {
            if let Entry::Answer { answer, .. } = e {
                *answer = Answer::Component { device: "hp2".into() };
                break;
            }
        }
    });
    assert_eq!(answer, not(1, Differs::Entries));
    let hint = found(&|list| list.insert(7, Entry::Hint { step: 500 }));
    assert!(matches!(hint, Verdict::NotReproduced { minute: 3, .. }), "{hint:?}");
    let score = found(&|list| {
        if let Some(Entry::Score(s)) = list.last_mut() {
            s.total = 100.0;
        }
    });
    assert_eq!(score, not(10, Differs::Score));
    let mark = found(&|list| {
        let k = list.iter().position(|e| matches!(e, Entry::Check { step: 960, .. })).unwrap();
        list.remove(k);
    });
    assert_eq!(mark, not(4, Differs::Marks));
    assert_eq!(found(&|_| {}), Verdict::Reproduced { over: true });
}

#[test]
fn another_exercise_plant_or_engine_is_told_apart() {
    let whole = text(&well());
    let with = |from: &str, to: &str| verdict(&whole.replacen(from, to, 1));
    let id = sample().identity().clone();
    assert_eq!(with(&id.exercise, &"0".repeat(64)), Verdict::OtherExercise);
    assert_eq!(with(&id.plant, &"0".repeat(64)), Verdict::OtherPlant);
    let other = Verdict::OtherEngine { made_by: id.engine.clone() };
    assert_eq!(with(&id.behaviour, &"0".repeat(64)), other);
    assert_eq!(with(&id.properties, "0123456789abcdef"), other);
    // The layout of the exercise's file does not make another of it; its content does.
    let mut d = document();
    assert_eq!(lesson(&d).identity(), &id);
    d["pass_mark"] = json!(61.0);
    assert_ne!(lesson(&d).identity().exercise, id.exercise);
}

/// What is no record is refused with the line.
#[test]
fn no_file_is_taken_for_a_record() {
    let whole = text(&well());
    let place = |text: &str| Record::read(text).unwrap_err().place;
    assert_eq!(place(""), "line 1");
    assert_eq!(place("{}"), "line 1");
    assert_eq!(place(&whole.replacen("\"entry\":\"answer\"", "\"entry\":\"anser\"", 1)), "line 4");
    assert_eq!(place(&format!("{whole}{whole}")), "entry 20");
    assert_eq!(place(&whole.replacen("bledsteam-record/1", "bledsteam-record/9", 1)), "line 1");
    let mut lines: Vec<&str> = whole.lines().collect();
    lines.swap(3, 8);
    assert!(place(&lines.join("\n")).starts_with("entry "));
    // Torn in the middle, not at the end.
    let torn = whole.replacen("\"entry\":\"answer\",", "\"entry\":\"ans\n", 1);
    assert!(place(&torn).starts_with("line "));
}

/// Thirty of a class: each verified, the hard objective first, the cheat and the stranger named.
#[test]
fn a_class_is_graded() {
    let good = text(&well());
    let mut idle = begin();
    go(&mut idle, 600.0);
    let idle = text(&idle);
    let edited = good.replacen("\"total\":", "\"total\":1", 1);
    let (known, hash) = (sample(), sample().identity().exercise.clone());
    let find = |head: &bledsteam_drill::entry::Head| {
        assert_eq!((head.exercise.as_str(), head.exercise_hash.as_str()), ("sample", hash.as_str()));
        Ok(known.clone())
    };
    let files = [("a.jsonl", &good), ("b.jsonl", &idle), ("c.jsonl", &edited), ("d.jsonl", &"no".to_owned())];
    let rows: Vec<Row> = files.iter().map(|(name, text)| row(name, text, &find).0).collect();
    // Workers hand rows over as documents: nothing is lost on the way.
    let handed: Vec<Row> = serde_json::from_str(&serde_json::to_string(&rows).unwrap()).unwrap();
    assert_eq!(handed, rows);
    let book = Gradebook::new(rows, &[known.exercise()]);
    let found: Vec<String> = book.rows.iter().map(|r| r.finding()).collect();
    assert_eq!(found, ["reproduced", "reproduced", "not reproduced from minute 10", "not_a_record"]);
    assert_eq!(book.rows.iter().map(|r| r.passed).collect::<Vec<_>>(), [Some(true), Some(false), None, None]);
    let hardest = &book.difficulties[0];
    assert!(hardest.mean <= 0.5 && hardest.counted == 2, "{hardest:?}");
    let spare = book.difficulties.iter().find(|d| d.objective == "spare").unwrap();
    assert_eq!((spare.mean, spare.struggled.len()), (1.0, 0));
    // What was asked and foreseen counts over the same two records, whoever answered or not.
    assert!(!book.questions.is_empty() && book.questions.iter().all(|q| q.counted == 2 && q.answered == 1));
    assert!(book.questions.iter().all(|q| !q.text.is_empty() && q.struggled.len() <= 1));
    assert!(
        book.predictions.iter().all(|p| p.counted == 2 && p.made == 1 && p.went.iter().sum::<usize>() == 1)
    );
    let csv = book.csv();
    assert_eq!(csv.lines().count(), 5);
    assert!(csv.contains("\nb.jsonl,A. Trainee,,sample,reproduced,"), "{csv}");
}

/// Judged in pieces of any length a record is worth the same, its run is kept, and how far it has come is told.
#[test]
fn judging_in_pieces_changes_nothing() {
    let good = text(&well());
    let known = sample();
    let find = |_: &bledsteam_drill::entry::Head| Ok(known.clone());
    let whole = row("a.jsonl", &good, &find).0;
    for most in [1, 7, 240, 5000] {
        let mut judging = Judging::new("a.jsonl", &good, &find);
        let (mut pieces, mut last) = (1_u64, 0);
        while !judging.advance(most) {
            let (done, all) = judging.steps();
            assert!(done == last + most && done < all, "{done} of {all} after {last}");
            last = done;
            pieces += 1;
        }
        assert_eq!(pieces, judging.steps().1.div_ceil(most), "{most} steps a piece");
        let (row, run) = judging.finish();
        assert_eq!(row, whole);
        assert_eq!(text(&run.unwrap()), good);
    }
    let fault = engine::Fault::new("not_text", "x", "m", "r");
    let (row, run) = Judging::unread("x", fault.clone()).finish();
    assert!(run.is_none() && row.fault == Some(fault) && row.finding() == "not_text");
}

/// However few signals are read while a run advances, at its end all of them are those of the plant as it stands.
#[test]
fn what_is_read_is_the_plant_as_it_stands() {
    let mut run = begin();
    let mut whole = Vec::new();
    for steps in [1, 3, 240, 17] {
        run.advance(steps).unwrap();
        engine::signals::read(run.sim(), &mut whole);
        assert_eq!(run.values(), whole);
    }
}
