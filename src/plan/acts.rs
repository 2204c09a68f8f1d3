//! The actions and access steps that can matter to this car, under small numbers of their own.

use super::bits::Bits;
use super::model::{ActionKind, Model};
use super::scope::Scope;
use std::collections::{BTreeSet, HashMap};

/// An action of the model that can matter.
pub struct Act {
    /// Its index in the model.
    pub action: usize,
    /// Money for time and spending, access not counted.
    pub cost: f64,
    /// Access steps, by their small numbers.
    pub access: Vec<usize>,
    /// Actions that must have been done, by their small numbers.
    pub after: Vec<usize>,
    /// Whether another action waits for this one.
    pub awaited: bool,
    /// What it does.
    pub does: Does,
}

/// What an action does, in small numbers.
pub enum Does {
    /// Reads these findings.
    Check(Vec<usize>),
    /// Cures these causes told apart.
    Fix(Vec<usize>),
}

/// An access step.
pub struct Opening {
    /// Its index in the model.
    pub access: usize,
    /// Minutes it takes.
    pub minutes: f64,
    /// What must be open first.
    pub needs: Vec<usize>,
    /// What it closes.
    pub undoes: Vec<usize>,
}

/// The actions that can matter, with the access they need and the findings they read.
pub struct Acts {
    /// Actions, in the model's order.
    pub acts: Vec<Act>,
    /// Access steps.
    pub openings: Vec<Opening>,
    /// The findings that the small numbers of checks stand for.
    pub findings: Vec<usize>,
}

impl Acts {
    /// `tells` says whether reading a finding can tell causes apart.
    pub fn new(model: &Model, scope: &Scope, mut tells: impl FnMut(usize) -> bool) -> Acts {
        let mut told = HashMap::new();
        let mut tells = |f: usize| *told.entry(f).or_insert_with(|| tells(f));
        let chosen = with_awaited(model, (0..model.actions.len()).filter(|&a| matters(model, scope, a, &mut tells)));
        let openings = with_needs(model, chosen.iter().flat_map(|&a| model.actions[a].access.iter().copied()));
        let findings: BTreeSet<usize> = chosen.iter().flat_map(|&a| reveals(model, a)).copied().filter(|&f| tells(f)).collect();
        let findings: Vec<usize> = findings.into_iter().collect();
        let awaited: BTreeSet<usize> = chosen.iter().flat_map(|&a| model.actions[a].after.iter().copied()).collect();
        let acts = chosen.iter().map(|&a| act(model, scope, a, &chosen, &openings, &findings, awaited.contains(&a))).collect();
        let openings = openings.iter().map(|&x| opening(model, x, &openings)).collect();
        Acts { acts, openings, findings }
    }

    /// The small numbers of actions of the model.
    pub fn places(&self, actions: &[usize]) -> Bits {
        Bits::of(actions.iter().filter_map(|&a| self.acts.binary_search_by_key(&a, |act| act.action).ok()))
    }

    /// The small numbers of access steps of the model.
    pub fn open(&self, access: &[usize]) -> Bits {
        Bits::of(access.iter().filter_map(|&x| self.openings.binary_search_by_key(&x, |o| o.access).ok()))
    }
}

fn reveals(model: &Model, action: usize) -> &[usize] {
    match &model.actions[action].kind {
        ActionKind::Check { reveals } => reveals,
        ActionKind::Fix { .. } => &[],
    }
}

fn matters(model: &Model, scope: &Scope, action: usize, tells: &mut impl FnMut(usize) -> bool) -> bool {
    match &model.actions[action].kind {
        ActionKind::Check { reveals } => reveals.iter().any(|&f| tells(f)),
        ActionKind::Fix { cures } => cures.iter().any(|&c| scope.place(c).is_some()),
    }
}

/// Adds what must have been done before; rising.
fn with_awaited(model: &Model, actions: impl Iterator<Item = usize>) -> Vec<usize> {
    grown(actions, |a| &model.actions[a].after)
}

/// Adds the access steps that must be open first; rising.
fn with_needs(model: &Model, access: impl Iterator<Item = usize>) -> Vec<usize> {
    grown(access, |x| &model.access[x].needs)
}

fn grown<'m>(start: impl Iterator<Item = usize>, more: impl Fn(usize) -> &'m [usize]) -> Vec<usize> {
    let mut found = BTreeSet::new();
    let mut open: Vec<usize> = start.collect();
    while let Some(item) = open.pop() {
        if found.insert(item) {
            open.extend(more(item));
        }
    }
    found.into_iter().collect()
}

/// The places of items in a rising list; those that are not in it are left out.
fn places(items: &[usize], among: &[usize]) -> Vec<usize> {
    items.iter().filter_map(|i| among.binary_search(i).ok()).collect()
}

fn act(model: &Model, scope: &Scope, a: usize, chosen: &[usize], openings: &[usize], findings: &[usize], awaited: bool) -> Act {
    let action = &model.actions[a];
    let does = match &action.kind {
        ActionKind::Check { reveals } => Does::Check(distinct(places(reveals, findings))),
        ActionKind::Fix { cures } => Does::Fix(places(cures, &scope.causes)),
    };
    Act {
        action: a,
        cost: action.minutes * model.rate_per_minute + action.money,
        access: places(&action.access, openings),
        after: places(&action.after, chosen),
        awaited,
        does,
    }
}

fn distinct(mut items: Vec<usize>) -> Vec<usize> {
    items.sort_unstable();
    items.dedup();
    items
}

fn opening(model: &Model, access: usize, openings: &[usize]) -> Opening {
    let given = &model.access[access];
    Opening { access, minutes: given.minutes, needs: places(&given.needs, openings), undoes: places(&given.undoes, openings) }
}
