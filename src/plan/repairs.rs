//! The cheapest repairs that cure a set of causes: which fixes, with what must be done before and the access all need.
//!
//! This is what a fault costs in any case, known or not, and what the specialist charges on top of the price of handing over. A fix that may not hold
//! counts as if it held; a cause that no fix is left for adds nothing.

use super::acts::Act;
use super::bits::Bits;
use super::setup::Needed;
use super::space::Space;

/// Choices of a fix that are tried for one set; past these the cheapest repairs found stand. No book comes near it: a choice that can
/// only be dearer is not tried.
const CHOICES: usize = 20_000;

/// What is known beforehand of the fixes.
#[derive(Default)]
pub struct Repairs {
    /// For each action itself after all that must be done before it; nothing where it waits for itself.
    chains: Vec<Option<Vec<usize>>>,
    /// The actions of which it matters for repairs whether they were done: fixes that may not have held, and what fixes wait for.
    pub hang: Bits,
}

impl Repairs {
    pub fn new(acts: &[Act]) -> Repairs {
        let chains: Vec<Option<Vec<usize>>> = (0..acts.len()).map(|a| chain(acts, a)).collect();
        let unsure = (0..acts.len()).filter(|&a| acts[a].cures().iter().any(|(_, chance)| *chance < 1.0));
        let before =
            (0..acts.len()).filter(|&a| acts[a].is_fix()).flat_map(|a| chains[a].iter().flatten().copied().filter(move |b| *b != a));
        Repairs { hang: Bits::of(unsure.chain(before)), chains }
    }

    /// An action with all that must be done before it, itself first; none where it waits for itself.
    pub fn chain(&self, act: usize) -> &[usize] {
        self.chains[act].as_deref().unwrap_or_default()
    }

    /// What a set of causes needs.
    pub fn needed(&self, space: &Space, set: u32, done: &Bits, open: &Bits) -> Needed {
        let members = &space.members[set as usize];
        if members.is_empty() {
            return Needed { repairs: 0.0, least: space.refer };
        }
        let fixes =
            |c: usize| -> Vec<usize> { space.cured_by[c].iter().copied().filter(|&a| !done.has(a) && self.chains[a].is_some()).collect() };
        let curable: Vec<(usize, Vec<usize>)> = members.iter().map(|&c| (c, fixes(c))).filter(|(_, f)| !f.is_empty()).collect();
        let whole = curable.len() == members.len();
        let mut cover = Cover { repairs: self, space, done, curable, best: f64::INFINITY, choices: 0 };
        cover.grow(0, &Bag { acts: Bits::default(), cured: Bits::default(), open: open.clone(), cost: 0.0 });
        let repairs = cover.best;
        Needed { repairs, least: repairs + if whole { 0.0 } else { space.refer } }
    }
}

/// An action after all that must be done before it, unless it waits for itself.
fn chain(acts: &[Act], act: usize) -> Option<Vec<usize>> {
    let mut found = vec![act];
    let mut next = 0;
    while next < found.len() {
        for &before in &acts[found[next]].after {
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

/// Work chosen so far.
#[derive(Clone)]
struct Bag {
    acts: Bits,
    cured: Bits,
    open: Bits,
    cost: f64,
}

/// Chooses a fix for each cause that none has cured yet, and keeps the cheapest choice.
struct Cover<'a> {
    repairs: &'a Repairs,
    space: &'a Space,
    done: &'a Bits,
    curable: Vec<(usize, Vec<usize>)>,
    best: f64,
    choices: usize,
}

impl Cover<'_> {
    fn grow(&mut self, from: usize, bag: &Bag) {
        if bag.cost >= self.best || self.choices > CHOICES && self.best.is_finite() {
            return;
        }
        let Some(next) = (from..self.curable.len()).find(|&i| !bag.cured.has(self.curable[i].0)) else {
            self.best = bag.cost;
            return;
        };
        let mut ways: Vec<(usize, Bag)> = self.curable[next].1.iter().map(|&fix| (fix, self.with(bag, fix))).collect();
        ways.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost).then(a.0.cmp(&b.0)));
        for i in 0..ways.len() {
            let outdone = ways[..i].iter().any(|(_, other)| self.outdoes(bag, other, ways[i].0));
            if !outdone {
                self.choices += 1;
                self.grow(next + 1, &ways[i].1);
            }
        }
    }

    /// Whether other work cures as much as a fix for less than the bare price of that.
    fn outdoes(&self, bag: &Bag, other: &Bag, fix: usize) -> bool {
        let act = &self.space.acts[fix];
        let cures = act.cures().iter().all(|(c, _)| other.cured.has(*c) || !self.curable.iter().any(|(wanted, _)| wanted == c));
        let bare = self.repairs.chains[fix].as_ref().is_none_or(|chain| chain.len() == 1);
        cures && bare && other.cost - bag.cost <= act.cost
    }

    fn with(&self, bag: &Bag, fix: usize) -> Bag {
        let mut bag = bag.clone();
        for &a in self.repairs.chains[fix].iter().flatten() {
            if self.done.has(a) || bag.acts.has(a) {
                continue;
            }
            let act = &self.space.acts[a];
            bag.acts.insert(a);
            act.cures().iter().for_each(|(c, _)| bag.cured.insert(*c));
            bag.cost += act.cost + self.space.rate * act.access.iter().map(|&x| enter(self.space, x, &mut bag.open)).sum::<f64>();
        }
        bag
    }
}

/// Each access step once; nothing is closed again, so this is never more than it really costs.
fn enter(space: &Space, access: usize, open: &mut Bits) -> f64 {
    if open.has(access) {
        return 0.0;
    }
    open.insert(access);
    let step = &space.access[access];
    step.minutes + step.needs.iter().map(|&x| enter(space, x, open)).sum::<f64>()
}
