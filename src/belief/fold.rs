//! Trees fold away: a node with one link left is worked into its neighbour, at the cost of a few products.
//!
//! Most of a real query goes this way. On the way back the neighbour's derivatives are taken apart again; there is no
//! division, and all terms are positive. A derivative is that of P(evidence) by a number of the node: times that number,
//! it is the joint probability of the level and the evidence.

use super::graph::{Graph, Link};
use super::looks::Join;
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

/// The highest of what was reached and one push: `x_j P(push <= j) + x_{<j} P(push = j)`, level by level, for levels one above the other.
pub(super) fn pushed<'a, T: Number>(x: &'a [T], push: &'a [T]) -> impl Iterator<Item = T> + 'a {
    let (mut below, mut reach) = (T::ZERO, T::ZERO);
    x.iter().zip(push).map(move |(&x, &p)| {
        reach = reach + p;
        let reached = x * reach + below * p;
        below = below + x;
        reached
    })
}

/// The same for any levels, handed out one by one.
pub(super) fn each_pushed<T: Number>(x: &[T], push: &[T], join: Option<&Join>, mut each: impl FnMut(usize, T)) {
    let Some(join) = join else { return pushed(x, push).enumerate().for_each(|(j, reached)| each(j, reached)) };
    let mut reached = vec![T::ZERO; x.len()];
    for (b, &p) in push.iter().enumerate().filter(|(_, p)| !p.is_zero()) {
        for (a, &x) in x.iter().enumerate() {
            if let Some(j) = join.of(a, b) {
                reached[j] = reached[j] + x * p;
            }
        }
    }
    reached.into_iter().enumerate().for_each(|(j, reached)| each(j, reached));
}

/// Transpose of [`each_pushed`], written for level `j`: for levels one above the other `y_j P(push <= j) + sum over k > j of y_k P(push = k)`.
pub(super) fn unpushed<T: Number>(y: &[T], push: &[T], join: Option<&Join>, j: usize) -> T {
    let Some(join) = join else {
        let reach = push[..=j].iter().fold(T::ZERO, |sum, &p| sum + p);
        return y[j] * reach + dot(&y[j + 1..], &push[j + 1..]);
    };
    let met = push.iter().enumerate().filter_map(|(b, &p)| Some(p * y[join.of(j, b)?]));
    met.fold(T::ZERO, |sum, x| sum + x)
}

/// What the two folds work on: the link, and where its ends have their numbers.
#[derive(Clone, Copy)]
pub(super) struct Fold<'g> {
    from: usize,
    /// Levels of the source.
    sources: usize,
    to: usize,
    push: usize,
    /// Levels of the target.
    levels: usize,
    join: Option<&'g Join>,
}

impl<'g> Fold<'g> {
    pub fn new(graph: &'g Graph, link: usize) -> Fold<'g> {
        let Link { from, to, at, .. } = graph.links[link];
        let (source, target) = (&graph.nodes[from], &graph.nodes[to]);
        let join = graph.join(to).map(AsRef::as_ref);
        Fold { from: source.at, sources: source.levels, to: target.at, push: at, levels: target.levels, join }
    }

    /// The pushes of a level of the source.
    fn row<T>(self, push: &[T], level: usize) -> &[T] {
        let at = self.push + (level - 1) * self.levels;
        &push[at..at + self.levels]
    }

    fn target(self) -> std::ops::Range<usize> {
        self.to..self.to + self.levels
    }

    /// Start times weight of a level of the source.
    fn source<T: Number>(self, n: &Numbers<T>, level: usize) -> T {
        n.start[self.from + level] * n.weight[self.from + level]
    }

    /// Works the root into the target's start; keeps the old start.
    pub fn root<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>) {
        let at = kept.len();
        kept.extend_from_slice(&n.start[self.target()]);
        let absent = self.source(n, 0);
        n.start[self.target()].iter_mut().for_each(|start| *start = *start * absent);
        for level in 1..self.sources {
            let there = self.source(n, level);
            let Numbers { start, push, .. } = &mut *n;
            let start = &mut start[self.target()];
            each_pushed(&kept[at..], self.row(push, level), self.join, |j, reached| start[j] = start[j] + reached * there);
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
        // the slopes of the joint start, before they are taken apart
        let at = kept.len();
        kept.extend_from_slice(&slopes.start[self.target()]);
        let slope = &kept[at..];
        for level in 0..self.sources {
            let by = match level {
                0 => dot(slope, old),
                _ => {
                    let mut sum = T::ZERO;
                    each_pushed(old, self.row(&n.push, level), self.join, |j, x| sum = sum + x * slope[j]);
                    sum
                }
            };
            let source = self.from + level;
            (slopes.start[source], slopes.weight[source]) = (by * n.weight[source], by * n.start[source]);
        }
        for j in 0..self.levels {
            let there = (1..self.sources).map(|l| unpushed(slope, self.row(&n.push, l), self.join, j) * self.source(n, l));
            slopes.start[self.to + j] = there.fold(slope[j] * self.source(n, 0), |sum, x| sum + x);
        }
        kept.truncate(at);
    }

    /// Works the leaf into the parent's weights; keeps these, and the factors.
    pub fn leaf<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>) {
        for level in 0..self.sources {
            let (start, weight) = (&n.start[self.target()], &n.weight[self.target()]);
            let factor = match level {
                0 => dot(start, weight),
                _ => {
                    let mut sum = T::ZERO;
                    each_pushed(start, self.row(&n.push, level), self.join, |j, x| sum = sum + x * weight[j]);
                    sum
                }
            };
            let slot = self.from + level;
            kept.extend([n.weight[slot], factor]);
            n.weight[slot] = n.weight[slot] * factor;
        }
    }

    /// Puts the old weights back; leaves the factors at the end of `kept`, each after an old weight.
    fn restore<T: Number>(self, n: &mut Numbers<T>, kept: &[T]) {
        let old = kept[kept.len() - 2 * self.sources..].iter().step_by(2);
        n.weight[self.from..].iter_mut().zip(old).for_each(|(weight, &old)| *weight = old);
    }

    /// Puts the old weights back.
    pub fn restore_leaf<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>) {
        self.restore(n, kept);
        kept.truncate(kept.len() - 2 * self.sources);
    }

    /// Puts the old weights back and takes their slopes apart again.
    pub fn unleaf<T: Number>(self, n: &mut Numbers<T>, kept: &mut Vec<T>, slopes: &mut Slopes<T>) {
        self.restore(n, kept);
        let at = kept.len() - 2 * self.sources;
        for level in 0..self.sources {
            let (slot, kept) = (self.from + level, &mut kept[at + 2 * level..][..2]);
            kept[0] = slopes.weight[slot] * n.weight[slot];
            slopes.weight[slot] = slopes.weight[slot] * kept[1];
        }
        let (start, weight) = (&n.start[self.target()], &n.weight[self.target()]);
        let absent = kept[at];
        for j in 0..self.levels {
            slopes.weight[self.to + j] = start[j] * absent;
            slopes.start[self.to + j] = weight[j] * absent;
        }
        for level in 1..self.sources {
            let (row, by) = (self.row(&n.push, level), kept[at + 2 * level]);
            let slope = &mut slopes.weight[self.target()];
            each_pushed(start, row, self.join, |j, reached| slope[j] = slope[j] + reached * by);
            for j in 0..self.levels {
                let slot = self.to + j;
                slopes.start[slot] = slopes.start[slot] + unpushed(weight, row, self.join, j) * by;
            }
        }
        kept.truncate(at);
    }
}
