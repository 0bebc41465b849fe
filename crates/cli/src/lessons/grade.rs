//! `bledsteam grade`: a class's records, each verified by replaying it, and what was hard.

use super::{args, library};
use crate::failure::Failure;
use crate::output::Sink;
use crate::text_file;
use drill::grade::{Gradebook, Judging, Row, row};
use drill::{Lesson, Record, record};
use engine::Fault;
use std::io::{self, Write};
use std::sync::Arc;

/// Hard objectives that the table names.
const HARDEST: usize = 5;

/// A record with the lesson it is judged by.
struct Paper {
    file: String,
    text: Result<String, Fault>,
    lesson: Result<Arc<Lesson>, Fault>,
}

/// Grades records.
pub fn grade(args: &args::Grade) -> Result<(), Failure> {
    let library = library(&args.sources)?;
    let mut papers = Vec::new();
    for path in &args.records {
        let text = text_file::read(path, record::LARGEST);
        let head = text.clone().and_then(|t| Record::read(&t)).map(|r| r.head);
        let lesson = head.and_then(|h| library.find(&h));
        papers.push(Paper { file: path.display().to_string(), text, lesson });
    }
    let book = Gradebook::new(rows(&papers), &library.exercises());
    let mut out = Sink::standard();
    if args.form.csv {
        write!(out, "{}", book.csv())?;
    } else if args.form.json {
        out.json(&book)?;
    } else {
        table(&mut out, &book)?;
    }
    Ok(out.flush()?)
}

/// Judges all papers, on as many threads as there are processors; the order stays.
fn rows(papers: &[Paper]) -> Vec<Row> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let share = papers.len().div_ceil(threads).max(1);
    std::thread::scope(|s| {
        let parts: Vec<_> = papers
            .chunks(share)
            .map(|part| s.spawn(|| part.iter().map(judge).collect::<Vec<Row>>()))
            .collect();
        let joined = parts.into_iter().zip(papers.chunks(share));
        // A thread that came to nothing leaves its papers to this one.
        joined
            .flat_map(|(part, own)| part.join().unwrap_or_else(|_| own.iter().map(judge).collect()))
            .collect()
    })
}

fn judge(paper: &Paper) -> Row {
    match &paper.text {
        Ok(text) => row(&paper.file, text, &|_| paper.lesson.clone()).0,
        Err(fault) => Judging::unread(&paper.file, fault.clone()).finish().0,
    }
}

fn table(out: &mut Sink, book: &Gradebook) -> io::Result<()> {
    let head = ["by", "exercise", "record", "points", "passed", "min", "hints"].map(str::to_owned);
    let cells = |r: &Row| {
        [
            if r.by.is_empty() { r.file.clone() } else { r.by.clone() },
            r.exercise.clone(),
            r.finding(),
            r.total.map_or("-".into(), |t| format!("{t:.1}")),
            r.passed.map_or("-", |p| if p { "yes" } else { "no" }).into(),
            format!("{:.1}", r.time_s / 60.0),
            r.hints.to_string(),
        ]
    };
    let lines: Vec<[String; 7]> = std::iter::once(head).chain(book.rows.iter().map(cells)).collect();
    let width = |k: usize| lines.iter().map(|l| l[k].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..7).map(width).collect();
    for l in &lines {
        let line: Vec<String> = l.iter().zip(&widths).map(|(c, w)| format!("{c:w$}")).collect();
        writeln!(out, "{}", line.join("  ").trim_end())?;
    }
    let objectives = book.difficulties.iter().map(|d| (d.mean, &d.exercise, &d.text, &d.struggled));
    hardest(out, "Most missed, with the mean credit:", objectives.collect())?;
    let questions = book.questions.iter().map(|q| (q.mean, &q.exercise, &q.text, &q.struggled));
    hardest(out, "Questions most missed:", questions.collect())?;
    let predictions = book.predictions.iter().map(|p| (p.mean, &p.exercise, &p.text, &p.struggled));
    hardest(out, "Predictions most missed:", predictions.collect())?;
    for r in &book.rows {
        if let Some(f) = &r.fault {
            crate::failure::say(&crate::failure::within(&format!("{}:", r.file), f.clone()));
        }
    }
    Ok(())
}

/// Mean credit, exercise, what it was, and who struggled.
type Hard<'a> = (f64, &'a String, &'a String, &'a Vec<String>);

/// What was missed at all, the hardest first.
fn hardest(out: &mut Sink, head: &str, list: Vec<Hard>) -> io::Result<()> {
    let missed: Vec<_> = list.into_iter().filter(|d| d.0 < 1.0).take(HARDEST).collect();
    if !missed.is_empty() {
        writeln!(out, "\n{head}")?;
    }
    for (mean, exercise, text, struggled) in missed {
        let who = if struggled.is_empty() { String::new() } else { format!(" ({})", struggled.join(", ")) };
        writeln!(out, "  {:3.0} %  {exercise}: {text}{who}", 100.0 * mean)?;
    }
    Ok(())
}
