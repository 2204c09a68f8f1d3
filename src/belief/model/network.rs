//! The network: causes, findings and the links between them, checked once. What exists is valid.

use thiserror::Error;

/// How far above 1 a sum of push probabilities may lie before it counts as a mistake and not as rounding.
const SLACK: f64 = 1e-9;

/// A fault that may be present.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseNode {
    /// Probability (0..=1) that the cause is present of its own accord.
    pub prior: f64,
    /// The causes that bring this one about: index of the parent and the probability (0..=1) that it does so when present.
    pub brought_by: Vec<(usize, f64)>,
    /// Whether it is a condition: there only as long as something that brings it about is, and no fix cures it. Its `prior` is then the
    /// chance that something not in the network brings it about.
    pub condition: bool,
}

/// Something that can be seen, heard, asked or measured, with ordered states `0` (normal) to `K`.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingNode {
    /// Probability that the finding shows state `k` with no listed cause present, at index `k - 1`; the sum is at most 1.
    pub stray: Vec<f64>,
    /// Which causes push the finding: index of the cause, and the probability of a push to state `k` at index `k - 1`.
    pub pushes: Vec<(usize, Vec<f64>)>,
}

impl FindingNode {
    /// Number of states, the normal one included.
    pub fn states(&self) -> usize {
        self.stray.len() + 1
    }
}

/// What is wrong with a network. Causes and findings are named by their index.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum NetworkError {
    /// A probability is not a number from 0 to 1.
    #[error("{place}: the probability `{value}` is not from 0 to 1")]
    NotAProbability {
        /// The cause or finding it stands at.
        place: Place,
        /// The value given.
        value: f64,
    },
    /// The pushes of one link, or the stray pushes, add up to more than 1.
    #[error("{place}: the probabilities of one link add up to `{sum}`, more than 1")]
    SumAboveOne {
        /// The finding it stands at.
        place: Place,
        /// The sum.
        sum: f64,
    },
    /// A link names a cause that does not exist.
    #[error("{place}: there is no cause `{cause}`")]
    NoSuchCause {
        /// The cause or finding it stands at.
        place: Place,
        /// The index given.
        cause: usize,
    },
    /// Two links join the same pair.
    #[error("{place}: cause `{cause}` is linked twice")]
    DuplicateLink {
        /// The cause or finding it stands at.
        place: Place,
        /// The cause linked twice.
        cause: usize,
    },
    /// A link gives another number of states than the finding has.
    #[error("{place}: the link from cause `{cause}` gives `{given}` abnormal states, the finding has `{states}`")]
    WrongStates {
        /// The finding it stands at.
        place: Place,
        /// The cause the link comes from.
        cause: usize,
        /// How many probabilities the link gives.
        given: usize,
        /// How many abnormal states the finding has.
        states: usize,
    },
    /// Causes bring about each other in a circle.
    #[error("the causes {causes:?} bring about each other in a circle")]
    Circle {
        /// The causes on the circle, each brought about by the next.
        causes: Vec<usize>,
    },
}

/// Where in a network something stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The cause of this index.
    Cause(usize),
    /// The finding of this index.
    Finding(usize),
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Place::Cause(c) => write!(f, "cause `{c}`"),
            Place::Finding(i) => write!(f, "finding `{i}`"),
        }
    }
}

/// A checked network: every probability within 0..=1, every link to a cause that exists, no link twice, no circle.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    causes: Vec<CauseNode>,
    findings: Vec<FindingNode>,
    rank: Vec<usize>,
    pushed: Vec<Vec<usize>>,
    brings: Vec<Vec<usize>>,
    log_none: f64,
}

impl Network {
    /// Checks the parts and joins them.
    ///
    /// # Errors
    /// The first [`NetworkError`] found, causes before findings.
    pub fn new(causes: Vec<CauseNode>, findings: Vec<FindingNode>) -> Result<Network, NetworkError> {
        for (c, cause) in causes.iter().enumerate() {
            check_cause(Place::Cause(c), cause, causes.len())?;
        }
        for (f, finding) in findings.iter().enumerate() {
            check_finding(Place::Finding(f), finding, causes.len())?;
        }
        let brings = turned(causes.len(), causes.iter().map(|c| c.brought_by.iter().map(|&(p, _)| p)));
        let pushed = turned(causes.len(), findings.iter().map(|f| f.pushes.iter().map(|&(c, _)| c)));
        let rank = ranks(&causes, &brings)?;
        let log_none = causes.iter().filter(|c| !c.condition).map(|c| (1.0 - c.prior).ln()).sum();
        Ok(Network { causes, findings, rank, pushed, brings, log_none })
    }

