//! A network written out as plain tables, as every general tool for Bayesian networks takes them.
//!
//! A node with many parents is a chain of steps, each with one parent more: "the highest so far" and that parent. Noisy-MAX
//! comes apart so without loss (Heckerman 1993, "Causal independence for knowledge acquisition and inference"), and no
//! table has more than two parents.

use super::evidence::{History, Look};
use super::fold::pushed;
use super::graph::Graph;
use super::network::Network;

/// One variable of the expanded network.
#[derive(Debug, Clone, PartialEq)]
pub struct TableNode {
    /// What it is in the network it comes from.
    pub role: TableRole,
    /// Number of states, the absent or normal one first.
    pub states: usize,
    /// Its parents, at most two, all before it in the list.
    pub parents: Vec<usize>,
    /// Probability of each state, a row for each combination of the parents' states, the last parent running fastest.
    pub rows: Vec<Vec<f64>>,
}

/// What a variable stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TableRole {
    /// A cause, with all that may bring it about.
    Cause(usize),
    /// A finding as the observation of this place shows it, or as it would be found now.
    Finding(usize, Option<usize>),
    /// The highest state reached after some of the parents of the node that the chain ends in.
    Step,
    /// Whether what was seen in the observation of this place came about: state 1 is the evidence.
    Reading(usize),
}

/// Writes a network out with the observations made in it: all of it, or only what the observations hang on.
///
/// The evidence to set is state 1 of each [`TableRole::Reading`], and for each other observation the one state it leaves.
///
/// # Errors
/// [`Contradiction`](super::Contradiction) when an observation does not fit the network.
pub fn expand(network: &Network, history: &History, whole: bool) -> Result<Vec<TableNode>, super::Contradiction> {
    let seen = &history.looks()[..];
    seen.iter().try_for_each(|s| s.check(network))?;
    let mut tables = Tables { nodes: Vec::new(), causes: vec![0; network.causes().len()] };
    for cause in taking_part(network, seen, whole) {
        let node = &network.causes()[cause];
        let links: Vec<(usize, Vec<f64>)> = node.brought_by.iter().map(|&(parent, s)| (parent, vec![s])).collect();
        tables.causes[cause] = tables.chain(TableRole::Cause(cause), &[node.prior], &links);
    }
    for (place, observation) in seen.iter().enumerate() {
        tables.observation(network, place, observation);
    }
    let known = |f: &usize| seen.iter().any(|s| s.finding == *f);
    for finding in (0..network.findings().len()).filter(|f| whole && !known(f)) {
        let node = &network.findings()[finding];
        tables.chain(TableRole::Finding(finding, None), &node.stray, &node.pushes);
    }
    Ok(tables.nodes)
}

/// The causes written out, parents first.
fn taking_part(network: &Network, seen: &[Look], whole: bool) -> Vec<usize> {
    let pushing = seen.iter().flat_map(|s| {
        let pushes = network.findings()[s.finding].pushes.iter().map(|&(cause, _)| cause);
        pushes.filter(|c| !s.cured.contains(c))
    });
    let named = if whole { (0..network.causes().len()).collect() } else { pushing.collect() };
    Graph::new(network, super::graph::Query::default()).missing(network, named)
}

struct Tables {
    nodes: Vec<TableNode>,
    /// The variable of each cause written out so far.
    causes: Vec<usize>,
}

impl Tables {
    /// The chain of steps that ends in a node; its place.
    fn chain(&mut self, role: TableRole, stray: &[f64], links: &[(usize, Vec<f64>)]) -> usize {
        let start = row(stray);
        let states = start.len();
        let mut last = None;
        for (i, (cause, push)) in links.iter().enumerate() {
            let before = last.map_or_else(|| vec![start.clone()], |_| (0..states).map(|k| unit(states, k)).collect());
            let push = row(push);
            let rows = before.into_iter().flat_map(|row| [row.clone(), pushed(&row, &push).collect()]).collect();
            let parents = last.into_iter().chain([self.causes[*cause]]).collect();
            let role = if i + 1 == links.len() { role } else { TableRole::Step };
            last = Some(self.add(TableNode { role, states, parents, rows }));
        }
        last.unwrap_or_else(|| self.add(TableNode { role, states, parents: vec![], rows: vec![start] }))
    }

    fn observation(&mut self, network: &Network, place: usize, seen: &Look) {
        let node = &network.findings()[seen.finding];
        let links: Vec<(usize, Vec<f64>)> = node.pushes.iter().filter(|(c, _)| !seen.cured.contains(c)).cloned().collect();
        let finding = self.chain(TableRole::Finding(seen.finding, Some(place)), &node.stray, &links);
        if seen.sure_state().is_none() {
            let rows = seen.weights.iter().map(|&w| vec![1.0 - w, w]).collect();
            self.add(TableNode { role: TableRole::Reading(place), states: 2, parents: vec![finding], rows });
        }
    }

    fn add(&mut self, node: TableNode) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }
}

/// The probability of each state, from those of the states above the first.
fn row(pushes: &[f64]) -> Vec<f64> {
    let rest = (1.0 - pushes.iter().sum::<f64>()).max(0.0);
    std::iter::once(rest).chain(pushes.iter().copied()).collect()
}

fn unit(states: usize, k: usize) -> Vec<f64> {
    (0..states).map(|j| if j == k { 1.0 } else { 0.0 }).collect()
}
