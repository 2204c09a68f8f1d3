//! The graph of standings that the search grows: what can be done from each, and where that may lead.

use super::acts::Does;
use super::comeback::Cost;
use super::course::{Course, Effort, Place, Slight};
use super::looks::{Known, Look};
use super::mix::mix;
use super::space::{Space, Weights};
use super::step;
use foldhash::HashMap;

/// The standing that the search begins with; of this one even hopeless moves are listed, to say what they would cost.
pub const START: usize = 0;

/// Work of listing one action, in weights touched.
const LISTING: usize = 16;

/// Work of one weight in a plan without search, in weights of the search: they are gone over more than once.
const HEAVY: u64 = 3;

/// How good the best plan is thought to be, against one that was found without search.
const HOPE: f64 = 0.9;

/// A standing.
pub struct Node {
    /// What was done and stands open.
    pub setup: usize,
    /// What was read.
    pub known: Known,
    /// What may hold.
    pub weights: Weights,
    /// What it would cost if what holds were known for nothing.
    pub floor: f64,
    /// What it costs to hand the car over here.
    pub hand_over: f64,
    /// No plan costs less from here.
    pub lower: Cost,
    /// The plan found costs this from here.
    pub upper: Cost,
    /// What the best plan is thought to cost.
    pub guess: f64,
    /// How much the guessed plan may still change, weighted by how likely it comes to that.
    pub loose: f64,
    /// Entropy of the weights, in bits.
    pub bits: f64,
    /// What can be done, once looked into.
    pub moves: Vec<Move>,
    /// Whether it was looked into.
    pub looked: bool,
}

/// An action from a standing.
pub struct Move {
    /// The action.
    pub act: usize,
    /// What it costs with access.
    pub price: f64,
    /// What is expected to be counted for it: with what it costs more where it is in vain.
    pub cost: Cost,
    /// Findings it newly reads.
    pub read: Vec<usize>,
    /// Bits it is expected to settle.
    pub settles: f64,
    /// Before it is opened, what it costs at least.
    pub least: Cost,
    /// Before it is opened, what it is thought to cost.
    pub guess: f64,
    /// After it is opened, its lower bound cannot rise above this: where more could be read than is counted on.
    pub most: f64,
    /// Whether its branches are known.
    pub opened: bool,
    /// Probability that it ends the job.
    pub cured: f64,
    /// Where else it may lead.
    pub branches: Vec<Branch>,
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

/// Standings met so far.
pub struct Graph<'s> {
    /// The problem.
    pub space: &'s Space,
    /// The standings; the first is where the job stands.
    pub nodes: Vec<Node>,
    /// Weights touched so far.
    pub work: u64,
    places: HashMap<(u64, u64), usize>,
}

