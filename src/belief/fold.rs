//! Trees fold away: a node with one link left is worked into its neighbour, at the cost of a few products.
//!
//! Most of a real query goes this way. On the way back the neighbour's derivatives are taken apart again; there is no
//! division, and all terms are positive. A derivative is that of P(evidence) by a number of the node: times that number,
//! it is the joint probability of the level and the evidence.

use super::graph::{Graph, Link};
use super::number::Number;
use super::order::Step;

/// Folds what it can of one component; marks the links it used up.
pub(super) fn fold(graph: &Graph, nodes: &[usize], folded: &mut [bool]) -> Vec<Step> {
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

/// The numbers of a graph that one sweep may change.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Numbers<T> {
    pub start: Vec<T>,
    pub weight: Vec<T>,
    pub push: Vec<T>,
}

impl<T> Default for Numbers<T> {
    fn default() -> Self {
        Numbers { start: Vec::new(), weight: Vec::new(), push: Vec::new() }
    }
}

impl<T: Number> Numbers<T> {
    /// The numbers of a graph, its factors worked in.
    pub fn of(graph: &Graph) -> Numbers<T> {
        let all = |numbers: &[f64]| numbers.iter().map(|&x| T::of(x)).collect();
        let (start, weight, push) = (all(&graph.start), all(&graph.weight), all(&graph.push));
        let mut numbers = Numbers { start, weight, push };
        for factor in &graph.factors {
            let slot = graph.nodes[factor.node].at + factor.level;
            numbers.weight[slot] = numbers.weight[slot] * T::of(factor.by);
        }
        numbers
    }
}

/// Derivatives of P(evidence) by the numbers of a graph.
#[derive(Debug, Clone)]
pub(super) struct Slopes<T> {
    pub start: Vec<T>,
    pub weight: Vec<T>,
}

impl<T> Default for Slopes<T> {
    fn default() -> Self {
        Slopes { start: Vec::new(), weight: Vec::new() }
    }
}

pub(super) fn dot<T: Number>(a: &[T], b: &[T]) -> T {
    a.iter().zip(b).fold(T::ZERO, |sum, (&x, &y)| sum + x * y)
}

/// The highest of what was reached and one push: `x_j P(push <= j) + x_{<j} P(push = j)`, level by level.
pub(super) fn pushed<'a, T: Number>(x: &'a [T], push: &'a [T]) -> impl Iterator<Item = T> + 'a {
    let (mut below, mut reach) = (T::ZERO, T::ZERO);
    x.iter().zip(push).map(move |(&x, &p)| {
        reach = reach + p;
        let reached = x * reach + below * p;
        below = below + x;
        reached
    })
}

/// Transpose of [`pushed`]: `y_j P(push <= j) + sum over k > j of y_k P(push = k)`, written for level `j`.
pub(super) fn unpushed<T: Number>(y: &[T], push: &[T], j: usize) -> T {
    let reach = push[..=j].iter().fold(T::ZERO, |sum, &p| sum + p);
    y[j] * reach + dot(&y[j + 1..], &push[j + 1..])
}

/// What the two folds work on: the link, and where its ends have their numbers.
#[derive(Clone, Copy)]
pub(super) struct Fold {
    from: usize,
    to: usize,
    push: usize,
    levels: usize,
}

impl Fold {
    pub fn new(graph: &Graph, link: usize) -> Fold {
        let Link { from, to, at, .. } = graph.links[link];
        Fold { from: graph.nodes[from].at, to: graph.nodes[to].at, push: at, levels: graph.nodes[to].levels }
    }

    fn push<T>(self, n: &Numbers<T>) -> &[T] {
        &n.push[self.push..self.push + self.levels]
    }

    fn target(self) -> std::ops::Range<usize> {
        self.to..self.to + self.levels
    }

    /// Works the root into the target's start; keeps the old start.
    pub fn root<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>) {
        let [absent, present] = [0, 1].map(|j| n.start[self.from + j] * n.weight[self.from + j]);
        let at = kept.len();
        kept.extend_from_slice(&n.start[self.target()]);
        let reached = pushed(&kept[at..], &n.push[self.push..]);
        for (start, reached) in n.start[self.target()].iter_mut().zip(reached) {
            *start = *start * absent + reached * present;
        }
    }

    /// Puts the old start back.
    pub fn restore_root<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>) {
        let at = kept.len() - self.levels;
        n.start[self.target()].copy_from_slice(&kept[at..]);
        kept.truncate(at);
    }

    /// Puts the old start back and takes its slopes apart again.
    pub fn unroot<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>, slopes: &mut Slopes<T>) {
        self.restore_root(n, kept);
        let old = &n.start[self.target()];
        let slope = &mut slopes.start[self.target()];
        let by = [dot(slope, old), pushed(old, self.push(n)).zip(&*slope).fold(T::ZERO, |sum, (x, &s)| sum + x * s)];
        let [absent, present] = [0, 1].map(|j| n.start[self.from + j] * n.weight[self.from + j]);
        for j in 0..self.levels {
            slope[j] = slope[j] * absent + unpushed(slope, self.push(n), j) * present;
        }
        for (j, by) in by.into_iter().enumerate() {
            slopes.start[self.from + j] = by * n.weight[self.from + j];
            slopes.weight[self.from + j] = by * n.start[self.from + j];
        }
    }

    /// Works the leaf into the parent's weights; keeps these, and the factors.
    pub fn leaf<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>) {
        let (start, weight) = (&n.start[self.target()], &n.weight[self.target()]);
        let factors = [dot(start, weight), pushed(start, self.push(n)).zip(weight).fold(T::ZERO, |s, (x, &w)| s + x * w)];
        for (j, factor) in factors.into_iter().enumerate() {
            let slot = self.from + j;
            kept.extend([n.weight[slot], factor]);
            n.weight[slot] = n.weight[slot] * factor;
        }
    }

    /// Puts the old weights back; returns the factors.
    pub fn restore_leaf<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>) -> [T; 2] {
        let at = kept.len() - 4;
        let [old0, factor0, old1, factor1] = [0, 1, 2, 3].map(|i| kept[at + i]);
        kept.truncate(at);
        n.weight[self.from] = old0;
        n.weight[self.from + 1] = old1;
        [factor0, factor1]
    }

    /// Puts the old weights back and takes their slopes apart again.
    pub fn unleaf<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>, slopes: &mut Slopes<T>) {
        let factors = self.restore_leaf(n, kept);
        let by = [0, 1].map(|j| slopes.weight[self.from + j] * n.weight[self.from + j]);
        for (j, factor) in factors.into_iter().enumerate() {
            slopes.weight[self.from + j] = slopes.weight[self.from + j] * factor;
        }
        let (start, weight) = (&n.start[self.target()], &n.weight[self.target()]);
        for (j, reached) in pushed(start, self.push(n)).enumerate() {
            slopes.weight[self.to + j] = start[j] * by[0] + reached * by[1];
            slopes.start[self.to + j] = weight[j] * by[0] + unpushed(weight, self.push(n), j) * by[1];
        }
    }
}
