//! What has been done and what stands open, and what each action and each repair costs from there.

use super::acts::Does;
use super::bits::Bits;
use super::space::Space;
use std::collections::HashMap;

/// One combination of things done and access open.
pub struct Setup {
    /// Fixes done, and checks that others wait for.
    pub done: Bits,
    /// Access steps open.
    pub open: Bits,
    /// For each action its cost with the access it still needs; infinite where it cannot be done now.
    pub costs: Vec<f64>,
    /// For each set of causes, the least that curing those in question can cost when they are known; referring, where that is less.
    pub floor: Vec<f64>,
}

/// All combinations met so far.
pub struct Setups {
    list: Vec<Setup>,
    places: HashMap<(Bits, Bits), usize>,
    repairs: Repairs,
}

impl Setups {
    pub fn new(space: &Space) -> Setups {
        Setups { list: vec![], places: HashMap::new(), repairs: Repairs::new(space) }
    }

    pub fn get(&self, setup: usize) -> &Setup {
        &self.list[setup]
    }

    /// The number of a combination.
    pub fn place(&mut self, space: &Space, done: Bits, open: Bits) -> usize {
        if let Some(&place) = self.places.get(&(done.clone(), open.clone())) {
            return place;
        }
        let costs = (0..space.acts.len()).map(|a| cost(space, a, &done, &open)).collect();
        let floor = self.repairs.floor(space, &done, &open);
        self.places.insert((done.clone(), open.clone()), self.list.len());
        self.list.push(Setup { done, open, costs, floor });
        self.list.len() - 1
    }

    /// The combination after an action.
    pub fn after(&mut self, space: &Space, setup: usize, act: usize) -> usize {
        let (mut done, mut open) = (self.list[setup].done.clone(), self.list[setup].open.clone());
        if space.acts[act].awaited || matches!(space.acts[act].does, Does::Fix(_)) {
            done.insert(act);
        }
        for &access in &space.acts[act].access {
            enter(space, access, &mut open);
        }
        self.place(space, done, open)
    }
}

/// Opens an access step and what it needs first; the minutes it takes. A step that is open takes none.
pub fn enter(space: &Space, access: usize, open: &mut Bits) -> f64 {
    if open.has(access) {
        return 0.0;
    }
    let step = &space.openings[access];
    open.insert(access);
    let needs: f64 = step.needs.iter().map(|&x| enter(space, x, open)).sum();
    step.undoes.iter().for_each(|&x| open.remove(x));
    open.insert(access);
    needs + step.minutes
}

fn cost(space: &Space, act: usize, done: &Bits, open: &Bits) -> f64 {
    let action = &space.acts[act];
    let again = matches!(action.does, Does::Fix(_)) && done.has(act);
    if again || !action.after.iter().all(|&a| done.has(a)) {
        return f64::INFINITY;
    }
    let mut open = open.clone();
    action.cost + space.rate * action.access.iter().map(|&x| enter(space, x, &mut open)).sum::<f64>()
}

/// What it takes to cure each cause.
struct Repairs {
    /// For each cause told apart, the fixes that cure it.
    fixes: Vec<Vec<usize>>,
    /// For each action, itself and all that must be done before; nothing where that never comes to an end.
    chains: Vec<Option<Bits>>,
}

impl Repairs {
    fn new(space: &Space) -> Repairs {
        let cures = |a: usize, c: usize| matches!(&space.acts[a].does, Does::Fix(cures) if cures.contains(&c));
        let fixes = |c: usize| (0..space.acts.len()).filter(|&a| cures(a, c)).collect();
        Repairs {
            fixes: (0..space.scope.causes.len()).map(fixes).collect(),
            chains: (0..space.acts.len()).map(|a| chain(space, a)).collect(),
        }
    }

    fn floor(&self, space: &Space, done: &Bits, open: &Bits) -> Vec<f64> {
        let mut known: HashMap<&[usize], f64> = HashMap::new();
        let cover = |members: &Vec<usize>| {
            let mut best = space.refer;
            let search = Cover { repairs: self, space, done, open };
            if !members.is_empty() {
                search.extend(members, &Bits::default(), &mut best);
            }
            best
        };
        space.members.iter().map(|m| *known.entry(m).or_insert_with(|| cover(m))).collect()
    }
}

/// An action and all before it, unless it waits for itself.
fn chain(space: &Space, act: usize) -> Option<Bits> {
    let (mut found, mut open) = (Bits::of([act]), vec![act]);
    while let Some(a) = open.pop() {
        for &before in &space.acts[a].after {
            if before == act {
                return None;
            }
            if !found.has(before) {
                found.insert(before);
                open.push(before);
            }
        }
    }
    Some(found)
}

/// The search for the cheapest fixes that cure all of a set.
struct Cover<'a> {
    repairs: &'a Repairs,
    space: &'a Space,
    done: &'a Bits,
    open: &'a Bits,
}

impl Cover<'_> {
    fn extend(&self, left: &[usize], chosen: &Bits, best: &mut f64) {
        let cost = self.cost(chosen);
        if cost >= *best {
            return;
        }
        let Some(&first) = left.first() else {
            *best = cost;
            return;
        };
        for &fix in self.repairs.fixes[first].iter().filter(|&&f| !self.done.has(f)) {
            let (Some(chain), Does::Fix(cures)) = (&self.repairs.chains[fix], &self.space.acts[fix].does) else { continue };
            let rest: Vec<usize> = left.iter().copied().filter(|c| !cures.contains(c)).collect();
            let mut more = chosen.clone();
            more.add(chain);
            self.extend(&rest, &more, best);
        }
    }

    /// Each action and each access step once.
    fn cost(&self, chosen: &Bits) -> f64 {
        let (mut open, mut total) = (self.open.clone(), 0.0);
        for a in chosen.iter().filter(|&a| !self.done.has(a)) {
            let act = &self.space.acts[a];
            total += act.cost + self.space.rate * act.access.iter().map(|&x| self.visit(x, &mut open)).sum::<f64>();
        }
        total
    }

    /// As [`enter`], but nothing is closed again: never more than it really costs.
    fn visit(&self, access: usize, open: &mut Bits) -> f64 {
        if open.has(access) {
            return 0.0;
        }
        open.insert(access);
        let step = &self.space.openings[access];
        step.minutes + step.needs.iter().map(|&x| self.visit(x, open)).sum::<f64>()
    }
}
