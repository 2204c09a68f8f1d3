//! The weight of one set of causes being all that is present: its probability times the likelihood of the evidence.
//!
//! Weights are relative to "no cause told apart is present, and all normal findings normal", whose logarithm is `scale`.
//! All arithmetic is sums and products of non-negative numbers, as in the belief room.

use super::model::Model;
use super::scope::{Scope, is_normal};
use std::collections::HashMap;

/// Pushes of one link, for states `1..`.
type Push = Vec<f64>;

/// A finding as the causes told apart push it; background causes are part of the stray.
pub struct Pushed {
    /// Probability of each state, from normal on, with none of the causes present.
    pub stray: Vec<f64>,
    /// For each cause told apart, its pushes.
    pushes: Vec<Option<Push>>,
}

impl Pushed {
    /// Probability of each state with exactly these causes present.
    pub fn states(&self, set: &[usize]) -> Vec<f64> {
        let mut states = self.stray.clone();
        set.iter().filter_map(|&c| self.pushes[c].as_ref()).for_each(|push| raise(&mut states, push));
        states
    }

    /// Whether any cause told apart pushes it.
    pub fn tells(&self) -> bool {
        self.pushes.iter().flatten().any(|push| push.iter().any(|&p| p > 0.0))
    }
}

/// The highest state when one more push may come.
fn raise(states: &mut [f64], push: &[f64]) {
    let mut above = 0.0;
    for k in (1..states.len()).rev() {
        let lower: f64 = states[..k].iter().sum();
        states[k] = states[k] * (1.0 - above) + lower * push[k - 1];
        above += push[k - 1];
    }
    states[0] *= (1.0 - above).max(0.0);
}

struct Node {
    prior: f64,
    parents: Vec<(usize, f64)>,
    children: Vec<(usize, f64)>,
    /// Likelihood of the normal findings with the cause present, over that without.
    normals: f64,
}

/// Weighs sets of causes told apart. Sets are lists of places in the scope.
pub struct Weigher {
    nodes: Vec<Node>,
    certain: Vec<usize>,
    marked: Vec<(Vec<f64>, Pushed)>,
    /// ln of the weight that counts as 1.
    pub scale: f64,
}

impl Weigher {
    pub fn new(model: &Model, scope: &Scope) -> Weigher {
        let mut background = Background::new(model, scope);
        let nodes: Vec<Node> = scope.causes.iter().map(|&c| node(model, scope, c, &mut background)).collect();
        let certain = (0..nodes.len()).filter(|&c| nodes[c].prior >= 1.0).collect();
        let marked = model.seen.iter().filter(|s| !is_normal(s));
        let marked = marked.map(|s| (s.weights.clone(), pushed(model, scope, s.finding, &s.cured, &mut background))).collect();
        let absent: f64 = nodes.iter().filter(|n| n.prior < 1.0).map(|n| (1.0 - n.prior).ln()).sum();
        let scale = absent + normals_without(model) + background.normals();
        Weigher { nodes, certain, marked, scale }
    }

    /// How many causes are told apart.
    pub fn causes(&self) -> usize {
        self.nodes.len()
    }

    /// The weight of a set, over the scale.
    pub fn weight(&self, set: &[usize]) -> f64 {
        let prior = self.prior(set);
        let seen = |(weights, pushed): &(Vec<f64>, Pushed)| pushed.states(set).iter().zip(weights).map(|(p, w)| p * w).sum::<f64>();
        if prior == 0.0 { 0.0 } else { prior * self.marked.iter().map(seen).product::<f64>() }
    }

    fn prior(&self, set: &[usize]) -> f64 {
        if !self.certain.iter().all(|c| set.contains(c)) {
            return 0.0;
        }
        set.iter().map(|&c| self.odds(c, set) * self.nodes[c].normals).product()
    }

    /// Odds of a cause being there with the others of the set, and of it bringing about none that are not in the set.
    fn odds(&self, cause: usize, set: &[usize]) -> f64 {
        let node = &self.nodes[cause];
        let by = node.parents.iter().filter(|(p, _)| set.contains(p));
        let present = by.fold(node.prior, |q, (_, s)| q + s * (1.0 - q));
        let alone: f64 = node.children.iter().filter(|(c, _)| !set.contains(c)).map(|(_, s)| 1.0 - s).product();
        if node.prior < 1.0 { present / (1.0 - node.prior) * alone } else { alone }
    }
}

