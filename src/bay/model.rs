//! Book, evidence and progress -> the planner's model, with the numbers to go back.

use super::hazards::Raised;
use crate::belief::{NetworkError, Repair};
use crate::book::{Access, Aftercare, Book, Cause, Check, Finding, Fix, Hazard, Id, Level, Need};
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
    /// What was seen since, in order.
    pub seen: Vec<Later>,
    /// What a check was to show and could not be seen, once for each time it was tried. The check counts as done without result.
    pub unseen: Vec<(Id<Check>, Id<Finding>)>,
}

/// Something seen after the intake.
#[derive(Debug, Clone)]
pub struct Later {
    /// What was seen.
    pub observation: Observation,
    /// The causes that were cured then.
    pub cured: Vec<Id<Cause>>,
    /// Whether it was to prove a repair: a proof that was read, or what is left of the complaint.
    pub proof: bool,
}

impl Progress {
    /// The evidence as it stands now: what was seen since takes the place of what was seen before.
    pub fn now(&self, evidence: &Evidence) -> Evidence {
        let mut now = evidence.clone();
        for later in &self.seen {
            now.seen.retain(|o| o.finding != later.observation.finding);
            now.seen.push(later.observation.clone());
        }
        now
    }
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
        let repaired = |car: &mut Car, cured: &[Id<Cause>]| {
            let before = car.history.cured(car.history.now());
            let cures: Vec<_> = cured.iter().filter_map(|c| car.cause(*c)).filter(|c| !before.contains(c)).map(|c| (c, 1.0)).collect();
            if !cures.is_empty() {
                car.history.repairs.push(Repair { cures });
            }
        };
        for later in &progress.seen {
            repaired(&mut car, &later.cured);
            let Some(seen) = car.seen(&later.observation, car.history.now()) else { continue };
            // between two fixes the newest look counts, not both as if they were two
            car.history.seen.retain(|s| s.finding != seen.finding || s.period != seen.period);
            car.history.seen.push(seen);
        }
        repaired(&mut car, &progress.cured);
        let mut acts = acts(book, &car, evidence, progress);
        acts.retain(|a| !progress.skipped.contains(a));
        let position = |act: Act| acts.iter().position(|a| *a == act);
        let model = Model {
            network: car.network.clone(),
            history: car.history.clone(),
            complaint: evidence.complaint().into_iter().filter_map(|f| car.finding(f)).collect(),
            actions: acts.iter().map(|act| action(book, &car, *act, progress, &position)).collect(),
            access: book.access.iter().map(|(_, a)| access(a)).collect(),
            open: progress.open.iter().map(|a| a.index()).collect(),
            done: (0..acts.len()).filter(|a| progress.done.contains(&acts[*a]) || answered(book, &car, acts[*a])).collect(),
            rate_per_minute: rates.per_hour / 60.0,
            refer_cost: rates.refer,
        };
        Ok(Bay { car, acts, model })
    }

    /// Takes away the checks that have a caution which a standing danger bars. A repair is never barred: it may be what ends the danger.
    pub fn bar(&mut self, book: &Book, dangers: &[Raised]) {
        let standing = dangers.iter().filter(|d| d.stands());
        let barred: Vec<Id<Hazard>> = standing.flat_map(|d| book.hazards[d.hazard].bars.iter().copied()).collect();
        let stays = |act: &Act| match act {
            Act::Check(id) => !cautions(book, &book.checks[*id].hazards, &book.checks[*id].access).any(|h| barred.contains(h)),
            Act::Fix(_) => true,
        };
        let kept: Vec<usize> = (0..self.acts.len()).filter(|a| stays(&self.acts[*a])).collect();
        let renumber = |old: &[usize]| old.iter().filter_map(|a| kept.binary_search(a).ok()).collect();
        let action = |a: &usize| Action { after: renumber(&self.model.actions[*a].after), ..self.model.actions[*a].clone() };
        self.model.actions = kept.iter().map(action).collect();
        self.model.done = renumber(&self.model.done);
        self.acts = kept.iter().map(|a| self.acts[*a]).collect();
    }

    /// The number of an act in the model.
    pub fn position(&self, act: Act) -> Option<usize> {
        self.acts.iter().position(|a| *a == act)
    }
}

