//! Proposed numbers -> amendments at the end of a rule file, below a line of their own. What stands above that line is the workshop's and is not touched;
//! what stands below it is the last count's. So the same jobs may be counted again and again: each count starts from the workshop's own numbers.

use super::propose::{Estimate, Subject};
use crate::book::{Book, Cause, Finding, FindingKind, Headed, Id};
use indexmap::IndexMap;

/// Opens the line below which the last count stands.
const MARK: &str = "# Counted by `faultbook tally`";

/// The text above the last count, and whether there is one.
pub fn above(text: &str) -> (&str, bool) {
    let at = if text.starts_with(MARK) { Some(0) } else { text.find(&format!("\n{MARK}")).map(|at| at + 1) };
    at.map_or((text, false), |at| (&text[..at], true))
}

/// The text with the proposed numbers below it, in the place of those of the last count. `jobs` says what was counted.
pub fn rewrite(book: &Book, text: &str, jobs: &str, estimates: &[Estimate]) -> String {
    let (own, _) = above(text);
    let mut amended: IndexMap<Id<Cause>, Vec<String>> = IndexMap::new();
    for estimate in estimates.iter().filter(|e| e.proposed) {
        amended.entry(cause_of(estimate.subject)).or_default().push(clause(book, estimate));
    }
    let gap = if own.is_empty() || own.ends_with("\n\n") { "" } else { "\n" };
    let broken = if own.is_empty() || own.ends_with('\n') { "" } else { "\n" };
    let blocks = amended.iter().map(|(cause, clauses)| format!("amend cause {}\n{}\n", book.causes[*cause].name(), clauses.join("\n")));
    let blocks: Vec<String> = blocks.collect();
    format!(
        "{own}{broken}{gap}{MARK} from {jobs}.\n# The next count replaces all below this line; write your own rules above it.\n{}",
        blocks.join("\n")
    )
}

fn cause_of(subject: Subject) -> Id<Cause> {
    match subject {
        Subject::Prior(cause) | Subject::Strength(cause, _, _) => cause,
    }
}

fn clause(book: &Book, estimate: &Estimate) -> String {
    let counted = format!("# {} of {}", estimate.seen, estimate.of);
    match estimate.subject {
        Subject::Prior(_) => format!("  prior  {}  {counted}", chance(estimate.mean, false)),
        Subject::Strength(_, id, state) => {
            let finding = &book.findings[id];
            format!("  shows  {}{}  {}  {counted}", finding.name(), state_word(finding, state), chance(estimate.mean, true))
        }
    }
}

/// The state as a clause names it: not at all where there is only one to be pushed to, so that it replaces such a clause too.
fn state_word(finding: &Finding, state: usize) -> String {
    let reading = matches!(finding.kind, FindingKind::Reading(_));
    if finding.states.len() == 2 && !reading { String::new() } else { format!("  {}", finding.states[state]) }
}

/// A chance in percent to two figures; rounded down where the states of one finding must not come to more than 100 % together.
fn chance(p: f64, down: bool) -> String {
    let percent = (p * 100.0).clamp(1e-6, 99.0);
    let places = (1.0 - percent.log10().floor()).max(0.0);
    let unit = 10f64.powf(places);
    let figures = if down { (percent * unit + 1e-9).floor() } else { (percent * unit).round() };
    format!("{:.*} %", places as usize, figures.max(1.0) / unit)
}
