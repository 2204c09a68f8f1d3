//! The optimum by plain enumeration, written from the definition alone: every action from every state of knowledge,
//! over all sets of causes. Slow, short, and shares no line with the planner.

use faultbook::belief::Network;
use faultbook::plan::{ActionKind, Model};
use std::collections::HashMap;

/// A finding in a state, read when these causes had been cured and these fixes done.
type Fact = (usize, usize, usize, usize);

/// What is known and done.
#[derive(Clone, PartialEq, Eq, Hash)]
struct State {
    facts: Vec<Fact>,
    cured: usize,
    done: usize,
    open: usize,
}

/// The least expected cost from where the model stands.
pub fn optimum(model: &Model) -> f64 {
    let mut oracle = Oracle::new(model);
    let mask = |items: &[usize]| items.iter().fold(0, |m, i| m | 1 << i);
    let state = State { facts: vec![], cured: mask(&model.cured()), done: mask(&model.done), open: mask(&model.open) };
    oracle.value(&state)
}

fn question(model: &Model) -> usize {
    let mut found = 0;
    let mut open: Vec<usize> = model.complaint.iter().flat_map(|&f| model.network.findings()[f].pushes.iter().map(|p| p.0)).collect();
    while let Some(c) = open.pop() {
        found |= 1 << c;
        open.extend(model.network.causes()[c].brought_by.iter().map(|p| p.0));
    }
    found
}

/// P(F <= k | present), straight from the noisy-MAX formula.
fn at_most(network: &Network, f: usize, k: usize, present: usize) -> f64 {
    let node = &network.findings()[f];
    let stays = |push: &[f64]| 1.0 - push[k..].iter().sum::<f64>();
    let pushes = node.pushes.iter().filter(|(c, _)| present >> c & 1 == 1);
    stays(&node.stray) * pushes.map(|(_, p)| stays(p)).product::<f64>()
}

fn shows(network: &Network, f: usize, k: usize, present: usize) -> f64 {
    at_most(network, f, k, present) - if k == 0 { 0.0 } else { at_most(network, f, k - 1, present) }
}

fn prior(network: &Network, present: usize) -> f64 {
    let absent = |c: usize| {
        let node = &network.causes()[c];
        let parents = node.brought_by.iter().filter(|(p, _)| present >> p & 1 == 1);
        (1.0 - node.prior) * parents.map(|(_, s)| 1.0 - s).product::<f64>()
    };
    (0..network.causes().len()).map(|c| if present >> c & 1 == 1 { 1.0 - absent(c) } else { absent(c) }).product()
}

struct Oracle<'m> {
    model: &'m Model,
    question: usize,
    /// Probability of each set at intake.
    prior: Vec<f64>,
    /// For each finding, state and set its probability.
    shows: Vec<Vec<Vec<f64>>>,
    known: HashMap<State, f64>,
}

