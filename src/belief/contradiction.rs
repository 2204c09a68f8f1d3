//! Evidence that cannot be: which findings contradict each other, and the message that says so.

use super::evidence::Seen;

/// Evidence that the network gives no way to explain, or that is no evidence at all.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// The smallest set of findings found whose dropping makes the rest possible.
    pub findings: Vec<usize>,
    /// What is wrong with them.
    pub why: Why,
}

/// What is wrong with the evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Why {
    /// The network gives this combination the probability 0.
    Impossible,
    /// The index names no finding.
    NoSuchFinding,
    /// The observation weighs another number of states than the finding has.
    WrongStates {
        /// How many weights were given.
        given: usize,
        /// How many states the finding has.
        states: usize,
    },
    /// A weight is not from 0 to 1.
    NotAWeight {
        /// The weight given.
        weight: f64,
    },
}

impl std::fmt::Display for Contradiction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let names: Vec<String> = self.findings.iter().map(|i| format!("`{i}`")).collect();
        let names = names.join(", ");
        match self.why {
            Why::Impossible => write!(f, "nothing in the network can show all that was seen; without {names} the rest is possible"),
            Why::NoSuchFinding => write!(f, "there is no finding {names}"),
            Why::WrongStates { given, states } => write!(f, "finding {names} has {states} states, `{given}` were weighed"),
            Why::NotAWeight { weight } => write!(f, "finding {names}: the weight `{weight}` is not from 0 to 1"),
        }
    }
}

impl std::error::Error for Contradiction {}

/// Finds few observations whose dropping makes the rest possible: one if one is enough, else two, else the ones that a
/// single pass cannot keep.
pub(super) fn blame(seen: &[Seen], possible: &mut dyn FnMut(&[&Seen]) -> bool) -> Contradiction {
    let without = |drop: &[usize]| -> Vec<&Seen> { (0..seen.len()).filter(|i| !drop.contains(i)).map(|i| &seen[i]).collect() };
    let singles = (0..seen.len()).map(|i| vec![i]);
    let pairs = (0..seen.len().min(PAIRED)).flat_map(|i| (0..i).map(move |j| vec![j, i]));
    let dropped = singles.chain(pairs).find(|drop| possible(&without(drop))).unwrap_or_else(|| one_pass(seen, possible));
    let mut findings: Vec<usize> = dropped.iter().map(|&i| seen[i].finding).collect();
    findings.sort_unstable();
    findings.dedup();
    Contradiction { findings, why: Why::Impossible }
}

/// Pairs are tried among this many observations: some thousand sweeps, a fraction of a second.
const PAIRED: usize = 64;

/// Keeps each observation that goes with those kept so far.
fn one_pass(seen: &[Seen], possible: &mut dyn FnMut(&[&Seen]) -> bool) -> Vec<usize> {
    let (mut kept, mut dropped) = (Vec::new(), Vec::new());
    for (i, observation) in seen.iter().enumerate() {
        kept.push(observation);
        if !possible(&kept) {
            kept.pop();
            dropped.push(i);
        }
    }
    dropped
}
