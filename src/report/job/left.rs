//! What is still wrong when the job is closed, and why it was left.

use super::case::Case;
use crate::book::Headed;
use crate::job::{Disposal, Event, Subject};
use crate::walk::Leftover;
use schemars::JsonSchema;
use serde::Serialize;

/// Something that is still wrong.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LeftDocument {
    /// The name of the cause, the reading or the sign.
    pub id: String,
    /// Its title.
    pub title: String,
    /// `tell` where the owner is told, `harmless` with a reason, `handed-over`, or `open` where nothing was said yet.
    pub kind: String,
    /// Why it is known and harmless; else empty.
    pub reason: String,
}

/// What is left of a job of which something was repaired or that was handed over.
pub fn left(case: &Case) -> Vec<LeftDocument> {
    if case.standing.fixes.is_empty() && !case.standing.asked("refer") {
        return vec![];
    }
    case.outcome.left.iter().map(|l| one(case, l)).collect()
}

fn one(case: &Case, left: &Leftover) -> LeftDocument {
    let (subject, name, title) = match left {
        Leftover::Cause(id, _) => {
            let cause = &case.book.causes[*id];
            (Subject::Cause(cause.name().into()), cause.name(), cause.title())
        }
        Leftover::Finding(id) => {
            let finding = &case.book.findings[*id];
            (Subject::Finding(finding.name().into()), finding.name(), finding.title())
        }
    };
    let (kind, reason) = match case.standing.answers.get(&subject.ask()) {
        Some(Event::Leave(_, Disposal::Tell)) => ("tell", String::new()),
        Some(Event::Leave(_, Disposal::Harmless(reason))) => ("harmless", reason.clone()),
        _ if case.standing.asked("refer") => ("handed-over", String::new()),
        _ => ("open", String::new()),
    };
    LeftDocument { id: name.into(), title: title.into(), kind: kind.into(), reason }
}

impl LeftDocument {
    /// In words.
    pub fn words(&self) -> String {
        match self.kind.as_str() {
            "tell" => format!("{}: not put right, and you were told.", self.title),
            "harmless" => format!("{}: known and harmless: {}", self.title, self.reason),
            "handed-over" => format!("{}: for the specialist.", self.title),
            _ => format!("{}: still open.", self.title),
        }
    }
}
