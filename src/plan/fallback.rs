//! A complete plan that needs no search: fix in a fixed order and refer when that is cheaper. Its cost is an upper bound.
//!
//! The order is by probability of touching a cause over cost, which is best for independent single faults (exchange
//! argument; Kadane & Simon 1977).

use super::acts::Does;
use super::setup::{Setup, enter};
use super::space::Space;

/// The plan: these fixes one after the other until cured, then refer.
pub struct Fallback {
    /// Fixes in order.
    pub fixes: Vec<usize>,
    /// Expected cost.
    pub cost: f64,
}

impl Fallback {
    pub fn new(space: &Space, setup: &Setup, weights: &[(u32, f64)]) -> Fallback {
        let order = order(space, setup, weights);
        let (mut done, mut open) = (setup.done.clone(), setup.open.clone());
        let mut left = weights.to_vec();
        let (mut alive, mut spent) = (1.0, 0.0);
        let mut best = Fallback { fixes: vec![], cost: space.refer };
        let mut taken = Vec::new();
        while let Some(&act) = order.iter().find(|&&a| !done.has(a) && space.acts[a].after.iter().all(|&b| done.has(b))) {
            done.insert(act);
            let minutes: f64 = space.acts[act].access.iter().map(|&x| enter(space, x, &mut open)).sum();
            spent += alive * (space.acts[act].cost + space.rate * minutes);
            alive -= apply(space, act, &mut left);
            taken.push(act);
            let cost = spent + if left.is_empty() { 0.0 } else { alive.max(0.0) * space.refer };
            if cost < best.cost {
                best = Fallback { fixes: taken.clone(), cost };
            }
            if left.is_empty() || spent >= best.cost {
                break;
            }
        }
        best
    }
}

/// Takes a fix; the weight it cures.
fn apply(space: &Space, act: usize, left: &mut Vec<(u32, f64)>) -> f64 {
    let becomes = &space.becomes[act];
    let mut cured = 0.0;
    left.retain_mut(|(set, weight)| {
        let before = std::mem::replace(set, becomes[*set as usize]);
        let ends = space.in_question[before as usize] && !space.in_question[*set as usize];
        cured += if ends { *weight } else { 0.0 };
        !ends
    });
    cured
}

fn order(space: &Space, setup: &Setup, weights: &[(u32, f64)]) -> Vec<usize> {
    let touched = |a: usize| {
        let becomes = &space.becomes[a];
        weights.iter().filter(|(s, _)| becomes[*s as usize] != *s).map(|(_, w)| w).sum::<f64>()
    };
    let fixes = (0..space.acts.len()).filter(|&a| matches!(space.acts[a].does, Does::Fix(_)) && !setup.done.has(a));
    let mut rated: Vec<(f64, usize)> = fixes.map(|a| (touched(a), a)).filter(|(mass, _)| *mass > 0.0).collect();
    rated.iter_mut().for_each(|(mass, a)| *mass /= setup.costs[*a].min(space.refer + space.acts[*a].cost).max(1e-12));
    rated.sort_by(|x, y| y.0.total_cmp(&x.0).then(x.1.cmp(&y.1)));
    rated.into_iter().map(|(_, a)| a).collect()
}
