//! What of a score was foreseen, what was done, what was explained: who acts rightly without having seen it coming, or sees it
//! coming without knowing why, has understood half.

use crate::exercise::Exercise;
use crate::exercise::objective::Rule;
use crate::score::Points;
use serde::Serialize;

/// What an objective asks of somebody.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// To foresee.
    Foresee,
    /// To act, in time and inside limits.
    Act,
    /// To explain, by an answer.
    Explain,
}

/// What a part of a score came to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worth {
    /// Which.
    pub part: Part,
    /// Its share of the total, 0 to 1 [share].
    pub share: f64,
    /// Credit, 0 to 1: the mean of its objectives by their shares [share].
    pub credit: f64,
}

/// Which part a rule belongs to.
pub fn part_of(rule: &Rule) -> Part {
    match rule {
        Rule::Predict { .. } => Part::Foresee,
        Rule::Answer { .. } => Part::Explain,
        Rule::Reach { .. }
        | Rule::Keep { .. }
        | Rule::Never { .. }
        | Rule::Before { .. }
        | Rule::Act { .. } => Part::Act,
    }
}

/// The parts that an exercise has, with what they came to in a score, or in several of it put together.
pub fn parts<'a>(exercise: &Exercise, points: impl IntoIterator<Item = &'a Points>) -> Vec<Worth> {
    // Share, and share times credit, of each part; how many scores there are cancels out of both but the first.
    let mut sums = [(Part::Foresee, 0.0, 0.0), (Part::Act, 0.0, 0.0), (Part::Explain, 0.0, 0.0)];
    let mut whole = 0.0;
    for p in points {
        let Some(objective) = exercise.objectives.iter().find(|o| o.id == p.objective) else { continue };
        whole += p.share;
        for (part, share, earned) in &mut sums {
            if *part == part_of(&objective.rule) {
                *share += p.share;
                *earned += p.share * p.credit;
            }
        }
    }
    let worth = |(part, share, earned): (Part, f64, f64)| Worth {
        part,
        share: share / whole,
        credit: earned / share,
    };
    sums.into_iter().filter(|(_, share, _)| *share > 0.0).map(worth).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise::objective::Objective;
    use crate::score::Reason;

    fn exercise(rules: Vec<(&str, Rule)>) -> Exercise {
        let json = r#"{"format":"bledsteam-exercise/1","id":"a","title":"A","plant":"reheat250","brief":"b","idea":"i",
            "explanation":"e","length_s":60,"timeline":[],"trends":[],"objectives":[],"pass_mark":50}"#;
        let mut exercise: Exercise = serde_json::from_str(json).unwrap();
        let made = |(id, rule): (&str, Rule)| Objective { id: id.into(), text: id.into(), weight: 1.0, rule };
        exercise.objectives = rules.into_iter().map(made).collect();
        exercise
    }

    fn points(objective: &str, share: f64, credit: f64) -> Points {
        Points { objective: objective.into(), share, credit, reason: Reason::Kept }
    }

    #[test]
    fn each_part_is_the_mean_of_its_objectives_by_their_shares() {
        let predict = |id: &str| Rule::Predict { prediction: id.into() };
        let answer = Rule::Answer { question: "q".into() };
        let e = exercise(vec![("a", predict("a")), ("b", predict("b")), ("q", answer)]);
        let score = [points("a", 0.2, 1.0), points("b", 0.6, 0.5), points("q", 0.2, 0.0)];
        let found = parts(&e, &score);
        assert_eq!(found.len(), 2, "no part without objectives");
        assert_eq!(found[0].part, Part::Foresee);
        assert!((found[0].share - 0.8).abs() < 1e-12 && (found[0].credit - 0.625).abs() < 1e-12);
        assert_eq!(found[1].part, Part::Explain);
        assert!((found[1].share - 0.2).abs() < 1e-12 && found[1].credit == 0.0);
        // What the parts came to is what the score came to.
        let total: f64 = score.iter().map(|p| p.share * p.credit).sum();
        assert!((found.iter().map(|w| w.share * w.credit).sum::<f64>() - total).abs() < 1e-12);
        // Two people: shares as before, credit in between.
        let other = [points("a", 0.2, 0.0), points("b", 0.6, 0.5), points("q", 0.2, 1.0)];
        let both = parts(&e, score.iter().chain(&other));
        assert!((both[0].share - 0.8).abs() < 1e-12 && (both[0].credit - 0.5).abs() < 1e-12);
        assert!((both[1].credit - 0.5).abs() < 1e-12);
    }
}
