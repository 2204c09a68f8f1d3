//! Trees fold away: a node with one link left is worked into its neighbour, at the cost of a few products.
//!
//! Most of a real query goes this way. On the way back the neighbour's derivatives are taken apart again; there is no
//! division, and all terms are positive. A derivative is that of P(evidence) by a number of the node: times that number,
//! it is the joint probability of the level and the evidence.

use super::numbers::{Numbers, Slopes};
use crate::belief::arith::{Join, Number, dot, each_pushed, unpushed};
use crate::belief::query::{Graph, Link};

/// What the two folds work on: the link, and where its ends have their numbers.
#[derive(Clone, Copy)]
pub struct Fold<'g> {
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
