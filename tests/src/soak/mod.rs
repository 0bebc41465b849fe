//! A soak: plants and upsets at random, for as many plant hours as there is time for, held to what must always hold.
//!
//! Each case comes from one number, its seed. What it did is a [`record::Record`]: a plant, commands with their times, an
//! end; whatever breaks a law is shrunk to the few commands that break it, and can be played again by the soak and by
//! `bledsteam run --script`.
//!
//! What is held, second by second: mass and energy close, nothing leaves the physical, no heat goes up-temperature, no
//! step ends in a fault or a panic. At a random second a snapshot is taken; restored into another simulator and given
//! the rest of the record, written to text and read again, it must come to the same bits by steps in other batches.
//! Of some cases the operator puts everything right again: the plant must settle at the steady balance. Some plants are left
//! alone for a day: nothing they indicate may move. Halving the step is a promise for known exercises and not for these:
//! see `tests/tests/convergence.rs`.

pub mod case;
pub mod laws;
pub mod operator;
pub mod play;
pub mod record;
pub mod shrink;
pub mod tally;

use laws::Breach;
use record::Record;

/// A breach and the small record that still shows it.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What broke.
    pub breach: Breach,
    /// How to see it.
    pub record: Record,
}

/// Most findings of one sort that are shrunk; further ones are counted.
const OF_ONE_SORT: usize = 2;

/// How long a soak goes on.
#[derive(Clone, Copy, Debug)]
pub enum Enough {
    /// So many plant hours.
    Hours(f64),
    /// So many seeds.
    Seeds(u64),
}

/// Soaks until it is enough, from the case of this seed on.
pub fn soak(
    enough: Enough,
    seed: u64,
    mut tell: impl FnMut(&tally::Tally, Option<&Finding>),
) -> tally::Tally {
    let mut tally = tally::Tally::default();
    let mut next = seed;
    while match enough {
        Enough::Hours(hours) => tally.hours() < hours,
        Enough::Seeds(seeds) => next - seed < seeds,
    } {
        let (record, end) = match play::caught(|| case::draw(next)) {
            Err(panic) => (case::blank(next), Err(panic)),
            Ok(Err(refused)) => {
                tally.refuse(&refused);
                let end = refused.breach().map_or(Ok(()), Err);
                (refused.record, end)
            }
            Ok(Ok(case)) => play::first(case, &mut tally),
        };
        next += 1;
        if let Err(breach) = end {
            let known = tally.found.iter().filter(|f| f.breach.sort() == breach.sort()).count();
            let small = if known < OF_ONE_SORT { shrink::shrink(&record, &breach) } else { (record, breach) };
            let finding = Finding { record: small.0, breach: small.1 };
            tell(&tally, Some(&finding));
            tally.found.push(finding);
        }
        tell(&tally, None);
    }
    tally
}
