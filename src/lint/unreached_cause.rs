//! A cause that no check can reach.

use super::prelude::*;
use super::traces::revealed;
use crate::book::{Cause, Need};

pub const LINT: Lint = Lint::book("FB301", "unreached-cause", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, cause) in subject.book.causes.iter().filter(|(_, c)| !c.shows.is_empty() && !c.is_condition()) {
        let findings = cause.shows.iter().filter(|s| s.push.iter().any(|p| *p > 0.0)).map(|s| s.finding);
        let reached: Vec<Need> = findings.flat_map(|f| revealed(subject, f)).collect();
        let Some(message) = judge(subject, cause, &reached) else { continue };
        let remark = Remark::new(LINT.code, message, cause.head.span, "no check reveals anything it shows");
        found.push(remark.help("let it show a reading or a sign that some check reveals; otherwise it can be guessed, never proven"));
    }
}

/// What is wrong, where some vehicle can have the cause and no check that reveals anything it shows.
fn judge(subject: &Subject, cause: &Cause, reached: &[Need]) -> Option<String> {
    let vehicles = &subject.vehicles;
    if reached.iter().any(|need| vehicles.implies(&cause.head.when, need)) {
        return None;
    }
    let vehicle = vehicles.example(&[&cause.head.when], &reached.iter().collect::<Vec<_>>())?;
    let name = cause.name();
    match reached.iter().any(|need| vehicles.together(&cause.head.when, need)) {
        true => Some(format!("on {} no check can reach `{name}`", vehicles.words(&vehicle))),
        false => Some(format!("no check can reach `{name}`")),
    }
}
