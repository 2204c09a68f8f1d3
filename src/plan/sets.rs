//! The sets of causes that may be all that is present: every one, or the likeliest.

use super::mix::mix;
use super::weigher::{Explained, Weigher, with};
use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashSet};

/// Sets of places in the scope, each rising, with the logarithms of their weights over the weigher's scale.
pub type Weighed = Vec<(Vec<usize>, f64)>;

/// Sets as much less likely than the likeliest are not followed.
const FAINT: f64 = 1e-8;

/// For each set that is wanted so many more are looked at: those that are over are no part of what may be.
const OVER: usize = 20;

/// Every set that can be.
pub fn every(weigher: &Weigher) -> Weighed {
    let members = |mask: usize| (0..weigher.causes()).filter(move |c| mask >> c & 1 == 1).collect::<Vec<_>>();
    let sets = (0..1usize << weigher.causes()).map(|mask| weigher.explain(members(mask)));
    sets.map(|e| (e.score.weight(), e.set)).filter(|e| e.0 > f64::NEG_INFINITY).map(|(weight, set)| (set, weight)).collect()
}

/// The likeliest sets that are not over, until `most` are found or all but `tolerance` of `total` is covered, a logarithm over the scale.
///
/// Starts are the best explanations that have each one cause in them, made by adding what helps most. From there best first: the sets
/// with one cause more or less than the likeliest not yet looked at.
pub fn likeliest(weigher: &Weigher, total: f64, tolerance: f64, most: usize, over: impl Fn(&[usize]) -> bool) -> Weighed {
    let mut queue = Queue { heap: BinaryHeap::new(), met: HashSet::new(), top: f64::NEG_INFINITY };
    queue.add(weigher.explain(vec![]));
    (0..weigher.causes()).for_each(|c| queue.add(ascend(weigher, vec![c])));
    let (mut found, mut covered, mut looked) = (Weighed::new(), 0.0, 0);
    while found.len() < most && covered < 1.0 - tolerance && looked < OVER * most {
        let Some(Candidate { weight, set }) = queue.heap.pop() else { break };
        looked += 1;
        let explained = weigher.explain(set);
        queue.add_larger(weigher, &explained);
        queue.add_smaller(weigher, &explained);
        if weight > f64::NEG_INFINITY {
            covered += (weight - total).exp();
            if !over(&explained.set) {
                found.push((explained.set, weight));
            }
        }
    }
    found
}

/// Adds the cause that makes a set likeliest, as long as one does.
fn ascend(weigher: &Weigher, set: Vec<usize>) -> Explained {
    let mut best = weigher.explain(set);
    loop {
        let more = (0..weigher.causes()).filter(|c| !best.set.contains(c)).map(|c| (weigher.with(&best, c), c));
        match more.max_by(|a, b| a.0.partial_cmp(&b.0).unwrap_or(Ordering::Equal)) {
            Some((score, cause)) if score > best.score => best = weigher.explain(with(&best.set, cause)),
            _ => return best,
        }
    }
}

struct Queue {
    heap: BinaryHeap<Candidate>,
    met: HashSet<u64>,
    top: f64,
}

impl Queue {
    fn add(&mut self, explained: Explained) {
        if self.met.insert(key(&explained.set)) {
            self.push(explained.set, explained.score.weight());
        }
    }

    fn push(&mut self, set: Vec<usize>, weight: f64) {
        self.top = self.top.max(weight);
        self.heap.push(Candidate { weight, set });
    }

    fn add_larger(&mut self, weigher: &Weigher, explained: &Explained) {
        let key = key(&explained.set);
        for more in (0..weigher.causes()).filter(|c| !explained.set.contains(c)) {
            if self.met.contains(&(key ^ mark(more))) {
                continue;
            }
            let weight = weigher.with(explained, more).weight();
            if weight > self.top + FAINT.ln() {
                self.met.insert(key ^ mark(more));
                self.push(with(&explained.set, more), weight);
            }
        }
    }

    fn add_smaller(&mut self, weigher: &Weigher, explained: &Explained) {
        let key = key(&explained.set);
        for (i, &cause) in explained.set.iter().enumerate() {
            if self.met.insert(key ^ mark(cause)) {
                let mut less = explained.set.clone();
                less.remove(i);
                let weight = weigher.explain(less.clone()).score.weight();
                self.push(less, weight);
            }
        }
    }
}

/// A number for a set: two of some thousand sets have the same one with a probability of 1e-12 (Zobrist 1970).
fn key(set: &[usize]) -> u64 {
    set.iter().fold(0, |key, &c| key ^ mark(c))
}

fn mark(cause: usize) -> u64 {
    mix(cause as u64 + 1)
}

struct Candidate {
    weight: f64,
    set: Vec<usize>,
}

impl Ord for Candidate {
    fn cmp(&self, other: &Self) -> Ordering {
        self.weight.total_cmp(&other.weight).then_with(|| other.set.cmp(&self.set))
    }
}

impl PartialOrd for Candidate {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Candidate {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Candidate {}
