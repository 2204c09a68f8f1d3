//! Evidence weighed once and asked many times.

use std::collections::HashMap;

use super::contradiction::{Contradiction, blame};
use super::evidence::{History, Look, Seen};
use super::graph::{Graph, Query};
use super::network::Network;
use super::solve::{Problem, Spread};
use super::swept::Swept;
use super::weigh::{Limits, Method};

/// A network with evidence, ready for questions.
#[derive(Debug)]
pub struct Prepared<'n> {
    network: &'n Network,
    seen: Vec<Look>,
    cured: Vec<usize>,
    base: Swept,
    /// Answers so far about causes that take no part in the evidence.
    causes: HashMap<usize, f64>,
    /// Everything sampled at once, for questions whose own sweep would be too wide.
    whole: Option<Whole>,
    /// How far answers beyond the evidence's own causes may be off.
    beyond: Option<Spread>,
    /// Table entries touched for predictions so far.
    predicted: f64,
}

/// The evidence with all causes, and with every finding not seen as an observation that says nothing.
#[derive(Debug)]
struct Whole {
    swept: Swept,
    unseen: Vec<Look>,
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
    pub fn new(network: &'n Network, history: &History, limits: &Limits) -> Result<Self, Contradiction> {
        let seen = &history.looks()[..];
        seen.iter().try_for_each(|s| s.check(network))?;
        let refs: Vec<&Look> = seen.iter().collect();
        let query = Query { seen: &refs, ..Query::default() };
        let base = Swept::new(Problem::new(Graph::new(network, query), *limits));
        if base.log_weight() == f64::NEG_INFINITY {
            return Err(contradiction(network, seen, *limits, base.problem.is_exact()));
        }
        Ok(Prepared {
            network,
            seen: seen.to_vec(),
            cured: history.cured(history.now()),
            base,
            causes: HashMap::new(),
            whole: None,
            beyond: None,
            predicted: 0.0,
        })
    }

    /// ln P(evidence).
    pub fn log_evidence(&self) -> f64 {
        self.base.log_weight()
    }

    /// How the evidence was weighed.
    pub fn method(&self) -> Method {
        let (cost, samples) = (self.base.problem.cost(), self.base.problem.limits().samples);
        let whole = self.whole.as_ref().and_then(|w| w.swept.spread);
        match self.base.spread.into_iter().chain(whole).chain(self.beyond).reduce(Spread::and) {
            None => Method::Exact { width: cost.width(), work: cost.work as u64 },
            Some(Spread { effective, standard_error, evidence_error }) => {
                Method::Sampled { samples, effective, standard_error, evidence_error }
            }
        }
    }

    /// The evidence itself.
    pub fn seen(&self) -> &[Look] {
        &self.seen
    }

    /// Probability that each cause is present, in the network's order.
    pub fn causes(&mut self) -> Vec<f64> {
        let all: Vec<usize> = (0..self.network.causes().len()).collect();
        let beyond = |c: &usize| self.base.problem.graph.place(*c).is_none() && !self.network.causes()[*c].brought_by.is_empty();
        if !all.iter().any(beyond) {
            return all.into_iter().map(|c| self.cause(c)).collect();
        }
        // All at once where that is cheap, or sampled anyway; else each is asked by itself.
        let together = self.reaching(&all);
        if !self.base.problem.is_exact() || together.is_exact() && together.cost().work < TOGETHER {
            let swept = Swept::new(together);
            self.causes.extend(swept.causes());
            self.beyond = swept.spread;
        }
        all.into_iter().map(|c| self.cause(c)).collect()
    }

    /// Probability that a cause is present; 0 for one that is not in the network.
    pub fn cause(&mut self, cause: usize) -> f64 {
        let Some(node) = self.network.causes().get(cause) else {
            return 0.0;
        };
        if let Some(known) = self.base.cause(cause).or_else(|| self.causes.get(&cause).copied()) {
            return known;
        }
        if node.brought_by.is_empty() {
            return node.prior;
        }
        let extended = self.extended(&[cause]);
        let told: Vec<(usize, f64)> = extended.as_ref().unwrap_or_else(|| &self.whole().swept).causes().collect();
        told.into_iter().for_each(|(c, p)| {
            self.causes.entry(c).or_insert(p);
        });
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
        let told = self.base.states(self.network, index, seen);
        told.unwrap_or_else(|| shares(&seen.weights))
    }

    fn prediction(&mut self, finding: usize) -> Vec<f64> {
        let Some(node) = self.network.findings().get(finding) else {
            return vec![];
        };
        let network = self.network;
        let causes: Vec<usize> = node.pushes.iter().map(|&(cause, _)| cause).collect();
        let around = self.base.around(network, &causes);
        let work = self.base.work(&around) * node.states() as f64;
        // A sweep for each of a thousand findings may be too much where one for the evidence is not.
        if work > 0.0 && self.predicted + work > self.base.problem.limits().work as f64 {
            return self.sampled(finding).unwrap_or_default();
        }
        self.predicted += work;
        let quick = self.base.prediction(network, node);
        let found = quick.or_else(|| self.extended(&causes)?.prediction(network, node));
        match found {
            Some(states) if states.iter().all(|&p| p >= RARE) => states,
            Some(_) => self.outcomes(finding).into_iter().map(|o| o.probability).collect(),
            None => self.sampled(finding).unwrap_or_default(),
        }
    }

    fn sampled(&mut self, finding: usize) -> Option<Vec<f64>> {
        let (network, known) = (self.network, self.seen.len());
        let Whole { swept, unseen } = self.whole();
        let index = unseen.iter().position(|s| s.finding == finding)?;
        swept.states(network, known + index, &unseen[index])
    }

