//! Every shipped exercise: it is sound, the model answer is worth all of it, a plausible wrong run loses for the reason it
//! should, and doing nothing does not pass.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_catalog::{self as catalog, EXERCISES, ExerciseEntry};
use drill::exercise::objective::Rule;
use drill::exercise::read::read;
use drill::replay::{Verdict, verify};
use drill::script::{Runs, Scripted, perform};
use drill::{Exercise, Lesson, Record};
use std::sync::Arc;

fn runs(entry: &ExerciseEntry) -> Runs {
    serde_json::from_str(entry.runs).unwrap_or_else(|e| panic!("{}: {e}", entry.id))
}

fn exercise(entry: &ExerciseEntry) -> Exercise {
    read(entry.json).unwrap_or_else(|f| panic!("{}: {f:#?}", entry.id))
}

fn lesson(entry: &ExerciseEntry) -> Arc<Lesson> {
    let exercise = exercise(entry);
    let plant = catalog::plant(&exercise.plant).unwrap();
    Arc::new(Lesson::new(exercise, plant).unwrap_or_else(|f| panic!("{}: {f:#?}", entry.id)))
}

/// What a run is worth is what stands beside it; else what was found.
fn take(lesson: &Arc<Lesson>, name: &str, s: &Scripted, found: &mut Vec<String>) {
    let id = &lesson.exercise().id;
    let run = perform(lesson, None, &s.does).unwrap_or_else(|f| panic!("{id}, {name}: {f}"));
    let score = run.score();
    let lost: Vec<&str> =
        score.objectives.iter().filter(|p| p.credit < 0.999).map(|p| p.objective.as_str()).collect();
    if (score.total - s.total).abs() > 0.5 || score.passed != s.passed || lost != s.loses {
        let reasons: Vec<String> = score
            .objectives
            .iter()
            .map(|p| format!("  {} {:.3} {:?}", p.objective, p.credit, p.reason))
            .collect();
        found.push(format!(
            "{id}, {name}: {:.2} passed {} ended {:?} loses {lost:?}\n{}",
            score.total,
            score.passed,
            run.ended(),
            reasons.join("\n")
        ));
    }
    // Each leaves a record that is reproduced.
    let record = Record::of(run.entries().to_vec()).unwrap();
    let verdict = verify(lesson, &record).unwrap().verdict;
    assert_eq!(verdict, Verdict::Reproduced { over: true }, "{id}, {name}");
}

/// All three runs of all exercises; what does not come out as stated is listed together.
#[test]
fn the_scripted_runs_are_worth_what_they_say() {
    let mut found = Vec::new();
    for entry in EXERCISES {
        let (lesson, runs) = (lesson(entry), runs(entry));
        take(&lesson, "model", &runs.model, &mut found);
        take(&lesson, "wrong", &runs.wrong, &mut found);
        take(&lesson, "nothing", &runs.nothing, &mut found);
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// The model answer is worth all, the wrong run fails for objectives it names, and nothing done fails; no run's
/// expectation may be written otherwise.
#[test]
fn the_expectations_are_those_that_matter() {
    for entry in EXERCISES {
        let (r, e) = (runs(entry), exercise(entry));
        assert_eq!((r.model.total, r.model.passed, r.model.loses.len()), (100.0, true, 0), "{}", e.id);
        assert!(!r.wrong.passed && r.wrong.total < e.pass_mark && !r.wrong.loses.is_empty(), "{}", e.id);
        assert!(!r.wrong.does.is_empty() && r.nothing.does.is_empty(), "{}", e.id);
        assert!(!r.nothing.passed && r.nothing.total <= 0.5 * e.pass_mark, "{}", e.id);
        for run in [&r.model, &r.wrong, &r.nothing] {
            assert!(run.tells.len() > 20, "{}", e.id);
        }
    }
}

/// Written for people: names agree, something is to be predicted or answered and everything asked counts, hints come from
/// cheap to dear, and each lasts ten to forty minutes; longer where steel has to be waited for and the brief says that time
/// may run fast.
#[test]
fn they_are_made_for_people() {
    let mut ids = Vec::new();
    for entry in EXERCISES {
        let e = exercise(entry);
        assert_eq!(e.id, entry.id);
        assert!(!ids.contains(&e.id), "{} twice", e.id);
        ids.push(e.id.clone());
        let longest = if e.brief.contains("let time run fast") { 5400.0 } else { 2400.0 };
        assert!((600.0..=longest).contains(&e.length_s), "{}", e.id);
        assert!(e.brief.len() > 200 && e.explanation.len() > 200 && !e.trends.is_empty(), "{}", e.id);
        assert!(e.hints.len() >= 2 && e.hints.windows(2).all(|w| w[0].price <= w[1].price), "{}", e.id);
        for q in &e.questions {
            let counts = |r: &Rule| matches!(r, Rule::Answer { question } if *question == q.id);
            assert!(e.objectives.iter().any(|o| counts(&o.rule)), "{}: {}", e.id, q.id);
        }
        for p in &e.predictions {
            let counts = |r: &Rule| matches!(r, Rule::Predict { prediction } if *prediction == p.id);
            assert!(e.objectives.iter().any(|o| counts(&o.rule)), "{}: {}", e.id, p.id);
        }
        assert!(!e.questions.is_empty() || !e.predictions.is_empty(), "{}", e.id);
    }
}
