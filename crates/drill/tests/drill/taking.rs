//! Taking an exercise: what counts, what does not, what is locked, and why.

use crate::common::{begin, document, go, lesson, trip, value, well};
use bledsteam_drill::debrief::{What, debrief};
use bledsteam_drill::entry::{Ended, Entry};
use bledsteam_drill::exercise::prediction::{Guess, Way};
use bledsteam_drill::exercise::question::Answer;
use bledsteam_drill::score::Reason;
use bledsteam_drill::{Run, Score};
use engine::Command;
use serde_json::json;

fn credit(score: &Score, id: &str) -> f64 {
    score.objectives.iter().find(|p| p.objective == id).unwrap().credit
}

fn reason<'a>(score: &'a Score, id: &str) -> &'a Reason {
    &score.objectives.iter().find(|p| p.objective == id).unwrap().reason
}

#[test]
fn a_good_run_counts() {
    let run = well();
    assert_eq!(run.ended(), Some(&Ended::Length));
    let score = run.score();
    for id in ["act", "out", "spare", "know", "read", "foresee"] {
        assert_eq!(credit(&score, id), 1.0, "{id}: {:?}", reason(&score, id));
    }
    // The drain that sticks shut fills lp5, and nobody did anything about it.
    assert!(credit(&score, "level") < 1.0);
    assert!(
        matches!(reason(&score, "level"), Reason::Outside { by, first_s, .. } if *by > 10.0 && *first_s > 300.0)
    );
    assert!(matches!(reason(&score, "act"), Reason::Acted { at_s: 30.0, after_s: 30.0, .. }));
    assert!(score.passed && score.total > 79.0 && score.total < 100.0, "{}", score.total);
    assert_eq!(run.entries().last(), Some(&Entry::Score(score)));
}

/// Nothing done: what is never to come has not come, and that is all.
#[test]
fn nothing_done_is_not_passed() {
    let mut run = begin();
    go(&mut run, 600.0);
    let score = run.score();
    assert!(!score.passed && score.total < 30.0, "{}", score.total);
    assert_eq!([credit(&score, "act"), credit(&score, "spare")], [0.0, 1.0]);
    assert_eq!(reason(&score, "foresee"), &Reason::NotPredicted);
    assert_eq!(reason(&score, "know"), &Reason::NotAnswered);
}

#[test]
fn hints_cost_and_lateness_too() {
    let mut run = begin();
    assert!(run.hint().unwrap().contains("nearest"));
    run.hint().unwrap();
    assert_eq!(run.hint().unwrap_err().code, "no_more_hints");
    go(&mut run, 90.0);
    run.command(&trip("hp1")).unwrap();
    go(&mut run, 600.0);
    let score = run.score();
    assert_eq!((credit(&score, "act"), score.hints, score.hints_price), (0.5, 2, 15.0));
    let sum: f64 = score.objectives.iter().map(|p| 100.0 * p.share * p.credit).sum();
    assert!((score.total - (sum - 15.0)).abs() < 1e-9);
}

#[test]
fn what_is_locked_or_refused_is_recorded_and_does_nothing() {
    let mut run = begin();
    assert_eq!(run.command(&Command::SetLoad { fraction: 0.5 }).unwrap_err().code, "locked");
    let insert = json!({ "do": "remove_malfunction", "kind": "normal_drain_fails", "device": "lp5" });
    let insert: Command = serde_json::from_value(insert).unwrap();
    assert_eq!(run.command(&insert).unwrap_err().code, "locked");
    assert_eq!(run.command(&trip("hp9")).unwrap_err().code, "no_such_heater");
    let odd = Command::SetLoad { fraction: f64::NAN };
    assert_eq!(run.command(&odd).unwrap_err().code, "out_of_range");
    go(&mut run, 60.0);
    assert!((value(&run, "unit.load") - 1.0).abs() < 1e-9);
    let refused = run.entries().iter().filter(|e| matches!(e, Entry::Command { refused: Some(_), .. }));
    assert_eq!(refused.count(), 3);
}

/// The wrong heater ends it, whatever else was right.
#[test]
fn an_end_that_fails_fails() {
    let mut run = begin();
    go(&mut run, 10.0);
    run.command(&trip("hp3")).unwrap();
    go(&mut run, 600.0);
    assert_eq!((run.ended(), run.step()), (Some(&Ended::Condition { end: 0 }), 41));
    assert!(!run.score().passed);
    assert_eq!(run.command(&trip("hp1")).unwrap_err().code, "ended");
    assert_eq!(run.hand_in().unwrap_err().code, "ended");
}

