//! What a drive says of the vehicle it was logged in: a reading counts only where it is known to apply.

use super::gather::{Lack, Taken};
use super::{Drive, DriveReading};
use crate::book::{Book, Finding, Id, Trait};
use crate::job::band_weights;

/// One reading, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged<'d> {
    /// The reading.
    pub finding: Id<Finding>,
    /// What it came to.
    pub verdict: Verdict<'d>,
}

/// What a reading came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict<'d> {
    /// A value, with how much each of its states counts.
    Stands(&'d Taken, Vec<f64>),
    /// A value that may not be judged, since nobody has said whether the vehicle has these traits.
    Open(&'d Taken, Vec<Id<Trait>>),
    /// Not enough data.
    Lacks(&'d Lack),
}

/// The readings of a drive that apply to a vehicle of these traits, in the book's order.
pub fn judge<'d>(book: &Book, drive: &'d Drive, traits: &[Option<bool>]) -> Vec<Judged<'d>> {
    drive.readings.iter().filter_map(|reading| judge_one(book, reading, traits)).collect()
}

fn judge_one<'d>(book: &Book, reading: &'d DriveReading, traits: &[Option<bool>]) -> Option<Judged<'d>> {
    let finding = &book.findings[reading.finding];
    let applies = finding.head.when.holds(traits);
    let verdict = match (&reading.result, applies) {
        (_, Some(false)) => return None,
        (Err(lack), _) => Verdict::Lacks(lack),
        (Ok(taken), Some(true)) => Verdict::Stands(taken, band_weights(finding, finding.gauge()?, taken.value)),
        (Ok(taken), None) => {
            let mut open = finding.head.when.traits();
            open.retain(|t| traits.get(t.index()).copied().flatten().is_none());
            Verdict::Open(taken, open)
        }
    };
    Some(Judged { finding: reading.finding, verdict })
}
