//! Worked examples from outside. Where a source states a value, the source stands beside it; "worked out" marks values
//! computed from the same inputs by an independent enumeration, to more digits than the source prints.
//!
//! Examples with influences that no noisy-OR can have (a cause that makes another less likely) are told case by case: each
//! case is a network of its own, and the cases are added up.

use faultbook::belief::{Beliefs, CauseNode, FindingNode, History, Limits, Network, Prepared, Seen, weigh};

/// A cause that comes of its own accord.
fn root(prior: f64) -> CauseNode {
    CauseNode { prior, brought_by: vec![], condition: false }
}

fn brought(prior: f64, by: &[(usize, f64)]) -> CauseNode {
    CauseNode { prior, brought_by: by.to_vec(), condition: false }
}

/// A finding of two states.
fn binary(stray: f64, pushes: &[(usize, f64)]) -> FindingNode {
    graded(&[stray], &pushes.iter().map(|&(c, p)| (c, vec![p])).collect::<Vec<_>>())
}

fn graded(stray: &[f64], pushes: &[(usize, Vec<f64>)]) -> FindingNode {
    FindingNode { stray: stray.to_vec(), pushes: pushes.to_vec() }
}

/// The strength of a link such that the effect has probability `with` when only that cause is present and `without` otherwise.
fn net_strength(with: f64, without: f64) -> f64 {
    1.0 - (1.0 - with) / (1.0 - without)
}

fn ask(net: &Network, seen: &[(usize, usize)]) -> Beliefs {
    let seen: Vec<Seen> = seen.iter().map(|&(f, state)| Seen::state(f, state, net.findings()[f].states())).collect();
    weigh(net, &History::from(seen.to_vec()), &Limits::default()).unwrap()
}

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected}");
}

/// Burglary alarm. Conditional probabilities and P(burglary | both call) = 0.284 from Russell & Norvig's own code:
/// github.com/aimacode/aima-python, probability.py (commit 034d279b), figures 14.2 and 14.9. More digits worked out.
#[test]
fn burglary_alarm() {
    let (mut both_call, mut burglary, mut earthquake, mut alarm) = (0.0, 0.0, 0.0, 0.0);
    for (b, e, p_alarm) in [(1, 1, 0.95), (1, 0, 0.94), (0, 1, 0.29), (0, 0, 0.001)] {
        let calls = [binary(0.05, &[(0, net_strength(0.90, 0.05))]), binary(0.01, &[(0, net_strength(0.70, 0.01))])];
        let net = Network::new(vec![root(p_alarm)], calls.to_vec()).unwrap();
        let beliefs = ask(&net, &[(0, 1), (1, 1)]);
        let prior = [0.999, 0.001][b] * [0.998, 0.002][e];
        let weight = prior * beliefs.log_evidence.exp();
        both_call += weight;
        burglary += weight * b as f64;
        earthquake += weight * e as f64;
        alarm += weight * beliefs.causes[0];
    }
    close(burglary / both_call, 0.284, 5e-4);
    close(both_call, 0.002084100239, 1e-12);
    close(burglary / both_call, 0.284171835364393, 1e-12);
    close(earthquake / both_call, 0.176066838405079, 1e-12);
    close(alarm / both_call, 0.760692038863108, 1e-12);
}

/// Sprinkler. Conditional probabilities from github.com/aimacode/aima-python, probability.py, figure 14.12a; P(wet) = 0.6471,
/// P(sprinkler | wet) = 0.4298 and P(sprinkler | wet, rain) = 0.1945 from github.com/probml/pmtk1, sprinklerDGMdemo.m
/// (commit 1dc26691). More digits worked out.
#[test]
fn sprinkler() {
    let (mut wet, mut sprinkler, mut rain, mut both) = (0.0, 0.0, 0.0, 0.0);
    for (p_sprinkler, p_rain) in [(0.1, 0.8), (0.5, 0.2)] {
        let net = Network::new(vec![root(p_sprinkler), root(p_rain)], vec![binary(0.0, &[(0, 0.9), (1, 0.9)])]).unwrap();
        let mut prepared = Prepared::new(&net, &History::from(vec![Seen::state(0, 1, 2)]), &Limits::default()).unwrap();
        wet += 0.5 * prepared.log_evidence().exp();
        sprinkler += 0.5 * prepared.log_weight_of(&[0], &[]).exp();
        rain += 0.5 * prepared.log_weight_of(&[1], &[]).exp();
        both += 0.5 * prepared.log_weight_of(&[0, 1], &[]).exp();
    }
    close(wet, 0.6471, 1e-12);
    close(sprinkler / wet, 0.4298, 5e-5);
    close(both / rain, 0.1945, 5e-5);
    close(sprinkler / wet, 0.429763560500695, 1e-12);
    close(rain / wet, 0.707927677329625, 1e-12);
    close(both / rain, 0.194499017681729, 1e-12);
    close(both / sprinkler, 0.320388349514563, 1e-12);
}

