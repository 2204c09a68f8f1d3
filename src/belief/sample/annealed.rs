//! The stated approximation for components too wide to sweep: annealed importance sampling over the causes of the core
//! (Neal 2001; as a population with resampling, Del Moral, Doucet & Jasra 2006, "Sequential Monte Carlo samplers").
//!
//! A population of states is drawn from what the causes are before the core's findings. Then finding after finding is
//! added: each state counts as much as it makes the finding likely, states that count little give way to copies of others,
//! and all move on (`chain`) by steps that leave the distribution so far as it is. The estimate of P(evidence) is right on
//! average. What was folded away stays exact.
//!
//! What nothing known hangs on is silent: it takes no part in the moves and is drawn from its parents where a state is read.

use super::chain::{Chain, SWAPS};
use super::core::{Core, FLOOR, pick};
use super::estimate::Sampling;
use crate::belief::arith::Random;
use crate::belief::eliminate::{Slopes, Sweep};
use crate::belief::order::Order;
use crate::belief::query::Graph;

/// Numbers touched by the moves of all populations, at most: about a second. Where the samples asked for would touch more, fewer are drawn, and where the
/// fewest would, each of them moves less.
const MOVES: usize = 100_000_000;

/// The smallest population.
const FEWEST: usize = 2;

/// How much a sample moves while findings are added to it, and at the end.
#[derive(Debug, Clone, Copy)]
struct Pace {
    /// Rounds in which all causes move, spread over the findings: at the findings between only what pushes the new one moves, so that the work grows
    /// with the network and not with its square.
    rounds: usize,
    /// At each so many of the findings between.
    near: usize,
    /// Rounds at the end, where each state is also read.
    readings: usize,
}

impl Pace {
    const FULL: Pace = Pace { rounds: 64, near: 1, readings: 10 };

    /// So many times slower.
    fn slower(self, times: usize) -> Pace {
        Pace { rounds: (self.rounds / times).max(1), near: self.near * times, readings: (self.readings / times).max(1) }
    }
}

/// Some populations of samples over one component. After each, `each` gets the sweep, its slopes in proportion to an estimate of 1,
/// and ln of the estimate. Gives the number of samples drawn.
pub fn sampled(sweep: &mut Sweep<f64>, graph: &Graph, order: &Order, sampling: Sampling, mut each: impl FnMut(&Sweep<f64>, f64)) -> u32 {
    sweep.slopes.start.resize(graph.start.len(), 0.0);
    sweep.slopes.weight.resize(graph.weight.len(), 0.0);
    let mut random = Random(sampling.seed);
    let mut drawn = 0;
    for _ in 0..sampling.runs {
        sweep.fold(graph, order);
        let core = Core::new(graph, order, &sweep.numbers);
        let most = MOVES / sampling.runs as usize;
        let moves = core.moves().max(1);
        let size = sampling.size.min(most / moves).max(FEWEST);
        let total = core.run(size, Pace::FULL.slower((FEWEST * moves).div_ceil(most)), &mut random, &mut sweep.slopes);
        sweep.unfold(graph, order, true);
        each(sweep, total);
        drawn += size as u32;
    }
    drawn
}

/// One state of all causes, and how much it counts.
#[derive(Debug, Clone)]
pub struct Sample {
    /// For each cause and condition its level.
    pub level: Vec<u16>,
    pub weight: f64,
}

