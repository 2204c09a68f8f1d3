//! Makes the order of each component: first its trees are folded away (`reduce`), which costs nothing; then the rest, its core, is put in an order
//! that keeps the table small (`greedy`, by way of `schedule`).

use super::greedy::{Reach, guided, leaf_by_leaf, node_by_node};
use super::reduce::fold;
use super::schedule::Schedule;
use super::steps::{Order, Step};
use crate::belief::query::Graph;

/// Makes the orders of a graph's components, one after the other.
pub struct Planner<'g> {
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
