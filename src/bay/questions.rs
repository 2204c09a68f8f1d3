//! Questions that come before any check: they cost nothing but a word.

use super::model::{Bay, Progress, Rates};
use crate::belief::{Beliefs, Limits};
use crate::book::{Book, Finding, Id, Trait};
use crate::job::Evidence;
use crate::plan::{Budget, Step, causes_in_question, plan};
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

/// Symptoms always asked and not yet answered, those the customer's words may mean, and traits that matter: on which it hangs whether more is always
/// asked, and those that change the first step.
pub fn questions(book: &Book, evidence: &Evidence, bay: &Bay, beliefs: &Beliefs, rates: Rates) -> Vec<Question> {
    let heard: Vec<Question> = evidence.heard.iter().map(|h| Question::Symptom(h.symptom, Why::Heard(h.words.clone()))).collect();
    let said = |id: &Id<Finding>| evidence.heard.iter().any(|h| h.symptom == *id);
    let always = evidence.to_ask.iter().filter(|id| !said(id) && evidence.surely(book, **id)).map(|id| Question::Symptom(*id, Why::Always));
    let settle = evidence.to_settle.iter().map(|id| Question::Trait(*id, Decides::Dangers));
    let traits = deciding_traits(book, evidence, bay, beliefs, rates).into_iter().filter(|id| !evidence.to_settle.contains(id));
    let traits = traits.map(|id| Question::Trait(id, Decides::FirstStep));
    settle.chain(always).chain(heard).chain(traits).collect()
}

/// So many unknown traits are tried, those of the likeliest causes first: each costs two plans.
const TRIED: usize = 4;
/// A trait of causes less likely than this decides nothing worth a question.
const LIKELY: f64 = 0.05;

/// Unknown traits whose answer changes what to do first.
fn deciding_traits(book: &Book, evidence: &Evidence, bay: &Bay, beliefs: &Beliefs, rates: Rates) -> Vec<Id<Trait>> {
    if bay.model.complaint.is_empty() {
        return vec![];
    }
    let mut weight: BTreeMap<Id<Trait>, f64> = BTreeMap::new();
    for cause in causes_in_question(&bay.model.network, &bay.model.complaint) {
        for id in book.causes[bay.car.causes[cause]].head.when.traits() {
            *weight.entry(id).or_default() += beliefs.causes[cause];
        }
    }
    let unknown = |t: &Id<Trait>| evidence.traits[t.index()].is_none() && book.traits[*t].ask.is_some();
    let mut open: Vec<(Id<Trait>, f64)> = weight.into_iter().filter(|(t, w)| unknown(t) && *w >= LIKELY).collect();
    open.sort_by(|a, b| b.1.total_cmp(&a.1));
    let tried = open.into_iter().take(TRIED).map(|(t, _)| t);
    tried.filter(|t| first_step(book, evidence, *t, true, rates) != first_step(book, evidence, *t, false, rates)).collect()
}

/// What would be done first if the trait were known to be so.
fn first_step(book: &Book, evidence: &Evidence, id: Id<Trait>, value: bool, rates: Rates) -> Option<super::Act> {
    let mut supposed = evidence.clone();
    supposed.traits[id.index()] = Some(value);
    let bay = Bay::new(book, &supposed, &Progress::default(), rates).ok()?;
    // enough to tell first steps apart; a plan proper follows
    let quick = Budget { work: 200_000, sets: 60 };
    match plan(&bay.model, &quick, &Limits::GLANCE).ok()?.tree.first().step {
        Step::Check(a) | Step::Fix(a) => Some(bay.acts[a]),
        _ => None,
    }
}
