//! The plan that the search found, written out as a tree.

use super::Next;
use super::acts::Does;
use super::course::{Course, Effort, Go, Place, Slight};
use super::graph::{Branch, Move};
use super::model::Model;
use super::search::Search;
use super::setup::reach;
use super::step;
use super::tree::{Found, Step, Tree, TreeBranch, TreeNode};
use std::cmp::Ordering;
use std::collections::HashMap;

/// Costs closer than this share are equal: then the quicker start decides, then safety.
const EQUAL: f64 = 1e-9;

/// Writes out the best plan from a standing.
pub fn write_out(model: &Model, search: &Search, from: usize) -> Tree {
    let mut writer = Writer { model, search, nodes: vec![], written: HashMap::new() };
    let root = writer.node(from, 1.0);
    Tree { nodes: writer.nodes, root }
}

/// The best move from a standing; nothing where the fallback is better, or as good. Among those that cost the same goes first what is quicker to
/// start, then what is safer. In a large network, where the search cannot tell plans apart that cost nearly the same, a check goes
/// before a repair.
pub fn best_move(model: &Model, search: &Search, at: usize) -> Option<usize> {
    let node = &search.graph.nodes[at];
    let total = |m: usize| search.upper(&node.moves[m]).counted;
    let least = (0..node.moves.len()).map(total).fold(f64::INFINITY, f64::min);
    let slack = EQUAL * (1.0 + node.upper.counted);
    if least > node.upper.counted + slack || search.graph.space.refer <= least + slack {
        return None;
    }
    let within = |slack: f64| (0..node.moves.len()).filter(move |&m| total(m) <= least + slack);
    let best = within(slack)
        .min_by(|&a, &b| before(model, search, at, a).partial_cmp(&before(model, search, at, b)).unwrap_or(Ordering::Equal))?;
    let is_fix = |m: usize| search.graph.space.acts[node.moves[m].act].is_fix();
    let near = within(slack + search.graph.space.near * node.upper.counted).filter(|&m| is_fix(best) && !is_fix(m));
    near.min_by(|&a, &b| total(a).total_cmp(&total(b))).or(Some(best))
}

/// Minutes until the action begins, minutes that it takes, danger: the order among equals.
fn before(model: &Model, search: &Search, at: usize, m: usize) -> (f64, f64, u8) {
    let space = search.graph.space;
    let act = search.graph.nodes[at].moves[m].act;
    let mut open = search.graph.setups.get(search.graph.nodes[at].setup).open.clone();
    let minutes = (reach(space, act, &mut open) * 1e3).round();
    (minutes, model.actions[act].minutes, model.actions[act].danger)
}

/// All first steps from a standing, the best first: that of the tree, then by what the plans that begin with them count.
pub fn ranked(search: &Search, at: usize, tree: &Tree) -> Vec<Next> {
    let moves = search.graph.nodes[at].moves.iter().filter(|m| m.opened);
    let found = |m: &Move| if Some(m.act) == tree.first().step.action() { search.graph.nodes[at].upper } else { search.upper(m) };
    let mut next: Vec<(f64, Next)> = moves.map(|m| (found(m).counted, first_step(search, m))).collect();
    let refer = search.graph.space.refer;
    next.push((refer, Next { step: Step::Refer, cost: refer, expected_total: refer, at_least: refer, saving: 0.0, settles_bits: 0.0 }));
    let chosen = tree.first().step;
    for (_, n) in next.iter_mut().filter(|(_, n)| n.step == chosen) {
        n.expected_total = tree.first().expected_cost;
    }
    next.sort_by(|a, b| (b.1.step == chosen).cmp(&(a.1.step == chosen)).then(a.0.total_cmp(&b.0)));
    let best = next.first().map_or(f64::INFINITY, |n| n.0);
    let second = next.get(1).map_or(best, |n| n.0);
    let saves = |i: usize, counted: f64| if i == 0 { second - counted } else { best - counted };
    next.into_iter().enumerate().map(|(i, (counted, n))| Next { saving: saves(i, counted), ..n }).collect()
}

fn first_step(search: &Search, m: &Move) -> Next {
    let act = &search.graph.space.acts[m.act];
    let step = if let Does::Fix(_) = act.does { Step::Fix(m.act) } else { Step::Check(m.act) };
    let (expected_total, at_least) = (search.upper(m).money, search.lower(m).money);
    Next { step, cost: m.cost.money, expected_total, at_least, saving: 0.0, settles_bits: m.settles }
}

