//! The search for the cheapest plan: a graph of standings, each with a lower and an upper bound on its expected cost.
//!
//! The lower bound of a new standing is what it would cost if the causes were known for nothing; the upper bound is the cost of a
//! complete plan, the fallback. Looking into a standing replaces both by the best over its actions. A standing reached in two
//! ways is one standing. The search follows its best guess until the plan it makes has no loose end that counts, then the lowest
//! lower bound until nothing can be better: then the plan is the optimum (AO* with two bounds).

use super::acts::Does;
use super::bits::Bits;
use super::fallback::Fallback;
use super::setup::Setups;
use super::space::{Space, Weights};
use super::step::{self, Outcome};
use std::collections::HashMap;

/// Bounds closer than this share of the cost count as met.
const MET: f64 = 1e-11;

/// The standing that the search begins with; of this one even hopeless actions are looked into, to say what they would cost.
pub const START: usize = 0;

/// Share of the cost below which a loose end of the guessed plan does not count.
const LOOSE: f64 = 1e-3;

/// A standing.
pub struct Node {
    /// What was done and stands open.
    pub setup: usize,
    /// Findings known in this period.
    pub known: Bits,
    /// What may be present; kept from the time the standing is looked into.
    pub weights: Weights,
    /// No plan costs less from here.
    pub lower: f64,
    /// The plan found costs this from here.
    pub upper: f64,
    guess: f64,
    loose: f64,
    /// Entropy of the weights, in bits.
    pub bits: f64,
    /// What can be done; empty until looked into.
    pub moves: Vec<Move>,
    looked: bool,
}

/// An action from a standing.
pub struct Move {
    /// The action.
    pub act: usize,
    /// Its cost with access.
    pub cost: f64,
    /// Probability that it ends the job.
    pub cured: f64,
    /// Where else it may lead.
    pub branches: Vec<Branch>,
    /// Findings it newly reads.
    pub read: Vec<usize>,
    /// Its lower bound cannot rise above this: where more could be read than is counted on, what it costs with all known.
    most: f64,
}

/// One way a move may turn out.
pub struct Branch {
    /// State of each finding read; empty for a fix.
    pub states: Vec<usize>,
    /// Its probability.
    pub probability: f64,
    /// The standing it leads to.
    pub node: usize,
}

/// The search and its graph.
pub struct Search<'s> {
    /// The problem.
    pub space: &'s Space,
    /// Combinations met.
    pub setups: Setups,
    /// Standings met; the first is where the job stands.
    pub nodes: Vec<Node>,
    places: HashMap<(u64, u64), usize>,
    /// Weights touched so far.
    pub work: u64,
}

#[derive(Clone, Copy, PartialEq)]
enum Lead {
    Guess,
    Lowest,
}

