//! Evidence weighed once and asked many times.

use super::calibrated::Calibrated;
use super::conflict::blame;
use super::limits::{Limits, Method};
use super::lookahead::Outcome;
use super::problem::Problem;
use crate::belief::model::{Contradiction, History, Network, Seen};
use crate::belief::query::{Epoch, Grain, Graph, Histories, Lives, Query, epochs};
use crate::belief::sample::Spread;
use std::collections::HashMap;

/// A network with evidence, ready for questions. All answers are about now, after the last repair.
#[derive(Debug)]
pub struct Prepared<'n> {
    lives: Lives<'n>,
    seen: Vec<Seen>,
    base: Calibrated,
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
    swept: Calibrated,
    unseen: Vec<Seen>,
}

/// Below this probability a difference of two sweeps would lose too many digits: a state this rare gets a sweep of its own.
const RARE: f64 = 1e-5;

/// Table entries up to which all causes are swept together: some milliseconds.
const TOGETHER: f64 = 1e7;

impl<'n> Prepared<'n> {
    /// Weighs the evidence.
    ///
    /// # Errors
    /// As [`weigh`](crate::belief::weigh).
    pub fn new(network: &'n Network, history: &History, limits: &Limits) -> Result<Self, Contradiction> {
        history.check(network)?;
        let lives = Lives::new(network, &history.repairs);
        let refs: Vec<&Seen> = history.seen.iter().collect();
        let base = Calibrated::new(Problem::new(Graph::new(&lives, Query::of(&refs)), *limits));
        if base.log_weight() == f64::NEG_INFINITY {
            return Err(contradiction(&lives, &history.seen, *limits, base.problem.is_exact()));
        }
        let seen = history.seen.clone();
        Ok(Prepared { lives, seen, base, causes: HashMap::new(), whole: None, beyond: None, predicted: 0.0 })
    }

    /// ln P(evidence): of all looks, those of every period.
    pub fn log_evidence(&self) -> f64 {
        self.base.log_weight()
    }

    /// How the evidence was weighed.
    pub fn method(&self) -> Method {
        let cost = self.base.problem.cost();
        let whole = self.whole.as_ref().and_then(|w| w.swept.spread);
        match self.base.spread.into_iter().chain(whole).chain(self.beyond).reduce(Spread::and) {
            None => Method::Exact { width: cost.width(), work: cost.work as u64 },
            Some(Spread { samples, effective, standard_error, evidence_error }) => {
                Method::Sampled { samples, effective, standard_error, evidence_error }
            }
        }
    }

    /// Probability that each cause and condition is there now, in the network's order.
    pub fn causes(&mut self) -> Vec<f64> {
        let all: Vec<usize> = (0..self.lives.network.causes().len()).collect();
        let beyond = |c: &usize| self.base.problem.graph.place(*c).is_none() && !self.lives.network.causes()[*c].brought_by.is_empty();
        if !all.iter().any(beyond) {
            return all.into_iter().map(|c| self.cause(c)).collect();
        }
        // All at once where that is cheap, or sampled anyway; else each is asked by itself.
        let together = self.reaching(&all);
        if !self.base.problem.is_exact() || together.is_exact() && together.cost().work < TOGETHER {
            let swept = Calibrated::new(together);
            self.causes.extend(swept.causes(&self.lives));
            self.beyond = swept.spread;
        }
        all.into_iter().map(|c| self.cause(c)).collect()
    }

    /// Probability that a cause or condition is there now; 0 for one that is not in the network.
    pub fn cause(&mut self, cause: usize) -> f64 {
        let Some(node) = self.lives.network.causes().get(cause) else {
            return 0.0;
        };
        if let Some(known) = self.base.cause(&self.lives, cause).or_else(|| self.causes.get(&cause).copied()) {
            return known;
        }
        if node.brought_by.is_empty() {
            return node.prior * self.lives.lasts(cause);
        }
        let extended = self.extended(&[cause]);
        self.whole_if(extended.is_none());
        let told = extended.as_ref().or(self.whole.as_ref().map(|w| &w.swept));
        let told: Vec<(usize, f64)> = told.into_iter().flat_map(|swept| swept.causes(&self.lives)).collect();
        told.into_iter().for_each(|(c, p)| {
            self.causes.entry(c).or_insert(p);
        });
        self.causes.get(&cause).copied().unwrap_or(0.0)
    }

