//! Book, evidence and progress -> the planner's model, with the numbers to go back.

use crate::belief::{NetworkError, Seen};
use crate::book::{Access, Aftercare, Book, Cause, Check, Fix, Hazard, Id, Level, Need};
use crate::car::Car;
use crate::job::{Evidence, Observation};
use crate::plan::{self, Action, ActionKind, Model};

/// A check or a fix of the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Act {
    /// A check.
    Check(Id<Check>),
    /// A fix.
    Fix(Id<Fix>),
}

/// What the workshop's time costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rates {
    /// Money for an hour of work, 0 or more.
    pub per_hour: f64,
    /// Money it costs to hand the car to a specialist, 0 or more.
    pub refer: f64,
}

/// What was done since the intake.
#[derive(Debug, Clone, Default)]
pub struct Progress {
    /// Access steps that are open.
    pub open: Vec<Id<Access>>,
    /// Checks and fixes done (a check again after each fix counts as not done).
    pub done: Vec<Act>,
    /// Checks and fixes that can't be done here: no tool, no way to reach.
    pub skipped: Vec<Act>,
    /// Causes cured.
    pub cured: Vec<Id<Cause>>,
    /// What was seen since, each with the causes that were cured then.
    pub seen: Vec<(Observation, Vec<Id<Cause>>)>,
}

/// The car, its actions and its model.
#[derive(Debug, Clone)]
pub struct Bay {
    /// The car.
    pub car: Car,
    /// The model's actions, by what they are in the book.
    pub acts: Vec<Act>,
    /// What the planner is handed.
    pub model: Model,
}

impl Bay {
    /// Puts the car in the bay. A checked book always gives a sound network; an error would be a fault of this program.
    pub fn new(book: &Book, evidence: &Evidence, progress: &Progress, rates: Rates) -> Result<Bay, NetworkError> {
        let mut car = Car::new(book, evidence)?;
        let cured: Vec<usize> = progress.cured.iter().filter_map(|c| car.cause(*c)).collect();
        let later: Vec<Seen> =
            progress.seen.iter().filter_map(|(o, c)| car.seen(o, c.iter().filter_map(|c| car.cause(*c)).collect())).collect();
        car.seen.extend(later);
        let mut acts = acts(book, &car, evidence);
        acts.retain(|a| !progress.skipped.contains(a));
        let position = |act: Act| acts.iter().position(|a| *a == act);
        let model = Model {
            network: car.network.clone(),
            seen: car.seen.clone(),
            complaint: evidence.complaint().into_iter().filter_map(|f| car.finding(f)).collect(),
            actions: acts.iter().map(|act| action(book, &car, *act, &position)).collect(),
            access: book.access.iter().map(|(_, a)| access(a)).collect(),
            open: progress.open.iter().map(|a| a.index()).collect(),
            done: progress.done.iter().filter_map(|act| position(*act)).collect(),
            cured,
            rate_per_minute: rates.per_hour / 60.0,
            refer_cost: rates.refer,
        };
        Ok(Bay { car, acts, model })
    }

    /// The number of an act in the model.
    pub fn position(&self, act: Act) -> Option<usize> {
        self.acts.iter().position(|a| *a == act)
    }
}

/// What may be done about this car: checks that reveal something that applies, fixes that cure something that does.
fn acts(book: &Book, car: &Car, evidence: &Evidence) -> Vec<Act> {
    let keeps = |need: &Need| need.keeps(&evidence.traits);
    let checks = book.checks.iter().filter(|(_, c)| keeps(&c.head.when) && c.reveals.iter().any(|f| car.finding(*f).is_some()));
    let fixes = book.fixes.iter().filter(|(_, f)| keeps(&f.head.when) && f.cures.iter().any(|c| car.cause(*c).is_some()));
    checks.map(|(id, _)| Act::Check(id)).chain(fixes.map(|(id, _)| Act::Fix(id))).collect()
}

fn action(book: &Book, car: &Car, act: Act, position: &impl Fn(Act) -> Option<usize>) -> Action {
    match act {
        Act::Check(id) => {
            let check = &book.checks[id];
            Action {
                kind: ActionKind::Check { reveals: check.reveals.iter().filter_map(|f| car.finding(*f)).collect() },
                minutes: check.minutes,
                money: check.spend,
                access: check.access.iter().map(|a| a.index()).collect(),
                after: check.after.iter().filter_map(|c| position(Act::Check(*c))).collect(),
                danger: danger(book, &check.hazards, &check.access),
            }
        }
        Act::Fix(id) => {
            let fix = &book.fixes[id];
            Action {
                kind: ActionKind::Fix { cures: fix.cures.iter().filter_map(|c| car.cause(*c)).collect() },
                minutes: fix.minutes,
                money: fix.parts,
                access: fix.access.iter().map(|a| a.index()).collect(),
                after: fix.after.iter().filter_map(|f| position(Act::Fix(*f))).collect(),
                danger: danger(book, &fix.hazards, &fix.access),
            }
        }
    }
}

/// How dangerous: the worst level of the cautions of the action and of its access.
fn danger(book: &Book, hazards: &[Id<Hazard>], access: &[Id<Access>]) -> u8 {
    let own = hazards.iter().chain(access.iter().flat_map(|a| &book.access[*a].hazards));
    own.map(|h| grade(book.hazards[*h].level)).max().unwrap_or(0)
}

fn grade(level: Level) -> u8 {
    match level {
        Level::Care => 1,
        Level::Warn => 2,
        Level::Stop => 3,
    }
}

fn access(step: &Access) -> plan::Access {
    plan::Access {
        minutes: step.minutes,
        needs: step.needs.iter().map(|a| a.index()).collect(),
        undoes: step.undoes.iter().map(|a| a.index()).collect(),
    }
}

/// Aftercare of some fixes, each once, in an order that keeps `after`.
pub(super) fn in_order(book: &Book, wanted: &[Id<Aftercare>]) -> Vec<Id<Aftercare>> {
    let mut out: Vec<Id<Aftercare>> = Vec::new();
    wanted.iter().for_each(|id| place(book, *id, wanted, &mut out));
    out
}

/// Puts a step behind those it must follow. The graph has no loop, so this ends.
fn place(book: &Book, id: Id<Aftercare>, wanted: &[Id<Aftercare>], out: &mut Vec<Id<Aftercare>>) {
    if out.contains(&id) {
        return;
    }
    for before in &book.aftercare[id].after {
        if wanted.contains(before) {
            place(book, *before, wanted, out);
        }
    }
    out.push(id);
}
