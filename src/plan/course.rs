//! A complete plan that needs no search: look where the fault is likeliest for the cost, follow up what is found, fix, refer when that
//! is cheaper. Its cost is an upper bound, and it is what the plan falls back on where the search has not looked.

use super::acts::Does;
use super::chain::Chain;
use super::comeback::Cost;
use super::looks::Known;
use super::space::Space;
use super::step::{self, Mass};

/// Share of the probability from which on a cause is followed up.
const LIKELY: f64 = 0.02;

/// A step of the plan, and how it goes on.
pub struct Course {
    /// What is done.
    pub does: Go,
    /// Expected cost from here.
    pub expected: Cost,
    /// The most that it can come to.
    pub longest: f64,
    /// Weights touched in working it out.
    pub work: u64,
}

/// What is too slight to follow.
#[derive(Clone, Copy)]
pub struct Slight {
    /// Outcomes of less weight are met with fixes alone.
    pub outcome: f64,
    /// Outcomes of less weight are not looked at again before fixes.
    pub again: f64,
    /// Sets of less than this share of an outcome are not followed up; they count with the most that the way can come to.
    pub set: f64,
}

/// What a step does.
pub enum Go {
    /// These fixes until cured, then refer.
    Chain(Vec<usize>),
    /// A fix, and how it goes on when it does not cure.
    Fix {
        /// The fix.
        act: usize,
        /// Probability that it ends the job.
        cured: f64,
        /// Probability that it does not, and what then.
        next: Option<(f64, Box<Course>)>,
    },
    /// A check.
    Check {
        /// The check.
        act: usize,
        /// Findings it newly reads.
        read: Vec<usize>,
        /// States found, their probability, and what then.
        branches: Vec<(Vec<usize>, f64, Course)>,
    },
}

/// Where a plan stands.
#[derive(Clone)]
pub struct Place {
    /// What was done and stands open.
    pub setup: usize,
    /// What was read.
    pub known: Known,
    /// What may hold; the weights need not sum to 1.
    pub weights: Mass,
}

/// How much is looked at on the way.
#[derive(Clone, Copy, PartialEq)]
pub enum Effort {
    /// Every check, and what is found is followed up.
    Full,
    /// For each likely cause the check that tells it best.
    Probes,
    /// Fixes alone.
    Fixes,
}

impl Place {
    /// The sum of the weights.
    pub fn mass(&self) -> f64 {
        self.weights.iter().map(|(_, w)| w).sum()
    }

    /// For each action, the weight of the worlds of which it cures something in question.
    pub fn touched(&self, space: &Space) -> Vec<f64> {
        space.by_fix(&space.touched_by, &self.weights)
    }

    /// For each action, the weight of the worlds in which a root would undo it.
    pub fn undone(&self, space: &Space) -> Vec<f64> {
        space.by_fix(&space.undone, &self.weights)
    }

    /// Weight with which a check finds something abnormal.
    fn finds(&self, space: &Space, findings: &[usize]) -> f64 {
        let abnormal = |f: &usize| step::abnormal(space, &self.weights, *f, self.known.look(*f));
        findings.iter().filter(|&&f| !self.known.now.has(f)).map(abnormal).fold(0.0, f64::max)
    }

    /// What handing over costs here on average.
    fn hand_over(&self, space: &Space) -> f64 {
        space.refer + space.needed(self.setup, &self.weights).repairs / self.mass()
    }
}

impl Course {
    /// The plan from a place. What is too slight is not followed.
    pub fn new(space: &Space, mut at: Place, effort: Effort, slight: Slight) -> Course {
        let mut work = (at.weights.len() * 2 + space.acts.len() * 4) as u64;
        let mut line = vec![];
        let blocks = blocks(space, &at, effort, &mut work);
        for act in blocks {
            let before = at.mass();
            work += at.weights.len() as u64 * 3;
            let hand_over = if before > slight.outcome { at.hand_over(space) } else { 0.0 };
            if before > slight.outcome
                && let Some((cost, step)) = take(space, &mut at, act, effort, slight)
            {
                work += step.work;
                line.push(Taken { before, hand_over, cost, step });
            }
        }
        work += at.weights.len() as u64 * 2;
        let end = if at.weights.is_empty() { None } else { Some(Course::fixes(space, &at)) };
        work += end.as_ref().map_or(0, |end| end.work);
        let mut course = join(space, line, at.mass(), end);
        course.work = work;
        course
    }

    fn fixes(space: &Space, at: &Place) -> Course {
        let Chain { fixes, expected, longest, work } = Chain::new(space, at);
        Course { does: Go::Chain(fixes), expected, longest, work }
    }

    fn refer(space: &Space, hand_over: f64) -> Course {
        Course { does: Go::Chain(vec![]), expected: Cost::of(hand_over), longest: space.refer, work: 0 }
    }

    fn of(does: Go, work: u64) -> Course {
        Course { does, expected: Cost::of(0.0), longest: 0.0, work }
    }
}

/// A step taken.
struct Taken {
    /// The weight before it.
    before: f64,
    /// What handing over cost then.
    hand_over: f64,
    cost: Cost,
    step: Course,
}

