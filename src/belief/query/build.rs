//! The graph of a query, built from a network, the ends of what is in it, and looks.

use super::graph::{Factor, Graph, Role};
use super::histories::{Grain, Histories};
use super::levels::Levels;
use super::lives::{Lives, NEVER};
use super::looks::{Track, epochs, tracks};
use crate::belief::model::Seen;

/// A node that did not move.
const NONE: usize = usize::MAX;

/// What a query is about.
#[derive(Debug, Clone, Copy)]
pub struct Query<'a> {
    pub seen: &'a [&'a Seen],
    /// Causes and conditions that take part whether the evidence reaches them or not.
    pub wanted: &'a [usize],
    /// A finding whose states are all to be told apart.
    pub fine: Option<usize>,
    /// No cause is there at all; conditions may be.
    pub no_cause: bool,
    /// Every observation has a node, and no level is left out: for tables that must add up.
    pub whole: bool,
}

impl<'a> Query<'a> {
    pub fn of(seen: &'a [&'a Seen]) -> Query<'a> {
        Query { seen, wanted: &[], fine: None, no_cause: false, whole: false }
    }
}

impl Graph {
    /// The part of a network that a query touches. The observations must be checked.
    pub fn new(lives: &Lives, query: Query) -> Graph {
        let network = lives.network;
        let mut graph = Graph::empty(network.causes().len());
        let mut named = query.wanted.to_vec();
        named.extend(query.seen.iter().flat_map(|seen| network.findings()[seen.finding].pushes.iter().map(|&(cause, _)| cause)));
        if query.no_cause {
            graph.constant += network.log_none();
            let causes = network.causes().iter().filter(|c| !c.condition);
            named.extend(causes.flat_map(|c| c.brought_by.iter().map(|&(parent, _)| parent)));
            named.retain(|&c| network.causes()[c].condition);
        }
        for cause in graph.missing(lives, named) {
            if network.causes()[cause].condition || !query.no_cause {
                graph.add_cause(lives, cause);
            }
        }
        if query.no_cause {
            graph.add_no_causes(lives);
        }
        graph.add_looks(lives, query);
        graph
    }

    fn add_looks(&mut self, lives: &Lives, query: Query) {
        let mut levels = Levels::default();
        for track in tracks(lives, query.seen) {
            match track {
                Track::One(index, seen) if query.fine != Some(seen.finding) && !query.whole => {
                    levels.set(&seen.weights);
                    self.add_seen(lives, index, seen, &levels);
                }
                Track::One(index, seen) => {
                    let grain = if query.whole { Grain::Whole } else { Grain::Fine };
                    let histories = Histories::new(&epochs(lives, seen.finding, vec![seen]), grain);
                    self.add_histories(lives, index, seen.finding, &histories, query.whole);
                }
                Track::Many(index, finding, epochs) => {
                    let grain = match query.fine == Some(finding) {
                        _ if query.whole => Grain::Whole,
                        true => Grain::Fine,
                        false => Grain::Coarse,
                    };
                    self.add_histories(lives, index, finding, &Histories::new(&epochs, grain), query.whole);
                }
            }
        }
    }

    pub fn add_cause(&mut self, lives: &Lives, cause: usize) {
        let node = &lives.network.causes()[cause];
        let place = self.nodes.len();
        let ends: &[usize] = if node.condition { lives.ends(cause) } else { &[0] };
        let levels = ends.len() + 1;
        let at = self.start.len();
        self.start.resize(at + levels, 0.0);
        self.start[at] = 1.0 - node.prior;
        self.start[at + levels - 1] = node.prior;
        self.weight.resize(at + levels, 1.0);
        self.add_node(Role::Cause(cause), levels, true, None);
        for &(parent, strength) in &node.brought_by {
            let from = if node.condition { self.lasting(parent) } else { self.place(parent) };
            let Some(from) = from else { continue };
            let at = self.push.len();
            for row in 0..self.nodes[from].levels - 1 {
                let end = if node.condition { lives.ends(parent)[row] } else { 0 };
                let row = self.push.len();
                self.push.resize(row + levels, 0.0);
                self.push[row] = 1.0 - strength;
                self.push[row + 1 + ends.binary_search(&end).unwrap_or(0)] = strength;
            }
            self.add_link(from, place, at);
        }
        self.place_last(cause);
        if lives.is_split(cause) {
            self.add_end(lives, cause, place);
        }
    }

