//! Turns "complete this node next" into steps, and counts what they take.
//!
//! To complete a cause is to push everything it pushes; to complete a leaf is to pull it from all its parents, which may
//! stay open for what else they push. Either way parents come first, and a node closes with its last link.

use super::steps::{Cost, Order, Step};
use crate::belief::query::Graph;

/// The state of an order half made. Made once for a graph, begun anew for each of its components.
#[derive(Debug)]
pub struct Schedule<'g> {
    pub graph: &'g Graph,
    /// Links used up.
    done: Vec<bool>,
    /// Links left into and out of each node.
    pub ins: Vec<u32>,
    pub outs: Vec<u32>,
    pub is_open: Vec<bool>,
    /// Whether folding changed the start, or the weight, of each node.
    fed: Vec<bool>,
    hung: Vec<bool>,
    /// Open nodes, the lowest axis first.
    axes: Vec<usize>,
    order: Order,
    /// Room for the nodes above one, and whether each is among them.
    above: Vec<usize>,
    is_above: Vec<bool>,
}

impl<'g> Schedule<'g> {
    pub fn new(graph: &'g Graph) -> Self {
        let nodes = graph.nodes.len();
        Schedule {
            graph,
            done: vec![false; graph.links.len()],
            ins: vec![0; nodes],
            outs: vec![0; nodes],
            is_open: vec![false; nodes],
            fed: vec![false; nodes],
            hung: vec![false; nodes],
            axes: Vec::new(),
            order: Order::default(),
            above: Vec::new(),
            is_above: vec![false; nodes],
        }
    }

    /// Begins a component, its folds done.
    pub fn begin(&mut self, nodes: &[usize], folds: &[Step]) {
        let graph = self.graph;
        nodes.iter().flat_map(|&v| graph.ins(v)).for_each(|l| self.done[l] = false);
        for step in folds {
            match *step {
                Step::FoldRoot { link } => {
                    self.fed[graph.links[link].to] = true;
                    self.done[link] = true;
                }
                Step::FoldLeaf { link } => {
                    self.hung[graph.links[link].from] = true;
                    self.done[link] = true;
                }
                _ => {}
            }
        }
        for &v in nodes {
            self.ins[v] = self.left_in(v).count() as u32;
            self.outs[v] = self.left_out(v).count() as u32;
        }
        let cost = Cost { peak: 1.0, work: folds.len() as f64, kept: 0.0 };
        self.order = Order { steps: folds.to_vec(), folds: folds.len(), cost, ..Order::default() };
    }

    /// The order made since the component was begun.
    pub fn finish(&mut self) -> Order {
        std::mem::take(&mut self.order)
    }

    pub fn left_in(&self, v: usize) -> impl Iterator<Item = usize> {
        self.graph.ins(v).filter(|&l| !self.done[l])
    }

    pub fn left_out(&self, v: usize) -> impl Iterator<Item = usize> {
        self.graph.outs(v).filter(|&l| !self.done[l])
    }

    /// Completes a node.
    pub fn complete(&mut self, v: usize) {
        if self.ins[v] + self.outs[v] == 0 {
            return;
        }
        self.order.sequence.push(v);
        match self.outs[v] {
            0 => self.pull(v),
            _ => self.push(v),
        }
    }

    /// Pulls a node from all its parents, theirs first.
    fn pull(&mut self, v: usize) {
        if self.ins[v] == 0 {
            return;
        }
        let mut above = std::mem::take(&mut self.above);
        above.push(v);
        let mut next = 0;
        while let Some(&node) = above.get(next) {
            for l in self.graph.ins(node).filter(|&l| !self.done[l]) {
                let parent = self.graph.links[l].from;
                if self.ins[parent] > 0 && !std::mem::replace(&mut self.is_above[parent], true) {
                    above.push(parent);
                }
            }
            next += 1;
        }
        above.sort_unstable();
        for node in above.drain(..) {
            self.is_above[node] = false;
            let graph = self.graph;
            graph.ins(node).for_each(|l| self.link(l));
        }
        self.above = above;
    }

    /// Pulls a cause, then pushes everything it pushes.
    fn push(&mut self, v: usize) {
        self.pull(v);
        let graph = self.graph;
        for l in graph.outs(v).filter(|&l| !self.done[l]).collect::<Vec<_>>() {
            self.open(graph.links[l].to);
        }
        graph.outs(v).for_each(|l| self.link(l));
    }

    /// The one node of a component that folded to a point.
    pub fn point(&mut self, v: usize) {
        self.open(v);
        self.close(v, true);
    }

    /// One link, if it is left; a node closes with its last.
    fn link(&mut self, l: usize) {
        if self.done[l] {
            return;
        }
        let (from, to) = (self.graph.links[l].from, self.graph.links[l].to);
        self.open(to);
        self.open(from);
        self.step(Step::Push { link: l, from: self.low(from), to: self.low(to) }, self.share(from, to));
        self.done[l] = true;
        self.ins[to] -= 1;
        self.outs[from] -= 1;
        if self.outs[from] == 0 {
            self.close(from, false);
        }
        if self.ins[to] == 0 {
            match self.outs[to] {
                0 => self.close(to, true),
                _ => self.weigh(to),
            }
        }
    }

    fn open(&mut self, v: usize) {
        if self.is_open[v] {
            return;
        }
        let weigh = self.ins[v] == 0 && self.outs[v] > 0;
        let keep = self.fed[v] || weigh && self.asked(v);
        self.keep(keep);
        self.step(Step::Open { node: v, weigh, keep }, self.graph.nodes[v].levels as f64);
        self.axes.push(v);
        self.is_open[v] = true;
        self.order.cost.peak = self.order.cost.peak.max(self.size());
    }

    fn weigh(&mut self, v: usize) {
        let keep = self.asked(v);
        self.keep(keep);
        self.step(Step::Weigh { node: v, low: self.low(v), keep }, 1.0);
    }

    fn close(&mut self, v: usize, weigh: bool) {
        let keep = weigh && self.asked(v);
        self.keep(keep);
        self.step(Step::Close { node: v, low: self.low(v), weigh, keep }, 1.0);
        self.axes.retain(|&w| w != v);
        self.is_open[v] = false;
    }

    fn asked(&self, v: usize) -> bool {
        self.hung[v] || self.graph.nodes[v].asked
    }

    fn keep(&mut self, keep: bool) {
        self.order.cost.kept += if keep { self.size() } else { 0.0 };
    }

    /// Share of the table that a push touches; where levels join in their own way each entry is touched for many pushes.
    fn share(&self, from: usize, to: usize) -> f64 {
        let sources = self.graph.nodes[from].levels as f64;
        let each = self.graph.join(to).map_or(1.0, |_| self.graph.nodes[to].levels as f64 / 2.0);
        (sources - 1.0) / sources * each
    }

    fn step(&mut self, step: Step, share: f64) {
        self.order.cost.work += 1.0 + 2.0 * share * self.size();
        self.order.steps.push(step);
    }

    fn size(&self) -> f64 {
        self.axes.iter().map(|&v| self.graph.nodes[v].levels as f64).product()
    }

    /// Table entries below a node's axis; meaningless, and unused, past what memory could hold.
    fn low(&self, v: usize) -> usize {
        let below = self.axes.iter().take_while(|&&w| w != v);
        below.fold(1, |size, &w| size.saturating_mul(self.graph.nodes[w].levels))
    }
}
