//! Evidence weighed once and asked many times.

use std::collections::HashMap;

use super::contradiction::{Contradiction, blame};
use super::evidence::Seen;
use super::graph::{Graph, Query};
use super::network::Network;
use super::order::Cost;
use super::sampling::{Sampled, sample};
use super::solve::Problem;
use super::swept::Swept;
use super::weigh::{Limits, Method};

/// A network with evidence, ready for questions.
#[derive(Debug)]
pub struct Prepared<'n> {
    network: &'n Network,
    seen: Vec<Seen>,
    limits: Limits,
    base: Base,
    /// Answers so far about causes that take no part in the evidence.
    causes: HashMap<usize, f64>,
}

/// The evidence, swept or else sampled.
#[derive(Debug)]
enum Base {
    Swept(Box<Swept>),
    Sampled(Box<Sampled>),
}

/// One state a finding may turn out to be in.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Probability of the state, given the evidence.
    pub probability: f64,
    /// The causes it bears on, with their probabilities once it is seen. A cause not listed keeps its probability, unless
    /// a listed one could have brought it about.
    pub causes: Vec<(usize, f64)>,
}

/// Below this probability a difference of two sweeps would lose too many digits: a state this rare gets a sweep of its own.
const RARE: f64 = 1e-5;

/// Table entries up to which all causes are swept together: some milliseconds.
const TOGETHER: f64 = 1e7;

impl<'n> Prepared<'n> {
    /// Weighs the evidence.
    ///
    /// # Errors
    /// As [`weigh`](super::weigh).
    pub fn new(network: &'n Network, seen: &[Seen], limits: &Limits) -> Result<Self, Contradiction> {
        seen.iter().try_for_each(|s| s.check(network))?;
        let refs: Vec<&Seen> = seen.iter().collect();
        let query = Query { seen: &refs, ..Query::default() };
        let problem = Problem::new(Graph::new(network, query));
        let base = match limits.allow(problem.cost) {
            true => Base::Swept(Box::new(Swept::new(problem))),
            false => Base::Sampled(Box::new(sample(network, query, limits))),
        };
        let prepared = Prepared { network, seen: seen.to_vec(), limits: *limits, base, causes: HashMap::new() };
        match prepared.log_evidence() == f64::NEG_INFINITY {
            true => Err(prepared.contradiction()),
            false => Ok(prepared),
        }
    }

    /// ln P(evidence).
    pub fn log_evidence(&self) -> f64 {
        match &self.base {
            Base::Swept(swept) => swept.log_weight(),
            Base::Sampled(sampled) => sampled.log_weight,
        }
    }

    /// How the evidence was weighed.
    pub fn method(&self) -> Method {
        match &self.base {
            Base::Swept(swept) => exact(swept.cost()),
            Base::Sampled(sampled) => sampled.method(),
        }
    }

    /// The evidence itself.
    pub fn seen(&self) -> &[Seen] {
        &self.seen
    }

    /// Probability that each cause is present, in the network's order.
    pub fn causes(&mut self) -> Vec<f64> {
        let all: Vec<usize> = (0..self.network.causes().len()).collect();
        // One sweep over all of them where that is cheap; else each is asked by itself.
        let together = self.reaching(&all).filter(|problem| problem.cost.work < TOGETHER).map(Swept::new);
        self.causes.extend(together.iter().flat_map(Swept::causes));
        all.into_iter().map(|c| self.cause(c)).collect()
    }

    /// Probability that a cause is present; 0 for one that is not in the network.
    pub fn cause(&mut self, cause: usize) -> f64 {
        let Some(node) = self.network.causes().get(cause) else {
            return 0.0;
        };
        let taking_part = match &self.base {
            Base::Swept(swept) => swept.cause(cause),
            Base::Sampled(sampled) => sampled.cause(cause),
        };
        if let Some(known) = taking_part.or_else(|| self.causes.get(&cause).copied()) {
            return known;
        }
        if node.brought_by.is_empty() {
            return node.prior;
        }
        let found = self.extended(&[cause]).map(|swept| swept.causes().collect());
        self.causes.extend(found.unwrap_or_else(|| self.resampled(&[], &[cause]).causes));
        self.causes.get(&cause).copied().unwrap_or(0.0)
    }

