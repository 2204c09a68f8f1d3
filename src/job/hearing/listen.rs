//! A complaint -> the symptoms that it may mean, best first, and what of it nothing heard.

use super::index::{Heed, Index, Ranked};
use super::said::{Sense, Word, words};
use crate::book::{Book, Finding, FindingKind, Headed, Id};
use std::cell::RefCell;
use std::rc::Rc;

/// So many symptoms are offered at most.
const MOST: usize = 9;
/// So many symptoms are offered where none is heard.
const NEAR: usize = 5;
/// Candidates that are weighed.
const WEIGHED: usize = 14;
/// Words that lie further apart are shown with a gap.
const GAP: usize = 4;

/// A symptom that the words may mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heard {
    /// The symptom.
    pub symptom: Id<Finding>,
    /// The customer's own words that speak for it.
    pub words: String,
}

/// What was heard.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Hearing {
    /// Symptoms, best first; at most nine.
    pub heard: Vec<Heard>,
    /// The parts of the complaint that no symptom heard.
    pub unheard: Vec<String>,
}

/// The symptoms that a complaint may mean, of those that `may` be offered.
pub fn listen(book: &Book, complaint: &str, may: impl Fn(Id<Finding>) -> bool) -> Hearing {
    if complaint.trim().is_empty() {
        return Hearing::default();
    }
    let ears = Ears::of(book);
    let said = words(complaint);
    let ranked = ears.ranked(&said, may);
    let kept: Vec<&Ranked> = likely(&ranked).into_iter().take(MOST).collect();
    let own = |r: &&Ranked| Heard { symptom: ears.symptoms[r.thing], words: own_words(complaint, &said, r) };
    Hearing { heard: kept.iter().map(own).collect(), unheard: unheard(complaint, &said, &kept) }
}

/// Of these symptoms those that share most with the words, best first.
pub fn nearest_symptoms(book: &Book, complaint: &str, may: impl Fn(Id<Finding>) -> bool) -> Vec<Id<Finding>> {
    if complaint.trim().is_empty() {
        return vec![];
    }
    let ears = Ears::of(book);
    ears.ranked(&words(complaint), may).into_iter().take(NEAR).map(|r| ears.symptoms[r.thing]).collect()
}

/// The few symptoms that a name which is none may stand for, read as words: `no-power` is heard as `low-power`. None where nothing is near.
pub fn symptoms_like(book: &Book, name: &str) -> Option<String> {
    let near = nearest_symptoms(book, &name.replace(['-', '_'], " "), |_| true);
    let names: Vec<String> = near.iter().take(3).map(|id| format!("`{}`", book.findings[*id].name())).collect();
    (!names.is_empty()).then(|| names.join(" or "))
}

/// All that the symptoms of a book listen for.
struct Ears {
    index: Index,
    symptoms: Vec<Id<Finding>>,
}

thread_local! {
    /// The ears of the book last listened with: to stem what it listens for takes longer than to listen.
    static LAST: RefCell<Option<(String, Rc<Ears>)>> = const { RefCell::new(None) };
}

impl Ears {
    fn of(book: &Book) -> Rc<Ears> {
        LAST.with_borrow_mut(|last| match last {
            Some((digest, ears)) if *digest == book.about.digest => Rc::clone(ears),
            _ => {
                let ears = Rc::new(Ears::new(book));
                *last = Some((book.about.digest.clone(), Rc::clone(&ears)));
                ears
            }
        })
    }

    fn new(book: &Book) -> Ears {
        let mut ears = Ears { index: Index::default(), symptoms: vec![] };
        for (id, finding) in book.findings.iter() {
            let FindingKind::Symptom { heard, ask, .. } = &finding.kind else { continue };
            ears.index.add(heard.iter().map(String::as_str).chain([finding.title()]), ask.iter().map(String::as_str));
            ears.symptoms.push(id);
        }
        ears
    }

    fn ranked(&self, said: &[Word], may: impl Fn(Id<Finding>) -> bool) -> Vec<Ranked> {
        self.index.rank(said, Heed::Senses).into_iter().filter(|r| may(self.symptoms[r.thing])).take(WEIGHED).collect()
    }
}

/// Those that are likelier meant than `LIKELY`, by a logistic regression on how strong a symptom is beside the strongest, how far its best phrase is covered, and how much of what it
/// hears no stronger one has heard. Fitted on the open half of `tests/hearing`.
fn likely(ranked: &[Ranked]) -> Vec<&Ranked> {
    let Some(first) = ranked.first() else { return vec![] };
    let mut taken: Vec<usize> = Vec::new();
    let mut kept = Vec::new();
    for one in ranked {
        let all: f64 = one.heard.iter().map(|(_, w)| w).sum();
        let new: f64 = one.heard.iter().filter(|(at, _)| !taken.contains(at)).map(|(_, w)| w).sum();
        let odds = BASE + BESIDE * (one.strength / first.strength).ln() + COVERED * one.covered + NEW * new / all;
        taken.extend(one.heard.iter().map(|(at, _)| *at));
        if odds > LIKELY {
            kept.push(one);
        }
    }
    kept
}

const BASE: f64 = -3.27;
const BESIDE: f64 = 3.03;
const COVERED: f64 = 3.65;
const NEW: f64 = 1.47;
/// Logarithm of the odds from which a symptom is offered.
const LIKELY: f64 = -1.27;

/// The customer's words that speak for a symptom, as they were said.
fn own_words(text: &str, said: &[Word], ranked: &Ranked) -> String {
    let mut places: Vec<usize> = ranked.heard.iter().map(|(at, _)| *at).collect();
    places.sort_unstable();
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for at in places {
        match runs.last_mut() {
            Some((_, last)) if said[at].place <= said[*last].place + GAP => *last = at,
            _ => runs.push((at, at)),
        }
    }
    // a denial right before belongs to it: "won't start"
    let from = |at: usize| {
        at.checked_sub(1).filter(|b| said[*b].role == super::said::Role::Denial && said[at].sense == Sense::Denied).unwrap_or(at)
    };
    runs.into_iter().map(|(a, b)| &text[said[from(a)].bytes.0..said[b].bytes.1]).collect::<Vec<_>>().join(" … ")
}

/// The clauses that say something of which nothing was heard.
fn unheard(text: &str, said: &[Word], kept: &[&Ranked]) -> Vec<String> {
    let heard = |at: usize| kept.iter().any(|r| r.heard.iter().any(|(h, _)| *h == at));
    let mut out: Vec<String> = Vec::new();
    let mut from = 0;
    while from < said.len() {
        let to = from + said[from..].iter().take_while(|w| w.clause == said[from].clause).count();
        let tells = |at: &usize| said[*at].tells() && said[*at].sense != Sense::Well;
        if (from..to).any(|at| tells(&at)) && !(from..to).any(heard) {
            out.push(text[said[from].bytes.0..said[to - 1].bytes.1].to_string());
        }
        from = to;
    }
    out
}
