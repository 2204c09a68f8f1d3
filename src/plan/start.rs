//! Where a job stands: what may be there now, given all that was read and repaired so far.

use super::hypothesis::{Hypothesis, Nature};
use super::looks::{Known, Look};
use super::model::{Model, PlanError};
use super::reach::changed_by;
use super::sets::Weighed;
use crate::belief::{History, Seen};

/// What may be there, and what is known.
pub struct Start {
    /// Hypotheses with their weights, which sum to 1.
    pub hypotheses: Vec<(Hypothesis, f64)>,
    /// What was read.
    pub known: Known,
}

impl Start {
    /// Goes through the history of a model from the sets that may have been there at intake, weighed by what was seen then. Where the causes in
    /// question were all cured the job would have ended.
    pub fn new(model: &Model, nature: &mut Nature, in_question: &[bool], weighed: Weighed) -> Result<Start, PlanError> {
        let top = weighed.iter().map(|(_, log)| *log).fold(f64::NEG_INFINITY, f64::max);
        let sets = weighed.into_iter().map(|(set, log)| (Hypothesis { set, states: vec![] }, (log - top).exp()));
        let mut start = Start { hypotheses: sets.collect(), known: Known::default() };
        for period in 0..=model.history.now() {
            if let Some(repair) = period.checked_sub(1).map(|r| &model.history.repairs[r]) {
                start.repair(model, nature, in_question, &repair.cures);
            }
            for (place, seen) in model.history.seen.iter().enumerate().filter(|(_, s)| s.period == period) {
                start.look(nature, seen, is_first(&model.history, place) && period == 0);
            }
        }
        let total: f64 = start.hypotheses.iter().map(|(_, w)| w).sum();
        if total <= 0.0 {
            return Err(PlanError::NothingLeft);
        }
        start.hypotheses.iter_mut().for_each(|(_, w)| *w /= total);
        start.hypotheses.retain(|(_, w)| *w > 0.0);
        Ok(start)
    }

    fn repair(&mut self, model: &Model, nature: &Nature, in_question: &[bool], cures: &[(usize, f64)]) {
        let asks = |set: &[usize]| set.iter().any(|&c| in_question[c]);
        let mut left: Vec<(Hypothesis, f64)> = vec![];
        for (before, weight) in &self.hypotheses {
            let after = nature.after(before, cures, &self.known.looks).into_iter();
            left.extend(after.filter(|(h, _)| asks(&h.set) || !asks(&before.set)).map(|(h, p)| (h, weight * p)));
        }
        left.sort_by(|a, b| a.0.set.cmp(&b.0.set));
        left.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            kept.1 += if same { next.1 } else { 0.0 };
            same
        });
        self.hypotheses = left;
        let moved = |f: u32| self.hypotheses.iter().any(|(h, _)| h.states.iter().any(|s| s.0 == f));
        self.known.after_repair(&changed_by(&model.network, cures), moved);
    }

    /// Takes in a look; `weighed` says whether its weight is counted already.
    fn look(&mut self, nature: &mut Nature, seen: &Seen, weighed: bool) {
        let finding = seen.finding;
        let first = self.known.look(finding);
        for (hypothesis, weight) in self.hypotheses.iter_mut().filter(|_| !weighed) {
            let likely = if let Some(look) = first {
                let (likely, after) = nature.seen_again(hypothesis, finding, look, &seen.weights);
                *hypothesis = after;
                likely
            } else {
                nature.pushed[finding].states(&hypothesis.set).iter().zip(&seen.weights).map(|(p, w)| p * w).sum()
            };
            *weight *= likely;
        }
        self.known.now.insert(finding);
        if first.is_none() && nature.again[finding] {
            let look = look(nature, seen);
            self.known.keep(finding, look);
        }
    }
}

/// Whether a look is the first at its finding.
pub fn is_first(history: &History, place: usize) -> bool {
    let Seen { finding, period, .. } = history.seen[place];
    let before = |(other, s): (usize, &Seen)| s.finding == finding && (s.period, other) < (period, place);
    !history.seen.iter().enumerate().any(before)
}

fn look(nature: &mut Nature, seen: &Seen) -> Look {
    let mut open = (0..seen.weights.len()).filter(|&k| seen.weights[k] > 0.0);
    if let (Some(state), None) = (open.next(), open.next()) {
        return Look::Sure(state as u32);
    }
    nature.unsure.push(seen.weights.clone());
    Look::Unsure(nature.unsure.len() as u32 - 1)
}
