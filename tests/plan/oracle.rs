//! The optimum by plain enumeration, written from the definition alone: every action from every state of knowledge, over every draw of nature
//! (own draws, links, cures, pushes, misreadings). Slow, short, and shares no line with the planner.

use faultbook::belief::Network;
use faultbook::plan::{ActionKind, Found, Model, Step, Tree};
use std::collections::HashMap;
use std::rc::Rc;

/// Chance that a later look shows any state alike, whatever is there: `time.md`, section 3.
const MISREAD: f64 = 0.002;

/// What is known and done since the plan began.
#[derive(Clone, PartialEq, Eq, Hash, Default)]
struct State {
    /// Fixes, in order; each begins a period.
    fixes: Vec<usize>,
    /// Findings looked at: finding, period, state.
    looks: Vec<(usize, usize, usize)>,
    done: usize,
    open: usize,
}

/// What is present in each period, as bits, and how probable that is.
type Courses = Vec<(Vec<usize>, f64)>;

/// One look at a finding: its period, and which of the looks of the history it is, or past these which state it shows.
type LookKey = (usize, usize);

/// Past so many looks of a history come the states.
const STATES: usize = 1000;

pub struct Oracle<'m> {
    model: &'m Model,
    question: usize,
    courses: HashMap<Vec<usize>, Rc<Courses>>,
    weights: HashMap<State, Rc<Vec<(usize, f64)>>>,
    prices: HashMap<(usize, usize, usize), f64>,
    likely: HashMap<(usize, Vec<LookKey>, Vec<usize>), f64>,
    known: HashMap<State, f64>,
}

/// The least expected cost from where the model stands.
pub fn optimum(model: &Model) -> f64 {
    let mut oracle = Oracle::new(model);
    let start = oracle.start();
    oracle.value(&start)
}

/// What a tree costs, by definition.
pub fn cost_of(model: &Model, tree: &Tree) -> f64 {
    let mut oracle = Oracle::new(model);
    let start = oracle.start();
    let total: f64 = oracle.weights(&start).iter().map(|(_, w)| w).sum();
    oracle.follow(tree, tree.root, &start) / total
}

/// The repairs that are needed in any case, from where the model stands.
pub fn needed(model: &Model) -> f64 {
    let mut oracle = Oracle::new(model);
    let start = oracle.start();
    let weights = oracle.weights(&start);
    let total: f64 = weights.iter().map(|(_, w)| w).sum();
    weights.iter().map(|&(present, w)| w * oracle.repairs(&start, present)).sum::<f64>() / total
}

fn mask(items: impl IntoIterator<Item = usize>) -> usize {
    items.into_iter().fold(0, |m, i| m | 1 << i)
}

fn question(model: &Model) -> usize {
    let (mut found, mut causes) = (0, 0);
    let mut open: Vec<usize> = model.complaint.iter().flat_map(|&f| model.network.findings()[f].pushes.iter().map(|p| p.0)).collect();
    while let Some(c) = open.pop() {
        found |= 1 << c;
        causes |= if model.network.causes()[c].condition { 0 } else { 1 << c };
        open.extend(model.network.causes()[c].brought_by.iter().map(|p| p.0).filter(|p| found >> p & 1 == 0));
    }
    causes
}

