//! The sets of causes that may be all that is present: every one, or the likeliest first.

use super::weigher::Weigher;
use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashSet};

/// Sets of places in the scope, each rising, with their weights over the weigher's scale.
pub type Weighed = Vec<(Vec<usize>, f64)>;

/// Every set that can be.
pub fn every(weigher: &Weigher) -> Weighed {
    let members = |mask: usize| (0..weigher.causes()).filter(move |c| mask >> c & 1 == 1).collect::<Vec<_>>();
    let sets = (0..1usize << weigher.causes()).map(members);
    sets.map(|set| (weigher.weight(&set), set)).filter(|(w, _)| *w > 0.0).map(|(w, set)| (set, w)).collect()
}

/// The likeliest sets, until `most` are found or all but `tolerance` of `total` is covered.
///
/// Best first: from the likeliest set not yet looked at, the sets with one cause more. A set is reached through its own
/// subsets, which explain less but are looked at as soon as nothing likelier is left.
pub fn likeliest(weigher: &Weigher, total: f64, tolerance: f64, most: usize) -> Weighed {
    let mut queue = BinaryHeap::from([Candidate { weight: weigher.weight(&[]), set: vec![] }]);
    let mut met = HashSet::from([vec![]]);
    let mut found: Weighed = Vec::new();
    let mut covered = 0.0;
    while let Some(Candidate { weight, set }) = queue.pop() {
        for more in (0..weigher.causes()).filter(|c| !set.contains(c)) {
            let grown = with(&set, more);
            if met.insert(grown.clone()) {
                queue.push(Candidate { weight: weigher.weight(&grown), set: grown });
            }
        }
        if weight > 0.0 {
            covered += weight;
            found.push((set, weight));
        }
        if found.len() >= most || covered >= total * (1.0 - tolerance) || met.len() > most * 200 {
            break;
        }
    }
    found
}

fn with(set: &[usize], more: usize) -> Vec<usize> {
    let mut grown = set.to_vec();
    grown.insert(set.partition_point(|&c| c < more), more);
    grown
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
