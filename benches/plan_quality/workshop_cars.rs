//! Cars with faults from a book of workshop size, each repaired by the plan and by simple orders of work: what that costs on average. Every
//! order meets the same cars, and what a finding shows on a car is the same for all (common random numbers).

use super::generate::Random;
use super::workshop::{Truth, book, intake};
use faultbook::belief::{Limits, Prepared, Seen};
use faultbook::plan::{ActionKind, Budget, Found, Model, Step, Tree, TreeNode, plan};
use std::collections::BTreeSet;

/// Cars tried.
const CARS: usize = 60;
/// Systems of 20 causes.
const SYSTEMS: usize = 15;
/// A cause likelier than this is repaired by the orders that look first.
const SURE: f64 = 0.5;

/// A simple order of work.
#[derive(Clone, Copy, PartialEq)]
enum Order {
    /// Information for the cost, then what is likely enough.
    Entropy,
    /// Probability of finding or curing something for the cost.
    Likelihood,
    /// Causes by how common they are: look, then repair.
    Prior,
    /// The cheapest check first.
    Cheapest,
}

const ORDERS: [(&str, Order); 4] = [
    ("entropy for cost", Order::Entropy),
    ("likelihood for cost", Order::Likelihood),
    ("fixed order by prior", Order::Prior),
    ("cheapest first", Order::Cheapest),
];

pub fn run() {
    let mut random = Random(31);
    let book = book(&mut random, SYSTEMS);
    let mut costs: Vec<Vec<f64>> = vec![vec![]; 1 + ORDERS.len()];
    while costs[0].len() < CARS {
        let truth = Truth::new(&mut random, &book.model.network);
        let Some(car) = intake(&book, &truth, &mut random, 4, 6) else { continue };
        costs[0].push(Job::new(&car, &truth).planned());
        for (i, (_, order)) in ORDERS.iter().enumerate() {
            costs[i + 1].push(Job::new(&car, &truth).by(*order));
        }
    }
    let mean = |of: &[f64]| of.iter().sum::<f64>() / of.len() as f64;
    println!("repairing {CARS} cars from a book of {} causes: mean cost, and what the plan costs less (95 % interval)", SYSTEMS * 20);
    println!("  {:22} {:.1}", "plan", mean(&costs[0]));
    for (i, (name, _)) in ORDERS.iter().enumerate() {
        let saved: Vec<f64> = costs[i + 1].iter().zip(&costs[0]).map(|(other, plan)| other - plan).collect();
        let (other, less) = (mean(&costs[i + 1]), mean(&saved));
        let spread = saved.iter().map(|s| (s - less).powi(2)).sum::<f64>() / (saved.len() - 1) as f64;
        let half = 1.96 * (spread / saved.len() as f64).sqrt();
        println!(
            "  {name:22} {other:.1}   {:.1} % ({:.1} to {:.1} %)",
            100.0 * less / other,
            100.0 * (less - half) / other,
            100.0 * (less + half) / other
        );
    }
}

/// One car under repair.
struct Job<'a> {
    model: Model,
    truth: &'a Truth,
    present: Vec<usize>,
    period: usize,
    spent: f64,
}

