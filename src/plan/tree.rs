//! The plan as a tree of outcomes. Standings reached in two ways are one node, so it is kept as a list of nodes.

/// A plan: what to do, and what then for each way it may turn out.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// The nodes; what a branch leads to stands before the node it belongs to.
    pub nodes: Vec<TreeNode>,
    /// Where the plan begins.
    pub root: usize,
}

/// One point of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct TreeNode {
    /// What is done here.
    pub step: Step,
    /// What that costs, with the access it still needs.
    pub cost: f64,
    /// What is counted on top: for a fix, the chance that it is in vain times what it costs more then; for handing over, the repairs that are
    /// expected to be needed still.
    pub on_top: f64,
    /// Expected cost from here to the end of the job.
    pub expected_cost: f64,
    /// Every way it may turn out; nothing where the job ends. Probabilities sum to 1.
    pub branches: Vec<TreeBranch>,
}

/// What is done at a point of the plan. Actions by their index in the model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Read findings.
    Check(usize),
    /// Put causes right.
    Fix(usize),
    /// Hand the car to a specialist.
    Refer,
    /// The job is done: the complaint is gone.
    Done,
}

impl Step {
    /// The action it takes.
    pub fn action(self) -> Option<usize> {
        match self {
            Step::Check(a) | Step::Fix(a) => Some(a),
            Step::Refer | Step::Done => None,
        }
    }
}

/// One way a step may turn out.
#[derive(Debug, Clone, PartialEq)]
pub struct TreeBranch {
    /// What is found.
    pub found: Found,
    /// How probable that is (above 0, at most 1).
    pub probability: f64,
    /// The node it leads to.
    pub next: usize,
}

/// What a step shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// Findings of the model and their states.
    States(Vec<(usize, usize)>),
    /// The complaint is gone.
    Cured,
    /// The complaint stands.
    NotCured,
}

impl Tree {
    /// The first step.
    pub fn first(&self) -> &TreeNode {
        &self.nodes[self.root]
    }

    /// How probable it is to come to each node.
    pub fn reached(&self) -> Vec<f64> {
        let mut reached = vec![0.0; self.nodes.len()];
        reached[self.root] = 1.0;
        for (i, node) in self.nodes.iter().enumerate().rev() {
            for branch in &node.branches {
                reached[branch.next] += reached[i] * branch.probability;
            }
        }
        reached
    }
}
