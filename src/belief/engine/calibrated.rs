//! Evidence swept once: what every question after that starts from.

use super::problem::Problem;
use crate::belief::model::{Network, Seen};
use crate::belief::query::{Factor, Levels, Lives, Role};
use crate::belief::sample::Spread;

/// A problem with its answer: ln P of each part, and the probability of each level of each node.
#[derive(Debug)]
pub struct Calibrated {
    pub problem: Problem,
    pub totals: Vec<f64>,
    pub levels: Vec<f64>,
    /// Room for the levels of a look-ahead.
    pub room: Vec<f64>,
    /// How far the answer may be off; nothing when it is exact.
    pub spread: Option<Spread>,
}

/// What a question reaches beyond the causes that take part: these parts, and these causes, parents first.
pub struct Around {
    parts: Vec<usize>,
    fresh: Vec<usize>,
}

impl Calibrated {
    pub fn new(mut problem: Problem) -> Calibrated {
        let mut levels = vec![0.0; problem.graph.weight.len()];
        let (mut totals, mut spread) = (Vec::with_capacity(problem.parts.len()), None);
        for part in 0..problem.parts.len() {
            let (total, off) = problem.levels(part, &[], &mut levels);
            totals.push(total);
            spread = spread.into_iter().chain(off).reduce(Spread::and);
        }
        Calibrated { room: levels.clone(), problem, totals, levels, spread }
    }

    /// ln P(evidence).
    pub fn log_weight(&self) -> f64 {
        self.totals.iter().fold(self.problem.graph.constant, |sum, total| sum + total)
    }

    /// Probability that a cause or condition is there now, if it takes part.
    pub fn cause(&self, lives: &Lives, cause: usize) -> Option<f64> {
        let node = self.problem.graph.lasting(cause)?;
        Some(self.there(lives, cause, node, &self.levels))
    }

    /// The same from given levels, for what hangs on this node.
    fn there(&self, lives: &Lives, cause: usize, node: usize, levels: &[f64]) -> f64 {
        lives.now_level(cause).map_or(0.0, |level| levels[self.problem.graph.nodes[node].at + level])
    }

    /// Every cause and condition that takes part, with the probability that it is there now.
    pub fn causes(&self, lives: &Lives) -> impl Iterator<Item = (usize, f64)> {
        let all = (0..self.problem.graph.nodes.len()).filter_map(|v| self.hidden(v));
        all.map(|(cause, node)| (cause, self.there(lives, cause, node, &self.levels)))
    }

    /// The cause that a node begins, and the node on which hangs what it pushes.
    fn hidden(&self, node: usize) -> Option<(usize, usize)> {
        match self.problem.graph.nodes[node].role {
            Role::Cause(cause) => Some((cause, self.problem.graph.lasting(cause)?)),
            Role::End(_) | Role::Seen(_) => None,
        }
    }

    /// The causes of a part, each with the probability that it is there now by given levels.
    pub fn causes_of(&self, lives: &Lives, part: usize, levels: &[f64]) -> Vec<(usize, f64)> {
        let hidden = self.problem.parts[part].nodes.iter().filter_map(|&v| self.hidden(v));
        hidden.map(|(cause, node)| (cause, self.there(lives, cause, node, levels))).collect()
    }

    /// The levels of the node of an observation, if it has one that leaves several open.
    pub fn seen(&self, index: usize) -> Option<&[f64]> {
        let node = self.problem.graph.nodes.iter().find(|n| n.role == Role::Seen(index) && n.asked)?;
        Some(&self.levels[node.at..node.at + node.levels])
    }

    /// The states a single look leaves open, if there is more than one.
    pub fn states(&self, net: &Network, index: usize, seen: &Seen) -> Option<Vec<f64>> {
        let levels = self.seen(index)?.iter().copied();
        Some(Levels::of(&seen.weights).spread(levels, &net.findings()[seen.finding]))
    }

    /// What these causes reach.
    pub fn around(&mut self, lives: &Lives, causes: &[usize]) -> Around {
        let net = lives.network;
        let fresh = self.problem.graph.missing(lives, causes.to_vec());
        let parents = fresh.iter().flat_map(|&c| net.causes()[c].brought_by.iter().map(|&(parent, _)| parent));
        let known = parents.chain(causes.iter().copied()).filter_map(|c| self.problem.graph.place(c));
        let mut parts: Vec<usize> = known.map(|node| self.problem.part_of[node]).collect();
        parts.sort_unstable();
        parts.dedup();
        Around { parts, fresh }
    }

    /// The problem of what a question reaches, with one more look if there is one, at a finding not seen before.
    pub fn extended(&self, lives: &Lives, around: &Around, seen: Option<&Seen>) -> Problem {
        let parts = || around.parts.iter().map(|&p| &self.problem.parts[p]);
        let mut nodes: Vec<usize> = parts().flat_map(|part| &part.nodes).copied().collect();
        nodes.sort_unstable();
        let (mut graph, moved) = self.problem.graph.extended(lives, &nodes, &around.fresh);
        if let Some(seen) = seen {
            graph.add_seen(lives, 0, seen, &Levels::of(&seen.weights));
        }
        let guide: Vec<usize> = parts().flat_map(|part| &part.order.sequence).map(|&v| moved[v]).collect();
        Problem::guided(graph, self.problem.limits(), &guide, parts().map(|part| part.order.cost.work).sum())
    }

    /// Table entries that a sweep over what a question reaches touches, at least.
    pub fn work(&self, around: &Around) -> f64 {
        around.parts.iter().map(|&part| self.problem.parts[part].order.cost.work).sum()
    }

    /// ln P of the evidence that a question reaches: what its own sweep compares with.
    pub fn total(&self, around: &Around) -> f64 {
        around.parts.iter().map(|&part| self.totals[part]).sum()
    }

    /// ln P(evidence, causes held by `factors`) of one part, less ln P(evidence).
    pub fn change(&mut self, part: usize, factors: &[Factor]) -> f64 {
        self.problem.total(part, factors) - self.totals[part]
    }
}
