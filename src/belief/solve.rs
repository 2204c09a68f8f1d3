//! One query from network to numbers: build the graph, order it, refuse what is too wide, sweep.

use super::evidence::{Levels, Seen};
use super::graph::{Graph, Query, Role};
use super::network::Network;
use super::number::{Number, Wide};
use super::order::{Cost, Order, orders};
use super::sweep::{Scratch, backward, forward};
use super::weigh::Limits;

/// Scratch for both kinds of number.
#[derive(Debug, Default)]
pub(super) struct Engine {
    plain: Scratch<f64>,
    wide: Scratch<Wide>,
}

/// The exact answer to a query.
#[derive(Debug)]
pub(super) struct Solution {
    /// ln P(evidence and what the query holds).
    pub log_weight: f64,
    /// Each cause that took part, with its probability.
    pub causes: Vec<(usize, f64)>,
    /// Each observation that has a node of its own, by place in the query, with the distribution over the states.
    pub seen: Vec<(usize, Vec<f64>)>,
    pub cost: Cost,
}

/// Why there is no exact answer: the sweep would pass a limit.
#[derive(Debug, Clone, Copy)]
pub(super) struct TooWide;

impl Engine {
    /// ln of the probability of what the query says; minus infinity when it is impossible.
    pub fn log_weight(&mut self, net: &Network, query: Query, limits: &Limits) -> Result<f64, TooWide> {
        Ok(self.run(net, query, limits, false)?.log_weight)
    }

    /// The distributions of all that takes part. Meaningless where `log_weight` is minus infinity.
    pub fn solve(&mut self, net: &Network, query: Query, limits: &Limits) -> Result<Solution, TooWide> {
        self.run(net, query, limits, true)
    }

    fn run(&mut self, net: &Network, query: Query, limits: &Limits, back: bool) -> Result<Solution, TooWide> {
        let graph: Graph<f64> = Graph::new(net, query);
        let orders = orders(&graph);
        let cost = orders.iter().fold(Cost::default(), |sum, o| sum.and(o.cost));
        if !limits.allow(cost) {
            return Err(TooWide);
        }
        let plain = numbers(&graph, &orders, &mut self.plain, back);
        let (log_weight, joint) = match plain {
            Some(done) => done,
            None => {
                let graph: Graph<Wide> = Graph::new(net, query);
                numbers(&graph, &orders, &mut self.wide, back).unwrap_or((f64::NEG_INFINITY, vec![]))
            }
        };
        let mut solution = Solution { log_weight: log_weight + graph.constant, causes: vec![], seen: vec![], cost };
        if back && log_weight > f64::NEG_INFINITY {
            read_nodes(&graph, &joint, net, query.seen, &mut solution);
        }
        Ok(solution)
    }
}

/// Sweeps every component: ln of the product, and the distribution of every node laid out as `graph.weight`. `None` when
/// this kind of number cannot be trusted with it.
fn numbers<T: Number>(graph: &Graph<T>, orders: &[Order], scratch: &mut Scratch<T>, back: bool) -> Option<(f64, Vec<f64>)> {
    let mut log_weight = 0.0;
    let mut joint = vec![T::ZERO; if back { graph.weight.len() } else { 0 }];
    for order in orders {
        let total = forward(graph, order, scratch, back);
        if !total.safe() {
            return None;
        }
        log_weight += total.ln();
        if back {
            backward(graph, order, scratch, &mut joint);
        }
    }
    let shares = graph.nodes.iter().take(if back { usize::MAX } else { 0 }).flat_map(|node| {
        let levels = &joint[node.at..node.at + node.levels];
        let total = levels.iter().fold(T::ZERO, |sum, &x| sum + x);
        levels.iter().map(move |x| x.share(total))
    });
    Some((log_weight, shares.collect()))
}

/// Hands the levels of each node to the cause or observation it stands for.
fn read_nodes(graph: &Graph<f64>, joint: &[f64], net: &Network, seen: &[&Seen], solution: &mut Solution) {
    for node in &graph.nodes {
        let levels = &joint[node.at..node.at + node.levels];
        match node.role {
            Role::Cause(cause) => solution.causes.push((cause, levels[1])),
            Role::Seen(i) => {
                let spread = Levels::of(&seen[i].weights);
                let states = spread.spread(levels.iter().copied(), &net.findings()[seen[i].finding]);
                solution.seen.push((i, states));
            }
        }
    }
}
