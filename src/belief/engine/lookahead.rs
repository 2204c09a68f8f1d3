//! What one more look would show, from the parts of the evidence as they stand.
//!
//! "The finding is at most in state `k`" is a factor on each cause that pushes it (module docs of the room), and so is a
//! cause taken as present or absent: nothing is ordered anew, the parts touched are swept again and the rest keeps what it
//! has. A single state is the difference of two such sweeps, which is as good as a sum while the state is not rare.

use super::calibrated::Calibrated;
use crate::belief::model::FindingNode;
use crate::belief::query::{Factor, Lives};

/// One state a finding may turn out to be in.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Probability of the state, given the evidence.
    pub probability: f64,
    /// The causes it bears on, with their probabilities of being there now once it is seen. A cause not listed keeps its probability, unless
    /// a listed one could have brought it about.
    pub causes: Vec<(usize, f64)>,
}

/// What a cause does to a finding, and where the cause stands.
#[derive(Debug, Clone, Copy)]
struct Push<'a> {
    cause: usize,
    stand: Stand,
    to: &'a [f64],
}

/// Where a cause stands now: at a level of a node in a part of the evidence, or on its own with its probability.
#[derive(Debug, Clone, Copy)]
enum Stand {
    In { part: usize, node: usize, level: usize },
    Alone { chance: f64 },
}

/// "The finding is at most in this state": its probability given the evidence, and that of each cause given both.
struct AtMost {
    probability: f64,
    causes: Vec<f64>,
}

/// What cannot be there any more.
const GONE: Stand = Stand::Alone { chance: 0.0 };

impl Calibrated {
    /// `None` when a cause takes no part and has parents of its own: what it hangs on would have to be swept.
    fn stand(&self, lives: &Lives, cause: usize) -> Option<Stand> {
        let node = &lives.network.causes()[cause];
        let Some(level) = lives.now_level(cause) else { return Some(GONE) };
        match self.problem.graph.lasting(cause) {
            Some(node) => Some(Stand::In { part: self.problem.part_of[node], node, level }),
            None => node.brought_by.is_empty().then(|| Stand::Alone { chance: node.prior * lives.lasts(cause) }),
        }
    }

    /// ln P(evidence and these causes there now or not, as given).
    pub fn log_weight_of(&mut self, lives: &Lives, present: &[usize], absent: &[usize]) -> Option<f64> {
        let mut log_weight = self.log_weight();
        let mut factors = Vec::new();
        let held = present.iter().map(|&c| (c, true)).chain(absent.iter().map(|&c| (c, false)));
        for (cause, is_present) in held {
            match self.stand(lives, cause)? {
                Stand::In { part, node, level: there } => {
                    let ruled_out = (0..self.problem.graph.nodes[node].levels).filter(|&level| (level == there) != is_present);
                    factors.extend(ruled_out.map(|level| (part, Factor { node, level, by: 0.0 })));
                }
                Stand::Alone { chance } => log_weight += if is_present { chance } else { 1.0 - chance }.ln(),
            }
        }
        for (part, factors) in by_part(factors) {
            log_weight += self.change(part, &factors);
        }
        Some(log_weight)
    }

    /// All states of a finding not seen before; the probabilities of causes are to be trusted only where the state is not rare.
    pub fn outcomes(&mut self, lives: &Lives, finding: &FindingNode) -> Option<Vec<Outcome>> {
        let pushes = self.pushes(lives, finding)?;
        let causes = self.touched(lives, &pushes);
        let mut below = AtMost { probability: 0.0, causes: vec![0.0; causes.len()] };
        let state = |k: usize| {
            let here = self.at_most(lives, &pushes, k, pass(&finding.stray, k));
            let outcome = here.without(&below, &causes);
            below = here;
            outcome
        };
        Some((0..finding.states()).map(state).collect())
    }

    /// The probabilities of the states alone; the same holds of rare ones.
    pub fn prediction(&mut self, lives: &Lives, finding: &FindingNode) -> Option<Vec<f64>> {
        let pushes = self.pushes(lives, finding)?;
        let mut below = 0.0;
        let state = |k: usize| {
            let mut here = pass(&finding.stray, k);
            for (part, factors) in by_part(factors(&pushes, k)) {
                here *= self.change(part, &factors).exp();
            }
            here = alone(&pushes, k).fold(here, |here, (both, _)| here * both);
            here - std::mem::replace(&mut below, here)
        };
        Some((0..finding.states()).map(state).collect())
    }

