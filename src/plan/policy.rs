//! The plan that the search found, written out as a tree.

use super::Next;
use super::acts::Does;
use super::course::{Course, Effort, Go, Place, Slight};
use super::graph::{Branch, Move};
use super::model::Model;
use super::search::{START, Search};
use super::step;
use super::tree::{Found, Step, Tree, TreeBranch, TreeNode};
use foldhash::HashMap;
use std::cmp::Ordering;

/// Costs closer than this share are equal: then the quicker start decides, then safety.
const EQUAL: f64 = 1e-9;

/// With no more than this chance of being in vain, and of being undone by a root, a repair is needed in any case.
const SURE: f64 = 0.003;

/// A repair that is needed in any case goes first where the plan that begins with it counts at most this share more: what is looked at after it is looked at only where it
/// did not cure, and the search seldom comes so far.
const NEEDED: f64 = 0.15;

/// The same of a repair that is in vain with no more than this chance, where the plan that begins with it counts at most so much more: a look that is worth
/// next to nothing does not put off what is as good as known, unless that is dear, by this share of handing over: nobody fits such a part without a look.
const LIKELY: f64 = 0.05;
const DEAR: f64 = 0.25;
const NEXT_TO_NOTHING: f64 = 0.003;

/// What is too slight to follow without search, in outcomes too slight for the search: whoever comes there plans anew.
const SLIGHT: f64 = 10.0;

/// Writes out the best plan from a standing.
pub fn write_out(model: &Model, search: &Search, from: usize) -> Tree {
    let mut writer = Writer::new(model, search);
    let root = writer.node(from, 1.0);
    Tree { nodes: writer.nodes, root }
}

/// The step with which the best plan begins.
pub fn first_step(model: &Model, search: &Search) -> Step {
    if let Some(m) = best_move(model, search, START) {
        return step_of(search, search.graph.nodes[START].moves[m].act);
    }
    match Writer::new(model, search).without_search(START, 1.0).does {
        Go::Chain(fixes) => fixes.first().map_or(Step::Refer, |act| Step::Fix(*act)),
        Go::Fix { act, .. } | Go::Check { act, .. } => step_of(search, act),
    }
}

/// The best move from a standing; nothing where the fallback is better, or as good. Among those that cost the same goes first what is quicker to
/// start, then what is safer. In a large network, where the search cannot tell plans apart that cost nearly the same, a repair that is needed in any case
/// is not put off, and else a check that tells something goes before a repair.
pub fn best_move(model: &Model, search: &Search, at: usize) -> Option<usize> {
    let node = &search.graph.nodes[at];
    let total = |m: usize| search.upper(&node.moves[m]).counted;
    let least = (0..node.moves.len()).map(total).fold(f64::INFINITY, f64::min);
    let slack = EQUAL * (1.0 + node.upper.counted);
    if least > node.upper.counted + slack || node.hand_over <= least + slack {
        return None;
    }
    let within = |slack: f64| (0..node.moves.len()).filter(move |&m| total(m) <= least + slack);
    let best = within(slack)
        .min_by(|&a, &b| before(model, search, at, a).partial_cmp(&before(model, search, at, b)).unwrap_or(Ordering::Equal))?;
    let space = search.graph.space;
    let is_fix = |m: usize| space.acts[node.moves[m].act].is_fix();
    let tells = |m: usize| !is_fix(m) && node.moves[m].settles > EQUAL;
    let cheapest = |moves: &mut dyn Iterator<Item = usize>| moves.min_by(|&a, &b| total(a).total_cmp(&total(b)));
    if space.near > 0.0 {
        let stays = |m: usize| space.undone(node.moves[m].act, &node.weights) <= SURE;
        let needed = |m: usize, vain: f64| is_fix(m) && space.vain(node.moves[m].act, &node.weights) <= vain && stays(m);
        let first = |vain: f64, more: f64, price: f64| {
            cheapest(&mut within(slack + more * node.upper.counted).filter(|&m| needed(m, vain) && node.moves[m].price <= price))
        };
        let sure = first(SURE, NEEDED, f64::INFINITY).or_else(|| first(LIKELY, NEXT_TO_NOTHING, DEAR * space.refer));
        if sure.is_some() {
            return sure;
        }
    }
    let near = cheapest(&mut within(slack + space.near * node.upper.counted).filter(|&m| is_fix(best) && tells(m)));
    near.or(Some(best))
}

/// Minutes until the action begins, minutes that it takes, danger: the order among equals.
fn before(model: &Model, search: &Search, at: usize, m: usize) -> (f64, f64, u8) {
    let space = search.graph.space;
    let act = search.graph.nodes[at].moves[m].act;
    let minutes = (space.setups.borrow().reach(search.graph.nodes[at].setup, act) * 1e3).round();
    (minutes, model.actions[act].minutes, model.actions[act].danger)
}

