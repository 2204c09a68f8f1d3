//! Dangers to people that what is known of a car raises, worst first.

use super::act::Act;
use super::model::Bay;
use super::reach::can_change;
use crate::book::{Book, Cause, Finding, Hazard, Headed, Id, Level};
use crate::job::Evidence;
use crate::plan::Action;

/// A danger and what raises it.
#[derive(Debug, Clone, PartialEq)]
pub struct Raised {
    /// The danger.
    pub hazard: Id<Hazard>,
    /// What was seen that raises it.
    pub findings: Vec<Id<Finding>>,
    /// Causes in question that raise it, with their probability.
    pub causes: Vec<(Id<Cause>, f64)>,
    /// Whether it stands and takes away checks that would be offered without it.
    pub barring: bool,
}

impl Raised {
    /// Whether it counts as standing: something seen raises it, or a cause that is likelier than not.
    pub fn stands(&self) -> bool {
        !self.findings.is_empty() || self.causes.iter().any(|(_, p)| *p > 0.5)
    }

    /// What to do about it now, and what is not offered while it stands.
    pub fn advice(&self, book: &Book) -> Vec<String> {
        let hazard = &book.hazards[self.hazard];
        let bars: Vec<&str> = hazard.bars.iter().map(|h| book.hazards[*h].title()).collect();
        let barred = self.stands() && !bars.is_empty();
        let barred = barred.then(|| format!("While it stands no check is offered that goes with: {}.", bars.join("; ")));
        hazard.does.iter().cloned().chain(barred).collect()
    }
}

/// The dangers of a car, worst first; what they bar is taken out of the bay. `chances` has the probability of each cause of the car, 0..=1.
pub(super) fn dangers(book: &Book, evidence: &Evidence, bay: &mut Bay, chances: &[f64]) -> Vec<Raised> {
    let mut dangers = raised(book, evidence, bay, chances);
    bar(book, bay, &mut dangers, &evidence.traits);
    dangers
}

/// Dangers from what was seen and no look has cleared, and from causes likely enough to count.
fn raised(book: &Book, evidence: &Evidence, bay: &Bay, chances: &[f64]) -> Vec<Raised> {
    let seen = evidence.hazards(book).into_iter();
    let mut out: Vec<Raised> = seen.map(|(hazard, findings)| Raised { hazard, findings, causes: vec![], barring: false }).collect();
    for raised in &mut out {
        raised.findings.retain(|f| !cleared(book, evidence, bay, chances, raised.hazard, *f));
    }
    out.retain(|r| !r.findings.is_empty());
    for (index, id) in bay.car.causes.iter().enumerate() {
        let p = chances[index];
        for hazard in &book.causes[*id].hazards {
            if p < enough(book, *hazard) {
                continue;
            }
            match out.iter_mut().find(|r| r.hazard == *hazard) {
                Some(raised) => raised.causes.push((*id, p)),
                None => out.push(Raised { hazard: *hazard, findings: vec![], causes: vec![(*id, p)], barring: false }),
            }
        }
    }
    out.sort_by_key(|r| (std::cmp::Reverse(book.hazards[r.hazard].level), r.findings.is_empty(), r.hazard));
    out
}

/// How likely a cause must be for its danger to count: one in twenty for a danger that stops the work, one in five else.
fn enough(book: &Book, hazard: Id<Hazard>) -> f64 {
    if book.hazards[hazard].level == Level::Stop { 0.05 } else { 0.2 }
}

/// Whether a danger that somebody felt, or a code tells of, was cleared by looks: each cause with this danger that may be behind it was looked at itself,
/// is in order by that look, and is no longer likely enough; and a cause without it, likelier than not, explains what was felt. A danger that nothing else explains stands.
fn cleared(book: &Book, evidence: &Evidence, bay: &Bay, chances: &[f64], hazard: Id<Hazard>, finding: Id<Finding>) -> bool {
    let measured = |f: Id<Finding>| book.findings[f].is_measured();
    let in_order = |f: Id<Finding>| measured(f) && evidence.of(f).is_some_and(|o| o.likeliest_state() == 0);
    let behind = bay.car.causes.iter().zip(chances).filter(|(id, _)| can_change(book, &[**id], finding));
    let (bad, harmless): (Vec<_>, Vec<_>) = behind.partition(|(id, _)| book.causes[**id].hazards.contains(&hazard));
    let sound = |(id, p): &(&Id<Cause>, &f64)| **p < enough(book, hazard) && book.causes[**id].shows.iter().any(|s| in_order(s.finding));
    !measured(finding) && !bad.is_empty() && bad.iter().all(sound) && harmless.iter().any(|(_, p)| **p > 0.5)
}

/// Takes away the checks that have a caution which a standing danger bars. A repair is never barred: it may be what ends the danger.
fn bar(book: &Book, bay: &mut Bay, dangers: &mut [Raised], traits: &[Option<bool>]) {
    let cautions: Vec<Vec<Id<Hazard>>> = bay.acts.iter().map(|act| act.cautions(book, traits)).collect();
    let bars = |danger: &Raised, a: usize| {
        let check = matches!(bay.acts[a], Act::Check(_));
        check && danger.stands() && cautions[a].iter().any(|h| book.hazards[danger.hazard].bars.contains(h))
    };
    dangers.iter_mut().for_each(|d| d.barring = (0..bay.acts.len()).any(|a| bars(d, a)));
    let stays = |a: usize| !dangers.iter().any(|d| d.barring && bars(d, a));
    let kept: Vec<usize> = (0..bay.acts.len()).filter(|a| stays(*a)).collect();
    let renumber = |old: &[usize]| old.iter().filter_map(|a| kept.binary_search(a).ok()).collect();
    let action = |a: &usize| Action { after: renumber(&bay.model.actions[*a].after), ..bay.model.actions[*a].clone() };
    bay.model.actions = kept.iter().map(action).collect();
    bay.model.done = renumber(&bay.model.done);
    bay.acts = kept.iter().map(|a| bay.acts[*a]).collect();
}
