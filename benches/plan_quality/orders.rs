//! Simple orders of work, each with the exact belief after every step: what a text-book gives. All give up where nothing left is worth its cost.

use super::job::{Ended, Job};
use faultbook::belief::{Limits, Prepared};
use faultbook::plan::ActionKind;

/// A cause likelier than this is repaired by the orders that look first.
const SURE: f64 = 0.5;

/// Steps after which an order gives up.
const MOST: usize = 60;

#[derive(Clone, Copy, PartialEq)]
pub enum Order {
    /// Information for the cost, then what is likely enough.
    Entropy,
    /// Probability of finding or curing something for the cost.
    Likelihood,
    /// Causes by how common they are: look, then repair.
    Prior,
    /// The cheapest check first.
    Cheapest,
}

pub const ORDERS: [(&str, Order); 4] = [
    ("entropy for cost", Order::Entropy),
    ("likelihood for cost", Order::Likelihood),
    ("fixed order by prior", Order::Prior),
    ("cheapest first", Order::Cheapest),
];

/// What the job costs in this order.
pub fn by(order: Order, mut job: Job) -> Ended {
    for _ in 0..MOST {
        let Ok(mut belief) = Prepared::new(&job.model.network, &job.model.history, &Limits::default()) else { break };
        let mut chance = belief.causes();
        (0..chance.len()).filter(|c| !job.in_question.contains(c) || job.model.cured().contains(c)).for_each(|c| chance[c] = 0.0);
        let Some(a) = choose(&job, order, &chance) else { break };
        if matches!(job.model.actions[a].kind, ActionKind::Check { .. }) {
            job.check(a);
        } else if job.fix(a) {
            return job.end(true);
        }
    }
    job.end(false)
}

fn choose(job: &Job, order: Order, chance: &[f64]) -> Option<usize> {
    let rated = (0..job.model.actions.len()).filter(|a| open(job, *a));
    let rated = rated.filter_map(|a| rate(job, order, a, chance).map(|r| (r, a)));
    rated.max_by(|x, y| x.0.total_cmp(&y.0)).map(|(_, a)| a)
}

/// Whether an action may be taken: what it waits for is done, and it is new or a check that may tell something new.
fn open(job: &Job, a: usize) -> bool {
    let fix = matches!(&job.model.actions[a].kind, ActionKind::Fix { .. });
    let again = matches!(&job.model.actions[a].kind, ActionKind::Check { reveals } if reveals.iter().any(|f| !job.known(*f)));
    let ready = job.model.actions[a].after.iter().all(|b| job.model.done.contains(b));
    ready && if fix { !job.model.done.contains(&a) } else { again }
}

fn rate(job: &Job, order: Order, a: usize, chance: &[f64]) -> Option<f64> {
    let cost = job.cost(a);
    let (useful, fix) = match &job.model.actions[a].kind {
        ActionKind::Fix { cures } => (cures.iter().map(|&(c, holds)| holds * chance[c]).sum::<f64>(), true),
        ActionKind::Check { reveals } => {
            (reveals.iter().filter(|f| !job.known(**f)).map(|&f| finds(job, f, chance)).fold(0.0, f64::max), false)
        }
    };
    if useful * job.model.refer_cost < cost {
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
        Order::Prior => Some(commonest(job, a)),
    }
}

/// Chance that a finding is abnormal, as if causes pushed it one at a time.
fn finds(job: &Job, f: usize, chance: &[f64]) -> f64 {
    let node = &job.model.network.findings()[f];
    1.0 - node.pushes.iter().map(|(c, p)| 1.0 - chance[*c] * p.iter().sum::<f64>()).product::<f64>()
}

/// Prior of the commonest cause in question that a check would show.
fn commonest(job: &Job, a: usize) -> f64 {
    let ActionKind::Check { reveals } = &job.model.actions[a].kind else { return 0.0 };
    let network = &job.model.network;
    let pushes = reveals.iter().flat_map(|&f| &network.findings()[f].pushes);
    pushes.filter(|p| job.in_question.contains(&p.0)).map(|p| network.causes()[p.0].prior).fold(0.0, f64::max)
}

fn entropy(p: f64) -> f64 {
    let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    part(p) + part(1.0 - p)
}
