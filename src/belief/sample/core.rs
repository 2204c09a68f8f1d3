//! What the folds left of a component too wide to sweep, as lists for the sampler.

use crate::belief::arith::{dot, each_pushed, up_to};
use crate::belief::eliminate::Numbers;
use crate::belief::order::{Order, Step};
use crate::belief::query::Graph;

/// Added to the likelihood of a finding on the way, and taken off at the end: states that cannot explain a finding as it
/// comes may still find a way to.
pub const FLOOR: f64 = 1e-9;

/// How far equal numbers may differ.
const ROUNDING: f64 = 1e-12;

/// What the folds left of a component, as lists. Nodes have their numbers in the graph.
#[derive(Debug)]
pub struct Core<'a> {
    pub graph: &'a Graph,
    pub numbers: &'a Numbers<f64>,
    /// Parents first.
    pub causes: Vec<usize>,
    /// In the order in which a sweep would close them.
    pub findings: Vec<usize>,
    /// Causes and findings that say nothing of the others, parents first.
    pub silent: Vec<usize>,
    /// For each node, its parents, and what it pushes (unless that is silent), with the place where the link's numbers begin.
    pub ins: Vec<Vec<(usize, usize)>>,
    pub outs: Vec<Vec<(usize, usize)>>,
    /// For each link, level of its source from 1 on and level of its target, the probability of a push to at most that level.
    pub reach: Vec<f64>,
    /// For each cause the largest of its weights: what was folded into it may be hundreds of findings that nothing explains, and only the ratios
    /// of its levels matter to its moves.
    pub most: Vec<f64>,
    /// Nodes whose start, and whose weights, the folds or the asker want to know about.
    pub fed: Vec<usize>,
    pub asked: Vec<usize>,
}

impl<'a> Core<'a> {
    /// The numbers must have the folds worked in.
    pub fn new(graph: &'a Graph, order: &Order, numbers: &'a Numbers<f64>) -> Core<'a> {
        let lists = || vec![vec![]; graph.nodes.len()];
        let (causes, findings, silent, fed, asked) = (vec![], vec![], vec![], vec![], vec![]);
        let reach = numbers.push.clone();
        let largest = |v: usize| numbers.weight[graph.nodes[v].at..][..graph.nodes[v].levels].iter().copied().fold(0.0, f64::max);
        let most = (0..graph.nodes.len()).map(largest).map(|m: f64| if m > 0.0 { m } else { 1.0 }).collect();
        let mut core = Core { graph, numbers, causes, findings, silent, ins: lists(), outs: lists(), reach, most, fed, asked };
        order.steps[order.folds..].iter().for_each(|step| core.add(*step));
        core.causes.sort_unstable();
        core.set_apart_the_silent();
        core
    }

    fn set_apart_the_silent(&mut self) {
        let mut silent = vec![false; self.graph.nodes.len()];
        for &v in self.findings.iter().chain(self.causes.iter().rev()) {
            silent[v] = self.is_even(v) && self.outs[v].iter().all(|(to, _)| silent[*to]);
        }
        self.silent = self.causes.iter().chain(&self.findings).copied().filter(|&v| silent[v]).collect();
        self.causes.retain(|&v| !silent[v]);
        self.findings.retain(|&v| !silent[v]);
        self.outs.iter_mut().for_each(|outs| outs.retain(|(to, _)| !silent[*to]));
    }

    /// Whether a node counts the same whatever pushes it.
    fn is_even(&self, v: usize) -> bool {
        let node = &self.graph.nodes[v];
        let weights = &self.numbers.weight[node.at..node.at + node.levels];
        let same = |w: &f64| (w - weights[0]).abs() <= ROUNDING * weights[0];
        let rows = |(from, at): &(usize, usize)| {
            let size = (self.graph.nodes[*from].levels - 1) * node.levels;
            self.numbers.push[*at..at + size].chunks_exact(node.levels)
        };
        let whole = |link: &(usize, usize)| rows(link).all(|row| row.iter().sum::<f64>() >= 1.0 - ROUNDING);
        weights[0] > 0.0 && weights.iter().all(same) && self.ins[v].iter().all(whole)
    }

    fn add(&mut self, step: Step) {
        match step {
            Step::Open { node, weigh, keep } if keep => {
                self.fed.push(node);
                self.asked.extend(weigh.then_some(node));
            }
            Step::Push { link, .. } => {
                let link = self.graph.links[link];
                self.ins[link.to].push((link.from, link.at));
                self.outs[link.from].push((link.to, link.at));
                let levels = self.graph.nodes[link.to].levels;
                let join = self.graph.join(link.to).map(AsRef::as_ref);
                for row in 0..self.graph.nodes[link.from].levels - 1 {
                    let at = link.at + row * levels;
                    up_to(&mut self.reach[at..at + levels], join);
                }
            }
            Step::Weigh { node, keep, .. } => self.asked.extend(keep.then_some(node)),
            Step::Close { node, keep, .. } => {
                self.asked.extend(keep.then_some(node));
                match self.graph.nodes[node].role.is_hidden() {
                    true => self.causes.push(node),
                    false => self.findings.push(node),
                }
            }
            Step::Open { .. } | Step::FoldRoot { .. } | Step::FoldLeaf { .. } => {}
        }
    }

    /// The levels of a node given its parents.
    pub fn levels(&self, v: usize, level: &[u16]) -> Vec<f64> {
        let (node, n) = (&self.graph.nodes[v], self.numbers);
        let join = self.graph.join(v).map(AsRef::as_ref);
        let mut levels = n.start[node.at..node.at + node.levels].to_vec();
        for &(parent, at) in &self.ins[v] {
            if let Some(row) = level.get(parent).and_then(|l| usize::from(*l).checked_sub(1)) {
                let before = levels.clone();
                each_pushed(&before, &n.push[at + row * node.levels..][..node.levels], join, |j, x| levels[j] = x);
            }
        }
        levels
    }

    /// Likelihood of a finding given its parents.
    pub fn mass(&self, v: usize, level: &[u16]) -> f64 {
        dot(&self.levels(v, level), &self.numbers.weight[self.graph.nodes[v].at..])
    }
}

/// A level drawn by weight; the first where nothing has any.
pub fn pick(weights: &[f64], random: &mut crate::belief::arith::Random) -> usize {
    let mut at = random.next() * weights.iter().sum::<f64>();
    let last = weights.iter().rposition(|w| *w > 0.0).unwrap_or(0);
    for (level, w) in weights.iter().enumerate().take(last) {
        at -= w;
        if at < 0.0 {
            return level;
        }
    }
    last
}
