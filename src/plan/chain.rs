//! Fixes one after the other in a fixed order, and a referral when that is cheaper: the plan that looks at nothing.
//!
//! The order is by probability of touching a cause over cost, which is best for independent single faults (exchange
//! argument; Kadane & Simon 1977).

use super::comeback::Cost;
use super::course::Place;
use super::setup::{cost, reach};
use super::space::Space;

/// These fixes until cured, then refer.
pub struct Chain {
    /// Fixes in order.
    pub fixes: Vec<usize>,
    /// Expected cost.
    pub expected: Cost,
    /// The most that it can come to.
    pub longest: f64,
}

impl Chain {
    pub fn new(space: &Space, at: &Place) -> Chain {
        let order = order(space, at);
        let ends = ends_of(space, &order, &at.weights);
        let mut open = at.open.clone();
        let total: f64 = at.weights.iter().map(|(_, w)| w).sum();
        let (mut alive, mut spent, mut again) = (total, 0.0, 0.0);
        let (mut taken, mut paid, mut longest) = (0, 0.0, space.refer);
        let mut least = Cost::of(space.refer * total);
        for (i, &act) in order.iter().enumerate() {
            let cost = space.acts[act].cost + space.rate * reach(space, act, &mut open);
            (spent, paid) = (spent + alive * cost, paid + cost);
            again += ends[i].undone * space.again * space.acts[act].cost;
            alive = if ends[i].all { 0.0 } else { alive - ends[i].cured };
            let money = spent + alive * space.refer;
            if money + again < least.counted {
                (taken, least, longest) = (i + 1, Cost { money, counted: money + again }, paid + space.refer);
            }
            if ends[i].all || spent + again >= least.counted {
                break;
            }
        }
        let expected = Cost { money: least.money / total, counted: least.counted / total };
        Chain { fixes: order[..taken].to_vec(), expected, longest }
    }
}

/// What one fix of an order ends.
#[derive(Clone, Copy, Default)]
struct Ends {
    /// Weight with which the job ends here.
    cured: f64,
    /// Whether nothing is left then.
    all: bool,
    /// Weight with which a root stands that undoes it.
    undone: f64,
}

fn ends_of(space: &Space, order: &[usize], weights: &[(u32, f64)]) -> Vec<Ends> {
    let mut ends = vec![Ends::default(); order.len()];
    let mut position = vec![usize::MAX; space.acts.len()];
    order.iter().enumerate().for_each(|(i, &act)| position[act] = i);
    let mut last = 0;
    for &(set, weight) in weights {
        let end = space.members[set as usize].iter().map(|&c| cured_at(space, &position, c)).max().unwrap_or(usize::MAX);
        last = last.max(end);
        if let Some(entry) = ends.get_mut(end) {
            entry.cured += weight;
        }
        add_undone(space, &position, set, weight, &mut ends);
    }
    if let Some(entry) = ends.get_mut(last) {
        entry.all = true;
    }
    ends
}

/// Counts the consequences of a set that are cured before a root of theirs.
fn add_undone(space: &Space, position: &[usize], set: u32, weight: f64, ends: &mut [Ends]) {
    let mut counted = usize::MAX;
    for &(consequence, root) in &space.standing[set as usize] {
        let at = cured_at(space, position, consequence);
        if at != counted && at < cured_at(space, position, root) {
            counted = at;
            ends[at].undone += weight;
        }
    }
}

/// Where in the order a cause is cured; past its end where it never is.
fn cured_at(space: &Space, position: &[usize], cause: usize) -> usize {
    space.cured_by[cause].iter().map(|&a| position[a]).min().unwrap_or(usize::MAX)
}

/// Fixes that may be taken one after the other, the best ratio first among those that nothing holds back. What a root undoes comes late.
fn order(space: &Space, at: &Place) -> Vec<usize> {
    let (touched, undone) = (at.touched(space), at.undone(space));
    let ratio = |a: usize| {
        let ready = cost(space, a, &at.done, &at.open);
        let lasting = touched[a] - space.again * undone[a];
        lasting.max(1e-3 * touched[a]) / if ready.is_finite() { ready } else { space.acts[a].cost }.max(1e-12)
    };
    let open = space.fixes.iter().filter(|&&a| touched[a] > 0.0 && !at.done.has(a));
    let mut waiting: Vec<(f64, usize)> = open.map(|&a| (ratio(a), a)).collect();
    waiting.sort_by(|x, y| y.0.total_cmp(&x.0).then(x.1.cmp(&y.1)));
    let mut order: Vec<usize> = Vec::with_capacity(waiting.len());
    let free = |a: usize, order: &[usize]| space.acts[a].after.iter().all(|b| at.done.has(*b) || order.contains(b));
    while let Some(next) = waiting.iter().position(|(_, a)| free(*a, &order)) {
        order.push(waiting.remove(next).1);
    }
    order
}
