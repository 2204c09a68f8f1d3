//! What an action may lead to: the outcomes of a check, cured or not after a fix.

use super::bits::Bits;
use super::space::{Reading, Space, Weights};

/// Outcomes of one check beyond which its findings are not all read one against the other.
const OUTCOMES: usize = 128;

/// Weights of sets, rising by set; they need not sum to 1.
pub type Mass = Vec<(u32, f64)>;

/// The findings that a check newly reveals, and whether that is all of them. Where the outcomes would be too many, the
/// last findings are not counted on.
pub fn read(space: &Space, findings: &[usize], known: &Bits) -> (Vec<usize>, bool) {
    let mut new: Vec<usize> = findings.iter().copied().filter(|&f| !known.has(f)).collect();
    let all = new.len();
    while new.iter().map(|&f| space.readings[f].states.len()).product::<usize>() > OUTCOMES {
        new.pop();
    }
    let whole = new.len() == all;
    (new, whole)
}

/// All that reading these findings may show: the state of each, and the joint weights.
pub fn split(space: &Space, weights: &[(u32, f64)], findings: &[usize]) -> Vec<(Vec<usize>, Mass)> {
    let mut found = vec![(vec![], weights.to_vec())];
    for &finding in findings {
        let states = &space.readings[finding].states;
        let grow = |(before, weights): &(Vec<usize>, Mass)| -> Vec<(Vec<usize>, Mass)> {
            let state = |(k, likely): (usize, &Vec<f64>)| (before.iter().copied().chain([k]).collect(), times(weights, likely));
            states.iter().enumerate().map(state).filter(|(_, mass): &(_, Mass)| !mass.is_empty()).collect()
        };
        found = found.iter().flat_map(grow).collect();
    }
    found
}

fn times(weights: &[(u32, f64)], likely: &[f64]) -> Mass {
    let mut mass = Vec::with_capacity(weights.len());
    mass.extend(weights.iter().map(|&(set, w)| (set, w * likely[set as usize])).filter(|(_, w)| *w > 0.0));
    mass
}

/// Weight that a fix cures, and what is left if it does not.
pub fn cured(space: &Space, weights: &[(u32, f64)], act: usize) -> (f64, Mass) {
    let becomes = &space.becomes[act];
    let ends = |set: u32| space.asks(set) && !space.asks(becomes[set as usize]);
    let cured = weights.iter().filter(|(set, _)| ends(*set)).map(|(_, w)| w).sum();
    let mut left = Mass::with_capacity(weights.len());
    left.extend(weights.iter().filter(|(set, _)| !ends(*set)).map(|&(set, w)| (becomes[set as usize], w)));
    left.sort_unstable_by_key(|(set, _)| *set);
    left.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        kept.1 += if same { next.1 } else { 0.0 };
        same
    });
    (cured, left)
}

/// The sum, and the weights made to sum to 1 without those too faint to count.
pub fn normal(space: &Space, mut mass: Mass) -> (f64, Weights) {
    let sum: f64 = mass.iter().map(|(_, w)| w).sum();
    mass.retain(|(_, w)| *w > space.faint * sum);
    let kept: f64 = mass.iter().map(|(_, w)| w).sum();
    mass.iter_mut().for_each(|(_, w)| *w /= kept);
    (sum, mass.into_boxed_slice())
}

/// Bits that reading one finding is expected to settle.
pub fn settles(reading: &Reading, weights: &[(u32, f64)]) -> f64 {
    let doubt: f64 = weights.iter().map(|(s, w)| w * reading.doubt[*s as usize]).sum();
    let chance = |likely: &Vec<f64>| weights.iter().map(|(s, w)| w * likely[*s as usize]).sum::<f64>();
    let shown = reading.states.iter().map(chance).map(|p| if p > 0.0 { -p * p.log2() } else { 0.0 });
    (shown.sum::<f64>() - doubt).max(0.0)
}

/// Entropy of the weights, in bits.
pub fn entropy(weights: &[(u32, f64)]) -> f64 {
    -weights.iter().map(|(_, w)| w * w.log2()).sum::<f64>()
}
