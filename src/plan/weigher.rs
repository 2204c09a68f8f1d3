//! The weight of one set of causes being all that is present: its probability times the likelihood of the evidence.
//!
//! Weights are logarithms, since hundreds of findings at once make numbers that no float holds. They are relative to "no cause is present, and all
//! normal findings normal", whose logarithm is `scale`. Under the logarithm stand sums and products of numbers of 0 or more, as in the belief room.

use super::logs::ln_product;
use super::model::Model;
use super::noisy::{raise, raised};
use super::question::is_normal;
use crate::belief::Seen;

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

    /// How many states it has.
    pub fn count(&self) -> usize {
        self.stray.len()
    }

    /// Whether a cause pushes it.
    pub fn pushes(&self, cause: usize) -> bool {
        self.pushes[cause].is_some()
    }

    /// Probability of each state from the pushes of these causes alone.
    pub fn pushed_by(&self, causes: &[usize]) -> Vec<f64> {
        let mut states = vec![0.0; self.stray.len()];
        states[0] = 1.0;
        causes.iter().filter_map(|&c| self.pushes[c].as_ref()).for_each(|push| raise(&mut states, push));
        states
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
    /// Logarithm of the likelihood of the normal findings with the cause present, over that without.
    normals: f64,
    /// The marked findings that it pushes.
    marks: Vec<usize>,
}

/// A look that allows more than the normal state.
struct Marked {
    weights: Vec<f64>,
    pushed: Pushed,
}

/// Weighs sets of causes.
pub struct Weigher {
    nodes: Vec<Node>,
    certain: Vec<usize>,
    marked: Vec<Marked>,
    /// ln of the weight that counts as 1.
    pub scale: f64,
}

/// How well a set explains the evidence; more is better.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Score {
    /// Findings that it leaves impossible, as a number of 0 or less.
    possible: isize,
    /// Logarithm of its weight, over the scale, as far as the other findings go.
    log: f64,
}

impl Score {
    /// Logarithm of the weight; minus infinity where the set cannot be.
    pub fn weight(self) -> f64 {
        if self.possible < 0 { f64::NEG_INFINITY } else { self.log }
    }
}

/// A set with what it makes of the findings that may be abnormal.
pub struct Explained {
    /// The set, rising.
    pub set: Vec<usize>,
    /// How well it explains the evidence.
    pub score: Score,
    states: Vec<Vec<f64>>,
    likely: Vec<f64>,
    /// Logarithm of the product of those that are not 0.
    product: f64,
}

impl Weigher {
    /// Weighs these looks of a model; what a repair before a look was to cure counts as absent for it.
    pub fn new(model: &Model, seen: &[&Seen]) -> Weigher {
        let marked = seen.iter().filter(|s| !is_normal(s));
        let marked = marked.map(|s| (s.weights.clone(), Pushed::new(model, s.finding, &model.history.cured(s.period))));
        let marked: Vec<Marked> = marked.map(|(weights, pushed)| Marked { weights, pushed }).collect();
        let nodes: Vec<Node> = (0..model.network.causes().len()).map(|c| node(model, seen, &marked, c)).collect();
        let certain = (0..nodes.len()).filter(|&c| nodes[c].prior >= 1.0).collect();
        let absent: f64 = nodes.iter().filter(|n| n.prior < 1.0).map(|n| (1.0 - n.prior).ln()).sum();
        Weigher { nodes, certain, marked, scale: absent + normals_without(model, seen) }
    }

    /// How many causes there are.
    pub fn causes(&self) -> usize {
        self.nodes.len()
    }

    /// What a set makes of the evidence.
    pub fn explain(&self, set: Vec<usize>) -> Explained {
        let states: Vec<Vec<f64>> = self.marked.iter().map(|m| m.pushed.states(&set)).collect();
        let likely: Vec<f64> = states.iter().zip(&self.marked).map(|(s, m)| s.iter().zip(&m.weights).map(|(p, w)| p * w).sum()).collect();
        let possible = -(likely.iter().filter(|p| **p <= 0.0).count() as isize);
        let product = ln_product(likely.iter().copied().filter(|p| *p > 0.0));
        let score = Score { possible, log: self.prior(&set) + product };
        Explained { set, score, states, likely, product }
    }

    /// The score of a set with one cause more, which must not be in it: what [`Weigher::explain`] would find, for less work.
    pub fn with(&self, explained: &Explained, more: usize) -> Score {
        let mut possible = explained.score.possible;
        let mut change = |m: usize| {
            let (before, after) = (explained.likely[m], self.likely_with(explained, m, more));
            possible += isize::from(before <= 0.0) - isize::from(after <= 0.0);
            let factor = |p: f64| if p > 0.0 { p } else { 1.0 };
            factor(after) / factor(before)
        };
        let changes = ln_product(self.nodes[more].marks.iter().map(|&m| change(m)));
        Score { possible, log: explained.product + changes + self.prior(&with(&explained.set, more)) }
    }

    fn likely_with(&self, explained: &Explained, marked: usize, more: usize) -> f64 {
        let Marked { weights, pushed } = &self.marked[marked];
        let Some(push) = &pushed.pushes[more] else { return explained.likely[marked] };
        let states = &explained.states[marked];
        weights.iter().enumerate().filter(|(_, w)| **w > 0.0).map(|(k, w)| w * raised(states, push, k)).sum()
    }

    fn prior(&self, set: &[usize]) -> f64 {
        if !self.certain.iter().all(|c| set.contains(c)) {
            return f64::NEG_INFINITY;
        }
        ln_product(set.iter().map(|&c| self.odds(c, set))) + set.iter().map(|&c| self.nodes[c].normals).sum::<f64>()
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

fn node(model: &Model, seen: &[&Seen], marked: &[Marked], cause: usize) -> Node {
    let given = &model.network.causes()[cause];
    let strength = |c: usize| model.network.causes()[c].brought_by.iter().find(|(p, _)| *p == cause).map(|(_, s)| (c, *s));
    let children = model.network.brought_by(cause).iter().filter_map(|&c| strength(c));
    let marks = (0..marked.len()).filter(|&m| marked[m].pushed.pushes(cause)).collect();
    Node {
        prior: given.prior,
        parents: given.brought_by.clone(),
        children: children.collect(),
        normals: normals(model, seen, cause),
        marks,
    }
}

/// Logarithm of the likelihood of all normal findings with the cause present, over that without.
fn normals(model: &Model, seen: &[&Seen], cause: usize) -> f64 {
    let seen = seen.iter().filter(|s| is_normal(s) && !model.history.cured(s.period).contains(&cause));
    let push = |f: usize| model.network.findings()[f].pushes.iter().find(|p| p.0 == cause);
    ln_product(seen.filter_map(|s| push(s.finding)).map(|(_, push)| (1.0 - push.iter().sum::<f64>()).max(0.0)))
}

/// ln P(all normal findings normal | no cause present).
fn normals_without(model: &Model, seen: &[&Seen]) -> f64 {
    let normal = seen.iter().filter(|s| is_normal(s));
    normal.map(|s| ((1.0 - model.network.findings()[s.finding].stray.iter().sum::<f64>()) * s.weights[0]).ln()).sum()
}