/// All first steps from a standing, the best first: that of the tree, then by what the plans that begin with them count.
pub fn ranked(search: &Search, at: usize, tree: &Tree) -> Vec<Next> {
    let moves = search.graph.nodes[at].moves.iter().filter(|m| m.opened);
    let found = |m: &Move| if Some(m.act) == tree.first().step.action() { search.graph.nodes[at].upper } else { search.upper(m) };
    let mut next: Vec<(f64, Next)> = moves.map(|m| (found(m).counted, next_step(search, m))).collect();
    let (cost, all) = (search.graph.space.refer, search.graph.nodes[at].hand_over);
    next.push((all, Next { step: Step::Refer, cost, expected_total: all, at_least: all, saving: 0.0, settles_bits: 0.0 }));
    let first = tree.first();
    let chosen = first.step;
    // the plan without search may begin with what the search never came to
    if !next.iter().any(|(_, n)| n.step == chosen) {
        let lower = search.graph.nodes[at].lower.money;
        next.push((
            first.expected_cost,
            Next { step: chosen, cost: first.cost, expected_total: first.expected_cost, at_least: lower, saving: 0.0, settles_bits: 0.0 },
        ));
    }
    for (_, n) in next.iter_mut().filter(|(_, n)| n.step == chosen) {
        n.expected_total = first.expected_cost;
    }
    next.sort_by(|a, b| (b.1.step == chosen).cmp(&(a.1.step == chosen)).then(a.0.total_cmp(&b.0)));
    let best = next.first().map_or(f64::INFINITY, |n| n.0);
    let second = next.get(1).map_or(best, |n| n.0);
    let saves = |i: usize, counted: f64| if i == 0 { second - counted } else { best - counted };
    next.into_iter().enumerate().map(|(i, (counted, n))| Next { saving: saves(i, counted), ..n }).collect()
}

fn step_of(search: &Search, act: usize) -> Step {
    if search.graph.space.acts[act].is_fix() { Step::Fix(act) } else { Step::Check(act) }
}

fn next_step(search: &Search, m: &Move) -> Next {
    let step = step_of(search, m.act);
    let (expected_total, at_least) = (search.upper(m).money, search.lower(m).money);
    Next { step, cost: m.price, expected_total, at_least, saving: 0.0, settles_bits: m.settles }
}

struct Writer<'a, 's> {
    model: &'a Model,
    search: &'a Search<'s>,
    /// What is less likely is met with fixes alone.
    slight: f64,
    nodes: Vec<TreeNode>,
    written: HashMap<usize, usize>,
}

impl<'a, 's> Writer<'a, 's> {
    fn new(model: &'a Model, search: &'a Search<'s>) -> Writer<'a, 's> {
        Writer { model, search, slight: SLIGHT * search.graph.space.slight.outcome, nodes: vec![], written: HashMap::default() }
    }

    /// Writes out a standing that is reached with a probability of at least `reach`.
    fn node(&mut self, at: usize, reach: f64) -> usize {
        if let Some(&written) = self.written.get(&at) {
            return written;
        }
        let search = self.search;
        let slight = reach < self.slight;
        let written = match best_move(self.model, search, at).filter(|_| !slight) {
            Some(m) => self.step(&search.graph.nodes[at].moves[m], reach),
            None => self.fallback(at, reach),
        };
        self.written.insert(at, written);
        written
    }

    fn step(&mut self, m: &Move, reach: f64) -> usize {
        let price = Price { cost: m.price, on_top: m.cost.money - m.price };
        match self.search.graph.space.acts[m.act].does {
            Does::Fix(_) => {
                let next = m.branches.first().map(|b| (b.probability, self.node(b.node, reach * b.probability)));
                self.fix(m.act, price, m.cured, next)
            }
            Does::Check(_) => {
                let branches: Vec<TreeBranch> = m.branches.iter().map(|b| self.branch(m, b, reach)).collect();
                self.push(Step::Check(m.act), price, branches)
            }
        }
    }

    fn branch(&mut self, m: &Move, branch: &Branch, reach: f64) -> TreeBranch {
        let found = m.read.iter().copied().zip(branch.states.iter().copied()).collect();
        let next = self.node(branch.node, reach * branch.probability);
        TreeBranch { found: Found::States(found), probability: branch.probability, next }
    }

    /// A fix, with the way on if it does not cure.
    fn fix(&mut self, action: usize, price: Price, cured: f64, not_cured: Option<(f64, usize)>) -> usize {
        let mut branches = Vec::new();
        if cured > 0.0 {
            let next = self.push(Step::Done, Price { cost: 0.0, on_top: 0.0 }, vec![]);
            branches.push(TreeBranch { found: Found::Cured, probability: cured, next });
        }
        branches.extend(not_cured.map(|(probability, next)| TreeBranch { found: Found::NotCured, probability, next }));
        self.push(Step::Fix(action), price, branches)
    }

