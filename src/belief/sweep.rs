//! The sweep: the steps of an order run forward for the probability of the evidence, and their transposes run back for
//! the distribution of every node.

use super::graph::Graph;
use super::number::Number;
use super::order::{Order, Step};
use super::table;

/// Tables kept from one sweep to the next, so that a query allocates nothing once warm.
#[derive(Debug)]
pub(super) struct Scratch<T> {
    table: Vec<T>,
    kept: Vec<T>,
}

impl<T> Default for Scratch<T> {
    fn default() -> Self {
        Scratch { table: Vec::new(), kept: Vec::new() }
    }
}

/// The weights a node closes with: its own for one with nothing hanging on it, else all 1 (they have done their work).
fn closing<T: Number>(graph: &Graph<T>, node: usize) -> &[T] {
    let n = &graph.nodes[node];
    if n.outs.is_empty() { &graph.weight[n.at..n.at + n.levels] } else { T::ONES }
}

fn start<T>(graph: &Graph<T>, node: usize) -> &[T] {
    let n = &graph.nodes[node];
    &graph.start[n.at..n.at + n.levels]
}

fn weight<T>(graph: &Graph<T>, node: usize) -> &[T] {
    let n = &graph.nodes[node];
    &graph.weight[n.at..n.at + n.levels]
}

fn push<T>(graph: &Graph<T>, link: usize) -> (&[T], usize) {
    let l = graph.links[link];
    let levels = graph.nodes[l.to].levels;
    (&graph.push[l.at..l.at + levels], levels)
}

/// Probability of one component's evidence. With `keep`, the table before each `Close` stays in the scratch.
pub(super) fn forward<T: Number>(graph: &Graph<T>, order: &Order, scratch: &mut Scratch<T>, keep: bool) -> T {
    let Scratch { table: t, kept } = scratch;
    kept.clear();
    t.clear();
    t.push(T::ONE);
    for &step in &order.steps {
        match step {
            Step::Open { node } => table::open(t, start(graph, node)),
            Step::Weigh { node, low } => table::weigh(t, low, weight(graph, node)),
            Step::Push { link, from, to } => table::push(t, from, to, push(graph, link).0),
            Step::Close { node, low } => {
                if keep {
                    kept.extend_from_slice(t);
                }
                table::close(t, low, closing(graph, node));
            }
        }
    }
    t[0]
}

/// After [`forward`] with `keep`: for each level of each node of the component, the probability that it holds and the
/// evidence is as it is; written to `joint`, laid out as `graph.weight`.
pub(super) fn backward<T: Number>(graph: &Graph<T>, order: &Order, scratch: &mut Scratch<T>, joint: &mut [T]) {
    let Scratch { table: t, kept } = scratch;
    t.clear();
    t.push(T::ONE);
    for &step in order.steps.iter().rev() {
        match step {
            Step::Open { node } => table::unopen(t, start(graph, node)),
            Step::Weigh { node, low } => table::weigh(t, low, weight(graph, node)),
            Step::Push { link, from, to } => table::unpush(t, from, to, push(graph, link).0),
            Step::Close { node, low } => {
                table::unclose(t, low, closing(graph, node));
                let before = kept.len() - t.len();
                read(&kept[before..], t, low, &mut joint[graph.nodes[node].at..], graph.nodes[node].levels);
                kept.truncate(before);
            }
        }
    }
}

/// Sums the products of both ways for each level of the axis that begins at `low`.
fn read<T: Number>(forward: &[T], back: &[T], low: usize, joint: &mut [T], levels: usize) {
    let joint = &mut joint[..levels];
    joint.fill(T::ZERO);
    for (i, (f, b)) in forward.chunks_exact(low).zip(back.chunks_exact(low)).enumerate() {
        let level = &mut joint[i % levels];
        *level = f.iter().zip(b).fold(*level, |sum, (&x, &y)| sum + x * y);
    }
}
