//! What a repair can change of what was read: the findings that the causes it cures push, themselves or through conditions that end with them.

use super::model::{ActionKind, Model};
use super::start::is_first;
use crate::belief::Network;
use std::collections::BTreeSet;

/// The findings that curing these causes can change, rising.
pub fn changed_by(network: &Network, cures: &[(usize, f64)]) -> Vec<usize> {
    let mut nodes: BTreeSet<usize> = cures.iter().filter(|(_, chance)| *chance > 0.0).map(|(c, _)| *c).collect();
    let mut open: Vec<usize> = nodes.iter().copied().collect();
    while let Some(node) = open.pop() {
        let ends = network.brought_by(node).iter().copied().filter(|&k| network.causes()[k].condition);
        open.extend(ends.filter(|&k| nodes.insert(k)).collect::<Vec<_>>());
    }
    let findings: BTreeSet<usize> = nodes.iter().flat_map(|&n| network.pushed_by(n).iter().copied()).collect();
    findings.into_iter().collect()
}

/// For each finding, whether another look at it may come: a check reads it, or it was looked at more than once. In a large network only what a repair
/// already done can have changed is followed: what a repair of the plan changes is, once it is done.
pub fn read_again(model: &Model, complete: bool) -> Vec<bool> {
    let history = &model.history;
    let mut again = vec![false; model.network.findings().len()];
    for action in &model.actions {
        if let ActionKind::Check { reveals } = &action.kind {
            reveals.iter().for_each(|&f| again[f] = true);
        }
    }
    if !complete {
        let mut changed = vec![false; again.len()];
        for (repair, before) in history.repairs.iter().zip(0..) {
            let could = changed_by(&model.network, &repair.cures);
            could
                .into_iter()
                .filter(|f| history.seen.iter().any(|s| s.finding == *f && s.period <= before))
                .for_each(|f| changed[f] = true);
        }
        again.iter_mut().zip(changed).for_each(|(again, changed)| *again &= changed);
    }
    let later = (0..history.seen.len()).filter(|&place| !is_first(history, place));
    later.for_each(|place| again[history.seen[place].finding] = true);
    again
}

/// The conditions of a network, each after those that bring it about.
pub fn conditions(network: &Network) -> Vec<usize> {
    let all: Vec<usize> = (0..network.causes().len()).filter(|&k| network.causes()[k].condition).collect();
    let mut order: Vec<usize> = Vec::with_capacity(all.len());
    let mut placed = vec![false; network.causes().len()];
    for &condition in &all {
        place(network, condition, &mut placed, &mut order);
    }
    order
}

fn place(network: &Network, node: usize, placed: &mut [bool], order: &mut Vec<usize>) {
    let mut open = vec![(node, false)];
    while let Some((node, after)) = open.pop() {
        if after {
            order.push(node);
        } else if !std::mem::replace(&mut placed[node], true) {
            open.push((node, true));
            let parents = network.causes()[node].brought_by.iter().map(|p| p.0);
            open.extend(parents.filter(|&p| network.causes()[p].condition).map(|p| (p, false)));
        }
    }
}
