//! Generated networks through the engine and through the definition.
//!
//! `FAULTBOOK_NETWORKS` sets how many (default 3000).

use faultbook::belief::{History, Limits, Network, Prepared, Seen, weigh};

use super::generate::{Dice, Shape, evidence, history, network};
use super::reference::{answer, answer_where};

const TOLERANCE: f64 = 1e-9;

/// Below this probability of the evidence the definition's own differences are no measure of an impossible case.
const FLOOR: f64 = 1e-13;

pub fn networks() -> u64 {
    std::env::var("FAULTBOOK_NETWORKS").ok().and_then(|n| n.parse().ok()).unwrap_or(3000)
}

pub fn shape(dice: &mut Dice) -> Shape {
    Shape {
        causes: 1 + dice.below(8),
        findings: 1 + dice.below(8),
        chains: [0.0, 0.15, 0.4][dice.below(3)],
        links: [0.2, 0.4, 0.7][dice.below(3)],
        states: 2 + dice.below(3),
        sure: [0.0, 0.0, 0.3][dice.below(3)],
        conditions: [0.0, 0.3][dice.below(2)],
    }
}

/// A small network with a course of up to four periods.
fn in_time(dice: &mut Dice) -> (Network, History) {
    let shape = shape(dice);
    let shape = Shape { causes: 1 + dice.below(5), findings: 1 + dice.below(4), conditions: 0.4, ..shape };
    let net = network(dice, shape);
    let history = history(dice, &net, 0.5);
    (net, history)
}

fn widest(pairs: impl Iterator<Item = (f64, f64)>) -> f64 {
    pairs.map(|(a, b)| (a - b).abs()).fold(0.0, |worst, x| if x.is_nan() { f64::INFINITY } else { worst.max(x) })
}

/// Largest difference between engine and definition on one case; `None` when the evidence is impossible in both.
fn difference(net: &Network, history: &History) -> Option<f64> {
    let truth = answer(net, history);
    let Ok(found) = weigh(net, history, &Limits::default()) else {
        assert!(truth.evidence < FLOOR, "refused evidence of probability {}", truth.evidence);
        return None;
    };
    if truth.evidence < FLOOR {
        assert!(found.log_evidence < FLOOR.ln() + 1.0);
        return None;
    }
    let evidence = (found.log_evidence.exp() / truth.evidence - 1.0).abs() * truth.evidence.min(1e-4) / 1e-4;
    let causes = widest(found.causes.into_iter().zip(truth.causes));
    let findings = widest(found.findings.into_iter().flatten().zip(truth.findings.into_iter().flatten()));
    Some(evidence.max(causes).max(findings).max((found.unlisted - truth.unlisted).abs()))
}

#[test]
fn every_generated_network_gets_the_defined_answer() {
    let (mut worst, mut possible) = (0.0f64, 0);
    for seed in 0..networks() {
        let mut dice = Dice(seed);
        let shape = shape(&mut dice);
        let net = network(&mut dice, shape);
        let seen = History::from(evidence(&mut dice, &net, 0.6));
        if let Some(difference) = difference(&net, &seen) {
            assert!(difference < TOLERANCE, "seed {seed}: off by {difference:e}\n{net:?}\n{seen:?}");
            worst = worst.max(difference);
            possible += 1;
        }
    }
    println!("{possible} of {} networks possible, largest difference {worst:e}", networks());
    assert!(possible * 2 > networks());
}

/// Up to four periods, conditions that bring conditions and causes, repairs that may not hold, findings looked at again.
#[test]
fn every_generated_course_of_repairs_gets_the_defined_answer() {
    let (mut worst, mut possible) = (0.0f64, 0);
    for seed in 0..networks() {
        let mut dice = Dice(seed ^ 0x71e);
        let (net, history) = in_time(&mut dice);
        if let Some(difference) = difference(&net, &history) {
            assert!(difference < TOLERANCE, "seed {seed}: off by {difference:e}\n{net:?}\n{history:?}");
            worst = worst.max(difference);
            possible += 1;
        }
    }
    println!("{possible} of {} courses possible, largest difference {worst:e}", networks());
    assert!(possible * 2 > networks());
}

#[test]
fn look_ahead_and_held_causes_get_the_defined_answer() {
    for seed in 0..networks() / 10 {
        let mut dice = Dice(seed ^ 0x5eed);
        let (net, seen) = if seed % 2 == 0 {
            let shape = shape(&mut dice);
            let net = network(&mut dice, shape);
            let seen = History::from(evidence(&mut dice, &net, 0.4));
            (net, seen)
        } else {
            in_time(&mut dice)
        };
        let truth = answer(&net, &seen);
        if truth.evidence < 1e-9 {
            continue;
        }
        let mut prepared = Prepared::new(&net, &seen, &Limits::default()).expect("possible");
        look_ahead(&mut prepared, &net, &seen, truth.evidence, &mut dice, seed);
        held(&mut prepared, &net, &seen, &mut dice, seed);
    }
}

fn look_ahead(prepared: &mut Prepared, net: &Network, seen: &History, evidence: f64, dice: &mut Dice, seed: u64) {
    let finding = dice.below(net.findings().len());
    let states = net.findings()[finding].states();
    for (state, outcome) in prepared.outcomes(finding).into_iter().enumerate() {
        let mut more = seen.clone();
        more.seen.push(Seen::state(finding, state, states).in_period(seen.now()));
        let truth = answer(net, &more);
        let probability = truth.evidence / evidence;
        assert!((outcome.probability - probability).abs() < TOLERANCE, "seed {seed}");
        if truth.evidence > 1e-9 {
            let off = widest(outcome.causes.iter().map(|&(c, p)| (p, truth.causes[c])));
            assert!(off < TOLERANCE, "seed {seed}: off by {off:e}");
            let listed: Vec<usize> = outcome.causes.iter().map(|&(c, _)| c).collect();
            let untouched = (0..truth.causes.len()).filter(|&c| !below(net, c, &listed));
            let off = widest(untouched.map(|c| (prepared.cause(c), truth.causes[c])));
            assert!(off < TOLERANCE, "seed {seed}: an untouched cause off by {off:e}");
        }
    }
}

/// Whether a cause is one of these, or could have been brought about by one.
fn below(net: &Network, cause: usize, of: &[usize]) -> bool {
    of.contains(&cause) || net.causes()[cause].brought_by.iter().any(|&(parent, _)| below(net, parent, of))
}

fn held(prepared: &mut Prepared, net: &Network, seen: &History, dice: &mut Dice, seed: u64) {
    let role: Vec<usize> = net.causes().iter().map(|_| dice.below(3)).collect();
    let with = |r: usize| -> Vec<usize> { (0..role.len()).filter(|&c| role[c] == r).collect() };
    let (present, absent) = (with(0), with(1));
    let keeps = |state: u32| present.iter().all(|&c| state >> c & 1 == 1) && absent.iter().all(|&c| state >> c & 1 == 0);
    let truth = answer_where(net, seen, &keeps).evidence;
    let found = prepared.log_weight_of(&present, &absent).exp();
    assert!((found - truth).abs() < TOLERANCE, "seed {seed}: {found} is not {truth}");
}
