//! A query made ready: the graph, its orders, and the sweeps on them: on plain doubles where these are enough, on wide
//! numbers where they are not, sampled where a part is too wide to sweep.

use super::limits::Limits;
use crate::belief::arith::{Number, Wide};
use crate::belief::eliminate::{Numbers, Sweep};
use crate::belief::order::{Cost, Order, Planner, components};
use crate::belief::query::{Factor, Graph};
use crate::belief::sample::{Runs, Spread, log_mean, sampled};

/// A query whose graph is known, and what computing it takes; nothing is computed before it is asked.
#[derive(Debug)]
pub struct Problem {
    pub graph: Graph,
    pub parts: Vec<Part>,
    /// The part each node is in.
    pub part_of: Vec<usize>,
    limits: Limits,
    plain: Sweep<f64>,
    wide: Option<Sweep<Wide>>,
}

/// A connected component of the graph.
#[derive(Debug)]
pub struct Part {
    pub nodes: Vec<usize>,
    pub order: Order,
    /// Whether its sweep keeps to the limits.
    pub exact: bool,
}

impl Problem {
    pub fn new(graph: Graph, limits: Limits) -> Problem {
        Problem::guided(graph, limits, &[], 0.0)
    }

    /// A problem most of which has been ordered before: the nodes in that order, and the work it took.
    pub fn guided(graph: Graph, limits: Limits, guide: &[usize], known: f64) -> Problem {
        let (components, part_of) = components(&graph);
        let mut guides = vec![Vec::new(); components.len()];
        guide.iter().for_each(|&v| guides[part_of[v]].push(v));
        let mut planner = Planner::new(&graph);
        let part = |(nodes, guide): (Vec<usize>, Vec<usize>)| {
            let order = planner.order(&nodes, &guide, known);
            Part { nodes, exact: limits.allow(order.cost), order }
        };
        let parts: Vec<Part> = components.into_iter().zip(guides).map(part).collect();
        let plain = Sweep::new(Numbers::of(&graph));
        Problem { graph, parts, part_of, limits, plain, wide: None }
    }

    /// What an exact answer takes.
    pub fn cost(&self) -> Cost {
        self.parts.iter().fold(Cost::default(), |sum, part| sum.and(part.order.cost))
    }

    pub fn is_exact(&self) -> bool {
        self.parts.iter().all(|part| part.exact)
    }

    pub fn limits(&self) -> Limits {
        self.limits
    }

    /// ln of the probability of everything the query says; minus infinity when it is impossible.
    pub fn log_weight(&mut self) -> f64 {
        (0..self.parts.len()).fold(self.graph.constant, |sum, part| sum + self.total(part, &[]))
    }

    /// ln of one part's share in it, with more factors on the weights of its nodes.
    pub fn total(&mut self, part: usize, factors: &[Factor]) -> f64 {
        let Problem { graph, parts, plain, wide, .. } = self;
        let part = &parts[part];
        if !part.exact {
            let sampling = self.limits.sampling();
            return with(plain, graph, factors, |s| {
                let mut totals = Vec::new();
                sampled(s, graph, &part.order, sampling, |_, total| totals.push(total));
                log_mean(&totals)
            });
        }
        let total = with(plain, graph, factors, |s| s.total(graph, &part.order));
        if total.safe() {
            return total.ln();
        }
        with(widened(wide, graph), graph, factors, |s| s.total(graph, &part.order)).ln()
    }

    /// The same, and for each level of each node of the part its probability, laid out as `graph.weight`. Says how far this
    /// may be off, unless it is exact.
    pub fn levels(&mut self, part: usize, factors: &[Factor], levels: &mut [f64]) -> (f64, Option<Spread>) {
        let Problem { graph, parts, plain, wide, .. } = self;
        let part = &parts[part];
        if !part.exact {
            let sampling = self.limits.sampling();
            let mut runs = Runs::default();
            let samples = with(plain, graph, factors, |s| {
                sampled(s, graph, &part.order, sampling, |s, total| {
                    read(graph, part, s, 1.0, levels);
                    runs.add(total, of_part(graph, part).map(|slot| levels[slot]));
                })
            });
            let (total, mean, spread) = runs.finish(samples);
            of_part(graph, part).zip(mean).for_each(|(slot, p)| levels[slot] = p);
            return (total, Some(spread));
        }
        let total = with(plain, graph, factors, |s| both(graph, part, s, levels));
        if total.safe() {
            return (total.ln(), None);
        }
        (with(widened(wide, graph), graph, factors, |s| both(graph, part, s, levels)).ln(), None)
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
    read(graph, part, s, if total.is_zero() { T::ONE } else { total }, levels);
    total
}

/// The share of each level of each node in the total.
fn read<T: Number>(graph: &Graph, part: &Part, s: &Sweep<T>, total: T, levels: &mut [f64]) {
    for slot in of_part(graph, part) {
        levels[slot] = (s.numbers.weight[slot] * s.slopes.weight[slot]).share(total);
    }
}

fn of_part(graph: &Graph, part: &Part) -> impl Iterator<Item = usize> {
    part.nodes.iter().map(|&v| &graph.nodes[v]).flat_map(|node| node.at..node.at + node.levels)
}
