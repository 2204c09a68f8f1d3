//! What was wrong, how it was found, what followed, what to watch: the parts of a job that the customer and the file share.

use super::case::Case;
use crate::bay::aftercare_of;
use crate::book::{Aftercare, Cause, FindingKind, Headed, Id};
use crate::job::Event;
use crate::report::plan::HazardDocument;
use crate::report::seen::observation;
use schemars::JsonSchema;
use serde::Serialize;

/// A fault that was put right.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WrongDocument {
    /// The cause's name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What the customer or the module reported that it explains.
    pub explains: Vec<String>,
    /// Faults put right with it that can bring it about.
    pub follows: Vec<String>,
}

/// A step after the repair.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AftercareDone {
    /// Its name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// `done`, `done-manually`, `not-needed`, `refused`, or none where it is open.
    pub answer: Option<String>,
}

/// The faults, roots first as they were put right.
pub fn wrong(case: &Case) -> Vec<WrongDocument> {
    let all = case.wrong();
    all.iter().map(|id| wrong_one(case, *id, &all)).collect()
}

fn wrong_one(case: &Case, id: Id<Cause>, all: &[Id<Cause>]) -> WrongDocument {
    let cause = &case.book.causes[id];
    let reported = case.a.intake.seen.iter().filter(|o| !case.looked_at(o.finding) && case.shown_by(id, o));
    let roots = all.iter().filter(|root| case.book.causes[**root].brings.iter().any(|(c, _)| *c == id));
    WrongDocument {
        id: cause.name().into(),
        title: cause.title().into(),
        explains: reported.map(|o| observation(case.book, o)).collect(),
        follows: roots.map(|root| case.book.causes[*root].title().into()).collect(),
    }
}

/// What showed the faults on the car itself.
pub fn found(case: &Case) -> Vec<String> {
    let wrong = case.wrong();
    let showing = case.seen().filter(|o| case.looked_at(o.finding) && wrong.iter().any(|c| case.shown_by(*c, o)));
    once(showing.map(|o| observation(case.book, o)))
}

/// What was looked at and is in order.
pub fn in_order(case: &Case) -> Vec<String> {
    once(case.seen().filter(|o| case.looked_at(o.finding) && !o.abnormal()).map(|o| observation(case.book, o)))
}

/// What was looked at again and was the same is told once.
fn once(all: impl Iterator<Item = String>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    all.for_each(|line| {
        if !out.contains(&line) {
            out.push(line)
        }
    });
    out
}

/// What the customer complained of, in the book's words.
pub fn complaint(case: &Case) -> Vec<String> {
    let symptom = |o: &&crate::job::Observation| matches!(case.book.findings[o.finding].kind, FindingKind::Symptom { .. });
    case.a.intake.seen.iter().filter(|o| o.abnormal()).filter(symptom).map(|o| case.finding(o.finding)).collect()
}

/// The steps after the repair, in order, with what was answered.
pub fn aftercare(case: &Case) -> Vec<AftercareDone> {
    let fixes: Vec<_> = case.standing.fixes.iter().map(|f| f.fix).collect();
    let one = |id: Id<Aftercare>| {
        let step = &case.book.aftercare[id];
        let answer = match case.standing.answers.get(&format!("aftercare:{}", step.name())) {
            Some(Event::Aftercare(_, ticked)) => Some(ticked.word().to_string()),
            _ => None,
        };
        AftercareDone { id: step.name().into(), title: step.title().into(), answer }
    };
    aftercare_of(case.book, &fixes).into_iter().map(one).collect()
}

/// Dangers that what was seen raised, and those of the faults put right or still likely there: the same as the walk says. Worst first.
pub fn dangers(case: &Case) -> Vec<HazardDocument> {
    let seen: Vec<_> = case.seen().collect();
    let wrong = case.wrong();
    let by_findings = |h: &Id<crate::book::Hazard>| {
        let raises = |o: &&&crate::job::Observation| {
            let hazards = &case.book.findings[o.finding].hazards;
            hazards.iter().any(|(x, states)| x == h && states.contains(&o.likeliest_state()))
        };
        seen.iter().filter(raises).map(|o| case.book.findings[o.finding].name().to_string()).collect::<Vec<_>>()
    };
    let by_causes = |h: &Id<crate::book::Hazard>| {
        let now = case.a.hazards.iter().filter(|r| r.hazard == *h).flat_map(|r| &r.causes).map(|(c, _)| *c);
        let all = wrong.iter().copied().filter(|c| case.book.causes[*c].hazards.contains(h)).chain(now);
        all.map(|c| case.book.causes[c].name().to_string()).collect::<Vec<_>>()
    };
    let raising = |h: Id<crate::book::Hazard>| {
        let mut by = by_findings(&h);
        by.extend(by_causes(&h));
        let mut once: Vec<String> = Vec::new();
        by.into_iter().for_each(|name| {
            if !once.contains(&name) {
                once.push(name)
            }
        });
        once
    };
    let mut out: Vec<_> = case.book.hazards.iter().map(|(id, h)| (h, raising(id))).filter(|(_, by)| !by.is_empty()).collect();
    out.sort_by_key(|(h, _)| std::cmp::Reverse(h.level));
    let one = |(h, raised_by): (&crate::book::Hazard, Vec<String>)| HazardDocument {
        id: h.name().into(),
        level: h.level.word().into(),
        title: h.title().into(),
        does: h.does.clone(),
        raised_by,
    };
    out.into_iter().map(one).collect()
}

/// What to keep an eye on.
pub fn watch(case: &Case) -> Vec<String> {
    let missing = case.outcome.missing.iter();
    let unproven = missing.map(|f| format!("Not proven by a reading inside its limit: {}. Have it read again.", case.finding(*f)));
    let wrong = case.wrong();
    let mut strained: Vec<(Id<Cause>, Id<Cause>)> = Vec::new();
    for root in &wrong {
        let brings = case.book.causes[*root].brings.iter().map(|(c, _)| *c).filter(|c| !case.book.causes[*c].is_condition());
        // less likely than this by what was seen is ruled out well enough not to worry anybody
        strained.extend(brings.filter(|c| !wrong.contains(c) && case.weight(*c) >= 0.05).map(|c| (*root, c)));
    }
    let title = |c: Id<Cause>| case.book.causes[c].title();
    let strained =
        strained.into_iter().map(|(root, c)| format!("“{}” can bring about “{}”: look at it at the next visit.", title(root), title(c)));
    let again = complaint(case).into_iter().map(|c| format!("If this comes back, bring the car in: {c}."));
    unproven.chain(strained).chain(again).collect()
}

impl WrongDocument {
    /// In sentences: a consequence is told by its root, a root by what it explains.
    pub fn words(&self) -> String {
        if !self.follows.is_empty() {
            return format!("{}. It comes of the fault before it: {}.", self.title, self.follows.join("; "));
        }
        match self.explains.is_empty() {
            true => format!("{}.", self.title),
            false => format!("{}. This explains: {}.", self.title, self.explains.join("; ")),
        }
    }
}

impl AftercareDone {
    /// In words.
    pub fn words(&self) -> String {
        let answer = match self.answer.as_deref() {
            Some("done") => "done",
            Some("done-manually") => "done the manual way",
            Some("not-needed") => "not needed on this vehicle",
            Some("refused") => "refused by the vehicle, still to do",
            Some(other) => other,
            None => "still to do",
        };
        format!("{}: {answer}", self.title)
    }
}
