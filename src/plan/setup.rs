//! What has been done and what stands open, and what each action and each repair costs from there.

use super::acts::Does;
use super::bits::Bits;
use super::repairs::Repairs;
use super::space::Space;
use std::cell::Cell;
use std::collections::HashMap;

/// One combination of things done and access open.
pub struct Setup {
    /// Fixes done, and checks that others wait for.
    pub done: Bits,
    /// Access steps open.
    pub open: Bits,
    /// For each action its cost with the access it still needs; infinite where it cannot be done now.
    pub costs: Vec<f64>,
    /// For each set of causes its floor, once asked for.
    floor: Vec<Cell<Option<f64>>>,
    /// For each action the combination after it, once asked for.
    after: Vec<Option<usize>>,
}

/// All combinations met so far.
pub struct Setups<'s> {
    space: &'s Space,
    list: Vec<Setup>,
    places: HashMap<(Bits, Bits), usize>,
    repairs: Repairs,
}

impl<'s> Setups<'s> {
    pub fn new(space: &'s Space) -> Setups<'s> {
        Setups { space, list: vec![], places: HashMap::new(), repairs: Repairs::new(space) }
    }

    pub fn get(&self, setup: usize) -> &Setup {
        &self.list[setup]
    }

    /// The least that curing what is in question of a set can cost when it is known for nothing; referring, where that is less.
    pub fn floor(&self, setup: usize, set: u32) -> f64 {
        let at = &self.list[setup];
        let known = &at.floor[set as usize];
        if let Some(floor) = known.get() {
            return floor;
        }
        let floor = self.repairs.cheapest(self.space, set, &at.done, &at.open);
        known.set(Some(floor));
        floor
    }

    /// The number of a combination.
    pub fn place(&mut self, done: Bits, open: Bits) -> usize {
        let key = (done, open);
        if let Some(&place) = self.places.get(&key) {
            return place;
        }
        let (done, open) = key.clone();
        let acts = self.space.acts.len();
        let costs = (0..acts).map(|a| cost(self.space, a, &done, &open)).collect();
        let floor = vec![Cell::new(None); self.space.members.len()];
        self.places.insert(key, self.list.len());
        self.list.push(Setup { done, open, costs, floor, after: vec![None; acts] });
        self.list.len() - 1
    }

    /// The combination after an action.
    pub fn after(&mut self, setup: usize, act: usize) -> usize {
        if let Some(after) = self.list[setup].after[act] {
            return after;
        }
        let (mut done, mut open) = (self.list[setup].done.clone(), self.list[setup].open.clone());
        if self.space.acts[act].awaited || matches!(self.space.acts[act].does, Does::Fix(_)) {
            done.insert(act);
        }
        reach(self.space, act, &mut open);
        let after = self.place(done, open);
        self.list[setup].after[act] = Some(after);
        after
    }
}

/// Opens what an action needs; the minutes that takes.
pub fn reach(space: &Space, act: usize, open: &mut Bits) -> f64 {
    space.acts[act].access.iter().map(|&x| enter(space, x, open)).sum()
}

/// Opens an access step and what it needs first. A step that is open takes no time.
fn enter(space: &Space, access: usize, open: &mut Bits) -> f64 {
    if open.has(access) {
        return 0.0;
    }
    let step = &space.access[access];
    open.insert(access);
    let needs: f64 = step.needs.iter().map(|&x| enter(space, x, open)).sum();
    step.undoes.iter().for_each(|&x| open.remove(x));
    open.insert(access);
    needs + step.minutes
}

/// What an action costs with the access it still needs; infinite where it cannot be done now.
pub fn cost(space: &Space, act: usize, done: &Bits, open: &Bits) -> f64 {
    let action = &space.acts[act];
    let again = matches!(action.does, Does::Fix(_)) && done.has(act);
    if again || !action.after.iter().all(|&a| done.has(a)) {
        return f64::INFINITY;
    }
    action.cost + space.rate * reach(space, act, &mut open.clone())
}
