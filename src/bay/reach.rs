//! What a repair can change: what its causes disturb, themselves or through conditions that end with them. What they brought about for good stays.

use crate::book::{Book, Cause, Finding, Id};

/// These causes with the conditions that they hold up, near and far.
pub fn with_conditions(book: &Book, causes: &[Id<Cause>]) -> Vec<Id<Cause>> {
    let mut out = causes.to_vec();
    let mut at = 0;
    while let Some(&cause) = out.get(at) {
        let brought = book.causes[cause].brings.iter().map(|(c, _)| *c).filter(|c| book.causes[*c].is_condition());
        let new: Vec<Id<Cause>> = brought.filter(|c| !out.contains(c)).collect();
        out.extend(new);
        at += 1;
    }
    out
}

/// Whether a finding can change when these causes are put right.
pub fn can_change(book: &Book, causes: &[Id<Cause>], finding: Id<Finding>) -> bool {
    with_conditions(book, causes).iter().any(|c| book.causes[*c].shows.iter().any(|s| s.finding == finding))
}
