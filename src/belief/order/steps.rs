//! The steps of an elimination order, and what they take.

use crate::belief::query::Graph;

/// One step of a sweep. A stride is the number of table entries below the axis of a node. Steps marked `keep` need the
/// table before them on the way back.
#[derive(Debug, Clone, Copy)]
pub enum Step {
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
pub struct Order {
    pub steps: Vec<Step>,
    /// How many of the steps are folds; these come first.
    pub folds: usize,
    pub cost: Cost,
    /// In which order the nodes of the core were completed.
    pub sequence: Vec<usize>,
}

/// What a sweep takes.
#[derive(Debug, Default, Clone, Copy)]
pub struct Cost {
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
pub fn components(graph: &Graph) -> (Vec<Vec<usize>>, Vec<usize>) {
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
