//! Fixes one after the other in a fixed order, and a referral when that is cheaper: the plan that looks at nothing.
//!
//! The order is by probability of touching a cause over cost, which is best for independent single faults (exchange
//! argument; Kadane & Simon 1977).

use super::comeback::Cost;
use super::course::Place;
use super::space::Space;
use super::step::merged;

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
        let (mut setup, mut alive) = (at.setup, total);
        let refer = space.refer * total + repairs(space, setup, &sets);
        let (mut spent, mut again, mut paid) = (0.0, 0.0, 0.0);
        let (mut taken, mut longest, mut least) = (0, space.refer, Cost::of(refer));
        for (i, &act) in order.iter().enumerate() {
            let (cost, does) = (space.cost(setup, act), &space.acts[act]);
            setup = space.after(setup, act);
            work += 2 * sets.len() as u64;
            let Passed { left, idle, undone, mass, needed, floor } = pass(space, act, setup, &sets);
            spent += alive * cost + idle * does.vain;
            paid += cost + does.vain;
            again += undone * space.again_cost * does.cost;
            (sets, alive) = (left, mass);
            let money = spent + alive * space.refer + needed;
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

/// The cheapest repairs of these sets.
fn repairs(space: &Space, setup: usize, sets: &[(u32, f64)]) -> f64 {
    let mut setups = space.setups.borrow_mut();
    sets.iter().map(|&(set, w)| w * setups.needed(space, setup, set).repairs).sum()
}

/// What one fix comes to.
#[derive(Default)]
struct Passed {
    /// The sets after it, without those with which the job ends; one that is there twice counts twice.
    left: Vec<(u32, f64)>,
    /// Weight with which it cures nothing.
    idle: f64,
    /// Weight with which a root would undo it.
    undone: f64,
    /// The weight that is left.
    mass: f64,
    /// The cheapest repairs of what is left.
    needed: f64,
    /// The least that these can cost.
    floor: f64,
}

/// Goes through the sets once; `setup` is that after the fix.
fn pass(space: &Space, act: usize, setup: usize, sets: &[(u32, f64)]) -> Passed {
    let mut setups = space.setups.borrow_mut();
    let becomes = &space.becomes[act];
    let (mut passed, mut parted) = (Passed { left: Vec::with_capacity(sets.len()), ..Passed::default() }, false);
    for &(set, weight) in sets {
        if space.undone[set as usize].contains(&act) {
            passed.undone += weight;
        }
        let mut keep = |to: u32, w: f64| {
            let needed = setups.needed(space, setup, to);
            passed.mass += w;
            passed.needed += w * needed.repairs;
            passed.floor += w * needed.least;
            passed.left.push((to, w));
        };
        let ways = &becomes[set as usize];
        if ways.is_empty() {
            keep(set, weight);
            passed.idle += weight;
            continue;
        }
        parted |= ways.len() > 1;
        ways.iter().filter(|(to, _)| space.asks(*to) || !space.asks(set)).for_each(|&(to, p)| keep(to, weight * p));
    }
    if parted {
        passed.left = merged(passed.left);
    }
    passed
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