    fn whole(&mut self) -> &Whole {
        let Prepared { network, seen, base, whole, .. } = self;
        whole.get_or_insert_with(|| {
            let known = |f: &usize| seen.iter().any(|s| s.finding == *f);
            let silent = |f: usize| Look { finding: f, weights: vec![1.0; network.findings()[f].states()], cured: vec![] };
            let unseen: Vec<Look> = (0..network.findings().len()).filter(|f| !known(f)).map(silent).collect();
            let all: Vec<&Look> = seen.iter().chain(&unseen).collect();
            let wanted: Vec<usize> = (0..network.causes().len()).collect();
            let graph = Graph::new(network, Query { seen: &all, wanted: &wanted, ..Query::default() });
            Whole { swept: Swept::new(Problem::new(graph, base.problem.limits())), unseen }
        })
    }

    /// What looking at a finding may show, one entry for each state, and what each would say of the causes. Empty for a
    /// finding that is not in the network.
    pub fn outcomes(&mut self, finding: usize) -> Vec<Outcome> {
        {
            let cured = self.cured.clone();
            self.outcomes_after(finding, &cured)
        }
    }

    /// The same when the causes in `cured` have been cured before the finding is looked at.
    fn outcomes_after(&mut self, finding: usize, cured: &[usize]) -> Vec<Outcome> {
        let Some(node) = self.network.findings().get(finding) else {
            return vec![];
        };
        let network = self.network;
        let causes: Vec<usize> = node.pushes.iter().map(|&(c, _)| c).filter(|c| !cured.contains(c)).collect();
        let quick = self.base.outcomes(network, node, cured);
        let found = quick.or_else(|| self.extended(&causes)?.outcomes(network, node, cured));
        let state = |k| Look { cured: cured.to_vec(), ..Look::state(finding, k, node.states()) };
        let Some(mut outcomes) = found else {
            return self.shares((0..node.states()).map(state));
        };
        let rare = outcomes.iter_mut().enumerate().filter(|(_, o)| o.probability < RARE);
        rare.for_each(|(k, outcome)| *outcome = self.outcome_of(&state(k)));
        outcomes
    }

    /// One more observation: its probability given the evidence, and the causes after it. What is no observation on this
    /// network has probability 0.
    pub fn outcome(&mut self, seen: &Seen) -> Outcome {
        let cured = self.cured.clone();
        self.outcome_of(&Look { finding: seen.finding, weights: seen.weights.clone(), cured })
    }

    fn outcome_of(&mut self, seen: &Look) -> Outcome {
        if seen.check(self.network).is_err() {
            return Outcome { probability: 0.0, causes: vec![] };
        }
        let pushes = self.network.findings()[seen.finding].pushes.iter().map(|&(cause, _)| cause);
        let around = self.base.around(self.network, &pushes.filter(|c| !seen.cured.contains(c)).collect::<Vec<_>>());
        let after = Swept::new(self.base.extended(self.network, &around, Some(seen)));
        let probability = (after.log_weight() - self.base.total(&around)).exp();
        let causes = if probability > 0.0 { after.causes().collect() } else { vec![] };
        Outcome { probability, causes }
    }

    /// Outcomes that are sampled one by one, made to add up to 1.
    fn shares(&mut self, states: impl Iterator<Item = Look>) -> Vec<Outcome> {
        let mut outcomes: Vec<Outcome> = states.map(|seen| self.outcome_of(&seen)).collect();
        let sum: f64 = outcomes.iter().map(|o| o.probability).sum();
        outcomes.iter_mut().filter(|_| sum > 0.0).for_each(|o| o.probability /= sum);
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
        if let Some(quick) = self.base.log_weight_of(network, present, absent) {
            return quick;
        }
        let mut swept = Swept::new(self.reaching(&[present, absent].concat()));
        let change = swept.log_weight_of(network, present, absent).map(|held| held - swept.log_weight());
        self.log_evidence() + change.unwrap_or(0.0)
    }

    /// Probability that none of the network's causes is present.
    pub fn unlisted(&self) -> f64 {
        let none = self.network.log_none();
        let stray = |seen: &Look| -> f64 {
            let stray = &self.network.findings()[seen.finding].stray;
            let normal = (1.0 - stray.iter().sum::<f64>()).max(0.0);
            std::iter::once(&normal).chain(stray).zip(&seen.weights).map(|(p, w)| p * w).sum()
        };
        let log_weight = self.seen.iter().fold(none, |sum, seen| sum + stray(seen).ln());
        (log_weight - self.log_evidence()).exp().min(1.0)
    }

    /// What these causes reach, swept with them; nothing where that is too wide.
    fn extended(&mut self, causes: &[usize]) -> Option<Swept> {
        let problem = self.reaching(causes);
        problem.is_exact().then(|| Swept::new(problem))
    }

    fn reaching(&mut self, causes: &[usize]) -> Problem {
        let around = self.base.around(self.network, causes);
        self.base.extended(self.network, &around, None)
    }
}

fn contradiction(network: &Network, seen: &[Look], limits: Limits, exact: bool) -> Contradiction {
    blame(seen, !exact, &mut |places| {
        let kept: Vec<&Look> = places.iter().map(|&i| &seen[i]).collect();
        let query = Query { seen: &kept, ..Query::default() };
        Problem::new(Graph::new(network, query), limits).log_weight() > f64::NEG_INFINITY
    })
}

/// A sure state stays sure; several are told apart by their node in the graph.
fn shares(weights: &[f64]) -> Vec<f64> {
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}
