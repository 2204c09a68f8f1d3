//! Evidence weighed once and asked many times: the planner's look-ahead.

use std::collections::HashMap;

use super::contradiction::{Contradiction, blame};
use super::evidence::Seen;
use super::graph::Query;
use super::network::Network;
use super::sampling::sample;
use super::solve::{Engine, Solution};
use super::weigh::{Limits, Method};

/// A network with evidence, ready for questions.
#[derive(Debug)]
pub struct Prepared<'n> {
    network: &'n Network,
    seen: Vec<Seen>,
    limits: Limits,
    engine: Engine,
    log_evidence: f64,
    method: Method,
    causes: HashMap<usize, f64>,
    states: HashMap<usize, Vec<f64>>,
}

/// One state a finding may turn out to be in.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Probability of the state, given the evidence.
    pub probability: f64,
    /// The causes that could have shown in this or in what was known, with their probabilities once it is seen. A cause not
    /// listed keeps its probability unless a listed one could have brought it about.
    pub causes: Vec<(usize, f64)>,
}

/// All that looking at one finding may show; one entry for each state.
pub type Outcomes = Vec<Outcome>;

impl<'n> Prepared<'n> {
    /// Weighs the evidence.
    ///
    /// # Errors
    /// As [`weigh`](super::weigh).
    pub fn new(network: &'n Network, seen: &[Seen], limits: &Limits) -> Result<Self, Contradiction> {
        seen.iter().try_for_each(|s| s.check(network))?;
        let method = Method::Exact { width: 0, work: 0 };
        let mut prepared = Prepared {
            network,
            seen: seen.to_vec(),
            limits: *limits,
            engine: Engine::default(),
            log_evidence: 0.0,
            method,
            causes: HashMap::new(),
            states: HashMap::new(),
        };
        prepared.begin()?;
        Ok(prepared)
    }

    fn begin(&mut self) -> Result<(), Contradiction> {
        let (solution, method) = self.ask(&[], &[]);
        if solution.log_weight == f64::NEG_INFINITY {
            return Err(self.contradiction());
        }
        self.log_evidence = solution.log_weight;
        self.method = method;
        self.causes.extend(solution.causes);
        let mut told_apart: HashMap<usize, Vec<f64>> = solution.seen.into_iter().collect();
        for (i, seen) in self.seen.iter().enumerate() {
            let states = told_apart.remove(&i).unwrap_or_else(|| shares(&seen.weights));
            self.states.insert(seen.finding, states);
        }
        Ok(())
    }

    /// ln P(evidence).
    pub fn log_evidence(&self) -> f64 {
        self.log_evidence
    }

    /// How the evidence was weighed.
    pub fn method(&self) -> Method {
        self.method
    }

    /// Probability that a cause is present; 0 for one that is not in the network.
    pub fn cause(&mut self, cause: usize) -> f64 {
        let Some(node) = self.network.causes().get(cause) else {
            return 0.0;
        };
        if let Some(&known) = self.causes.get(&cause) {
            return known;
        }
        if node.brought_by.is_empty() {
            return node.prior;
        }
        let found = self.ask(&[], &[cause]).0.causes;
        self.causes.extend(found);
        self.causes.get(&cause).copied().unwrap_or(0.0)
    }

    /// Probability of each state of a finding; empty for one that is not in the network.
    pub fn finding(&mut self, finding: usize) -> Vec<f64> {
        if let Some(known) = self.states.get(&finding) {
            return known.clone();
        }
        let Some(node) = self.network.findings().get(finding) else {
            return vec![];
        };
        let open = Seen { finding, weights: vec![1.0; node.states()], cured: vec![] };
        let found = self.ask(&[open], &[]).0.seen.pop();
        let states = found.map_or(vec![1.0], |(_, states)| states);
        self.states.insert(finding, states.clone());
        states
    }

    /// What looking at a finding may show, and what each state would say of the causes. Empty for a finding that is not in
    /// the network.
    pub fn outcomes(&mut self, finding: usize) -> Outcomes {
        let states = self.network.findings().get(finding).map_or(0, |node| node.states());
        (0..states).map(|k| self.outcome(&Seen::state(finding, k, states))).collect()
    }

    /// One more observation: its probability given the evidence, and the causes after it.
    pub fn outcome(&mut self, seen: &Seen) -> Outcome {
        let solution = self.ask(std::slice::from_ref(seen), &[]).0;
        let probability = (solution.log_weight - self.log_evidence).exp();
        Outcome { probability, causes: solution.causes }
    }

    /// ln P(evidence, all of `present` present, all of `absent` absent); minus infinity when that cannot be.
    pub fn log_weight_of(&mut self, present: &[usize], absent: &[usize]) -> f64 {
        if present.iter().any(|c| absent.contains(c)) {
            return f64::NEG_INFINITY;
        }
        let seen: Vec<&Seen> = self.seen.iter().collect();
        let query = Query { seen: &seen, wanted: &[], present, absent };
        match self.engine.log_weight(self.network, query, &self.limits) {
            Ok(log_weight) => log_weight,
            Err(_) => sample(self.network, query, self.limits.samples, self.limits.seed).solution.log_weight,
        }
    }

    /// Probability that none of the network's causes is present.
    pub fn unlisted(&mut self) -> f64 {
        let all: Vec<usize> = (0..self.network.causes().len()).collect();
        (self.log_weight_of(&[], &all) - self.log_evidence).exp()
    }

    /// The evidence and something more, exact where the limits allow.
    fn ask(&mut self, more: &[Seen], wanted: &[usize]) -> (Solution, Method) {
        let seen: Vec<&Seen> = self.seen.iter().chain(more).collect();
        let query = Query { seen: &seen, wanted, present: &[], absent: &[] };
        match self.engine.solve(self.network, query, &self.limits) {
            Ok(solution) => {
                let method = Method::Exact { width: solution.cost.width(), work: solution.cost.work as u64 };
                (solution, method)
            }
            Err(_) => {
                let samples = self.limits.samples;
                let sampled = sample(self.network, query, samples, self.limits.seed);
                let (effective, standard_error) = (sampled.effective, sampled.standard_error);
                (sampled.solution, Method::Sampled { samples, effective, standard_error })
            }
        }
    }

    fn contradiction(&mut self) -> Contradiction {
        let (network, limits, engine) = (self.network, self.limits, &mut self.engine);
        blame(&self.seen, &mut |seen| {
            let query = Query { seen, ..Query::default() };
            engine.log_weight(network, query, &limits).is_ok_and(|w| w > f64::NEG_INFINITY)
        })
    }
}

/// A sure state stays sure; several are told apart by their node in the graph.
fn shares(weights: &[f64]) -> Vec<f64> {
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}