#[test]
fn a_prediction_is_called_for_once_and_locked_at_its_moment() {
    let mut run = begin();
    go(&mut run, 5.0);
    run.command(&trip("hp1")).unwrap();
    // The moment is when the plant has taken the command.
    let first = run.advance(100).unwrap();
    assert_eq!((first.steps, first.waiting), (1, vec!["feedwater".to_owned()]));
    run.predict("feedwater", &Guess::Direction { way: Way::Up }).unwrap();
    run.predict("feedwater", &Guess::Direction { way: Way::Down }).unwrap();
    assert_eq!(run.advance(100).unwrap().steps, 100);
    assert_eq!(run.predict("feedwater", &Guess::Direction { way: Way::Up }).unwrap_err().code, "locked");
    assert!(run.open_predictions().is_empty());
    go(&mut run, 600.0);
    assert_eq!(credit(&run.score(), "foresee"), 1.0);
}

#[test]
fn guesses_and_answers_must_be_of_their_kind() {
    let mut run = begin();
    let code = |r: Result<(), engine::Fault>| r.unwrap_err().code;
    assert_eq!(code(run.predict("feedwater", &Guess::Value { value: 200.0 })), "not_a_guess");
    assert_eq!(code(run.predict("weather", &Guess::Value { value: 2.0 })), "no_such_prediction");
    assert_eq!(code(run.answer("highest", &Answer::Number { value: 1.0 })), "not_an_answer");
    assert_eq!(code(run.answer("read-ttd", &Answer::Number { value: f64::INFINITY })), "not_an_answer");
    assert_eq!(code(run.answer("lowest", &Answer::Number { value: 1.0 })), "no_such_question");
    assert_eq!(run.entries().len(), 2, "head and first mark only");
}

/// A drawn curve counts by its parts; one that follows what comes has full marks.
#[test]
fn a_curve_is_scored() {
    let mut d = document();
    d["predictions"][0]["what"] = json!({ "kind": "curve", "tolerance": 2.0 });
    let lesson = lesson(&d);
    let take = |points: Vec<(f64, f64)>| {
        let mut run = Run::new(lesson.clone(), None, None).unwrap();
        run.predict("feedwater", &Guess::Curve { points }).unwrap();
        run.command(&trip("hp1")).unwrap();
        go(&mut run, 300.0);
        run.hand_in().unwrap();
        run
    };
    let flat = take(vec![(0.0, 250.0)]);
    let observed = flat.outcomes()[0].observed.to_vec();
    assert_eq!(observed.len(), 241);
    assert!(credit(&flat.score(), "foresee") < 0.3);
    let points = observed.iter().enumerate().step_by(20).map(|(t, v)| (t as f64, *v)).collect();
    let good = take(points);
    assert!(credit(&good.score(), "foresee") > 0.97, "{:?}", good.outcomes()[0].marks);
}

/// What ended early was not observed to its end.
#[test]
fn a_window_cut_short_does_not_count() {
    let mut run = begin();
    run.predict("feedwater", &Guess::Direction { way: Way::Down }).unwrap();
    run.command(&trip("hp1")).unwrap();
    go(&mut run, 60.0);
    run.hand_in().unwrap();
    assert_eq!(reason(&run.score(), "foresee"), &Reason::NotObserved);
}

#[test]
fn the_debrief_tells_what_happened() {
    let run = well();
    let d = debrief(&run);
    assert!(d.timeline.windows(2).all(|w| w[0].at_s <= w[1].at_s));
    let has = |f: &dyn Fn(&What) -> bool| d.timeline.iter().any(|l| f(&l.what));
    assert!(has(&|w| matches!(w, What::Command { refused: None, .. })));
    assert!(has(&|w| matches!(w, What::Happening { id, refused } if id == "stuck" && refused.is_empty())));
    assert!(has(&|w| matches!(w, What::Event { device, .. } if device == "lp5")));
    assert!(has(&|w| matches!(w, What::Ended { why: Ended::Length })));
    let stuck = d.timeline.iter().find(|l| matches!(&l.what, What::Happening { id, .. } if id == "stuck"));
    assert_eq!(stuck.unwrap().at_s, 300.0);
    let level = d.excerpts.iter().find(|x| x.objective == "level").unwrap();
    assert_eq!(level.signals, ["lp5.level"]);
    // The worst value lies in the excerpt at the moment named.
    let at = (level.moment_s.unwrap() - level.from_s) as usize;
    let column = &level.columns[0];
    let worst = column.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    assert!((column[at].abs() - worst).abs() < 2.0, "{} {worst}", column[at]);
    assert_eq!(d.predictions[0].marks.as_ref().unwrap().way, Way::Down);
    assert_eq!((d.questions[0].credit, d.time_s), (1.0, 600.0));
}
