//! The part of a model that matters to this car, under small numbers of its own: the causes told apart, the findings they push, the
//! actions on these, and the access they need. What is background is worked into strays and priors.

use super::focus::Focus;
use super::model::{Access, Action, ActionKind, Model};
use super::noisy::raise;
use super::question::is_normal;
use super::tree::{Found, Step, Tree};
use crate::belief::{CauseNode, FindingNode, History, Network, NetworkError, Repair, Seen};
use std::collections::BTreeSet;

/// The part, and the way back.
pub struct Compact {
    /// The part. Its numbers are those of the lists below.
    pub model: Model,
    /// For each action the chance that none of the causes is there that it cures beside those told apart.
    pub idle: Vec<f64>,
    findings: Vec<usize>,
    actions: Vec<usize>,
}

impl Compact {
    /// Cuts a model down to its focus.
    ///
    /// # Errors
    /// Never, for a network that is sound.
    pub fn new(model: &Model, focus: &mut Focus) -> Result<Compact, NetworkError> {
        let findings = findings(model, focus);
        let actions = closed(chosen(model, focus, &findings), |a| &model.actions[a].after);
        let access = closed(actions.iter().flat_map(|&a| model.actions[a].access.iter().copied()), |x| &model.access[x].needs);
        let kept = focus.kept.clone();
        let causes = kept.iter().map(|&c| cause(model, focus, c)).collect();
        let nodes = findings.iter().map(|&f| finding(model, focus, f)).collect();
        let part = Model {
            network: Network::new(causes, nodes)?,
            history: history(&model.history, &kept, &findings),
            complaint: places(&model.complaint, &findings),
            actions: actions.iter().map(|&a| action(&model.actions[a], &kept, &findings, &actions, &access)).collect(),
            access: access.iter().map(|&x| step(&model.access[x], &access)).collect(),
            open: places(&model.open, &access),
            done: places(&model.done, &actions),
            rate_per_minute: model.rate_per_minute,
            refer_cost: model.refer_cost,
            vain_factor: model.vain_factor,
        };
        let idle = actions.iter().map(|&a| idle(&model.actions[a], focus)).collect();
        Ok(Compact { model: part, idle, findings, actions })
    }

    /// A step in the numbers of the whole model.
    pub fn step(&self, step: Step) -> Step {
        match step {
            Step::Check(a) => Step::Check(self.actions[a]),
            Step::Fix(a) => Step::Fix(self.actions[a]),
            other => other,
        }
    }

    /// A tree in the numbers of the whole model.
    pub fn tree(&self, mut tree: Tree) -> Tree {
        for node in &mut tree.nodes {
            node.step = self.step(node.step);
            for branch in &mut node.branches {
                if let Found::States(states) = &mut branch.found {
                    states.iter_mut().for_each(|(f, _)| *f = self.findings[*f]);
                }
            }
        }
        tree
    }
}

/// The places of items in a rising list; those that are not in it are left out.
fn places(items: &[usize], among: &[usize]) -> Vec<usize> {
    let found: BTreeSet<usize> = items.iter().filter_map(|i| among.binary_search(i).ok()).collect();
    found.into_iter().collect()
}

/// As [`places`], in the order given.
fn in_order(items: &[usize], among: &[usize]) -> Vec<usize> {
    items.iter().filter_map(|i| among.binary_search(i).ok()).collect()
}

/// With all that these need; rising.
fn closed<'m>(start: impl IntoIterator<Item = usize>, needs: impl Fn(usize) -> &'m Vec<usize>) -> Vec<usize> {
    let mut found = BTreeSet::new();
    let mut open: Vec<usize> = start.into_iter().collect();
    while let Some(item) = open.pop() {
        if found.insert(item) {
            open.extend(needs(item));
        }
    }
    found.into_iter().collect()
}

/// Findings of the complaint, abnormal ones, and those that a cause told apart pushes and that are known or can be read.
fn findings(model: &Model, focus: &Focus) -> Vec<usize> {
    let pushed = marked(model, focus.kept.iter().flat_map(|&c| model.network.pushed_by(c).iter().copied()));
    let abnormal = model.history.seen.iter().filter(|s| !is_normal(s)).map(|s| s.finding);
    let known = model.history.seen.iter().map(|s| s.finding).filter(|f| pushed[*f]);
    let read = model.actions.iter().filter_map(|a| if let ActionKind::Check { reveals } = &a.kind { Some(reveals) } else { None });
    let read = read.flatten().copied().filter(|f| pushed[*f]);
    let all: BTreeSet<usize> = model.complaint.iter().copied().chain(abnormal).chain(known).chain(read).collect();
    all.into_iter().collect()
}

