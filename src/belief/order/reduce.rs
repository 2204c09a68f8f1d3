//! Which trees fold away: a node with one link left is worked into its neighbour, at the cost of a few products.

use super::steps::Step;
use crate::belief::query::Graph;

/// Folds what it can of one component; marks the links it used up.
pub fn fold(graph: &Graph, nodes: &[usize], folded: &mut [bool]) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut open: Vec<usize> = nodes.to_vec();
    while let Some(v) = open.pop() {
        let left = |l: &usize| !folded[*l];
        let mut ins = graph.ins(v).filter(left);
        let mut outs = graph.outs(v).filter(left);
        let step = match (ins.next(), outs.next()) {
            (None, Some(link)) if outs.next().is_none() => Some((Step::FoldRoot { link }, link, graph.links[link].to)),
            (Some(link), None) if ins.next().is_none() => Some((Step::FoldLeaf { link }, link, graph.links[link].from)),
            _ => None,
        };
        if let Some((step, link, neighbour)) = step {
            folded[link] = true;
            steps.push(step);
            open.push(neighbour);
        }
    }
    steps
}