    /// The causes, in the order they were given.
    pub fn causes(&self) -> &[CauseNode] {
        &self.causes
    }

    /// The findings, in the order they were given.
    pub fn findings(&self) -> &[FindingNode] {
        &self.findings
    }

    /// The findings that a cause pushes.
    pub fn pushed_by(&self, cause: usize) -> &[usize] {
        self.pushed.get(cause).map_or(&[], Vec::as_slice)
    }

    /// The causes that a cause brings about.
    pub fn brought_by(&self, cause: usize) -> &[usize] {
        self.brings.get(cause).map_or(&[], Vec::as_slice)
    }

    /// ln P(no cause present), before any evidence.
    pub(in crate::belief) fn log_none(&self) -> f64 {
        self.log_none
    }

    /// Place of a cause in a fixed order in which parents come before the causes they bring about.
    pub(in crate::belief) fn rank(&self, cause: usize) -> usize {
        self.rank[cause]
    }
}

/// For each cause, who names it.
fn turned<I: Iterator<Item = usize>>(causes: usize, named: impl Iterator<Item = I>) -> Vec<Vec<usize>> {
    let mut turned = vec![Vec::new(); causes];
    for (i, names) in named.enumerate() {
        for cause in names {
            turned[cause].push(i);
        }
    }
    turned
}

fn check_probability(place: Place, value: f64) -> Result<(), NetworkError> {
    if (0.0..=1.0).contains(&value) { Ok(()) } else { Err(NetworkError::NotAProbability { place, value }) }
}

fn check_pushes(place: Place, pushes: &[f64]) -> Result<(), NetworkError> {
    pushes.iter().try_for_each(|&p| check_probability(place, p))?;
    let sum: f64 = pushes.iter().sum();
    if sum <= 1.0 + SLACK { Ok(()) } else { Err(NetworkError::SumAboveOne { place, sum }) }
}

fn check_parents(place: Place, parents: impl Iterator<Item = usize>, causes: usize) -> Result<(), NetworkError> {
    let mut seen = std::collections::HashSet::new();
    for cause in parents {
        if cause >= causes {
            return Err(NetworkError::NoSuchCause { place, cause });
        }
        if !seen.insert(cause) {
            return Err(NetworkError::DuplicateLink { place, cause });
        }
    }
    Ok(())
}

fn check_cause(place: Place, cause: &CauseNode, causes: usize) -> Result<(), NetworkError> {
    check_probability(place, cause.prior)?;
    cause.brought_by.iter().try_for_each(|&(_, s)| check_probability(place, s))?;
    check_parents(place, cause.brought_by.iter().map(|&(p, _)| p), causes)
}

fn check_finding(place: Place, finding: &FindingNode, causes: usize) -> Result<(), NetworkError> {
    check_pushes(place, &finding.stray)?;
    check_parents(place, finding.pushes.iter().map(|&(c, _)| c), causes)?;
    for (cause, pushes) in &finding.pushes {
        let (given, states) = (pushes.len(), finding.stray.len());
        if given != states {
            return Err(NetworkError::WrongStates { place, cause: *cause, given, states });
        }
        check_pushes(place, pushes)?;
    }
    Ok(())
}

/// The place of each cause in an order with parents first.
fn ranks(causes: &[CauseNode], brings: &[Vec<usize>]) -> Result<Vec<usize>, NetworkError> {
    let mut waiting: Vec<usize> = causes.iter().map(|c| c.brought_by.len()).collect();
    let mut ready: Vec<usize> = (0..causes.len()).rev().filter(|&c| waiting[c] == 0).collect();
    let mut rank = vec![usize::MAX; causes.len()];
    let mut next = 0;
    while let Some(cause) = ready.pop() {
        rank[cause] = next;
        next += 1;
        for &child in &brings[cause] {
            waiting[child] -= 1;
            if waiting[child] == 0 {
                ready.push(child);
            }
        }
    }
    if next == causes.len() { Ok(rank) } else { Err(NetworkError::Circle { causes: circle(causes, &rank) }) }
}

/// One circle among the causes that got no rank: each of these has a parent without a rank, so going up must come round.
fn circle(causes: &[CauseNode], rank: &[usize]) -> Vec<usize> {
    let unranked = |c: &usize| rank[*c] == usize::MAX;
    let mut path: Vec<usize> = (0..causes.len()).filter(unranked).take(1).collect();
    while let Some(&last) = path.last() {
        let Some(parent) = causes[last].brought_by.iter().map(|&(p, _)| p).find(unranked) else {
            break;
        };
        if let Some(begin) = path.iter().position(|&c| c == parent) {
            return path.split_off(begin);
        }
        path.push(parent);
    }
    path
}
