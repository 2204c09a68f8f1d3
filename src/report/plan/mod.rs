//! A plan for one car: what the page, the JSON document and the phone page are made from.

mod document;
mod text;
mod tree;

pub use document::{AftercareDocument, HazardDocument, PlanDocument, aftercare, document, hazards, step};
pub use text::text;
pub use tree::{Numbered, Onward, numbered};

use crate::bay::{Act, Bay, Question, Raised, Repair, Unproven};
use crate::belief::Beliefs;
use crate::book::{Book, Finding, Headed, Id};
use crate::job::Evidence;
use crate::plan::Plan;

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
    /// Where the first step is a fix that is not yet proven: how far it is, and what would prove it.
    pub unproven: Option<&'a Unproven>,
    /// Sign of the currency.
    pub currency: &'a str,
}

impl Planned<'_> {
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
