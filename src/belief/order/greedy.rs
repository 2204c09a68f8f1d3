//! The order of a core: which node to complete next, so that the table stays small.
//!
//! Two ways are tried, and the cheaper order kept. Leaf by leaf: complete the leaf that leaves the fewest bits open, with
//! all its ancestors and everything these push. Node by node: of all nodes, pull the leaf or push the cause that leaves the
//! fewest bits open; parents may be held open, which serves causes with many leaves.

use super::schedule::Schedule;
use crate::belief::query::Graph;

fn bits(graph: &Graph, v: usize) -> f64 {
    match graph.nodes[v].levels {
        2 => 1.0,
        levels => (levels as f64).log2(),
    }
}

/// Completes leaf after leaf, with all that stands above it.
pub fn leaf_by_leaf(schedule: &mut Schedule, core: &[usize], reach: &mut Reach) {
    let mut leaves: Vec<usize> = core.iter().copied().filter(|&v| schedule.outs[v] == 0).collect();
    reach.patience = PATIENCE;
    while !leaves.is_empty() {
        let grown = leaves.iter().map(|&v| if reach.patience > 0 { reach.growth(schedule, v) } else { 0.0 });
        let best = grown.enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((i, _)) = best else { break };
        let leaf = leaves.swap_remove(i);
        reach.growth(schedule, leaf);
        let mut above = std::mem::take(&mut reach.above);
        above.sort_unstable();
        above.iter().for_each(|&u| schedule.complete(u));
        schedule.complete(leaf);
        leaves.retain(|&v| schedule.ins[v] > 0);
        reach.above = above;
    }
}

/// Links looked at before the rest of the leaves are taken as they come; some hundredths of a second.
const PATIENCE: usize = 10_000_000;

/// What completing a leaf with all its ancestors would open and close.
#[derive(Debug)]
pub struct Reach {
    above: Vec<usize>,
    is_above: Vec<bool>,
    pushes: Vec<u32>,
    touched: Vec<usize>,
    patience: usize,
}

impl Reach {
    pub fn new(graph: &Graph) -> Reach {
        let size = graph.nodes.len();
        Reach { above: vec![], is_above: vec![false; size], pushes: vec![0; size], touched: vec![], patience: 0 }
    }

    /// Growth of the table in bits, a little more for each node opened. Leaves the ancestors in `above`.
    fn growth(&mut self, schedule: &Schedule, leaf: usize) -> f64 {
        let graph = schedule.graph;
        self.above.clear();
        self.climb(schedule, leaf);
        let mut next = 0;
        let mut growth = 0.0;
        while let Some(&u) = self.above.get(next) {
            growth -= if schedule.is_open[u] { bits(graph, u) } else { 0.0 };
            self.climb(schedule, u);
            next += 1;
            for l in schedule.left_out(u) {
                self.patience = self.patience.saturating_sub(1);
                let to = graph.links[l].to;
                if self.pushes[to] == 0 {
                    self.touched.push(to);
                }
                self.pushes[to] += 1;
            }
        }
        for to in self.touched.drain(..) {
            let ends = schedule.outs[to] == 0 && self.pushes[to] == schedule.ins[to];
            growth += match (self.is_above[to], schedule.is_open[to], ends) {
                (true, _, _) | (_, true, false) | (_, false, true) => 0.0,
                (_, true, true) => -bits(graph, to),
                (_, false, false) => bits(graph, to) + 0.01,
            };
            self.pushes[to] = 0;
        }
        self.above.iter().for_each(|&u| self.is_above[u] = false);
        growth
    }

    fn climb(&mut self, schedule: &Schedule, v: usize) {
        for l in schedule.left_in(v) {
            let parent = schedule.graph.links[l].from;
            if !std::mem::replace(&mut self.is_above[parent], true) {
                self.above.push(parent);
            }
        }
    }
}

/// Completes node after node, each by itself.
pub fn node_by_node(schedule: &mut Schedule, core: &[usize]) {
    let mut scores: Vec<Option<f64>> = vec![None; schedule.graph.nodes.len()];
    let mut left: Vec<usize> = core.to_vec();
    loop {
        left.retain(|&v| schedule.ins[v] + schedule.outs[v] > 0);
        let scored = left.iter().map(|&v| (v, *scores[v].get_or_insert_with(|| score(schedule, v))));
        let Some((v, _)) = scored.min_by(|a, b| a.1.total_cmp(&b.1)) else {
            break;
        };
        spoil(schedule, v, &mut scores);
        schedule.complete(v);
    }
}

/// Completes nodes in the order of a guide, which need not know all of them: the others come as soon as they leave the
/// table no larger, else at the end.
pub fn guided(schedule: &mut Schedule, guide: &[usize], others: &[usize]) {
    let mut others = others.to_vec();
    for &v in guide {
        others.retain(|&other| {
            let now = score(schedule, other) <= 0.0;
            if now {
                schedule.complete(other);
            }
            !now
        });
        schedule.complete(v);
    }
    others.into_iter().for_each(|v| schedule.complete(v));
}

/// Growth of the table in bits when a node alone is completed, its parents held open.
fn score(schedule: &Schedule, v: usize) -> f64 {
    let graph = schedule.graph;
    let opened = |w: usize| {
        if schedule.is_open[w] { 0.0 } else { bits(graph, w) + 0.01 }
    };
    let mut growth = if schedule.is_open[v] { -bits(graph, v) } else { 0.01 };
    for l in schedule.left_in(v) {
        let parent = graph.links[l].from;
        growth += opened(parent) - if schedule.outs[parent] == 1 { bits(graph, parent) } else { 0.0 };
        // What stands above a parent that is not ready comes with it.
        growth += f64::from(schedule.ins[parent]);
    }
    for l in schedule.left_out(v) {
        let to = graph.links[l].to;
        let ends = schedule.ins[to] == 1 && schedule.outs[to] == 0;
        growth += opened(to) - if ends { bits(graph, to) } else { 0.0 };
    }
    growth
}

/// Forgets the scores that completing a node changes: of everything within two links.
fn spoil(schedule: &Schedule, v: usize, scores: &mut [Option<f64>]) {
    let graph = schedule.graph;
    let near = |w: usize| {
        let ins = schedule.left_in(w).map(|l| graph.links[l].from);
        ins.chain(schedule.left_out(w).map(|l| graph.links[l].to)).collect::<Vec<_>>()
    };
    if schedule.left_in(v).any(|l| schedule.ins[graph.links[l].from] > 0) {
        scores.fill(None);
    }
    for w in near(v) {
        scores[w] = None;
        near(w).into_iter().for_each(|x| scores[x] = None);
    }
}
