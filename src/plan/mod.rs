//! The plan room: from what is known of a car and what each step costs to the order of work of least expected cost.
//!
//! It knows numbers and indices only: no text, no book, no layout. It never reads the clock: budgets count work, so the same question
//! has the same plan everywhere.
//!
//! # The objective
//! The expected total cost until every present cause in question is cured, or the car is referred (Heckerman, Breese &
//! Rommelse 1995; Breese & Heckerman 1996; Jensen et al. 2001; access costs after Ottosen & Jensen 2010). In question are the
//! ancestors of the findings that were abnormal at intake. After a fix the job is done when no cause in question is left
//! present and at least one was; when none ever was, no fix cures. A fix makes its causes absent from then on; what they brought about stays.
//! A finding read keeps its state until the next fix; after it, it may be read afresh.
//!
//! # The way
//! `model` (what is handed in) -> `focus` and `compact` (the part that matters to this car) -> `weigher`, `sets`, `universe` (how likely each
//! set of causes is, and what fixes make of it) -> `space` (the problem in numbers) -> `search` over a `graph` (lower bounds from `setup` and
//! `repairs`, upper bounds from `course` and `chain`, outcomes from `step`) -> `policy` (the plan as a `tree`).

mod acts;
mod bits;
mod chain;
mod comeback;
mod compact;
mod course;
mod focus;
mod graph;
mod hypothesis;
mod lists;
mod logs;
mod looks;
mod mix;
mod model;
mod noisy;
mod policy;
mod question;
mod reach;
mod repairs;
mod search;
mod sets;
mod setup;
mod space;
mod start;
mod step;
mod tree;
mod universe;
mod weigher;
mod worlds;

pub use model::{Access, Action, ActionKind, Budget, Model, Place, PlanError};
pub use question::causes_in_question;
pub use tree::{Found, Step, Tree, TreeBranch, TreeNode};

use crate::belief::{History, Limits, Prepared, Seen};
use compact::Compact;
use focus::Focus;
use search::{START, Search};
use sets::Weighed;
use space::Space;
use start::is_first;
use weigher::Weigher;

/// A plan, and how good it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The causes in question: ancestors of the findings that were abnormal at intake.
    pub in_question: Vec<usize>,
    /// Expected total cost of the plan, in money.
    pub expected_cost: f64,
    /// The repairs that are needed in any case: what it is expected to cost to put right all in question that a fix can cure, by whomever. The
    /// rest of the expected cost is that of finding the faults, or of handing them over.
    pub needed: f64,
    /// No plan whatever has a smaller expected cost.
    pub at_least: f64,
    /// Whether the plan is the best there is, to rounding.
    pub exact: bool,
    /// Share of the probability left out because its sets of causes were too many; costs and bounds are for the rest.
    pub dropped_mass: f64,
    /// Chance (at most) that a cause is there that the complaint may come from and the evidence does not speak for: such bystanders are
    /// set aside in a large network.
    pub set_aside: f64,
    /// The plan.
    pub tree: Tree,
    /// What may be done next, the best first.
    pub next: Vec<Next>,
    /// Work done, in the unit of the budget.
    pub work: u64,
}

/// An action that may be next.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// What is done.
    pub step: Step,
    /// What that costs, with the access it still needs.
    pub cost: f64,
    /// Expected total cost if it is taken next.
    pub expected_total: f64,
    /// No plan that begins with it has a smaller expected total.
    pub at_least: f64,
    /// What it saves against the best other first step, with repairs counted again that a standing root would undo; negative for all
    /// but the best.
    pub saving: f64,
    /// How much of the doubt about what is present it takes away, in bits; 0 for a referral.
    pub settles_bits: f64,
}

/// Finds the plan of least expected cost within a budget of work.
///
/// # Errors
/// [`PlanError`] when the evidence has probability 0, nothing can be left after the fixes done, or a cost or an index is none.
pub fn plan(model: &Model, budget: &Budget, limits: &Limits) -> Result<Plan, PlanError> {
    model.check()?;
    let Problem { focus, part, space, dropped_mass } = Problem::new(model, budget, limits)?;
    let search = searched(&space, budget);
    let tree = policy::write_out(&part.model, &search, START);
    let (expected_cost, exact) = (tree.first().expected_cost, search.met(START) && focus.complete);
    let at_least = if exact { expected_cost } else { search.graph.nodes[START].lower.money.min(expected_cost) };
    let mut next = policy::ranked(&search, START, &tree);
    next.iter_mut().for_each(|n| n.step = part.step(n.step));
    let in_question = causes_in_question(&model.network, &model.complaint).into_iter().collect();
    let needed = space.needed(space.start.setup, &space.start.weights).repairs;
    let (tree, set_aside, work) = (part.tree(tree), focus.set_aside, search.graph.work);
    Ok(Plan { in_question, set_aside, expected_cost, needed, at_least, exact, dropped_mass, tree, next, work })
}