impl Oracle<'_> {
    fn new(model: &Model) -> Oracle<'_> {
        Oracle {
            model,
            question: question(model),
            courses: HashMap::new(),
            weights: HashMap::new(),
            prices: HashMap::new(),
            likely: HashMap::new(),
            known: HashMap::new(),
        }
    }

    fn start(&self) -> State {
        State { done: mask(self.model.done.iter().copied()), open: mask(self.model.open.iter().copied()), ..State::default() }
    }

    fn cures(&self, action: usize) -> &[(usize, f64)] {
        if let ActionKind::Fix { cures } = &self.model.actions[action].kind { cures } else { &[] }
    }

    fn repairs_so_far(&self, state: &State) -> Vec<Vec<(usize, f64)>> {
        let before = self.model.history.repairs.iter().map(|r| r.cures.clone());
        before.chain(state.fixes.iter().map(|a| self.cures(*a).to_vec())).collect()
    }

    fn now(&self, state: &State) -> usize {
        self.model.history.now() + state.fixes.len()
    }

    /// All that may have happened: each own draw, link and cure drawn, one way after the other.
    fn courses(&mut self, state: &State) -> Rc<Courses> {
        if let Some(known) = self.courses.get(&state.fixes) {
            return Rc::clone(known);
        }
        let network = &self.model.network;
        let repairs = self.repairs_so_far(state);
        let owns = network.causes().iter().map(|n| n.prior);
        let links: Vec<(usize, usize, f64)> =
            network.causes().iter().enumerate().flat_map(|(c, n)| n.brought_by.iter().map(move |&(p, s)| (p, c, s))).collect();
        let chances: Vec<f64> = owns.chain(links.iter().map(|l| l.2)).chain(repairs.iter().flatten().map(|c| c.1)).collect();
        let mut found: HashMap<Vec<usize>, f64> = HashMap::new();
        for draws in 0..1usize << chances.len() {
            let drawn = |i: usize| draws >> i & 1 == 1;
            let p: f64 = chances.iter().enumerate().map(|(i, c)| if drawn(i) { *c } else { 1.0 - c }).product();
            if p > 0.0 {
                *found.entry(happens(network, &links, &repairs, drawn)).or_default() += p;
            }
        }
        let over = |course: &[usize]| course[0] & self.question != 0 && course[course.len() - 1] & self.question == 0;
        let courses: Rc<Courses> = Rc::new(found.into_iter().filter(|(course, _)| !over(course)).collect());
        self.courses.insert(state.fixes.clone(), Rc::clone(&courses));
        courses
    }

    /// For each set that may be present now, its joint probability with all that is known.
    fn weights(&mut self, state: &State) -> Rc<Vec<(usize, f64)>> {
        if let Some(known) = self.weights.get(state) {
            return Rc::clone(known);
        }
        let seen = self.model.history.seen.iter().enumerate().map(|(i, s)| (s.finding, (s.period, i)));
        let looks: Vec<(usize, LookKey)> = seen.chain(state.looks.iter().map(|&(f, period, k)| (f, (period, STATES + k)))).collect();
        let mut by_finding: Vec<(usize, Vec<LookKey>)> = vec![];
        for f in 0..self.model.network.findings().len() {
            let mut of: Vec<LookKey> = looks.iter().filter(|l| l.0 == f).map(|l| l.1).collect();
            of.sort_unstable();
            by_finding.extend((!of.is_empty()).then_some((f, of)));
        }
        let mut weights: HashMap<usize, f64> = HashMap::new();
        for (course, p) in self.courses(state).iter() {
            let joint = by_finding.iter().fold(*p, |joint, (f, of)| if joint > 0.0 { joint * self.likely(*f, of, course) } else { 0.0 });
            *weights.entry(course[course.len() - 1]).or_default() += joint;
        }
        let mut weights: Vec<(usize, f64)> = weights.into_iter().filter(|(_, w)| *w > 0.0).collect();
        weights.sort_by_key(|w| w.0);
        let weights = Rc::new(weights);
        self.weights.insert(state.clone(), Rc::clone(&weights));
        weights
    }

    /// P(looks at one finding | what is present in each period), over every draw of its pushes.
    fn likely(&mut self, f: usize, looks: &[LookKey], course: &[usize]) -> f64 {
        let node = &self.model.network.findings()[f];
        let pushers = mask(node.pushes.iter().map(|p| p.0));
        let course: Vec<usize> = course.iter().map(|present| present & pushers).collect();
        let key = (f, looks.to_vec(), course);
        if let Some(&known) = self.likely.get(&key) {
            return known;
        }
        let pushes: Vec<(usize, &Vec<f64>)> = node.pushes.iter().map(|(c, p)| (1 << c, p)).chain([(usize::MAX, &node.stray)]).collect();
        let states = node.states();
        let shown = |&(_, id): &LookKey| -> Vec<f64> {
            if id < STATES {
                self.model.history.seen[id].weights.clone()
            } else {
                (0..states).map(|k| f64::from(u8::from(k == id - STATES))).collect()
            }
        };
        let shown: Vec<Vec<f64>> = looks.iter().map(shown).collect();
        let mut sum = 0.0;
        for draw in 0..states.pow(pushes.len() as u32) {
            let to = |i: usize| draw / states.pow(i as u32) % states;
            let chance = |i: usize| if to(i) == 0 { 1.0 - pushes[i].1.iter().sum::<f64>() } else { pushes[i].1[to(i) - 1] };
            let mut joint: f64 = (0..pushes.len()).map(chance).product();
            for (nth, ((period, _), weights)) in looks.iter().zip(&shown).enumerate() {
                let there = |i: &usize| pushes[*i].0 == usize::MAX || pushes[*i].0 & key.2[*period] != 0;
                let state = (0..pushes.len()).filter(there).map(to).max().unwrap_or(0);
                let any = weights.iter().sum::<f64>() / states as f64;
                joint *= if nth == 0 { weights[state] } else { (1.0 - MISREAD) * weights[state] + MISREAD * any };
            }
            sum += joint;
        }
        self.likely.insert(key, sum);
        sum
    }

    /// The cheapest choice of actions not done yet that cures, as if every fix held, all in question that can be cured.
    fn repairs(&mut self, state: &State, present: usize) -> f64 {
        let key = (state.done, state.open, present & self.question);
        if let Some(&known) = self.prices.get(&key) {
            return known;
        }
        let price = self.price(state, present);
        self.prices.insert(key, price);
        price
    }

    fn price(&self, state: &State, present: usize) -> f64 {
        let actions = &self.model.actions;
        let open: Vec<usize> = (0..actions.len()).filter(|a| state.done >> a & 1 == 0).collect();
        let chosen = |choice: usize| mask((0..open.len()).filter(|i| choice >> i & 1 == 1).map(|i| open[i]));
        let cured = |choice: usize| {
            mask((0..actions.len()).filter(|a| choice >> a & 1 == 1).flat_map(|a| self.cures(a).iter()).filter(|c| c.1 > 0.0).map(|c| c.0))
        };
        let sound = |choice: usize| {
            (0..actions.len())
                .filter(|a| choice >> a & 1 == 1)
                .all(|a| actions[a].after.iter().all(|b| (choice | state.done) >> b & 1 == 1))
        };
        let choices: Vec<usize> = (0..1usize << open.len()).map(chosen).filter(|&c| sound(c)).collect();
        let curable = choices.iter().fold(0, |all, &c| all | cured(c));
        let wanted = present & self.question & curable;
        let cost = |choice: usize| {
            let mut opened = state.open;
            let acts = (0..actions.len()).filter(|a| choice >> a & 1 == 1).map(|a| &actions[a]);
            acts.map(|act| {
                let minutes: f64 = act.access.iter().map(|&x| self.enter_once(x, &mut opened)).sum();
                (minutes + act.minutes) * self.model.rate_per_minute + act.money
            })
            .sum::<f64>()
        };
        choices.iter().filter(|&&c| wanted & !cured(c) == 0).map(|&c| cost(c)).fold(f64::INFINITY, f64::min)
    }

    fn enter_once(&self, access: usize, open: &mut usize) -> f64 {
        if *open >> access & 1 == 1 {
            return 0.0;
        }
        *open |= 1 << access;
        let step = &self.model.access[access];
        step.minutes + step.needs.iter().map(|&x| self.enter_once(x, open)).sum::<f64>()
    }

    fn value(&mut self, state: &State) -> f64 {
        if let Some(&known) = self.known.get(state) {
            return known;
        }
        let weights = self.weights(state);
        let total: f64 = weights.iter().map(|(_, w)| w).sum();
        let mut best = self.hand_over(state, &weights) / total;
        for action in 0..self.model.actions.len() {
            if let Some((cost, nexts)) = self.act(state, &weights, action, None) {
                let after: f64 = nexts.iter().map(|(next, here)| here * self.value(next)).sum();
                best = best.min((cost + after) / total);
            }
        }
        self.known.insert(state.clone(), best);
        best
    }

    /// What handing over costs, times the probability of being here.
    fn hand_over(&mut self, state: &State, weights: &[(usize, f64)]) -> f64 {
        weights.iter().map(|&(present, w)| w * (self.model.refer_cost + self.repairs(state, present))).sum()
    }

    /// Cost of an action times the probability of being here, and where it may lead with what joint probability; nothing where it cannot be done.
    /// Of a check only these findings are read, where they are given.
    fn act(&mut self, state: &State, weights: &[(usize, f64)], action: usize, only: Option<&[usize]>) -> Option<(f64, Vec<(State, f64)>)> {
        let act = &self.model.actions[action];
        if act.after.iter().any(|a| state.done >> a & 1 == 0) {
            return None;
        }
        let mut next = state.clone();
        let minutes: f64 = act.access.iter().map(|&x| self.enter(x, &mut next.open)).sum();
        let bare = act.minutes * self.model.rate_per_minute + act.money;
        let cost = minutes * self.model.rate_per_minute + bare;
        next.done |= 1 << action;
        let here: f64 = weights.iter().map(|(_, w)| w).sum();
        match &act.kind {
            ActionKind::Fix { cures } => {
                if state.done >> action & 1 == 1 {
                    return None;
                }
                let cured = mask(cures.iter().filter(|c| c.1 > 0.0).map(|c| c.0));
                let vain: f64 = weights.iter().filter(|(present, _)| present & cured == 0).map(|(_, w)| w).sum();
                next.fixes.push(action);
                let nexts = self.with_weight(vec![next]);
                Some((here * cost + vain * (self.model.vain_factor - 1.0) * bare, nexts))
            }
            ActionKind::Check { reveals } => {
                let mut new: Vec<usize> = reveals.iter().copied().filter(|&f| self.readable(state, f)).collect();
                if let Some(only) = only {
                    assert!(only.iter().all(|f| new.contains(f)), "a finding is read that cannot have changed");
                    new = only.to_vec();
                }
                if new.is_empty() && state.done >> action & 1 == 1 {
                    return None;
                }
                let mut nexts = vec![next];
                for f in new {
                    let period = self.now(state);
                    let all = 0..self.model.network.findings()[f].states();
                    let with = |next: &State, k: usize| {
                        let mut next = next.clone();
                        next.looks.push((f, period, k));
                        next.looks.sort_unstable();
                        next
                    };
                    nexts = nexts.iter().flat_map(|next| all.clone().map(move |k| with(next, k))).collect();
                }
                let nexts = self.with_weight(nexts);
                Some((here * cost, nexts))
            }
        }
    }

    fn with_weight(&mut self, states: Vec<State>) -> Vec<(State, f64)> {
        let weighed = states.into_iter().map(|s| {
            let here = self.weights(&s).iter().map(|(_, w)| w).sum();
            (s, here)
        });
        weighed.filter(|(_, here)| *here > 0.0).collect()
    }

    /// Whether a finding was never looked at, or a repair since could have changed it.
    fn readable(&self, state: &State, f: usize) -> bool {
        let intake = self.model.history.seen.iter().filter(|s| s.finding == f).map(|s| s.period);
        let last = intake.chain(state.looks.iter().filter(|l| l.0 == f).map(|l| l.1)).max();
        last.is_none_or(|last| self.repairs_so_far(state)[last..].iter().any(|cures| self.reaches(cures, f)))
    }

    fn reaches(&self, cures: &[(usize, f64)], f: usize) -> bool {
        let nodes = self.model.network.causes();
        let mut ends = mask(cures.iter().filter(|c| c.1 > 0.0).map(|c| c.0));
        for _ in nodes {
            let more = (0..nodes.len()).filter(|&k| nodes[k].condition && nodes[k].brought_by.iter().any(|(p, _)| ends >> p & 1 == 1));
            ends |= mask(more);
        }
        self.model.network.findings()[f].pushes.iter().any(|(c, _)| ends >> c & 1 == 1)
    }

    fn enter(&self, access: usize, open: &mut usize) -> f64 {
        if *open >> access & 1 == 1 {
            return 0.0;
        }
        let step = &self.model.access[access];
        let before: f64 = step.needs.iter().map(|&x| self.enter(x, open)).sum();
        *open &= !mask(step.undoes.iter().copied());
        *open |= 1 << access;
        before + step.minutes
    }

    /// What a tree costs from a node, times the probability of being here.
    fn follow(&mut self, tree: &Tree, at: usize, state: &State) -> f64 {
        let (node, weights) = (&tree.nodes[at], self.weights(state));
        match node.step {
            Step::Done => panic!("the job is not done while something in question may be there"),
            Step::Refer => self.hand_over(state, &weights),
            Step::Fix(action) => {
                let (cost, nexts) = self.act(state, &weights, action, None).expect("a fix that can be done");
                let next = node.branches.iter().find(|b| b.found == Found::NotCured);
                assert_eq!(next.is_some(), !nexts.is_empty());
                cost + nexts.iter().zip(next).map(|((s, _), b)| self.follow(tree, b.next, s)).sum::<f64>()
            }
            Step::Check(action) => {
                let read: Vec<usize> = match node.branches.first().map(|b| &b.found) {
                    Some(Found::States(states)) => states.iter().map(|s| s.0).collect(),
                    _ => vec![],
                };
                let (cost, nexts) = self.act(state, &weights, action, Some(&read)).expect("a check that can be done");
                let period = self.now(state);
                let mut sum = cost;
                for (next, _) in nexts {
                    let shows = |b: &Found| matches!(b, Found::States(s) if s.iter().all(|&(f, k)| next.looks.contains(&(f, period, k))));
                    let branch = node.branches.iter().find(|b| shows(&b.found)).expect("a branch for what may be seen");
                    sum += self.follow(tree, branch.next, &next);
                }
                sum
            }
        }
    }
}

