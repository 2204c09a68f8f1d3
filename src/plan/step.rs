//! What an action may lead to: the outcomes of a check, cured or not after a fix.

use super::bits::Bits;
use super::looks::{Known, Look};
use super::space::{Space, Weights};
use crate::belief::MISREAD;

/// Outcomes of one check beyond which its findings are not all read one against the other.
const OUTCOMES: usize = 128;

/// Weights of worlds; they need not sum to 1.
pub type Mass = Vec<(u32, f64)>;

/// The findings that a check newly reveals, and whether that is all of them. Where the outcomes would be too many, the
/// last findings are not counted on.
pub fn read(space: &Space, findings: &[usize], known: &Known) -> (Vec<usize>, bool) {
    let mut new: Vec<usize> = findings.iter().copied().filter(|&f| !known.now.has(f)).collect();
    let all = new.len();
    while new.iter().map(|&f| space.states[f]).product::<usize>() > OUTCOMES {
        new.pop();
    }
    let whole = new.len() == all;
    (new, whole)
}

/// All that reading these findings may show: the state of each, and the joint weights.
pub fn split(space: &Space, weights: &[(u32, f64)], findings: &[usize], known: &Known) -> Vec<(Vec<usize>, Mass)> {
    let mut found = vec![(vec![], weights.to_vec())];
    for &finding in findings {
        let look = known.look(finding);
        let grow = |(before, weights): &(Vec<usize>, Mass)| -> Vec<(Vec<usize>, Mass)> {
            let state = |k: usize| (before.iter().copied().chain([k]).collect(), seen(space, weights, finding, look, k));
            (0..space.states[finding]).map(state).filter(|(_, mass): &(_, Mass)| !mass.is_empty()).collect()
        };
        found = found.iter().flat_map(grow).collect();
    }
    found
}

/// The joint weights with a finding seen in a state.
fn seen(space: &Space, weights: &[(u32, f64)], finding: usize, look: Option<Look>, state: usize) -> Mass {
    let mut mass = Mass::with_capacity(weights.len());
    if let Some(look) = look {
        let mut worlds = space.worlds.borrow_mut();
        mass.extend(weights.iter().filter_map(|&(world, w)| {
            let (likely, after) = worlds.seen_again(&space.universe, world, finding, look, state);
            (likely > 0.0).then_some((after, w * likely))
        }));
        return merged(mass);
    }
    let worlds = space.worlds.borrow();
    let likely = &worlds.readings[finding].states[state];
    let times = |&(world, w): &(u32, f64)| (world, w * likely[worlds.present[world as usize] as usize]);
    mass.extend(weights.iter().map(times).filter(|(_, w)| *w > 0.0));
    mass
}

/// What is known after these findings were read and showed these states.
pub fn known_after(space: &Space, known: &Known, all: &[usize], read: &[usize], states: &[usize]) -> Known {
    let mut known = known.clone();
    all.iter().for_each(|&f| known.now.insert(f));
    for (&finding, &state) in read.iter().zip(states).filter(|(f, _)| space.again[**f]) {
        known.keep(finding, Look::Sure(state as u32));
    }
    known
}

/// What a fix comes to.
pub struct Fixed {
    /// Weight with which the job ends.
    pub cured: f64,
    /// What is left where it does not.
    pub left: Mass,
    /// What is known then.
    pub known: Known,
}

/// What a fix makes of the weights.
pub fn fixed(space: &Space, weights: &[(u32, f64)], act: usize, known: &Known) -> Fixed {
    let mut worlds = space.worlds.borrow_mut();
    let (mut cured, mut left, mut moved, mut ways) = (0.0, Mass::with_capacity(weights.len()), vec![], vec![]);
    for &(world, weight) in weights {
        let causes = worlds.causes[world as usize];
        if space.becomes[act][causes as usize].is_empty() {
            left.push((world, weight));
            continue;
        }
        let asked = space.asks(causes);
        ways.clear();
        worlds.after(&space.universe, (act, &space.acts[act]), world, &known.looks, |after, p| ways.push((after, weight * p)));
        for &(after, weight) in &ways {
            if asked && !space.asks(worlds.causes[after as usize]) {
                cured += weight;
            } else {
                moved.push((after, weight));
            }
        }
    }
    let left = joined(left, moved);
    let mut known = known.clone();
    if !known.looks.is_empty() {
        let moved: Bits = Bits::of(left.iter().flat_map(|(w, _)| worlds.remembers(*w)).map(|f| f as usize));
        known.after_repair(&space.changes[act], |f| moved.has(f as usize));
    }
    Fixed { cured, left, known }
}

