//! The stated approximation for components too wide to sweep: annealed importance sampling over the causes of the core
//! (Neal 2001; as a population with resampling, Del Moral, Doucet & Jasra 2006, "Sequential Monte Carlo samplers").
//!
//! A population of states is drawn from what the causes are before the core's findings. Then finding after finding is
//! added: each state counts as much as it makes the finding likely, states that count little give way to copies of others,
//! and all move on (`walk`) by steps that leave the distribution so far as it is. The estimate of P(evidence) is right on
//! average. What was folded away stays exact.
//!
//! What nothing known hangs on is silent: it takes no part in the moves and is drawn from its parents where a state is read.

use super::fold::{Numbers, Slopes, dot, each_pushed};
use super::graph::Graph;
use super::looks::Join;
use super::order::{Order, Step};
use super::random::Random;
use super::walk::Walk;

/// Rounds of moves after each finding, and at the end, where each is also read.
const ROUNDS: usize = 1;
const READINGS: usize = 10;

/// Added to the likelihood of a finding on the way, and taken off at the end: states that cannot explain a finding as it
/// comes may still find a way to.
pub(super) const FLOOR: f64 = 1e-9;

/// How far equal numbers may differ.
const ROUNDING: f64 = 1e-12;

/// What the folds left of a component, as lists. Nodes have their numbers in the graph.
#[derive(Debug)]
pub(super) struct Core<'a> {
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
    /// Nodes whose start, and whose weights, the folds or the asker want to know about.
    fed: Vec<usize>,
    asked: Vec<usize>,
}

/// One state of all causes, and how much it counts.
#[derive(Debug, Clone)]
pub(super) struct Sample {
    /// For each cause and condition its level.
    pub level: Vec<u16>,
    pub weight: f64,
}

impl<'a> Core<'a> {
    /// The numbers must have the folds worked in.
    pub fn new(graph: &'a Graph, order: &Order, numbers: &'a Numbers<f64>) -> Core<'a> {
        let lists = || vec![vec![]; graph.nodes.len()];
        let (causes, findings, silent, fed, asked) = (vec![], vec![], vec![], vec![], vec![]);
        let reach = numbers.push.clone();
        let mut core = Core { graph, numbers, causes, findings, silent, ins: lists(), outs: lists(), reach, fed, asked };
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

    /// One population of `size` samples: ln of the estimate of P(evidence), and the slopes in proportion to an estimate of 1.
    /// Minus infinity when no sample could explain all.
    pub fn run(&self, size: usize, random: &mut Random, slopes: &mut Slopes<f64>) -> f64 {
        let mut samples: Vec<Sample> = (0..size).map(|_| self.draw(random)).collect();
        let mut walk = Walk::new(self);
        let counts = |v: &usize| self.mass(*v, &[]).ln();
        let mut total: f64 = self.silent.iter().map(counts).sum();
        for &finding in &self.findings {
            for sample in &mut samples {
                sample.weight *= self.mass(finding, &sample.level) + FLOOR;
            }
            total += resample(&mut samples, random);
            walk.add(finding);
            for sample in &mut samples {
                walk.enter(std::mem::take(&mut sample.level));
                (0..ROUNDS).for_each(|_| walk.round(random));
                sample.level = walk.leave();
            }
        }
        for sample in &mut samples {
            let masses = self.findings.iter().map(|&f| self.mass(f, &sample.level));
            sample.weight *= masses.map(|mass| mass / (mass + FLOOR)).product::<f64>();
        }
        let sum: f64 = samples.iter().map(|s| s.weight).sum();
        if sum <= 0.0 {
            return f64::NEG_INFINITY;
        }
        self.read(samples, &mut walk, random, slopes);
        total + (sum / size as f64).ln()
    }

    /// A state from the causes' own probabilities, parents first.
    fn draw(&self, random: &mut Random) -> Sample {
        let mut sample = Sample { level: vec![0; self.graph.nodes.len()], weight: 1.0 };
        for &cause in &self.causes {
            let mut levels = self.levels(cause, &sample.level);
            let weights = &self.numbers.weight[self.graph.nodes[cause].at..];
            levels.iter_mut().zip(weights).for_each(|(p, w)| *p *= w);
            sample.weight *= levels.iter().sum::<f64>();
            sample.level[cause] = pick(&levels, random) as u16;
        }
        sample
    }

    /// The levels of a node given its parents.
    fn levels(&self, v: usize, level: &[u16]) -> Vec<f64> {
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
    fn mass(&self, v: usize, level: &[u16]) -> f64 {
        dot(&self.levels(v, level), &self.numbers.weight[self.graph.nodes[v].at..])
    }

    /// Moves on, reading each state on the way; a sample counts by its weight.
    fn read(&self, samples: Vec<Sample>, walk: &mut Walk, random: &mut Random, slopes: &mut Slopes<f64>) {
        let slots = |v: usize| self.graph.nodes[v].at..self.graph.nodes[v].at + self.graph.nodes[v].levels;
        self.fed.iter().flat_map(|&v| slots(v)).for_each(|slot| slopes.start[slot] = 0.0);
        self.asked.iter().flat_map(|&v| slots(v)).for_each(|slot| slopes.weight[slot] = 0.0);
        let sum: f64 = samples.iter().map(|s| s.weight).sum();
        for sample in samples.into_iter().filter(|s| s.weight > 0.0) {
            let share = sample.weight / sum / READINGS as f64;
            walk.enter(sample.level);
            for _ in 0..READINGS {
                walk.round(random);
                walk.draw_silent(random);
                self.fed.iter().for_each(|&v| walk.read_start(v, share, slopes));
                self.asked.iter().for_each(|&v| walk.read_weight(v, share, slopes));
            }
        }
    }
}

/// Sums of what lies at or below each level.
pub(super) fn up_to(levels: &mut [f64], join: Option<&Join>) {
    match join {
        None => (1..levels.len()).for_each(|i| levels[i] += levels[i - 1]),
        Some(join) => {
            let each = levels.to_vec();
            for (j, below) in join.below.iter().enumerate() {
                levels[j] += below.iter().map(|&b| each[usize::from(b)]).sum::<f64>();
            }
        }
    }
}

/// A level drawn by weight; the first where nothing has any.
pub(super) fn pick(weights: &[f64], random: &mut Random) -> usize {
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

/// Brings the weights to a mean of 1 and returns ln of the mean they had. Where few samples carry most of the weight, draws
/// the population anew in proportion to it.
fn resample(samples: &mut Vec<Sample>, random: &mut Random) -> f64 {
    let size = samples.len() as f64;
    let sum: f64 = samples.iter().map(|s| s.weight).sum();
    let squares: f64 = samples.iter().map(|s| s.weight * s.weight).sum();
    if sum <= 0.0 {
        return 0.0;
    }
    samples.iter_mut().for_each(|s| s.weight *= size / sum);
    if sum * sum / squares < size / 2.0 {
        let mut at = random.next();
        let mut drawn = Vec::with_capacity(samples.len());
        for sample in samples.iter() {
            at += sample.weight;
            while at >= 1.0 && drawn.len() < samples.len() {
                drawn.push(Sample { weight: 1.0, level: sample.level.clone() });
                at -= 1.0;
            }
        }
        // Rounding may leave the last place empty.
        while let Some(last) = drawn.last().filter(|_| drawn.len() < samples.len()).cloned() {
            drawn.push(last);
        }
        *samples = drawn;
    }
    (sum / size).ln()
}
