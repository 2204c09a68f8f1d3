//! What of a book no case touches.

use super::case::Case;
use super::verdict::Verdict;
use crate::book::{Book, Head, Headed, Table};
use std::collections::HashSet;

/// Names that no case touches.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// Causes that no case expects.
    pub causes: Vec<String>,
    /// Checks that no plan of a case came to.
    pub checks: Vec<String>,
    /// Fixes that no plan of a case came to.
    pub fixes: Vec<String>,
    /// Dangers that something raises and no case expects.
    pub hazards: Vec<String>,
    /// Share of the causes that some case expects, 0..=1.
    pub causes_covered: f64,
}

/// Works it out for the blocks that are one's `own`: those of a book below belong to the cases of whoever keeps it. A book without
/// causes of its own has all of them covered.
pub fn coverage(book: &Book, cases: &[Case], verdicts: &[Verdict], own: impl Fn(&Head) -> bool) -> Coverage {
    let expected: HashSet<&str> = cases.iter().flat_map(|c| &c.expect.causes).map(String::as_str).collect();
    let acts: HashSet<&str> = verdicts.iter().flat_map(|v| &v.driven.acts).map(|a| a.name(book)).collect();
    let wanted: HashSet<&str> = cases.iter().flat_map(|c| &c.expect.first_check).map(String::as_str).collect();
    let causes = missing(&book.causes, &own, |n| expected.contains(n));
    let all = book.causes.iter().filter(|(_, c)| own(&c.head)).count();
    let causes_covered = 1.0 - causes.len() as f64 / all.max(1) as f64;
    let raised = book.findings.iter().flat_map(|(_, f)| f.hazards.iter().map(|(h, _)| *h));
    let raised = raised.chain(book.causes.iter().flat_map(|(_, c)| c.hazards.iter().copied()));
    let raised: HashSet<&str> = raised.map(|h| book.hazards[h].name()).collect();
    let shown: HashSet<&str> = cases.iter().flat_map(|c| &c.expect.hazards).map(String::as_str).collect();
    let hazards = missing(&book.hazards, &own, |n| shown.contains(n) || !raised.contains(n));
    let touched = |n: &str| acts.contains(n) || wanted.contains(n);
    Coverage { causes, checks: missing(&book.checks, &own, touched), fixes: missing(&book.fixes, &own, touched), hazards, causes_covered }
}

fn missing<T: Headed>(table: &Table<T>, own: impl Fn(&Head) -> bool, touched: impl Fn(&str) -> bool) -> Vec<String> {
    table.iter().map(|(_, row)| row.head()).filter(|head| own(head) && !touched(&head.name)).map(|head| head.name.clone()).collect()
}
