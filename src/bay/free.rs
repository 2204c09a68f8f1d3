//! Questions that cost nothing but a word, of symptoms that nobody spoke of: those that tell most, where the answer would change what is done first.

use super::act::Act;
use super::assessment::Assessment;
use super::effort::Effort;
use crate::belief::Prepared;
use crate::book::{Finding, FindingKind, Id};
use crate::job::{Observation, Shown};
use crate::plan::causes_in_question;
use std::collections::HashSet;

/// So many are asked at most: they stand on one screen.
const MOST: usize = 4;
/// So many are tried, those first that tell most: each costs up to two plans.
const TRIED: usize = 6;
/// A question whose answers move the causes in question by less than this, on average and all together, is not worth a word.
const MOVES: f64 = 0.08;

impl Assessment<'_> {
    /// Symptoms and history that nobody was asked for, of those that are `open`: at most four, those that tell most first. None of them is without effect: some answer to it
    /// changes the first step.
    ///
    /// What a question tells is how far its answers move the chances of the causes in question, on average: the sum over its answers of their chance times the sum of the absolute
    /// differences (twice the total variation distance where one cause is there); no unit, 0 or more.
    pub fn worth_asking(&self, open: impl Fn(Id<Finding>) -> bool) -> Vec<Id<Finding>> {
        if !self.anything_wrong() {
            return vec![];
        }
        let mut telling = self.telling(open);
        telling.retain(|(_, moves)| *moves >= MOVES);
        telling.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        if telling.is_empty() {
            return vec![];
        }
        let first = self.first_with(None);
        let changes = |id: &Id<Finding>| [1, 0].into_iter().any(|state| self.first_with(Some((*id, state))) != first);
        telling.into_iter().take(TRIED).map(|(id, _)| id).filter(changes).take(MOST).collect()
    }

    /// How much each open symptom tells.
    fn telling(&self, open: impl Fn(Id<Finding>) -> bool) -> Vec<(Id<Finding>, f64)> {
        let network = &self.bay.model.network;
        let Ok(mut prepared) = Prepared::new(network, &self.bay.model.history, &self.effort.glance) else { return vec![] };
        let asked: HashSet<usize> = causes_in_question(network, &self.bay.model.complaint).into_iter().collect();
        let mut out = Vec::new();
        for (at, id) in self.bay.car.findings.iter().enumerate() {
            let free = matches!(self.book.findings[*id].kind, FindingKind::Symptom { ask: Some(_), .. });
            let hangs = network.findings()[at].pushes.iter().any(|(c, _)| asked.contains(c));
            if free && hangs && self.now.of(*id).is_none() && open(*id) {
                let moved = |causes: &[(usize, f64)]| -> f64 {
                    causes.iter().filter(|(c, _)| asked.contains(c)).map(|(c, p)| (p - self.beliefs.causes[*c]).abs()).sum()
                };
                out.push((*id, prepared.outcomes(at).iter().map(|o| o.probability * moved(&o.causes)).sum()));
            }
        }
        out
    }

    /// What would be done first if this were seen, too.
    fn first_with(&self, seen: Option<(Id<Finding>, usize)>) -> Option<Act> {
        let mut supposed = self.intake.clone();
        supposed.seen.extend(seen.map(|(finding, state)| {
            let weights = (0..self.book.findings[finding].states.len()).map(|k| f64::from(u8::from(k == state))).collect();
            Observation { finding, weights, shown: Shown::State(state) }
        }));
        self.supposing(supposed, self.progress.clone(), Effort::TRIAL).ok()?.first_alone()
    }
}
