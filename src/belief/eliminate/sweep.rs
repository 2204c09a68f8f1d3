//! The sweep: the steps of an order run forward for the probability of the evidence, and their transposes run back for
//! the distribution of every node.

use super::fold::Fold;
use super::numbers::{Numbers, Slopes};
use super::table::{self, Across};
use crate::belief::arith::{Number, Room};
use crate::belief::order::{Order, Step};
use crate::belief::query::{Graph, Node};

/// The numbers of one graph, and what sweeps leave of them.
#[derive(Debug)]
pub struct Sweep<T> {
    /// Changed by folding, and changed back.
    pub numbers: Numbers<T>,
    /// What the way back leaves: the derivatives of P(evidence) by all numbers of the component.
    pub slopes: Slopes<T>,
    room: Room<T>,
}

/// The levels of a node among numbers of the graph.
fn of<'a, T>(numbers: &'a [T], node: &Node) -> &'a [T] {
    &numbers[node.at..node.at + node.levels]
}

/// The weights a node closes with: all 1 once it has been weighed.
fn closing<'a, T: Number>(numbers: &'a Numbers<T>, node: &Node, weigh: bool) -> &'a [T] {
    if weigh { of(&numbers.weight, node) } else { &T::ONES[..node.levels] }
}

impl<T: Number> Sweep<T> {
    pub fn new(numbers: Numbers<T>) -> Self {
        Sweep { numbers, slopes: Slopes::default(), room: Room::default() }
    }

    /// Probability of one component's evidence, forward only.
    pub fn total(&mut self, graph: &Graph, order: &Order) -> T {
        self.in_room(|s| {
            let total = s.forward(graph, order, false);
            s.unfold(graph, order, false);
            total
        })
    }

    /// Probability of one component's evidence; leaves the derivatives in `slopes`.
    pub fn both(&mut self, graph: &Graph, order: &Order) -> T {
        self.slopes.start.resize(graph.start.len(), T::ZERO);
        self.slopes.weight.resize(graph.weight.len(), T::ZERO);
        self.in_room(|s| {
            let total = s.forward(graph, order, true);
            s.backward(graph, order);
            s.unfold(graph, order, true);
            total
        })
    }

    fn in_room<R>(&mut self, run: impl FnOnce(&mut Self) -> R) -> R {
        self.room = T::room();
        let result = run(self);
        T::leave(std::mem::take(&mut self.room));
        result
    }

    /// Works the folds of a component into the numbers.
    pub fn fold(&mut self, graph: &Graph, order: &Order) {
        let Sweep { numbers: n, room: Room { kept, .. }, .. } = self;
        kept.clear();
        for step in &order.steps[..order.folds] {
            match *step {
                Step::FoldRoot { link } => Fold::new(graph, link).root(n, kept),
                Step::FoldLeaf { link } => Fold::new(graph, link).leaf(n, kept),
                _ => {}
            }
        }
    }

    fn forward(&mut self, graph: &Graph, order: &Order, keep_all: bool) -> T {
        self.fold(graph, order);
        let Sweep { numbers: n, room: Room { table: t, spare, kept }, .. } = self;
        t.clear();
        t.push(T::ONE);
        for &step in &order.steps[order.folds..] {
            let keeps = |keep: bool, t: &[T], kept: &mut Vec<T>| {
                if keep && keep_all {
                    kept.extend_from_slice(t);
                }
            };
            match step {
                Step::FoldRoot { .. } | Step::FoldLeaf { .. } => {}
                Step::Open { node, weigh, keep } => {
                    keeps(keep, t, kept);
                    let node = &graph.nodes[node];
                    open(t, n, node, weigh, table::open);
                }
                Step::Weigh { node, low, keep } => {
                    keeps(keep, t, kept);
                    table::weigh(t, low, of(&n.weight, &graph.nodes[node]));
                }
                Step::Push { link, from, to } => {
                    table::push(t, across(graph, link, from, to), push(n, graph, link));
                }
                Step::Close { node, low, weigh, keep } => {
                    keeps(keep, t, kept);
                    table::close(t, spare, low, closing(n, &graph.nodes[node], weigh));
                }
            }
        }
        t[0]
    }

