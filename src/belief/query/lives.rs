//! How long what may be there lasts: the periods in which each cause and condition may have ended.
//!
//! A cause is drawn once and ends with the first repair that cures it. A condition ends with the last of what brings it about: links act for
//! good or not at all, so it is the highest of the ends of those whose link acts. Either way it is there from the intake to its end without a gap,
//! and its end is all there is to know of it.

use crate::belief::model::{Network, Repair};

/// The end of what is still there.
pub const NEVER: usize = usize::MAX;

/// A network with the ends that repairs make possible. What has the end `t` is there in the periods before `t`.
#[derive(Debug)]
pub struct Lives<'n> {
    pub network: &'n Network,
    /// Number of repairs, which is the period now.
    pub now: usize,
    /// Place in `endings` of each cause and condition, counted from 1; 0 for what nothing ends. Empty where nothing was repaired.
    places: Vec<u32>,
    endings: Vec<Ending>,
}

/// The ends that one cause or condition may have, rising.
#[derive(Debug, Default)]
struct Ending {
    ends: Vec<usize>,
    /// For a cause: the chance of each, given that the cause was there at intake.
    chances: Vec<f64>,
}

impl<'n> Lives<'n> {
    pub fn new(network: &'n Network, repairs: &[Repair]) -> Lives<'n> {
        let mut lives = Lives { network, now: repairs.len(), places: vec![], endings: vec![] };
        if repairs.iter().any(|r| r.cures.iter().any(|(_, chance)| *chance > 0.0)) {
            lives.places = vec![0; network.causes().len()];
            lives.add_causes(repairs);
            lives.add_conditions();
        }
        lives
    }

    fn add(&mut self, node: usize, ending: Ending) {
        self.endings.push(ending);
        self.places[node] = self.endings.len() as u32;
    }

    fn add_causes(&mut self, repairs: &[Repair]) {
        let mut tried: Vec<(usize, usize, f64)> = Vec::new();
        for (t, repair) in repairs.iter().enumerate() {
            tried.extend(repair.cures.iter().filter(|(_, chance)| *chance > 0.0).map(|&(cause, chance)| (cause, t + 1, chance)));
        }
        tried.sort_by_key(|&(cause, t, _)| (cause, t));
        for of_cause in tried.chunk_by(|a, b| a.0 == b.0) {
            let (mut ending, mut left) = (Ending::default(), 1.0);
            for &(_, t, chance) in of_cause.iter() {
                if left > 0.0 {
                    ending.ends.push(t);
                    ending.chances.push(left * chance);
                    left *= 1.0 - chance;
                }
            }
            if left > 0.0 {
                ending.ends.push(NEVER);
                ending.chances.push(left);
            }
            self.add(of_cause[0].0, ending);
        }
    }

    fn add_conditions(&mut self) {
        let network = self.network;
        let mut conditions: Vec<usize> = (0..network.causes().len()).filter(|&k| network.causes()[k].condition).collect();
        conditions.sort_unstable_by_key(|&k| network.rank(k));
        for k in conditions {
            let parents = network.causes()[k].brought_by.iter();
            let mut ends: Vec<usize> = parents.flat_map(|&(parent, _)| self.ends(parent)).copied().chain([NEVER]).collect();
            ends.sort_unstable();
            ends.dedup();
            if ends.len() > 1 {
                self.add(k, Ending { ends, chances: vec![] });
            }
        }
    }

    fn ending(&self, node: usize) -> Option<&Ending> {
        let place = (*self.places.get(node)? as usize).checked_sub(1)?;
        self.endings.get(place)
    }

    /// The ends that a cause or condition may have, rising; its levels from 1 on.
    pub fn ends(&self, node: usize) -> &[usize] {
        self.ending(node).map_or(&[NEVER], |e| &e.ends)
    }

    /// For a cause, the chance of each of its ends.
    pub fn chances(&self, cause: usize) -> &[f64] {
        self.ending(cause).map_or(&[1.0], |e| &e.chances)
    }

    /// Whether it is open when a cause ends: a repair may not have held.
    pub fn is_split(&self, node: usize) -> bool {
        !self.network.causes()[node].condition && self.ends(node).len() > 1
    }

    /// The level that says "there now"; none for what a repair cured for certain.
    pub fn now_level(&self, node: usize) -> Option<usize> {
        let ends = self.ends(node);
        (ends.last() == Some(&NEVER)).then_some(ends.len())
    }

    /// The chance that what was there at intake is there now: for what stands alone.
    pub fn lasts(&self, node: usize) -> f64 {
        let chances = self.chances(node);
        self.now_level(node).map_or(0.0, |_| chances.last().copied().unwrap_or(1.0))
    }

    /// Whether a finding can have changed between two periods by what was cured.
    pub fn changed(&self, finding: usize, from: usize, to: usize) -> bool {
        let pushes = &self.network.findings()[finding].pushes;
        pushes.iter().any(|&(node, _)| self.ends(node).iter().any(|end| (from + 1..=to).contains(end)))
    }
}