    /// Probability of each state of a finding: as it was when last seen, else as it would be found now. Empty for one that
    /// is not in the network.
    pub fn finding(&mut self, finding: usize) -> Vec<f64> {
        match self.seen.iter().rposition(|s| s.finding == finding) {
            Some(index) => self.states(index),
            None => self.prediction(finding),
        }
    }

    /// The states an observation leaves open, given all the evidence.
    fn states(&self, index: usize) -> Vec<f64> {
        let seen = &self.seen[index];
        let told = match &self.base {
            Base::Swept(swept) => swept.states(self.network, index, seen),
            Base::Sampled(sampled) => sampled.states(index),
        };
        told.unwrap_or_else(|| shares(&seen.weights))
    }

    fn prediction(&mut self, finding: usize) -> Vec<f64> {
        let Some(node) = self.network.findings().get(finding) else {
            return vec![];
        };
        let network = self.network;
        let quick = self.swept().and_then(|s| s.prediction(network, node));
        let causes: Vec<usize> = node.pushes.iter().map(|&(cause, _)| cause).collect();
        let found = quick.or_else(|| self.extended(&causes)?.prediction(network, node));
        match found {
            Some(states) if states.iter().all(|&p| p >= RARE) => states,
            _ => self.outcomes(finding).into_iter().map(|o| o.probability).collect(),
        }
    }

    /// What looking at a finding may show, one entry for each state, and what each would say of the causes. Empty for a
    /// finding that is not in the network.
    pub fn outcomes(&mut self, finding: usize) -> Vec<Outcome> {
        self.outcomes_after(finding, &[])
    }

    /// The same when the causes in `cured` have been cured before the finding is looked at.
    pub fn outcomes_after(&mut self, finding: usize, cured: &[usize]) -> Vec<Outcome> {
        let Some(node) = self.network.findings().get(finding) else {
            return vec![];
        };
        let network = self.network;
        let causes: Vec<usize> = node.pushes.iter().map(|&(c, _)| c).filter(|c| !cured.contains(c)).collect();
        let quick = self.swept().and_then(|s| s.outcomes(network, node, cured));
        let found = quick.or_else(|| self.extended(&causes)?.outcomes(network, node, cured));
        let state = |k| Seen { cured: cured.to_vec(), ..Seen::state(finding, k, node.states()) };
        let Some(mut outcomes) = found else {
            return self.shares((0..node.states()).map(state));
        };
        let rare = outcomes.iter_mut().enumerate().filter(|(_, o)| o.probability < RARE);
        rare.for_each(|(k, outcome)| *outcome = self.outcome(&state(k)));
        outcomes
    }

    /// One more observation: its probability given the evidence, and the causes after it. What is no observation on this
    /// network has probability 0.
    pub fn outcome(&mut self, seen: &Seen) -> Outcome {
        if seen.check(self.network).is_err() {
            return Outcome { probability: 0.0, causes: vec![] };
        }
        let (network, limits) = (self.network, self.limits);
        if let Some(swept) = self.swept() {
            let pushes = network.findings()[seen.finding].pushes.iter().map(|&(cause, _)| cause);
            let around = swept.around(network, &pushes.filter(|c| !seen.cured.contains(c)).collect::<Vec<_>>());
            let problem = swept.extended(network, &around, Some(seen));
            if limits.allow(problem.cost) {
                let after = Swept::new(problem);
                let probability = (after.log_weight() - swept.total(&around)).exp();
                let causes = if probability > 0.0 { after.causes().collect() } else { vec![] };
                return Outcome { probability, causes };
            }
        }
        let sampled = self.resampled(std::slice::from_ref(seen), &[]);
        Outcome { probability: (sampled.log_weight - self.log_evidence()).exp(), causes: sampled.causes }
    }

