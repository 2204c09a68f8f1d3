//! A query made ready: the graph, its orders, and the sweeps on them, on plain doubles where these are enough and on wide
//! numbers where they are not.

use super::fold::Numbers;
use super::graph::{Factor, Graph};
use super::number::{Number, Wide};
use super::order::{Cost, Order, Planner, components};
use super::sweep::Sweep;

/// A query whose graph is known, and what computing it takes; nothing is computed before it is asked.
#[derive(Debug)]
pub(super) struct Problem {
    pub graph: Graph,
    pub parts: Vec<Part>,
    /// The part each node is in.
    pub part_of: Vec<usize>,
    pub cost: Cost,
    plain: Sweep<f64>,
    wide: Option<Sweep<Wide>>,
}

/// A connected component of the graph.
#[derive(Debug)]
pub(super) struct Part {
    pub nodes: Vec<usize>,
    pub order: Order,
}

impl Problem {
    pub fn new(graph: Graph) -> Problem {
        Problem::guided(graph, &[], 0.0)
    }

    /// A problem most of which has been ordered before: the nodes in that order, and the work it took.
    pub fn guided(graph: Graph, guide: &[usize], known: f64) -> Problem {
        let (components, part_of) = components(&graph);
        let mut guides = vec![Vec::new(); components.len()];
        guide.iter().for_each(|&v| guides[part_of[v]].push(v));
        let mut planner = Planner::new(&graph);
        let part = |(nodes, guide): (Vec<usize>, Vec<usize>)| Part { order: planner.order(&nodes, &guide, known), nodes };
        let parts: Vec<Part> = components.into_iter().zip(guides).map(part).collect();
        let cost = parts.iter().fold(Cost::default(), |sum, part| sum.and(part.order.cost));
        let plain = Sweep::new(Numbers::of(&graph));
        Problem { graph, parts, part_of, cost, plain, wide: None }
    }

    /// ln of the probability of everything the query says; minus infinity when it is impossible.
    pub fn log_weight(&mut self) -> f64 {
        (0..self.parts.len()).fold(self.graph.constant, |sum, part| sum + self.total(part, &[]))
    }

    /// ln of one part's share in it, with more factors on the weights of its nodes.
    pub fn total(&mut self, part: usize, factors: &[Factor]) -> f64 {
        let Problem { graph, parts, plain, wide, .. } = self;
        let order = &parts[part].order;
        let total = with(plain, graph, factors, |s| s.total(graph, order));
        if total.safe() {
            return total.ln();
        }
        with(widened(wide, graph), graph, factors, |s| s.total(graph, order)).ln()
    }

    /// The same, and for each level of each node of the part its probability, laid out as `graph.weight`.
    pub fn levels(&mut self, part: usize, factors: &[Factor], levels: &mut [f64]) -> f64 {
        let Problem { graph, parts, plain, wide, .. } = self;
        let part = &parts[part];
        let total = with(plain, graph, factors, |s| both(graph, part, s, levels));
        if total.safe() {
            return total.ln();
        }
        with(widened(wide, graph), graph, factors, |s| both(graph, part, s, levels)).ln()
    }
}

/// The wide numbers of a graph, made when they are first needed.
fn widened<'s>(wide: &'s mut Option<Sweep<Wide>>, graph: &Graph) -> &'s mut Sweep<Wide> {
    wide.get_or_insert_with(|| Sweep::new(Numbers::of(graph)))
}

/// Runs a sweep with factors on the weights, and takes them off again.
fn with<T: Number, R>(s: &mut Sweep<T>, graph: &Graph, factors: &[Factor], run: impl FnOnce(&mut Sweep<T>) -> R) -> R {
    let slot = |f: &Factor| graph.nodes[f.node].at + f.level;
    let change = |f: &Factor| {
        let weight = &mut s.numbers.weight[slot(f)];
        std::mem::replace(weight, *weight * T::of(f.by))
    };
    let old: Vec<T> = factors.iter().map(change).collect();
    let result = run(s);
    for (f, old) in factors.iter().zip(old).rev() {
        s.numbers.weight[slot(f)] = old;
    }
    result
}

fn both<T: Number>(graph: &Graph, part: &Part, s: &mut Sweep<T>, levels: &mut [f64]) -> T {
    let total = s.both(graph, &part.order);
    // What cannot be has no distribution; 0 keeps it out of every sum.
    let total_or_one = if total.ln() == f64::NEG_INFINITY { T::ONE } else { total };
    for node in part.nodes.iter().map(|&v| &graph.nodes[v]) {
        for slot in node.at..node.at + node.levels {
            levels[slot] = (s.numbers.weight[slot] * s.slopes.weight[slot]).share(total_or_one);
        }
    }
    total
}
