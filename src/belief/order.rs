//! In which order the nodes of a graph are swept, and what that takes: width, work and memory are known before a number
//! is computed. Works on the graph alone.
//!
//! Each connected component is ordered by itself. First its trees are folded away (`fold`), which costs nothing; then the
//! rest, its core, is put in an order that keeps the table small (`greedy`, by way of `schedule`).

use super::fold::fold;
use super::graph::Graph;
use super::greedy::{Reach, guided, leaf_by_leaf, node_by_node};
use super::schedule::Schedule;

/// One step of a sweep. A stride is the number of table entries below the axis of a node. Steps marked `keep` need the
/// table before them on the way back.
#[derive(Debug, Clone, Copy)]
pub(super) enum Step {
    /// Work a cause with no parent and one link left into the start of the link's target.
    FoldRoot { link: usize },
    /// Work a node with no more than one link, from its parent, into the weight of the parent.
    FoldLeaf { link: usize },
    /// Give a node an axis on top of the table; `weigh` for a cause whose parents are done.
    Open { node: usize, weigh: bool, keep: bool },
    /// Multiply by the node's weights.
    Weigh { node: usize, low: usize, keep: bool },
    /// Let the present half of a cause push the target.
    Push { link: usize, from: usize, to: usize },
    /// Sum the node's axis out; `weigh` for one that was not weighed before.
    Close { node: usize, low: usize, weigh: bool, keep: bool },
}

/// The steps for one component and what they take.
#[derive(Debug, Default, Clone)]
pub(super) struct Order {
    pub steps: Vec<Step>,
    /// How many of the steps are folds; these come first.
    pub folds: usize,
    pub cost: Cost,
    /// In which order the nodes of the core were completed.
    pub sequence: Vec<usize>,
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

    /// What two sweeps one after the other take.
    pub fn and(self, other: Cost) -> Cost {
        Cost { peak: self.peak.max(other.peak), work: self.work + other.work, kept: self.kept.max(other.kept) }
    }
}

/// The nodes of each connected component, and the component of each node.
pub(super) fn components(graph: &Graph) -> (Vec<Vec<usize>>, Vec<usize>) {
    let mut of_node = vec![usize::MAX; graph.nodes.len()];
    let (mut components, mut open) = (Vec::new(), Vec::new());
    for first in 0..graph.nodes.len() {
        if of_node[first] != usize::MAX {
            continue;
        }
        let mut nodes = Vec::new();
        open.push(first);
        while let Some(v) = open.pop() {
            if of_node[v] == usize::MAX {
                of_node[v] = components.len();
                nodes.push(v);
                open.extend(graph.ins(v).map(|l| graph.links[l].from));
                open.extend(graph.outs(v).map(|l| graph.links[l].to));
            }
        }
        components.push(nodes);
    }
    (components, of_node)
}

/// Makes the orders of a graph's components, one after the other.
pub(super) struct Planner<'g> {
    graph: &'g Graph,
    folded: Vec<bool>,
    schedule: Schedule<'g>,
    reach: Reach,
}

impl<'g> Planner<'g> {
    pub fn new(graph: &'g Graph) -> Self {
        let folded = vec![false; graph.links.len()];
        Planner { graph, folded, schedule: Schedule::new(graph), reach: Reach::new(graph) }
    }

    /// The order of one component. With a guide (an order known to be good for most of it, and the work that took) a
    /// new one is looked for only if following the guide takes much more.
    pub fn order(&mut self, nodes: &[usize], guide: &[usize], known: f64) -> Order {
        let folds = fold(self.graph, nodes, &mut self.folded);
        self.schedule.begin(nodes, &folds);
        let schedule = &mut self.schedule;
        let core: Vec<usize> = nodes.iter().copied().filter(|&v| schedule.ins[v] + schedule.outs[v] > 0).collect();
        if core.is_empty() {
            schedule.point(last(self.graph, nodes, &folds));
            return schedule.finish();
        }
        if guide.is_empty() {
            return self.search(nodes, &core, &folds);
        }
        let others: Vec<usize> = core.iter().copied().filter(|v| !guide.contains(v)).collect();
        guided(schedule, guide, &others);
        let order = schedule.finish();
        if order.cost.work < MORE * known + price(&core) {
            return order;
        }
        self.schedule.begin(nodes, &folds);
        let searched = self.search(nodes, &core, &folds);
        if searched.cost.work < order.cost.work { searched } else { order }
    }

    /// The better of two ways to look for an order. The component must have been begun.
    fn search(&mut self, nodes: &[usize], core: &[usize], folds: &[Step]) -> Order {
        let price = price(core);
        let schedule = &mut self.schedule;
        leaf_by_leaf(schedule, core, &mut self.reach);
        let by_leaf = schedule.finish();
        if by_leaf.cost.work < price || price > MOST_PRICE {
            return by_leaf;
        }
        schedule.begin(nodes, folds);
        node_by_node(schedule, core);
        let by_node = schedule.finish();
        if by_node.cost.work < by_leaf.cost.work { by_node } else { by_leaf }
    }
}

/// What looking node by node costs, in table entries that could be swept meanwhile: about 3 ns for each pair of nodes.
fn price(core: &[usize]) -> f64 {
    10.0 * (core.len() * core.len()) as f64
}

/// How much more work than the guide's own is worth no search.
const MORE: f64 = 4.0;

/// The node that the last fold of a component left.
fn last(graph: &Graph, nodes: &[usize], folds: &[Step]) -> usize {
    match folds.last() {
        Some(&Step::FoldRoot { link }) => graph.links[link].to,
        Some(&Step::FoldLeaf { link }) => graph.links[link].from,
        _ => nodes[0],
    }
}

/// Past this size of a core, going node by node would take longer than any sweep worth having.
const MOST_PRICE: f64 = 1e8;
