//! The histories of one finding: its states from epoch to epoch, which can only fall as causes are cured.
//!
//! A push that lasts for some epochs and no longer is a history too (its state, then normal), and the finding's own history is the highest of
//! all pushes in each epoch. So a finding with several epochs is a noisy-MAX over histories, ordered epoch by epoch.

use super::looks::Epoch;
use crate::belief::arith::Join;
use std::collections::HashMap;
use std::rc::Rc;

/// More histories of one finding are not told apart: looks between the first and the newest are set aside.
const MOST_HISTORIES: usize = 400;

/// The histories that the epochs of a finding tell apart, as levels of a node.
#[derive(Debug)]
pub struct Histories {
    /// The weight of each history on the evidence.
    pub weights: Vec<f64>,
    /// How two histories make one; none where they are ordered one above the other.
    pub join: Option<Rc<Join>>,
    /// For each history its group of states in each epoch.
    pub groups: Vec<Box<[u16]>>,
    periods: Vec<usize>,
    group_of: Vec<Vec<u16>>,
    places: HashMap<Box<[u16]>, usize>,
}

/// Which states the epochs of a finding tell apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    /// Those of different weight; histories that cannot be, and nothing that can lies above, are left out.
    Coarse,
    /// All that can be.
    Fine,
    /// All, for tables that must add up.
    Whole,
}

impl Histories {
    pub fn new(epochs: &[Epoch], grain: Grain) -> Histories {
        let mut kept: Vec<&Epoch> = epochs.iter().collect();
        loop {
            let group_of: Vec<Vec<u16>> = kept.iter().map(|e| grouped(&e.weights, grain)).collect();
            match histories(&group_of) {
                Some(groups) => return Histories::of(&kept, group_of, groups, grain),
                None if kept.len() > 1 => drop(kept.remove(1.min(kept.len() - 2))),
                None => return Histories::of(&[], vec![], vec![], grain),
            }
        }
    }

    fn of(epochs: &[&Epoch], group_of: Vec<Vec<u16>>, mut groups: Vec<Box<[u16]>>, grain: Grain) -> Histories {
        // what lies above comes after
        groups.sort_by_cached_key(|g| (g.iter().map(|&x| u32::from(x)).sum::<u32>(), g.clone()));
        let weight_of = |e: usize, group: u16| {
            let state = group_of[e].iter().position(|&g| g == group);
            state.map_or(0.0, |k| epochs[e].weights[k])
        };
        let weight = |g: &[u16]| g.iter().enumerate().map(|(e, &group)| weight_of(e, group)).product::<f64>();
        let can_be: Vec<bool> = groups.iter().map(|g| weight(g) > 0.0).collect();
        let leads = |i: usize| (i..groups.len()).any(|j| can_be[j] && is_below(&groups[i], &groups[j]));
        let kept: Vec<bool> = (0..groups.len()).map(|i| grain == Grain::Whole || leads(i)).collect();
        let mut keep = kept.into_iter();
        groups.retain(|_| keep.next().unwrap_or(false));
        let weights: Vec<f64> = groups.iter().map(|g| weight(g)).collect();
        let places: HashMap<Box<[u16]>, usize> = groups.iter().cloned().zip(0..).collect();
        let chain = groups.windows(2).all(|pair| is_below(&pair[0], &pair[1]));
        let both = |a: usize, b: usize| -> Box<[u16]> { groups[a].iter().zip(&groups[b]).map(|(x, y)| *x.max(y)).collect() };
        let made = |a: usize, b: usize| places.get(&both(a, b)).copied();
        let join = (!chain).then(|| Rc::new(Join::new(groups.len(), made, |b, a| is_below(&groups[b], &groups[a]))));
        Histories { weights, join, groups, periods: epochs.iter().map(|e| e.period).collect(), group_of, places }
    }

    /// The history of a push to a state by something with this end; none where it is ruled out.
    fn place(&self, state: usize, end: usize) -> Option<usize> {
        let group = |e: usize| if self.periods[e] < end { self.group_of[e][state] } else { 0 };
        let history: Box<[u16]> = (0..self.periods.len()).map(group).collect();
        self.places.get(&history).copied()
    }

