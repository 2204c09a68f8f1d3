//! A plan for one car: what the page, the JSON document and the phone page are made from.

mod document;
mod flat;
mod text;
mod tree;

pub use document::{AftercareDocument, Form, HazardDocument, PlanDocument, aftercare, document, hazards, step};
pub use text::text;
pub use tree::{Numbered, Onward, numbered};

use crate::bay::{Act, Assessment, Bay, Misfit, Question, Raised, Repair, Speaks, Unproven};
use crate::belief::Beliefs;
use crate::book::{Book, Cause, Check, Finding, Id};
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
    /// What is going on: states that are likelier there than not and end with their root.
    pub conditions: Vec<(Id<Cause>, f64)>,
    /// Dangers, worst first.
    pub hazards: &'a [Raised],
    /// What to ask first.
    pub questions: Vec<Question>,
    /// Repairs that are likely to come, roots first.
    pub repairs: Vec<Repair>,
    /// What speaks for and against the likeliest causes of the car.
    pub speaks: HashMap<usize, Vec<Speaks>>,
    /// Where the first step is a fix that is not yet proven: how far it is, and what would prove it.
    pub unproven: Option<Unproven>,
    /// Where the first step waits: the minutes, and the checks that can be done until then.
    pub waits: (f64, Vec<Id<Check>>),
    /// Sign of the currency.
    pub currency: &'a str,
}

/// Repairs less likely than this are not prepared for.
const REPAIRS_FROM: f64 = 0.1;

/// Causes for which is said what speaks for and against them.
const SHOWN: usize = 10;

impl<'a> Planned<'a> {
    /// What an assessment comes to.
    ///
    /// # Errors
    /// Where there is no plan.
    pub fn new(a: &'a Assessment<'_>, currency: &'a str) -> Result<Planned<'a>, Misfit> {
        let fault = |c: &usize| !a.book.causes[a.bay.car.causes[*c]].is_condition();
        let shown: Vec<usize> = ranked(&a.beliefs.causes, usize::MAX).into_iter().map(|(c, _)| c).filter(fault).take(SHOWN).collect();
        let plan = a.plan()?;
        let first = plan.next.first().and_then(|n| a.act(n.step));
        Ok(Planned {
            book: a.book,
            evidence: &a.now,
            bay: &a.bay,
            beliefs: &a.beliefs,
            plan,
            conditions: a.conditions(),
            hazards: &a.hazards,
            questions: a.questions(),
            repairs: a.repairs(REPAIRS_FROM),
            speaks: shown.iter().copied().zip(a.speaks(&shown)).collect(),
            unproven: a.unproven_first(),
            waits: first.map_or((0.0, vec![]), |act| (a.waits(act), a.meanwhile(act))),
            currency,
        })
    }

    /// The likeliest causes of the car that explain something abnormal, with their probabilities; others may be there, but are not what was asked about.
    pub fn likely(&self, most: usize) -> Vec<(usize, f64)> {
        let all = ranked(&self.beliefs.causes, usize::MAX);
        let fault = |c: usize| !self.book.causes[self.bay.car.causes[c]].is_condition();
        all.into_iter().filter(|(c, _)| fault(*c) && !self.explains(*c).is_empty()).take(most).collect()
    }

    /// The check that would change the plan most, being the one that settles most of the doubt.
    pub fn most_telling(&self) -> Option<Act> {
        let telling = self.plan.next.iter().filter(|n| matches!(n.step, Step::Check(_)) && n.settles_bits > 0.0);
        let most = telling.max_by(|a, b| a.settles_bits.total_cmp(&b.settles_bits))?;
        most.step.action().map(|a| self.bay.acts[a])
    }

    /// What an act is called.
    pub fn title(&self, act: Act) -> &str {
        act.title(self.book)
    }

    /// Its name in the book.
    pub fn name(&self, act: Act) -> &str {
        act.name(self.book)
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