/// Fever from cold, flu and malaria. Table printed in the lecture slides after Russell & Norvig at
/// sambuz.com/doc/outline-pdf-document-763250, slide 15 (2 April 2020).
#[test]
fn fever_table() {
    let fever = binary(0.0, &[(0, 0.4), (1, 0.8), (2, 0.9)]);
    let net = Network::new(vec![root(0.1), root(0.2), root(0.05)], vec![fever]).unwrap();
    let mut with = Prepared::new(&net, &History::from(vec![Seen::state(0, 1, 2)]), &Limits::default()).unwrap();
    let mut before = Prepared::new(&net, &History::from(vec![]), &Limits::default()).unwrap();
    let printed = [0.0, 0.9, 0.8, 0.98, 0.4, 0.94, 0.88, 0.988];
    for (row, printed) in printed.into_iter().enumerate() {
        let (present, absent): (Vec<usize>, Vec<usize>) = (0..3).partition(|c| row >> (2 - c) & 1 == 1);
        let given = (with.log_weight_of(&present, &absent) - before.log_weight_of(&present, &absent)).exp();
        close(given, printed, 1e-12);
    }
    // Worked out from the same strengths and the priors 0.1, 0.2, 0.05.
    let beliefs = ask(&net, &[(0, 1)]);
    close(beliefs.log_evidence.exp(), 0.229888, 1e-12);
    close(beliefs.causes[0], 0.225622912027, 1e-11);
    close(beliefs.causes[1], 0.710467706013, 1e-11);
    close(beliefs.causes[2], 0.199958240535, 1e-11);
}

/// Causes: virus A, virus B, not vaccinated, disease 1, disease 2, anomaly. Findings: symptom, sign, X-ray, echography, then
/// one that shows each of disease 1, disease 2, "not vaccinated" as it is.
fn two_diseases() -> Network {
    let causes = vec![
        root(0.02),
        root(0.01),
        root(0.2),
        brought(0.0, &[(0, 0.9), (1, 0.9)]),
        brought(0.01, &[(2, net_strength(0.05, 0.01))]),
        brought(0.01, &[(4, net_strength(0.98, 0.01))]),
    ];
    let shown = |cause| binary(0.0, &[(cause, 1.0)]);
    let findings = vec![
        binary(0.01, &[(3, 0.96), (4, 0.93)]),
        binary(0.01, &[(3, net_strength(0.7, 0.01))]),
        binary(0.02, &[(5, net_strength(0.8, 0.02))]),
        binary(0.05, &[(5, net_strength(0.86, 0.05))]),
        shown(3),
        shown(4),
        shown(2),
    ];
    Network::new(causes, findings).unwrap()
}

/// Two diseases with a leaky noisy-OR. Network: github.com/OpenMarkov/OpenMarkov, BN-two-diseases-1-0.pgmx (commit b710469d);
/// expected values: bnTwoDiseasesTests.java there (snapshot f9df0da4), 4 decimals, tolerance 1e-4.
#[test]
fn two_diseases_as_published() {
    let net = two_diseases();
    // Columns: virus A, virus B, vaccinated, disease 1, disease 2, symptom, sign, anomaly, X-ray, echography.
    type Row<'a> = (&'a [(usize, usize)], [f64; 10]);
    let rows: [Row; 3] = [
        (&[], [0.02, 0.01, 0.8, 0.0268, 0.0180, 0.0517, 0.0285, 0.0275, 0.0414, 0.0722]),
        (&[(4, 1)], [0.6714, 0.3360, 0.8, 1.0, 0.0180, 0.9611, 0.7, 0.0275, 0.0414, 0.0722]),
        (&[(4, 1), (5, 1), (2, 0)], [0.6714, 0.3360, 0.4444, 1.0, 1.0, 0.9972, 0.7, 0.9091, 0.0, 0.7864]),
    ];
    for (seen, expected) in rows {
        let b = ask(&net, seen);
        let c = &b.causes;
        let found = [c[0], c[1], 1.0 - c[2], c[3], c[4], b.findings[0][1], b.findings[1][1], c[5], b.findings[2][1], b.findings[3][1]];
        found.into_iter().zip(expected).for_each(|(found, expected)| close(found, expected, 1e-4));
    }
}

