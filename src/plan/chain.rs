//! Fixes one after the other, and a referral when that is cheaper: the plan that looks at nothing.
//!
//! Next goes what touches a cause most likely for its cost, by what may be left then: best for independent single faults (exchange argument;
//! Kadane & Simon 1977). A consequence whose root stands comes late, and is next once the root is gone.

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
        let mut sets = space.by_causes(&at.weights);
        let total: f64 = sets.iter().map(|(_, w)| w).sum();
        let mut work = (at.weights.len() * 3) as u64;
        let (mut setup, mut alive) = (at.setup, total);
        let refer = space.refer * total + repairs(space, setup, &sets);
        let (mut spent, mut again, mut paid) = (0.0, 0.0, 0.0);
        let (mut taken, mut longest, mut least) = (0, space.refer, Cost::of(refer));
        let mut fixes = vec![];
        while let Some(act) = next(space, setup, &sets, alive) {
            let (cost, does) = (space.cost(setup, act), &space.acts[act]);
            setup = space.after(setup, act);
            work += 2 * sets.len() as u64;
            let Passed { left, idle, undone, mass, needed, floor } = pass(space, act, setup, &sets);
            spent += alive * cost + idle * does.vain;
            paid += cost + does.vain;
            again += undone * space.again_cost * does.cost;
            (sets, alive) = (left, mass);
            fixes.push(act);
            let money = spent + alive * space.refer + needed;
            if money + again < least.counted {
                (taken, least, longest) = (fixes.len(), Cost { money, counted: money + again }, paid + space.refer);
            }
            if spent + again + floor >= least.counted {
                break;
            }
        }
        fixes.truncate(taken);
        let expected = Cost { money: least.money / total, counted: least.counted / total };
        Chain { fixes, expected, longest, work }
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

/// The fix with the best ratio, of those that can be made now and that pay: what they save where they touch a cause against what they waste where not.
fn next(space: &Space, setup: usize, sets: &[(u32, f64)], alive: f64) -> Option<usize> {
    let touched = space.by_act(&space.touched_by, sets.iter().copied());
    let undone = space.by_act(&space.undone, sets.iter().copied());
    let ratio = |a: usize, cost: f64| (touched[a] - space.again_cost * undone[a]).max(1e-3 * touched[a]) / cost.max(1e-12);
    let open = space.fixes.iter().filter(|&&a| touched[a] > 0.0).map(|&a| (a, space.cost(setup, a)));
    let pays = open.filter(|&(a, cost)| cost.is_finite() && space.pays(a, cost, touched[a], alive));
    pays.map(|(a, cost)| (ratio(a, cost), a)).max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1))).map(|(_, a)| a)
}
