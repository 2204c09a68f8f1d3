//! The definition, written down: every draw of every cause, link, repair and push, its probability, and what it makes of the evidence. A tenth
//! of the size of the room it checks, and a thousand times as slow.

use faultbook::belief::{History, MISREAD, Network, Seen};
use std::collections::HashMap;

/// What the definition says of a network and a history, about now.
pub struct Answer {
    pub evidence: f64,
    pub causes: Vec<f64>,
    pub unlisted: f64,
    /// For each finding the states' probabilities.
    pub findings: Vec<Vec<f64>>,
}

/// How long each cause and condition lasts: the number of periods it is there, counted from the intake.
type Lives = Vec<usize>;

/// Draws node after node, parents first; `done` gets the lives with their probability.
fn draw(net: &Network, history: &History, lives: &mut Lives, weight: f64, done: &mut dyn FnMut(&Lives, f64)) {
    let v = lives.len();
    if weight == 0.0 {
        return;
    }
    let Some(node) = net.causes().get(v) else { return done(lives, weight) };
    let periods = history.repairs.len() + 1;
    let mut outcomes: Vec<(usize, f64)> = Vec::new();
    if node.condition {
        // each link acts or not, and so does the stray; the condition lasts as long as the longest that acts
        outcomes = vec![(periods, node.prior), (0, 1.0 - node.prior)];
        for &(parent, strength) in node.brought_by.iter().filter(|(p, _)| lives[*p] > 0) {
            outcomes =
                outcomes.iter().flat_map(|&(life, p)| [(life.max(lives[parent]), p * strength), (life, p * (1.0 - strength))]).collect();
        }
    } else {
        let spared = node.brought_by.iter().filter(|(p, _)| lives[*p] > 0).map(|(_, s)| 1.0 - s);
        let absent = spared.fold(1.0 - node.prior, |product, x| product * x);
        outcomes.push((0, absent));
        let mut left = 1.0 - absent;
        for (t, repair) in history.repairs.iter().enumerate() {
            for &(_, chance) in repair.cures.iter().filter(|(c, _)| *c == v) {
                outcomes.push((t + 1, left * chance));
                left *= 1.0 - chance;
            }
        }
        outcomes.push((periods, left));
    }
    let mut together: HashMap<usize, f64> = HashMap::new();
    outcomes.into_iter().for_each(|(life, p)| *together.entry(life).or_default() += p);
    let mut together: Vec<(usize, f64)> = together.into_iter().collect();
    together.sort_unstable_by_key(|(life, _)| *life);
    for (life, p) in together {
        lives.push(life);
        draw(net, history, lives, weight * p, done);
        lives.pop();
    }
}

/// The chance of each course of states of a finding over these periods: the highest of all pushes, each drawn once.
fn courses(net: &Network, f: usize, lives: &Lives, periods: &[usize]) -> HashMap<Vec<usize>, f64> {
    let node = &net.findings()[f];
    let rest = |push: &[f64]| (1.0 - push.iter().sum::<f64>()).max(0.0);
    let chances = |push: &[f64]| -> Vec<f64> { std::iter::once(rest(push)).chain(push.iter().copied()).collect() };
    let stray = chances(&node.stray);
    let mut all: HashMap<Vec<usize>, f64> = stray.iter().enumerate().map(|(k, &p)| (vec![k; periods.len()], p)).collect();
    for (c, push) in node.pushes.iter().filter(|(c, _)| lives[*c] > periods[0]) {
        let mut next: HashMap<Vec<usize>, f64> = HashMap::new();
        for (course, p) in &all {
            for (k, q) in chances(push).into_iter().enumerate() {
                let pushed = course.iter().zip(periods).map(|(&state, &t)| if t < lives[*c] { state.max(k) } else { state }).collect();
                *next.entry(pushed).or_default() += p * q;
            }
        }
        all = next;
    }
    all
}

/// What the looks at one finding are worth under given lives, and the same with each state that it may be in now.
fn finding(net: &Network, history: &History, f: usize, lives: &Lives) -> (f64, Vec<f64>) {
    let mut looks: Vec<&Seen> = history.seen.iter().filter(|s| s.finding == f).collect();
    looks.sort_by_key(|s| s.period);
    let now = history.repairs.len();
    let mut periods: Vec<usize> = looks.iter().map(|s| s.period).chain([now]).collect();
    periods.dedup();
    let states = net.findings()[f].states();
    let mut by_state = vec![0.0; states];
    for (course, p) in courses(net, f, lives, &periods) {
        let shown = looks.iter().enumerate().map(|(i, look)| {
            let state = course[periods.iter().position(|t| *t == look.period).unwrap()];
            let misread = look.weights.iter().sum::<f64>() / states as f64;
            if i == 0 { look.weights[state] } else { (1.0 - MISREAD) * look.weights[state] + MISREAD * misread }
        });
        by_state[*course.last().unwrap()] += p * shown.product::<f64>();
    }
    (by_state.iter().sum(), by_state)
}

/// Sums over all draws that keep to `holds`, which is asked whether each cause and condition is there now.
pub fn answer_where(net: &Network, history: &History, holds: &dyn Fn(u32) -> bool) -> Answer {
    let n = net.causes().len();
    let now = history.repairs.len();
    let mut sum = Answer {
        evidence: 0.0,
        causes: vec![0.0; n],
        unlisted: 0.0,
        findings: net.findings().iter().map(|f| vec![0.0; f.states()]).collect(),
    };
    // a finding hangs on the lives of what pushes it alone: each combination is worked out once
    let mut known: HashMap<(usize, Vec<usize>), (f64, Vec<f64>)> = HashMap::new();
    draw(net, history, &mut vec![], 1.0, &mut |lives, prior| {
        let there = |c: usize| lives[c] > now;
        if !holds((0..n).filter(|&c| there(c)).fold(0, |mask, c| mask | 1 << c)) {
            return;
        }
        let pushing = |f: usize| net.findings()[f].pushes.iter().map(|(c, _)| lives[*c]).collect();
        let mut of = |f: usize| known.entry((f, pushing(f))).or_insert_with(|| finding(net, history, f, lives)).clone();
        let seen: Vec<(f64, Vec<f64>)> = (0..net.findings().len()).map(&mut of).collect();
        let weight = seen.iter().fold(prior, |product, (x, _)| product * x);
        sum.evidence += weight;
        sum.unlisted += if (0..n).all(|c| net.causes()[c].condition || lives[c] == 0) { weight } else { 0.0 };
        (0..n).filter(|&c| there(c)).for_each(|c| sum.causes[c] += weight);
        for (states, (all, given)) in sum.findings.iter_mut().zip(&seen).filter(|_| weight > 0.0) {
            states.iter_mut().zip(given).for_each(|(s, p)| *s += p / all * weight);
        }
    });
    sum.unlisted /= sum.evidence;
    sum.causes.iter_mut().for_each(|c| *c /= sum.evidence);
    sum.findings.iter_mut().flatten().for_each(|s| *s /= sum.evidence);
    sum
}

/// Sums over all draws.
pub fn answer(net: &Network, history: &History) -> Answer {
    answer_where(net, history, &|_| true)
}