impl<'s> Search<'s> {
    pub fn new(space: &'s Space) -> Search<'s> {
        let mut setups = Setups::new(space);
        let start = &space.start;
        let setup = setups.place(space, start.done.clone(), start.open.clone());
        let mut search = Search { space, setups, nodes: vec![], places: HashMap::new(), work: 0 };
        search.node(setup, start.known.clone(), start.weights.clone());
        search
    }

    /// Looks on until the bounds of a standing meet or the work is used up.
    pub fn improve(&mut self, root: usize, work: u64) {
        while self.work < work && !self.met(root) {
            let lead = if self.nodes[root].loose > LOOSE * self.nodes[root].upper || !self.nodes[root].looked {
                Lead::Guess
            } else {
                Lead::Lowest
            };
            if !self.advance(root, lead) {
                break;
            }
        }
    }

    /// Whether nothing can be better than the plan found from a standing.
    pub fn met(&self, node: usize) -> bool {
        let node = &self.nodes[node];
        node.upper - node.lower <= MET * (1.0 + node.upper)
    }

    /// Looks into one standing and carries the news up the way to it. False when there is none left to look into.
    fn advance(&mut self, root: usize, lead: Lead) -> bool {
        let mut path = vec![root];
        let mut at = root;
        while self.nodes[at].looked {
            let Some(next) = self.descend(at, lead) else { break };
            path.push(next);
            at = next;
        }
        let fresh = !self.nodes[at].looked;
        if fresh {
            self.look(at);
        }
        path.into_iter().rev().fold(fresh, |news, n| self.back_up(n) || news)
    }

    fn descend(&mut self, at: usize, lead: Lead) -> Option<usize> {
        let chosen = self.choose(at, lead).or_else(|| self.choose(at, Lead::Lowest))?;
        let branches = &self.nodes[at].moves[chosen].branches;
        let weight = |b: &&Branch| b.probability * if lead == Lead::Guess { self.nodes[b.node].loose } else { self.gap(b.node) };
        let best = branches.iter().filter(|b| !self.met(b.node)).max_by(|a, b| weight(a).total_cmp(&weight(b)));
        best.map(|b| b.node)
    }

    /// The move to look into: one with a branch whose bounds have not met.
    fn choose(&self, at: usize, lead: Lead) -> Option<usize> {
        let node = &self.nodes[at];
        let value = |m: &Move| if lead == Lead::Guess { self.sum(m, |n| n.guess) } else { self.lower(m) };
        let best = (0..node.moves.len()).min_by(|&a, &b| value(&node.moves[a]).total_cmp(&value(&node.moves[b])))?;
        if lead == Lead::Guess {
            let open = self.sum(&node.moves[best], |n| n.loose) > node.moves[best].cost;
            return open.then_some(best);
        }
        let open = |m: &Move| m.branches.iter().any(|b| !self.met(b.node)) && self.lower(m) < node.upper;
        let open = (0..node.moves.len()).filter(|&m| open(&node.moves[m]));
        open.min_by(|&a, &b| value(&node.moves[a]).total_cmp(&value(&node.moves[b])))
    }

    fn gap(&self, node: usize) -> f64 {
        self.nodes[node].upper - self.nodes[node].lower
    }

    fn sum(&self, m: &Move, value: impl Fn(&Node) -> f64) -> f64 {
        m.cost + m.branches.iter().map(|b| b.probability * value(&self.nodes[b.node])).sum::<f64>()
    }

    /// No plan that begins with this move costs less.
    pub fn lower(&self, m: &Move) -> f64 {
        self.sum(m, |n| n.lower).min(m.most)
    }

    /// The plan found that begins with this move costs this.
    pub fn upper(&self, m: &Move) -> f64 {
        self.sum(m, |n| n.upper)
    }

    /// Takes over what is known of the standings after; whether that was news.
    fn back_up(&mut self, at: usize) -> bool {
        let node = &self.nodes[at];
        let least = |value: &dyn Fn(&Move) -> f64, start: f64| node.moves.iter().map(value).fold(start, f64::min);
        let lower = least(&|m| self.lower(m), self.space.refer).max(node.lower);
        let upper = least(&|m| self.upper(m), node.upper);
        let mut guess = self.space.refer;
        let mut loose = 0.0;
        for m in &node.moves {
            let value = self.sum(m, |n| n.guess);
            if value < guess {
                (guess, loose) = (value, self.sum(m, |n| n.loose) - m.cost);
            }
        }
        let met = upper - lower <= MET * (1.0 + upper);
        let node = &mut self.nodes[at];
        let before = (node.lower, node.upper, node.guess, node.loose);
        (node.lower, node.upper) = (lower, upper);
        node.guess = guess.clamp(lower.min(upper), upper);
        node.loose = if met { 0.0 } else { loose.max(0.0) };
        before != (node.lower, node.upper, node.guess, node.loose)
    }

    /// Takes over all news from the standings after, through and through.
    pub fn settle(&mut self, root: usize) {
        let mut seen = vec![false; self.nodes.len()];
        let mut open = vec![(root, false)];
        while let Some((at, children_done)) = open.pop() {
            if children_done {
                self.back_up(at);
            } else if !std::mem::replace(&mut seen[at], true) && self.nodes[at].looked {
                open.push((at, true));
                open.extend(self.nodes[at].moves.iter().flat_map(|m| m.branches.iter().map(|b| (b.node, false))));
            }
        }
    }

    /// The standing with these weights; a new one gets its first bounds.
    fn node(&mut self, setup: usize, known: Bits, weights: Weights) -> usize {
        let key = key(setup, &known, &weights);
        if let Some(&place) = self.places.get(&key) {
            return place;
        }
        let at = self.setups.get(setup);
        let lower = self.floor(setup, &weights);
        let upper = Fallback::new(self.space, at, &weights).cost;
        let bits = step::entropy(&weights);
        let (lower, guess) = (lower.min(upper), upper);
        let loose = upper - lower;
        self.work += 4 * weights.len() as u64;
        self.places.insert(key, self.nodes.len());
        self.nodes.push(Node { setup, known, weights, lower, upper, guess, loose, bits, moves: vec![], looked: false });
        self.nodes.len() - 1
    }

    /// What it costs from these weights when the causes are known for nothing.
    fn floor(&self, setup: usize, weights: &[(u32, f64)]) -> f64 {
        let floor = &self.setups.get(setup).floor;
        weights.iter().map(|(s, w)| w * floor[*s as usize]).sum()
    }

    /// Finds out all that can be done from a standing.
    fn look(&mut self, at: usize) {
        let moves: Vec<Move> = (0..self.space.acts.len()).filter_map(|act| self.try_act(at, act)).collect();
        let rate = moves.iter().map(|m| m.cost / (self.nodes[at].bits - self.bits_after(m)).max(1e-9)).fold(f64::INFINITY, f64::min);
        for branch in moves.iter().flat_map(|m| &m.branches) {
            let node = &mut self.nodes[branch.node];
            if !node.looked {
                node.guess = (node.lower + rate * node.bits).min(node.upper);
            }
        }
        self.nodes[at].moves = moves;
        self.nodes[at].looked = true;
    }

    /// Expected entropy after a move.
    pub fn bits_after(&self, m: &Move) -> f64 {
        m.branches.iter().map(|b| b.probability * self.nodes[b.node].bits).sum()
    }

    fn try_act(&mut self, at: usize, act: usize) -> Option<Move> {
        let cost = self.setups.get(self.nodes[at].setup).costs[act];
        let hopeless = cost >= self.nodes[at].upper && at != START;
        if hopeless || cost.is_infinite() {
            return None;
        }
        match &self.space.acts[act].does {
            Does::Check(findings) => self.check(at, act, cost, findings),
            Does::Fix(_) => Some(self.fix(at, act, cost)),
        }
    }

    fn check(&mut self, at: usize, act: usize, cost: f64, findings: &[usize]) -> Option<Move> {
        let (read, whole) = step::read(self.space, findings, &self.nodes[at].known);
        let awaited = self.space.acts[act].awaited && !self.setups.get(self.nodes[at].setup).done.has(act);
        let outcomes = step::outcomes(self.space, &self.nodes[at].weights, &read);
        self.work += (outcomes.len() * self.nodes[at].weights.len()) as u64;
        if read.is_empty() && !awaited {
            return None;
        }
        let mut known = self.nodes[at].known.clone();
        findings.iter().for_each(|&f| known.insert(f));
        let setup = self.setups.after(self.space, self.nodes[at].setup, act);
        let mut branches = Vec::with_capacity(outcomes.len());
        for Outcome { states, probability, weights } in outcomes {
            branches.push(Branch { states, probability, node: self.node(setup, known.clone(), weights) });
        }
        let most = if whole { f64::INFINITY } else { cost + self.floor(setup, &self.nodes[at].weights) };
        Some(Move { act, cost, cured: 0.0, branches, read, most })
    }

    fn fix(&mut self, at: usize, act: usize, cost: f64) -> Move {
        let (cured, probability, weights) = step::fixed(self.space, &self.nodes[at].weights, act);
        self.work += self.nodes[at].weights.len() as u64;
        let mut branches = Vec::new();
        if !weights.is_empty() {
            let setup = self.setups.after(self.space, self.nodes[at].setup, act);
            branches.push(Branch { states: vec![], probability, node: self.node(setup, Bits::default(), weights) });
        }
        Move { act, cost, branches, cured, read: vec![], most: f64::INFINITY }
    }
}

/// Two standings with the same key are the same to 1e-12 in every weight.
fn key(setup: usize, known: &Bits, weights: &[(u32, f64)]) -> (u64, u64) {
    let numbers = weights.iter().map(|(s, w)| (u64::from(*s) << 42) ^ (w * (1u64 << 40) as f64).round() as u64);
    let all = [setup as u64].into_iter().chain(known.iter().map(|f| f as u64 + 1)).chain([u64::MAX]).chain(numbers);
    all.fold((0x243F_6A88_85A3_08D3, 0x1319_8A2E_0370_7344), |(a, b), n| (mix(a ^ n), mix(b.wrapping_add(n).rotate_left(17))))
}

/// A bijection that spreads every bit (the finaliser of SplitMix64; Steele, Lea & Flood 2014).
fn mix(mut n: u64) -> u64 {
    n = (n ^ (n >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    n ^ (n >> 31)
}
