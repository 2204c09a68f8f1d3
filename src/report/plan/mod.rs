//! A plan for one car: what the page, the JSON document and the phone page are made from.

mod document;
mod text;
mod tree;

pub use document::{AftercareDocument, HazardDocument, PlanDocument, aftercare, document, hazards, step};
pub use text::text;
pub use tree::{Numbered, Onward, numbered};

use crate::bay::{Act, Bay, Question, Raised, Repair, Speaks, Unproven};
use crate::belief::Beliefs;
use crate::book::{Book, Finding, Headed, Id};
use crate::job::Evidence;
use crate::plan::{Plan, Step};
use crate::report::weigh::ranked;
use std::collections::HashMap;

/// Everything that is known and planned of one car.
pub struct Planned<'a> {
    /// The book.
    pub book: &'a Book,
    /// What is known.
    pub evidence: &'a Evidence,
    /// The car in the bay.
    pub bay: &'a Bay,
    /// The weights.
    pub beliefs: &'a Beliefs,
    /// The plan.
    pub plan: &'a Plan,
    /// Dangers, worst first.
    pub hazards: &'a [Raised],
    /// What to ask first.
    pub questions: &'a [Question],
    /// Repairs that are likely to come, roots first.
    pub repairs: &'a [Repair],
    /// What speaks for and against the likeliest causes of the car.
    pub speaks: &'a HashMap<usize, Vec<Speaks>>,
    /// Where the first step is a fix that is not yet proven: how far it is, and what would prove it.
    pub unproven: Option<&'a Unproven>,
    /// Sign of the currency.
    pub currency: &'a str,
}

impl Planned<'_> {
    /// The likeliest causes of the car that explain something abnormal, with their probabilities; others may be there, but are not what was asked about.
    pub fn likely(&self, most: usize) -> Vec<(usize, f64)> {
        let all = ranked(&self.beliefs.causes, usize::MAX);
        all.into_iter().filter(|(c, _)| !self.explains(*c).is_empty()).take(most).collect()
    }

    /// The check that would change the plan most, being the one that settles most of the doubt.
    pub fn most_telling(&self) -> Option<Act> {
        let telling = self.plan.next.iter().filter(|n| matches!(n.step, Step::Check(_)) && n.settles_bits > 0.0);
        let most = telling.max_by(|a, b| a.settles_bits.total_cmp(&b.settles_bits))?;
        most.step.action().map(|a| self.bay.acts[a])
    }

    /// What an act is called.
    pub fn title(&self, act: Act) -> &str {
        match act {
            Act::Check(id) => self.book.checks[id].title(),
            Act::Fix(id) => self.book.fixes[id].title(),
        }
    }

    /// Its name in the book.
    pub fn name(&self, act: Act) -> &str {
        match act {
            Act::Check(id) => self.book.checks[id].name(),
            Act::Fix(id) => self.book.fixes[id].name(),
        }
    }

    /// The abnormal findings that a cause of the car explains, itself or through what it brings about.
    pub fn explains(&self, cause: usize) -> Vec<Id<Finding>> {
        let network = &self.bay.model.network;
        let mut reach = vec![cause];
        let mut at = 0;
        while let Some(&parent) = reach.get(at) {
            let brought = (0..network.causes().len()).filter(|c| network.causes()[*c].brought_by.iter().any(|(p, _)| *p == parent));
            let new: Vec<usize> = brought.filter(|c| !reach.contains(c)).collect();
            reach.extend(new);
            at += 1;
        }
        let pushes =
            |finding: usize, state: usize| network.findings()[finding].pushes.iter().any(|(c, p)| reach.contains(c) && p[state - 1] > 0.0);
        let abnormal = self.evidence.seen.iter().filter(|o| o.abnormal());
        abnormal.filter(|o| self.bay.car.finding(o.finding).is_some_and(|f| pushes(f, o.likeliest_state()))).map(|o| o.finding).collect()
    }
}
