//! A stray that is louder than every cause.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB410", "drowning-stray", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, finding) in subject.book.findings.iter().filter(|(id, _)| !subject.shown(*id).is_empty()) {
        let stray: f64 = finding.stray.iter().sum();
        let strongest = subject.shown(id).iter().map(|(_, push)| push.iter().sum::<f64>()).fold(0.0, f64::max);
        if stray < strongest {
            continue;
        }
        let message = format!("`{}` is disturbed as often by nothing in this book as by any cause in it", finding.name());
        let at = subject.clauses(&finding.head, Keyword::Stray).last().map_or(finding.head.span, |c| c.span);
        let label = format!("{} %, and no cause shows it more often than {} %", tenths(stray), tenths(strongest));
        found.push(Remark::new(LINT.code, message, at, label).help("lower the stray, or leave the finding out: it tells nothing"));
    }
}

/// Per cent, to a tenth.
fn tenths(chance: f64) -> f64 {
    (chance * 1000.0).round() / 10.0
}
