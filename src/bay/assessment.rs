//! All that is believed and planned of one car where its job stands: the one way from book and evidence to weights, dangers, plan, questions and proofs.
//! Whoever shows any of it asks here, so that no two pages can stand on different evidence.

use super::act::Act;
use super::effort::Effort;
use super::hazards::{Raised, dangers};
use super::model::Bay;
use super::progress::{Progress, Rates};
use super::repairs::{Repair, repairs};
use super::speaks::{Speaks, speaks};
use super::words::estimate_words;
use crate::belief::{Beliefs, Contradiction, History, NetworkError, Prepared, weigh_causes};
use crate::book::{Access, Book, Cause, Finding, Headed, Id};
use crate::job::{Evidence, Observation};
use crate::plan::{Plan, PlanError, Step, causes_in_question, first_step, plan};
use std::cell::OnceCell;
use thiserror::Error;

/// All that is believed and planned. What takes long is worked out when it is first asked for, once.
pub struct Assessment<'b> {
    /// The book.
    pub book: &'b Book,
    /// What was known at the intake.
    pub intake: Evidence,
    /// What is known now: what was seen since takes the place of what was seen before.
    pub now: Evidence,
    /// What was done and seen since the intake.
    pub progress: Progress,
    /// The car, without the checks that a danger bars.
    pub bay: Bay,
    /// The weights of the causes.
    pub beliefs: Beliefs,
    /// Dangers, worst first.
    pub hazards: Vec<Raised>,
    /// What the workshop's time costs.
    pub rates: Rates,
    /// How far the answers go.
    pub effort: Effort,
    plan: OnceCell<Result<Plan, PlanError>>,
}

/// Why a car can't be assessed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Misfit {
    /// A fault of this program: a checked book always gives a sound network.
    #[error("the rules make no sound network: {0}")]
    Network(#[from] NetworkError),
    /// What was seen can't be on one car by these rules.
    #[error("by these rules no car can show all that was seen")]
    Contradiction {
        /// Findings of which any one, left out, makes the others possible together.
        conflict: Vec<Id<Finding>>,
        /// The fewest that make the rest possible when they are left out.
        findings: Vec<Id<Finding>>,
    },
    /// There is no plan for another reason.
    #[error("{0}")]
    Plan(PlanError),
}