/// What may be done about this car: checks that reveal something that applies and could be seen, fixes that cure something that applies.
fn acts(book: &Book, car: &Car, evidence: &Evidence, progress: &Progress) -> Vec<Act> {
    let keeps = |need: &Need| need.keeps(&evidence.traits);
    let checks = book.checks.iter().filter(|(_, c)| keeps(&c.head.when));
    let checks = checks.filter(|(id, _)| !reveals(book, car, progress, *id).is_empty());
    let fixes = book.fixes.iter().filter(|(_, f)| keeps(&f.head.when) && f.causes().any(|c| car.cause(c).is_some()));
    checks.map(|(id, _)| Act::Check(id)).chain(fixes.map(|(id, _)| Act::Fix(id))).collect()
}

/// Whether all that a check reveals on this car is known, be it from the sheet: what must come after it need not wait.
fn answered(book: &Book, car: &Car, act: Act) -> bool {
    let Act::Check(id) = act else { return false };
    let mut reveals = book.checks[id].reveals.iter().filter_map(|f| car.finding(*f));
    reveals.all(|f| car.history.seen.iter().any(|s| s.finding == f))
}

/// What a check shows of this car, without what it was tried for in vain.
fn reveals(book: &Book, car: &Car, progress: &Progress, id: Id<Check>) -> Vec<usize> {
    let tried = |f: &&Id<Finding>| !progress.unseen.contains(&(id, **f));
    book.checks[id].reveals.iter().filter(tried).filter_map(|f| car.finding(*f)).collect()
}

fn action(book: &Book, car: &Car, act: Act, progress: &Progress, position: &impl Fn(Act) -> Option<usize>) -> Action {
    match act {
        Act::Check(id) => {
            let check = &book.checks[id];
            Action {
                kind: ActionKind::Check { reveals: reveals(book, car, progress, id) },
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
                kind: ActionKind::Fix {
                    cures: with_their_conditions(book, &fix.causes().collect::<Vec<_>>()).iter().filter_map(|c| car.cause(*c)).collect(),
                },
                minutes: fix.minutes,
                money: fix.parts,
                access: fix.access.iter().map(|a| a.index()).collect(),
                after: fix.after.iter().filter_map(|f| position(Act::Fix(*f))).collect(),
                danger: danger(book, &fix.hazards, &fix.access),
            }
        }
    }
}

/// Causes with the conditions that they bring about, near and far: the plan has no periods yet and takes these as cured with them.
fn with_their_conditions(book: &Book, causes: &[Id<Cause>]) -> Vec<Id<Cause>> {
    let mut out = causes.to_vec();
    let mut next = 0;
    while next < out.len() {
        let brought = book.causes[out[next]].brings.iter().map(|(c, _)| *c).filter(|c| book.causes[*c].is_condition());
        let new: Vec<Id<Cause>> = brought.filter(|c| !out.contains(c)).collect();
        out.extend(new);
        next += 1;
    }
    out
}

/// How dangerous: the worst level of the cautions of the action and of its access.
fn danger(book: &Book, hazards: &[Id<Hazard>], access: &[Id<Access>]) -> u8 {
    cautions(book, hazards, access).map(|h| grade(book.hazards[*h].level)).max().unwrap_or(0)
}

/// The cautions of an action and of its access.
fn cautions<'b>(book: &'b Book, hazards: &'b [Id<Hazard>], access: &'b [Id<Access>]) -> impl Iterator<Item = &'b Id<Hazard>> {
    hazards.iter().chain(access.iter().flat_map(|a| &book.access[*a].hazards))
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