/// The same network asked more; values worked out.
#[test]
fn two_diseases_worked_out() {
    let net = two_diseases();
    let b = ask(&net, &[(0, 1)]);
    close(b.log_evidence.exp(), 0.0516524507788, 1e-12);
    for (cause, expected) in [(0, 0.3362686191), (1, 0.1682971365), (2, 1.0 - 0.6888598076), (3, 0.4993568713), (4, 0.3249553189)] {
        close(b.causes[cause], expected, 1e-9);
    }
    for (finding, expected) in [(1, 0.3545562412), (2, 0.2736611942), (3, 0.3134173940)] {
        close(b.findings[finding][1], expected, 1e-9);
    }
    let b = ask(&net, &[(0, 1), (1, 0)]);
    close(b.log_evidence.exp(), 0.0333387519809, 1e-12);
    [(3, 0.2320993260), (4, 0.4884552145), (0, 0.1573865047)].iter().for_each(|&(c, p)| close(b.causes[c], p, 1e-9));
    let b = ask(&net, &[(0, 1), (2, 1)]);
    close(b.log_evidence.exp(), 0.0141352713658, 1e-12);
    [(3, 0.0765131231), (4, 0.9314252714)].iter().for_each(|&(c, p)| close(b.causes[c], p, 1e-9));
    let b = ask(&net, &[(0, 1), (1, 1), (2, 1), (3, 1)]);
    close(b.log_evidence.exp(), 0.000477491314009, 1e-14);
    [(0, 0.5162201739), (3, 0.7682122064), (4, 0.7063992010)].iter().for_each(|&(c, p)| close(b.causes[c], p, 1e-9));
    let b = ask(&net, &[(0, 1), (1, 0), (2, 0), (3, 0), (6, 1)]);
    close(b.log_evidence.exp(), 0.00345893094304, 1e-13);
    [(0, 0.2648655477), (3, 0.3926776225), (4, 0.1204713080)].iter().for_each(|&(c, p)| close(b.causes[c], p, 1e-9));
}

/// Leaky noisy-OR with four parents. Inputs: OpenMarkov BN-noisy-or-four-parents-1-0.pgmx (same commit). Outputs worked out
/// and confirmed with pyAgrum 3.3.1, `addNoisyORNet`.
#[test]
fn four_parents() {
    let fever = binary(1e-4, &[(0, 0.9), (1, 0.93), (2, 0.95), (3, 0.87)]);
    let net = Network::new(vec![root(0.5); 4], vec![fever, binary(0.0, &[(0, 1.0)])]).unwrap();
    let b = ask(&net, &[(0, 1)]);
    close(b.log_evidence.exp(), 0.912726821941, 1e-11);
    let expected = [0.539116483589, 0.541553647675, 0.543255794022, 0.536808726445];
    (0..4).for_each(|c| close(b.causes[c], expected[c], 1e-11));
    let b = ask(&net, &[(0, 0)]);
    let expected = [0.090909090909, 0.065420560748, 0.047619047619, 0.115044247788];
    (0..4).for_each(|c| close(b.causes[c], expected[c], 1e-11));
    let b = ask(&net, &[(0, 1), (1, 0)]);
    let expected = [0.0, 0.581964405313, 0.585321882233, 0.572605066996];
    (0..4).for_each(|c| close(b.causes[c], expected[c], 1e-11));
}

