//! Evidence at the edge: impossible, hardly possible, and no evidence at all.

use faultbook::belief::{CauseNode, FindingNode, History, Limits, Network, Seen, Why, weigh};

fn cause(prior: f64) -> CauseNode {
    CauseNode { prior, brought_by: vec![], condition: false }
}

fn finding(stray: f64, pushes: &[(usize, f64)]) -> FindingNode {
    FindingNode { stray: vec![stray], pushes: pushes.iter().map(|&(c, p)| (c, vec![p])).collect() }
}

#[test]
fn an_abnormal_finding_against_400_normal_ones_does_not_underflow() {
    // P(evidence) is 0.01 * 0.5 * 0.015^400, about 1e-732, and the cause is certain: nothing else can show finding 0.
    let mut findings = vec![finding(0.0, &[(0, 0.5)])];
    findings.extend((0..400).map(|_| finding(0.0, &[(0, 0.985)])));
    let net = Network::new(vec![cause(0.01)], findings).unwrap();
    let mut seen = vec![Seen::state(0, 1, 2)];
    seen.extend((1..=400).map(|f| Seen::state(f, 0, 2)));
    let beliefs = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).unwrap();
    let expected = (0.01f64 * 0.5).ln() + 400.0 * 0.015f64.ln();
    assert!((beliefs.log_evidence / expected - 1.0).abs() < 1e-12);
    assert!((beliefs.causes[0] - 1.0).abs() < 1e-15);
}

#[test]
fn impossible_evidence_names_the_findings_that_contradict_each_other() {
    let findings = vec![finding(0.0, &[(0, 1.0)]), finding(0.0, &[(0, 1.0)]), finding(0.1, &[(0, 0.5)])];
    let net = Network::new(vec![cause(0.2)], findings).unwrap();
    let seen = [Seen::state(2, 1, 2), Seen::state(0, 1, 2), Seen::state(1, 0, 2)];
    let refused = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).unwrap_err();
    assert_eq!((refused.findings.len(), refused.why), (1, Why::Impossible));
    assert!([0, 1].contains(&refused.findings[0]), "{refused}");
    assert_eq!(refused.conflict, [0, 1]);
    assert_eq!(refused.to_string().matches('`').count(), 6, "{refused}");
}

/// Three findings of which any two are possible together, among others that have nothing to do with it.
#[test]
fn a_conflict_of_three_is_named_whole_and_nothing_else_is() {
    // only one of two causes can show each pair, and the third finding is normal only without both
    let (a, b) = (vec![(0, 1.0)], vec![(1, 1.0)]);
    let mut findings: Vec<FindingNode> = (0..6).map(|_| finding(0.1, &[(2, 0.5)])).collect();
    findings.extend([finding(0.0, &[(0, 0.5), (1, 0.5)]), finding(0.2, &a), finding(0.2, &b)]);
    let net = Network::new(vec![cause(0.2), cause(0.2), cause(0.2)], findings).unwrap();
    let mut seen: Vec<Seen> = (0..6).map(|f| Seen::state(f, f % 2, 2)).collect();
    seen.extend([Seen::state(6, 1, 2), Seen::state(7, 0, 2), Seen::state(8, 0, 2)]);
    let refused = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).unwrap_err();
    assert_eq!((refused.findings.len(), refused.conflict), (1, vec![6, 7, 8]));
}

#[test]
fn an_observation_that_does_not_fit_is_refused() {
    let net = Network::new(vec![cause(0.2)], vec![finding(0.1, &[(0, 0.5)])]).unwrap();
    let refuse = |seen: Seen| weigh(&net, &History::from(vec![seen]), &Limits::default()).unwrap_err().why;
    assert_eq!(refuse(Seen::state(7, 1, 2)), Why::NoSuchFinding);
    assert_eq!(refuse(Seen::state(0, 1, 3)), Why::WrongStates { given: 3, states: 2 });
    let mut heavy = Seen::state(0, 1, 2);
    heavy.weights[0] = 1.5;
    assert_eq!(refuse(heavy), Why::NotAWeight { weight: 1.5 });
}

#[test]
fn no_evidence_leaves_the_priors() {
    let chained = CauseNode { prior: 0.1, brought_by: vec![(0, 0.5)], condition: false };
    let net = Network::new(vec![cause(0.2), chained], vec![finding(0.1, &[(1, 0.5)])]).unwrap();
    let beliefs = weigh(&net, &History::default(), &Limits::default()).unwrap();
    assert!(beliefs.log_evidence.abs() < 1e-15);
    assert!((beliefs.causes[1] - (1.0 - 0.9 * 0.9)).abs() < 1e-15);
    assert!((beliefs.findings[0][1] - (1.0 - 0.9 * (1.0 - 0.19 * 0.5))).abs() < 1e-15);
    assert!((beliefs.unlisted - 0.8 * 0.9).abs() < 1e-15);
}