impl Oracle<'_> {
    fn new(model: &Model) -> Oracle<'_> {
        let network = &model.network;
        let sets = 1usize << network.causes().len();
        let state = |f, k| (0..sets).map(|set| shows(network, f, k, set)).collect();
        let finding = |f: usize| (0..network.findings()[f].states()).map(|k| state(f, k)).collect();
        Oracle {
            model,
            question: question(model),
            prior: (0..sets).map(|set| prior(network, set)).collect(),
            shows: (0..network.findings().len()).map(finding).collect(),
            known: HashMap::new(),
        }
    }

    /// For each set present at intake its joint probability with all that is known.
    fn weights(&self, state: &State) -> Vec<f64> {
        let weight = |set: usize| {
            let over = set & self.question != 0 && set & self.question & !state.cured == 0;
            let seen = self.model.history.seen.iter().map(|s| {
                let cured = self.model.history.cured(s.period).iter().fold(0, |m, c| m | 1 << c);
                let node = s.weights.iter().enumerate();
                node.map(|(k, w)| w * self.shows[s.finding][k][set & !cured]).sum::<f64>()
            });
            let facts = state.facts.iter().map(|&(f, k, cured, _)| self.shows[f][k][set & !cured]);
            if over { 0.0 } else { self.prior[set] * seen.product::<f64>() * facts.product::<f64>() }
        };
        (0..self.prior.len()).map(weight).collect()
    }

    fn value(&mut self, state: &State) -> f64 {
        if let Some(&known) = self.known.get(state) {
            return known;
        }
        let weights = self.weights(state);
        let total: f64 = weights.iter().sum();
        let mut best = self.model.refer_cost;
        if total > 0.0 {
            for action in 0..self.model.actions.len() {
                best = best.min(self.after(state, &weights, action).map_or(f64::INFINITY, |v| v / total));
            }
        }
        self.known.insert(state.clone(), best);
        best
    }

    /// Cost of an action and the best after it, times the probability of being here; nothing where it cannot be done.
    fn after(&mut self, state: &State, weights: &[f64], action: usize) -> Option<f64> {
        let act = &self.model.actions[action];
        if act.after.iter().any(|a| state.done >> a & 1 == 0) {
            return None;
        }
        let mut next = state.clone();
        let minutes: f64 = act.access.iter().map(|&x| self.enter(x, &mut next.open)).sum();
        let cost = (minutes + act.minutes) * self.model.rate_per_minute + act.money;
        next.done |= 1 << action;
        let here: f64 = weights.iter().sum();
        match &act.kind {
            ActionKind::Fix { cures } => {
                if state.done >> action & 1 == 1 {
                    return None;
                }
                next.cured |= cures.iter().fold(0, |m, c| m | 1 << c);
                let left: f64 = self.weights(&next).iter().sum();
                Some(here * cost + if left > 0.0 { left * self.value(&next) } else { 0.0 })
            }
            ActionKind::Check { reveals } => {
                let new: Vec<usize> = reveals.iter().copied().filter(|&f| !self.is_known(state, f)).collect();
                if new.is_empty() && state.done >> action & 1 == 1 {
                    return None;
                }
                Some(here * cost + self.read(&next, &new))
            }
        }
    }

    fn read(&mut self, state: &State, findings: &[usize]) -> f64 {
        let Some((&f, rest)) = findings.split_first() else {
            let left: f64 = self.weights(state).iter().sum();
            return if left > 0.0 { left * self.value(state) } else { 0.0 };
        };
        if self.is_known(state, f) {
            return self.read(state, rest);
        }
        let states = self.model.network.findings()[f].stray.len() + 1;
        let with = |k| {
            let mut next = state.clone();
            next.facts.push((f, k, state.cured, self.fixes(state)));
            next.facts.sort_unstable();
            next
        };
        let branches: Vec<State> = (0..states).map(with).collect();
        branches.iter().map(|s| self.read(s, rest)).sum()
    }

    fn is_known(&self, state: &State, f: usize) -> bool {
        let now = |cured: &[usize]| cured.iter().fold(0, |m, c| m | 1 << c) == state.cured;
        let at_start = self.model.history.seen.iter().any(|s| s.finding == f && now(&self.model.history.cured(s.period)));
        let fixed_since = self.fixes(state) & !self.model.done.iter().fold(0, |m, a| m | 1 << a) != 0;
        (at_start && !fixed_since) || state.facts.iter().any(|fact| fact.0 == f && fact.3 == self.fixes(state))
    }

    fn fixes(&self, state: &State) -> usize {
        let fix = |a: &usize| matches!(self.model.actions[*a].kind, ActionKind::Fix { .. });
        (0..self.model.actions.len()).filter(fix).fold(0, |m, a| m | 1 << a) & state.done
    }

    fn enter(&self, access: usize, open: &mut usize) -> f64 {
        if *open >> access & 1 == 1 {
            return 0.0;
        }
        let step = &self.model.access[access];
        let before: f64 = step.needs.iter().map(|&x| self.enter(x, open)).sum();
        *open &= !step.undoes.iter().fold(0, |m, x| m | 1 << x);
        *open |= 1 << access;
        before + step.minutes
    }
}
