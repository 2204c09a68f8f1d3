//! What the planner is handed: one car's network and evidence, what can be done about it, and what each step costs.
//!
//! A plain model of numbers and indices: it knows no text and no book, so that a test can write one down.

use crate::belief::{Contradiction, History, Network, NetworkError};
use thiserror::Error;

/// One car, what is known of it, and all that may be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// Causes and findings.
    pub network: Network,
    /// What is known, and what was repaired already; the complaint stood after the last of those repairs.
    pub history: History,
    /// The findings that were seen abnormal, at intake or since. Their ancestors are the causes in question.
    pub complaint: Vec<usize>,
    /// Checks and fixes.
    pub actions: Vec<Action>,
    /// Access steps, which open several actions at once.
    pub access: Vec<Access>,
    /// Access steps that are open already.
    pub open: Vec<usize>,
    /// Actions that were done already.
    pub done: Vec<usize>,
    /// Money for a minute of work, 0 or more.
    pub rate_per_minute: f64,
    /// Money for handing the car to a specialist, which ends the job; 0 or more. The repairs that are still needed come on top.
    pub refer_cost: f64,
    /// A repair that cures nothing costs so many times its minutes and money; 1 or more.
    pub vain_factor: f64,
}

/// A check or a fix.
#[derive(Debug, Clone, PartialEq)]
pub struct Action {
    /// What it does.
    pub kind: ActionKind,
    /// Minutes of work, access not counted; 0 or more.
    pub minutes: f64,
    /// Money spent beside the time; 0 or more.
    pub money: f64,
    /// Access steps it needs.
    pub access: Vec<usize>,
    /// Actions that must have been done before.
    pub after: Vec<usize>,
    /// How dangerous it is, 0 for not at all. Among equals the safer one goes first.
    pub danger: u8,
}

/// What an action does.
#[derive(Debug, Clone, PartialEq)]
pub enum ActionKind {
    /// Reads findings.
    Check {
        /// The findings it reveals.
        reveals: Vec<usize>,
    },
    /// Puts causes right; then the complaint is tried again.
    Fix {
        /// The causes that are absent from then on, each with the chance (0..=1) that it is cured. No condition: it ends with what brings it.
        cures: Vec<(usize, f64)>,
    },
}

/// A set-up step: on a ramp, undertray off, engine cold.
#[derive(Debug, Clone, PartialEq)]
pub struct Access {
    /// Minutes it takes; 0 or more.
    pub minutes: f64,
    /// Access steps that must be open first.
    pub needs: Vec<usize>,
    /// Access steps that it closes.
    pub undoes: Vec<usize>,
}

/// How much the search may do. Counted in work, never in time, so that the same question has the same plan everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// Weights of cause sets that the search may touch: about 100 million a second on one core.
    pub work: u64,
    /// Sets of causes that are told apart in a large network; the rest of the probability is reported as dropped.
    pub sets: usize,
}

impl Budget {
    /// For the next step: some 15 ms on a book of 300 causes.
    pub const STEP: Budget = Budget { work: 500_000, sets: 150 };
    /// For a whole plan: some 50 ms on a book of 600 causes.
    pub const PLAN: Budget = Budget { work: 8_000_000, sets: 250 };
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PlanError {
    /// The evidence cannot be.
    #[error(transparent)]
    Contradiction(#[from] Contradiction),
    /// The part of the network that matters to this car is not sound.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// Nothing in the network goes with both the evidence and the fixes that did not cure.
    #[error("the complaint stands although everything that could cause it was put right")]
    NothingLeft,
    /// A cost is not a number of 0 or more.
    #[error("{place}: the cost `{value}` is not 0 or more")]
    BadCost {
        /// Where it stands.
        place: Place,
        /// The value given.
        value: f64,
    },
    /// The factor for repairs in vain is less than 1.
    #[error("{}: a repair in vain cannot cost `{value}` times its price: 1 or more", Place::Job)]
    BadFactor {
        /// The value given.
        value: f64,
    },
    /// A chance of a cure is not within 0..=1.
    #[error("{place}: the chance `{value}` of curing cause `{cause}` is not within 0 and 1")]
    BadChance {
        /// Where it stands.
        place: Place,
        /// The cause.
        cause: usize,
        /// The value given.
        value: f64,
    },
    /// A fix names a cause twice.
    #[error("{place}: cause `{cause}` is cured twice")]
    CuredTwice {
        /// Where it stands.
        place: Place,
        /// The cause.
        cause: usize,
    },
    /// A fix is to cure a condition.
    #[error("{place}: `{cause}` is a condition, which no fix cures: it ends with what brings it about")]
    CuresCondition {
        /// Where it stands.
        place: Place,
        /// The condition.
        cause: usize,
    },
    /// Something names what does not exist.
    #[error("{place}: there is no {kind} `{index}`")]
    NoSuch {
        /// Where it stands.
        place: Place,
        /// What kind of thing is named.
        kind: &'static str,
        /// The index given.
        index: usize,
    },
}

/// Where in a model something stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The action of this index.
    Action(usize),
    /// The access step of this index.
    Access(usize),
    /// The job as a whole.
    Job,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Place::Action(a) => write!(f, "action `{a}`"),
            Place::Access(x) => write!(f, "access step `{x}`"),
            Place::Job => write!(f, "the job"),
        }
    }
}