/// Puts the steps one after the other, from the last to the first; where referring is cheaper than going on, that is done.
fn join(space: &Space, line: Vec<Taken>, left: f64, end: Option<Course>) -> Course {
    let (mut after, mut next) = (left, end);
    for Taken { before, hand_over, cost, mut step } in line.into_iter().rev() {
        let then = next.take().map(|next| (after / before, next));
        step.expected = then.as_ref().map_or(cost, |(p, next)| cost.plus(*p, next.expected));
        let longest = step.longest;
        step.longest += then.as_ref().map_or(0.0, |(_, next)| next.longest);
        match &mut step.does {
            Go::Fix { next, .. } => *next = then.map(|(p, next)| (p, Box::new(next))),
            Go::Check { read, branches, .. } => {
                step.expected = branches.iter().fold(step.expected, |sum, (_, p, c)| sum.plus(*p, c.expected));
                step.longest = branches.iter().map(|(_, _, c)| longest + c.longest).fold(step.longest, f64::max);
                branches.extend(then.map(|(p, next)| (vec![0; read.len()], p, next)));
            }
            Go::Chain(_) => {}
        }
        next = Some(if step.expected.counted < hand_over { step } else { Course::refer(space, hand_over) });
        after = before;
    }
    next.unwrap_or_else(|| Course::refer(space, space.refer))
}

/// What is done in turn, best ratio of finding over cost first.
fn blocks(space: &Space, at: &Place, effort: Effort, work: &mut u64) -> Vec<usize> {
    if effort == Effort::Fixes {
        return vec![];
    }
    let touched = at.touched(space);
    let price = |act: usize| space.cost(at.setup, act).max(1e-12);
    let mut rated: Vec<(f64, usize)> = Vec::new();
    let total = at.mass();
    let undone = at.undone(space);
    for &fix in space.fixes.iter().filter(|&&a| touched[a] > LIKELY * total) {
        rated.push(((touched[fix] - space.again_cost * undone[fix]) / price(fix), fix));
        let probe = space.probes[fix].filter(|&p| effort == Effort::Probes && price(p) < price(fix));
        rated.extend(probe.map(|p| (touched[fix] / price(p), p)));
    }
    if effort == Effort::Full {
        for (act, does) in space.acts.iter().enumerate() {
            if let Does::Check(findings) = &does.does {
                *work += at.weights.len() as u64;
                rated.push((at.finds(space, findings) / price(act), act));
            }
        }
    }
    rated.retain(|(ratio, _)| *ratio > 0.0);
    rated.sort_by(|x, y| y.0.total_cmp(&x.0).then(x.1.cmp(&y.1)));
    rated.into_iter().map(|(_, a)| a).collect()
}

/// Takes one step, if it is worth it; the place is then that after the usual outcome: all normal, or not cured.
fn take(space: &Space, at: &mut Place, act: usize, effort: Effort, slight: Slight) -> Option<(Cost, Course)> {
    let cost = space.cost(at.setup, act);
    let total = at.mass();
    if cost.is_infinite() {
        return None;
    }
    let does = &space.acts[act];
    match &does.does {
        Does::Fix(_) => {
            let touched = space.touched(act, &at.weights);
            let undone = space.undone(act, &at.weights);
            if !space.pays(act, cost, touched, total) || space.puts_off(touched, undone) {
                return None;
            }
            let money = cost + does.vain * space.vain(act, &at.weights) / total;
            let counted = money + space.again_cost * does.cost * undone / total;
            Some((Cost { money, counted }, take_fix(space, at, act, total, cost + does.vain)))
        }
        Does::Check(findings) => {
            let worth = at.finds(space, findings) * space.refer >= cost * total;
            worth.then(|| (Cost::of(cost), take_check(space, at, act, (findings, cost), effort, slight)))
        }
    }
}

fn take_fix(space: &Space, at: &mut Place, act: usize, total: f64, longest: f64) -> Course {
    let step::Fixed { cured, left, known } = step::fixed(space, &at.weights, act, &at.known);
    let work = at.weights.len() as u64 * 2;
    *at = Place { setup: space.after(at.setup, act), known, weights: left };
    Course { longest, ..Course::of(Go::Fix { act, cured: cured / total, next: None }, work) }
}

fn take_check(space: &Space, at: &mut Place, act: usize, (findings, cost): (&[usize], f64), effort: Effort, slight: Slight) -> Course {
    let total = at.mass();
    let (read, _) = step::read(space, findings, &at.known);
    let outcomes = step::split(space, &at.weights, &read, &at.known);
    let mut work = (outcomes.len() * at.weights.len()) as u64;
    let (setup, before) = (space.after(at.setup, act), at.known.clone());
    let known = |states: &[usize]| step::known_after(space, &before, findings, &read, states);
    *at = Place { setup, known: known(&vec![0; read.len()]), weights: vec![] };
    let follow = if effort == Effort::Full { Effort::Probes } else { Effort::Fixes };
    let mut branches = vec![];
    for (states, mass) in outcomes {
        if states.iter().all(|&k| k == 0) {
            at.weights = mass;
            continue;
        }
        let sum: f64 = mass.iter().map(|(_, w)| w).sum();
        let follow = if sum < slight.outcome.max(slight.again) { Effort::Fixes } else { follow };
        let place = Place { setup, known: known(&states), weights: mass };
        let next = follow_up(space, place, sum, follow, slight);
        work += next.work;
        branches.push((states, sum / total, next));
    }
    Course { longest: cost, ..Course::of(Go::Check { act, read, branches }, work) }
}

fn follow_up(space: &Space, mut place: Place, sum: f64, effort: Effort, slight: Slight) -> Course {
    let (kept, dropped): (Mass, Mass) = place.weights.iter().partition(|(_, w)| *w > slight.set * sum);
    place.weights = kept;
    let share = dropped.iter().map(|(_, w)| w).sum::<f64>() / sum;
    let needed = if dropped.is_empty() { 0.0 } else { space.needed(place.setup, &dropped).repairs / sum };
    let mut course = Course::new(space, place, effort, slight);
    // what is dropped may run through all of it, and needs its own repairs
    let add = |expected: f64| (1.0 - share) * expected + share * course.longest + needed;
    course.expected = Cost { money: add(course.expected.money), counted: add(course.expected.counted) };
    course
}
