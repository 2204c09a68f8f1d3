//! One sample on its way: moves that leave its distribution as it is. A cause is drawn anew given all others (Gibbs
//! sampling), or two causes of one finding change places where they differ (Metropolis).
//!
//! "The node is at most at level `j`" is a product over its parents, kept up to date from change to change.

use super::core::{Core, FLOOR, pick};
use crate::belief::arith::{Random, unpushed, up_to};
use crate::belief::eliminate::Slopes;

/// Pairs tried for each finding in a round.
pub const SWAPS: usize = 3;

/// Rounds after which the products are worked out afresh, before rounding shows.
const FRESH: u32 = 50;

/// A state, and what of each node hangs on it.
#[derive(Debug)]
pub struct Chain<'a> {
    core: &'a Core<'a>,
    /// Findings that count so far.
    counts: Vec<bool>,
    added: Vec<usize>,
    /// The level of each cause and condition.
    level: Vec<u16>,
    /// For each level of each node, the probability of at most that level given its parents; laid out as `graph.weight`.
    at_most: Vec<f64>,
    rounds: u32,
    /// For each node the walk over nodes in which it was last met.
    met: Vec<u32>,
    walks: u32,
}

impl<'a> Chain<'a> {
    pub fn new(core: &'a Core<'a>) -> Self {
        let nodes = core.graph.nodes.len();
        let at_most = vec![0.0; core.graph.weight.len()];
        Chain { core, counts: vec![false; nodes], added: vec![], level: vec![], at_most, rounds: 0, met: vec![0; nodes], walks: 0 }
    }

    /// A finding counts from now on.
    pub fn add(&mut self, finding: usize) {
        self.counts[finding] = true;
        self.added.push(finding);
    }

    /// Takes a state in, and gives it out again.
    pub fn enter(&mut self, level: Vec<u16>) {
        self.level = level;
        self.refresh();
    }

    /// Takes a state in of which only what pushes a finding is moved before it is given out.
    pub fn enter_near(&mut self, finding: usize, level: Vec<u16>) {
        self.level = level;
        let core = self.core;
        self.walks += 1;
        for &(cause, _) in &core.ins[finding] {
            for v in std::iter::once(cause).chain(core.outs[cause].iter().map(|o| o.0)) {
                if self.first(v) {
                    self.work_out(v);
                }
            }
        }
    }

    /// Whether this walk over nodes meets one for the first time.
    fn first(&mut self, v: usize) -> bool {
        std::mem::replace(&mut self.met[v], self.walks) != self.walks
    }

    pub fn leave(&mut self) -> Vec<u16> {
        std::mem::take(&mut self.level)
    }

    fn refresh(&mut self) {
        let core = self.core;
        core.causes.iter().chain(&core.findings).for_each(|&v| self.work_out(v));
        self.rounds = 0;
    }

    /// Where the numbers of a link for the level of its source begin, of those of the link as a whole; none for absent.
    fn row(&self, from: usize, at: usize, levels: usize) -> Option<usize> {
        Some(at + usize::from(self.level[from]).checked_sub(1)? * levels)
    }

    fn work_out(&mut self, v: usize) {
        let (core, node) = (self.core, &self.core.graph.nodes[v]);
        let mut at_most = core.numbers.start[node.at..node.at + node.levels].to_vec();
        up_to(&mut at_most, core.graph.join(v).map(AsRef::as_ref));
        for &(parent, at) in &core.ins[v] {
            if let Some(row) = self.row(parent, at, node.levels) {
                at_most.iter_mut().zip(&core.reach[row..]).for_each(|(x, r)| *x *= r);
            }
        }
        self.at_most[node.at..node.at + node.levels].copy_from_slice(&at_most);
    }

    /// Puts a cause or condition at a level.
    fn set(&mut self, v: usize, level: u16) {
        let core = self.core;
        if self.level[v] == level {
            return;
        }
        for &(to, at) in &core.outs[v] {
            let node = &core.graph.nodes[to];
            if let Some(row) = self.row(v, at, node.levels) {
                let reach = &core.reach[row..row + node.levels];
                // what a push made impossible can only be worked out afresh; below, once the level is set
                let sound = reach.iter().all(|r| *r > 0.0);
                let each = self.at_most[node.at..].iter_mut().zip(reach);
                each.for_each(|(x, r)| *x = if sound { *x / r } else { f64::NAN });
            }
        }
        self.level[v] = level;
        for &(to, at) in &core.outs[v] {
            let node = &core.graph.nodes[to];
            if self.at_most[node.at].is_nan() {
                self.work_out(to);
            } else if let Some(row) = self.row(v, at, node.levels) {
                let reach = &core.reach[row..row + node.levels];
                self.at_most[node.at..].iter_mut().zip(reach).for_each(|(x, r)| *x *= r);
            }
        }
    }

    /// Probability of a level of a node given its parents.
    fn chance(&self, v: usize, level: usize) -> f64 {
        let at = self.core.graph.nodes[v].at;
        match self.core.graph.join(v) {
            None => (self.at_most[at + level] - if level > 0 { self.at_most[at + level - 1] } else { 0.0 }).max(0.0),
            Some(_) => self.chances(v)[level],
        }
    }

