//! Fixes one after the other, and a referral when that is cheaper: the plan that looks at nothing.
//!
//! Next goes what touches a cause most likely for its cost, by what may be left then: best for independent single faults (exchange argument;
//! Kadane & Simon 1977). A consequence whose root stands comes late, and is next once the root is gone.

use super::comeback::Cost;
use super::course::Place;
use super::space::Space;
use super::step::joined;

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
        let (mut fixes, mut listed) = (vec![], vec![Listed::default(); space.acts.len()]);
        sets.iter().for_each(|&(set, w)| list(space, &mut listed, set, w));
        while let Some(act) = next(space, setup, alive, &listed) {
            let (cost, does) = (space.cost(setup, act), &space.acts[act]);
            setup = space.after(setup, act);
            work += 2 * sets.len() as u64;
            let undone = listed[act].undone;
            let Passed { left, idle, mass, needed, floor } = pass(space, act, setup, &sets, &mut listed);
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
    /// The sets after it, without those with which the job ends.
    left: Vec<(u32, f64)>,
    /// Weight with which it cures nothing.
    idle: f64,
    /// The weight that is left.
    mass: f64,
    /// The cheapest repairs of what is left.
    needed: f64,
    /// The least that these can cost.
    floor: f64,
}

/// Goes through the sets once; `setup` is that after the fix.
fn pass(space: &Space, act: usize, setup: usize, sets: &[(u32, f64)], listed: &mut [Listed]) -> Passed {
    let mut setups = space.setups.borrow_mut();
    let becomes = &space.becomes[act];
    let mut passed = Passed::default();
    let (mut left, mut moved) = (Vec::with_capacity(sets.len()), vec![]);
    for &(set, weight) in sets {
        let ways = &becomes[set as usize];
        if ways.is_empty() {
            left.push((set, weight));
            passed.idle += weight;
            continue;
        }
        list(space, listed, set, -weight);
        moved.extend(ways.iter().filter(|(to, _)| space.asks(*to) || !space.asks(set)).map(|&(to, p)| (to, weight * p)));
    }
    moved.iter().for_each(|&(set, w)| list(space, listed, set, w));
    passed.left = joined(left, moved);
    for &(set, weight) in &passed.left {
        let needed = setups.needed(space, setup, set);
        passed.mass += weight;
        passed.needed += weight * needed.repairs;
        passed.floor += weight * needed.least;
    }
    passed
}

/// Weight of the sets of which a fix cures a cause, and of those with a root that would undo it.
#[derive(Clone, Default)]
struct Listed {
    touched: f64,
    undone: f64,
}

/// Adds the weight of a set where it is listed.
fn list(space: &Space, listed: &mut [Listed], set: u32, weight: f64) {
    space.touched_by.of(set).iter().for_each(|&a| listed[a as usize].touched += weight);
    space.undone.of(set).iter().for_each(|&a| listed[a as usize].undone += weight);
}

/// What rounding leaves of a weight that was added and taken off again, as a share of the whole.
const ROUNDING: f64 = 1e-13;

/// The fix with the best ratio, of those that pay: what they save where they touch a cause against what they waste where not. Where it waits for
/// others, the first of these.
fn next(space: &Space, setup: usize, alive: f64, listed: &[Listed]) -> Option<usize> {
    let setups = space.setups.borrow();
    let mut best: Option<(f64, usize)> = None;
    for &act in &space.fixes {
        let Listed { touched, undone } = listed[act];
        if touched <= ROUNDING * alive || setups.done(setup, act) {
            continue;
        }
        let cost = setups.cost(space, setup, act);
        let way = if cost.is_finite() { Some((act, cost)) } else { setups.way(space, setup, act) };
        if let Some((first, cost)) = way.filter(|(_, cost)| space.pays(act, *cost, touched, alive)) {
            let ratio = (touched - space.again_cost * undone).max(1e-3 * touched) / cost.max(1e-12);
            if best.is_none_or(|(most, _)| ratio > most) {
                best = Some((ratio, first));
            }
        }
    }
    best.map(|(_, act)| act)
}