    /// Handing over from a place.
    fn refer(&mut self, at: &Place) -> usize {
        let space = self.search.graph.space;
        let on_top = space.needed(at.setup, &at.weights).repairs / at.mass();
        self.push(Step::Refer, Price { cost: space.refer, on_top }, vec![])
    }

    /// The plan without search.
    fn fallback(&mut self, at: usize, reach: f64) -> usize {
        let node = &self.search.graph.nodes[at];
        let place = Place { setup: node.setup, known: node.known.clone(), weights: node.weights.to_vec() };
        self.follow(&self.without_search(at, reach), place)
    }

    fn without_search(&self, at: usize, reach: f64) -> Course {
        let graph = &self.search.graph;
        let node = &graph.nodes[at];
        let slight = Slight { outcome: self.slight / reach, again: 0.0, set: 0.0 };
        let course = |effort| graph.course(node.setup, &node.known, &node.weights, effort, slight);
        let fixes = course(Effort::Fixes);
        if slight.outcome > 1.0 {
            return fixes;
        }
        let full = course(Effort::Full);
        if full.expected.counted < fixes.expected.counted { full } else { fixes }
    }

    /// What an action costs at a place, and what is counted on top.
    fn price(&self, at: &Place, act: usize) -> Price {
        let space = self.search.graph.space;
        let vain = if space.acts[act].is_fix() { space.acts[act].vain * space.vain(act, &at.weights) / at.mass() } else { 0.0 };
        Price { cost: space.cost(at.setup, act), on_top: vain }
    }

    /// Writes out a plan without search from a place.
    fn follow(&mut self, course: &Course, at: Place) -> usize {
        let space = self.search.graph.space;
        match &course.does {
            Go::Chain(fixes) => self.chain(fixes, at),
            Go::Fix { act, cured, next } => {
                let price = self.price(&at, *act);
                let step::Fixed { left, known, .. } = step::fixed(space, &at.weights, *act, &at.known);
                let after = Place { setup: space.after(at.setup, *act), known, weights: left };
                let next = next.as_ref().map(|(p, next)| (*p, self.follow(next, after)));
                self.fix(*act, price, *cured, next)
            }
            Go::Check { act, read, branches } => {
                let price = self.price(&at, *act);
                let mut outcomes = step::split(space, &at.weights, read, &at.known);
                let setup = space.after(at.setup, *act);
                let all: &[usize] = if let Does::Check(findings) = &space.acts[*act].does { findings } else { &[] };
                let branches = branches.iter().map(|(states, probability, next)| {
                    let weights = outcomes.iter_mut().find(|(s, _)| s == states).map(|(_, w)| std::mem::take(w)).unwrap_or_default();
                    let found = read.iter().copied().zip(states.iter().copied()).collect();
                    let known = step::known_after(space, &at.known, all, read, states);
                    let next = self.follow(next, Place { setup, known, weights });
                    TreeBranch { found: Found::States(found), probability: *probability, next }
                });
                let branches = branches.collect();
                self.push(Step::Check(*act), price, branches)
            }
        }
    }

    /// Fixes one after the other, then refer.
    fn chain(&mut self, fixes: &[usize], mut at: Place) -> usize {
        let space = self.search.graph.space;
        let mut taken = Vec::new();
        for &act in fixes {
            let (price, before) = (self.price(&at, act), at.mass());
            let step::Fixed { cured, left, known } = step::fixed(space, &at.weights, act, &at.known);
            at = Place { setup: space.after(at.setup, act), known, weights: left };
            taken.push((act, price, cured / before, at.mass() / before));
            if at.weights.is_empty() {
                break;
            }
        }
        let mut next = if at.weights.is_empty() { None } else { Some(self.refer(&at)) };
        for (action, price, cured, rest) in taken.into_iter().rev() {
            next = Some(self.fix(action, price, cured, next.map(|n| (rest, n))));
        }
        next.unwrap_or_else(|| self.push(Step::Refer, Price { cost: space.refer, on_top: 0.0 }, vec![]))
    }

    fn push(&mut self, step: Step, Price { cost, on_top }: Price, branches: Vec<TreeBranch>) -> usize {
        let after: f64 = branches.iter().map(|b| b.probability * self.nodes[b.next].expected_cost).sum();
        self.nodes.push(TreeNode { step, cost, on_top, expected_cost: cost + on_top + after, branches });
        self.nodes.len() - 1
    }
}

/// What a step costs, and what is counted on top.
struct Price {
    cost: f64,
    on_top: f64,
}
