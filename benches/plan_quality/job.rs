//! One car under repair: what its checks show, what its fixes cure, and what has been spent.

use super::workshop::Truth;
use faultbook::belief::{Limits, Network, Repair, Seen};
use faultbook::plan::{ActionKind, Budget, Found, Model, Step, Tree, causes_in_question, plan};
use std::collections::BTreeSet;

pub struct Job<'a> {
    pub model: Model,
    pub in_question: BTreeSet<usize>,
    pub spent: f64,
    pub checks: usize,
    /// Repairs that cured nothing this car had.
    pub vain: usize,
    truth: &'a Truth,
    present: Vec<usize>,
}

/// How a job ended.
#[derive(Clone, Copy)]
pub struct Ended {
    /// What it cost, repairs in vain and those of the specialist as the plan counts them.
    pub cost: f64,
    /// Repairs in vain.
    pub vain: usize,
    /// Whether it was handed over.
    pub handed_over: bool,
}

impl<'a> Job<'a> {
    pub fn new(car: &Model, truth: &'a Truth) -> Job<'a> {
        let in_question = causes_in_question(&car.network, &car.complaint);
        Job { model: car.clone(), in_question, spent: 0.0, checks: 0, vain: 0, truth, present: truth.present.clone() }
    }

    /// Follows the plan, made anew after each answer as a walk does.
    pub fn walked(mut self) -> Ended {
        let cured = self.walk();
        self.end(cured)
    }

    /// The end of the job: cured, or handed over.
    pub fn end(self, cured: bool) -> Ended {
        let cost = self.spent + if cured { 0.0 } else { self.model.refer_cost + self.repairs() };
        Ended { cost, vain: self.vain, handed_over: !cured }
    }

    /// Follows the plan, made anew after each answer, to the end: whether the car is cured, else it is handed over.
    pub fn walk(&mut self) -> bool {
        loop {
            let Ok(made) = plan(&self.model, &Budget::STEP, &Limits::default()) else { return false };
            match made.tree.first().step {
                Step::Done => return true,
                Step::Refer => return false,
                Step::Check(a) => {
                    self.check(a);
                }
                Step::Fix(a) if self.fix(a) => return true,
                Step::Fix(_) => {}
            }
        }
    }

    /// Follows the plan as it is printed, made anew only after a repair that did not cure.
    pub fn printed(mut self) -> Ended {
        loop {
            let Ok(made) = plan(&self.model, &Budget::STEP, &Limits::default()) else { return self.end(false) };
            if let Some(cured) = self.follow(&made.tree) {
                return self.end(cured);
            }
        }
    }

    /// Follows a tree to its end: whether the job is done or given up; nothing where the tree has no answer.
    fn follow(&mut self, tree: &Tree) -> Option<bool> {
        let mut at = tree.first();
        loop {
            match at.step {
                Step::Done => return Some(true),
                Step::Refer => return Some(false),
                Step::Check(a) => {
                    let shown = self.check(a);
                    let fits = |f: &Found| matches!(f, Found::States(s) if s.iter().all(|x| shown.contains(x)));
                    at = &tree.nodes[at.branches.iter().find(|b| fits(&b.found))?.next];
                }
                Step::Fix(a) => return self.fix(a).then_some(true),
            }
        }
    }

    /// What the specialist's repairs cost: of each fault that stands the cheapest.
    fn repairs(&self) -> f64 {
        let (mut open, mut left, mut spent) = (self.open(), self.present.clone(), 0.0);
        left.retain(|c| self.in_question.contains(c));
        while let Some(&cause) = left.first() {
            let fixes =
                (0..self.model.actions.len()).filter(|a| !self.model.done.contains(a) && self.cures(*a).iter().any(|c| c.0 == cause));
            let cheapest = fixes.map(|a| (self.cost_from(a, &mut open.clone()), a)).min_by(|x, y| x.0.total_cmp(&y.0));
            if let Some((_, a)) = cheapest {
                spent += self.cost_from(a, &mut open);
                left.retain(|c| !self.cures(a).iter().any(|(cured, _)| cured == c));
            }
            left.retain(|c| *c != cause);
        }
        spent
    }

    fn cures(&self, a: usize) -> &[(usize, f64)] {
        if let ActionKind::Fix { cures } = &self.model.actions[a].kind { cures } else { &[] }
    }

    /// Money for an action now, with the access it still needs.
    pub fn cost(&self, a: usize) -> f64 {
        self.cost_from(a, &mut self.open()).max(1e-6)
    }

    fn cost_from(&self, a: usize, open: &mut BTreeSet<usize>) -> f64 {
        let action = &self.model.actions[a];
        let minutes: f64 = action.access.iter().map(|&x| opening(&self.model, x, open)).sum();
        (minutes + action.minutes) * self.model.rate_per_minute + action.money
    }

    /// Whether it tells nothing to read a finding now: it was read, and no repair since could have changed it.
    pub fn known(&self, f: usize) -> bool {
        let history = &self.model.history;
        let last = history.seen.iter().filter(|s| s.finding == f).map(|s| s.period).max();
        last.is_some_and(|last| !history.repairs[last..].iter().any(|r| reaches(&self.model.network, &r.cures, f)))
    }

    /// Does a check; the findings that it reads, each with its state.
    pub fn check(&mut self, a: usize) -> Vec<(usize, usize)> {
        self.pay(a);
        self.checks += 1;
        let ActionKind::Check { reveals } = self.model.actions[a].kind.clone() else { return vec![] };
        let new: Vec<usize> = reveals.into_iter().filter(|&f| !self.known(f)).collect();
        let period = self.model.history.now();
        let network = &self.model.network;
        let read = |f: usize| self.model.history.seen.iter().any(|s| s.finding == f);
        let shows = |f: usize| match read(f) {
            true => self.truth.shows_again(network, f, period, &self.present),
            false => self.truth.shows(network, f, &self.present),
        };
        let shown: Vec<(usize, usize)> = new.into_iter().map(|f| (f, shows(f))).collect();
        for &(f, state) in &shown {
            let states = self.model.network.findings()[f].states();
            self.model.history.seen.push(Seen::state(f, state, states).in_period(period));
            if state > 0 && !self.model.complaint.contains(&f) {
                self.model.complaint.push(f);
                self.in_question = causes_in_question(&self.model.network, &self.model.complaint);
            }
        }
        shown
    }

    /// Does a repair; whether the complaint is cured then.
    pub fn fix(&mut self, a: usize) -> bool {
        self.pay(a);
        let cures = self.cures(a).to_vec();
        if !cures.iter().any(|(c, _)| self.present.contains(c)) {
            let action = &self.model.actions[a];
            self.vain += 1;
            self.spent += (self.model.vain_factor - 1.0) * (action.minutes * self.model.rate_per_minute + action.money);
        }
        self.present = self.truth.after(&self.model.network, &self.present, a, &cures);
        self.model.history.repairs.push(Repair { cures });
        let had = self.truth.present.iter().any(|c| self.in_question.contains(c));
        had && !self.present.iter().any(|c| self.in_question.contains(c))
    }

    fn pay(&mut self, a: usize) {
        let mut open = self.open();
        self.spent += self.cost_from(a, &mut open).max(1e-6);
        self.model.open = open.into_iter().collect();
        self.model.done.push(a);
    }

    fn open(&self) -> BTreeSet<usize> {
        self.model.open.iter().copied().collect()
    }
}

/// Whether curing these causes can change a finding.
fn reaches(network: &Network, cures: &[(usize, f64)], f: usize) -> bool {
    let mut ends: Vec<usize> = cures.iter().map(|c| c.0).collect();
    let mut next = 0;
    while next < ends.len() {
        let conditions = network.brought_by(ends[next]).iter().copied().filter(|&k| network.causes()[k].condition);
        let new: Vec<usize> = conditions.filter(|k| !ends.contains(k)).collect();
        ends.extend(new);
        next += 1;
    }
    network.findings()[f].pushes.iter().any(|(c, _)| ends.contains(c))
}

/// Minutes that an access step takes with what it needs first; `open` holds then what is open.
fn opening(model: &Model, x: usize, open: &mut BTreeSet<usize>) -> f64 {
    if !open.insert(x) {
        return 0.0;
    }
    let step = &model.access[x];
    open.retain(|x| !step.undoes.contains(x));
    step.minutes + step.needs.iter().map(|&n| opening(model, n, open)).sum::<f64>()
}
