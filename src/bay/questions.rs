//! Questions that come before any check: they cost nothing but a word.

use super::act::Act;
use super::assessment::Assessment;
use super::effort::Effort;
use crate::belief::Method;
use crate::book::{Finding, Id, Trait};
use crate::plan::causes_in_question;
use std::collections::BTreeMap;

/// Something to ask.
#[derive(Debug, Clone, PartialEq)]
pub enum Question {
    /// About a symptom.
    Symptom(Id<Finding>, Why),
    /// About the vehicle.
    Trait(Id<Trait>, Decides),
}

/// Why a symptom is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Why {
    /// It is asked at every intake.
    Always,
    /// The customer's words may mean it.
    Heard(String),
}

/// What a trait decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decides {
    /// Which dangers are asked about.
    Dangers,
    /// What to do first.
    FirstStep,
}

impl Assessment<'_> {
    /// What to ask before any check: symptoms always asked and not yet answered, those the customer's words may mean, and traits that matter: on which it
    /// hangs whether more is always asked, and those that change the first step.
    pub fn questions(&self) -> Vec<Question> {
        let evidence = &self.intake;
        let heard: Vec<Question> = evidence
            .heard
            .iter()
            .chain(&evidence.circumstances)
            .map(|h| Question::Symptom(h.symptom, Why::Heard(h.words.clone())))
            .collect();
        let said = |id: &Id<Finding>| evidence.heard.iter().any(|h| h.symptom == *id);
        // what hangs on a trait that is asked about itself waits for it, and so does what no vehicle of this kind may have
        let open = |t: &Id<Trait>| !evidence.to_settle.contains(t) && self.book.traits[*t].head.when.holds(&evidence.traits) == Some(true);
        let now = |id: &Id<Finding>| evidence.surely(self.book, *id) || self.book.findings[*id].head.when.traits().iter().all(open);
        let always = evidence.to_ask.iter().filter(|id| !said(id) && now(id));
        let always = always.map(|id| Question::Symptom(*id, Why::Always));
        let settle = evidence.to_settle.iter().map(|id| Question::Trait(*id, Decides::Dangers));
        let traits = deciding_traits(self).into_iter().filter(|id| !evidence.to_settle.contains(id));
        let traits = traits.map(|id| Question::Trait(id, Decides::FirstStep));
        settle.chain(always).chain(heard).chain(traits).collect()
    }
}

/// So many unknown traits are tried, those of the likeliest causes first: each costs two plans.
const TRIED: usize = 4;
/// A trait of causes less likely than this decides nothing worth a question.
const LIKELY: f64 = 0.05;

/// Unknown traits whose answer changes what to do first.
fn deciding_traits(a: &Assessment) -> Vec<Id<Trait>> {
    if !a.anything_wrong() {
        return vec![];
    }
    let mut weight: BTreeMap<Id<Trait>, f64> = BTreeMap::new();
    for cause in causes_in_question(&a.bay.model.network, &a.bay.model.complaint) {
        for id in a.book.causes[a.bay.car.causes[cause]].head.when.traits() {
            *weight.entry(id).or_default() += a.beliefs.causes[cause];
        }
    }
    let unknown = |t: &Id<Trait>| a.intake.traits[t.index()].is_none() && a.book.traits[*t].ask.is_some();
    let mut open: Vec<(Id<Trait>, f64)> = weight.into_iter().filter(|(t, w)| unknown(t) && *w >= LIKELY).collect();
    open.sort_by(|a, b| b.1.total_cmp(&a.1));
    let tried = open.into_iter().take(TRIED).map(|(t, _)| t);
    // with hundreds of findings every trial is an estimate of about a second, and which step comes first is within its error
    let estimated = !matches!(a.beliefs.method, Method::Exact { .. });
    tried.filter(|t| estimated || first_step(a, *t, true) != first_step(a, *t, false)).collect()
}

/// What would be done first if the trait were known to be so: where the job stands, with what was done, left out and seen.
fn first_step(a: &Assessment, id: Id<Trait>, value: bool) -> Option<Act> {
    let mut supposed = a.intake.clone();
    supposed.traits[id.index()] = Some(value);
    a.supposing(supposed, a.progress.clone(), Effort::TRIAL).ok()?.first_alone()
}