fn node(model: &Model, scope: &Scope, cause: usize, background: &mut Background) -> Node {
    let local = |(c, s): &(usize, f64)| scope.place(*c).map(|c| (c, *s));
    let given = &model.network.causes()[cause];
    let children = model.network.brought_by(cause).iter().filter_map(|&c| {
        let link = model.network.causes()[c].brought_by.iter().find(|(p, _)| *p == cause)?;
        Some((scope.place(c)?, link.1))
    });
    Node {
        prior: background.with_parents(cause),
        parents: given.brought_by.iter().filter_map(local).collect(),
        children: children.collect(),
        normals: background.normals_of(cause),
    }
}

/// A finding with what is background worked into its stray; causes cured before do not push it.
pub fn pushed(model: &Model, scope: &Scope, finding: usize, cured: &[usize], background: &mut Background) -> Pushed {
    let node = &model.network.findings()[finding];
    let mut stray = vec![(1.0 - node.stray.iter().sum::<f64>()).max(0.0)];
    stray.extend(&node.stray);
    let mut pushes = vec![None; scope.causes.len()];
    for (cause, push) in node.pushes.iter().filter(|(c, _)| !cured.contains(c)) {
        match scope.place(*cause) {
            Some(place) => pushes[place] = Some(push.clone()),
            None => {
                let present = background.probability(*cause);
                raise(&mut stray, &push.iter().map(|p| p * present).collect::<Vec<_>>());
            }
        }
    }
    Pushed { stray, pushes }
}

/// ln P(all normal findings normal | no cause present).
fn normals_without(model: &Model) -> f64 {
    let normal = model.seen.iter().filter(|s| is_normal(s));
    normal.map(|s| ((1.0 - model.network.findings()[s.finding].stray.iter().sum::<f64>()) * s.weights[0]).ln()).sum()
}

/// Causes that are not told apart: each as probable as the normal findings leave it.
pub struct Background<'m> {
    model: &'m Model,
    told: Vec<usize>,
    normal: HashMap<usize, Vec<&'m [usize]>>,
    known: HashMap<usize, f64>,
}

impl<'m> Background<'m> {
    pub fn new(model: &'m Model, scope: &Scope) -> Background<'m> {
        let mut normal: HashMap<usize, Vec<&[usize]>> = HashMap::new();
        for seen in model.seen.iter().filter(|s| is_normal(s)) {
            normal.entry(seen.finding).or_default().push(&seen.cured);
        }
        Background { model, told: scope.causes.clone(), normal, known: HashMap::new() }
    }

    /// Likelihood of all normal findings with the cause present, over that without.
    fn normals_of(&self, cause: usize) -> f64 {
        let seen = |f: &usize| self.normal.get(f).map(|cured| (*f, cured.iter().filter(|c| !c.contains(&cause)).count()));
        let stays = |(f, times): (usize, usize)| {
            let push = self.model.network.findings()[f].pushes.iter().find(|p| p.0 == cause);
            push.map_or(1.0, |(_, push)| (1.0 - push.iter().sum::<f64>()).max(0.0)).powi(times as i32)
        };
        self.model.network.pushed_by(cause).iter().filter_map(seen).map(stays).product()
    }

    /// Probability of a cause that the causes told apart did not bring about, whatever it shows.
    fn with_parents(&mut self, cause: usize) -> f64 {
        let node = &self.model.network.causes()[cause];
        node.brought_by.iter().fold(node.prior, |q, &(parent, s)| {
            let told = self.told.binary_search(&parent).is_ok();
            if told { q } else { q + s * self.probability(parent) * (1.0 - q) }
        })
    }

    /// Probability of a background cause now.
    fn probability(&mut self, cause: usize) -> f64 {
        if self.model.cured.contains(&cause) {
            return 0.0;
        }
        if let Some(&known) = self.known.get(&cause) {
            return known;
        }
        let (before, normals) = (self.with_parents(cause), self.normals_of(cause));
        let total = 1.0 - before + before * normals;
        let now = if total > 0.0 { before * normals / total } else { 0.0 };
        self.known.insert(cause, now);
        now
    }

    /// ln of what the background's own normal findings make the evidence less likely.
    fn normals(&mut self) -> f64 {
        let network = &self.model.network;
        let mut causes: Vec<usize> = self.normal.keys().flat_map(|&f| network.findings()[f].pushes.iter().map(|p| p.0)).collect();
        causes.sort_unstable();
        causes.dedup();
        causes.retain(|c| self.told.binary_search(c).is_err());
        causes.into_iter().map(|c| (1.0 - self.with_parents(c) * (1.0 - self.normals_of(c))).ln()).sum()
    }
}
