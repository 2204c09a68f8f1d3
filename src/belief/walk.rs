//! One sample on its way: moves that leave its distribution as it is. A cause is drawn anew given all others (Gibbs
//! sampling), or two causes of one finding change places where they differ (Metropolis).
//!
//! "The node is at most at level `j`" is a product over its present parents, kept up to date from flip to flip.

use super::annealed::{Core, FLOOR};
use super::fold::{Slopes, unpushed};
use super::graph::Role;
use super::random::Random;

/// Pairs tried for each finding in a round.
const SWAPS: usize = 3;

/// Rounds after which the products are worked out afresh, before rounding shows.
const FRESH: u32 = 50;

/// A state, and what of each node hangs on it.
#[derive(Debug)]
pub(super) struct Walk<'a> {
    core: &'a Core<'a>,
    /// Findings that count so far.
    counts: Vec<bool>,
    added: Vec<usize>,
    present: Vec<bool>,
    /// For each level of each node, the probability of at most that level given its parents; laid out as `graph.weight`.
    at_most: Vec<f64>,
    rounds: u32,
}

impl<'a> Walk<'a> {
    pub fn new(core: &'a Core<'a>) -> Self {
        let counts = vec![false; core.graph.nodes.len()];
        Walk { core, counts, added: vec![], present: vec![], at_most: vec![0.0; core.graph.weight.len()], rounds: 0 }
    }

    /// A finding counts from now on.
    pub fn add(&mut self, finding: usize) {
        self.counts[finding] = true;
        self.added.push(finding);
    }

    /// Takes a state in, and gives it out again.
    pub fn enter(&mut self, present: Vec<bool>) {
        self.present = present;
        self.refresh();
    }

    pub fn leave(&mut self) -> Vec<bool> {
        std::mem::take(&mut self.present)
    }

    fn refresh(&mut self) {
        let core = self.core;
        core.causes.iter().chain(&core.findings).for_each(|&v| self.work_out(v));
        self.rounds = 0;
    }

    fn work_out(&mut self, v: usize) {
        let (core, node) = (self.core, &self.core.graph.nodes[v]);
        let mut sum = 0.0;
        for j in 0..node.levels {
            sum += core.numbers.start[node.at + j];
            let pushing = core.ins[v].iter().filter(|(parent, _)| self.present[*parent]);
            self.at_most[node.at + j] = pushing.fold(sum, |product, (_, at)| product * core.reach[at + j]);
        }
    }

    fn flip(&mut self, cause: usize) {
        self.present[cause] = !self.present[cause];
        let core = self.core;
        for &(to, at) in &core.outs[cause] {
            let node = &core.graph.nodes[to];
            let reach = &core.reach[at..at + node.levels];
            if self.present[cause] {
                self.at_most[node.at..].iter_mut().zip(reach).for_each(|(x, r)| *x *= r);
            } else if reach[0] > 0.0 {
                self.at_most[node.at..].iter_mut().zip(reach).for_each(|(x, r)| *x /= r);
            } else {
                self.work_out(to);
            }
        }
    }

    /// Probability of a level of a node given its parents.
    fn level(&self, at: usize, level: usize) -> f64 {
        let below = if level > 0 { self.at_most[at + level - 1] } else { 0.0 };
        (self.at_most[at + level] - below).max(0.0)
    }

    /// The factor of a node in the distribution so far.
    fn factor(&self, v: usize) -> f64 {
        let (node, weight) = (&self.core.graph.nodes[v], &self.core.numbers.weight);
        let level = |j: usize| self.level(node.at, j) * weight[node.at + j];
        match node.role {
            Role::Cause(_) => level(usize::from(self.present[v])),
            Role::Seen(_) if self.counts[v] => (0..node.levels).map(level).sum::<f64>() + FLOOR,
            Role::Seen(_) => 1.0,
        }
    }

    /// The factors that hang on a cause: its own and those of what it pushes.
    fn around(&self, cause: usize) -> f64 {
        self.core.outs[cause].iter().fold(self.factor(cause), |product, &(to, _)| product * self.factor(to))
    }

