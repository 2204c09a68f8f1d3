//! All sets of causes that can come up in a job: those that may be present, and what fixes make of them.

use super::acts::Act;
use super::model::PlanError;
use super::sets::Weighed;
use super::space::Weights;
use std::collections::{BTreeMap, HashMap};

/// More sets than this are not followed: ten causes that are all there and each have a fix of their own already make a thousand.
const MOST: usize = 10_000;

/// The sets, each rising, by number.
pub struct Universe {
    /// The sets.
    pub sets: Vec<Vec<usize>>,
    place: HashMap<Vec<usize>, u32>,
}

impl Universe {
    /// The sets present now with their weights, and all that fixes can make of them; nothing where these are more than `MOST`. Sets whose
    /// causes in question were all cured would have ended the job, so they are out.
    pub fn new(acts: &[Act], in_question: &[bool], cured: &[usize], weighed: Weighed) -> Result<Option<(Universe, Weights)>, PlanError> {
        let asks = |set: &[usize]| set.iter().any(|&c| in_question[c]);
        let mut now: BTreeMap<Vec<usize>, f64> = BTreeMap::new();
        for (set, weight) in weighed {
            let left = without(&set, cured);
            if asks(&left) || !asks(&set) {
                *now.entry(left).or_default() += weight;
            }
        }
        let total: f64 = now.values().sum();
        if total <= 0.0 {
            return Err(PlanError::NothingLeft);
        }
        let mut universe = Universe { sets: vec![], place: HashMap::new() };
        now.keys().for_each(|set| universe.add(set.clone()));
        let weights = now.into_values().enumerate().map(|(i, w)| (i as u32, w / total)).collect();
        Ok(universe.close(acts).then_some((universe, weights)))
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
                self.add(without(&self.sets[next], act.cures()));
            }
            next += 1;
        }
        true
    }

    /// What a fix turns each set into; empty for a check.
    pub fn becomes(&self, act: &Act) -> Vec<u32> {
        let after = |(i, set): (usize, &Vec<usize>)| match act.cures_any(set) {
            true => self.place[&without(set, act.cures())],
            false => i as u32,
        };
        if act.is_fix() { self.sets.iter().enumerate().map(after).collect() } else { vec![] }
    }
}

fn without(set: &[usize], cured: &[usize]) -> Vec<usize> {
    set.iter().copied().filter(|c| !cured.contains(c)).collect()
}