impl Model {
    /// Causes that were cured already.
    pub fn cured(&self) -> Vec<usize> {
        self.history.cured(self.history.now())
    }

    /// Refuses costs that are no costs and indices that name nothing.
    pub(super) fn check(&self) -> Result<(), PlanError> {
        self.check_job()?;
        for (i, action) in self.actions.iter().enumerate() {
            self.check_action(Place::Action(i), action)?;
        }
        for (i, access) in self.access.iter().enumerate() {
            let place = Place::Access(i);
            cost(place, access.minutes)?;
            within(place, "access step", self.access.len(), access.needs.iter().chain(&access.undoes))?;
        }
        Ok(())
    }

    fn check_job(&self) -> Result<(), PlanError> {
        let place = Place::Job;
        cost(place, self.rate_per_minute)?;
        cost(place, self.refer_cost)?;
        if !(self.vain_factor >= 1.0 && self.vain_factor.is_finite()) {
            return Err(PlanError::BadFactor { value: self.vain_factor });
        }
        within(place, "finding", self.network.findings().len(), &self.complaint)?;
        within(place, "access step", self.access.len(), &self.open)?;
        within(place, "action", self.actions.len(), &self.done)?;
        self.history.repairs.iter().try_for_each(|r| self.check_cures(place, &r.cures))
    }

    fn check_cures(&self, place: Place, cures: &[(usize, f64)]) -> Result<(), PlanError> {
        within(place, "cause", self.network.causes().len(), cures.iter().map(|(c, _)| c))?;
        for (i, &(cause, value)) in cures.iter().enumerate() {
            if !(0.0..=1.0).contains(&value) {
                return Err(PlanError::BadChance { place, cause, value });
            }
            if cures[..i].iter().any(|(c, _)| *c == cause) {
                return Err(PlanError::CuredTwice { place, cause });
            }
            if self.network.causes()[cause].condition {
                return Err(PlanError::CuresCondition { place, cause });
            }
        }
        Ok(())
    }

    fn check_action(&self, place: Place, action: &Action) -> Result<(), PlanError> {
        cost(place, action.minutes)?;
        cost(place, action.money)?;
        within(place, "access step", self.access.len(), &action.access)?;
        within(place, "action", self.actions.len(), &action.after)?;
        match &action.kind {
            ActionKind::Check { reveals } => within(place, "finding", self.network.findings().len(), reveals),
            ActionKind::Fix { cures } => self.check_cures(place, cures),
        }
    }
}

fn cost(place: Place, value: f64) -> Result<(), PlanError> {
    if value >= 0.0 && value.is_finite() { Ok(()) } else { Err(PlanError::BadCost { place, value }) }
}

fn within<'a>(place: Place, kind: &'static str, len: usize, indices: impl IntoIterator<Item = &'a usize>) -> Result<(), PlanError> {
    match indices.into_iter().find(|i| **i >= len) {
        Some(&index) => Err(PlanError::NoSuch { place, kind, index }),
        None => Ok(()),
    }
}
