//! Which findings contradict each other where the evidence cannot be.

use crate::belief::model::{Contradiction, Seen, Why};

/// Whether some observations, by their places, are possible together.
type Possible<'a> = dyn FnMut(&[usize]) -> bool + 'a;

/// Finds few observations whose dropping makes the rest possible: one if one is enough, else two, else the ones that a
/// single pass cannot keep; and with the first of them some that it contradicts. Where each try is `dear`, only the pass is made.
pub fn blame(seen: &[Seen], dear: bool, possible: &mut Possible) -> Contradiction {
    let all: Vec<usize> = (0..seen.len()).collect();
    let tried = if dear { 0 } else { seen.len() };
    let singles = (0..tried).map(|i| vec![i]);
    let pairs = (0..tried.min(PAIRED)).flat_map(|i| (0..i).map(move |j| vec![j, i]));
    let dropped = singles.chain(pairs).find(|drop| possible(&without(&all, drop))).unwrap_or_else(|| one_pass(&all, possible));
    let conflict = if dear { dropped.clone() } else { conflict(all, possible) };
    let findings = |places: &[usize]| {
        let mut findings: Vec<usize> = places.iter().map(|&i| seen[i].finding).collect();
        findings.sort_unstable();
        findings.dedup();
        findings
    };
    Contradiction { findings: findings(&dropped), conflict: findings(&conflict), why: Why::Impossible }
}

/// Pairs are tried among this many observations: some thousand sweeps, a fraction of a second.
const PAIRED: usize = 64;

fn without(places: &[usize], drop: &[usize]) -> Vec<usize> {
    places.iter().copied().filter(|i| !drop.contains(i)).collect()
}

/// Keeps each observation that goes with those kept so far.
fn one_pass(places: &[usize], possible: &mut Possible) -> Vec<usize> {
    let (mut kept, mut dropped) = (Vec::new(), Vec::new());
    for &i in places {
        kept.push(i);
        if !possible(&kept) {
            kept.pop();
            dropped.push(i);
        }
    }
    // A sampled try may find a way where the one before found none: then it hangs on the last.
    if dropped.is_empty() { kept.pop().into_iter().collect() } else { dropped }
}

/// Leaves out what the rest is impossible without: what stays is needed, each of it.
fn conflict(mut places: Vec<usize>, possible: &mut Possible) -> Vec<usize> {
    for i in places.clone() {
        let rest = without(&places, &[i]);
        if !possible(&rest) {
            places = rest;
        }
    }
    places
}