impl<'s> Graph<'s> {
    pub fn new(space: &'s Space) -> Graph<'s> {
        let start = &space.start;
        let mut graph = Graph { space, nodes: vec![], work: 0, places: HashMap::default() };
        graph.add(start.setup, start.known.clone(), start.weights.clone(), 0.0);
        graph
    }

    /// The standing with these weights; a new one gets its first bounds. A bit of doubt is thought to cost `rate`.
    fn add(&mut self, setup: usize, known: Known, weights: Weights, rate: f64) -> usize {
        let key = key(setup, &known, &weights);
        if let Some(&place) = self.places.get(&key) {
            return place;
        }
        let course = self.course(setup, &known, &weights, Effort::Fixes, self.space.slight);
        self.work += weights.len() as u64 + course.work;
        let upper = course.expected;
        let needed = self.space.needed(setup, &weights);
        let floor = needed.least.min(upper.money);
        let bits = step::entropy(&weights);
        let guess = (floor + rate * bits).min(upper.counted);
        let (lower, loose) = (Cost::of(floor), upper.counted - floor);
        let hand_over = self.space.refer + needed.repairs;
        let (moves, looked) = (vec![], false);
        self.places.insert(key, self.nodes.len());
        self.nodes.push(Node { setup, known, weights, floor, hand_over, lower, upper, guess, loose, bits, moves, looked });
        self.nodes.len() - 1
    }

    /// The plan without search from a standing.
    pub fn course(&self, setup: usize, known: &Known, weights: &[(u32, f64)], effort: Effort, slight: Slight) -> Course {
        Course::new(self.space, Place { setup, known: known.clone(), weights: weights.to_vec() }, effort, slight)
    }

    /// Lists what can be done from a standing, unless that was done.
    pub fn look_once(&mut self, at: usize) {
        if !self.nodes[at].looked {
            self.look(at);
        }
    }

    fn look(&mut self, at: usize) {
        let node = &self.nodes[at];
        let course = self.course(node.setup, &node.known, &node.weights, Effort::Full, self.space.slight);
        self.work += HEAVY * course.work;
        let node = &mut self.nodes[at];
        node.upper = node.upper.min(course.expected);
        let upper = node.upper.counted;
        let mass = self.touched(at);
        let leads = self.leading(&mass);
        let mut moves: Vec<Move> = (0..self.space.acts.len()).filter_map(|act| self.list(at, act, mass[act], leads[act])).collect();
        moves.retain(|m| at == START || m.least.money < upper);
        self.work += (self.space.acts.len() * LISTING) as u64;
        let rate = self.rate(at);
        let node = &mut self.nodes[at];
        for m in &mut moves {
            let left = if m.read.is_empty() { node.bits * (1.0 - mass[m.act]) } else { node.bits - m.settles };
            m.guess = m.least.counted + rate * left.max(0.0);
        }
        node.moves = moves;
        node.looked = true;
    }

    /// For each fix, the weight of the worlds of which it cures something in question.
    fn touched(&mut self, at: usize) -> Vec<f64> {
        self.work += self.nodes[at].weights.len() as u64;
        self.space.by_fix(&self.space.touched_by, &self.nodes[at].weights)
    }

    /// For each action whether it is, or must come before, a fix that cures something in question.
    fn leading(&self, mass: &[f64]) -> Vec<bool> {
        let setups = self.space.setups.borrow();
        let mut leads = vec![false; mass.len()];
        let touch = self.space.fixes.iter().filter(|a| mass[**a] > self.space.faint);
        touch.flat_map(|a| setups.before(*a)).for_each(|a| leads[*a] = true);
        leads
    }

    fn list(&mut self, at: usize, act: usize, mass: f64, leads: bool) -> Option<Move> {
        let node = &self.nodes[at];
        let cost = self.space.cost(node.setup, act);
        if cost.is_infinite() {
            return None;
        }
        let m = Move {
            act,
            price: cost,
            cost: Cost::of(cost),
            read: vec![],
            settles: 0.0,
            least: Cost::of(0.0),
            guess: 0.0,
            most: f64::INFINITY,
            opened: false,
            cured: 0.0,
            branches: vec![],
        };
        match &self.space.acts[act].does {
            Does::Fix(_) if !leads && self.space.faint > 0.0 => None,
            Does::Fix(_) => {
                let does = &self.space.acts[act];
                let undone = self.space.undone(act, &node.weights);
                if self.space.puts_off(mass, undone) {
                    return None;
                }
                // a world that the fix does not touch needs all that it needed before, unless something waits for the fix
                let wasted = if does.awaited { 0.0 } else { does.cost * (1.0 - mass) };
                let vain = does.vain * self.space.vain(act, &node.weights);
                let again = self.space.again_cost * does.cost * undone;
                let (money, least) = (cost + vain, node.floor + wasted + vain);
                let cost = Cost { money, counted: money + again };
                Some(Move { cost, least: Cost { counted: least + again, money: least }, settles: binary(mass), ..m })
            }
            Does::Check(findings) => {
                let (read, _) = step::read(self.space, findings, &node.known);
                let awaited = self.space.acts[act].awaited && !self.space.setups.borrow().done(node.setup, act);
                (!read.is_empty() || awaited).then(|| self.list_check(at, Move { read, ..m }))
            }
        }
    }

    fn list_check(&mut self, at: usize, mut m: Move) -> Move {
        let node = &self.nodes[at];
        let settles = m.read.iter().map(|&f| step::settles(self.space, &node.weights, f, node.known.look(f))).sum::<f64>();
        m.settles = settles.min(node.bits);
        self.work += (m.read.len() * node.weights.len()) as u64;
        let setup = node.setup;
        let after = self.space.after(setup, m.act);
        let node = &self.nodes[at];
        m.least = Cost::of(m.cost.money + if after == setup { node.floor } else { self.space.needed(after, &node.weights).least });
        m
    }

    /// Finds out where a move may lead.
    pub fn open(&mut self, at: usize, m: usize) {
        let act = self.nodes[at].moves[m].act;
        let after = self.space.after(self.nodes[at].setup, act);
        let rate = self.rate(at);
        match &self.space.acts[act].does {
            Does::Fix(_) => self.open_fix(at, m, after, rate),
            Does::Check(findings) => self.open_check(at, m, after, rate, findings),
        }
        self.nodes[at].moves[m].opened = true;
        self.work += self.space.acts.len() as u64;
    }

    /// What a bit of doubt is thought to cost here: what the plan found pays for it, or a little less.
    fn rate(&self, at: usize) -> f64 {
        let node = &self.nodes[at];
        HOPE * (node.upper.counted - node.floor) / node.bits.max(1e-9)
    }

    fn open_fix(&mut self, at: usize, m: usize, after: usize, rate: f64) {
        let act = self.nodes[at].moves[m].act;
        let step::Fixed { cured, left, known } = step::fixed(self.space, &self.nodes[at].weights, act, &self.nodes[at].known);
        self.work += 2 * self.nodes[at].weights.len() as u64;
        let mut branches = vec![];
        if !left.is_empty() {
            let (probability, weights) = step::normal(self.space, left);
            branches.push(Branch { states: vec![], probability, node: self.add(after, known, weights, rate) });
        }
        let opened = &mut self.nodes[at].moves[m];
        opened.most = if self.space.leaves_out[act] { opened.least.money } else { f64::INFINITY };
        (opened.cured, opened.branches) = (cured, branches);
    }

    fn open_check(&mut self, at: usize, m: usize, after: usize, rate: f64, findings: &[usize]) {
        let (read, whole) = step::read(self.space, findings, &self.nodes[at].known);
        let outcomes = step::split(self.space, &self.nodes[at].weights, &read, &self.nodes[at].known);
        self.work += (outcomes.len() * self.nodes[at].weights.len()) as u64;
        let before = self.nodes[at].known.clone();
        let mut branches = Vec::with_capacity(outcomes.len());
        for (states, mass) in outcomes {
            let (probability, weights) = step::normal(self.space, mass);
            let known = step::known_after(self.space, &before, findings, &read, &states);
            branches.push(Branch { states, probability, node: self.add(after, known, weights, rate) });
        }
        let bits: f64 = branches.iter().map(|b| b.probability * self.nodes[b.node].bits).sum();
        let node = &mut self.nodes[at];
        let opened = &mut node.moves[m];
        opened.settles = (node.bits - bits).max(0.0);
        opened.most = if whole { f64::INFINITY } else { opened.least.money };
        opened.branches = branches;
    }
}

/// Entropy of a chance, in bits.
fn binary(p: f64) -> f64 {
    let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    part(p) + part(1.0 - p)
}

/// Two standings with the same key are the same to 1e-12 in every weight.
fn key(setup: usize, known: &Known, weights: &[(u32, f64)]) -> (u64, u64) {
    let numbers = weights.iter().map(|(s, w)| (u64::from(*s) << 42) ^ (w * (1u64 << 40) as f64).round() as u64);
    let look = |look: &Look| match look {
        Look::Sure(k) => u64::from(*k) << 1,
        Look::Unsure(k) => u64::from(*k) << 1 | 1,
    };
    let looks = known.looks.iter().map(|(f, l)| u64::from(*f) << 32 | look(l));
    let all = [setup as u64].into_iter().chain(known.now.words()).chain([u64::MAX]).chain(looks).chain([u64::MAX]).chain(numbers);
    all.fold((0x243F_6A88_85A3_08D3, 0x1319_8A2E_0370_7344), |(a, b), n| (mix(a ^ n), mix(b.wrapping_add(n).rotate_left(17))))
}
