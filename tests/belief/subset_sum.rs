//! A second opinion for two-layer binary networks: the classical sum over subsets of the positive findings
//! (Heckerman 1989, "A tractable inference algorithm for diagnosing multiple diseases"). Its terms alternate in sign, so it
//! is a check only while P(evidence) is not small; that it fails where the sweep does not is checked too.

use faultbook::belief::{Limits, Network, Seen, weigh};

use super::generate::{Dice, Shape, network};
use super::published::two_layers;

/// P(evidence) and the probability of each cause: `P(e) = sum over S of (-1)^|S| P(all of S normal, all normals normal)`.
fn subset_sum(net: &Network, positive: &[usize], negative: &[usize]) -> (f64, Vec<f64>) {
    let causes = net.causes().len();
    let (mut evidence, mut joint) = (0.0, vec![0.0; causes]);
    for subset in 0..1u32 << positive.len() {
        let taken = (0..positive.len()).filter(|i| subset >> i & 1 == 1).map(|i| positive[i]);
        let normal: Vec<usize> = taken.chain(negative.iter().copied()).collect();
        let sign = if subset.count_ones() % 2 == 0 { 1.0 } else { -1.0 };
        let stray = normal.iter().map(|&f| 1.0 - net.findings()[f].stray[0]).product::<f64>();
        let mut pass = vec![1.0; causes];
        for &f in &normal {
            net.findings()[f].pushes.iter().for_each(|(c, push)| pass[*c] *= 1.0 - push[0]);
        }
        let present = |c: usize| net.causes()[c].prior * pass[c];
        let either = |c: usize| present(c) + 1.0 - net.causes()[c].prior;
        let term = sign * stray * (0..causes).map(either).product::<f64>();
        evidence += term;
        (0..causes).for_each(|c| joint[c] += term * present(c) / either(c));
    }
    (evidence, joint.into_iter().map(|j| j / evidence).collect())
}

fn ask(net: &Network, positive: &[usize], negative: &[usize]) -> (f64, Vec<f64>) {
    let seen = |(fs, state): (&[usize], usize)| fs.iter().map(|&f| Seen::state(f, state, 2)).collect::<Vec<_>>();
    let beliefs = weigh(net, &[seen((positive, 1)), seen((negative, 0))].concat().into(), &Limits::default()).unwrap();
    (beliefs.log_evidence.exp(), beliefs.causes)
}

#[test]
fn the_subset_sum_agrees_where_it_can() {
    let mut compared = 0;
    for seed in 0..300 {
        let mut dice = Dice(seed ^ 0x5ab5e7);
        let shape = Shape { causes: 30, findings: 14, chains: 0.0, links: 0.25, states: 2, sure: 0.0, conditions: 0.0 };
        let net = network(&mut dice, shape);
        let positive: Vec<usize> = (0..2 + dice.below(6)).collect();
        let negative: Vec<usize> = (8..14).collect();
        let (evidence, causes) = subset_sum(&net, &positive, &negative);
        if evidence < 1e-6 {
            continue;
        }
        let (found, found_causes) = ask(&net, &positive, &negative);
        assert!((found / evidence - 1.0).abs() < 1e-9, "seed {seed}: {found} is not {evidence}");
        let off = found_causes.iter().zip(&causes).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(off < 1e-9, "seed {seed}: a cause off by {off:e}");
        compared += 1;
    }
    assert!(compared > 150, "{compared}");
}

/// T8 of twelve findings: both ways agree on it.
#[test]
fn the_subset_sum_agrees_on_two_layers() {
    let net = two_layers(10, 12);
    let (positive, negative): (Vec<usize>, Vec<usize>) = (0..12).partition(|&j| j < 9);
    let (evidence, _) = subset_sum(&net, &positive, &negative);
    assert!((ask(&net, &positive, &negative).0 / evidence - 1.0).abs() < 1e-9);
}

/// With rare causes and rare strays its terms, each near 1, cancel to nothing.
#[test]
fn the_subset_sum_cancels_where_the_sweep_does_not() {
    let link = |c: usize| (c, vec![1e-3]);
    let finding = |f: usize| faultbook::belief::FindingNode { stray: vec![1e-4], pushes: vec![link(f), link((f + 1) % 8)] };
    let cause = faultbook::belief::CauseNode { prior: 1e-3, brought_by: vec![], condition: false };
    let net = Network::new(vec![cause; 8], (0..8).map(finding).collect()).unwrap();
    let positive: Vec<usize> = (0..8).collect();
    let truth = super::reference::answer(&net, &positive.iter().map(|&f| Seen::state(f, 1, 2)).collect::<Vec<_>>().into()).evidence;
    assert!((ask(&net, &positive, &[]).0 / truth - 1.0).abs() < 1e-9);
    assert!((subset_sum(&net, &positive, &[]).0 / truth - 1.0).abs() > 1e-3);
}
