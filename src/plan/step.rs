//! What an action may lead to: the outcomes of a check, cured or not after a fix.

use super::bits::Bits;
use super::space::{Space, Weights};

/// Outcomes of one check beyond which its findings are not all read one against the other.
const OUTCOMES: usize = 128;

/// What a check may show: for each of the findings it newly reveals, a state.
pub struct Outcome {
    /// States, in the order of the findings read.
    pub states: Vec<usize>,
    /// Its probability.
    pub probability: f64,
    /// The weights after it, summing to 1.
    pub weights: Weights,
}

/// The findings that a check newly reveals, and whether that is all of them. Where the outcomes would be too many, the
/// findings that tell least are not counted on.
pub fn read(space: &Space, findings: &[usize], known: &Bits) -> (Vec<usize>, bool) {
    let mut new: Vec<usize> = findings.iter().copied().filter(|&f| !known.has(f)).collect();
    let all = new.len();
    while new.iter().map(|&f| space.readings[f].states.len()).product::<usize>() > OUTCOMES {
        new.pop();
    }
    let whole = new.len() == all;
    (new, whole)
}

/// All outcomes of reading these findings.
pub fn outcomes(space: &Space, weights: &[(u32, f64)], findings: &[usize]) -> Vec<Outcome> {
    let mut found = Vec::new();
    split(space, weights.to_vec(), findings, &mut Vec::new(), &mut found);
    found
}

fn split(space: &Space, weights: Vec<(u32, f64)>, findings: &[usize], states: &mut Vec<usize>, found: &mut Vec<Outcome>) {
    let Some((&first, rest)) = findings.split_first() else {
        let probability = weights.iter().map(|(_, w)| w).sum();
        found.push(Outcome { states: states.clone(), probability, weights: normal(weights, probability) });
        return;
    };
    for (state, likely) in space.readings[first].states.iter().enumerate() {
        let seen = weights.iter().map(|&(set, w)| (set, w * likely[set as usize])).filter(|(_, w)| *w > 0.0);
        let seen: Vec<(u32, f64)> = seen.collect();
        if !seen.is_empty() {
            states.push(state);
            split(space, seen, rest, states, found);
            states.pop();
        }
    }
}

/// Probability that a fix cures, that it does not, and the weights then (empty when it is certain to cure).
pub fn fixed(space: &Space, weights: &[(u32, f64)], act: usize) -> (f64, f64, Weights) {
    let becomes = &space.becomes[act];
    let ends = |set: u32| space.in_question[set as usize] && !space.in_question[becomes[set as usize] as usize];
    let cured = weights.iter().filter(|(set, _)| ends(*set)).map(|(_, w)| w).sum();
    let left = weights.iter().filter(|(set, _)| !ends(*set)).map(|&(set, w)| (becomes[set as usize], w));
    let mut left: Vec<(u32, f64)> = left.collect();
    left.sort_unstable_by_key(|(set, _)| *set);
    left.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        kept.1 += if same { next.1 } else { 0.0 };
        same
    });
    let rest = left.iter().map(|(_, w)| w).sum();
    (cured, rest, normal(left, rest))
}

fn normal(mut weights: Vec<(u32, f64)>, sum: f64) -> Weights {
    weights.iter_mut().for_each(|(_, w)| *w /= sum);
    weights.into_boxed_slice()
}

/// Entropy of the weights, in bits.
pub fn entropy(weights: &[(u32, f64)]) -> f64 {
    -weights.iter().map(|(_, w)| w * w.log2()).sum::<f64>()
}
