//! One way things may be: which causes and conditions are there, and what a repair and another look make of that.
//!
//! # After a repair
//! A cause is cured with the chance that the fix gives; a cause that it brought about stays. A condition that is there with the parents `A` and keeps
//! the parents `B` stays with probability `OR(B) / OR(A)`, where `OR` is the noisy-OR of the parents and of its stray: each link acts or not once and
//! for all, so all that is known of the links is that one from `A` acts. Parents are settled before what they bring about.
//!
//! # What was read before
//! A finding is the highest of the pushes of what is there, each drawn once. So where a repair took nothing away that pushes it, it is as it was read.
//! Else its state now is the highest push of what is left, given that the highest of these and of what is gone was the state before. That vector, one
//! entry a state, is the whole memory: given the state now, no earlier look says more.
//!
//! All of it is sums and products of numbers of 0 or more.

use super::looks::Look;
use super::model::Model;
use super::reach;
use super::universe::left;
use super::weigher::Pushed;
use crate::belief::{MISREAD, Network};

/// A hypothesis.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypothesis {
    /// The causes and conditions that are there, rising.
    pub set: Vec<usize>,
    /// The chance of each state, of the findings of which that is not plain from what was read; rising by finding.
    pub states: Vec<(u32, Vec<f64>)>,
}

/// What hypotheses are made of.
pub struct Nature {
    /// The findings as they are pushed.
    pub pushed: Vec<Pushed>,
    /// For each finding whether it may be read again.
    pub again: Vec<bool>,
    /// Weights of looks between states.
    pub unsure: Vec<Vec<f64>>,
    network: Network,
    conditions: Vec<usize>,
}

impl Nature {
    pub fn new(model: &Model, complete: bool) -> Nature {
        let network = model.network.clone();
        let pushed = (0..network.findings().len()).map(|f| Pushed::new(model, f, &[])).collect();
        Nature { pushed, again: reach::read_again(model, complete), unsure: vec![], conditions: reach::conditions(&network), network }
    }

    /// Whether a node is a condition.
    pub fn is_condition(&self, node: usize) -> bool {
        self.network.causes()[node].condition
    }

    /// What a repair may make of a set, with the chance of each.
    pub fn sets_after(&self, set: &[usize], cures: &[(usize, f64)]) -> Vec<(Vec<usize>, f64)> {
        let mut ways = left(set, cures);
        for &condition in self.conditions.iter().filter(|k| set.contains(k)) {
            ways = ways.into_iter().flat_map(|(left, p)| self.condition_after(condition, set, left, p)).collect();
        }
        ways
    }

    /// What becomes of a condition of a set of which this is left.
    fn condition_after(&self, condition: usize, before: &[usize], left: Vec<usize>, p: f64) -> Vec<(Vec<usize>, f64)> {
        let node = &self.network.causes()[condition];
        let (mut stays, mut gone) = (node.prior, 0.0);
        for &(parent, strength) in node.brought_by.iter().filter(|(parent, _)| before.contains(parent)) {
            let chance = if left.contains(&parent) { &mut stays } else { &mut gone };
            *chance += strength * (1.0 - *chance);
        }
        if gone == 0.0 {
            return vec![(left, p)];
        }
        // that nothing left brings it about, given that something did
        let ends = (1.0 - stays) * gone;
        let all = stays + ends;
        let without = left.iter().copied().filter(|c| *c != condition).collect();
        [(left, p * stays / all), (without, p * ends / all)].into_iter().filter(|(_, p)| *p > 0.0).collect()
    }

    /// The nodes of a set that are not in another.
    pub fn lost(before: &[usize], after: &[usize]) -> Vec<usize> {
        before.iter().copied().filter(|n| after.binary_search(n).is_err()).collect()
    }

    /// Of the findings that may be read again, those that these nodes push.
    pub fn touched(&self, nodes: &[usize]) -> Vec<u32> {
        let pushed = |f: &usize| nodes.iter().any(|&n| self.pushed[*f].pushes(n));
        (0..self.pushed.len()).filter(|&f| self.again[f]).filter(pushed).map(|f| f as u32).collect()
    }