    /// Until when a cause is there, where a repair may not have cured it.
    fn add_end(&mut self, lives: &Lives, cause: usize, from: usize) {
        let (chances, to, at) = (lives.chances(cause), self.nodes.len(), self.push.len());
        self.start.push(1.0);
        self.start.resize(self.start.len() + chances.len(), 0.0);
        self.weight.resize(self.start.len(), 1.0);
        self.add_node(Role::End(cause), chances.len() + 1, true, None);
        self.push.push(0.0);
        self.push.extend(chances);
        self.add_link(from, to, at);
    }

    /// That no cause is there: none of itself (the constant), and none by a condition.
    fn add_no_causes(&mut self, lives: &Lives) {
        for cause in lives.network.causes().iter().filter(|c| !c.condition) {
            for &(parent, strength) in &cause.brought_by {
                let Some(node) = self.lasting(parent) else { continue };
                let levels = 1..self.nodes[node].levels;
                self.factors.extend(levels.map(|level| Factor { node, level, by: 1.0 - strength }));
            }
        }
    }

    /// One look at a finding; what pushes it must have its nodes.
    pub fn add_seen(&mut self, lives: &Lives, index: usize, seen: &Seen, levels: &Levels) {
        let node = &lives.network.findings()[seen.finding];
        match levels.weights[..] {
            [] => self.constant = f64::NEG_INFINITY,
            [weight] => {
                self.constant += (weight * levels.split(&node.stray).sum::<f64>()).ln();
                for (cause, push) in &node.pushes {
                    let Some(node) = self.lasting(*cause) else { continue };
                    let by = levels.split(push).sum();
                    let there = (1..).zip(lives.ends(*cause)).filter(|(_, end)| seen.period < **end);
                    self.factors.extend(there.map(|(level, _)| Factor { node, level, by }));
                }
            }
            _ => {
                let to = self.nodes.len();
                self.start.extend(levels.split(&node.stray));
                self.weight.extend(&levels.weights);
                self.add_node(Role::Seen(index), levels.weights.len(), levels.open() > 1, None);
                for (cause, push) in &node.pushes {
                    let Some(from) = self.lasting(*cause) else { continue };
                    let at = self.push.len();
                    for &end in lives.ends(*cause) {
                        if seen.period < end {
                            self.push.extend(levels.split(push));
                        } else {
                            self.push.push(1.0);
                            self.push.resize(self.push.len() + levels.weights.len() - 1, 0.0);
                        }
                    }
                    self.add_link(from, to, at);
                }
            }
        }
    }

    /// Several looks at a finding, or one whose states are all told apart.
    fn add_histories(&mut self, lives: &Lives, index: usize, finding: usize, histories: &Histories, whole: bool) {
        let node = &lives.network.findings()[finding];
        match histories.weights[..] {
            [] => self.constant = f64::NEG_INFINITY,
            [weight] if !whole => {
                self.constant += (weight * histories.split(&node.stray, NEVER)[0]).ln();
                for (cause, push) in &node.pushes {
                    let Some(node) = self.lasting(*cause) else { continue };
                    let by = |end: &usize| histories.split(push, *end)[0];
                    let levels = (1..).zip(lives.ends(*cause));
                    self.factors.extend(levels.map(|(level, end)| Factor { node, level, by: by(end) }));
                }
            }
            _ => {
                let to = self.nodes.len();
                self.start.extend(histories.split(&node.stray, NEVER));
                self.weight.extend(&histories.weights);
                let open = histories.weights.iter().filter(|w| **w > 0.0).count();
                self.add_node(Role::Seen(index), histories.weights.len(), open > 1, histories.join.as_ref());
                for (cause, push) in &node.pushes {
                    let Some(from) = self.lasting(*cause) else { continue };
                    let at = self.push.len();
                    lives.ends(*cause).iter().for_each(|&end| self.push.extend(histories.split(push, end)));
                    self.add_link(from, to, at);
                }
            }
        }
    }

    /// Some nodes of this graph with their numbers (parents among them, in order), and causes that take no part in it yet
    /// (with all that could have brought them about). The constant is left behind. Also says where each node went.
    pub fn extended(&self, lives: &Lives, nodes: &[usize], fresh: &[usize]) -> (Graph, Vec<usize>) {
        let mut graph = Graph::empty(lives.network.causes().len());
        let mut moved = vec![NONE; self.nodes.len()];
        let first_seen = nodes.partition_point(|&v| self.nodes[v].role.is_hidden());
        nodes[..first_seen].iter().for_each(|&v| graph.copy(self, v, &mut moved));
        fresh.iter().for_each(|&cause| graph.add_cause(lives, cause));
        nodes[first_seen..].iter().for_each(|&v| graph.copy(self, v, &mut moved));
        graph.factors.extend(self.factors.iter().filter(|f| moved[f.node] != NONE).map(|f| {
            let node = moved[f.node];
            Factor { node, ..*f }
        }));
        (graph, moved)
    }
}