    /// Outcomes that are sampled one by one, made to add up to 1.
    fn shares(&mut self, states: impl Iterator<Item = Seen>) -> Vec<Outcome> {
        let mut outcomes: Vec<Outcome> = states.map(|seen| self.outcome(&seen)).collect();
        let sum: f64 = outcomes.iter().map(|o| o.probability).sum();
        outcomes.iter_mut().for_each(|o| o.probability /= sum);
        outcomes
    }

    /// ln P(evidence, all of `present` present, all of `absent` absent); minus infinity when that cannot be.
    pub fn log_weight_of(&mut self, present: &[usize], absent: &[usize]) -> f64 {
        let causes = self.network.causes().len();
        if present.iter().any(|c| absent.contains(c) || *c >= causes) {
            return f64::NEG_INFINITY;
        }
        // What is not in the network is absent.
        let absent = &absent.iter().copied().filter(|&c| c < causes).collect::<Vec<_>>()[..];
        let network = self.network;
        let log_evidence = self.log_evidence();
        if let Some(quick) = self.swept().and_then(|s| s.log_weight_of(network, present, absent)) {
            return quick;
        }
        let held = [present, absent].concat();
        let swept = self.extended(&held).and_then(|mut s| Some(s.log_weight_of(network, present, absent)? - s.log_weight()));
        match swept {
            Some(change) => log_evidence + change,
            None => {
                let seen: Vec<&Seen> = self.seen.iter().collect();
                sample(network, Query { seen: &seen, wanted: &[], present, absent }, &self.limits).log_weight
            }
        }
    }

    /// Probability that none of the network's causes is present.
    pub fn unlisted(&self) -> f64 {
        let none = self.network.log_none();
        let stray = |seen: &Seen| -> f64 {
            let stray = &self.network.findings()[seen.finding].stray;
            let normal = (1.0 - stray.iter().sum::<f64>()).max(0.0);
            std::iter::once(&normal).chain(stray).zip(&seen.weights).map(|(p, w)| p * w).sum()
        };
        let log_weight = self.seen.iter().fold(none, |sum, seen| sum + stray(seen).ln());
        (log_weight - self.log_evidence()).exp().min(1.0)
    }

    fn swept(&mut self) -> Option<&mut Swept> {
        match &mut self.base {
            Base::Swept(swept) => Some(swept),
            Base::Sampled(_) => None,
        }
    }

    /// What these causes reach, swept with them; nothing where that, or the evidence itself, is too wide.
    fn extended(&mut self, causes: &[usize]) -> Option<Swept> {
        let limits = self.limits;
        self.reaching(causes).filter(|problem| limits.allow(problem.cost)).map(Swept::new)
    }

    fn reaching(&mut self, causes: &[usize]) -> Option<Problem> {
        let network = self.network;
        let swept = self.swept()?;
        let around = swept.around(network, causes);
        Some(swept.extended(network, &around, None))
    }

    fn resampled(&self, more: &[Seen], wanted: &[usize]) -> Sampled {
        let seen: Vec<&Seen> = self.seen.iter().chain(more).collect();
        sample(self.network, Query { seen: &seen, wanted, present: &[], absent: &[] }, &self.limits)
    }

    fn contradiction(&self) -> Contradiction {
        blame(&self.seen, &mut |seen| {
            let mut problem = Problem::new(Graph::new(self.network, Query { seen, ..Query::default() }));
            self.limits.allow(problem.cost) && problem.log_weight() > f64::NEG_INFINITY
        })
    }
}

fn exact(cost: Cost) -> Method {
    Method::Exact { width: cost.width(), work: cost.work as u64 }
}

/// A sure state stays sure; several are told apart by their node in the graph.
fn shares(weights: &[f64]) -> Vec<f64> {
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}
