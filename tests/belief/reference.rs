//! The definition, written down: every state of every cause, its probability, and what it makes of the evidence. A tenth
//! of the size of the room it checks, and a thousand times as slow.

use faultbook::belief::{Network, Seen};

/// What the definition says of a network and evidence.
pub struct Answer {
    pub evidence: f64,
    pub causes: Vec<f64>,
    pub unlisted: f64,
    /// For each finding the states' probabilities; a seen finding as it was when last seen.
    pub findings: Vec<Vec<f64>>,
}

/// Probability that a cause is present, given which causes are.
fn cause_given(net: &Network, c: usize, present: &dyn Fn(usize) -> bool) -> f64 {
    let cause = &net.causes()[c];
    let spared = cause.brought_by.iter().filter(|(p, _)| present(*p)).map(|(_, s)| 1.0 - s);
    1.0 - spared.fold(1.0 - cause.prior, |product, x| product * x)
}

/// Distribution of a finding, given which causes are present.
fn finding_given(net: &Network, f: usize, present: &dyn Fn(usize) -> bool) -> Vec<f64> {
    let finding = &net.findings()[f];
    let up_to = |pushes: &[f64], k: usize| (1.0 - pushes[k..].iter().sum::<f64>()).max(0.0);
    let at_most = |k: usize| {
        let pushing = finding.pushes.iter().filter(|(c, _)| present(*c));
        pushing.fold(up_to(&finding.stray, k), |product, (_, push)| product * up_to(push, k))
    };
    (0..finding.states()).map(|k| at_most(k) - if k > 0 { at_most(k - 1) } else { 0.0 }).collect()
}

/// Sums over all states of all causes that keep to `holds`.
pub fn answer_where(net: &Network, seen: &[Seen], holds: &dyn Fn(u32) -> bool) -> Answer {
    let n = net.causes().len();
    let mut sum = Answer {
        evidence: 0.0,
        causes: vec![0.0; n],
        unlisted: 0.0,
        findings: net.findings().iter().map(|f| vec![0.0; f.states()]).collect(),
    };
    for state in (0..1u32 << n).filter(|&s| holds(s)) {
        let present = |c: usize| state >> c & 1 == 1;
        let prior = (0..n).fold(1.0, |product, c| {
            let p = cause_given(net, c, &present);
            product * if present(c) { p } else { 1.0 - p }
        });
        let shown = |s: &Seen| finding_given(net, s.finding, &present);
        let weighed = |s: &Seen| -> Vec<f64> { shown(s).iter().zip(&s.weights).map(|(p, w)| p * w).collect() };
        let likelihoods: Vec<f64> = seen.iter().map(|s| weighed(s).iter().sum()).collect();
        let weight = likelihoods.iter().fold(prior, |product, x| product * x);
        sum.evidence += weight;
        sum.unlisted += if state == 0 { weight } else { 0.0 };
        (0..n).filter(|&c| present(c)).for_each(|c| sum.causes[c] += weight);
        for (f, states) in sum.findings.iter_mut().enumerate().filter(|_| weight > 0.0) {
            let last = seen.iter().rposition(|s| s.finding == f);
            let given =
                last.map_or_else(|| finding_given(net, f, &present), |i| weighed(&seen[i]).iter().map(|x| x / likelihoods[i]).collect());
            states.iter_mut().zip(given).for_each(|(s, p)| *s += p * weight);
        }
    }
    sum.unlisted /= sum.evidence;
    sum.causes.iter_mut().for_each(|c| *c /= sum.evidence);
    sum.findings.iter_mut().flatten().for_each(|s| *s /= sum.evidence);
    sum
}

/// Sums over all states of all causes.
pub fn answer(net: &Network, seen: &[Seen]) -> Answer {
    answer_where(net, seen, &|_| true)
}
