//! For a case that failed: which clause of the rules weighs most between the likeliest cause and the one expected.

use crate::bay::{Bay, Speaks, speaks};
use crate::belief::{Limits, Prepared};
use crate::book::{Book, Cause, Finding, Headed, Id};
use crate::syntax::Span;

/// What weighs most.
#[derive(Debug, Clone, PartialEq)]
pub struct Why {
    /// In words.
    pub words: String,
    /// The clause that says so.
    pub clause: Span,
}

/// What weighs most for the first cause against the other, both in the numbers of the car: something seen, or how common they are.
/// None where nothing speaks for the first.
pub fn why(book: &Book, bay: &Bay, first: usize, other: usize) -> Option<Why> {
    let limits = Limits::default();
    let (one, two) = (bay.car.causes[first], bay.car.causes[other]);
    let [for_first, for_other] = speaks(bay, &[first, other], &limits).try_into().ok()?;
    let weight = |list: &[Speaks], finding: Id<Finding>| list.iter().find(|s| s.finding == finding).map_or(0.0, |s| s.decibans);
    let seen = for_first.iter().chain(&for_other).map(|s| (s, weight(&for_first, s.finding) - weight(&for_other, s.finding)));
    let heaviest = seen.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, more)| *more > 0.0);
    let mut before = Prepared::new(&bay.model.network, &[], &limits).ok()?;
    let commoner = 10.0 * (before.cause(first) / before.cause(other)).log10();
    let (a, b) = (book.causes[one].name(), book.causes[two].name());
    match heaviest {
        Some((speaks, more)) if more >= commoner => {
            let finding = &book.findings[speaks.finding];
            let words = format!(
                "`{}` {} speaks {} times more strongly for `{a}` than for `{b}`",
                finding.name(),
                finding.states[speaks.state],
                times(more)
            );
            Some(Why { words, clause: clause(book, speaks.finding, one, two) })
        }
        _ if commoner > 0.0 => {
            let words = format!("before anything is known `{a}` is {} times likelier than `{b}`", times(commoner));
            Some(Why { words, clause: book.causes[one].head.span })
        }
        _ => None,
    }
}

/// Where one of the causes, or what it brings about, shows the finding; else where the finding stands.
fn clause(book: &Book, finding: Id<Finding>, first: Id<Cause>, other: Id<Cause>) -> Span {
    let own = |c: Id<Cause>| book.causes[c].shows.iter().find(|s| s.finding == finding).map(|s| s.span);
    let with = |c: Id<Cause>| own(c).or_else(|| book.causes[c].brings.iter().find_map(|(b, _)| own(*b)));
    with(first).or_else(|| with(other)).unwrap_or(book.findings[finding].head.span)
}

/// Decibans as a factor.
fn times(decibans: f64) -> String {
    let factor = 10f64.powf(decibans / 10.0);
    if factor < 10.0 { format!("{factor:.1}") } else { format!("{factor:.0}") }
}
