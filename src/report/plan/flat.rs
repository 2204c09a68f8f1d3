//! The plan's tree as a list of numbered steps: a plan may be deeper than readers of JSON follow nested objects.

use super::Planned;
use super::document::step;
use super::tree::{DoDocument, FoundDocument, come_to, found};
use crate::plan::Step;
use schemars::JsonSchema;
use serde::Serialize;

/// A step of the list.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FlatStepDocument {
    /// Its number, from 1: the plan begins with 1.
    pub number: usize,
    /// What is done.
    #[serde(rename = "do")]
    pub does: DoDocument,
    /// What it costs, money.
    pub cost: f64,
    /// Expected cost from here on, this step included, money.
    pub expected_cost: f64,
    /// Every way it may turn out; none where the car is handed over.
    pub branches: Vec<FlatBranchDocument>,
}

/// One way a step may turn out.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FlatBranchDocument {
    /// Findings with their states, or whether the complaint is gone.
    pub found: FoundDocument,
    /// How probable.
    pub probability: f64,
    /// The number of the step that follows; none where the job is done.
    pub next: Option<usize>,
}

/// Every step of the plan once, numbered in the order of a walk from the root, likeliest branches first.
pub fn steps(p: &Planned) -> Vec<FlatStepDocument> {
    let nodes = &p.plan.tree.nodes;
    let order = come_to(&p.plan.tree, |at| nodes[at].step != Step::Done);
    let mut numbers: Vec<Option<usize>> = vec![None; nodes.len()];
    order.iter().zip(1..).for_each(|(at, number)| numbers[*at] = Some(number));
    let one = |(i, at): (usize, usize)| {
        let node = &nodes[at];
        let (kind, id, _) = step(p, node.step);
        let branches = node.branches.iter().map(|b| FlatBranchDocument {
            found: found(p, &b.found),
            probability: b.probability,
            next: numbers[b.next],
        });
        FlatStepDocument {
            number: i + 1,
            does: DoDocument { kind, id },
            cost: node.cost,
            expected_cost: node.expected_cost,
            branches: branches.collect(),
        }
    };
    order.into_iter().enumerate().map(one).collect()
}