    /// The chance of each state of a finding before a repair that leaves `set` and takes `lost` away, made to that after it.
    pub fn fallen(&self, finding: usize, now: &[f64], set: &[usize], lost: &[usize]) -> Vec<f64> {
        let left = self.pushed[finding].states(set);
        let gone = self.pushed[finding].pushed_by(lost);
        let mut after = vec![0.0; now.len()];
        for (state, &chance) in now.iter().enumerate().filter(|(_, p)| **p > 0.0) {
            // the joint chance of each state now with this one before: lower where what is gone made it, else the same
            let lower: Vec<f64> = left[..state].iter().map(|p| p * gone[state]).collect();
            let same = left[state] * gone[..=state].iter().sum::<f64>();
            let all = lower.iter().sum::<f64>() + same;
            if all > 0.0 {
                lower.iter().chain([&same]).zip(&mut after).for_each(|(joint, after)| *after += chance * joint / all);
            }
        }
        after
    }

    /// The chance of each state of a finding now that was read and that no repair changed.
    pub fn unchanged(&self, set: &[usize], finding: usize, look: Look) -> Vec<f64> {
        let states = self.pushed[finding].states(set);
        match look {
            Look::Sure(state) => (0..states.len()).map(|k| if k == state as usize { 1.0 } else { 0.0 }).collect(),
            Look::Unsure(weights) => {
                let joint: Vec<f64> = states.iter().zip(&self.unsure[weights as usize]).map(|(p, w)| p * w).collect();
                let sum: f64 = joint.iter().sum();
                if sum > 0.0 { joint.iter().map(|p| p / sum).collect() } else { states }
            }
        }
    }

    /// The chance of each state of a finding now that was read.
    pub fn now(&self, hypothesis: &Hypothesis, finding: usize, look: Look) -> Vec<f64> {
        match hypothesis.states.binary_search_by_key(&(finding as u32), |s| s.0) {
            Ok(place) => hypothesis.states[place].1.clone(),
            Err(_) => self.unchanged(&hypothesis.set, finding, look),
        }
    }

    /// A hypothesis with the chance of each state of a finding, unless that is plain from the look.
    pub fn with(&self, hypothesis: &Hypothesis, finding: usize, look: Look, now: Vec<f64>) -> Hypothesis {
        let mut states = hypothesis.states.clone();
        let plain = matches!(look, Look::Sure(k) if now.iter().enumerate().all(|(i, p)| i == k as usize || *p == 0.0));
        match (states.binary_search_by_key(&(finding as u32), |s| s.0), plain) {
            (Ok(place), true) => drop(states.remove(place)),
            (Ok(place), false) => states[place].1 = now,
            (Err(_), true) => {}
            (Err(place), false) => states.insert(place, (finding as u32, now)),
        }
        Hypothesis { set: hypothesis.set.clone(), states }
    }

    /// What a repair may make of a hypothesis after these first looks.
    pub fn after(&self, hypothesis: &Hypothesis, cures: &[(usize, f64)], looks: &[(u32, Look)]) -> Vec<(Hypothesis, f64)> {
        let ways = self.sets_after(&hypothesis.set, cures).into_iter();
        ways.map(|(set, p)| (self.moved(hypothesis, set, looks), p)).collect()
    }

    /// A hypothesis of which this set is left.
    fn moved(&self, before: &Hypothesis, set: Vec<usize>, looks: &[(u32, Look)]) -> Hypothesis {
        let lost = Nature::lost(&before.set, &set);
        let touched = self.touched(&lost);
        self.fall(before, Hypothesis { set, states: before.states.clone() }, &lost, &touched, looks)
    }

    /// Works out what the findings that lost a push are now, of those that were read.
    pub fn fall(&self, before: &Hypothesis, mut after: Hypothesis, lost: &[usize], touched: &[u32], looks: &[(u32, Look)]) -> Hypothesis {
        for &(finding, look) in looks.iter().filter(|(f, look)| look.may_fall() && touched.binary_search(f).is_ok()) {
            let f = finding as usize;
            let now = self.fallen(f, &self.now(before, f, look), &after.set, lost);
            after = self.with(&after, f, look, now);
        }
        after
    }

    /// How likely another look with these weights of the states is, and what it makes of the hypothesis.
    pub fn seen_again(&self, hypothesis: &Hypothesis, finding: usize, look: Look, weights: &[f64]) -> (f64, Hypothesis) {
        let now = self.now(hypothesis, finding, look);
        let any = MISREAD * weights.iter().sum::<f64>() / weights.len() as f64;
        let joint: Vec<f64> = now.iter().zip(weights).map(|(p, w)| p * ((1.0 - MISREAD) * w + any)).collect();
        let sum: f64 = joint.iter().sum();
        if sum <= 0.0 {
            return (0.0, hypothesis.clone());
        }
        (sum, self.with(hypothesis, finding, look, joint.into_iter().map(|p| p / sum).collect()))
    }
}
