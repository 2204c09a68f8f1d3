//! A symptom that stops all work and that nobody asks about.

use super::prelude::*;
use crate::book::{FindingKind, Level};

pub const LINT: Lint = Lint::book("FB310", "unasked-danger", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let always = |kind: &FindingKind| matches!(kind, FindingKind::Symptom { always_ask: true, .. });
    let asked = subject.book.findings.iter().filter(|(_, f)| always(&f.kind)).flat_map(|(_, f)| f.hazards.iter().map(|(h, _)| *h));
    let asked: Vec<_> = asked.collect();
    for (_, finding) in subject.book.findings.iter() {
        let stops = finding.hazards.iter().find(|(h, _)| subject.book.hazards[*h].level == Level::Stop && !asked.contains(h));
        let (FindingKind::Symptom { always_ask: false, .. }, Some((hazard, _))) = (&finding.kind, stops) else { continue };
        let hazard = subject.book.hazards[*hazard].name();
        let message = format!("`{}` raises `{hazard}`, and no question asked of everybody does", finding.name());
        let remark = Remark::new(LINT.code, message, finding.head.span, "expected `always-ask`");
        found.push(remark.help("add `always-ask`: what stops all work has to be known before any work"));
    }
}
