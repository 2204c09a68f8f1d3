//! For a case that failed: which clause of the rules weighs most between the likeliest cause and the one expected.
//!
//! Weighed is the first cause without the other against the other without the first. What a finding says of the two is how much that
//! ratio changes when the finding is left out of the evidence; what the book says before anything is known is the ratio without any.

use crate::bay::{Bay, how_strongly};
use crate::belief::{History, Limits, Prepared, Seen};
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
    let seen = &bay.model.history.seen;
    let all = ratio(bay, seen, first, other)?;
    let (one, two) = (bay.car.causes[first], bay.car.causes[other]);
    let (a, b) = (book.causes[one].name(), book.causes[two].name());
    let own = reached(bay, &[first, other]);
    let told = seen.iter().enumerate().filter(|(_, s)| own.contains(&s.finding)).filter_map(|(i, s)| {
        let rest: Vec<Seen> = seen.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, s)| s.clone()).collect();
        Some((all - ratio(bay, &rest, first, other)?, s))
    });
    let heaviest = told.filter(|(more, _)| *more > 0.0).max_by(|x, y| x.0.total_cmp(&y.0));
    let commoner = ratio(bay, &[], first, other)?;
    match heaviest {
        Some((more, seen)) if more >= commoner => {
            let id = bay.car.findings[seen.finding];
            let (name, state) = (book.findings[id].name(), &book.findings[id].states[likeliest(seen)]);
            let words = format!("that `{name}` is {state} speaks {}", speaks(more, a, b));
            Some(Why { words, clause: clause(book, id, one, two) })
        }
        _ if commoner > 0.0 => {
            let words = format!("how common they are speaks {}", speaks(commoner, a, b));
            Some(Why { words, clause: book.causes[one].head.span })
        }
        _ => None,
    }
}

/// ln of how much likelier the first cause without the other is than the other without the first; none where that is no number.
fn ratio(bay: &Bay, seen: &[Seen], first: usize, other: usize) -> Option<f64> {
    let history = History { seen: seen.to_vec(), repairs: bay.model.history.repairs.clone() };
    let mut prepared = Prepared::new(&bay.model.network, &history, &Limits::default()).ok()?;
    let ratio = prepared.log_weight_of(&[first], &[other]) - prepared.log_weight_of(&[other], &[first]);
    (!ratio.is_nan()).then_some(ratio)
}

/// The findings that these causes show, by themselves or by what they bring about.
fn reached(bay: &Bay, causes: &[usize]) -> Vec<usize> {
    let network = &bay.model.network;
    let mut all = causes.to_vec();
    let mut at = 0;
    while at < all.len() {
        let new: Vec<usize> = network.brought_by(all[at]).iter().copied().filter(|c| !all.contains(c)).collect();
        all.extend(new);
        at += 1;
    }
    all.iter().flat_map(|c| network.pushed_by(*c)).copied().collect()
}

fn likeliest(seen: &Seen) -> usize {
    (0..seen.weights.len()).fold(0, |best, k| if seen.weights[k] > seen.weights[best] { k } else { best })
}

/// Where one of the causes, or what it brings about, shows the finding; else where the finding stands.
fn clause(book: &Book, finding: Id<Finding>, first: Id<Cause>, other: Id<Cause>) -> Span {
    let own = |c: Id<Cause>| book.causes[c].shows.iter().find(|s| s.finding == finding).map(|s| s.span);
    let with = |c: Id<Cause>| own(c).or_else(|| book.causes[c].brings.iter().find_map(|(b, _)| own(*b)));
    with(first).or_else(|| with(other)).unwrap_or(book.findings[finding].head.span)
}

/// How strongly a natural logarithm of odds speaks for the one, in words and decibans. Past a billion to one the figure says nothing more.
fn speaks(ln: f64, one: &str, other: &str) -> String {
    let decibans = 10.0 * ln / std::f64::consts::LN_10;
    let figure = if decibans > 90.0 { "over +90 dB".to_string() } else { format!("{decibans:+.0} dB") };
    format!("{} for `{one}` and against `{other}` ({figure})", how_strongly(decibans))
}
