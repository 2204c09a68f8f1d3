//! Evidence that cannot be: which findings contradict each other, and the message that says so.

use super::evidence::Seen;

/// Evidence that the network gives no way to explain, or that is no evidence at all.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// The smallest set of findings found whose dropping makes the rest possible.
    pub findings: Vec<usize>,
    /// Findings that contradict each other: leave out any one, and the others are possible together.
    pub conflict: Vec<usize>,
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
    /// The look was taken after more repairs than there were.
    NoSuchPeriod {
        /// The period given.
        period: usize,
        /// How many repairs there were.
        periods: usize,
    },
    /// A repair names what is no cause of the network, or a condition.
    NotCurable {
        /// The index given.
        cause: usize,
    },
    /// The chance that a repair cures is not from 0 to 1.
    NotAChance {
        /// The chance given.
        chance: f64,
    },
    /// More repairs than can be followed.
    TooManyRepairs {
        /// How many can be.
        most: usize,
    },
}

impl std::fmt::Display for Contradiction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let names = quoted(&self.findings);
        match self.why {
            Why::Impossible => {
                write!(f, "nothing in the network can show {} together; without {names} the rest is possible", quoted(&self.conflict))
            }
            Why::NoSuchFinding => write!(f, "there is no finding {names}"),
            Why::WrongStates { given, states } => write!(f, "finding {names} has {states} states, `{given}` were weighed"),
            Why::NotAWeight { weight } => write!(f, "finding {names}: the weight `{weight}` is not from 0 to 1"),
            Why::NoSuchPeriod { period, periods } => write!(f, "finding {names} was seen after `{period}` repairs, there were `{periods}`"),
            Why::NotCurable { cause } => write!(f, "no repair can cure `{cause}`: it is no cause of the network"),
            Why::NotAChance { chance } => write!(f, "the chance `{chance}` that a repair cures is not from 0 to 1"),
            Why::TooManyRepairs { most } => write!(f, "more than `{most}` repairs cannot be followed"),
        }
    }
}

impl std::error::Error for Contradiction {}

fn quoted(findings: &[usize]) -> String {
    findings.iter().map(|i| format!("`{i}`")).collect::<Vec<_>>().join(", ")
}

impl Contradiction {
    /// One observation that is none.
    pub(super) fn of(finding: usize, why: Why) -> Contradiction {
        Contradiction { findings: vec![finding], conflict: vec![finding], why }
    }
}

/// Whether some observations, by their places, are possible together.
type Possible<'a> = dyn FnMut(&[usize]) -> bool + 'a;

/// Finds few observations whose dropping makes the rest possible: one if one is enough, else two, else the ones that a
/// single pass cannot keep; and with the first of them some that it contradicts. Where each try is `dear`, only the pass is made.
pub(super) fn blame(seen: &[Seen], dear: bool, possible: &mut Possible) -> Contradiction {
    let all: Vec<usize> = (0..seen.len()).collect();
    let tried = if dear { 0 } else { seen.len() };
    let singles = (0..tried).map(|i| vec![i]);
    let pairs = (0..tried.min(PAIRED)).flat_map(|i| (0..i).map(move |j| vec![j, i]));
    let dropped = singles.chain(pairs).find(|drop| possible(&without(&all, drop))).unwrap_or_else(|| one_pass(&all, possible));
    let conflict = if dear { dropped.clone() } else { conflict(all, possible) };
    let findings = |places: &[usize]| {
        let mut findings: Vec<usize> = places.iter().map(|&i| seen[i].finding).collect();
        findings.sort_unstable();
        findings.dedup();
        findings
    };
    Contradiction { findings: findings(&dropped), conflict: findings(&conflict), why: Why::Impossible }
}

/// Pairs are tried among this many observations: some thousand sweeps, a fraction of a second.
const PAIRED: usize = 64;

fn without(places: &[usize], drop: &[usize]) -> Vec<usize> {
    places.iter().copied().filter(|i| !drop.contains(i)).collect()
}

/// Keeps each observation that goes with those kept so far.
fn one_pass(places: &[usize], possible: &mut Possible) -> Vec<usize> {
    let (mut kept, mut dropped) = (Vec::new(), Vec::new());
    for &i in places {
        kept.push(i);
        if !possible(&kept) {
            kept.pop();
            dropped.push(i);
        }
    }
    // A sampled try may find a way where the one before found none: then it hangs on the last.
    if dropped.is_empty() { kept.pop().into_iter().collect() } else { dropped }
}

/// Leaves out what the rest is impossible without: what stays is needed, each of it.
fn conflict(mut places: Vec<usize>, possible: &mut Possible) -> Vec<usize> {
    for i in places.clone() {
        let rest = without(&places, &[i]);
        if !possible(&rest) {
            places = rest;
        }
    }
    places
}
