//! The stated approximation for queries too wide to sweep: importance sampling over the causes, seeded and repeatable.
//!
//! Each sample draws the causes from their own probabilities given the parents drawn, weighed by the normal findings, and
//! counts with the likelihood of the other observations. The output always says that this was done, and how far off it is.

use super::evidence::Levels;
use super::evidence::Seen;
use super::fold::Numbers;
use super::graph::{Graph, Query, Role};
use super::network::Network;
use super::weigh::{Limits, Method};

/// What sampling found, and how sure it is.
#[derive(Debug)]
pub(super) struct Sampled {
    pub log_weight: f64,
    pub causes: Vec<(usize, f64)>,
    /// By place in the query.
    pub seen: Vec<(usize, Vec<f64>)>,
    pub samples: u32,
    /// How many samples of equal weight would be as good.
    pub effective: f64,
    /// Largest standard error of any cause's probability.
    pub standard_error: f64,
}

impl Sampled {
    pub fn method(&self) -> Method {
        let Sampled { samples, effective, standard_error, .. } = *self;
        Method::Sampled { samples, effective, standard_error }
    }

    pub fn cause(&self, cause: usize) -> Option<f64> {
        self.causes.iter().find(|(c, _)| *c == cause).map(|&(_, p)| p)
    }

    pub fn states(&self, index: usize) -> Option<Vec<f64>> {
        self.seen.iter().find(|(i, _)| *i == index).map(|(_, states)| states.clone())
    }
}

/// A small generator with a 64-bit state (splitmix64; Steele, Lea & Flood 2014): repeatable everywhere.
struct Random(u64);

impl Random {
    /// Uniform in 0..1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Draws `samples` states of all causes and weighs them.
pub(super) fn sample(net: &Network, query: Query, limits: &Limits) -> Sampled {
    let Limits { samples, seed, .. } = *limits;
    let mut graph = Graph::new(net, query);
    graph.weight = Numbers::of(&graph).weight;
    let mut random = Random(seed);
    let draws: Vec<(f64, Vec<f64>)> = (0..samples.max(1)).map(|_| draw(&graph, &mut random)).collect();
    let top = draws.iter().map(|d| d.0).fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = draws.iter().map(|d| (d.0 - top).exp()).collect();
    let (sum, squares) = (weights.iter().sum::<f64>(), weights.iter().map(|w| w * w).sum::<f64>());
    let mean = |i: usize| draws.iter().zip(&weights).map(|(d, w)| d.1[i] * w).sum::<f64>() / sum;
    let joint: Vec<f64> = (0..graph.weight.len()).map(mean).collect();
    let error = |i: usize| {
        let spread = draws.iter().zip(&weights).map(|(d, w)| (w * (d.1[i] - joint[i])).powi(2)).sum::<f64>();
        spread.sqrt() / sum
    };
    let standard_error = (0..joint.len()).map(error).fold(0.0, f64::max);
    let log_weight = if sum > 0.0 { top + (sum / weights.len() as f64).ln() + graph.constant } else { f64::NEG_INFINITY };
    let (mut causes, mut observations) = (vec![], vec![]);
    for node in &graph.nodes {
        let levels = joint[node.at..node.at + node.levels].iter().copied();
        match node.role {
            Role::Cause(cause) => causes.push((cause, joint[node.at + 1])),
            Role::Seen(i) => {
                let seen: &Seen = query.seen[i];
                let states = Levels::of(&seen.weights).spread(levels, &net.findings()[seen.finding]);
                observations.push((i, states));
            }
        }
    }
    Sampled { log_weight, causes, seen: observations, samples, effective: sum * sum / squares, standard_error }
}

/// One sample: the logarithm of its weight, and the probability of each level of each node given the causes drawn.
fn draw(graph: &Graph, random: &mut Random) -> (f64, Vec<f64>) {
    let mut levels = graph.start.clone();
    let mut log_weight = 0.0;
    for (v, node) in graph.nodes.iter().enumerate() {
        let range = node.at..node.at + node.levels;
        let total: f64 = range.clone().map(|i| levels[i] * graph.weight[i]).sum();
        log_weight += total.ln();
        for i in range {
            levels[i] = if total > 0.0 { levels[i] * graph.weight[i] / total } else { 0.0 };
        }
        if matches!(node.role, Role::Cause(_)) {
            let present = random.next() < levels[node.at + 1];
            levels[node.at] = f64::from(u8::from(!present));
            levels[node.at + 1] = f64::from(u8::from(present));
            for l in graph.outs(v).filter(|_| present) {
                apply(graph, l, &mut levels);
            }
        }
    }
    (log_weight, levels)
}

/// The highest of what the target had reached and what the link pushes it to.
fn apply(graph: &Graph, link: usize, levels: &mut [f64]) {
    let link = graph.links[link];
    let (at, count) = (graph.nodes[link.to].at, graph.nodes[link.to].levels);
    let (mut below, mut reach) = (0.0, 0.0);
    for j in 0..count {
        let (old, p) = (levels[at + j], graph.push[link.at + j]);
        reach += p;
        levels[at + j] = old * reach + below * p;
        below += old;
    }
}
