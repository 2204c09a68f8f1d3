//! Questions that come before any check: they cost nothing but a word.

use super::model::{Bay, Progress, Rates};
use crate::belief::Limits;
use crate::book::{Book, Finding, Id, Trait};
use crate::job::Evidence;
use crate::plan::{Budget, Step, plan};

/// Something to ask.
#[derive(Debug, Clone, PartialEq)]
pub enum Question {
    /// About a symptom.
    Symptom(Id<Finding>, Why),
    /// About the vehicle: its answer changes the first check.
    Trait(Id<Trait>),
}

/// Why a symptom is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Why {
    /// It is asked at every intake.
    Always,
    /// The customer's words may mean it.
    Heard(String),
}

/// Symptoms always asked and not yet answered, those the customer's words may mean, and traits that matter to the first step.
pub fn questions(book: &Book, evidence: &Evidence, bay: &Bay, rates: Rates) -> Vec<Question> {
    let heard: Vec<Question> = evidence.heard.iter().map(|h| Question::Symptom(h.symptom, Why::Heard(h.words.clone()))).collect();
    let said = |id: &Id<Finding>| evidence.heard.iter().any(|h| h.symptom == *id);
    let always = evidence.to_ask.iter().filter(|id| !said(id)).map(|id| Question::Symptom(*id, Why::Always));
    let traits = deciding_traits(book, evidence, bay, rates).into_iter().map(Question::Trait);
    always.chain(heard).chain(traits).collect()
}

/// Unknown traits whose answer changes what to do first. Only those that decide about a cause in question are tried.
fn deciding_traits(book: &Book, evidence: &Evidence, bay: &Bay, rates: Rates) -> Vec<Id<Trait>> {
    if bay.model.complaint.is_empty() {
        return vec![];
    }
    let in_question = crate::plan::causes_in_question(&bay.model.network, &bay.model.complaint);
    let mut open: Vec<Id<Trait>> = in_question.into_iter().flat_map(|c| book.causes[bay.car.causes[c]].head.when.traits()).collect();
    open.sort();
    open.dedup();
    open.retain(|t| evidence.traits[t.index()].is_none() && book.traits[*t].ask.is_some());
    open.retain(|t| first_step(book, evidence, *t, true, rates) != first_step(book, evidence, *t, false, rates));
    open
}

/// What would be done first if the trait were known to be so.
fn first_step(book: &Book, evidence: &Evidence, id: Id<Trait>, value: bool, rates: Rates) -> Option<super::Act> {
    let mut supposed = evidence.clone();
    supposed.traits[id.index()] = Some(value);
    let bay = Bay::new(book, &supposed, &Progress::default(), rates).ok()?;
    // enough to tell first steps apart; a plan proper follows
    let quick = Budget { work: 200_000, sets: 60 };
    match plan(&bay.model, &quick, &Limits::default()).ok()?.tree.first().step {
        Step::Check(a) | Step::Fix(a) => Some(bay.acts[a]),
        _ => None,
    }
}
