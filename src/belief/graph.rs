//! What takes part in a query: the causes that could have shown in what is known, and what is known, as one kind of node.
//!
//! A node has levels, of which the highest that anything pushes it to holds. A cause has two (absent, present); an
//! observation has those that it tells apart. Observations of one level need no node at all: they are factors on their
//! causes. A cause taken as absent is no node, and one taken as present is a node whose links are already worked in.

use super::evidence::{Levels, Look};
use super::network::Network;

/// End of a list of links, and a cause without a node.
const NONE: usize = usize::MAX;

fn link(index: usize) -> Option<usize> {
    (index != NONE).then_some(index)
}

/// What a node stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// The cause of this index.
    Cause(usize),
    /// The observation of this index in the query.
    Seen(usize),
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub role: Role,
    pub levels: usize,
    /// Where its numbers begin in `start` and `weight`.
    pub at: usize,
    /// Whether its distribution is an answer: a cause, or an observation that leaves several states open.
    pub asked: bool,
    first_in: usize,
    first_out: usize,
}

/// From a cause to another node; when the cause is present it pushes the node to a level.
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
    /// For each link and level of its target: the probability of a push to it.
    pub push: Vec<f64>,
    /// More factors on `weight`, kept apart because their product may be smaller than a double.
    pub factors: Vec<Factor>,
    /// Factor on everything that hangs on no cause, as a logarithm.
    pub constant: f64,
    /// The node of each cause of the network, counted from 1; 0 for none.
    places: Vec<u32>,
}

/// What a query is about.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Query<'a> {
    pub seen: &'a [&'a Look],
    /// Causes that take part whether the evidence reaches them or not.
    pub wanted: &'a [usize],
    /// Causes taken as present.
    pub present: &'a [usize],
    /// Causes taken as absent.
    pub absent: &'a [usize],
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Held {
    Free,
    Present,
    Absent,
}

impl Query<'_> {
    fn held(&self, cause: usize) -> Held {
        match cause {
            c if self.absent.contains(&c) => Held::Absent,
            c if self.present.contains(&c) => Held::Present,
            _ => Held::Free,
        }
    }
}

impl Graph {
    /// The part of a network that a query touches. The observations must be checked.
    pub fn new(network: &Network, query: Query) -> Graph {
        let mut graph = Graph { places: vec![0; network.causes().len()], ..Graph::default() };
        let mut named = [query.wanted, query.present, query.absent].concat();
        for seen in query.seen {
            let pushes = network.findings()[seen.finding].pushes.iter().map(|&(cause, _)| cause);
            named.extend(pushes.filter(|c| !seen.cured.contains(c)));
        }
        for cause in graph.missing(network, named) {
            graph.add_cause(network, cause, query);
        }
        let mut levels = Levels::default();
        for (i, seen) in query.seen.iter().enumerate() {
            levels.set(&seen.weights);
            graph.add_seen(network, i, &levels, query);
        }
        graph
    }

    /// Some nodes of this graph with their numbers (parents among them, in order), and causes that take no part in it yet
    /// (with all that could have brought them about). The constant is left behind. Also says where each node went.
    pub fn extended(&self, network: &Network, nodes: &[usize], fresh: &[usize]) -> (Graph, Vec<usize>) {
        let mut graph = Graph { places: vec![0; network.causes().len()], ..Graph::default() };
        let mut moved = vec![NONE; self.nodes.len()];
        let first_seen = nodes.partition_point(|&v| matches!(self.nodes[v].role, Role::Cause(_)));
        nodes[..first_seen].iter().for_each(|&v| graph.copy(self, v, &mut moved));
        fresh.iter().for_each(|&cause| graph.add_cause(network, cause, Query::default()));
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
        self.add_node(node.role, node.levels, node.asked);
        if let Role::Cause(cause) = node.role {
            self.places[cause] = self.nodes.len() as u32;
        }
        for l in other.ins(v) {
            let link = other.links[l];
            let at = self.push.len();
            self.push.extend_from_slice(&other.push[link.at..link.at + node.levels]);
            self.join(moved[link.from], moved[v], at);
        }
    }