    /// Probability of each state of a finding now. Where it was looked at in this period it is in the state it was in then. Empty for one that
    /// is not in the network.
    pub fn finding(&mut self, finding: usize) -> Vec<f64> {
        let mut looks = self.seen.iter().enumerate().filter(|(_, s)| s.finding == finding);
        match (looks.next(), looks.next()) {
            (None, _) => self.prediction(finding),
            (Some((index, look)), None) if !self.lives.changed(finding, look.period, self.lives.now) => self.states(index),
            _ => self.states_now(finding),
        }
    }

    /// The states that the only look at a finding leaves open, given all the evidence.
    fn states(&self, index: usize) -> Vec<f64> {
        let seen = &self.seen[index];
        let told = self.base.states(self.lives.network, index, seen);
        told.unwrap_or_else(|| shares(&seen.weights))
    }

    /// The states of a finding that was looked at before, all told apart.
    fn states_now(&self, finding: usize) -> Vec<f64> {
        let Some(node) = self.lives.network.findings().get(finding) else {
            return vec![];
        };
        let now = Seen { finding, weights: vec![1.0; node.states()], period: self.lives.now };
        let mut seen: Vec<&Seen> = self.seen.iter().collect();
        seen.push(&now);
        let index = seen.iter().position(|s| s.finding == finding).unwrap_or_default();
        let looks = seen.iter().copied().filter(|s| s.finding == finding).collect();
        let epochs: Vec<Epoch> = epochs(&self.lives, finding, looks);
        let histories = Histories::new(&epochs, Grain::Fine);
        let swept =
            Calibrated::new(Problem::new(Graph::new(&self.lives, Query { fine: Some(finding), ..Query::of(&seen) }), self.limits()));
        let told = swept.seen(index).map(<[f64]>::to_vec);
        histories.last_states(&told.unwrap_or_else(|| shares(&histories.weights)))
    }

    fn limits(&self) -> Limits {
        self.base.problem.limits()
    }

    fn prediction(&mut self, finding: usize) -> Vec<f64> {
        let Some(node) = self.lives.network.findings().get(finding) else {
            return vec![];
        };
        let causes: Vec<usize> = node.pushes.iter().map(|&(cause, _)| cause).collect();
        let around = self.base.around(&self.lives, &causes);
        let work = self.base.work(&around) * node.states() as f64;
        // A sweep for each of a thousand findings may be too much where one for the evidence is not.
        if work > 0.0 && self.predicted + work > self.limits().work as f64 {
            return self.sampled(finding).unwrap_or_default();
        }
        self.predicted += work;
        let quick = self.base.prediction(&self.lives, node);
        let found = quick.or_else(|| self.extended(&causes)?.prediction(&self.lives, node));
        match found {
            Some(states) if states.iter().all(|&p| p >= RARE) => states,
            Some(_) => self.outcomes(finding).into_iter().map(|o| o.probability).collect(),
            None => self.sampled(finding).unwrap_or_default(),
        }
    }

    fn sampled(&mut self, finding: usize) -> Option<Vec<f64>> {
        let (network, known) = (self.lives.network, self.seen.len());
        let Whole { swept, unseen } = self.whole();
        let index = unseen.iter().position(|s| s.finding == finding)?;
        swept.states(network, known + index, &unseen[index])
    }

    fn whole_if(&mut self, wanted: bool) {
        if wanted {
            self.whole();
        }
    }

    fn whole(&mut self) -> &Whole {
        let Prepared { lives, seen, base, whole, .. } = self;
        whole.get_or_insert_with(|| {
            let network = lives.network;
            let known = |f: &usize| seen.iter().any(|s| s.finding == *f);
            let silent = |f: usize| Seen { finding: f, weights: vec![1.0; network.findings()[f].states()], period: lives.now };
            let unseen: Vec<Seen> = (0..network.findings().len()).filter(|f| !known(f)).map(silent).collect();
            let all: Vec<&Seen> = seen.iter().chain(&unseen).collect();
            let wanted: Vec<usize> = (0..network.causes().len()).collect();
            let graph = Graph::new(lives, Query { wanted: &wanted, ..Query::of(&all) });
            Whole { swept: Calibrated::new(Problem::new(graph, base.problem.limits())), unseen }
        })
    }