    /// The factors that hang on either of two causes.
    fn around_both(&self, a: usize, b: usize) -> f64 {
        let outs = &self.core.outs;
        let counted = |v: usize| v == a || outs[a].iter().any(|&(to, _)| to == v);
        let own = if counted(b) { 1.0 } else { self.factor(b) };
        let others = outs[b].iter().filter(|(to, _)| !counted(*to));
        others.fold(self.around(a) * own, |product, &(to, _)| product * self.factor(to))
    }

    /// Probability that a cause is present given all others. Leaves it flipped.
    fn flipped(&mut self, cause: usize) -> f64 {
        let here = self.around(cause);
        self.flip(cause);
        let there = self.around(cause);
        let (present, both) = (if self.present[cause] { there } else { here }, here + there);
        if both > 0.0 { present / both } else { f64::from(u8::from(!self.present[cause])) }
    }

    /// Draws each cause anew, and tries two causes of each finding in each other's place.
    pub fn round(&mut self, random: &mut Random) {
        let core = self.core;
        for &cause in &core.causes {
            let present = random.next() < self.flipped(cause);
            if present != self.present[cause] {
                self.flip(cause);
            }
        }
        for i in 0..self.added.len() * SWAPS {
            self.swap(self.added[i / SWAPS], random);
        }
        self.rounds += 1;
        if self.rounds > FRESH {
            self.refresh();
        }
    }

    /// Draws what is silent from its parents.
    pub fn draw_silent(&mut self, random: &mut Random) {
        for &v in &self.core.silent {
            self.work_out(v);
            let node = &self.core.graph.nodes[v];
            if matches!(node.role, Role::Cause(_)) {
                let [absent, present] = [0, 1].map(|level| self.level(node.at, level));
                self.present[v] = random.next() * (absent + present) < present;
            }
        }
    }

    fn swap(&mut self, finding: usize, random: &mut Random) {
        let ins = &self.core.ins[finding];
        let mut pick = || ins[(random.next() * ins.len() as f64) as usize].0;
        let (a, b) = (pick(), pick());
        if self.present[a] == self.present[b] {
            return;
        }
        let before = self.around_both(a, b);
        self.flip(a);
        self.flip(b);
        if random.next() * before >= self.around_both(a, b) {
            self.flip(a);
            self.flip(b);
        }
    }

    /// How much each level of a node counts given all else, by level of the node itself.
    fn shares(&mut self, v: usize) -> Vec<f64> {
        let node = &self.core.graph.nodes[v];
        if matches!(node.role, Role::Cause(_)) {
            let p = self.flipped(v);
            self.flip(v);
            return vec![1.0 - p, p];
        }
        let shares: Vec<f64> = (0..node.levels).map(|j| self.level(node.at, j) * self.core.numbers.weight[node.at + j]).collect();
        let sum: f64 = shares.iter().sum();
        shares.into_iter().map(|s| if sum > 0.0 { s / sum } else { 0.0 }).collect()
    }

    /// Adds this state's slopes by the weights of a node.
    pub fn read_weight(&mut self, v: usize, share: f64, slopes: &mut Slopes<f64>) {
        let at = self.core.graph.nodes[v].at;
        for (slot, p) in (at..).zip(self.shares(v)) {
            let weight = self.core.numbers.weight[slot];
            slopes.weight[slot] += if weight > 0.0 { share * p / weight } else { 0.0 };
        }
    }

    /// Adds this state's slopes by the start of a node: what each level would count for if it were where the node began.
    pub fn read_start(&mut self, v: usize, share: f64, slopes: &mut Slopes<f64>) {
        let core = self.core;
        let at = core.graph.nodes[v].at;
        let shares = self.shares(v);
        let counts = |(j, p): (usize, f64)| if p > 0.0 { p / self.level(at, j) } else { 0.0 };
        let mut counts: Vec<f64> = shares.into_iter().enumerate().map(counts).collect();
        for &(_, link) in core.ins[v].iter().filter(|(parent, _)| self.present[*parent]) {
            let push = &core.numbers.push[link..link + counts.len()];
            counts = (0..counts.len()).map(|j| unpushed(&counts, push, j)).collect();
        }
        for (slot, count) in (at..).zip(counts).filter(|(_, count)| count.is_finite()) {
            slopes.start[slot] += share * count;
        }
    }
}
