//! The planning problem in numbers: which sets of causes may be present, how each fix changes them, what each finding
//! would show under them, and where the job stands.

use super::acts::{Act, Acts, Does, Opening};
use super::bits::Bits;
use super::model::{Budget, Model, PlanError};
use super::scope::Scope;
use super::sets::{self, Weighed};
use super::weigher::{Background, Pushed, Weigher, pushed};
use crate::belief::{Limits, Prepared};
use std::collections::{BTreeMap, HashMap};

/// Share of the probability that may be dropped where the sets are too many to take all.
const TOLERANCE: f64 = 1e-4;

/// A finding that a check can read.
pub struct Reading {
    /// Its index in the model.
    pub finding: usize,
    /// For each state, its probability under each set.
    pub states: Vec<Vec<f64>>,
}

/// Weights of the sets that may be present, rising by set; they sum to 1.
pub type Weights = Box<[(u32, f64)]>;

/// Where a job stands.
pub struct Standing {
    /// What may be present.
    pub weights: Weights,
    /// Findings known in this period.
    pub known: Bits,
    /// Fixes done, and checks that others wait for.
    pub done: Bits,
    /// Access steps open.
    pub open: Bits,
}

/// The problem.
pub struct Space {
    /// For each set of causes, whether one in question is among them.
    pub in_question: Vec<bool>,
    /// For each set of causes, its members in question, as places in the scope.
    pub members: Vec<Vec<usize>>,
    /// For each action, what a fix turns each set into; empty for checks.
    pub becomes: Vec<Vec<u32>>,
    /// Actions that matter.
    pub acts: Vec<Act>,
    /// Access steps they need.
    pub openings: Vec<Opening>,
    /// Findings they read.
    pub readings: Vec<Reading>,
    /// Money for a minute.
    pub rate: f64,
    /// Cost of referring the car.
    pub refer: f64,
    /// Where the job stands.
    pub start: Standing,
    /// Share of the probability that no set stands for.
    pub dropped: f64,
    /// Which causes are told apart.
    pub scope: Scope,
}

impl Space {
    pub fn new(model: &Model, budget: &Budget, limits: &Limits) -> Result<Space, PlanError> {
        let scope = Scope::new(model);
        let (weighed, dropped) = weigh(model, &scope, budget, limits)?;
        let mut background = Background::new(model, &scope);
        let mut finding = |f: usize| pushed(model, &scope, f, &[], &mut background);
        let acts = Acts::new(model, &scope, |f| finding(f).tells());
        let (universe, weights) = Universe::new(model, &scope, &acts, weighed)?;
        let readings = acts.findings.iter().map(|&f| reading(f, &finding(f), &universe)).collect();
        let fixes: Vec<usize> = model.done.iter().copied().filter(|&a| is_awaited_or_fix(&acts, a)).collect();
        let start = Standing { weights, known: known(model, &acts), done: acts.places(&fixes), open: acts.open(&model.open) };
        let questioned = |set: &Vec<usize>| set.iter().copied().filter(|&c| scope.in_question[c]).collect::<Vec<_>>();
        let members: Vec<Vec<usize>> = universe.sets.iter().map(questioned).collect();
        let becomes = acts.acts.iter().map(|act| universe.becomes(act)).collect();
        let in_question = members.iter().map(|m| !m.is_empty()).collect();
        let Acts { acts, openings, .. } = acts;
        let (rate, refer) = (model.rate_per_minute, model.refer_cost);
        Ok(Space { in_question, members, becomes, acts, openings, readings, rate, refer, start, dropped, scope })
    }
}

fn is_awaited_or_fix(acts: &Acts, action: usize) -> bool {
    acts.acts.iter().any(|act| act.action == action && (act.awaited || matches!(act.does, Does::Fix(_))))
}

/// Findings seen since the last fix.
fn known(model: &Model, acts: &Acts) -> Bits {
    let sorted = |causes: &[usize]| {
        let mut causes = causes.to_vec();
        causes.sort_unstable();
        causes.dedup();
        causes
    };
    let now = sorted(&model.cured);
    let seen = model.seen.iter().filter(|s| sorted(&s.cured) == now);
    Bits::of(seen.filter_map(|s| acts.findings.binary_search(&s.finding).ok()))
}

/// The sets that were present at intake, and the share of the probability that they leave out.
fn weigh(model: &Model, scope: &Scope, budget: &Budget, limits: &Limits) -> Result<(Weighed, f64), PlanError> {
    let log_evidence = Prepared::new(&model.network, &model.seen, limits)?.log_evidence();
    let weigher = Weigher::new(model, scope);
    if scope.complete {
        return Ok((sets::every(&weigher), 0.0));
    }
    let total = (log_evidence - weigher.scale).exp();
    let weighed = sets::likeliest(&weigher, total, TOLERANCE, budget.sets);
    let covered: f64 = weighed.iter().map(|(_, w)| w).sum();
    Ok((weighed, (1.0 - covered / total).max(0.0)))
}

/// All sets that can come up.
struct Universe {
    sets: Vec<Vec<usize>>,
    place: HashMap<Vec<usize>, u32>,
}

impl Universe {
    /// The sets present now, and all that fixes can make of them. Sets whose causes in question were all cured would have
    /// ended the job, so they are out.
    fn new(model: &Model, scope: &Scope, acts: &Acts, weighed: Weighed) -> Result<(Universe, Weights), PlanError> {
        let cured: Vec<usize> = model.cured.iter().filter_map(|&c| scope.place(c)).collect();
        let asked = |set: &[usize]| set.iter().any(|&c| scope.in_question[c]);
        let mut now: BTreeMap<Vec<usize>, f64> = BTreeMap::new();
        for (set, weight) in weighed {
            let left = without(&set, &cured);
            if asked(&left) || !asked(&set) {
                *now.entry(left).or_default() += weight;
            }
        }
        let mut universe = Universe { sets: vec![], place: HashMap::new() };
        now.keys().for_each(|set| universe.add(set.clone()));
        let total: f64 = now.values().sum();
        if total <= 0.0 {
            return Err(PlanError::NothingLeft);
        }
        let weights = now.into_values().enumerate().map(|(i, w)| (i as u32, w / total)).collect();
        universe.close(acts);
        Ok((universe, weights))
    }

    fn add(&mut self, set: Vec<usize>) {
        if !self.place.contains_key(&set) {
            self.place.insert(set.clone(), self.sets.len() as u32);
            self.sets.push(set);
        }
    }

    fn close(&mut self, acts: &Acts) {
        let mut next = 0;
        while next < self.sets.len() {
            for act in &acts.acts {
                if let Does::Fix(cures) = &act.does {
                    self.add(without(&self.sets[next], cures));
                }
            }
            next += 1;
        }
    }

    fn becomes(&self, act: &Act) -> Vec<u32> {
        match &act.does {
            Does::Check(_) => vec![],
            Does::Fix(cures) => self.sets.iter().map(|set| self.place[&without(set, cures)]).collect(),
        }
    }
}

fn without(set: &[usize], cured: &[usize]) -> Vec<usize> {
    set.iter().copied().filter(|c| !cured.contains(c)).collect()
}

fn reading(finding: usize, pushed: &Pushed, universe: &Universe) -> Reading {
    let mut states = vec![Vec::with_capacity(universe.sets.len()); pushed.stray.len()];
    for set in &universe.sets {
        for (state, p) in states.iter_mut().zip(pushed.states(set)) {
            state.push(p);
        }
    }
    Reading { finding, states }
}
