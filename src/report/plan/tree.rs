//! The plan's tree, as nested nodes for scripts and as numbered steps for people.

use super::Planned;
use super::document::step;
use crate::book::Headed;
use crate::plan::{Found, Step, TreeNode};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

/// Less probable ends are folded, unless the whole tree is asked for.
const FOLD_BELOW: f64 = 0.01;
/// Steps nested deeper than this are folded, even in the whole tree: each takes three levels of JSON, and readers give up at 128 of them.
const DEEPEST: usize = 40;

/// A node of the tree.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum NodeDocument {
    /// The job is done.
    Done {
        /// Always true.
        done: bool,
    },
    /// Too improbable to print, or nested too deep: plan again with what was seen, or ask for the flat form.
    Folded {
        /// Always true.
        folded: bool,
        /// Expected cost from here on, money.
        expected_cost: f64,
    },
    /// Something to do.
    Step {
        /// What.
        #[serde(rename = "do")]
        does: DoDocument,
        /// What it costs, money.
        cost: f64,
        /// Expected cost from here on, this step included, money.
        expected_cost: f64,
        /// At the root: no plan costs less, money.
        #[serde(skip_serializing_if = "Option::is_none")]
        expected_cost_at_least: Option<f64>,
        /// Every way it may turn out.
        branches: Vec<BranchDocument>,
    },
}

/// What is done.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DoDocument {
    /// `check`, `fix` or `refer`.
    pub kind: String,
    /// Its name.
    pub id: String,
}

/// One way a step may turn out.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BranchDocument {
    /// Findings with their states, or whether the complaint is gone.
    pub found: FoundDocument,
    /// How probable.
    pub probability: f64,
    /// What then.
    pub next: NodeDocument,
}

/// What a step shows.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum FoundDocument {
    /// After a fix.
    Cured {
        /// Whether the complaint is gone.
        cured: bool,
    },
    /// After a check.
    States(IndexMap<String, String>),
}

/// The nested tree from its root.
pub fn node(p: &Planned, whole: bool) -> NodeDocument {
    let fold = if whole { 0.0 } else { FOLD_BELOW };
    match nested(p, p.plan.tree.root, 1.0, fold, 1) {
        NodeDocument::Step { does, cost, expected_cost, branches, .. } => {
            NodeDocument::Step { does, cost, expected_cost, expected_cost_at_least: Some(p.plan.at_least), branches }
        }
        other => other,
    }
}

fn nested(p: &Planned, at: usize, reach: f64, fold: f64, depth: usize) -> NodeDocument {
    let node = &p.plan.tree.nodes[at];
    if node.step == Step::Done {
        return NodeDocument::Done { done: true };
    }
    if reach < fold || depth > DEEPEST {
        return NodeDocument::Folded { folded: true, expected_cost: node.expected_cost };
    }
    let (kind, id, _) = step(p, node.step);
    let mut branches: Vec<BranchDocument> = node.branches.iter().map(|b| branch(p, b, reach, fold, depth)).collect();
    if node.step == Step::Refer && branches.is_empty() {
        branches.push(BranchDocument {
            found: FoundDocument::States(IndexMap::new()),
            probability: 1.0,
            next: NodeDocument::Done { done: true },
        });
    }
    NodeDocument::Step {
        does: DoDocument { kind, id },
        cost: node.cost,
        expected_cost: node.expected_cost,
        expected_cost_at_least: None,
        branches,
    }
}

fn branch(p: &Planned, b: &crate::plan::TreeBranch, reach: f64, fold: f64, depth: usize) -> BranchDocument {
    let next = nested(p, b.next, reach * b.probability, fold, depth + 1);
    BranchDocument { found: found(p, &b.found), probability: b.probability, next }
}

/// What a branch shows, by the names of the book.
pub fn found(p: &Planned, found: &Found) -> FoundDocument {
    match found {
        Found::Cured => FoundDocument::Cured { cured: true },
        Found::NotCured => FoundDocument::Cured { cured: false },
        Found::States(states) => {
            let named = states.iter().map(|(f, s)| {
                let finding = &p.book.findings[p.bay.car.findings[*f]];
                (finding.name().to_string(), finding.states[*s].clone())
            });
            FoundDocument::States(named.collect())
        }
    }
}

/// One numbered step for people.
pub struct Numbered<'t> {
    /// Its node.
    pub node: &'t TreeNode,
    /// Ways it may turn out: in words, how probable, and where it goes on.
    pub ways: Vec<(String, f64, Onward)>,
}

/// Where a branch goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Onward {
    /// At the step of this number, from 1.
    Step(usize),
    /// The job is done.
    Done,
    /// Not printed: plan again with what was seen.
    Again,
}

/// The likeliest steps of the plan, numbered in the order they are come to; at most `most`.
pub fn numbered<'t>(p: &'t Planned, most: usize) -> Vec<Numbered<'t>> {
    let tree = &p.plan.tree;
    let reached = tree.reached();
    let mut kept: Vec<usize> = (0..tree.nodes.len()).filter(|n| reached[*n] >= FOLD_BELOW && tree.nodes[*n].step != Step::Done).collect();
    kept.sort_by(|a, b| reached[*b].total_cmp(&reached[*a]).then(b.cmp(a)));
    kept.truncate(most);
    let order = come_to(tree, |at| kept.contains(&at));
    order.iter().map(|n| Numbered { node: &tree.nodes[*n], ways: ways(p, *n, &order) }).collect()
}

/// The kept nodes in the order of a walk from the root, likeliest branches first, each once.
pub(super) fn come_to(tree: &crate::plan::Tree, keeps: impl Fn(usize) -> bool) -> Vec<usize> {
    let (mut order, mut waiting) = (Vec::new(), vec![tree.root]);
    let mut passed = vec![false; tree.nodes.len()];
    while let Some(at) = waiting.pop() {
        if std::mem::replace(&mut passed[at], true) || !keeps(at) {
            continue;
        }
        order.push(at);
        let mut branches: Vec<_> = tree.nodes[at].branches.iter().collect();
        branches.sort_by(|a, b| a.probability.total_cmp(&b.probability));
        waiting.extend(branches.iter().map(|b| b.next));
    }
    order
}

fn ways(p: &Planned, at: usize, order: &[usize]) -> Vec<(String, f64, Onward)> {
    let tree = &p.plan.tree;
    let onward = |next: usize| match order.iter().position(|n| *n == next) {
        Some(number) => Onward::Step(number + 1),
        None if tree.nodes[next].step == Step::Done => Onward::Done,
        None => Onward::Again,
    };
    let mut all: Vec<_> = tree.nodes[at].branches.iter().map(|b| (words(p, &b.found), b.probability, onward(b.next))).collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    // what is too improbable to print is one line
    let folded: f64 = all.iter().filter(|(_, _, o)| *o == Onward::Again).map(|(_, q, _)| q).sum();
    all.retain(|(_, _, o)| *o != Onward::Again);
    if folded > 0.0 {
        let words = if all.is_empty() { "whatever it shows" } else { "anything else" };
        all.push((words.into(), folded, Onward::Again));
    }
    all
}

fn words(p: &Planned, found: &Found) -> String {
    match found {
        Found::Cured => "complaint gone".into(),
        Found::NotCured => "complaint still there".into(),
        Found::States(states) => {
            let one = |(f, s): &(usize, usize)| {
                let finding = &p.book.findings[p.bay.car.findings[*f]];
                let state = &finding.states[*s];
                if states.len() == 1 { state.clone() } else { format!("{} {state}", finding.name()) }
            };
            states.iter().map(one).collect::<Vec<_>>().join("; ")
        }
    }
}
