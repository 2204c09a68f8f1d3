//! The hypotheses met so far, by number: those that may hold now, and what repairs and looks make of them. They are made when they are met.

use super::acts::Act;
use super::hypothesis::{Hypothesis, Nature};
use super::looks::Look;
use super::universe::Universe;
use foldhash::HashMap;
use std::rc::Rc;

/// A set of causes and conditions.
struct Present {
    set: Vec<usize>,
    /// The world that has nothing more to remember.
    plain: Option<u32>,
    /// For each action that was asked for, what it makes of the set.
    ways: Vec<(u32, Rc<[Way]>)>,
}

/// What a fix may make of a set.
struct Way {
    present: u32,
    chance: f64,
    /// What is gone.
    lost: Vec<usize>,
    /// The findings that lost a push, of those that may be read again.
    touched: Vec<u32>,
}

/// A finding that a check can read.
pub struct Reading {
    /// For each state, its probability under each set that is present.
    pub states: Vec<Vec<f64>>,
    /// For each set, the entropy of the states under it, in bits.
    pub doubt: Vec<f64>,
}

/// All worlds.
pub struct Worlds {
    /// For each world the number of the set of its causes in the universe.
    pub causes: Vec<u32>,
    /// For each world the number of the set of all that is present.
    pub present: Vec<u32>,
    /// The findings.
    pub readings: Vec<Reading>,
    nature: Nature,
    hypotheses: Vec<Hypothesis>,
    known: HashMap<Key, u32>,
    presents: Vec<Present>,
    place: HashMap<Vec<usize>, u32>,
}

/// Two worlds with the same key are the same to 1e-12.
#[derive(PartialEq, Eq, Hash)]
struct Key(u32, Vec<(u32, Vec<u64>)>);

fn key(present: u32, states: &[(u32, Vec<f64>)]) -> Key {
    let round = |p: &f64| (p * (1u64 << 40) as f64).round() as u64;
    Key(present, states.iter().map(|(f, now)| (*f, now.iter().map(round).collect())).collect())
}

impl Worlds {
    pub fn new(nature: Nature) -> Worlds {
        let reading = |f: usize| Reading { states: vec![vec![]; nature.pushed[f].count()], doubt: vec![] };
        Worlds {
            causes: vec![],
            present: vec![],
            readings: (0..nature.pushed.len()).map(reading).collect(),
            nature,
            hypotheses: vec![],
            known: HashMap::default(),
            presents: vec![],
            place: HashMap::default(),
        }
    }

    /// The number of a hypothesis.
    pub fn number(&mut self, universe: &Universe, hypothesis: Hypothesis) -> u32 {
        let present = self.set(&hypothesis.set);
        if hypothesis.states.is_empty()
            && let Some(plain) = self.presents[present as usize].plain
        {
            return plain;
        }
        let key = key(present, &hypothesis.states);
        if let Some(&world) = self.known.get(&key) {
            return world;
        }
        let world = self.hypotheses.len() as u32;
        let causes: Vec<usize> = hypothesis.set.iter().copied().filter(|&n| !self.nature.is_condition(n)).collect();
        self.causes.push(universe.place(&causes));
        self.present.push(present);
        if hypothesis.states.is_empty() {
            self.presents[present as usize].plain = Some(world);
        }
        self.hypotheses.push(hypothesis);
        self.known.insert(key, world);
        world
    }

    fn set(&mut self, set: &[usize]) -> u32 {
        if let Some(&place) = self.place.get(set) {
            return place;
        }
        let place = self.presents.len() as u32;
        for (reading, pushed) in self.readings.iter_mut().zip(&self.nature.pushed) {
            let states = pushed.states(set);
            reading.doubt.push(states.iter().map(|&p| if p > 0.0 { -p * p.log2() } else { 0.0 }).sum());
            reading.states.iter_mut().zip(states).for_each(|(all, p)| all.push(p));
        }
        self.place.insert(set.to_vec(), place);
        self.presents.push(Present { set: set.to_vec(), plain: None, ways: vec![] });
        place
    }

    /// What a fix may make of a world, with the chance of each.
    pub fn after(&mut self, universe: &Universe, act: (usize, &Act), world: u32, looks: &[(u32, Look)], mut found: impl FnMut(u32, f64)) {
        let ways = self.ways(self.present[world as usize], act);
        for way in ways.iter() {
            let before = &self.hypotheses[world as usize];
            let same = way.lost.is_empty();
            if same {
                found(world, way.chance);
                continue;
            }
            let touched = !way.touched.is_empty() && looks.iter().any(|(f, look)| look.may_fall() && way.touched.binary_search(f).is_ok());
            if !touched
                && before.states.is_empty()
                && let Some(plain) = self.presents[way.present as usize].plain
            {
                found(plain, way.chance);
                continue;
            }
            let set = self.presents[way.present as usize].set.clone();
            let after = Hypothesis { set, states: before.states.clone() };
            let after = if touched { self.nature.fall(before, after, &way.lost, &way.touched, looks) } else { after };
            found(self.number(universe, after), way.chance);
        }
    }

    fn ways(&mut self, present: u32, (number, act): (usize, &Act)) -> Rc<[Way]> {
        if let Some((_, ways)) = self.presents[present as usize].ways.iter().find(|w| w.0 == number as u32) {
            return Rc::clone(ways);
        }
        let before = self.presents[present as usize].set.clone();
        let ways: Vec<Way> = self
            .nature
            .sets_after(&before, act.cures())
            .into_iter()
            .map(|(set, chance)| {
                let lost = Nature::lost(&before, &set);
                Way { present: self.set(&set), chance, touched: self.nature.touched(&lost), lost }
            })
            .collect();
        let ways: Rc<[Way]> = ways.into();
        self.presents[present as usize].ways.push((number as u32, Rc::clone(&ways)));
        ways
    }

    /// The chance of each state of a finding now that was read before.
    pub fn now(&self, world: u32, finding: usize, look: Look) -> Vec<f64> {
        self.nature.now(&self.hypotheses[world as usize], finding, look)
    }

    /// How likely another look shows a state, and the world then.
    pub fn seen_again(&mut self, universe: &Universe, world: u32, finding: usize, look: Look, state: usize) -> (f64, u32) {
        let hypothesis = &self.hypotheses[world as usize];
        let mut weights = vec![0.0; self.nature.pushed[finding].count()];
        weights[state] = 1.0;
        let (likely, after) = self.nature.seen_again(hypothesis, finding, look, &weights);
        if after == *hypothesis { (likely, world) } else { (likely, self.number(universe, after)) }
    }

    /// The findings of which a world remembers what they are now.
    pub fn remembers(&self, world: u32) -> impl Iterator<Item = u32> + '_ {
        self.hypotheses[world as usize].states.iter().map(|s| s.0)
    }
}
