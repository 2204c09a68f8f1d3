//! A large network looked at through its suspects: the causes that the evidence speaks for.
//!
//! Where something common is complained of ("the engine lamp is on"), nearly every cause of a book is an ancestor of it, and each may be there by
//! chance, as in any vehicle. Such bystanders have nothing to do with this complaint, and following them all would drown it. They are set aside: what they
//! would push counts as stray, what they would bring about counts as prior, and they are no longer in question. In a small network nothing is set aside.

use super::model::{Model, PlanError};
use super::scope::causes_in_question;
use crate::belief::{CauseNode, FindingNode, Limits, Network, weigh};

/// With at most so many causes in question none is set aside.
const FEW: usize = 12;
/// At most so many suspects are followed.
const MOST: usize = 32;
/// Less likely than this, a cause is no suspect.
const LEAST: f64 = 0.002;
/// A suspect is at least so much likelier than in any vehicle.
const RAISED: f64 = 1.3;

/// The model with its bystanders set aside, and the chance that one of them is there (an upper bound).
pub fn focus(model: &Model, limits: &Limits) -> Result<(Option<Model>, f64), PlanError> {
    let question = causes_in_question(&model.network, &model.complaint);
    if question.len() <= FEW {
        return Ok((None, 0.0));
    }
    let before = weigh(&model.network, &[], limits)?.causes;
    let after = weigh(&model.network, &model.seen, limits)?.causes;
    let keep = suspects(&before, &after);
    let aside: f64 = question.iter().filter(|c| !keep[**c]).map(|c| after[*c]).sum();
    let network = reduced(&model.network, &keep, &before);
    Ok((network.map(|network| Model { network, ..model.clone() }), aside.min(1.0)))
}

/// Whether each cause is one that the evidence speaks for.
fn suspects(before: &[f64], after: &[f64]) -> Vec<bool> {
    let raised = |c: &usize| after[*c] >= LEAST && after[*c] >= RAISED * before[*c];
    let mut order: Vec<usize> = (0..after.len()).filter(raised).collect();
    order.sort_by(|a, b| after[*b].total_cmp(&after[*a]));
    order.truncate(MOST);
    let mut keep = vec![false; after.len()];
    order.into_iter().for_each(|c| keep[c] = true);
    keep
}

/// The network without the others: their pushes and what they bring about, at the chance they have in any vehicle, are folded in.
fn reduced(network: &Network, keep: &[bool], before: &[f64]) -> Option<Network> {
    let causes = network.causes().iter().enumerate().map(|(c, node)| cause(node, keep[c], keep, before)).collect();
    let findings = network.findings().iter().map(|node| finding(node, keep, before)).collect();
    Network::new(causes, findings).ok()
}

fn cause(node: &CauseNode, kept: bool, keep: &[bool], before: &[f64]) -> CauseNode {
    if !kept {
        return CauseNode { prior: 0.0, brought_by: vec![] };
    }
    let (near, far): (Vec<_>, Vec<_>) = node.brought_by.iter().partition(|(p, _)| keep[*p]);
    let absent = far.iter().fold(1.0 - node.prior, |q, (p, s)| q * (1.0 - before[*p] * s));
    CauseNode { prior: 1.0 - absent, brought_by: near }
}

fn finding(node: &FindingNode, keep: &[bool], before: &[f64]) -> FindingNode {
    let (near, far): (Vec<_>, Vec<_>) = node.pushes.iter().cloned().partition(|(c, _)| keep[*c]);
    let tail = |push: &[f64], k: usize| push[k..].iter().sum::<f64>();
    // P(<= k) multiplies over the pushes; the stray is what is left of it
    let states = node.stray.len() + 1;
    let up_to = |k: usize| far.iter().fold(1.0 - tail(&node.stray, k), |q, (c, push)| q * (1.0 - before[*c] * tail(push, k)));
    let stray = (1..states).map(|k| (up_to(k) - up_to(k - 1)).max(0.0)).collect();
    FindingNode { stray, pushes: near }
}
