//! Why an objective gave what it gave, in words.

use crate::duration::clock;
use crate::units::Units;
use drill::Lesson;
use drill::exercise::prediction::Way;
use drill::score::Reason;
use steam::units::System;

const SI: Units = Units::Shown(System::Si);

/// The reason as a sentence.
pub fn words(reason: &Reason, lesson: &Lesson) -> String {
    match reason {
        Reason::NotBegun => "Its moment did not come.".into(),
        Reason::Reached { at_s, after_s, within_s } => {
            format!("Reached at {}, after {after_s} s; {within_s} s are full credit.", clock(*at_s))
        }
        Reason::NotReached { within_s } => format!("Not reached; {within_s} s are full credit."),
        Reason::Kept => "Kept.".into(),
        Reason::Outside { signal, outside_s, first_s, worst, by, worst_s } => {
            let quantity = lesson.signals().iter().find(|d| d.id == *signal).map(|d| d.quantity);
            let shown = |v: f64| match quantity {
                Some(q) => format!("{} {}", SI.text(q, v), SI.symbol(q, lesson.plant().currency())),
                None => v.to_string(),
            };
            let difference = match quantity {
                // A difference of temperatures has the same degrees in SI.
                Some(q) => format!("{} {}", SI.text(q, *by), SI.symbol(q, lesson.plant().currency())),
                None => by.to_string(),
            };
            format!(
                "Outside for {outside_s} s from {} on; worst {} ({difference} beyond) at {}.",
                clock(*first_s),
                shown(*worst),
                clock(*worst_s)
            )
        }
        Reason::Came { at_s } => format!("It came at {}.", clock(*at_s)),
        Reason::NeverCame => "It never came.".into(),
        Reason::Order { first_s, then_s } => {
            let at = |s: &Option<f64>| s.map_or("never".into(), |s| format!("at {}", clock(s)));
            format!("The first {}, the second {}.", at(first_s), at(then_s))
        }
        Reason::Acted { at_s, after_s, within_s } => {
            format!("Done at {}, after {after_s} s; {within_s} s are full credit.", clock(*at_s))
        }
        Reason::NotActed { within_s } => format!("Not done; {within_s} s are full credit."),
        Reason::Answered { at_s } => format!("Answered at {}.", clock(*at_s)),
        Reason::NotAnswered => "Not answered.".into(),
        Reason::Predicted { way, .. } => {
            let way = match way {
                Way::Up => "It rose",
                Way::Down => "It fell",
                Way::Same => "It stayed",
            };
            format!("{way}.")
        }
        Reason::NotPredicted => "Not predicted.".into(),
        Reason::NotObserved => "Predicted, but the exercise ended before it could be observed.".into(),
    }
}
