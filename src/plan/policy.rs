//! The plan that the search found, written out as a tree.

use super::Next;
use super::acts::Does;
use super::fallback::Fallback;
use super::model::Model;
use super::search::{Branch, Move, Search};
use super::setup::enter;
use super::step;
use super::tree::{Found, Step, Tree, TreeBranch, TreeNode};
use std::collections::HashMap;

/// Costs closer than this share are equal: then the quicker start decides, then safety.
const EQUAL: f64 = 1e-9;

/// Writes out the best plan from a standing.
pub fn write_out(model: &Model, search: &Search, from: usize) -> Tree {
    let mut writer = Writer { model, search, nodes: vec![], written: HashMap::new() };
    let root = writer.node(from);
    Tree { nodes: writer.nodes, root }
}

/// The best move from a standing; nothing where the fallback is better, or as good.
pub fn best_move<'s>(model: &Model, search: &'s Search, at: usize) -> Option<&'s Move> {
    let node = &search.nodes[at];
    let least = node.moves.iter().map(|m| search.upper(m)).fold(f64::INFINITY, f64::min);
    let slack = EQUAL * (1.0 + node.upper);
    if least > node.upper + slack || search.space.refer <= least + slack {
        return None;
    }
    let equal = node.moves.iter().filter(|m| search.upper(m) <= least + slack);
    equal.min_by(|a, b| haste(model, search, at, a).total_cmp(&haste(model, search, at, b)).then_with(|| danger(model, search, a, b)))
}

/// Minutes until the action begins, then minutes that it takes, as one number to sort by.
fn haste(model: &Model, search: &Search, at: usize, m: &Move) -> f64 {
    let space = search.space;
    let mut open = search.setups.get(search.nodes[at].setup).open.clone();
    let minutes: f64 = space.acts[m.act].access.iter().map(|&x| enter(space, x, &mut open)).sum();
    (minutes * 1e3).round() * 1e6 + model.actions[space.acts[m.act].action].minutes
}

fn danger(model: &Model, search: &Search, a: &Move, b: &Move) -> std::cmp::Ordering {
    let of = |m: &Move| model.actions[search.space.acts[m.act].action].danger;
    of(a).cmp(&of(b))
}

/// All first steps from a standing, the best first: that of the tree, then by expected total.
pub fn ranked(search: &Search, at: usize, tree: &Tree) -> Vec<Next> {
    let mut next: Vec<Next> = search.nodes[at].moves.iter().map(|m| first_step(search, at, m)).collect();
    let refer = search.space.refer;
    next.push(Next { step: Step::Refer, cost: refer, expected_total: refer, at_least: refer, saving: 0.0, settles_bits: 0.0 });
    let chosen = tree.first().step;
    next.sort_by(|a, b| (b.step == chosen).cmp(&(a.step == chosen)).then(a.expected_total.total_cmp(&b.expected_total)));
    let totals: Vec<f64> = next.iter().map(|n| n.expected_total).collect();
    for (i, n) in next.iter_mut().enumerate() {
        let other = totals.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, t)| *t).fold(f64::INFINITY, f64::min);
        n.saving = if other.is_finite() { other - n.expected_total } else { 0.0 };
    }
    next
}

fn first_step(search: &Search, at: usize, m: &Move) -> Next {
    let act = &search.space.acts[m.act];
    let step = if let Does::Fix(_) = act.does { Step::Fix(act.action) } else { Step::Check(act.action) };
    let settles_bits = (search.nodes[at].bits - search.bits_after(m)).max(0.0);
    Next { step, cost: m.cost, expected_total: search.upper(m), at_least: search.lower(m), saving: 0.0, settles_bits }
}

struct Writer<'a, 's> {
    model: &'a Model,
    search: &'a Search<'s>,
    nodes: Vec<TreeNode>,
    written: HashMap<usize, usize>,
}

impl Writer<'_, '_> {
    fn node(&mut self, at: usize) -> usize {
        if let Some(&written) = self.written.get(&at) {
            return written;
        }
        let search = self.search;
        let written = match best_move(self.model, search, at) {
            Some(m) => self.step(m),
            None => self.fallback(at),
        };
        self.written.insert(at, written);
        written
    }

    fn step(&mut self, m: &Move) -> usize {
        let act = &self.search.space.acts[m.act];
        match act.does {
            Does::Fix(_) => {
                let next = m.branches.first().map(|b| (b.probability, self.node(b.node)));
                self.fix(act.action, m.cost, m.cured, next)
            }
            Does::Check(_) => {
                let branches: Vec<TreeBranch> = m.branches.iter().map(|b| self.branch(m, b)).collect();
                self.push(Step::Check(act.action), m.cost, branches)
            }
        }
    }

    fn branch(&mut self, m: &Move, branch: &Branch) -> TreeBranch {
        let finding = |f: &usize| self.search.space.readings[*f].finding;
        let found = m.read.iter().map(finding).zip(branch.states.iter().copied()).collect();
        TreeBranch { found: Found::States(found), probability: branch.probability, next: self.node(branch.node) }
    }

    /// A fix, with the way on if it does not cure.
    fn fix(&mut self, action: usize, cost: f64, cured: f64, not_cured: Option<(f64, usize)>) -> usize {
        let mut branches = Vec::new();
        if cured > 0.0 {
            let next = self.push(Step::Done, 0.0, vec![]);
            branches.push(TreeBranch { found: Found::Cured, probability: cured, next });
        }
        branches.extend(not_cured.map(|(probability, next)| TreeBranch { found: Found::NotCured, probability, next }));
        self.push(Step::Fix(action), cost, branches)
    }

    /// The fixes of the fallback one after the other, then refer.
    fn fallback(&mut self, at: usize) -> usize {
        let node = &self.search.nodes[at];
        let space = self.search.space;
        let setup = self.search.setups.get(node.setup);
        let fixes = Fallback::new(space, setup, &node.weights).fixes;
        let mut open = setup.open.clone();
        let mut weights = node.weights.clone();
        let mut taken = Vec::new();
        for act in fixes {
            let minutes: f64 = space.acts[act].access.iter().map(|&x| enter(space, x, &mut open)).sum();
            let (cured, rest, left) = step::fixed(space, &weights, act);
            taken.push((space.acts[act].action, space.acts[act].cost + space.rate * minutes, cured, rest));
            weights = left;
        }
        let mut next = if weights.is_empty() { None } else { Some(self.push(Step::Refer, space.refer, vec![])) };
        for (action, cost, cured, rest) in taken.into_iter().rev() {
            next = Some(self.fix(action, cost, cured, next.map(|n| (rest, n))));
        }
        next.unwrap_or_else(|| self.push(Step::Refer, space.refer, vec![]))
    }

    fn push(&mut self, step: Step, cost: f64, branches: Vec<TreeBranch>) -> usize {
        let after: f64 = branches.iter().map(|b| b.probability * self.nodes[b.next].expected_cost).sum();
        self.nodes.push(TreeNode { step, cost, expected_cost: cost + after, branches });
        self.nodes.len() - 1
    }
}