impl<'a> Job<'a> {
    fn new(car: &Model, truth: &'a Truth) -> Job<'a> {
        Job { model: car.clone(), truth, present: truth.present.clone(), period: 0, spent: 0.0 }
    }

    fn question(&self) -> BTreeSet<usize> {
        faultbook::plan::causes_in_question(&self.model.network, &self.model.complaint)
    }

    /// Follows the plan, made anew after each repair that did not cure.
    fn planned(mut self) -> f64 {
        loop {
            let Ok(made) = plan(&self.model, &Budget::STEP, &Limits::default()) else { return self.spent + self.model.refer_cost };
            match self.follow(&made.tree) {
                Some(true) => return self.spent,
                Some(false) => return self.spent + self.model.refer_cost,
                None => {}
            }
        }
    }

    /// One step of a tree: whether the job is done, given up, or goes on.
    fn follow(&mut self, tree: &Tree) -> Option<bool> {
        let mut at: &TreeNode = tree.first();
        loop {
            match at.step {
                Step::Done => return Some(true),
                Step::Refer => return Some(false),
                Step::Check(a) => {
                    let shown = self.check(a);
                    let fits = |f: &Found| matches!(f, Found::States(s) if s.iter().all(|x| shown.contains(x)));
                    match at.branches.iter().find(|b| fits(&b.found)) {
                        Some(branch) => at = &tree.nodes[branch.next],
                        None => return None,
                    }
                }
                Step::Fix(a) => return if self.fix(a) { Some(true) } else { None },
            }
        }
    }

    fn pay(&mut self, a: usize) {
        let action = self.model.actions[a].clone();
        let minutes: f64 = action.access.iter().map(|&x| self.enter(x)).sum();
        self.spent += (minutes + action.minutes) * self.model.rate_per_minute + action.money;
        self.model.done.push(a);
    }

    fn enter(&mut self, x: usize) -> f64 {
        if self.model.open.contains(&x) {
            return 0.0;
        }
        self.model.open.push(x);
        let step = self.model.access[x].clone();
        step.minutes + step.needs.iter().map(|&n| self.enter(n)).sum::<f64>()
    }

    fn check(&mut self, a: usize) -> Vec<(usize, usize)> {
        self.pay(a);
        let ActionKind::Check { reveals } = self.model.actions[a].kind.clone() else { return vec![] };
        let mut shown = vec![];
        for f in reveals.into_iter().filter(|&f| !self.known(f)).collect::<Vec<_>>() {
            let state = self.truth.shows(&self.model.network, f, self.period, &self.present);
            let mut seen = Seen::state(f, state, self.model.network.findings()[f].states());
            seen.cured = self.model.cured.clone();
            self.model.seen.push(seen);
            shown.push((f, state));
        }
        shown
    }

    fn known(&self, f: usize) -> bool {
        self.model.seen.iter().any(|s| s.finding == f && s.cured.len() == self.model.cured.len())
    }

    /// Whether the complaint is cured then.
    fn fix(&mut self, a: usize) -> bool {
        self.pay(a);
        let ActionKind::Fix { cures } = self.model.actions[a].kind.clone() else { return false };
        self.present.retain(|c| !cures.contains(c));
        let new: Vec<usize> = cures.into_iter().filter(|c| !self.model.cured.contains(c)).collect();
        self.model.cured.extend(new);
        self.period += 1;
        let question = self.question();
        let had = self.truth.present.iter().any(|c| question.contains(c));
        had && !self.present.iter().any(|c| question.contains(c))
    }

    /// A simple order, with the exact belief after each step; it gives up where nothing left is worth its cost.
    fn by(mut self, order: Order) -> f64 {
        let question = self.question();
        for _ in 0..60 {
            let Ok(mut belief) = Prepared::new(&self.model.network, &self.model.seen, &Limits::default()) else { break };
            let mut chance = belief.causes();
            (0..chance.len()).filter(|c| !question.contains(c) || self.model.cured.contains(c)).for_each(|c| chance[c] = 0.0);
            let Some(a) = self.choose(order, &chance) else { break };
            match self.model.actions[a].kind {
                ActionKind::Fix { .. } => {
                    if self.fix(a) {
                        return self.spent;
                    }
                }
                ActionKind::Check { .. } => {
                    self.check(a);
                }
            }
        }
        self.spent + self.model.refer_cost
    }

    fn choose(&self, order: Order, chance: &[f64]) -> Option<usize> {
        let rated = (0..self.model.actions.len()).filter(|a| !self.model.done.contains(a) || self.again(*a));
        let rated = rated.filter_map(|a| self.rate(order, a, chance).map(|r| (r, a)));
        rated.max_by(|x, y| x.0.total_cmp(&y.0)).map(|(_, a)| a)
    }

    /// Whether a check that was done may tell something new.
    fn again(&self, a: usize) -> bool {
        matches!(&self.model.actions[a].kind, ActionKind::Check { reveals } if reveals.iter().any(|f| !self.known(*f)))
    }

    fn rate(&self, order: Order, a: usize, chance: &[f64]) -> Option<f64> {
        let cost = self.cost(a);
        let (useful, fix) = match &self.model.actions[a].kind {
            ActionKind::Fix { cures } => (cures.iter().map(|&c| chance[c]).sum::<f64>(), true),
            ActionKind::Check { reveals } => {
                (reveals.iter().filter(|f| !self.known(**f)).map(|&f| self.finds(f, chance)).fold(0.0, f64::max), false)
            }
        };
        if useful * self.model.refer_cost < cost {
            return None;
        }
        let sure = fix && useful >= SURE;
        match order {
            Order::Likelihood => Some(useful / cost),
            Order::Entropy if fix => sure.then_some(1e6 + useful / cost),
            Order::Entropy => Some(entropy(useful.min(1.0)) / cost),
            Order::Cheapest if fix => sure.then_some(1e6 + useful),
            Order::Cheapest => Some(1.0 / cost),
            Order::Prior if fix => sure.then_some(1e6 + useful),
            Order::Prior => Some(self.commonest(a)),
        }
    }

    /// Chance that a finding is abnormal, as if causes pushed it one at a time.
    fn finds(&self, f: usize, chance: &[f64]) -> f64 {
        let node = &self.model.network.findings()[f];
        1.0 - node.pushes.iter().map(|(c, p)| 1.0 - chance[*c] * p.iter().sum::<f64>()).product::<f64>()
    }

    fn commonest(&self, a: usize) -> f64 {
        let ActionKind::Check { reveals } = &self.model.actions[a].kind else { return 0.0 };
        let network = &self.model.network;
        let question = self.question();
        reveals
            .iter()
            .flat_map(|&f| &network.findings()[f].pushes)
            .filter(|p| question.contains(&p.0))
            .map(|p| network.causes()[p.0].prior)
            .fold(0.0, f64::max)
    }

    fn cost(&self, a: usize) -> f64 {
        let mut copy = Job { model: self.model.clone(), truth: self.truth, present: vec![], period: 0, spent: 0.0 };
        copy.pay(a);
        copy.spent.max(1e-6)
    }
}

fn entropy(p: f64) -> f64 {
    let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    part(p) + part(1.0 - p)
}