impl<'b> Assessment<'b> {
    /// Weighs what is known and raises its dangers.
    ///
    /// # Errors
    /// [`Misfit`] where the evidence can't be.
    pub fn new(book: &'b Book, intake: Evidence, progress: Progress, rates: Rates, effort: Effort) -> Result<Assessment<'b>, Misfit> {
        let mut bay = Bay::new(book, &intake, &progress, rates)?;
        let beliefs = weigh_causes(&bay.model.network, &bay.model.history, &effort.weigh).map_err(|c| Misfit::of(&bay, &c))?;
        let now = progress.now(&intake);
        let hazards = dangers(book, &now, &mut bay, &beliefs.causes);
        Ok(Assessment { book, intake, now, progress, bay, beliefs, hazards, rates, effort, plan: OnceCell::new() })
    }

    /// The plan from here.
    ///
    /// # Errors
    /// [`Misfit`] where there is none.
    pub fn plan(&self) -> Result<&Plan, Misfit> {
        let planned = self.plan.get_or_init(|| plan(&self.bay.model, &self.effort.plan, &self.effort.weigh));
        planned.as_ref().map_err(|error| match error {
            PlanError::Contradiction(found) => Misfit::of(&self.bay, found),
            other => Misfit::Plan(other.clone()),
        })
    }

    /// Whether anything abnormal is known: else there is nothing to plan.
    pub fn anything_wrong(&self) -> bool {
        !self.bay.model.complaint.is_empty()
    }

    /// What the plan does first, in the book's terms; none where it hands the car over, or there is none.
    pub fn first(&self) -> Option<Act> {
        self.act(self.plan().ok()?.tree.first().step)
    }

    /// As [`Assessment::first`], for less work where the plan itself is not wanted.
    pub fn first_alone(&self) -> Option<Act> {
        self.act(first_step(&self.bay.model, &self.effort.plan, &self.effort.weigh).ok()?)
    }

    /// A step of the plan in the book's terms; none for the end of the job.
    pub fn act(&self, step: Step) -> Option<Act> {
        step.action().map(|a| self.bay.acts[a])
    }

    /// What a step is called, by its name in the book.
    pub fn step_name(&self, step: Step) -> &str {
        match step {
            Step::Check(a) | Step::Fix(a) => self.bay.acts[a].name(self.book),
            Step::Refer => "refer",
            Step::Done => "nothing",
        }
    }

    /// How likely a cause is by all that was seen, 0..=1; 0 where it does not apply.
    pub fn weight(&self, cause: Id<Cause>) -> f64 {
        self.bay.car.cause(cause).map_or(0.0, |c| self.beliefs.causes[c])
    }

    /// How likely each cause of the car was just before the repair that begins a period, by what was seen until then.
    pub fn before(&self, period: usize) -> Vec<f64> {
        let whole = &self.bay.model.history;
        let until = period.saturating_sub(1);
        let history = History {
            seen: whole.seen.iter().filter(|s| s.period <= until).cloned().collect(),
            repairs: whole.repairs.iter().take(until).cloned().collect(),
        };
        let weighed = weigh_causes(&self.bay.model.network, &history, &self.effort.weigh);
        weighed.map_or_else(|_| vec![0.0; self.bay.car.causes.len()], |b| b.causes)
    }

    /// All looks at a finding, each with its period, the oldest first.
    pub fn looks(&self, finding: Id<Finding>) -> Vec<(usize, &Observation)> {
        let later = || self.progress.seen.iter().filter(|l| l.observation.finding == finding);
        let intake = self.intake.of(finding).filter(|_| !later().any(|l| l.period == 0)).map(|o| (0, o));
        let mut out: Vec<(usize, &Observation)> = intake.into_iter().chain(later().map(|l| (l.period, &l.observation))).collect();
        out.sort_by_key(|(period, _)| *period);
        out
    }

    /// How likely each of these findings is out of its normal state now, by all that was seen: what a repair since has changed is not what was read before it.
    pub fn abnormal_now(&self, findings: &[Id<Finding>]) -> Vec<f64> {
        let known = |f: &Id<Finding>| self.looks(*f).last().map_or(0.0, |(_, o)| f64::from(u8::from(o.abnormal())));
        match Prepared::new(&self.bay.model.network, &self.bay.model.history, &self.effort.weigh) {
            Ok(mut prepared) => {
                let now = |f: &Id<Finding>| self.bay.car.finding(*f).map(|f| prepared.finding(f).iter().skip(1).sum());
                findings.iter().map(now).map(|p| p.unwrap_or(0.0)).collect()
            }
            Err(_) => findings.iter().map(known).collect(),
        }
    }

    /// Faults in question that are still likelier than this, the likeliest first: behind anything that was ever seen abnormal, and no state that ends with its root.
    pub fn standing(&self, least: f64) -> Vec<(Id<Cause>, f64)> {
        let asked = causes_in_question(&self.bay.model.network, &self.bay.model.complaint).into_iter();
        let mut out: Vec<(Id<Cause>, f64)> = asked.map(|c| (self.bay.car.causes[c], self.beliefs.causes[c])).collect();
        out.retain(|(c, p)| *p >= least && !self.book.causes[*c].is_condition());
        out.sort_by(|a, b| b.1.total_cmp(&a.1));
        out
    }

    /// What is going on: the conditions that are likelier there than not, the likeliest first.
    pub fn conditions(&self) -> Vec<(Id<Cause>, f64)> {
        let all = self.bay.car.causes.iter().copied().zip(self.beliefs.causes.iter().copied());
        let mut out: Vec<(Id<Cause>, f64)> = all.filter(|(c, p)| *p > 0.5 && self.book.causes[*c].is_condition()).collect();
        out.sort_by(|a, b| b.1.total_cmp(&a.1));
        out
    }

    /// Whether a finding applies to this vehicle.
    pub fn applies(&self, finding: Id<Finding>) -> bool {
        self.bay.car.finding(finding).is_some()
    }

    /// What a check or fix costs from here: its time with the access that is still closed, and what is spent.
    pub fn price(&self, act: Act) -> f64 {
        let access: f64 = self.closed(act).iter().map(|a| &self.book.access[*a]).map(|a| self.rates.worked(a.minutes, a.waits)).sum();
        (self.rates.worked(act.minutes(self.book), act.waits(self.book)) + access) * self.rates.per_hour / 60.0 + act.money(self.book)
    }

    /// The access that a check or fix needs and that is not open yet.
    pub(super) fn closed(&self, act: Act) -> Vec<Id<Access>> {
        act.opens(self.book, &self.intake.traits, &self.progress.open)
    }

    /// Repairs of the causes that are at least this likely, roots first.
    pub fn repairs(&self, least: f64) -> Vec<Repair> {
        repairs(self.book, &self.bay, &self.beliefs, least)
    }

    /// What speaks for and against each of these causes of the car, the strongest first.
    pub fn speaks(&self, causes: &[usize]) -> Vec<Vec<Speaks>> {
        speaks(&self.bay, causes, &self.effort.glance)
    }

    /// How good the probabilities are where they are estimates, in words; else empty.
    pub fn estimate(&self) -> String {
        estimate_words(self.beliefs.method)
    }

    /// The same job with other evidence at the intake, or other progress.
    ///
    /// # Errors
    /// As [`Assessment::new`].
    pub fn supposing(&self, intake: Evidence, progress: Progress, effort: Effort) -> Result<Assessment<'b>, Misfit> {
        Assessment::new(self.book, intake, progress, self.rates, effort)
    }
}

impl Misfit {
    /// A contradiction in the book's terms.
    pub fn of(bay: &Bay, found: &Contradiction) -> Misfit {
        let named = |all: &[usize]| all.iter().filter_map(|f| bay.car.findings.get(*f)).copied().collect();
        Misfit::Contradiction { conflict: named(&found.conflict), findings: named(&found.findings) }
    }

    /// Titles of the findings to look at again; empty where it is no contradiction.
    pub fn titles<'b>(&self, book: &'b Book) -> Vec<&'b str> {
        let Misfit::Contradiction { conflict, findings } = self else { return vec![] };
        let all = if conflict.len() > 1 { conflict } else { findings };
        all.iter().map(|f| book.findings[*f].title()).collect()
    }
}