/// For each finding of a model, whether it is one of these.
fn marked(model: &Model, findings: impl Iterator<Item = usize>) -> Vec<bool> {
    let mut marked = vec![false; model.network.findings().len()];
    findings.for_each(|f| marked[f] = true);
    marked
}

/// Checks that read one of these findings, and fixes of causes told apart.
fn chosen(model: &Model, focus: &Focus, findings: &[usize]) -> Vec<usize> {
    let kept = marked(model, findings.iter().copied());
    let tells = |f: &usize| kept[*f] && model.network.findings()[*f].pushes.iter().any(|p| focus.place(p.0).is_some());
    let matters = |action: &Action| match &action.kind {
        ActionKind::Check { reveals } => reveals.iter().any(tells),
        ActionKind::Fix { cures } => cures.iter().any(|&(c, _)| focus.place(c).is_some()),
    };
    (0..model.actions.len()).filter(|&a| matters(&model.actions[a])).collect()
}

fn cause(model: &Model, focus: &mut Focus, cause: usize) -> CauseNode {
    let (mut prior, mut brought_by) = (model.network.causes()[cause].prior, vec![]);
    for &(parent, strength) in &model.network.causes()[cause].brought_by {
        match focus.place(parent) {
            Some(place) => brought_by.push((place, strength)),
            None => prior += strength * focus.chance(parent) * (1.0 - prior),
        }
    }
    CauseNode { prior, brought_by, condition: model.network.causes()[cause].condition }
}

fn finding(model: &Model, focus: &mut Focus, finding: usize) -> FindingNode {
    let node = &model.network.findings()[finding];
    let mut states = vec![(1.0 - node.stray.iter().sum::<f64>()).max(0.0)];
    states.extend(&node.stray);
    let mut pushes = vec![];
    for (cause, push) in &node.pushes {
        match focus.place(*cause) {
            Some(place) => pushes.push((place, push.clone())),
            None => {
                let chance = focus.chance(*cause);
                raise(&mut states, &push.iter().map(|p| p * chance).collect::<Vec<_>>());
            }
        }
    }
    FindingNode { stray: states.split_off(1), pushes }
}

fn history(given: &History, kept: &[usize], findings: &[usize]) -> History {
    let seen = |s: &Seen| Some(Seen { finding: findings.binary_search(&s.finding).ok()?, ..s.clone() });
    let cures = |r: &Repair| r.cures.iter().filter_map(|&(c, chance)| Some((kept.binary_search(&c).ok()?, chance))).collect();
    History {
        seen: given.seen.iter().filter_map(seen).collect(),
        repairs: given.repairs.iter().map(|r| Repair { cures: cures(r) }).collect(),
    }
}

fn action(given: &Action, kept: &[usize], findings: &[usize], actions: &[usize], access: &[usize]) -> Action {
    let kind = match &given.kind {
        ActionKind::Check { reveals } => ActionKind::Check { reveals: places(reveals, findings) },
        ActionKind::Fix { cures } => {
            let place = |&(c, chance): &(usize, f64)| Some((kept.binary_search(&c).ok()?, chance));
            ActionKind::Fix { cures: cures.iter().filter_map(place).collect() }
        }
    };
    Action { kind, access: in_order(&given.access, access), after: places(&given.after, actions), ..*given }
}

fn idle(action: &Action, focus: &mut Focus) -> f64 {
    let ActionKind::Fix { cures } = &action.kind else { return 1.0 };
    let beside: Vec<usize> = cures.iter().filter(|(c, chance)| *chance > 0.0 && focus.place(*c).is_none()).map(|(c, _)| *c).collect();
    beside.into_iter().map(|c| 1.0 - focus.chance(c)).product()
}

fn step(given: &Access, access: &[usize]) -> Access {
    Access { minutes: given.minutes, needs: in_order(&given.needs, access), undoes: in_order(&given.undoes, access) }
}
