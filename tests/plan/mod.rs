//! The plan room against enumeration, published examples and its own promises.

mod against_oracle;
mod build;
mod edges;
mod generate;
mod oracle;
mod worked;
#[allow(dead_code)] // the benches use the rest of it
mod workshop;

use faultbook::plan::{Model, Step, Tree};

/// Walks through a tree and checks that its sums are right: probabilities, and costs from the leaves up.
fn walk_through(model: &Model, tree: &Tree) {
    for node in &tree.nodes {
        let sum: f64 = node.branches.iter().map(|b| b.probability).sum();
        let after: f64 = node.branches.iter().map(|b| b.probability * tree.nodes[b.next].expected_cost).sum();
        let ends = matches!(node.step, Step::Refer | Step::Done);
        assert!(ends == node.branches.is_empty());
        assert!(ends || (sum - 1.0).abs() < 1e-12, "probabilities add up to {sum}");
        assert!((node.expected_cost - node.cost - node.on_top - after).abs() < 1e-9);
        assert!(node.branches.iter().all(|b| b.probability > 0.0));
        assert!(node.step != Step::Refer || (node.cost - model.refer_cost).abs() < 1e-12);
    }
}
