//! The search for the cheapest plan: a graph of standings, each with a lower and an upper bound on its expected cost.
//!
//! The lower bound of a new standing is what it would cost if the causes were known for nothing; the upper bound is the cost of a
//! complete plan, the fallback. Looking into a standing lists its moves; following one replaces the bounds by the best over the moves. A
//! standing reached in two ways is one standing. The search follows its best guess until the plan it makes has no loose end that counts, then
//! the lowest lower bound until nothing can be better: then the plan is the optimum (AO* with two bounds).

use super::comeback::Cost;
pub use super::graph::START;
use super::graph::{Graph, Move, Node};
use super::space::Space;

/// Bounds closer than this share of the cost count as met.
const MET: f64 = 1e-11;

/// Share of the cost below which a loose end of the guessed plan does not count.
const LOOSE: f64 = 1e-3;

/// First steps of which the cost is worked out for the list of what may be next.
const LISTED: usize = 12;

/// Outcomes less likely than this are not looked into to compare first steps.
const SELDOM: f64 = 0.01;

/// What the search goes by.
#[derive(Clone, Copy, PartialEq)]
enum Lead {
    /// Its best guess of the cost.
    Guess,
    /// The lowest lower bound.
    Lowest,
}

/// The search over a graph.
pub struct Search<'s> {
    /// The graph.
    pub graph: Graph<'s>,
}