/// What is present in each period when these draws fall: own draws first, then links, then cures.
fn happens(network: &Network, links: &[(usize, usize, f64)], repairs: &[Vec<(usize, f64)>], drawn: impl Fn(usize) -> bool) -> Vec<usize> {
    let nodes = network.causes();
    let owns = mask((0..nodes.len()).filter(|i| drawn(*i)));
    let acting: Vec<(usize, usize)> =
        links.iter().enumerate().filter(|(i, _)| drawn(nodes.len() + i)).map(|(_, &(p, c, _))| (p, c)).collect();
    let grown = |mut present: usize, wanted: &dyn Fn(usize) -> bool| {
        for _ in nodes {
            present |= mask(acting.iter().filter(|(p, c)| present >> p & 1 == 1 && wanted(*c)).map(|(_, c)| *c));
        }
        present
    };
    let intake = grown(owns, &|_| true);
    let conditions = mask((0..nodes.len()).filter(|&c| nodes[c].condition));
    let (mut causes, mut course, mut draw) = (intake & !conditions, vec![intake], nodes.len() + links.len());
    for repair in repairs {
        for &(cause, _) in repair {
            causes &= !if drawn(draw) { 1 << cause } else { 0 };
            draw += 1;
        }
        course.push(grown(causes | owns & conditions, &|c| nodes[c].condition));
    }
    course
}