/// Rising by number, each once.
pub fn merged(mut mass: Mass) -> Mass {
    mass.sort_unstable_by_key(|(world, _)| *world);
    mass.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        kept.1 += if same { next.1 } else { 0.0 };
        same
    });
    mass
}

/// The same of weights that rise already and of others in any order.
pub fn joined(left: Mass, moved: Mass) -> Mass {
    let mut moved = merged(moved).into_iter().peekable();
    if moved.peek().is_none() {
        return left;
    }
    let mut all = Mass::with_capacity(left.len() + moved.len());
    for (world, weight) in left {
        while let Some(before) = moved.next_if(|(other, _)| *other < world) {
            all.push(before);
        }
        let same = moved.next_if(|(other, _)| *other == world).map_or(0.0, |(_, w)| w);
        all.push((world, weight + same));
    }
    all.extend(moved);
    all
}

/// The sum, and the weights made to sum to 1 without those too faint to count.
pub fn normal(space: &Space, mut mass: Mass) -> (f64, Weights) {
    let sum: f64 = mass.iter().map(|(_, w)| w).sum();
    mass.retain(|(_, w)| *w > space.faint * sum);
    let kept: f64 = mass.iter().map(|(_, w)| w).sum();
    mass.iter_mut().for_each(|(_, w)| *w /= kept);
    (sum, mass.into_boxed_slice())
}

/// Weight with which a finding is not normal.
pub fn abnormal(space: &Space, weights: &[(u32, f64)], finding: usize, look: Option<Look>) -> f64 {
    let worlds = space.worlds.borrow();
    match look {
        Some(look) => weights.iter().map(|(world, w)| w * (1.0 - worlds.now(*world, finding, look)[0])).sum(),
        None => {
            let normal = &worlds.readings[finding].states[0];
            weights.iter().map(|(world, w)| w * (1.0 - normal[worlds.present[*world as usize] as usize])).sum()
        }
    }
}

/// Bits that reading one finding is expected to settle.
pub fn settles(space: &Space, weights: &[(u32, f64)], finding: usize, look: Option<Look>) -> f64 {
    let worlds = space.worlds.borrow();
    let Some(look) = look else {
        let (reading, present) = (&worlds.readings[finding], |world: u32| worlds.present[world as usize] as usize);
        let doubt: f64 = weights.iter().map(|(world, w)| w * reading.doubt[present(*world)]).sum();
        let chance = |likely: &Vec<f64>| weights.iter().map(|(world, w)| w * likely[present(*world)]).sum::<f64>();
        return (reading.states.iter().map(chance).map(bits).sum::<f64>() - doubt).max(0.0);
    };
    let mut shown = vec![0.0; space.states[finding]];
    let mut doubt = 0.0;
    for &(world, w) in weights {
        let count = shown.len() as f64;
        for (p, shown) in worlds.now(world, finding, look).into_iter().zip(&mut shown) {
            let likely = (1.0 - MISREAD) * p + MISREAD / count;
            *shown += w * likely;
            doubt += w * bits(likely);
        }
    }
    (shown.into_iter().map(bits).sum::<f64>() - doubt).max(0.0)
}

/// Entropy of the weights, in bits.
pub fn entropy(weights: &[(u32, f64)]) -> f64 {
    weights.iter().map(|(_, w)| bits(*w)).sum::<f64>()
}

fn bits(p: f64) -> f64 {
    if p > 0.0 { -p * p.log2() } else { 0.0 }
}