    /// The node of a cause, if it takes part and is not taken as absent.
    pub fn place(&self, cause: usize) -> Option<usize> {
        self.places.get(cause).and_then(|&place| (place as usize).checked_sub(1))
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
    pub fn missing(&mut self, network: &Network, mut named: Vec<usize>) -> Vec<usize> {
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

    fn add_cause(&mut self, network: &Network, cause: usize, query: Query) {
        let node = &network.causes()[cause];
        let held = query.held(cause);
        if held == Held::Absent {
            self.constant += (1.0 - node.prior).ln();
            for &(parent, strength) in &node.brought_by {
                self.soften(parent, 1.0 - strength, query);
            }
            return;
        }
        let place = self.nodes.len();
        self.start.extend([1.0 - node.prior, node.prior]);
        self.weight.extend(if held == Held::Present { [0.0, 1.0] } else { [1.0, 1.0] });
        self.add_node(Role::Cause(cause), 2, true);
        for &(parent, strength) in &node.brought_by {
            self.add_link(parent, place, [1.0 - strength, strength].into_iter(), query);
        }
        self.places[cause] = self.nodes.len() as u32;
    }

    /// An observation; its causes must have their nodes.
    pub fn add_seen(&mut self, network: &Network, index: usize, levels: &Levels, query: Query) {
        let seen = query.seen[index];
        let node = &network.findings()[seen.finding];
        let pushes = node.pushes.iter().filter(|(cause, _)| !seen.cured.contains(cause));
        match levels.weights[..] {
            [] => self.constant = f64::NEG_INFINITY,
            [weight] => {
                self.constant += (weight * levels.split(&node.stray).sum::<f64>()).ln();
                for (cause, push) in pushes {
                    self.soften(*cause, levels.split(push).sum(), query);
                }
            }
            _ => {
                let to = self.nodes.len();
                self.start.extend(levels.split(&node.stray));
                self.weight.extend(&levels.weights);
                self.add_node(Role::Seen(index), levels.weights.len(), levels.open() > 1);
                for (cause, push) in pushes {
                    self.add_link(*cause, to, levels.split(push), query);
                }
            }
        }
    }

    /// A node for the numbers just put at the end of `start` and `weight`.
    fn add_node(&mut self, role: Role, levels: usize, asked: bool) {
        let at = self.start.len() - levels;
        self.nodes.push(Node { role, levels, at, asked, first_in: NONE, first_out: NONE });
    }

    /// A factor on the evidence when the cause is present.
    fn soften(&mut self, cause: usize, by: f64, query: Query) {
        match query.held(cause) {
            Held::Absent => {}
            Held::Present => self.constant += by.ln(),
            Held::Free => self.factors.extend(self.place(cause).map(|node| Factor { node, level: 1, by })),
        }
    }

    /// A link from a cause, or its effect on the target's start when the cause is taken as present.
    fn add_link(&mut self, cause: usize, to: usize, push: impl Iterator<Item = f64>, query: Query) {
        let at = self.push.len();
        self.push.extend(push);
        match query.held(cause) {
            Held::Free if self.push[at] < 1.0 => {
                return self.place(cause).into_iter().for_each(|from| self.join(from, to, at));
            }
            Held::Present => self.shift(to, at),
            // What is absent pushes nothing, and a link that changes nothing is none.
            Held::Free | Held::Absent => {}
        }
        self.push.truncate(at);
    }

    fn join(&mut self, from: usize, to: usize, at: usize) {
        let (next_in, next_out) = (self.nodes[to].first_in, self.nodes[from].first_out);
        let link = self.links.len();
        self.links.push(Link { from, to, at, next_in, next_out });
        self.nodes[to].first_in = link;
        self.nodes[from].first_out = link;
    }

    fn shift(&mut self, to: usize, at: usize) {
        let start = &mut self.start[self.nodes[to].at..];
        let (mut below, mut reach) = (0.0, 0.0);
        for (start, &p) in start.iter_mut().zip(&self.push[at..]) {
            let old = *start;
            reach += p;
            *start = old * reach + below * p;
            below += old;
        }
    }
}
