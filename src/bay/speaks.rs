//! What speaks for and against a cause, and how strongly: the weight of evidence (Good 1950) in decibans.
//!
//! A finding's weight is what it does to the odds of the cause, with all else that is known left as it is: 10 log10 of the odds with it over the
//! odds without it. 10 decibans make a cause ten times likelier, -10 ten times less likely. Where an exact answer would take too long nothing is said:
//! between two estimates a weight would be chance.

use super::model::Bay;
use crate::belief::{History, Limits, Method, Prepared, Seen};
use crate::book::{Finding, Id};
use std::collections::BTreeMap;

/// What one finding says of a cause.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speaks {
    /// The finding.
    pub finding: Id<Finding>,
    /// The state it was likeliest seen in.
    pub state: usize,
    /// For the cause above 0, against it below.
    pub decibans: f64,
}

/// Less is not worth a word.
const LEAST: f64 = 1.0;
/// Findings in order that are looked at for each cause: those it would most have disturbed.
const NORMALS: usize = 4;
/// Odds past this count as this.
const CERTAIN: f64 = 1e12;

/// For each of these causes of the car what speaks for and against it, the strongest first.
pub(super) fn speaks(bay: &Bay, causes: &[usize], limits: &Limits) -> Vec<Vec<Speaks>> {
    let asked = asked(bay, causes);
    let all: Vec<&Seen> = bay.model.history.seen.iter().collect();
    let Some(with) = odds(bay, &all, causes, limits) else { return vec![vec![]; causes.len()] };
    let mut found = vec![vec![]; causes.len()];
    for (&without, wanted) in &asked {
        let rest: Vec<&Seen> = bay.model.history.seen.iter().enumerate().filter(|(i, _)| *i != without).map(|(_, s)| s).collect();
        let Some(odds) = odds(bay, &rest, causes, limits) else { continue };
        for &c in wanted {
            let decibans = 10.0 * (with[c] / odds[c]).log10();
            if decibans.abs() >= LEAST {
                let seen = &bay.model.history.seen[without];
                found[c].push(Speaks { finding: bay.car.findings[seen.finding], state: likeliest(seen), decibans });
            }
        }
    }
    found.iter_mut().for_each(|list| list.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs())));
    found
}

/// For each thing seen, the places of the causes for which it is weighed: all for what is abnormal, else those it would most have shown.
fn asked(bay: &Bay, causes: &[usize]) -> BTreeMap<usize, Vec<usize>> {
    let mut asked: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, seen) in bay.model.history.seen.iter().enumerate().filter(|(_, s)| likeliest(s) > 0) {
        let explained = &bay.model.network.findings()[seen.finding].pushes;
        let any = !explained.is_empty();
        asked.entry(i).or_default().extend((0..causes.len()).filter(|_| any));
    }
    for (place, cause) in causes.iter().enumerate() {
        let push = |s: &Seen| {
            let pushes = &bay.model.network.findings()[s.finding].pushes;
            pushes.iter().find(|(c, _)| c == cause).map_or(0.0, |(_, p)| p.iter().sum::<f64>())
        };
        let normal = bay.model.history.seen.iter().enumerate().filter(|(_, s)| likeliest(s) == 0).map(|(i, s)| (push(s), i));
        let mut normal: Vec<(f64, usize)> = normal.filter(|(p, _)| *p > 0.0).collect();
        normal.sort_by(|a, b| b.0.total_cmp(&a.0));
        normal.into_iter().take(NORMALS).for_each(|(_, i)| asked.entry(i).or_default().push(place));
    }
    asked
}

fn likeliest(seen: &Seen) -> usize {
    (0..seen.weights.len()).max_by(|a, b| seen.weights[*a].total_cmp(&seen.weights[*b]).then(b.cmp(a))).unwrap_or(0)
}

/// Odds of each cause; nothing where the evidence cannot be, or is too much for an exact answer within the limits.
fn odds(bay: &Bay, seen: &[&Seen], causes: &[usize], limits: &Limits) -> Option<Vec<f64>> {
    let seen: Vec<Seen> = seen.iter().map(|s| (*s).clone()).collect();
    let history = History { seen, repairs: bay.model.history.repairs.clone() };
    let mut prepared = Prepared::new(&bay.model.network, &history, limits).ok().filter(|p| matches!(p.method(), Method::Exact { .. }))?;
    Some(causes.iter().map(|&c| prepared.cause(c)).map(|p| (p / (1.0 - p)).clamp(1.0 / CERTAIN, CERTAIN)).collect())
}
