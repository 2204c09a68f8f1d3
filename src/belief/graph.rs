//! What takes part in a query: the causes that could have shown in what is known, and what is known, as one kind of node.
//!
//! A node has levels, of which the highest that anything pushes it to holds. A cause has two (absent, present at intake), a condition one for
//! each of its ends (`lives`), an observation those that it tells apart (`looks`). A cause that a repair may not have cured is followed by a node for its
//! end; what a cause pushes hangs on the last of its nodes, what it brought about for good on the first. Observations of one level need no node
//! at all: they are factors on what pushes them.

use super::evidence::{Levels, Seen};
use super::lives::Lives;
use super::looks::{Grain, Histories, Join, Track, epochs, tracks};
use std::rc::Rc;

/// End of a list of links, and a cause without a node.
const NONE: usize = usize::MAX;

fn link(index: usize) -> Option<usize> {
    (index != NONE).then_some(index)
}

/// What a node stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// The cause or condition of this index: whether it was there, for a condition until when.
    Cause(usize),
    /// The end of the cause of this index.
    End(usize),
    /// What was seen of a finding, by the place of its first look in the query.
    Seen(usize),
}

impl Role {
    /// Whether it is a cause or a condition, and not something seen.
    pub fn is_hidden(self) -> bool {
        !matches!(self, Role::Seen(_))
    }
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub role: Role,
    pub levels: usize,
    /// Where its numbers begin in `start` and `weight`.
    pub at: usize,
    /// Whether its distribution is an answer: a cause, or an observation that leaves several states open.
    pub asked: bool,
    /// Its place in `joins`, where its levels are not ordered one above the other.
    join: usize,
    first_in: usize,
    first_out: usize,
}

/// From a cause or condition to another node. For each level of its source from 1 on it has the chances of a push to each level of its target.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub from: usize,
    pub to: usize,
    /// Where its numbers begin in `push`.
    pub at: usize,
    next_in: usize,
    next_out: usize,
}

/// A factor on the weight of one level of a node.
#[derive(Debug, Clone, Copy)]
pub(super) struct Factor {
    pub node: usize,
    pub level: usize,
    pub by: f64,
}

/// A query's own network. Parents come before the causes they bring about, observations after all causes.
#[derive(Debug, Default)]
pub(super) struct Graph {
    pub nodes: Vec<Node>,
    pub links: Vec<Link>,
    /// For each level of each node: the probability of reaching it with no node pushing.
    pub start: Vec<f64>,
    /// For each level of each node: the factor on the evidence when it holds in the end.
    pub weight: Vec<f64>,
    /// For each link, level of its source from 1 on, and level of its target: the probability of a push to it.
    pub push: Vec<f64>,
    /// How levels join where they are not ordered one above the other.
    joins: Vec<Rc<Join>>,
    /// More factors on `weight`, kept apart because their product may be smaller than a double.
    pub factors: Vec<Factor>,
    /// Factor on everything that hangs on no cause, as a logarithm.
    pub constant: f64,
    /// The node of each cause of the network, counted from 1; 0 for none.
    places: Vec<u32>,
}

/// What a query is about.
#[derive(Debug, Clone, Copy)]
pub(super) struct Query<'a> {
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
        let mut graph = Graph { places: vec![0; network.causes().len()], ..Graph::default() };
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

    /// Some nodes of this graph with their numbers (parents among them, in order), and causes that take no part in it yet
    /// (with all that could have brought them about). The constant is left behind. Also says where each node went.
    pub fn extended(&self, lives: &Lives, nodes: &[usize], fresh: &[usize]) -> (Graph, Vec<usize>) {
        let mut graph = Graph { places: vec![0; lives.network.causes().len()], ..Graph::default() };
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

    /// One node of another graph, with the links into it.
    fn copy(&mut self, other: &Graph, v: usize, moved: &mut [usize]) {
        let node = other.nodes[v];
        let slots = node.at..node.at + node.levels;
        moved[v] = self.nodes.len();
        self.start.extend_from_slice(&other.start[slots.clone()]);
        self.weight.extend_from_slice(&other.weight[slots]);
        self.add_node(node.role, node.levels, node.asked, other.join(v));
        if let Role::Cause(cause) = node.role {
            self.places[cause] = self.nodes.len() as u32;
        }
        for l in other.ins(v) {
            let link = other.links[l];
            let at = self.push.len();
            let size = (other.nodes[link.from].levels - 1) * node.levels;
            self.push.extend_from_slice(&other.push[link.at..link.at + size]);
            self.join_nodes(moved[link.from], moved[v], at);
        }
    }

    /// The node of a cause or condition, if it takes part.
    pub fn place(&self, cause: usize) -> Option<usize> {
        self.places.get(cause).and_then(|&place| (place as usize).checked_sub(1))
    }

    /// The node on which hangs what a cause or condition pushes, if it takes part.
    pub fn lasting(&self, cause: usize) -> Option<usize> {
        let place = self.place(cause)?;
        let followed = self.nodes.get(place + 1).is_some_and(|n| n.role == Role::End(cause));
        Some(place + usize::from(followed))
    }

    /// How the levels of a node join, where they are not ordered one above the other.
    pub fn join(&self, node: usize) -> Option<&Rc<Join>> {
        self.joins.get(self.nodes[node].join)
    }

    /// Links into a node.
    pub fn ins(&self, node: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(link(self.nodes[node].first_in), |&l| link(self.links[l].next_in))
    }

    /// Links out of a node.
    pub fn outs(&self, node: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(link(self.nodes[node].first_out), |&l| link(self.links[l].next_out))
    }

    /// These causes, and all that could have brought them about, less those that take part already; parents first.
    pub fn missing(&mut self, lives: &Lives, mut named: Vec<usize>) -> Vec<usize> {
        let network = lives.network;
        let mut causes = Vec::new();
        while let Some(cause) = named.pop() {
            if self.places[cause] == 0 {
                self.places[cause] = u32::MAX;
                causes.push(cause);
                named.extend(network.causes()[cause].brought_by.iter().map(|&(parent, _)| parent));
            }
        }
        causes.iter().for_each(|&c| self.places[c] = 0);
        causes.sort_unstable_by_key(|&c| network.rank(c));
        causes
    }

    fn add_cause(&mut self, lives: &Lives, cause: usize) {
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
        self.places[cause] = self.nodes.len() as u32;
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
        use super::lives::NEVER;
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

    /// A node for the numbers just put at the end of `start` and `weight`.
    fn add_node(&mut self, role: Role, levels: usize, asked: bool, join: Option<&Rc<Join>>) {
        let at = self.start.len() - levels;
        let place = if join.is_some() { self.joins.len() } else { NONE };
        self.joins.extend(join.cloned());
        self.nodes.push(Node { role, levels, at, asked, join: place, first_in: NONE, first_out: NONE });
    }

    /// A link whose numbers were just put at the end of `push`; one that changes nothing is none.
    fn add_link(&mut self, from: usize, to: usize, at: usize) {
        let levels = self.nodes[to].levels;
        if self.push[at..].chunks_exact(levels).any(|row| row[0] < 1.0) {
            self.join_nodes(from, to, at);
        } else {
            self.push.truncate(at);
        }
    }

    fn join_nodes(&mut self, from: usize, to: usize, at: usize) {
        let (next_in, next_out) = (self.nodes[to].first_in, self.nodes[from].first_out);
        let link = self.links.len();
        self.links.push(Link { from, to, at, next_in, next_out });
        self.nodes[to].first_in = link;
        self.nodes[from].first_out = link;
    }
}
