//! What takes part in a query: the causes that could have shown in what is known, and what is known, as one kind of node.
//!
//! A node has levels, of which the highest that anything pushes it to holds. A cause has two (absent, present); an
//! observation has those that it tells apart. Observations of one level need no node at all: they are factors on their
//! causes. A cause taken as absent or present is no node or a node whose links are already worked in.

use super::evidence::{Levels, Seen};
use super::network::Network;
use super::number::Number;

/// What a node stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// The cause of this index.
    Cause(usize),
    /// The observation of this index in the query.
    Seen(usize),
}

#[derive(Debug)]
pub(super) struct Node {
    pub role: Role,
    pub levels: usize,
    /// Where its numbers begin in `start` and `weight`.
    pub at: usize,
    /// Links into it and out of it.
    pub ins: Vec<usize>,
    pub outs: Vec<usize>,
}

/// From a cause to another node; when the cause is present it pushes the node to a level.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub from: usize,
    pub to: usize,
    /// Where its numbers begin in `push`.
    pub at: usize,
}

/// A query's own network.
#[derive(Debug)]
pub(super) struct Graph<T> {
    pub nodes: Vec<Node>,
    pub links: Vec<Link>,
    /// For each level of each node: the probability of reaching it with no node pushing.
    pub start: Vec<T>,
    /// For each level of each node: the factor on the evidence when it holds in the end.
    pub weight: Vec<T>,
    /// For each link and level of its target: the probability of a push to it.
    pub push: Vec<T>,
    /// Factor on everything that hangs on no cause, as a logarithm.
    pub constant: f64,
}

/// What a query is about.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Query<'a> {
    pub seen: &'a [&'a Seen],
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

impl<T: Number> Graph<T> {
    /// The part of a network that a query touches, with its numbers. The observations must be checked.
    pub fn new(network: &Network, query: Query) -> Graph<T> {
        let mut graph = Graph { nodes: vec![], links: vec![], start: vec![], weight: vec![], push: vec![], constant: 0.0 };
        let mut causes = taking_part(network, query);
        causes.sort_unstable_by_key(|&c| network.rank(c));
        let mut places = Places::new(&causes, query);
        for &cause in &causes {
            graph.add_cause(network, cause, &mut places);
        }
        for (i, seen) in query.seen.iter().enumerate() {
            graph.add_seen(network, i, seen, &places);
        }
        graph
    }

    fn add_cause(&mut self, network: &Network, cause: usize, places: &mut Places) {
        let node = &network.causes()[cause];
        let held = places.held(cause);
        if held == Held::Absent {
            self.constant += (1.0 - node.prior).ln();
            for &(parent, strength) in &node.brought_by {
                self.soften(parent, 1.0 - strength, places);
            }
            return;
        }
        let weight = if held == Held::Present { [0.0, 1.0] } else { [1.0, 1.0] };
        let index = self.add_node(Role::Cause(cause), &[1.0 - node.prior, node.prior], &weight);
        for &(parent, strength) in &node.brought_by {
            self.add_link(parent, index, &[1.0 - strength, strength], places);
        }
        places.put(cause, index);
    }

    fn add_seen(&mut self, network: &Network, index: usize, seen: &Seen, places: &Places) {
        let node = &network.findings()[seen.finding];
        let levels = Levels::of(&seen.weights);
        let stray: Vec<f64> = levels.split(&node.stray).collect();
        let pushes = node.pushes.iter().filter(|(cause, _)| !seen.cured.contains(cause));
        match levels.weights[..] {
            [] => self.constant = f64::NEG_INFINITY,
            [weight] => {
                self.constant += (weight * stray[0]).ln();
                for (cause, push) in pushes {
                    self.soften(*cause, levels.split(push).sum(), places);
                }
            }
            _ => {
                let to = self.add_node(Role::Seen(index), &stray, &levels.weights);
                for (cause, push) in pushes {
                    let push: Vec<f64> = levels.split(push).collect();
                    self.add_link(*cause, to, &push, places);
                }
            }
        }
    }

    fn add_node(&mut self, role: Role, start: &[f64], weight: &[f64]) -> usize {
        let at = self.start.len();
        self.start.extend(start.iter().map(|&x| T::of(x)));
        self.weight.extend(weight.iter().map(|&x| T::of(x)));
        self.nodes.push(Node { role, levels: start.len(), at, ins: vec![], outs: vec![] });
        self.nodes.len() - 1
    }

    /// A factor on the evidence when the cause is present.
    fn soften(&mut self, cause: usize, factor: f64, places: &Places) {
        match places.held(cause) {
            Held::Absent => {}
            Held::Present => self.constant += factor.ln(),
            Held::Free => {
                let at = self.nodes[places.get(cause)].at + 1;
                self.weight[at] = self.weight[at] * T::of(factor);
            }
        }
    }

    /// A link from a cause, or its effect on the target's start when the cause is taken as present.
    fn add_link(&mut self, cause: usize, to: usize, push: &[f64], places: &Places) {
        match places.held(cause) {
            Held::Absent => {}
            Held::Present => self.shift(to, push),
            // A link that changes nothing is none.
            Held::Free if push[0] >= 1.0 => {}
            Held::Free => {
                let (link, from) = (self.links.len(), places.get(cause));
                self.links.push(Link { from, to, at: self.push.len() });
                self.push.extend(push.iter().map(|&x| T::of(x)));
                self.nodes[from].outs.push(link);
                self.nodes[to].ins.push(link);
            }
        }
    }

    fn shift(&mut self, to: usize, push: &[f64]) {
        let at = self.nodes[to].at;
        let (mut below, mut reach) = (T::ZERO, T::ZERO);
        for (start, &p) in self.start[at..].iter_mut().zip(push) {
            let (old, p) = (*start, T::of(p));
            reach = reach + p;
            *start = old * reach + below * p;
            below = below + old;
        }
    }
}

/// Where each cause that takes part stands in the graph, and how it is held.
struct Places {
    of: std::collections::HashMap<usize, (Held, usize)>,
}

impl Places {
    fn new(causes: &[usize], query: Query) -> Places {
        let mut of: std::collections::HashMap<_, _> = causes.iter().map(|&c| (c, (Held::Free, usize::MAX))).collect();
        of.extend(query.present.iter().map(|&c| (c, (Held::Present, usize::MAX))));
        of.extend(query.absent.iter().map(|&c| (c, (Held::Absent, usize::MAX))));
        Places { of }
    }
    fn held(&self, cause: usize) -> Held {
        self.of[&cause].0
    }
    fn get(&self, cause: usize) -> usize {
        self.of[&cause].1
    }
    fn put(&mut self, cause: usize, node: usize) {
        if let Some(place) = self.of.get_mut(&cause) {
            place.1 = node;
        }
    }
}

/// The causes that could have shown in the evidence or are asked about, with all that could have brought them about.
fn taking_part(network: &Network, query: Query) -> Vec<usize> {
    let pushing = query.seen.iter().flat_map(|seen| {
        let pushes = &network.findings()[seen.finding].pushes;
        pushes.iter().map(|&(c, _)| c).filter(|c| !seen.cured.contains(c))
    });
    let named = query.wanted.iter().chain(query.present).chain(query.absent).copied();
    let mut open: Vec<usize> = pushing.chain(named).collect();
    let mut found = std::collections::HashSet::new();
    let mut causes = Vec::new();
    while let Some(cause) = open.pop() {
        if found.insert(cause) {
            causes.push(cause);
            open.extend(network.causes()[cause].brought_by.iter().map(|&(parent, _)| parent));
        }
    }
    causes
}