struct Writer<'a, 's> {
    model: &'a Model,
    search: &'a Search<'s>,
    nodes: Vec<TreeNode>,
    written: HashMap<usize, usize>,
}

impl Writer<'_, '_> {
    /// Writes out a standing that is reached with a probability of at least `reach`.
    fn node(&mut self, at: usize, reach: f64) -> usize {
        if let Some(&written) = self.written.get(&at) {
            return written;
        }
        let search = self.search;
        let slight = reach < search.graph.space.slight.outcome;
        let written = match best_move(self.model, search, at).filter(|_| !slight) {
            Some(m) => self.step(&search.graph.nodes[at].moves[m], reach),
            None => self.fallback(at, reach),
        };
        self.written.insert(at, written);
        written
    }

    fn step(&mut self, m: &Move, reach: f64) -> usize {
        match self.search.graph.space.acts[m.act].does {
            Does::Fix(_) => {
                let next = m.branches.first().map(|b| (b.probability, self.node(b.node, reach * b.probability)));
                self.fix(m.act, m.cost.money, m.cured, next)
            }
            Does::Check(_) => {
                let branches: Vec<TreeBranch> = m.branches.iter().map(|b| self.branch(m, b, reach)).collect();
                self.push(Step::Check(m.act), m.cost.money, branches)
            }
        }
    }

    fn branch(&mut self, m: &Move, branch: &Branch, reach: f64) -> TreeBranch {
        let found = m.read.iter().copied().zip(branch.states.iter().copied()).collect();
        let next = self.node(branch.node, reach * branch.probability);
        TreeBranch { found: Found::States(found), probability: branch.probability, next }
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

    /// The plan without search.
    fn fallback(&mut self, at: usize, reach: f64) -> usize {
        let graph = &self.search.graph;
        let node = &graph.nodes[at];
        let slight = Slight { outcome: graph.space.slight.outcome / reach, set: 0.0 };
        let course = |effort| graph.course(node.setup, &node.known, &node.weights, effort, slight);
        let mut course_taken = course(Effort::Fixes);
        if slight.outcome <= 1.0 {
            let full = course(Effort::Full);
            course_taken = if full.expected.counted < course_taken.expected.counted { full } else { course_taken };
        }
        let place = graph.place(node.setup, &node.known, &node.weights);
        self.follow(&course_taken, place)
    }

    /// Writes out a plan without search from a place.
    fn follow(&mut self, course: &Course, mut at: Place) -> usize {
        let space = self.search.graph.space;
        match &course.does {
            Go::Chain(fixes) => self.chain(fixes, at),
            Go::Fix { act, cured, next } => {
                let cost = at.pay(space, *act);
                at.weights = step::cured(space, &at.weights, *act).1;
                let next = next.as_ref().map(|(p, next)| (*p, self.follow(next, at)));
                self.fix(*act, cost, *cured, next)
            }
            Go::Check { act, read, branches } => {
                let cost = at.pay(space, *act);
                let mut outcomes = step::split(space, &at.weights, read);
                let branches = branches.iter().map(|(states, probability, next)| {
                    let weights = outcomes.iter_mut().find(|(s, _)| s == states).map(|(_, w)| std::mem::take(w)).unwrap_or_default();
                    let found = read.iter().copied().zip(states.iter().copied()).collect();
                    let next = self.follow(next, Place { weights, ..at.clone() });
                    TreeBranch { found: Found::States(found), probability: *probability, next }
                });
                let branches = branches.collect();
                self.push(Step::Check(*act), cost, branches)
            }
        }
    }

    /// Fixes one after the other, then refer.
    fn chain(&mut self, fixes: &[usize], mut at: Place) -> usize {
        let space = self.search.graph.space;
        let mut taken = Vec::new();
        for &act in fixes {
            let (cost, before) = (at.pay(space, act), at.mass());
            let (cured, left) = step::cured(space, &at.weights, act);
            at.weights = left;
            taken.push((act, cost, cured / before, at.mass() / before));
        }
        let mut next = if at.weights.is_empty() { None } else { Some(self.push(Step::Refer, space.refer, vec![])) };
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
