//! Which causes the plan tells apart, and how likely those are that it only counts as background.
//!
//! With few causes connected to the complaint all are told apart and nothing is approximated. Where something common is complained
//! of ("the engine lamp is on"), nearly every cause of a large book is in question, and each may be there by chance, as in any vehicle. Such
//! bystanders have nothing to do with this complaint, and following them all would drown it. So in a large network only suspects
//! are followed: causes that the evidence speaks for. The others are set aside: their pushes count as stray, and curing the suspects cures the complaint.

use super::model::{ActionKind, Model};
use super::question::{ancestors, is_normal};
use crate::belief::{Network, Prepared};
use foldhash::HashMap;
use std::collections::BTreeSet;

/// With at most so many causes connected to the complaint, all are told apart.
const FEW: usize = 12;
/// At most so many suspects are followed.
pub const MOST: usize = 40;
/// So many are followed in any case.
const FEWEST: usize = 8;
/// Less likely than this, a cause is no suspect.
const LEAST: f64 = 0.001;
/// A suspect is at least so much likelier than in any vehicle.
const RAISED: f64 = 1.3;

/// The causes told apart.
pub struct Focus<'m> {
    /// The causes told apart, rising.
    pub kept: Vec<usize>,
    /// For each of them, whether it is in question.
    pub in_question: Vec<bool>,
    /// Whether every cause that matters is told apart.
    pub complete: bool,
    /// Expected number of causes in question that are set aside.
    pub set_aside: f64,
    network: &'m Network,
    chance: HashMap<usize, f64>,
}

