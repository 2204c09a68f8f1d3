//! Networks and evidence made at random from a seed, small enough to enumerate, with the awkward cases in: probabilities of
//! 0 and 1, chains of causes and conditions, readings near a limit, findings looked at again after repairs that may not have held.

use faultbook::belief::{CauseNode, FindingNode, History, Network, Repair, Seen};

/// Splitmix64 (Steele, Lea & Flood 2014), so that a seed in a message rebuilds the case.
pub struct Dice(pub u64);

impl Dice {
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }
    pub fn below(&mut self, n: usize) -> usize {
        (self.bits() % n.max(1) as u64) as usize
    }
    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }
}

/// How a family of networks is made.
#[derive(Clone, Copy)]
pub struct Shape {
    pub causes: usize,
    pub findings: usize,
    /// Probability that one cause brings another about.
    pub chains: f64,
    /// Probability that a cause pushes a finding.
    pub links: f64,
    pub states: usize,
    /// Probability that a number is 0 or 1 outright.
    pub sure: f64,
    /// Probability that a node is a condition.
    pub conditions: f64,
}

fn number(dice: &mut Dice, shape: Shape, scale: f64) -> f64 {
    match dice.chance(shape.sure) {
        true => f64::from(u8::from(dice.chance(0.3))),
        false => dice.unit() * scale,
    }
}

fn pushes(dice: &mut Dice, shape: Shape, states: usize, scale: f64) -> Vec<f64> {
    let mut left = 1.0;
    let mut next = || {
        let p = number(dice, shape, scale) * left;
        left -= p;
        p
    };
    (1..states).map(|_| next()).collect()
}

pub fn network(dice: &mut Dice, shape: Shape) -> Network {
    let causes = (0..shape.causes).map(|c| {
        let parents: Vec<usize> = (0..c).filter(|_| dice.chance(shape.chains)).collect();
        let brought_by = parents.into_iter().map(|p| (p, number(dice, shape, 1.0))).collect();
        CauseNode { prior: number(dice, shape, 0.3), brought_by, condition: dice.chance(shape.conditions) }
    });
    let causes: Vec<CauseNode> = causes.collect();
    let findings = (0..shape.findings).map(|_| {
        let states = 2 + dice.below(shape.states - 1);
        let pushed = (0..shape.causes).filter(|_| dice.chance(shape.links)).collect::<Vec<_>>();
        let pushes_of = |c| (c, pushes(dice, shape, states, 1.0));
        let pushed = pushed.into_iter().map(pushes_of).collect();
        FindingNode { stray: pushes(dice, shape, states, 0.1), pushes: pushed }
    });
    let findings = findings.collect();
    Network::new(causes, findings).expect("what is generated is valid")
}

/// A course of up to four periods: repairs that cure for certain or by chance, and looks before and after them.
pub fn history(dice: &mut Dice, net: &Network, known: f64) -> History {
    let curable: Vec<usize> = (0..net.causes().len()).filter(|&c| !net.causes()[c].condition).collect();
    let repairs = if curable.is_empty() { 0 } else { dice.below(4) };
    let repair = |dice: &mut Dice| {
        let mut cures: Vec<usize> = (0..1 + dice.below(2)).map(|_| curable[dice.below(curable.len())]).collect();
        cures.dedup();
        Repair { cures: cures.into_iter().map(|c| (c, if dice.chance(0.5) { 1.0 } else { dice.unit() })).collect() }
    };
    let repairs: Vec<Repair> = (0..repairs).map(|_| repair(dice)).collect();
    let seen = (0..=repairs.len()).flat_map(|period| {
        let seen = evidence(dice, net, known);
        seen.into_iter().map(move |look| look.in_period(period))
    });
    History { seen: seen.collect(), repairs: repairs.clone() }
}

pub fn evidence(dice: &mut Dice, net: &Network, known: f64) -> Vec<Seen> {
    let mut seen = Vec::new();
    for (finding, node) in net.findings().iter().enumerate() {
        if dice.chance(known) {
            let mut observation = Seen::state(finding, dice.below(node.states()), node.states());
            if dice.chance(0.25) {
                observation.weights.iter_mut().for_each(|w| *w = if dice.chance(0.3) { 0.0 } else { dice.unit() });
            }
            seen.push(observation);
        }
    }
    seen
}
