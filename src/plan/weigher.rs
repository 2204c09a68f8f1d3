//! The weight of one set of causes being all that is present: its probability times the likelihood of the evidence.
//!
//! Weights are relative to "no cause is present, and all normal findings normal", whose logarithm is `scale`. All arithmetic is sums and products
//! of non-negative numbers, as in the belief room.

use super::model::Model;
use super::noisy::{raise, raised};
use super::question::is_normal;

/// A finding as the causes push it.
pub struct Pushed {
    /// Probability of each state, from normal on, with no cause present.
    stray: Vec<f64>,
    /// For each cause its pushes to states `1..`.
    pushes: Vec<Option<Vec<f64>>>,
}

impl Pushed {
    /// The finding; causes cured before do not push it.
    pub fn new(model: &Model, finding: usize, cured: &[usize]) -> Pushed {
        let node = &model.network.findings()[finding];
        let mut stray = vec![(1.0 - node.stray.iter().sum::<f64>()).max(0.0)];
        stray.extend(&node.stray);
        let mut pushes = vec![None; model.network.causes().len()];
        node.pushes.iter().filter(|(c, _)| !cured.contains(c)).for_each(|(c, push)| pushes[*c] = Some(push.clone()));
        Pushed { stray, pushes }
    }

    /// Probability of each state with exactly these causes present.
    pub fn states(&self, set: &[usize]) -> Vec<f64> {
        let mut states = self.stray.clone();
        set.iter().filter_map(|&c| self.pushes[c].as_ref()).for_each(|push| raise(&mut states, push));
        states
    }
}

struct Node {
    prior: f64,
    parents: Vec<(usize, f64)>,
    children: Vec<(usize, f64)>,
    /// Likelihood of the normal findings with the cause present, over that without.
    normals: f64,
}

/// Weighs sets of causes.
pub struct Weigher {
    nodes: Vec<Node>,
    certain: Vec<usize>,
    marked: Vec<(Vec<f64>, Pushed)>,
    /// ln of the weight that counts as 1.
    pub scale: f64,
}

/// A set with what it makes of the findings that may be abnormal.
pub struct Explained {
    /// The set, rising.
    pub set: Vec<usize>,
    /// Its weight, over the scale.
    pub weight: f64,
    states: Vec<Vec<f64>>,
    likely: Vec<f64>,
}

impl Weigher {
    pub fn new(model: &Model) -> Weigher {
        let nodes: Vec<Node> = (0..model.network.causes().len()).map(|c| node(model, c)).collect();
        let certain = (0..nodes.len()).filter(|&c| nodes[c].prior >= 1.0).collect();
        let marked = model.history.seen.iter().filter(|s| !is_normal(s));
        let marked = marked.map(|s| (s.weights.clone(), Pushed::new(model, s.finding, &model.history.cured(s.period)))).collect();
        let absent: f64 = nodes.iter().filter(|n| n.prior < 1.0).map(|n| (1.0 - n.prior).ln()).sum();
        Weigher { nodes, certain, marked, scale: absent + normals_without(model) }
    }

    /// How many causes there are.
    pub fn causes(&self) -> usize {
        self.nodes.len()
    }

    /// What a set makes of the evidence.
    pub fn explain(&self, set: Vec<usize>) -> Explained {
        let states: Vec<Vec<f64>> = self.marked.iter().map(|(_, pushed)| pushed.states(&set)).collect();
        let likely: Vec<f64> = states.iter().zip(&self.marked).map(|(s, (w, _))| s.iter().zip(w).map(|(p, w)| p * w).sum()).collect();
        let weight = self.prior(&set) * likely.iter().product::<f64>();
        Explained { set, weight, states, likely }
    }

    /// The weight of a set with one cause more, which must not be in it: what [`Weigher::explain`] would find, for less work.
    pub fn with(&self, explained: &Explained, more: usize) -> f64 {
        let likely = (0..self.marked.len()).map(|m| self.likely_with(explained, m, more)).product::<f64>();
        if likely == 0.0 { 0.0 } else { likely * self.prior(&with(&explained.set, more)) }
    }

    fn likely_with(&self, explained: &Explained, marked: usize, more: usize) -> f64 {
        let (weights, pushed) = &self.marked[marked];
        let Some(push) = &pushed.pushes[more] else { return explained.likely[marked] };
        let states = &explained.states[marked];
        weights.iter().enumerate().filter(|(_, w)| **w > 0.0).map(|(k, w)| w * raised(states, push, k)).sum()
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

/// A rising set with one more.
pub fn with(set: &[usize], more: usize) -> Vec<usize> {
    let mut grown = Vec::with_capacity(set.len() + 1);
    grown.extend_from_slice(set);
    grown.insert(set.partition_point(|&c| c < more), more);
    grown
}

fn node(model: &Model, cause: usize) -> Node {
    let given = &model.network.causes()[cause];
    let strength = |c: usize| model.network.causes()[c].brought_by.iter().find(|(p, _)| *p == cause).map(|(_, s)| (c, *s));
    let children = model.network.brought_by(cause).iter().filter_map(|&c| strength(c));
    Node { prior: given.prior, parents: given.brought_by.clone(), children: children.collect(), normals: normals(model, cause) }
}

/// Likelihood of all normal findings with the cause present, over that without.
fn normals(model: &Model, cause: usize) -> f64 {
    let seen = model.history.seen.iter().filter(|s| is_normal(s) && !model.history.cured(s.period).contains(&cause));
    let push = |f: usize| model.network.findings()[f].pushes.iter().find(|p| p.0 == cause);
    seen.filter_map(|s| push(s.finding)).map(|(_, push)| (1.0 - push.iter().sum::<f64>()).max(0.0)).product()
}

/// ln P(all normal findings normal | no cause present).
fn normals_without(model: &Model) -> f64 {
    let normal = model.history.seen.iter().filter(|s| is_normal(s));
    normal.map(|s| ((1.0 - model.network.findings()[s.finding].stray.iter().sum::<f64>()) * s.weights[0]).ln()).sum()
}