    /// The table steps back, each kept table met by what comes from behind.
    fn backward(&mut self, graph: &Graph, order: &Order) {
        self.room.table.clear();
        self.room.table.push(T::ONE);
        for &step in order.steps[order.folds..].iter().rev() {
            match step {
                Step::FoldRoot { .. } | Step::FoldLeaf { .. } => {}
                Step::Open { node, weigh, keep } => self.open_back(&graph.nodes[node], weigh, keep),
                Step::Weigh { node, low, keep } => {
                    let node = &graph.nodes[node];
                    if keep {
                        self.weight_back(node, low, self.room.table.len());
                    }
                    table::weigh(&mut self.room.table, low, of(&self.numbers.weight, node));
                }
                Step::Push { link, from, to } => {
                    table::unpush(&mut self.room.table, across(graph, link, from, to), push(&self.numbers, graph, link));
                }
                Step::Close { node, low, weigh, keep } => {
                    let node = &graph.nodes[node];
                    if keep {
                        self.weight_back(node, low, self.room.table.len() * node.levels);
                    }
                    table::unclose(&mut self.room.table, &mut self.room.spare, low, closing(&self.numbers, node, weigh));
                }
            }
        }
    }

    fn open_back(&mut self, node: &Node, weigh: bool, keep: bool) {
        let Sweep { numbers: n, slopes, room: Room { table: t, kept, .. } } = self;
        if keep {
            let size = t.len() / node.levels;
            let before = kept.len() - size;
            for (slot, part) in (node.at..).zip(t.chunks_exact(size)) {
                let slope = table::inner(&kept[before..], part);
                slopes.start[slot] = slope;
                if weigh {
                    slopes.start[slot] = slope * n.weight[slot];
                    slopes.weight[slot] = slope * n.start[slot];
                }
            }
            kept.truncate(before);
        }
        open(t, n, node, weigh, table::unopen);
    }

    /// Reads the slopes of a node's weights from the table kept before the step now taken back.
    fn weight_back(&mut self, node: &Node, low: usize, size: usize) {
        let before = self.room.kept.len() - size;
        let slopes = &mut self.slopes.weight[node.at..node.at + node.levels];
        table::dots(&self.room.kept[before..], &self.room.table, low, slopes);
        self.room.kept.truncate(before);
    }

    /// Puts back what folding changed and, on the way back, takes the slopes apart.
    pub fn unfold(&mut self, graph: &Graph, order: &Order, back: bool) {
        let Sweep { numbers: n, slopes, room: Room { kept, .. } } = self;
        for step in order.steps[..order.folds].iter().rev() {
            match (*step, back) {
                (Step::FoldRoot { link }, true) => Fold::new(graph, link).unroot(n, kept, slopes),
                (Step::FoldLeaf { link }, true) => Fold::new(graph, link).unleaf(n, kept, slopes),
                (Step::FoldRoot { link }, false) => Fold::new(graph, link).restore_root(n, kept),
                (Step::FoldLeaf { link }, false) => Fold::new(graph, link).restore_leaf(n, kept),
                _ => {}
            }
        }
    }
}

fn push<'a, T>(numbers: &'a Numbers<T>, graph: &Graph, link: usize) -> &'a [T] {
    let link = graph.links[link];
    &numbers.push[link.at..link.at + (graph.nodes[link.from].levels - 1) * graph.nodes[link.to].levels]
}

fn across(graph: &Graph, link: usize, from: usize, to: usize) -> Across<'_> {
    let (source, target) = (graph.links[link].from, graph.links[link].to);
    let join = graph.join(target).map(AsRef::as_ref);
    Across { from, sources: graph.nodes[source].levels, to, levels: graph.nodes[target].levels, join }
}

/// Opens an axis, or its transpose, with the start of a node, weighed where its parents are done.
fn open<T: Number>(t: &mut Vec<T>, n: &Numbers<T>, node: &Node, weigh: bool, step: fn(&mut Vec<T>, &[T])) {
    let start = of(&n.start, node);
    match (weigh, start) {
        (false, _) => step(t, start),
        (true, &[a, b]) => step(t, &[a * n.weight[node.at], b * n.weight[node.at + 1]]),
        (true, _) => {
            let weighed: Vec<T> = start.iter().zip(of(&n.weight, node)).map(|(&s, &w)| s * w).collect();
            step(t, &weighed);
        }
    }
}
