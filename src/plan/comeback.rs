//! Root before consequence: a consequence that is put right while a root of it stands comes back, and the work was for nothing.
//!
//! The objective counts money alone, and under it the two orders often cost the same, since both repairs must be made. So the search counts a repair
//! that a root undoes once more when it chooses. With few causes that only breaks ties, and the plan stays the exact optimum of the objective.
//! What is reported is money.

use super::acts::Act;
use crate::belief::Network;

/// Share of its cost that an undone repair counts once more, where every cause is told apart: enough to break a tie.
pub const TIE: f64 = 1e-6;
/// The same in a large network.
pub const WHOLE: f64 = 1.0;

/// An expected cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// Money.
    pub money: f64,
    /// Money, and what is counted for repairs that a root undoes.
    pub counted: f64,
}

impl Cost {
    /// Money for which nothing more is counted.
    pub fn of(money: f64) -> Cost {
        Cost { money, counted: money }
    }

    /// With a later cost of this probability.
    pub fn plus(self, probability: f64, later: Cost) -> Cost {
        Cost { money: self.money + probability * later.money, counted: self.counted + probability * later.counted }
    }

    /// The one that counts less.
    pub fn min(self, other: Cost) -> Cost {
        if other.counted < self.counted { other } else { self }
    }
}

/// For each set of causes its consequences whose root is in it too: the consequence and the root, which some fix cures.
pub fn standing_roots(network: &Network, members: &[Vec<usize>], cured_by: &[Vec<usize>]) -> Vec<Vec<(usize, usize)>> {
    let roots: Vec<Vec<usize>> = (0..cured_by.len()).map(|c| roots(network, c, cured_by)).collect();
    let of = |set: &Vec<usize>| -> Vec<(usize, usize)> {
        set.iter().flat_map(|&c| roots[c].iter().filter(|r| set.contains(r)).map(move |&r| (c, r))).collect()
    };
    members.iter().map(of).collect()
}

/// For each set the fixes that a root would undo: they cure a consequence, and leave a root of it.
pub fn undone(acts: &[Act], fixes: &[usize], standing: &[Vec<(usize, usize)>]) -> Vec<Vec<usize>> {
    let undoes = |a: usize, &(c, r): &(usize, usize)| acts[a].cures_any(&[c]) && !acts[a].cures_any(&[r]);
    standing.iter().map(|pairs| fixes.iter().copied().filter(|&a| pairs.iter().any(|p| undoes(a, p))).collect()).collect()
}

/// All that brings a cause about, from far or near, and that some fix cures.
fn roots(network: &Network, cause: usize, cured_by: &[Vec<usize>]) -> Vec<usize> {
    let mut found = vec![];
    let mut open = vec![cause];
    while let Some(next) = open.pop() {
        for &(parent, _) in &network.causes()[next].brought_by {
            if !found.contains(&parent) {
                found.push(parent);
                open.push(parent);
            }
        }
    }
    found.retain(|r| !cured_by[*r].is_empty());
    found
}