/// What the plan does first, without the plan itself: [`Plan::tree`] begins with it.
///
/// # Errors
/// As [`plan`].
pub fn first_step(model: &Model, budget: &Budget, limits: &Limits) -> Result<Step, PlanError> {
    model.check()?;
    let Problem { part, space, .. } = Problem::new(model, budget, limits)?;
    Ok(part.step(policy::first_step(&part.model, &searched(&space, budget))))
}

/// The search, done: on half of the work, then with the first steps compared.
fn searched<'s>(space: &'s Space, budget: &Budget) -> Search<'s> {
    let mut search = Search::new(space);
    search.improve(START, budget.work / 2);
    search.compare_first(START, budget.work);
    search.improve(START, budget.work);
    search.settle(START);
    search
}

/// What the plan is made for.
struct Problem<'m> {
    focus: Focus<'m>,
    part: Compact,
    space: Space,
    dropped_mass: f64,
}

impl<'m> Problem<'m> {
    /// Follows as many suspects as can be followed. Where dozens of things are abnormal at once, a dozen causes may all be there, and what their
    /// fixes can make of them doubles with each: then the likeliest are planned for first, and the others once these are settled.
    fn new(model: &'m Model, budget: &Budget, limits: &Limits) -> Result<Problem<'m>, PlanError> {
        let mut evidence = Prepared::new(&model.network, &model.history, limits)?;
        let mut most = focus::MOST;
        loop {
            let mut focus = Focus::new(model, &mut evidence, most);
            let part = Compact::new(model, &mut focus)?;
            let (weighed, dropped_mass) = weigh_sets(&part.model, &focus, budget, limits)?;
            if let Some(space) = Space::new(&part, &focus.in_question, weighed, focus.complete)? {
                return Ok(Problem { focus, part, space, dropped_mass });
            }
            most = focus.kept.len().min(most) * 3 / 4;
        }
    }
}

/// Share of the probability that may be dropped where the sets of causes are too many to take all.
const TOLERANCE: f64 = 1e-4;

/// The sets of causes that may have been present at intake with the logarithms of their weights then, and the share of the probability that they
/// leave out.
///
/// Where there are too many, those that go best with the first look at each finding are taken, and weighed by what was seen at intake; `Start` weighs in
/// the rest.
fn weigh_sets(part: &Model, focus: &Focus, budget: &Budget, limits: &Limits) -> Result<(Weighed, f64), PlanError> {
    let firsts: Vec<&Seen> =
        part.history.seen.iter().enumerate().filter(|(place, _)| is_first(&part.history, *place)).map(|(_, seen)| seen).collect();
    let intake = Weigher::new(part, &firsts.iter().copied().filter(|s| s.period == 0).collect::<Vec<_>>());
    if focus.complete {
        return Ok((sets::every(&intake), 0.0));
    }
    let history = History { seen: firsts.iter().map(|s| (*s).clone()).collect(), repairs: part.history.repairs.clone() };
    let weigher = Weigher::new(part, &firsts);
    let total = Prepared::new(&part.network, &history, limits)?.log_evidence() - weigher.scale;
    let cured: Vec<usize> =
        part.history.repairs.iter().flat_map(|r| &r.cures).filter(|(_, chance)| *chance >= 1.0).map(|(c, _)| *c).collect();
    let asked = |set: &[usize], cured: &[usize]| set.iter().any(|c| focus.in_question[*c] && !cured.contains(c));
    let over = |set: &[usize]| !cured.is_empty() && asked(set, &[]) && !asked(set, &cured);
    let weighed = sets::likeliest(&weigher, total, TOLERANCE, budget.sets, over);
    let covered: f64 = weighed.iter().map(|(_, w)| (w - total).exp()).sum();
    let at_intake = |(set, _): (Vec<usize>, f64)| {
        let explained = intake.explain(set);
        (explained.score.weight(), explained.set)
    };
    let weighed = weighed.into_iter().map(at_intake).map(|(weight, set)| (set, weight)).collect();
    Ok((weighed, (1.0 - covered).max(0.0)))
}
