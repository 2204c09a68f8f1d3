//! Fixes one after the other in a fixed order, and a referral when that is cheaper: the plan that looks at nothing.
//!
//! The order is by probability of touching a cause over cost, which is best for independent single faults (exchange
//! argument; Kadane & Simon 1977).

use super::comeback::Cost;
use super::course::Place;
use super::space::Space;

/// These fixes until cured, then refer.
pub struct Chain {
    /// Fixes in order.
    pub fixes: Vec<usize>,
    /// Expected cost.
    pub expected: Cost,
    /// The most that it can come to, beside the repairs that a specialist makes.
    pub longest: f64,
    /// Weights touched in working it out.
    pub work: u64,
}

impl Chain {
    pub fn new(space: &Space, at: &Place) -> Chain {
        let order = order(space, at);
        let mut sets = space.by_causes(&at.weights);
        let total: f64 = sets.iter().map(|(_, w)| w).sum();
        let mut work = (at.weights.len() * 3) as u64;
        let mut setup = at.setup;
        let refer = space.refer * total + repairs(space, setup, &sets).0;
        let (mut spent, mut again, mut paid) = (0.0, 0.0, 0.0);
        let (mut taken, mut longest, mut least) = (0, space.refer, Cost::of(refer));
        for (i, &act) in order.iter().enumerate() {
            let (cost, does) = (space.cost(setup, act), &space.acts[act]);
            let alive: f64 = sets.iter().map(|(_, w)| w).sum();
            let idle = sets.iter().filter(|(s, _)| space.becomes[act][*s as usize].is_empty()).map(|(_, w)| w).sum::<f64>();
            let undone = sets.iter().filter(|(s, _)| space.undone[*s as usize].contains(&act)).map(|(_, w)| w).sum::<f64>();
            spent += alive * cost + idle * does.vain;
            paid += cost + does.vain;
            again += undone * space.again_cost * does.cost;
            work += 2 * sets.len() as u64;
            sets = after(space, act, &sets);
            setup = space.after(setup, act);
            let (needed, floor) = repairs(space, setup, &sets);
            let left: f64 = sets.iter().map(|(_, w)| w).sum();
            let money = spent + left * space.refer + needed;
            if money + again < least.counted {
                (taken, least, longest) = (i + 1, Cost { money, counted: money + again }, paid + space.refer);
            }
            if sets.is_empty() || spent + again + floor >= least.counted {
                break;
            }
        }
        let expected = Cost { money: least.money / total, counted: least.counted / total };
        Chain { fixes: order[..taken].to_vec(), expected, longest, work }
    }
}

/// The cheapest repairs of these sets, and the least that they can cost.
fn repairs(space: &Space, setup: usize, sets: &[(u32, f64)]) -> (f64, f64) {
    let mut setups = space.setups.borrow_mut();
    let add = |sum: (f64, f64), &(set, w): &(u32, f64)| {
        let needed = setups.needed(space, setup, set);
        (sum.0 + w * needed.repairs, sum.1 + w * needed.least)
    };
    sets.iter().fold((0.0, 0.0), add)
}

/// The sets after a fix, without those with which the job ends.
fn after(space: &Space, act: usize, sets: &[(u32, f64)]) -> Vec<(u32, f64)> {
    let becomes = &space.becomes[act];
    if sets.iter().all(|(set, _)| becomes[*set as usize].is_empty()) {
        return sets.to_vec();
    }
    let mut left: Vec<(u32, f64)> = Vec::with_capacity(sets.len());
    for &(set, weight) in sets {
        let ways = &becomes[set as usize];
        if ways.is_empty() {
            left.push((set, weight));
        }
        left.extend(ways.iter().filter(|(to, _)| space.asks(*to) || !space.asks(set)).map(|(to, p)| (*to, weight * p)));
    }
    left.sort_unstable_by_key(|(set, _)| *set);
    left.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        kept.1 += if same { next.1 } else { 0.0 };
        same
    });
    left
}

/// Fixes that may be taken one after the other, the best ratio first among those that nothing holds back. What a root undoes comes late.
fn order(space: &Space, at: &Place) -> Vec<usize> {
    let (touched, undone) = (at.touched(space), at.undone(space));
    let ratio = |a: usize| {
        let ready = space.cost(at.setup, a);
        let lasting = touched[a] - space.again_cost * undone[a];
        lasting.max(1e-3 * touched[a]) / if ready.is_finite() { ready } else { space.acts[a].cost }.max(1e-12)
    };
    let done = |a: usize| space.setups.borrow().done(at.setup, a);
    let open = space.fixes.iter().filter(|&&a| touched[a] > 0.0 && !done(a));
    let mut waiting: Vec<(f64, usize)> = open.map(|&a| (ratio(a), a)).collect();
    waiting.sort_by(|x, y| y.0.total_cmp(&x.0).then(x.1.cmp(&y.1)));
    let mut order: Vec<usize> = Vec::with_capacity(waiting.len());
    let free = |a: usize, order: &[usize]| space.acts[a].after.iter().all(|b| done(*b) || order.contains(b));
    while let Some(next) = waiting.iter().position(|(_, a)| free(*a, &order)) {
        order.push(waiting.remove(next).1);
    }
    order
}
