//! A finding that means danger to people, with no hazard to say so.

use super::prelude::*;
use crate::book::FindingKind;

pub const LINT: Lint = Lint::book("FB307", "finding-without-hazard", Severity::Warning, check);

/// What speaks of a danger in the title of a finding: all words of a group. Common practice, no source.
const DANGERS: &[&[&str]] = &[
    &["exhaust", "cabin"],
    &["exhaust", "inside"],
    &["fumes"],
    &["smell of fuel"],
    &["smell of petrol"],
    &["fuel smell"],
    &["petrol smell"],
    &["fuel", "leak"],
    &["fuel", "drip"],
    &["brake pedal"],
    &["brakes", "fail"],
    &["brakes", "pull"],
    &["oil pressure lamp"],
    &["overheat"],
    &["boils over"],
    &["airbag lamp"],
    &["steering", "loose"],
    &["steering", "locks"],
    &["smell", "burning"],
    &["smoke", "cabin"],
    &["flames"],
    &["its own oil"],
];

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, finding) in subject.book.findings.iter().filter(|(_, f)| f.hazards.is_empty()) {
        // a code's words are the standard's: "leak detected" is a module's word for a test that failed, not fuel on the floor
        if matches!(finding.kind, FindingKind::Code(_)) {
            continue;
        }
        let title = finding.title().to_lowercase();
        let starts = subject::word_starts(&title);
        let Some(danger) = DANGERS.iter().find(|words| words.iter().all(|w| subject::has_words(&starts, w))) else { continue };
        let message = format!("`{}` can mean danger to people and raises no hazard", finding.name());
        let label = format!("{}: expected a `hazard` clause", danger.join(", "));
        let remark = Remark::new(LINT.code, message, finding.head.span, label);
        found.push(remark.help("name the hazard, so that it stands above every plan once this is found"));
    }
}
