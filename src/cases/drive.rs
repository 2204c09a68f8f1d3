//! A plan followed on a car whose faults are known: what is done, and after how many checks the faults are cured.

use crate::bay::{Act, Bay};
use crate::book::{Book, Cause, Finding, Fix, Id};
use crate::job::{Evidence, band_weights, parse_quantity};
use crate::plan::{Found, Step, Tree, TreeNode};
use indexmap::IndexMap;

/// What following the plan came to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Driven {
    /// What was done, in order.
    pub acts: Vec<Act>,
    /// How many of them were checks.
    pub checks: usize,
    /// Fixes that cured nothing.
    pub vain: Vec<Id<Fix>>,
    /// Whether every fault was cured; else the car was referred.
    pub cured: bool,
}

/// Follows a plan on a car with these causes. What is looked at shows what `found` says, else what is likeliest under the causes.
pub fn drive(
    book: &Book,
    evidence: &Evidence,
    bay: &Bay,
    tree: &Tree,
    causes: &[Id<Cause>],
    found: &IndexMap<Id<Finding>, usize>,
) -> Driven {
    let mut driven = Driven::default();
    let mut left: Vec<Id<Cause>> = causes.to_vec();
    let mut at = tree.first();
    loop {
        let next = match at.step {
            Step::Done | Step::Refer => return driven,
            Step::Check(a) => {
                driven.acts.push(bay.acts[a]);
                driven.checks += 1;
                reading(book, evidence, bay, tree, at, &with_conditions(book, &left), found)
            }
            Step::Fix(a) => {
                driven.acts.push(bay.acts[a]);
                cure(book, bay.acts[a], &mut left, &mut driven);
                if left.is_empty() {
                    driven.cured = true;
                    return driven;
                }
                branch(tree, at, |f| *f == Found::NotCured)
            }
        };
        match next {
            Some(node) => at = node,
            None => return driven,
        }
    }
}

fn cure(book: &Book, act: Act, left: &mut Vec<Id<Cause>>, driven: &mut Driven) {
    let Act::Fix(id) = act else { return };
    let before = left.len();
    left.retain(|c| !book.fixes[id].cures(*c));
    if left.len() == before {
        driven.vain.push(id);
    }
}

/// What is there with exactly these causes: also the conditions that they bring about likelier than not, near and far.
pub fn with_conditions(book: &Book, causes: &[Id<Cause>]) -> Vec<Id<Cause>> {
    let mut there = causes.to_vec();
    let conditions: Vec<Id<Cause>> = book.causes.iter().filter(|(_, c)| c.is_condition()).map(|(id, _)| id).collect();
    loop {
        let links = || there.iter().flat_map(|c| &book.causes[*c].brings);
        let missing = |id: &&Id<Cause>| links().filter(|(c, _)| c == *id).map(|(_, p)| 1.0 - p).product::<f64>();
        let new = conditions.iter().filter(|id| !there.contains(id)).find(|id| missing(id) < 0.5).copied();
        match new {
            Some(id) => there.push(id),
            None => return there,
        }
    }
}

/// The branch that fits best what the car shows: the one with the most findings in the state shown.
fn reading<'t>(
    book: &Book,
    evidence: &Evidence,
    bay: &Bay,
    tree: &'t Tree,
    at: &'t TreeNode,
    causes: &[Id<Cause>],
    found: &IndexMap<Id<Finding>, usize>,
) -> Option<&'t TreeNode> {
    let shown = |f: usize| {
        let id = bay.car.findings[f];
        let known = evidence.of(id).map(|o| o.likeliest_state());
        known.or_else(|| found.get(&id).copied()).unwrap_or_else(|| likeliest(book, id, causes))
    };
    let fit = |f: &Found| match f {
        Found::States(states) => states.iter().filter(|(f, s)| shown(*f) == *s).count(),
        _ => 0,
    };
    let best = at.branches.iter().max_by(|a, b| fit(&a.found).cmp(&fit(&b.found)).then(a.probability.total_cmp(&b.probability)))?;
    Some(&tree.nodes[best.next])
}

fn branch<'t>(tree: &'t Tree, at: &TreeNode, fits: impl Fn(&Found) -> bool) -> Option<&'t TreeNode> {
    at.branches.iter().find(|b| fits(&b.found)).map(|b| &tree.nodes[b.next])
}

/// The state that a finding most probably shows when exactly these causes are there (the definition of noisy-MAX in `belief`).
pub fn likeliest(book: &Book, id: Id<Finding>, causes: &[Id<Cause>]) -> usize {
    let finding = &book.findings[id];
    let tail = |push: &[f64], k: usize| push[k..].iter().sum::<f64>();
    let pushes = causes.iter().flat_map(|c| &book.causes[*c].shows).filter(|s| s.finding == id);
    let pushes: Vec<&[f64]> = pushes.map(|s| s.push.as_slice()).chain([finding.stray.as_slice()]).collect();
    let up_to = |k: usize| pushes.iter().map(|p| 1.0 - tail(p, k)).product::<f64>();
    let states = finding.states.len();
    let chance = |k: usize| up_to(k) - if k == 0 { 0.0 } else { up_to(k - 1) };
    (0..states).fold(0, |best, k| if chance(k) > chance(best) { k } else { best })
}

/// What `found` says of a finding, as its state.
pub fn state_of(book: &Book, id: Id<Finding>, text: &str) -> Result<usize, String> {
    let finding = &book.findings[id];
    if let Some(state) = finding.state(text) {
        return Ok(state);
    }
    let Some(gauge) = finding.gauge() else {
        return Err(format!("`{}` has no state `{text}`; it has {}", finding.head.name, finding.states.join(", ")));
    };
    let value = parse_quantity(text, gauge, &finding.head.name).map_err(|e| e.to_string())?;
    let weights = band_weights(finding, gauge, value);
    Ok((0..weights.len()).fold(0, |best, k| if weights[k] > weights[best] { k } else { best }))
}
