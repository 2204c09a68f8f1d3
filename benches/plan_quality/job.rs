//! One car under repair: what its checks show, what its fixes cure, and what has been spent.

use super::workshop::Truth;
use faultbook::belief::{Limits, Repair, Seen};
use faultbook::plan::{ActionKind, Budget, Found, Model, Step, Tree, plan};
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
    period: usize,
}

impl<'a> Job<'a> {
    pub fn new(car: &Model, truth: &'a Truth) -> Job<'a> {
        let in_question = faultbook::plan::causes_in_question(&car.network, &car.complaint);
        Job { model: car.clone(), in_question, spent: 0.0, checks: 0, vain: 0, truth, present: truth.present.clone(), period: 0 }
    }

    /// Follows the plan, made anew after each answer as a walk does; what the job costs.
    pub fn walked(mut self) -> f64 {
        if self.walk() { self.spent } else { self.refer() }
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

    /// Follows the plan as it is printed, made anew only after a repair that did not cure; what the job costs.
    pub fn printed(mut self) -> f64 {
        loop {
            let Ok(made) = plan(&self.model, &Budget::STEP, &Limits::default()) else { return self.refer() };
            match self.follow(&made.tree) {
                Some(true) => return self.spent,
                Some(false) => return self.refer(),
                None => {}
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

    pub fn refer(&self) -> f64 {
        self.spent + self.model.refer_cost
    }

    /// Money for an action now, with the access it still needs.
    pub fn cost(&self, a: usize) -> f64 {
        let (action, mut open) = (&self.model.actions[a], self.open());
        let minutes: f64 = action.access.iter().map(|&x| opening(&self.model, x, &mut open)).sum();
        ((minutes + action.minutes) * self.model.rate_per_minute + action.money).max(1e-6)
    }

    /// Whether a finding was read since the last repair.
    pub fn known(&self, f: usize) -> bool {
        self.model.history.seen.iter().any(|s| s.finding == f && s.period == self.model.history.now())
    }

    /// Does a check; the findings that it reads, each with its state.
    pub fn check(&mut self, a: usize) -> Vec<(usize, usize)> {
        self.pay(a);
        self.checks += 1;
        let ActionKind::Check { reveals } = self.model.actions[a].kind.clone() else { return vec![] };
        let new: Vec<usize> = reveals.into_iter().filter(|&f| !self.known(f)).collect();
        let shown: Vec<(usize, usize)> =
            new.into_iter().map(|f| (f, self.truth.shows(&self.model.network, f, self.period, &self.present))).collect();
        for &(f, state) in &shown {
            let mut seen = Seen::state(f, state, self.model.network.findings()[f].states());
            seen.period = self.model.history.now();
            self.model.history.seen.push(seen);
        }
        shown
    }

    /// Does a repair; whether the complaint is cured then.
    pub fn fix(&mut self, a: usize) -> bool {
        self.pay(a);
        let ActionKind::Fix { cures } = self.model.actions[a].kind.clone() else { return false };
        self.vain += usize::from(!cures.iter().any(|c| self.present.contains(c)));
        self.present.retain(|c| !cures.contains(c));
        let new: Vec<usize> = cures.into_iter().filter(|c| !self.model.cured().contains(c)).collect();
        self.model.history.repairs.push(Repair { cures: new.into_iter().map(|c| (c, 1.0)).collect() });
        self.period += 1;
        let had = self.truth.present.iter().any(|c| self.in_question.contains(c));
        had && !self.present.iter().any(|c| self.in_question.contains(c))
    }

    fn pay(&mut self, a: usize) {
        self.spent += self.cost(a);
        let mut open = self.open();
        for &x in &self.model.actions[a].access {
            opening(&self.model, x, &mut open);
        }
        self.model.open = open.into_iter().collect();
        self.model.done.push(a);
    }

    fn open(&self) -> BTreeSet<usize> {
        self.model.open.iter().copied().collect()
    }
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
