//! Which causes the plan tells apart, and which it only counts as background.
//!
//! In question are the ancestors of the findings that were abnormal at intake. With few causes connected to them, all
//! of these are told apart and nothing is approximated. In a large network the causes told apart are those that can
//! have shown in something abnormal and what these bring about; all others push the findings that are not known as if they were
//! independent strays.

use super::model::{ActionKind, Model};
use crate::belief::{Network, Seen};
use std::collections::BTreeSet;

/// With at most so many causes connected to the complaint, every combination of them is told apart.
const FEW: usize = 10;

/// The causes that take part, by what becomes of them.
pub struct Scope {
    /// The causes told apart, rising. All others are background.
    pub causes: Vec<usize>,
    /// For each of them, whether it is in question.
    pub in_question: Vec<bool>,
    /// Whether no combination is left out and no cause is background that matters.
    pub complete: bool,
}

impl Scope {
    pub fn new(model: &Model) -> Scope {
        let question = causes_in_question(&model.network, &model.complaint);
        let live = Live::new(model);
        let (causes, complete) = match connected(&model.network, &question, &live) {
            Some(few) => (few, true),
            None => (told_apart(model, &live), false),
        };
        let in_question = causes.iter().map(|c| question.contains(c)).collect();
        Scope { causes: causes.into_iter().collect(), in_question, complete }
    }

    /// Place of a cause among those told apart.
    pub fn place(&self, cause: usize) -> Option<usize> {
        self.causes.binary_search(&cause).ok()
    }
}

/// The ancestors of the complaint.
pub fn causes_in_question(network: &Network, complaint: &[usize]) -> BTreeSet<usize> {
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

/// Findings that are known or can be read: the only ones through which a cause can matter.
struct Live(Vec<bool>);

impl Live {
    fn new(model: &Model) -> Live {
        let mut live = vec![false; model.network.findings().len()];
        model.seen.iter().for_each(|s| live[s.finding] = true);
        for action in &model.actions {
            if let ActionKind::Check { reveals } = &action.kind {
                reveals.iter().for_each(|&f| live[f] = true);
            }
        }
        Live(live)
    }

    /// Whether a cause can show, itself or through what it brings about.
    fn shows(&self, network: &Network, cause: usize) -> bool {
        network.pushed_by(cause).iter().any(|&f| self.0[f]) || network.brought_by(cause).iter().any(|&c| self.shows(network, c))
    }
}

/// All causes that hang together with those in question, if they are few.
fn connected(network: &Network, question: &BTreeSet<usize>, live: &Live) -> Option<BTreeSet<usize>> {
    let mut found = question.clone();
    let mut open: Vec<usize> = question.iter().copied().collect();
    while let Some(cause) = open.pop() {
        if found.len() > FEW {
            return None;
        }
        let parents = network.causes()[cause].brought_by.iter().map(|p| p.0);
        let children = network.brought_by(cause).iter().copied().filter(|&c| live.shows(network, c));
        let shared = network.pushed_by(cause).iter().filter(|&&f| live.0[f]).flat_map(|&f| &network.findings()[f].pushes);
        let next: Vec<usize> = parents.chain(children).chain(shared.map(|p| p.0)).collect();
        open.extend(next.into_iter().filter(|&c| found.insert(c)));
    }
    (found.len() <= FEW).then_some(found)
}

/// Ancestors of all that is abnormal, and what they bring about and can be seen.
fn told_apart(model: &Model, live: &Live) -> BTreeSet<usize> {
    let abnormal = model.seen.iter().filter(|s| !is_normal(s)).map(|s| s.finding);
    let findings: Vec<usize> = model.complaint.iter().copied().chain(abnormal).collect();
    let mut found = causes_in_question(&model.network, &findings);
    let mut open: Vec<usize> = found.iter().copied().collect();
    while let Some(cause) = open.pop() {
        let children = model.network.brought_by(cause).iter().copied().filter(|&c| live.shows(&model.network, c));
        open.extend(children.filter(|&c| found.insert(c)).collect::<Vec<_>>());
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::belief::{CauseNode, FindingNode};

    #[test]
    fn in_question_are_the_ancestors_through_both_kinds_of_link() {
        let cause = |brought_by: &[(usize, f64)]| CauseNode { prior: 0.1, brought_by: brought_by.to_vec() };
        let finding = |causes: &[usize]| FindingNode { stray: vec![0.01], pushes: causes.iter().map(|&c| (c, vec![0.5])).collect() };
        let network = Network::new(vec![cause(&[]), cause(&[(0, 0.5)]), cause(&[])], vec![finding(&[1]), finding(&[2])]).unwrap();
        assert_eq!(causes_in_question(&network, &[0]).into_iter().collect::<Vec<_>>(), [0, 1]);
    }
}