    /// Probability of each level of a node given its parents.
    fn chances(&self, v: usize) -> Vec<f64> {
        let node = &self.core.graph.nodes[v];
        let Some(join) = self.core.graph.join(v) else { return (0..node.levels).map(|j| self.chance(v, j)).collect() };
        let mut chances = vec![0.0; node.levels];
        for (j, below) in join.below.iter().enumerate() {
            let under: f64 = below.iter().map(|&b| chances[usize::from(b)]).sum();
            chances[j] = (self.at_most[node.at + j] - under).max(0.0);
        }
        chances
    }

    /// The factor of a node in the distribution so far.
    fn factor(&self, v: usize) -> f64 {
        let (node, weight) = (&self.core.graph.nodes[v], &self.core.numbers.weight);
        match node.role.is_hidden() {
            true => self.chance(v, usize::from(self.level[v])) * weight[node.at + usize::from(self.level[v])] / self.core.most[v],
            false if !self.counts[v] => 1.0,
            false if self.core.graph.join(v).is_some() => {
                self.chances(v).iter().zip(&weight[node.at..]).map(|(p, w)| p * w).sum::<f64>() + FLOOR
            }
            false => (0..node.levels).map(|j| self.chance(v, j) * weight[node.at + j]).sum::<f64>() + FLOOR,
        }
    }

    /// The factors that hang on a cause: its own and those of what it pushes.
    fn around(&self, cause: usize) -> f64 {
        self.core.outs[cause].iter().fold(self.factor(cause), |product, &(to, _)| product * self.factor(to))
    }

    /// The factors that hang on either of two causes.
    fn around_both(&mut self, a: usize, b: usize) -> f64 {
        let core = self.core;
        self.walks += 1;
        let mut product = 1.0;
        for cause in [a, b] {
            for v in std::iter::once(cause).chain(core.outs[cause].iter().map(|o| o.0)) {
                if self.first(v) {
                    product *= self.factor(v);
                }
            }
        }
        product
    }

    /// How much each level of a cause counts given all others. Leaves it at some level.
    fn weighed(&mut self, cause: usize) -> Vec<f64> {
        let was = self.level[cause];
        let levels = self.core.graph.nodes[cause].levels;
        let mut weights: Vec<f64> = Vec::with_capacity(levels);
        for level in 0..levels {
            self.set(cause, level as u16);
            weights.push(self.around(cause));
        }
        if weights.iter().sum::<f64>() <= 0.0 {
            weights[usize::from(was)] = 1.0;
        }
        weights
    }

    /// Draws each cause anew, and tries two causes of each finding in each other's place.
    pub fn round(&mut self, random: &mut Random) {
        let core = self.core;
        for &cause in &core.causes {
            let weights = self.weighed(cause);
            self.set(cause, pick(&weights, random) as u16);
        }
        for i in 0..self.added.len() * SWAPS {
            self.swap(self.added[i / SWAPS], random);
        }
        self.rounds += 1;
        if self.rounds > FRESH {
            self.refresh();
        }
    }

    /// The same of the causes of one finding alone.
    pub fn round_near(&mut self, finding: usize, random: &mut Random) {
        let core = self.core;
        for &(cause, _) in &core.ins[finding] {
            let weights = self.weighed(cause);
            self.set(cause, pick(&weights, random) as u16);
        }
        (0..SWAPS).for_each(|_| self.swap(finding, random));
    }

    /// Draws what is silent from its parents.
    pub fn draw_silent(&mut self, random: &mut Random) {
        for &v in &self.core.silent {
            self.work_out(v);
            if self.core.graph.nodes[v].role.is_hidden() {
                self.level[v] = pick(&self.chances(v), random) as u16;
            }
        }
    }

    fn swap(&mut self, finding: usize, random: &mut Random) {
        let ins = &self.core.ins[finding];
        let mut pick = || ins[(random.next() * ins.len() as f64) as usize].0;
        let (a, b) = (pick(), pick());
        let nodes = &self.core.graph.nodes;
        let (at_a, at_b) = (self.level[a], self.level[b]);
        if at_a == at_b || nodes[a].levels != nodes[b].levels {
            return;
        }
        let before = self.around_both(a, b);
        self.set(a, at_b);
        self.set(b, at_a);
        if random.next() * before >= self.around_both(a, b) {
            self.set(a, at_a);
            self.set(b, at_b);
        }
    }

    /// How much each level of a node counts given all else, by level of the node itself.
    fn shares(&mut self, v: usize) -> Vec<f64> {
        let node = &self.core.graph.nodes[v];
        let shares: Vec<f64> = match node.role.is_hidden() {
            true => {
                let was = self.level[v];
                let weights = self.weighed(v);
                self.set(v, was);
                weights
            }
            false => self.chances(v).iter().zip(&self.core.numbers.weight[node.at..]).map(|(p, w)| p * w).collect(),
        };
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
        let node = &core.graph.nodes[v];
        let join = core.graph.join(v).map(AsRef::as_ref);
        let (shares, chances) = (self.shares(v), self.chances(v));
        let mut counts: Vec<f64> = shares.iter().zip(&chances).map(|(s, p)| if *s > 0.0 { s / p } else { 0.0 }).collect();
        for &(parent, at) in &core.ins[v] {
            if let Some(row) = self.row(parent, at, node.levels) {
                let push = &core.numbers.push[row..row + node.levels];
                counts = (0..counts.len()).map(|j| unpushed(&counts, push, join, j)).collect();
            }
        }
        for (slot, count) in (node.at..).zip(counts).filter(|(_, count)| count.is_finite()) {
            slopes.start[slot] += share * count;
        }
    }
}
