//! In which order the nodes of a graph are swept, and what that takes: width, work and memory are known before a number
//! is computed. Works on the graph alone.
//!
//! Each connected component is ordered by itself. Next comes the available cause (all its parents done) that leaves the
//! smallest table, then the one that opens the fewest nodes.

use super::graph::Graph;

/// One step of a sweep. Strides are in table entries: `low` entries lie below the axis of the node.
#[derive(Debug, Clone, Copy)]
pub(super) enum Step {
    /// Give the node an axis on top of the table.
    Open { node: usize },
    /// Multiply by the node's weights.
    Weigh { node: usize, low: usize },
    /// Let the present half of a cause push the target.
    Push { link: usize, from: usize, to: usize },
    /// Sum the node's axis out.
    Close { node: usize, low: usize },
}

/// The steps for one component and what they take.
#[derive(Debug, Default)]
pub(super) struct Order {
    pub steps: Vec<Step>,
    pub cost: Cost,
}

/// What a sweep takes.
#[derive(Debug, Default, Clone, Copy)]
pub(super) struct Cost {
    /// Entries of the largest table.
    pub peak: f64,
    /// Table entries touched by a sweep forward and back.
    pub work: f64,
    /// Table entries kept for the way back.
    pub kept: f64,
}

impl Cost {
    /// Number of bits of the largest table.
    pub fn width(self) -> u32 {
        self.peak.log2().ceil().max(0.0) as u32
    }

    pub fn and(self, other: Cost) -> Cost {
        Cost { peak: self.peak.max(other.peak), work: self.work + other.work, kept: self.kept.max(other.kept) }
    }
}

/// One order for each connected component.
pub(super) fn orders<T>(graph: &Graph<T>) -> Vec<Order> {
    let mut planner = Planner::new(graph);
    components(graph).iter().map(|nodes| planner.order(nodes)).collect()
}

/// The nodes of each connected component.
fn components<T>(graph: &Graph<T>) -> Vec<Vec<usize>> {
    let mut done = vec![false; graph.nodes.len()];
    let mut components = Vec::new();
    for first in 0..graph.nodes.len() {
        let (mut nodes, mut open) = (Vec::new(), vec![first]);
        while let Some(v) = open.pop() {
            if std::mem::replace(&mut done[v], true) {
                continue;
            }
            nodes.push(v);
            open.extend(graph.nodes[v].ins.iter().map(|&l| graph.links[l].from));
            open.extend(graph.nodes[v].outs.iter().map(|&l| graph.links[l].to));
        }
        if !nodes.is_empty() {
            components.push(nodes);
        }
    }
    components
}

struct Planner<'g, T> {
    graph: &'g Graph<T>,
    /// Links into each node not yet pushed.
    waiting: Vec<usize>,
    is_open: Vec<bool>,
    /// Open nodes, the lowest axis first.
    axes: Vec<usize>,
    order: Order,
}

impl<'g, T> Planner<'g, T> {
    fn new(graph: &'g Graph<T>) -> Self {
        let waiting = graph.nodes.iter().map(|n| n.ins.len()).collect();
        Planner { graph, waiting, is_open: vec![false; graph.nodes.len()], axes: vec![], order: Order::default() }
    }

    fn order(&mut self, nodes: &[usize]) -> Order {
        let (mut left, leaves): (Vec<usize>, Vec<usize>) = nodes.iter().partition(|&&v| !self.graph.nodes[v].outs.is_empty());
        self.order.cost.peak = 1.0;
        // A leaf that nothing pushes is a component by itself.
        for v in leaves.into_iter().filter(|&v| self.graph.nodes[v].ins.is_empty()) {
            self.open(v);
            self.close(v);
        }
        while !left.is_empty() {
            let available = left.iter().enumerate().filter(|&(_, &v)| self.waiting[v] == 0);
            let best = available.min_by(|a, b| self.score(*a.1).total_cmp(&self.score(*b.1)));
            let Some((i, &v)) = best else { break };
            left.swap_remove(i);
            self.complete(v);
        }
        std::mem::take(&mut self.order)
    }

    /// Growth of the table, in bits, when a cause is completed; a little for each node it opens.
    fn score(&self, v: usize) -> f64 {
        let bits = |w: usize| (self.graph.nodes[w].levels as f64).log2();
        let mut change = if self.is_open[v] { -1.0 } else { 0.01 };
        for &l in &self.graph.nodes[v].outs {
            let to = self.graph.links[l].to;
            let node = &self.graph.nodes[to];
            let ends = self.waiting[to] == 1 && node.outs.is_empty();
            change += match (self.is_open[to], ends) {
                (true, true) => -bits(to),
                (false, false) => bits(to) + 0.01,
                (true, false) | (false, true) => 0.0,
            };
        }
        change
    }

    /// Does all that a cause whose parents are done has to do.
    fn complete(&mut self, v: usize) {
        let graph = self.graph;
        let outs = &graph.nodes[v].outs;
        for &l in outs {
            let to = graph.links[l].to;
            let ends = self.waiting[to] == 1 && graph.nodes[to].outs.is_empty();
            if !self.is_open[to] && !ends {
                self.open(to);
            }
        }
        if !self.is_open[v] {
            self.open(v);
        }
        let low = self.low(v);
        self.step(Step::Weigh { node: v, low }, 1.0);
        for &l in outs {
            self.push(l);
        }
        self.close(v);
    }

    /// One link; the target is closed if it was the last and nothing hangs on it.
    fn push(&mut self, l: usize) {
        let link = self.graph.links[l];
        if !self.is_open[link.to] {
            self.open(link.to);
        }
        self.step(Step::Push { link: l, from: self.low(link.from), to: self.low(link.to) }, 0.5);
        self.waiting[link.to] -= 1;
        if self.waiting[link.to] == 0 && self.graph.nodes[link.to].outs.is_empty() {
            self.close(link.to);
        }
    }

    fn open(&mut self, v: usize) {
        self.axes.push(v);
        self.is_open[v] = true;
        self.step(Step::Open { node: v }, 1.0);
    }

    fn close(&mut self, v: usize) {
        let low = self.low(v);
        self.order.cost.kept += self.size();
        self.step(Step::Close { node: v, low }, 1.0);
        self.axes.retain(|&w| w != v);
        self.is_open[v] = false;
    }

    fn step(&mut self, step: Step, share: f64) {
        let size = self.size();
        self.order.steps.push(step);
        self.order.cost.peak = self.order.cost.peak.max(size);
        self.order.cost.work += 2.0 * share * size;
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