/// Noisy-MAX over three states. Inputs and the answers (0.1, 0.8, 0.1) and (0.05, 0.85, 0.1) from a vendor's answer in the
/// BayesiaLab forum thread "Noisy Max and Noisy Or". One parent there has no neutral state: its row is the stray here.
#[test]
fn noisy_max_as_published() {
    let a = |row: &[f64]| graded(row, &[(0, vec![0.5, 0.0])]);
    let net = Network::new(vec![root(0.5)], vec![a(&[0.8, 0.1]), a(&[0.1, 0.9])]).unwrap();
    let mut before = Prepared::new(&net, &History::from(vec![]), &Limits::default()).unwrap();
    let expected = [[[0.1, 0.8, 0.1], [0.05, 0.85, 0.1]], [[0.0, 0.1, 0.9], [0.0, 0.1, 0.9]]];
    for (finding, rows) in expected.into_iter().enumerate() {
        for (state, (absent, present)) in rows[0].into_iter().zip(rows[1]).enumerate() {
            let shares = |present: &[usize], absent: &[usize], before: &mut Prepared| {
                let prior = before.log_weight_of(present, absent);
                let seen = [Seen::state(finding, state, 3)];
                Prepared::new(&net, &History::from(seen.to_vec()), &Limits::default())
                    .map_or(0.0, |mut p| (p.log_weight_of(present, absent) - prior).exp())
            };
            close(shares(&[], &[0], &mut before), absent, 1e-12);
            close(shares(&[0], &[], &mut before), present, 1e-12);
        }
    }
}

/// Noisy-MAX with a leak over three states; worked out (no published numeric example was found).
#[test]
fn noisy_max_with_a_leak() {
    let finding = graded(&[0.04, 0.01], &[(0, vec![0.5, 0.3]), (1, vec![0.3, 0.1])]);
    let net = Network::new(vec![root(0.1), root(0.2)], vec![finding]).unwrap();
    let expected = [0.80408, 0.137014, 0.058906];
    let causes = [[0.02173913, 0.36809377, 0.54469833], [0.13043478, 0.49610989, 0.46083591]];
    let before = ask(&net, &[]);
    for state in 0..3 {
        let b = ask(&net, &[(0, state)]);
        close(b.log_evidence.exp(), expected[state], 1e-12);
        close(before.findings[0][state], expected[state], 1e-12);
        (0..2).for_each(|c| close(b.causes[c], causes[c][state], 1e-8));
    }
}

/// A two-layer network given by formulas; exact rational arithmetic, then rounded.
pub fn two_layers(causes: usize, findings: usize) -> Network {
    let prior = |i: usize| if i < 6 { 1.0 / (2 * (i + 2)) as f64 } else { 1.0 / (50 + i) as f64 };
    let linked = |i: usize, j: usize| !(i + 2 * j).is_multiple_of(3);
    let strength = |i: usize, j: usize| (((7 * i + 3 * j) % 9) + 1) as f64 / 10.0;
    let finding = |j: usize| {
        let pushes: Vec<_> = (0..causes).filter(|&i| linked(i, j)).map(|i| (i, strength(i, j))).collect();
        binary(1.0 / (100 * (1 + j % 3)) as f64, &pushes)
    };
    Network::new((0..causes).map(|i| root(prior(i))).collect(), (0..findings).map(finding).collect()).unwrap()
}

#[test]
fn two_layers_worked_out() {
    let b = ask(&two_layers(4, 3), &[(0, 1), (1, 1), (2, 0)]);
    close(b.log_evidence.exp() / 5.919618829999875e-2, 1.0, 1e-13);
    let expected = [0.121836199288, 0.202240420004, 0.907568704916, 0.146607912310];
    (0..4).for_each(|c| close(b.causes[c], expected[c], 1e-11));

    let seen: Vec<(usize, usize)> = (0..12).map(|j| (j, usize::from(j < 9))).collect();
    let b = ask(&two_layers(10, 12), &seen);
    close(b.log_evidence.exp() / 5.421761760652666e-5, 1.0, 1e-13);
    let expected = [
        0.624950512342,
        0.521428476278,
        0.364876533681,
        0.246667730432,
        0.143773394625,
        0.176462158197,
        0.0250267847191,
        0.0349451537592,
        0.0488878150287,
        0.0392122182813,
    ];
    (0..10).for_each(|c| close(b.causes[c], expected[c], 1e-11));
}