    /// Also `None` when a part is not exact: a difference of two estimates is none.
    fn pushes<'a>(&self, lives: &Lives, finding: &'a FindingNode) -> Option<Vec<Push<'a>>> {
        let exact = |stand: &Stand| !matches!(stand, Stand::In { part, .. } if !self.problem.parts[*part].exact);
        let pushes = finding.pushes.iter();
        pushes.map(|(cause, to)| Some(Push { cause: *cause, stand: self.stand(lives, *cause).filter(exact)?, to })).collect()
    }

    /// The causes of all parts that these pushes come from, part by part, then those that stand alone.
    fn touched(&self, lives: &Lives, pushes: &[Push]) -> Vec<usize> {
        let mut causes = Vec::new();
        for (part, _) in by_part(factors(pushes, 0)) {
            causes.extend(self.causes_of(lives, part, &self.levels).into_iter().map(|(cause, _)| cause));
        }
        causes.extend(pushes.iter().filter(|p| matches!(p.stand, Stand::Alone { .. })).map(|p| p.cause));
        causes
    }

    fn at_most(&mut self, lives: &Lives, pushes: &[Push], k: usize, stray: f64) -> AtMost {
        let mut found = AtMost { probability: stray, causes: Vec::new() };
        for (part, factors) in by_part(factors(pushes, k)) {
            let mut levels = &self.levels;
            if factors.iter().any(|f| f.by < 1.0) {
                found.probability *= (self.problem.levels(part, &factors, &mut self.room).0 - self.totals[part]).exp();
                levels = &self.room;
            }
            found.causes.extend(self.causes_of(lives, part, levels).into_iter().map(|(_, p)| p));
        }
        for (both, present) in alone(pushes, k) {
            found.probability *= both;
            found.causes.push(if present > 0.0 { present / both } else { 0.0 });
        }
        found
    }
}

impl AtMost {
    /// "In this state": at most in it, and not at most in the one below.
    fn without(&self, below: &AtMost, causes: &[usize]) -> Outcome {
        let probability = (self.probability - below.probability).clamp(0.0, 1.0);
        let left = |(&cause, (&here, &under)): (&usize, (&f64, &f64))| {
            // where nothing is at most in the state there is no share of it to speak of: 0 times 0 / 0
            let part = |share: f64, of: f64| if of > 0.0 { share * of } else { 0.0 };
            let joint = part(here, self.probability) - part(under, below.probability);
            (cause, (joint / probability).clamp(0.0, 1.0))
        };
        let causes = causes.iter().zip(self.causes.iter().zip(&below.causes)).map(left);
        Outcome { probability, causes: causes.collect() }
    }
}

/// Probability that a push does not go above state `k`.
fn pass(push: &[f64], k: usize) -> f64 {
    (1.0 - push[k..].iter().sum::<f64>()).max(0.0)
}

/// What "at most in state `k`" is on the causes that take part.
fn factors(pushes: &[Push], k: usize) -> Vec<(usize, Factor)> {
    let factor = |push: &Push| match push.stand {
        Stand::In { part, node, level } => Some((part, Factor { node, level, by: pass(push.to, k) })),
        Stand::Alone { .. } => None,
    };
    pushes.iter().filter_map(factor).collect()
}

/// What it is on those that stand alone: its probability, and that with the cause present.
fn alone(pushes: &[Push], k: usize) -> impl Iterator<Item = (f64, f64)> {
    pushes.iter().filter_map(move |push| match push.stand {
        Stand::In { .. } => None,
        Stand::Alone { chance } => {
            let present = chance * pass(push.to, k);
            Some(((1.0 - chance) + present, present))
        }
    })
}

/// Gathers factors part by part.
fn by_part(mut factors: Vec<(usize, Factor)>) -> Vec<(usize, Vec<Factor>)> {
    factors.sort_by_key(|(part, _)| *part);
    let groups = factors.chunk_by(|a, b| a.0 == b.0);
    groups.map(|group| (group[0].0, group.iter().map(|(_, factor)| *factor).collect())).collect()
}