impl<'s> Search<'s> {
    pub fn new(space: &'s Space) -> Search<'s> {
        Search { graph: Graph::new(space) }
    }

    /// Searches on until the bounds of a standing meet or the work is used up.
    pub fn improve(&mut self, root: usize, work: u64) {
        let mut stuck = false;
        while self.graph.work < work && !self.met(root) {
            let node = &self.graph.nodes[root];
            let lead = if !stuck && node.loose > LOOSE * node.upper.counted { Lead::Guess } else { Lead::Lowest };
            let news = self.advance(root, lead);
            if !news && lead == Lead::Lowest {
                break;
            }
            stuck = !news;
        }
    }

    /// Opens the moves from a standing that look best, and looks into where they lead, so that they can be compared.
    pub fn compare_first(&mut self, at: usize, work: u64) {
        self.graph.look_once(at);
        let moves = &self.graph.nodes[at].moves;
        let mut order: Vec<usize> = (0..moves.len()).collect();
        order.sort_by(|&a, &b| self.value(&moves[a], Lead::Guess).total_cmp(&self.value(&moves[b], Lead::Guess)));
        for m in order.into_iter().take(LISTED) {
            if !self.graph.nodes[at].moves[m].opened {
                self.graph.open(at, m);
            }
            let likely = self.graph.nodes[at].moves[m].branches.iter().filter(|b| b.probability > SELDOM);
            for node in likely.map(|b| b.node).collect::<Vec<_>>() {
                if self.graph.work < work {
                    self.graph.look_once(node);
                }
            }
        }
        self.back_up(at);
    }

    /// Whether nothing can be better than the plan found from a standing.
    pub fn met(&self, at: usize) -> bool {
        met(&self.graph.nodes[at])
    }

    /// Follows the lead to one thing not yet looked into, and carries the news up the way. False when there was no news.
    fn advance(&mut self, root: usize, lead: Lead) -> bool {
        let mut path = vec![root];
        let mut news = false;
        while let Some(&at) = path.last() {
            if !self.graph.nodes[at].looked {
                self.graph.look_once(at);
                news = true;
            }
            let Some(m) = self.choose(at, lead) else { break };
            if !self.graph.nodes[at].moves[m].opened {
                self.graph.open(at, m);
                news = true;
                break;
            }
            let Some(next) = self.follow(&self.graph.nodes[at].moves[m], lead) else { break };
            path.push(next);
        }
        path.into_iter().rev().fold(news, |news, at| self.back_up(at) || news)
    }

    /// The move to look into.
    fn choose(&self, at: usize, lead: Lead) -> Option<usize> {
        let node = &self.graph.nodes[at];
        let best = |lead: Lead, open: &dyn Fn(&Move) -> bool| {
            let open = (0..node.moves.len()).filter(|&m| open(&node.moves[m]));
            open.map(|m| (self.value(&node.moves[m], lead), m)).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, m)| m)
        };
        let guessed = best(Lead::Guess, &|_| true).filter(|&m| lead == Lead::Guess && self.loose(node, &node.moves[m]) > 0.0);
        guessed.or_else(|| best(Lead::Lowest, &|m| self.is_open(m) && self.value(m, Lead::Lowest) < node.upper.counted))
    }

    /// The branch to look into: where most is to be gained.
    fn follow(&self, m: &Move, lead: Lead) -> Option<usize> {
        let gain = |n: &Node| if lead == Lead::Guess && n.loose > 0.0 { n.loose } else { gap(n) };
        let open = m.branches.iter().map(|b| (b, &self.graph.nodes[b.node])).filter(|(_, n)| !met(n));
        open.max_by(|a, b| (a.0.probability * gain(a.1)).total_cmp(&(b.0.probability * gain(b.1)))).map(|(b, _)| b.node)
    }

    fn is_open(&self, m: &Move) -> bool {
        !m.opened || m.branches.iter().any(|b| !self.met(b.node))
    }

    fn sum(&self, m: &Move, value: impl Fn(&Node) -> f64) -> f64 {
        m.branches.iter().map(|b| b.probability * value(&self.graph.nodes[b.node])).sum::<f64>()
    }

    fn value(&self, m: &Move, lead: Lead) -> f64 {
        match lead {
            Lead::Lowest => self.lower(m).counted,
            Lead::Guess if m.opened => m.cost.counted + self.sum(m, |n| n.guess),
            Lead::Guess => m.guess,
        }
    }

    /// No plan that begins with this move costs less.
    pub fn lower(&self, m: &Move) -> Cost {
        if !m.opened {
            return m.least;
        }
        let Cost { money, counted } = self.total(m, |n| n.lower);
        Cost { money: money.min(m.most), counted: counted.min(m.most) }
    }

    /// The plan found that begins with this move costs this; nothing before it is opened.
    pub fn upper(&self, m: &Move) -> Cost {
        if m.opened { self.total(m, |n| n.upper) } else { Cost::of(f64::INFINITY) }
    }

    fn total(&self, m: &Move, cost: impl Fn(&Node) -> Cost) -> Cost {
        m.branches.iter().fold(m.cost, |sum, b| sum.plus(b.probability, cost(&self.graph.nodes[b.node])))
    }

    fn loose(&self, node: &Node, m: &Move) -> f64 {
        if m.opened { self.sum(m, |n| n.loose) } else { gap(node) }
    }

    /// Takes over what is known of the standings after; whether that was news.
    fn back_up(&mut self, at: usize) -> bool {
        let node = &self.graph.nodes[at];
        let refer = node.hand_over;
        let least = |of: fn(Cost) -> f64| node.moves.iter().map(|m| of(self.lower(m))).fold(refer, f64::min);
        let upper = node.moves.iter().map(|m| self.upper(m)).fold(node.upper, Cost::min);
        let money = least(|c| c.money).max(node.lower.money).min(upper.money);
        let lower = Cost { money, counted: least(|c| c.counted).max(node.lower.counted).min(upper.counted) };
        let work = node.moves.len() as u64;
        let guesses = node.moves.iter().map(|m| (self.value(m, Lead::Guess), self.loose(node, m)));
        let (guess, loose) = guesses.fold((refer, 0.0), |best, next| if next.0 < best.0 { next } else { best });
        let node = &mut self.graph.nodes[at];
        let before = (node.lower, node.upper, node.guess, node.loose);
        (node.lower, node.upper) = (lower, upper);
        self.graph.work += work;
        let node = &mut self.graph.nodes[at];
        node.guess = guess.max(lower.counted).min(upper.counted);
        node.loose = if met(node) { 0.0 } else { loose };
        before != (node.lower, node.upper, node.guess, node.loose)
    }

    /// Takes over all news from the standings after, through and through.
    pub fn settle(&mut self, root: usize) {
        let mut seen = vec![false; self.graph.nodes.len()];
        let mut open = vec![(root, false)];
        while let Some((at, after)) = open.pop() {
            if after {
                self.back_up(at);
            } else if !std::mem::replace(&mut seen[at], true) && self.graph.nodes[at].looked {
                open.push((at, true));
                open.extend(self.graph.nodes[at].moves.iter().flat_map(|m| m.branches.iter().map(|b| (b.node, false))));
            }
        }
    }
}

fn met(node: &Node) -> bool {
    gap(node) <= MET * (1.0 + node.upper.counted)
}

fn gap(node: &Node) -> f64 {
    node.upper.counted - node.lower.counted
}
