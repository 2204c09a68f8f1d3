//! A network written out as plain tables, as every general tool for Bayesian networks takes them.
//!
//! A node with many parents is a chain of steps, each with one parent more: "the highest so far" and that parent. Noisy-MAX
//! comes apart so without loss (Heckerman 1993, "Causal independence for knowledge acquisition and inference"), and no
//! table has more than two parents.

use crate::belief::arith::each_pushed;
use crate::belief::model::{Contradiction, History, Network, Seen};
use crate::belief::query::{Epoch, Grain, Graph, Histories, Lives, Query, Role, epochs};

/// One variable of the expanded network.
#[derive(Debug, Clone, PartialEq)]
pub struct TableNode {
    /// What it is in the network it comes from.
    pub role: TableRole,
    /// Number of states, the absent or normal one first. A condition has one more for each repair that may have ended it, in order, and the last
    /// for being there now.
    pub states: usize,
    /// Its parents, at most two, all before it in the list.
    pub parents: Vec<usize>,
    /// Probability of each state, a row for each combination of the parents' states, the last parent running fastest.
    pub rows: Vec<Vec<f64>>,
    /// For a finding looked at in several periods: for each state of the variable, the state of the finding in each period that tells.
    pub histories: Vec<Vec<usize>>,
}

/// What a variable stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TableRole {
    /// A cause at intake, or a condition and until when it was there, with all that may bring it about.
    Cause(usize),
    /// Until when a cause was there that a repair may have cured.
    End(usize),
    /// A finding as the look of this place shows it, or as it would be found now.
    Finding(usize, Option<usize>),
    /// A finding in all periods in which it was looked at and may have changed.
    History(usize),
    /// The highest state reached after some of the parents of the node that the chain ends in.
    Step,
    /// Whether what was seen of the variable before it came about: state 1 is the evidence.
    Reading,
}

/// Writes a network out with the looks made at it: all of it, or only what the looks hang on.
///
/// The evidence to set is state 1 of each [`TableRole::Reading`], and for each other look the one state it leaves.
///
/// # Errors
/// [`Contradiction`] when the history does not fit the network.
pub fn expand(network: &Network, history: &History, whole: bool) -> Result<Vec<TableNode>, Contradiction> {
    history.check(network)?;
    let lives = Lives::new(network, &history.repairs);
    let known = |f: &usize| history.seen.iter().any(|s| s.finding == *f);
    let unseen: Vec<usize> = (0..network.findings().len()).filter(|f| whole && !known(f)).collect();
    let silent = |f: &usize| Seen { finding: *f, weights: vec![1.0; network.findings()[*f].states()], period: lives.now };
    let silent: Vec<Seen> = unseen.iter().map(silent).collect();
    let seen: Vec<&Seen> = history.seen.iter().chain(&silent).collect();
    let wanted: Vec<usize> = (0..network.causes().len()).filter(|_| whole).collect();
    let graph = Graph::new(&lives, Query { wanted: &wanted, whole: true, ..Query::of(&seen) });
    let mut tables = Tables { lives: &lives, seen: &seen, nodes: vec![], places: vec![] };
    (0..graph.nodes.len()).for_each(|v| tables.node(&graph, v, history.seen.len()));
    Ok(tables.nodes)
}

struct Tables<'a> {
    lives: &'a Lives<'a>,
    seen: &'a [&'a Seen],
    nodes: Vec<TableNode>,
    /// The variable of each node of the graph written out so far.
    places: Vec<usize>,
}

impl Tables<'_> {
    fn node(&mut self, graph: &Graph, v: usize, looks: usize) {
        let node = &graph.nodes[v];
        let (role, histories) = match node.role {
            Role::Cause(cause) => (TableRole::Cause(cause), vec![]),
            Role::End(cause) => (TableRole::End(cause), vec![]),
            Role::Seen(index) => self.seen_role(index, looks),
        };
        let last = self.chain(graph, v, role);
        self.nodes[last].histories = histories;
        self.places.push(last);
        if let Role::Seen(index) = node.role
            && index < looks
            && (role != TableRole::Finding(self.seen[index].finding, Some(index)) || self.seen[index].sure_state().is_none())
        {
            let rows = graph.weight[node.at..node.at + node.levels].iter().map(|&w| vec![1.0 - w, w]).collect();
            self.add(TableNode { role: TableRole::Reading, states: 2, parents: vec![last], rows, histories: vec![] });
        }
    }

    /// What an observation is: one look, none, or a history.
    fn seen_role(&self, index: usize, looks: usize) -> (TableRole, Vec<Vec<usize>>) {
        let finding = self.seen[index].finding;
        let all: Vec<&Seen> = self.seen.iter().copied().filter(|s| s.finding == finding).collect();
        if index >= looks {
            return (TableRole::Finding(finding, None), vec![]);
        }
        if all.len() == 1 {
            return (TableRole::Finding(finding, Some(index)), vec![]);
        }
        let epochs: Vec<Epoch> = epochs(self.lives, finding, all);
        let histories = Histories::new(&epochs, Grain::Whole);
        let states = histories.groups.iter().map(|g| g.iter().map(|&k| usize::from(k)).collect()).collect();
        (TableRole::History(finding), states)
    }

    /// The chain of steps that ends in a node; its place.
    fn chain(&mut self, graph: &Graph, v: usize, role: TableRole) -> usize {
        let node = &graph.nodes[v];
        let (states, join) = (node.levels, graph.join(v).map(AsRef::as_ref));
        let start = graph.start[node.at..node.at + states].to_vec();
        let links: Vec<usize> = graph.ins(v).collect();
        let mut last = None;
        for (i, &l) in links.iter().enumerate() {
            let link = graph.links[l];
            let before = last.map_or_else(|| vec![start.clone()], |_| (0..states).map(|k| unit(states, k)).collect());
            let size = (graph.nodes[link.from].levels - 1) * states;
            let pushes = || graph.push[link.at..link.at + size].chunks_exact(states);
            let raised = |row: &[f64], push: &[f64]| {
                let mut out = vec![0.0; states];
                each_pushed(row, push, join, |j, x| out[j] = x);
                out
            };
            let rows = before.iter().flat_map(|row| std::iter::once(row.clone()).chain(pushes().map(move |push| raised(row, push))));
            let rows: Vec<Vec<f64>> = rows.collect();
            let parents = last.into_iter().chain([self.places[link.from]]).collect();
            let role = if i + 1 == links.len() { role } else { TableRole::Step };
            last = Some(self.add(TableNode { role, states, parents, rows, histories: vec![] }));
        }
        last.unwrap_or_else(|| self.add(TableNode { role, states, parents: vec![], rows: vec![start], histories: vec![] }))
    }

    fn add(&mut self, node: TableNode) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }
}

fn unit(states: usize, k: usize) -> Vec<f64> {
    (0..states).map(|j| if j == k { 1.0 } else { 0.0 }).collect()
}
