//! Evidence too wide to sweep: the stated approximation answers, in bounded time, repeatably, and says how sure it is.

use faultbook::belief::{CauseNode, FindingNode, History, Limits, Method, Network, Prepared, Seen, Why, weigh, weigh_causes};

use super::generate::{Dice, Shape, network};

/// Two layers and some chains; every finding has some eleven causes, so that the abnormal ones hang together.
fn wide(seed: u64, causes: usize, findings: usize) -> (Network, Vec<Seen>) {
    let mut dice = Dice(seed);
    let shape = Shape { causes, findings, chains: 0.3 / causes as f64, links: 11.0 / causes as f64, states: 2, sure: 0.0, conditions: 0.0 };
    let made = network(&mut dice, shape);
    let (mut nodes, mut shown) = (made.causes().to_vec(), made.findings().to_vec());
    nodes.iter_mut().for_each(|c| c.prior *= 0.1);
    shown.iter_mut().flat_map(|f| &mut f.stray).for_each(|p| *p *= 0.2);
    let net = Network::new(nodes, shown).expect("still valid");
    let seen = (0..findings).map(|f| Seen::state(f, 1, 2)).collect();
    (net, seen)
}

fn sampled(method: Method) -> (f64, f64) {
    match method {
        Method::Sampled { effective, standard_error, .. } => (effective, standard_error),
        Method::Exact { width, .. } => panic!("exact at {width} bits"),
    }
}

#[test]
fn thirty_and_sixty_abnormal_findings_in_one_component_are_answered() {
    for findings in [30, 60] {
        let (net, seen) = wide(findings as u64, 150, findings);
        let limits = Limits { width: 12, samples: 400, ..Limits::default() };
        let mut prepared = Prepared::new(&net, &History::from(seen.to_vec()), &limits).expect("possible");
        let (effective, error) = sampled(prepared.method());
        println!("{findings}: ln P {:.2}, effective {effective:.0}, standard error {error:.4}", prepared.log_evidence());
        assert!(error < 0.1 && effective > 10.0);
        assert!(prepared.causes().into_iter().all(|p| (0.0..=1.0).contains(&p)));
        let mut again = Prepared::new(&net, &History::from(seen.to_vec()), &limits).expect("possible");
        assert_eq!((again.log_evidence(), again.causes()), (prepared.log_evidence(), prepared.causes()));
    }
}

/// The look-ahead on sampled evidence still adds up.
#[test]
fn outcomes_of_sampled_evidence_add_up() {
    let (net, mut seen) = wide(7, 60, 24);
    seen.pop();
    let limits = Limits { width: 6, samples: 200, ..Limits::default() };
    let mut prepared = Prepared::new(&net, &History::from(seen.to_vec()), &limits).expect("possible");
    sampled(prepared.method());
    let sum: f64 = prepared.outcomes(23).iter().map(|o| o.probability).sum();
    assert!((sum - 1.0).abs() < 1e-9);
}

/// What the evidence does not reach is sampled with the rest in one go: as near the exact answer as the causes are.
#[test]
fn predictions_from_samples_are_near_the_exact_ones() {
    let (net, mut seen) = wide(11, 60, 20);
    seen.truncate(14);
    let exact = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
    assert!(matches!(exact.method, Method::Exact { .. }));
    let found = weigh(&net, &History::from(seen.to_vec()), &Limits { width: 4, ..Limits::default() }).expect("possible");
    let (_, error) = sampled(found.method);
    for (a, b) in [(&exact.causes, &found.causes), (&exact.findings.concat(), &found.findings.concat())] {
        let off = a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(a.len() == b.len() && off < 6.0 * error && off < 0.1, "off by {off}, {error} was said");
    }
    assert!(found.findings.iter().all(|states| (states.iter().sum::<f64>() - 1.0).abs() < 1e-9));
}

/// One sweep may be little and a sweep for every finding too much: then the causes stay exact, and the findings are sampled and said to be.
#[test]
fn predictions_that_are_too_much_together_are_sampled() {
    let (net, mut seen) = wide(11, 60, 40);
    seen.truncate(14);
    let exact = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
    let Method::Exact { work, .. } = exact.method else { panic!("not exact") };
    let limits = Limits { work: 4 * work, ..Limits::default() };
    let causes = weigh_causes(&net, &History::from(seen.to_vec()), &limits).expect("possible");
    assert!(matches!(causes.method, Method::Exact { .. }) && causes.findings.is_empty());
    assert_eq!((&causes.causes, causes.log_evidence, causes.unlisted), (&exact.causes, exact.log_evidence, exact.unlisted));
    let all = weigh(&net, &History::from(seen.to_vec()), &limits).expect("possible");
    let (_, error) = sampled(all.method);
    assert_eq!(all.causes, exact.causes);
    let pairs = || exact.findings.iter().flatten().zip(all.findings.iter().flatten());
    let off = pairs().map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(off > 0.0 && off < 6.0 * error, "off by {off}, {error} was said");
}