    /// What looking at a finding now may show, one entry for each state, and what each would say of the causes. Empty for a
    /// finding that is not in the network.
    pub fn outcomes(&mut self, finding: usize) -> Vec<Outcome> {
        let Some(node) = self.lives.network.findings().get(finding) else {
            return vec![];
        };
        let state = |k| Seen::state(finding, k, node.states()).in_period(self.lives.now);
        let looks: Vec<Seen> = (0..node.states()).map(state).collect();
        if self.seen.iter().any(|s| s.finding == finding) {
            return looks.iter().map(|look| self.outcome(look)).collect();
        }
        let causes: Vec<usize> = node.pushes.iter().map(|&(c, _)| c).collect();
        let quick = self.base.outcomes(&self.lives, node);
        let found = quick.or_else(|| self.extended(&causes)?.outcomes(&self.lives, node));
        let Some(mut outcomes) = found else {
            return self.shares(looks.iter());
        };
        let rare = outcomes.iter_mut().zip(&looks).filter(|(o, _)| o.probability < RARE);
        rare.for_each(|(outcome, look)| *outcome = self.outcome(look));
        outcomes
    }

    /// One more look: its probability given the evidence, and the causes after it. What is no look at this network has
    /// probability 0.
    pub fn outcome(&mut self, seen: &Seen) -> Outcome {
        let nothing = Outcome { probability: 0.0, causes: vec![] };
        if seen.check(self.lives.network, self.lives.now).is_err() {
            return nothing;
        }
        let (after, before) = match self.seen.iter().any(|s| s.finding == seen.finding) {
            true => {
                let all: Vec<&Seen> = self.seen.iter().chain([seen]).collect();
                let problem = Problem::new(Graph::new(&self.lives, Query::of(&all)), self.limits());
                (Calibrated::new(problem), self.log_evidence())
            }
            false => {
                let pushes = self.lives.network.findings()[seen.finding].pushes.iter().map(|&(cause, _)| cause);
                let around = self.base.around(&self.lives, &pushes.collect::<Vec<_>>());
                (Calibrated::new(self.base.extended(&self.lives, &around, Some(seen))), self.base.total(&around))
            }
        };
        let probability = (after.log_weight() - before).exp();
        if probability > 0.0 { Outcome { probability, causes: after.causes(&self.lives).collect() } } else { nothing }
    }

    /// Outcomes that are sampled one by one, made to add up to 1.
    fn shares<'s>(&mut self, looks: impl Iterator<Item = &'s Seen>) -> Vec<Outcome> {
        let mut outcomes: Vec<Outcome> = looks.map(|seen| self.outcome(seen)).collect();
        let sum: f64 = outcomes.iter().map(|o| o.probability).sum();
        outcomes.iter_mut().filter(|_| sum > 0.0).for_each(|o| o.probability /= sum);
        outcomes
    }

    /// ln P(evidence, all of `present` there now, none of `absent`); minus infinity when that cannot be.
    pub fn log_weight_of(&mut self, present: &[usize], absent: &[usize]) -> f64 {
        let causes = self.lives.network.causes().len();
        if present.iter().any(|c| absent.contains(c) || *c >= causes) {
            return f64::NEG_INFINITY;
        }
        // What is not in the network is absent.
        let absent = &absent.iter().copied().filter(|&c| c < causes).collect::<Vec<_>>()[..];
        if let Some(quick) = self.base.log_weight_of(&self.lives, present, absent) {
            return quick;
        }
        let mut swept = Calibrated::new(self.reaching(&[present, absent].concat()));
        let change = swept.log_weight_of(&self.lives, present, absent).map(|held| held - swept.log_weight());
        self.log_evidence() + change.unwrap_or(0.0)
    }

    /// Probability that none of the network's causes was there at intake.
    pub fn unlisted(&self) -> f64 {
        let seen: Vec<&Seen> = self.seen.iter().collect();
        let graph = Graph::new(&self.lives, Query { no_cause: true, ..Query::of(&seen) });
        let log_weight = Problem::new(graph, self.limits()).log_weight();
        (log_weight - self.log_evidence()).exp().min(1.0)
    }

    /// What these causes reach, swept with them; nothing where that is too wide.
    fn extended(&mut self, causes: &[usize]) -> Option<Calibrated> {
        let problem = self.reaching(causes);
        problem.is_exact().then(|| Calibrated::new(problem))
    }

    fn reaching(&mut self, causes: &[usize]) -> Problem {
        let around = self.base.around(&self.lives, causes);
        self.base.extended(&self.lives, &around, None)
    }
}

fn contradiction(lives: &Lives, seen: &[Seen], limits: Limits, exact: bool) -> Contradiction {
    blame(seen, !exact, &mut |places| {
        let kept: Vec<&Seen> = places.iter().map(|&i| &seen[i]).collect();
        Problem::new(Graph::new(lives, Query::of(&kept)), limits).log_weight() > f64::NEG_INFINITY
    })
}

/// A sure state stays sure; several are told apart by their node in the graph.
fn shares(weights: &[f64]) -> Vec<f64> {
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}