    /// The share of pushes, by something with this end, that lands on each history.
    pub fn split(&self, pushes: &[f64], end: usize) -> Vec<f64> {
        let mut shares = vec![0.0; self.weights.len()];
        let rest = (1.0 - pushes.iter().sum::<f64>()).max(0.0);
        for (state, &p) in std::iter::once(&rest).chain(pushes).enumerate() {
            if let Some(place) = self.place(state, end) {
                shares[place] += p;
            }
        }
        shares
    }

    /// The chances of the states in the last epoch, from those of the histories; the grain must be finer than coarse.
    pub fn last_states(&self, by_history: &[f64]) -> Vec<f64> {
        let mut states = vec![0.0; self.group_of.last().map_or(0, Vec::len)];
        for (groups, p) in self.groups.iter().zip(by_history) {
            if let Some(&group) = groups.last() {
                states[group as usize] += p;
            }
        }
        states
    }
}

/// The group of each state: states side by side that weigh the same are one, where the grain is coarse.
fn grouped(weights: &[f64], grain: Grain) -> Vec<u16> {
    let mut group = 0;
    let of = |k: usize| {
        group += u16::from(k > 0 && (grain != Grain::Coarse || weights[k].to_bits() != weights[k - 1].to_bits()));
        group
    };
    (0..weights.len()).map(of).collect()
}

/// All histories that can be told apart: of states that never rise. None where they are too many.
fn histories(group_of: &[Vec<u16>]) -> Option<Vec<Box<[u16]>>> {
    let mut open: Vec<(Vec<u16>, usize)> = vec![(vec![], usize::MAX)];
    for groups in group_of {
        let mut next = Vec::new();
        for (history, cap) in &open {
            let mut state = 0;
            while state < groups.len() && state <= *cap {
                let top = groups.partition_point(|&g| g <= groups[state]);
                let mut longer = history.clone();
                longer.push(groups[state]);
                next.push((longer, (top - 1).min(*cap)));
                state = top;
            }
        }
        if next.len() > MOST_HISTORIES {
            return None;
        }
        open = next;
    }
    Some(open.into_iter().map(|(history, _)| history.into()).collect())
}

fn is_below(a: &[u16], b: &[u16]) -> bool {
    a.iter().zip(b).all(|(x, y)| x <= y)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn epoch(period: usize, weights: &[f64]) -> Epoch {
        Epoch { period, weights: weights.to_vec() }
    }

    #[test]
    fn histories_fall_and_what_is_ruled_out_is_left_out() {
        let seen = [epoch(0, &[0.0, 1.0]), epoch(1, &[0.1, 0.9])];
        let two = Histories::new(&seen, Grain::Coarse);
        assert_eq!(two.weights, [0.0, 0.1, 0.9]);
        assert!(two.join.is_none());
        assert_eq!(two.split(&[0.4], usize::MAX), [0.6, 0.0, 0.4]);
        assert_eq!(two.split(&[0.4], 1), [0.6, 0.4, 0.0]);
        assert_eq!(two.split(&[0.4], 0), [1.0, 0.0, 0.0]);
        // a finding that was normal was normal ever after
        assert_eq!(Histories::new(&[epoch(0, &[1.0, 0.0]), epoch(1, &[0.1, 0.9])], Grain::Coarse).weights, [0.1]);
        assert_eq!(Histories::new(&[epoch(0, &[1.0, 0.0]), epoch(1, &[0.1, 0.9])], Grain::Whole).weights, [0.1, 0.0, 0.0]);
    }

    #[test]
    fn histories_that_cross_have_a_join() {
        let three = Histories::new(&[epoch(0, &[0.1, 0.2, 0.7]), epoch(1, &[0.2, 0.3, 0.5])], Grain::Fine);
        assert_eq!(three.weights.len(), 6);
        let join = three.join.unwrap();
        let at = |g: [u16; 2]| three.groups.iter().position(|h| **h == g).unwrap();
        assert_eq!(join.of(at([1, 1]), at([2, 0])), Some(at([2, 1])));
        assert_eq!(join.below[at([2, 1])].len(), 4);
    }
}
