//! The cheapest way to cure a set of causes that is known: which fixes, with what must be done before and the access all need.

use super::acts::Does;
use super::bits::Bits;
use super::space::Space;

/// Ways to cure one set that are looked at; past these, curing its first causes is taken as enough, which is never too dear.
const WAYS: usize = 64;

/// For each set of causes the ways to cure it.
pub struct Repairs {
    ways: Vec<Vec<Vec<usize>>>,
}

impl Repairs {
    pub fn new(space: &Space) -> Repairs {
        let chains: Vec<Option<Vec<usize>>> = (0..space.acts.len()).map(|a| chain(space, a)).collect();
        let cures = |a: usize, c: usize| matches!(&space.acts[a].does, Does::Fix(cures) if cures.contains(&c));
        let fixes = |c: usize| (0..space.acts.len()).filter(|&a| chains[a].is_some() && cures(a, c)).collect();
        let fixes: Vec<Vec<usize>> = (0..space.cured_by.len()).map(fixes).collect();
        Repairs { ways: space.members.iter().map(|members| ways(space, &fixes, &chains, members)).collect() }
    }

    /// What the cheapest way costs; referring, where that is less.
    pub fn cheapest(&self, space: &Space, set: u32, done: &Bits, open: &Bits) -> f64 {
        if !space.asks(set) {
            return space.refer;
        }
        self.ways[set as usize].iter().map(|way| cost(space, way, done, open)).fold(space.refer, f64::min)
    }
}

/// An action after all that must be done before it, unless it waits for itself.
fn chain(space: &Space, act: usize) -> Option<Vec<usize>> {
    let mut found = vec![act];
    let mut next = 0;
    while next < found.len() {
        for &before in &space.acts[found[next]].after {
            if before == act {
                return None;
            }
            if !found.contains(&before) {
                found.push(before);
            }
        }
        next += 1;
    }
    Some(found)
}

/// Every choice of one fix for each cause that an earlier choice has left.
fn ways(space: &Space, fixes: &[Vec<usize>], chains: &[Option<Vec<usize>>], members: &[usize]) -> Vec<Vec<usize>> {
    let mut ways: Vec<(Vec<usize>, Vec<usize>)> = vec![(vec![], vec![])];
    for &cause in members {
        let (cured, open): (Vec<_>, Vec<_>) = ways.into_iter().partition(|(_, cured)| cured.contains(&cause));
        let more = open.iter().flat_map(|way| fixes[cause].iter().map(move |&fix| (way, fix)));
        let grown = more.map(|(way, fix)| grow(space, &chains[fix], way, fix));
        let next: Vec<_> = cured.iter().cloned().chain(grown).collect();
        if next.len() > WAYS {
            ways = cured.into_iter().chain(open).collect();
            break;
        }
        ways = next;
    }
    ways.into_iter().map(|(acts, _)| acts).collect()
}

fn grow(space: &Space, chain: &Option<Vec<usize>>, way: &(Vec<usize>, Vec<usize>), fix: usize) -> (Vec<usize>, Vec<usize>) {
    let (mut acts, mut cured) = way.clone();
    let new: Vec<usize> = chain.iter().flatten().copied().filter(|a| !acts.contains(a)).collect();
    acts.extend(new);
    if let Does::Fix(cures) = &space.acts[fix].does {
        cured.extend(cures);
    }
    (acts, cured)
}

/// Each action and each access step once; nothing is closed again, so this is never more than it really costs.
fn cost(space: &Space, way: &[usize], done: &Bits, open: &Bits) -> f64 {
    let mut open = open.clone();
    let acts = way.iter().filter(|&&a| !done.has(a)).map(|&a| &space.acts[a]);
    acts.map(|act| act.cost + space.rate * act.access.iter().map(|&x| enter(space, x, &mut open)).sum::<f64>()).sum()
}

fn enter(space: &Space, access: usize, open: &mut Bits) -> f64 {
    if open.has(access) {
        return 0.0;
    }
    open.insert(access);
    let step = &space.access[access];
    step.minutes + step.needs.iter().map(|&x| enter(space, x, open)).sum::<f64>()
}
