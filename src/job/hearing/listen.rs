//! A complaint -> the symptoms that it may mean, best first, and what of it nothing heard.

use super::ears::{Ear, Ears};
use super::index::Ranked;
use super::said::{Sense, Word, words};
use crate::book::{Book, Finding, Headed, Id};
use std::collections::{HashMap, HashSet};

/// So many symptoms are offered at most.
const MOST: usize = 9;
/// So many symptoms are offered where none is heard.
const NEAR: usize = 5;
/// A circumstance is heard where so much of a phrase was said.
const IN_FULL: f64 = 0.95;
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
    /// Circumstances, best first; at most nine.
    pub circumstances: Vec<Heard>,
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
    let ranked = ears.symptoms.ranked(&said, &may);
    let kept: Vec<&Ranked> = likely(&said, &ranked).into_iter().take(MOST).collect();
    let around = ears.circumstances.ranked(&said, &may);
    let around: Vec<&Ranked> = around.iter().filter(|r| r.covered >= IN_FULL).take(MOST).collect();
    let own = |ears: &Ear, kept: &[&Ranked]| -> Vec<Heard> {
        kept.iter().map(|r| Heard { symptom: ears.ids[r.thing], words: own_words(complaint, &said, r) }).collect()
    };
    Hearing {
        heard: own(&ears.symptoms, &kept),
        circumstances: own(&ears.circumstances, &around),
        unheard: unheard(complaint, &said, kept.iter().chain(&around)),
    }
}

/// Of these symptoms those that share most with the words, best first.
pub fn nearest_symptoms(book: &Book, complaint: &str, may: impl Fn(Id<Finding>) -> bool) -> Vec<Id<Finding>> {
    if complaint.trim().is_empty() {
        return vec![];
    }
    let ears = Ears::of(book);
    ears.symptoms.ranked(&words(complaint), &may).into_iter().take(NEAR).map(|r| ears.symptoms.ids[r.thing]).collect()
}

/// The few symptoms that a name which is none may stand for, read as words: `no-power` is heard as `low-power`. None where nothing is near.
pub fn symptoms_like(book: &Book, name: &str) -> Option<String> {
    let near = nearest_symptoms(book, &name.replace(['-', '_'], " "), |_| true);
    let names: Vec<String> = near.iter().take(3).map(|id| format!("`{}`", book.findings[*id].name())).collect();
    (!names.is_empty()).then(|| names.join(" or "))
}

/// Those that are likely meant, by a logistic regression on how strong a symptom is: by itself, beside the strongest of all and beside the strongest that hears the same clause; how far its
/// best phrase is covered; and how much of what it hears no stronger one has heard. Fitted on `tests/hearing/open.toml`, sentence by sentence and three sentences in one: maximum likelihood with a
/// ridge of 1; what may be offered too counts as half a meant one.
fn likely<'r>(said: &[Word], ranked: &'r [Ranked]) -> Vec<&'r Ranked> {
    let mut taken: HashSet<usize> = HashSet::new();
    // the strongest that hears each clause
    let mut best: HashMap<usize, f64> = HashMap::new();
    let mut kept = Vec::new();
    for one in ranked {
        let clauses = one.heard.iter().map(|(at, _)| said[*at].clause);
        let beside = clauses.map(|c| *best.entry(c).or_insert(one.strength)).fold(0.0, f64::max);
        let all: f64 = one.heard.iter().map(|(_, w)| w).sum();
        let new: f64 = one.heard.iter().filter(|(at, _)| !taken.contains(at)).map(|(_, w)| w).sum();
        taken.extend(one.heard.iter().map(|(at, _)| *at));
        let odds = BASE
            + STRONG * one.strength.ln()
            + BESIDE_ALL * (one.strength / ranked[0].strength).ln()
            + BESIDE_CLAUSE * (one.strength / beside).ln()
            + COVERED * one.covered
            + NEW * new / all.max(f64::MIN_POSITIVE);
        if odds > LIKELY {
            kept.push(one);
        }
    }
    kept
}

const BASE: f64 = -7.38;
const STRONG: f64 = 1.82;
const BESIDE_ALL: f64 = 1.02;
const BESIDE_CLAUSE: f64 = 1.97;
const COVERED: f64 = 2.83;
const NEW: f64 = 1.72;
/// Logarithm of the odds from which a symptom is offered.
const LIKELY: f64 = -1.7;

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
fn unheard<'r>(text: &str, said: &[Word], kept: impl Iterator<Item = &'r &'r Ranked>) -> Vec<String> {
    let places: HashSet<usize> = kept.flat_map(|r| r.heard.iter().map(|(at, _)| *at)).collect();
    let heard = |at: usize| places.contains(&at);
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