impl<'m> Focus<'m> {
    /// Looks at the evidence of a model; `weighed` is that evidence weighed. At most so many suspects are followed.
    pub fn new(model: &'m Model, weighed: &mut Prepared, most: usize) -> Focus<'m> {
        let network = &model.network;
        let question = ancestors(network, &model.complaint);
        let live = Live::new(model);
        let mut focus = Focus { kept: vec![], in_question: vec![], complete: true, set_aside: 0.0, network, chance: HashMap::default() };
        match connected(network, &question, &live) {
            Some(few) => focus.kept = few.into_iter().collect(),
            None => focus.follow_suspects(model, &question, &live, weighed, most),
        }
        focus.in_question = focus.kept.iter().map(|c| question.contains(c) && !network.causes()[*c].condition).collect();
        focus
    }

    fn follow_suspects(&mut self, model: &Model, question: &BTreeSet<usize>, live: &Live, weighed: &mut Prepared, most: usize) {
        let seen: Vec<usize> = model.history.seen.iter().map(|s| s.finding).collect();
        let shown = ancestors(self.network, &seen);
        self.chance = shown.into_iter().map(|c| (c, weighed.cause(c))).collect();
        let stands = complaint_stands(model, question, weighed);
        let mut before = HashMap::default();
        let mut suspects: Vec<(f64, usize)> = Vec::new();
        for cause in candidates(model, live) {
            let now = self.chance(cause) / stands;
            if model.cured().contains(&cause) {
                suspects.push((f64::INFINITY, cause));
            } else if now >= LEAST && now >= RAISED * prior(self.network, cause, &mut before) {
                suspects.push((now, cause));
            }
        }
        suspects.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        // what is cured stands first, and no longer makes anything more
        let fewest = if most >= FEWEST { model.cured().len() + FEWEST } else { 1 };
        suspects.truncate(most.max(fewest));
        self.kept = suspects.into_iter().map(|(_, c)| c).collect();
        self.kept.sort_unstable();
        self.complete = false;
        self.set_aside =
            question.iter().filter(|c| self.place(**c).is_none() && !self.network.causes()[**c].condition).map(|&c| self.chance[&c]).sum();
    }

    /// Place of a cause among those told apart.
    pub fn place(&self, cause: usize) -> Option<usize> {
        self.kept.binary_search(&cause).ok()
    }

    /// Probability of a cause, given the evidence.
    pub fn chance(&mut self, cause: usize) -> f64 {
        prior(self.network, cause, &mut self.chance)
    }
}

/// Probability of a cause from those of its parents, as if these were independent; `known` says what is known already.
fn prior(network: &Network, cause: usize, known: &mut HashMap<usize, f64>) -> f64 {
    if let Some(&chance) = known.get(&cause) {
        return chance;
    }
    let node = &network.causes()[cause];
    let chance = node.brought_by.iter().fold(node.prior, |q, &(parent, s)| q + s * prior(network, parent, known) * (1.0 - q));
    known.insert(cause, chance);
    chance
}

/// Probability, about and given the evidence, that the repairs so far did not end the job.
fn complaint_stands(model: &Model, question: &BTreeSet<usize>, weighed: &mut Prepared) -> f64 {
    if model.history.repairs.is_empty() {
        return 1.0;
    }
    let all: Vec<usize> = question.iter().copied().filter(|c| !model.network.causes()[*c].condition).collect();
    let none_now = (weighed.log_weight_of(&[], &all) - weighed.log_evidence()).exp();
    (1.0 - none_now + weighed.unlisted()).clamp(1e-9, 1.0)
}

/// What can be seen of a car: the only way in which a cause can matter.
struct Live {
    /// Findings that are known or can be read.
    findings: Vec<bool>,
    /// Causes that show in these, themselves or through what they bring about.
    causes: Vec<bool>,
    /// For each cause that is cured with others, these others: with one of them there the fix is not in vain.
    cured_with: HashMap<usize, Vec<usize>>,
}

impl Live {
    fn new(model: &Model) -> Live {
        let network = &model.network;
        let mut findings = vec![false; network.findings().len()];
        let mut cured_with: HashMap<usize, Vec<usize>> = HashMap::default();
        model.history.seen.iter().for_each(|s| findings[s.finding] = true);
        for action in &model.actions {
            match &action.kind {
                ActionKind::Check { reveals } => reveals.iter().for_each(|&f| findings[f] = true),
                ActionKind::Fix { cures } if cures.len() > 1 => {
                    cures.iter().for_each(|&(c, _)| cured_with.entry(c).or_default().extend(cures.iter().map(|c| c.0)));
                }
                ActionKind::Fix { .. } => {}
            }
        }
        let mut causes = vec![false; network.causes().len()];
        let live = (0..findings.len()).filter(|f| findings[*f]);
        let mut open: Vec<usize> = live.flat_map(|f| network.findings()[f].pushes.iter().map(|p| p.0)).collect();
        while let Some(cause) = open.pop() {
            if !std::mem::replace(&mut causes[cause], true) {
                open.extend(network.causes()[cause].brought_by.iter().map(|p| p.0));
            }
        }
        Live { findings, causes, cured_with }
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
        let children = network.brought_by(cause).iter().copied().filter(|&c| live.causes[c]);
        let shared = network.pushed_by(cause).iter().filter(|&&f| live.findings[f]).flat_map(|&f| &network.findings()[f].pushes);
        let cured = live.cured_with.get(&cause).into_iter().flatten().copied();
        let next: Vec<usize> = parents.chain(children).chain(shared.map(|p| p.0)).chain(cured).collect();
        open.extend(next.into_iter().filter(|&c| found.insert(c)));
    }
    (found.len() <= FEW).then_some(found)
}

/// Causes that may be suspects: ancestors of all that is abnormal, and what they bring about that can be seen.
fn candidates(model: &Model, live: &Live) -> BTreeSet<usize> {
    let abnormal = model.history.seen.iter().filter(|s| !is_normal(s)).map(|s| s.finding);
    let mut found = ancestors(&model.network, &model.complaint.iter().copied().chain(abnormal).collect::<Vec<_>>());
    let mut open: Vec<usize> = found.iter().copied().collect();
    while let Some(cause) = open.pop() {
        let children = model.network.brought_by(cause).iter().copied().filter(|&c| live.causes[c]);
        open.extend(children.filter(|&c| found.insert(c)).collect::<Vec<_>>());
    }
    found
}