impl Core<'_> {
    /// One population of `size` samples: ln of the estimate of P(evidence), and the slopes in proportion to an estimate of 1.
    /// Minus infinity when no sample could explain all.
    fn run(&self, size: usize, pace: Pace, random: &mut Random, slopes: &mut Slopes<f64>) -> f64 {
        let drawn: Vec<(Vec<u16>, f64)> = (0..size).map(|_| self.draw(random)).collect();
        let top = drawn.iter().map(|d| d.1).fold(f64::NEG_INFINITY, f64::max);
        if top == f64::NEG_INFINITY {
            return top;
        }
        let mut samples: Vec<Sample> = drawn.into_iter().map(|(level, ln)| Sample { level, weight: (ln - top).exp() }).collect();
        let mut chain = Chain::new(self);
        let counts = |v: &usize| self.mass(*v, &[]).ln();
        let mut total: f64 = top + self.silent.iter().map(counts).sum::<f64>();
        let every = self.findings.len().div_ceil(pace.rounds);
        for (place, &finding) in self.findings.iter().enumerate() {
            for sample in &mut samples {
                sample.weight *= self.mass(finding, &sample.level) + FLOOR;
            }
            total += resample(&mut samples, random);
            chain.add(finding);
            let (all, near) = (place % every == 0, place % pace.near == 0);
            for sample in samples.iter_mut().filter(|_| all || near) {
                let level = std::mem::take(&mut sample.level);
                if all {
                    chain.enter(level);
                    chain.round(random);
                } else {
                    chain.enter_near(finding, level);
                    chain.round_near(finding, random);
                }
                sample.level = chain.leave();
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
        self.read(samples, pace.readings, &mut chain, random, slopes);
        total + (sum / size as f64).ln()
    }

    /// Numbers touched by the moves of one sample at full pace, about.
    fn moves(&self) -> usize {
        let pace = Pace::FULL;
        let levels = |v: usize| self.graph.nodes[v].levels;
        let pushed = |v: usize| levels(v) + self.outs[v].iter().map(|&(to, _)| levels(to)).sum::<usize>();
        let draw = |v: usize| levels(v) * pushed(v);
        let afresh = |v: usize| levels(v) * (1 + self.ins[v].len());
        // two causes are weighed twice, and put back as often as not
        let swaps = |f: usize| SWAPS * 6 * self.ins[f].iter().map(|&(c, _)| pushed(c)).sum::<usize>() / self.ins[f].len().max(1);
        let whole: usize = self.causes.iter().chain(&self.findings).map(|&v| afresh(v)).sum();
        let around = |c: usize| afresh(c) + self.outs[c].iter().map(|&(to, _)| afresh(to)).sum::<usize>();
        let near = |f: usize| {
            let causes = self.ins[f].iter().map(|&(c, _)| c);
            causes.clone().map(around).sum::<usize>().min(whole) + causes.map(draw).sum::<usize>() + swaps(f)
        };
        let added = self.findings.iter().map(|&f| swaps(f)).sum::<usize>();
        let round = whole + self.causes.iter().map(|&v| draw(v)).sum::<usize>();
        let rounds = pace.rounds.min(self.findings.len());
        let between = if rounds < self.findings.len() { self.findings.iter().map(|&f| near(f)).sum::<usize>() / pace.near } else { 0 };
        // while findings are added half of them count on average; a reading costs about a round more
        (round + added / 2) * rounds + (2 * round + added) * pace.readings + between
    }

    /// A state from the causes' own probabilities, parents first, and ln of how much it counts: over hundreds of causes that is no number any more.
    fn draw(&self, random: &mut Random) -> (Vec<u16>, f64) {
        let (mut level, mut ln) = (vec![0; self.graph.nodes.len()], 0.0);
        for &cause in &self.causes {
            let mut levels = self.levels(cause, &level);
            let weights = &self.numbers.weight[self.graph.nodes[cause].at..];
            levels.iter_mut().zip(weights).for_each(|(p, w)| *p *= w);
            ln += levels.iter().sum::<f64>().ln();
            level[cause] = pick(&levels, random) as u16;
        }
        (level, ln)
    }

    /// Moves on, reading each state on the way; a sample counts by its weight.
    fn read(&self, samples: Vec<Sample>, readings: usize, chain: &mut Chain, random: &mut Random, slopes: &mut Slopes<f64>) {
        let slots = |v: usize| self.graph.nodes[v].at..self.graph.nodes[v].at + self.graph.nodes[v].levels;
        self.fed.iter().flat_map(|&v| slots(v)).for_each(|slot| slopes.start[slot] = 0.0);
        self.asked.iter().flat_map(|&v| slots(v)).for_each(|slot| slopes.weight[slot] = 0.0);
        let sum: f64 = samples.iter().map(|s| s.weight).sum();
        for sample in samples.into_iter().filter(|s| s.weight > 0.0) {
            let share = sample.weight / sum / readings as f64;
            chain.enter(sample.level);
            for _ in 0..readings {
                chain.round(random);
                chain.draw_silent(random);
                self.fed.iter().for_each(|&v| chain.read_start(v, share, slopes));
                self.asked.iter().for_each(|&v| chain.read_weight(v, share, slopes));
            }
        }
    }
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
