//! All sets of causes that can come up in a job: those that may be present, and what fixes make of them.

use super::acts::Act;
use foldhash::HashMap;
use std::collections::BTreeSet;

/// More sets than this are not followed: ten causes that are all there and each have a fix of their own already make a thousand.
const MOST: usize = 10_000;

/// The sets, each rising, by number.
pub struct Universe {
    /// The sets.
    pub sets: Vec<Vec<usize>>,
    place: HashMap<Vec<usize>, u32>,
}

/// What a fix turns a set into, with the chance of each; nothing where it cures none of it.
pub type Becomes = Box<[(u32, f64)]>;

impl Universe {
    /// The sets present now, and all that fixes can make of them; nothing where these are more than `MOST`.
    pub fn new(acts: &[Act], now: BTreeSet<Vec<usize>>) -> Option<Universe> {
        let mut universe = Universe { sets: vec![], place: HashMap::default() };
        now.into_iter().for_each(|set| universe.add(set));
        universe.close(acts).then_some(universe)
    }

    /// The number of a set.
    pub fn place(&self, set: &[usize]) -> u32 {
        self.place[set]
    }

    fn add(&mut self, set: Vec<usize>) {
        if !self.place.contains_key(&set) {
            self.place.insert(set.clone(), self.sets.len() as u32);
            self.sets.push(set);
        }
    }

    /// Adds what fixes make of the sets; whether that came to an end.
    fn close(&mut self, acts: &[Act]) -> bool {
        let mut next = 0;
        while next < self.sets.len() {
            if self.sets.len() > MOST {
                return false;
            }
            for act in acts.iter().filter(|act| act.cures_any(&self.sets[next])).collect::<Vec<_>>() {
                left(&self.sets[next], act.cures()).into_iter().for_each(|(set, _)| self.add(set));
            }
            next += 1;
        }
        true
    }

    /// What a fix turns each set into; empty for a check.
    pub fn becomes(&self, act: &Act) -> Vec<Becomes> {
        let after = |set: &Vec<usize>| -> Becomes {
            if act.cures_any(set) { left(set, act.cures()).into_iter().map(|(s, p)| (self.place[&s], p)).collect() } else { Box::default() }
        };
        if act.is_fix() { self.sets.iter().map(after).collect() } else { vec![] }
    }
}

/// What cures leave of a set, with the chance of each way; conditions are not looked at.
pub fn left(set: &[usize], cures: &[(usize, f64)]) -> Vec<(Vec<usize>, f64)> {
    let mut ways = vec![(set.to_vec(), 1.0)];
    for &(cause, chance) in cures.iter().filter(|(c, _)| set.contains(c)) {
        let without = |(set, p): &(Vec<usize>, f64)| (set.iter().copied().filter(|c| *c != cause).collect(), p * chance);
        let cured: Vec<(Vec<usize>, f64)> = ways.iter().map(without).collect();
        ways.iter_mut().for_each(|(_, p)| *p *= 1.0 - chance);
        ways.extend(cured);
        ways.retain(|(_, p)| *p > 0.0);
    }
    ways
}
