//! What takes part in a query: the causes that could have shown in what is known, and what is known, as one kind of node.
//!
//! A node has levels, of which the highest that anything pushes it to holds. A cause has two (absent, present at intake), a condition one for
//! each of its ends (`lives`), an observation those that it tells apart (`looks`). A cause that a repair may not have cured is followed by a node for its
//! end; what a cause pushes hangs on the last of its nodes, what it brought about for good on the first. Observations of one level need no node
//! at all: they are factors on what pushes them.

use super::lives::Lives;
use crate::belief::arith::Join;
use std::rc::Rc;

/// End of a list of links, and a cause without a node.
const NONE: usize = usize::MAX;

fn link(index: usize) -> Option<usize> {
    (index != NONE).then_some(index)
}

/// What a node stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
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
pub struct Node {
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
pub struct Link {
    pub from: usize,
    pub to: usize,
    /// Where its numbers begin in `push`.
    pub at: usize,
    next_in: usize,
    next_out: usize,
}

/// A factor on the weight of one level of a node.
#[derive(Debug, Clone, Copy)]
pub struct Factor {
    pub node: usize,
    pub level: usize,
    pub by: f64,
}

/// A query's own network. Parents come before the causes they bring about, observations after all causes.
#[derive(Debug, Default)]
pub struct Graph {
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

impl Graph {
    /// A graph without nodes, of a network of so many causes and conditions.
    pub fn empty(causes: usize) -> Graph {
        Graph { places: vec![0; causes], ..Graph::default() }
    }

    /// One node of another graph, with the links into it.
    pub fn copy(&mut self, other: &Graph, v: usize, moved: &mut [usize]) {
        let node = other.nodes[v];
        let slots = node.at..node.at + node.levels;
        moved[v] = self.nodes.len();
        self.start.extend_from_slice(&other.start[slots.clone()]);
        self.weight.extend_from_slice(&other.weight[slots]);
        self.add_node(node.role, node.levels, node.asked, other.join(v));
        if let Role::Cause(cause) = node.role {
            self.place_last(cause);
        }
        for l in other.ins(v) {
            let link = other.links[l];
            let at = self.push.len();
            let size = (other.nodes[link.from].levels - 1) * node.levels;
            self.push.extend_from_slice(&other.push[link.at..link.at + size]);
            self.join_nodes(moved[link.from], moved[v], at);
        }
    }

    /// The node last added begins a cause or condition.
    pub fn place_last(&mut self, cause: usize) {
        self.places[cause] = self.nodes.len() as u32;
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

    /// A node for the numbers just put at the end of `start` and `weight`.
    pub fn add_node(&mut self, role: Role, levels: usize, asked: bool, join: Option<&Rc<Join>>) {
        let at = self.start.len() - levels;
        let place = if join.is_some() { self.joins.len() } else { NONE };
        self.joins.extend(join.cloned());
        self.nodes.push(Node { role, levels, at, asked, join: place, first_in: NONE, first_out: NONE });
    }

    /// A link whose numbers were just put at the end of `push`; one that changes nothing is none. A push may be so slight that what is left of 1 is 1.
    pub fn add_link(&mut self, from: usize, to: usize, at: usize) {
        let levels = self.nodes[to].levels;
        if self.push[at..].chunks_exact(levels).any(|row| row[0] < 1.0 || row[1..].iter().any(|p| *p > 0.0)) {
            self.join_nodes(from, to, at);
        } else {
            self.push.truncate(at);
        }
    }

    pub fn join_nodes(&mut self, from: usize, to: usize, at: usize) {
        let (next_in, next_out) = (self.nodes[to].first_in, self.nodes[from].first_out);
        let link = self.links.len();
        self.links.push(Link { from, to, at, next_in, next_out });
        self.nodes[to].first_in = link;
        self.nodes[from].first_out = link;
    }
}
