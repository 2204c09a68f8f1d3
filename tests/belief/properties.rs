//! What must hold of every network, whatever its numbers.

use faultbook::belief::{CauseNode, FindingNode, History, Limits, Network, Prepared, Seen, Why, weigh, weigh_causes};
use proptest::prelude::*;

use super::generate::{Dice, Shape, evidence, network};

/// A network of middling size with evidence; `None` when the evidence is impossible or as good as.
fn case(seed: u64) -> Option<(Dice, Network, Vec<Seen>)> {
    let mut dice = Dice(seed);
    let chains = [0.0, 0.1][dice.below(2)];
    let shape = Shape { causes: 12, findings: 14, chains, links: 0.2, states: 3, sure: 0.1, conditions: 0.0 };
    let net = network(&mut dice, shape);
    let seen = evidence(&mut dice, &net, 0.4);
    let possible = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).is_ok_and(|b| b.log_evidence > -60.0);
    possible.then_some((dice, net, seen))
}

fn causes(net: &Network, seen: &[Seen]) -> Vec<f64> {
    weigh(net, &History::from(seen.to_vec()), &Limits::default()).expect("possible").causes
}

fn off(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// A cause with this finding as its only effect, and the only cause of this finding: neither is raised by its being normal.
    #[test]
    fn a_normal_finding_never_raises_a_cause_that_only_pushes_it(seed: u64, push in 0.0..1.0, prior in 0.0..1.0) {
        let Some((_, net, mut seen)) = case(seed) else { return Ok(()) };
        let (mut nodes, mut findings) = (net.causes().to_vec(), net.findings().to_vec());
        nodes.push(CauseNode { prior, brought_by: vec![], condition: false });
        let (only, mut shared) = (nodes.len() - 1, findings[0].clone());
        shared.pushes.push((only, vec![push; 1].into_iter().chain(vec![0.0; shared.stray.len() - 1]).collect()));
        findings.push(shared);
        findings.push(FindingNode { stray: vec![0.01], pushes: vec![(0, vec![push])] });
        let net = Network::new(nodes, findings).expect("valid");
        let before = causes(&net, &seen);
        let last = net.findings().len();
        seen.push(Seen::state(last - 1, 0, 2));
        prop_assert!(causes(&net, &seen)[0] <= before[0] + 1e-12);
        seen.pop();
        seen.push(Seen::state(last - 2, 0, net.findings()[last - 2].states()));
        if let Ok(after) = weigh(&net, &History::from(seen.to_vec()), &Limits::default()) {
            prop_assert!(after.causes[only] <= before[only] + 1e-12);
        }
    }

    #[test]
    fn the_order_of_evidence_does_not_matter(seed: u64) {
        let Some((mut dice, net, mut seen)) = case(seed) else { return Ok(()) };
        let before = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
        for i in (1..seen.len()).rev() {
            seen.swap(i, dice.below(i + 1));
        }
        let after = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
        prop_assert!(off(&before.causes, &after.causes) < 1e-11);
        prop_assert!((before.log_evidence - after.log_evidence).abs() < 1e-11);
    }

    /// What the evidence does not reach, and what says nothing, changes nothing.
    #[test]
    fn pruning_changes_nothing(seed: u64) {
        let Some((mut dice, net, mut seen)) = case(seed) else { return Ok(()) };
        let before = causes(&net, &seen);
        let (mut nodes, mut findings) = (net.causes().to_vec(), net.findings().to_vec());
        for _ in 0..4 {
            let brought_by = vec![(dice.below(nodes.len()), dice.unit())];
            nodes.push(CauseNode { prior: dice.unit(), brought_by, condition: false });
            findings.push(FindingNode { stray: vec![0.1], pushes: vec![(nodes.len() - 1, vec![dice.unit()]), (0, vec![0.5])] });
        }
        let wider = Network::new(nodes, findings).expect("valid");
        prop_assert!(off(&before, &causes(&wider, &seen)) < 1e-11);
        let silent = dice.below(wider.findings().len());
        seen.push(Seen { finding: silent, weights: vec![0.7; wider.findings()[silent].states()], period: 0 });
        prop_assert!(off(&before, &causes(&wider, &seen)) < 1e-11);
    }

    /// Weights mix what the sure states would say: no jump anywhere, and a weight near 1 is nearly sure.
    #[test]
    fn near_limit_readings_move_without_a_jump(seed: u64, t in 0.0..1.0) {
        let Some((mut dice, net, seen)) = case(seed) else { return Ok(()) };
        let finding = dice.below(net.findings().len());
        let states = net.findings()[finding].states();
        let mut prepared = Prepared::new(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
        let sure = prepared.outcomes(finding);
        let mut weights = vec![0.0; states];
        (weights[0], weights[1]) = (1.0 - t, t);
        let mixed = prepared.outcome(&Seen { finding, weights, period: 0 });
        let probability = (1.0 - t) * sure[0].probability + t * sure[1].probability;
        prop_assert!((mixed.probability - probability).abs() < 1e-11);
        if probability < 1e-6 { return Ok(()) }
        for &(cause, found) in &mixed.causes {
            let given = |k: usize| sure[k].causes.iter().find(|(c, _)| *c == cause).map_or(0.0, |(_, p)| *p);
            let both = (1.0 - t) * sure[0].probability * given(0) + t * sure[1].probability * given(1);
            let touched = sure.iter().any(|o| o.causes.iter().any(|(c, _)| *c == cause));
            prop_assert!(!touched || (found - both / probability).abs() < 1e-8, "cause {cause}: {found} {}", both / probability);
        }
    }

    #[test]
    fn renaming_changes_nothing(seed: u64) {
        let Some((mut dice, net, seen)) = case(seed) else { return Ok(()) };
        let shuffled = |n: usize, dice: &mut Dice| {
            let mut places: Vec<usize> = (0..n).collect();
            (1..n).rev().for_each(|i| places.swap(i, dice.below(i + 1)));
            places
        };
        let (c, f) = (shuffled(net.causes().len(), &mut dice), shuffled(net.findings().len(), &mut dice));
        let mut nodes = net.causes().to_vec();
        for (old, node) in net.causes().iter().enumerate() {
            let brought_by = node.brought_by.iter().map(|&(parent, s)| (c[parent], s)).collect();
            nodes[c[old]] = CauseNode { prior: node.prior, brought_by, condition: false };
        }
        let mut findings = net.findings().to_vec();
        for (old, node) in net.findings().iter().enumerate() {
            let pushes = node.pushes.iter().map(|(cause, p)| (c[*cause], p.clone())).collect();
            findings[f[old]] = FindingNode { stray: node.stray.clone(), pushes };
        }
        let renamed = Network::new(nodes, findings).expect("valid");
        let rename = |s: &Seen| Seen {
            finding: f[s.finding],
            weights: s.weights.clone(),
            period: s.period,
        };
        let before = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
        let after = weigh(&renamed, &seen.iter().map(rename).collect::<Vec<_>>().into(), &Limits::default()).expect("possible");
        for (old, p) in before.causes.iter().enumerate() {
            prop_assert!((p - after.causes[c[old]]).abs() < 1e-11);
        }
        for (old, states) in before.findings.iter().enumerate() {
            prop_assert!(off(states, &after.findings[f[old]]) < 1e-11);
        }
    }
}

/// Impossible evidence against all ways of dropping some of it: up to two findings are the fewest there are, more are enough; and the
/// conflict named is one, with nothing in it that it does not need.
#[test]
fn impossible_evidence_is_laid_to_the_fewest_findings() {
    let mut sizes = [0; 4];
    for seed in 0..1500 {
        let mut dice = Dice(seed ^ 0xfe_3e57);
        let net = network(&mut dice, Shape { causes: 5, findings: 8, chains: 0.1, links: 0.3, states: 2, sure: 0.6, conditions: 0.0 });
        let mut seen = evidence(&mut dice, &net, 0.8);
        seen.sort_by_key(|s| s.finding);
        seen.dedup_by_key(|s| s.finding);
        let possible = |kept: &dyn Fn(usize) -> bool| {
            let kept: Vec<Seen> = seen.iter().enumerate().filter(|(i, _)| kept(*i)).map(|(_, s)| s.clone()).collect();
            weigh_causes(&net, &kept.into(), &Limits::default()).is_ok()
        };
        let Err(refused) = weigh(&net, &History::from(seen.to_vec()), &Limits::default()) else { continue };
        assert_eq!(refused.why, Why::Impossible);
        let ways = (0..1_u32 << seen.len()).filter(|drop| possible(&|i| drop >> i & 1 == 0));
        let fewest = ways.map(u32::count_ones).min().expect("nothing seen is possible") as usize;
        let named = refused.findings.len();
        assert!(named == fewest || fewest > 2 && named > fewest, "seed {seed}: {named} named, {fewest} are enough");
        assert!(possible(&|i| !refused.findings.contains(&seen[i].finding)), "seed {seed}");
        let clash = |i: usize| refused.conflict.contains(&seen[i].finding);
        assert!(!possible(&clash), "seed {seed}");
        assert!(refused.conflict.iter().all(|f| possible(&|i| clash(i) && seen[i].finding != *f)), "seed {seed}");
        sizes[fewest.min(3)] += 1;
    }
    println!("fewest 1, 2, more: {:?}", &sizes[1..]);
    assert!(sizes[1] > 50 && sizes[2] > 10, "{sizes:?}");
}

/// Found by the property of near-limit readings: a cause that is certainly there and certainly pushes makes "at most normal" impossible.
#[test]
fn a_certain_push_leaves_no_gap() {
    let causes = vec![
        CauseNode { prior: 1.0, brought_by: vec![], condition: false },
        CauseNode { prior: 0.25, brought_by: vec![], condition: false },
    ];
    let pushes = vec![(0, vec![1.0, 0.0]), (1, vec![0.5, 0.2])];
    let net = Network::new(causes, vec![FindingNode { stray: vec![0.07, 0.001], pushes }]).expect("valid");
    let mut prepared = Prepared::new(&net, &History::default(), &Limits::default()).expect("possible");
    for outcome in prepared.outcomes(0) {
        assert!(outcome.causes.iter().all(|(_, p)| p.is_finite()), "{outcome:?}");
    }
}
