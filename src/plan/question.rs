//! Which causes the complaint may come from.

use crate::belief::{Network, Seen};
use std::collections::BTreeSet;

/// The causes in question: the ancestors of the findings of the complaint, conditions left out.
pub fn causes_in_question(network: &Network, complaint: &[usize]) -> BTreeSet<usize> {
    let mut found = ancestors(network, complaint);
    found.retain(|&c| !network.causes()[c].condition);
    found
}

/// All that these findings may come from, conditions too.
pub fn ancestors(network: &Network, complaint: &[usize]) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let findings = network.findings();
    let mut open: Vec<usize> = complaint.iter().flat_map(|&f| findings[f].pushes.iter().map(|p| p.0)).collect();
    while let Some(cause) = open.pop() {
        if found.insert(cause) {
            open.extend(network.causes()[cause].brought_by.iter().map(|p| p.0));
        }
    }
    found
}

/// Whether an observation says for certain that the finding is normal.
pub fn is_normal(seen: &Seen) -> bool {
    seen.weights.iter().skip(1).all(|&w| w == 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::belief::{CauseNode, FindingNode};

    #[test]
    fn in_question_are_the_ancestors_through_both_kinds_of_link() {
        let cause = |brought_by: &[(usize, f64)]| CauseNode { prior: 0.1, brought_by: brought_by.to_vec(), condition: false };
        let finding = |causes: &[usize]| FindingNode { stray: vec![0.01], pushes: causes.iter().map(|&c| (c, vec![0.5])).collect() };
        let network = Network::new(vec![cause(&[]), cause(&[(0, 0.5)]), cause(&[])], vec![finding(&[1]), finding(&[2])]).unwrap();
        assert_eq!(causes_in_question(&network, &[0]).into_iter().collect::<Vec<_>>(), [0, 1]);
    }
}
