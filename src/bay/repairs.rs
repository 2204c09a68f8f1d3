//! The repairs that are likely to come, root before consequence, each with its proof and aftercare.

use super::act::Act;
use super::model::Bay;
use crate::belief::Beliefs;
use crate::book::{Aftercare, Book, Cause, Fix, Id};

/// One repair that may be needed.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// The cause.
    pub cause: Id<Cause>,
    /// How likely it is there, 0..=1.
    pub probability: f64,
    /// Its fixes, the cheapest first.
    pub fixes: Vec<Id<Fix>>,
    /// Likely causes that bring it about: they are put right first.
    pub roots: Vec<Id<Cause>>,
}

/// Repairs of the causes that are at least this likely: roots first, and among equals the likelier one.
pub(super) fn repairs(book: &Book, bay: &Bay, beliefs: &Beliefs, least: f64) -> Vec<Repair> {
    let fault = |c: &usize| !book.causes[bay.car.causes[*c]].is_condition();
    let likely: Vec<usize> = (0..bay.car.causes.len()).filter(|c| fault(c) && beliefs.causes[*c] >= least).collect();
    let mut out: Vec<Repair> = likely.iter().map(|c| repair(book, bay, beliefs, *c, &likely)).collect();
    out.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    roots_first(out)
}

fn repair(book: &Book, bay: &Bay, beliefs: &Beliefs, cause: usize, likely: &[usize]) -> Repair {
    let id = bay.car.causes[cause];
    let mut fixes: Vec<Id<Fix>> =
        bay.acts.iter().filter_map(|a| if let Act::Fix(f) = a { Some(*f) } else { None }).filter(|f| book.fixes[*f].cures(id)).collect();
    fixes.sort_by(|a, b| cost(book, bay, *a).total_cmp(&cost(book, bay, *b)));
    let roots = roots(bay, cause).into_iter().filter(|r| likely.contains(r)).map(|r| bay.car.causes[r]).collect();
    Repair { cause: id, probability: beliefs.causes[cause], fixes, roots }
}

/// The causes that bring one about, themselves or through conditions.
fn roots(bay: &Bay, cause: usize) -> Vec<usize> {
    let nodes = bay.model.network.causes();
    let (mut out, mut open) = (Vec::new(), vec![cause]);
    while let Some(next) = open.pop() {
        for (root, _) in &nodes[next].brought_by {
            if !out.contains(root) && *root != cause {
                out.push(*root);
                open.extend(nodes[*root].condition.then_some(*root));
            }
        }
    }
    out
}

fn cost(book: &Book, bay: &Bay, fix: Id<Fix>) -> f64 {
    book.fixes[fix].minutes * bay.model.rate_per_minute + book.fixes[fix].parts
}

/// A stable order in which every root stands before what it brings about; `brings` has no loop.
fn roots_first(mut rest: Vec<Repair>) -> Vec<Repair> {
    let mut out: Vec<Repair> = Vec::new();
    while !rest.is_empty() {
        let ready = |r: &Repair| !r.roots.iter().any(|root| rest.iter().any(|other| other.cause == *root));
        let at = rest.iter().position(ready).unwrap_or(0);
        out.push(rest.remove(at));
    }
    out
}

/// What must follow these repairs, each step once, in order.
pub fn aftercare(book: &Book, repairs: &[Repair]) -> Vec<Id<Aftercare>> {
    aftercare_of(book, &repairs.iter().filter_map(|r| r.fixes.first().copied()).collect::<Vec<_>>())
}

/// What must follow these fixes, each step once, in order.
pub fn aftercare_of(book: &Book, fixes: &[Id<Fix>]) -> Vec<Id<Aftercare>> {
    let wanted: Vec<Id<Aftercare>> = fixes.iter().flat_map(|f| book.fixes[*f].then.iter().copied()).collect();
    in_order(book, &wanted)
}

/// Aftercare steps, each once, in an order that keeps `after`.
fn in_order(book: &Book, wanted: &[Id<Aftercare>]) -> Vec<Id<Aftercare>> {
    let mut out: Vec<Id<Aftercare>> = Vec::new();
    wanted.iter().for_each(|id| place(book, *id, wanted, &mut out));
    out
}

/// Puts a step behind those it must follow. The graph has no loop, so this ends.
fn place(book: &Book, id: Id<Aftercare>, wanted: &[Id<Aftercare>], out: &mut Vec<Id<Aftercare>>) {
    if out.contains(&id) {
        return;
    }
    for before in &book.aftercare[id].after {
        if wanted.contains(before) {
            place(book, *before, wanted, out);
        }
    }
    out.push(id);
}