/// A sweep that would take more memory than is allowed is not begun.
#[test]
fn the_memory_of_a_sweep_is_kept_to_its_limit() {
    let (net, mut seen) = wide(11, 60, 40);
    seen.truncate(14);
    let weighed = |memory_bytes: u64| weigh_causes(&net, &History::from(seen.to_vec()), &Limits { memory_bytes, ..Limits::default() });
    let exact = |memory_bytes: u64| matches!(weighed(memory_bytes).expect("possible").method, Method::Exact { .. });
    assert!(exact(Limits::default().memory_bytes));
    assert!(!exact(1 << 10), "a kilobyte holds no table of it");
}

/// Impossible evidence too wide to sweep is refused, and by name.
#[test]
fn impossible_wide_evidence_is_refused() {
    let (net, mut seen) = wide(3, 60, 16);
    let (mut nodes, mut findings) = (net.causes().to_vec(), net.findings().to_vec());
    nodes.push(CauseNode { prior: 0.1, brought_by: vec![], condition: false });
    let only = nodes.len() - 1;
    findings.extend([
        FindingNode { stray: vec![0.0], pushes: vec![(only, vec![1.0])] },
        FindingNode { stray: vec![0.0], pushes: vec![(only, vec![1.0])] },
    ]);
    findings[0].pushes.push((only, vec![0.5]));
    let net = Network::new(nodes, findings).expect("valid");
    seen.extend([Seen::state(16, 1, 2), Seen::state(17, 0, 2)]);
    let refused =
        weigh(&net, &History::from(seen.to_vec()), &Limits { width: 6, samples: 100, ..Limits::default() }).expect_err("impossible");
    assert_eq!((refused.why, refused.findings), (Why::Impossible, vec![17]));
}

/// The tail of the approximation's error, where the exact answer is known: limits are set below the width it needs. Of 80
/// causes the worst is looked at, so that some standard errors are nothing unusual.
#[test]
fn the_error_is_what_it_is_said_to_be() {
    let full = error(Limits::default());
    // of 60 networks nine in ten are within 0.066 and the worst is 0.257 off: of 12, nine in ten is the second worst
    assert!(full.off.most < 0.12 && full.off.worst < 0.3);
    assert!(full.ratios.most < 3.0 && full.ratios.worst < 8.0);
    assert!(full.evidence.most < 1.0);
    // fewer samples know less, and say so
    for (limits, most, evidence) in [(Limits::STEP, 0.15, 1.5), (Limits::GLANCE, 0.25, 2.2)] {
        let fewer = error(limits);
        assert!(fewer.off.most < most && fewer.ratios.most < 4.0 && fewer.evidence.most < evidence);
    }
}

/// Of the causes, in standard errors, and of ln P(evidence).
struct Errors {
    off: Tail,
    ratios: Tail,
    evidence: Tail,
}

fn error(limits: Limits) -> Errors {
    let (mut off, mut ratios, mut evidence) = (vec![], vec![], vec![]);
    for seed in 0..sampled_networks() {
        let (net, seen) = wide(seed ^ 0x71de, 80, 16);
        let exact = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
        assert!(matches!(exact.method, Method::Exact { .. }));
        let limits = Limits { width: 5, ..limits };
        let found = weigh(&net, &History::from(seen.to_vec()), &limits).expect("possible");
        let Method::Sampled { standard_error, .. } = found.method else { continue };
        let worst = found.causes.iter().zip(&exact.causes).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        off.push(worst);
        ratios.push(worst / standard_error);
        evidence.push((found.log_evidence - exact.log_evidence).abs());
    }
    assert!(off.len() as u64 * 10 > sampled_networks() * 9, "only {} were sampled", off.len());
    let (off, ratios, evidence) = (Tail::of(off), Tail::of(ratios), Tail::of(evidence));
    println!("{} samples: largest error {off:?}\nin standard errors {ratios:?}\nof ln P {evidence:?}", limits.samples);
    Errors { off, ratios, evidence }
}

/// `FAULTBOOK_SAMPLED` sets how many networks the tail is measured on.
fn sampled_networks() -> u64 {
    std::env::var("FAULTBOOK_SAMPLED").ok().and_then(|n| n.parse().ok()).unwrap_or(12)
}

/// How a figure is spread over the networks.
#[derive(Debug)]
#[allow(dead_code, reason = "printed")]
struct Tail {
    networks: usize,
    median: f64,
    /// Nine in ten are no larger.
    most: f64,
    worst: f64,
}

impl Tail {
    fn of(mut figures: Vec<f64>) -> Tail {
        figures.sort_by(f64::total_cmp);
        let at = |share: f64| figures[((figures.len() - 1) as f64 * share).ceil() as usize];
        Tail { networks: figures.len(), median: at(0.5), most: at(0.9), worst: at(1.0) }
    }
}
