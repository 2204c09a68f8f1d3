//! Book, evidence and progress -> the planner's model, with the numbers to go back.

use super::act::Act;
use super::progress::{Later, Progress, Rates};
use super::sleep::Sleep;
use crate::belief::{NetworkError, Repair};
use crate::book::{Access, Book, Cause, Check, Finding, Id, Level, Need};
use crate::car::Car;
use crate::job::Evidence;
use crate::plan::{self, Action, ActionKind, Model};

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
        let cure = |(c, chance): &(Id<Cause>, f64)| Some((car.cause(*c)?, *chance));
        let repairs = progress.repairs.iter().map(|f| Repair { cures: book.fixes[*f].cures.iter().filter_map(cure).collect() }).collect();
        // what happened before the car came is told of the car as it came, whenever it is asked
        let period = |l: &Later| if book.findings[l.observation.finding].is_past() { 0 } else { l.period };
        let later: Vec<_> = progress.seen.iter().filter_map(|l| car.seen(&l.observation, period(l))).collect();
        car.history.repairs = repairs;
        for seen in later {
            // within a period the newest look counts, not both as if they were two
            car.history.seen.retain(|s| s.finding != seen.finding || s.period != seen.period);
            car.history.seen.push(seen);
        }
        let sleep = Sleep::new(book, &evidence.traits, progress);
        let shows = |id: Id<Check>| reveals(book, &car, progress, &sleep, id);
        let mut acts = acts(book, &car, evidence, &shows);
        acts.retain(|a| !progress.skipped.contains(a));
        let position = |act: Act| acts.iter().position(|a| *a == act);
        let model = Model {
            network: sleep.network(book, &car)?,
            history: car.history.clone(),
            complaint: complaint(book, evidence, progress).into_iter().filter_map(|f| car.finding(f)).collect(),
            actions: acts.iter().map(|act| action(book, &car, *act, evidence, rates, &shows, &position)).collect(),
            access: book.access.iter().map(|(_, a)| access(a, &evidence.traits, rates)).collect(),
            open: progress.open.iter().map(|a| a.index()).collect(),
            done: (0..acts.len()).filter(|a| progress.done.contains(&acts[*a]) || answered(book, &car, acts[*a])).collect(),
            rate_per_minute: rates.per_hour / 60.0,
            refer_cost: rates.refer,
            vain_factor: rates.vain_factor,
        };
        Ok(Bay { car, acts, model })
    }

    /// The number of an act in the model.
    pub fn position(&self, act: Act) -> Option<usize> {
        self.acts.iter().position(|a| *a == act)
    }
}

/// What may be done about this car: checks that reveal something that applies and could be seen, fixes that cure something that applies.
fn acts(book: &Book, car: &Car, evidence: &Evidence, shows: &impl Fn(Id<Check>) -> Vec<usize>) -> Vec<Act> {
    let keeps = |need: &Need| need.keeps(&evidence.traits);
    let checks = book.checks.iter().filter(|(_, c)| keeps(&c.head.when));
    let checks = checks.filter(|(id, _)| !shows(*id).is_empty());
    let fixes = book.fixes.iter().filter(|(_, f)| keeps(&f.head.when) && f.causes().any(|c| car.cause(c).is_some()));
    checks.map(|(id, _)| Act::Check(id)).chain(fixes.map(|(id, _)| Act::Fix(id))).collect()
}

/// Whether all that a check reveals on this car is known, be it from the sheet: what must come after it need not wait.
fn answered(book: &Book, car: &Car, act: Act) -> bool {
    let Act::Check(id) = act else { return false };
    let mut reveals = book.checks[id].reveals.iter().filter_map(|f| car.finding(*f));
    reveals.all(|f| car.history.seen.iter().any(|s| s.finding == f))
}

/// Everything that was ever seen abnormal: what causes it is in question. What happened before and when it comes are hints: they weigh, and put
/// nothing in question as long as something else does.
fn complaint(book: &Book, evidence: &Evidence, progress: &Progress) -> Vec<Id<Finding>> {
    let mut out = evidence.complaint();
    for later in progress.seen.iter().map(|l| &l.observation).filter(|o| o.abnormal()) {
        if !out.contains(&later.finding) {
            out.push(later.finding);
        }
    }
    let faults: Vec<Id<Finding>> = out.iter().copied().filter(|f| !book.findings[*f].is_hint()).collect();
    if faults.is_empty() { out } else { faults }
}

/// What a check shows of this car, without what it was tried for in vain, and without the past once it is told. What else no repair could have changed
/// since it was read the plan leaves out.
fn reveals(book: &Book, car: &Car, progress: &Progress, sleep: &Sleep, id: Id<Check>) -> Vec<usize> {
    let tried = |f: &Id<Finding>| progress.unseen.contains(&(id, *f)) || progress.slept.contains(&(id, *f));
    let told =
        |f: &Id<Finding>| book.findings[*f].is_past() && car.finding(*f).is_some_and(|n| car.history.seen.iter().any(|s| s.finding == n));
    let tells = |f: &&Id<Finding>| !tried(f) && !told(f) && !sleep.in_vain(book, id, **f);
    book.checks[id].reveals.iter().filter(tells).filter_map(|f| car.finding(*f)).collect()
}

fn action(
    book: &Book,
    car: &Car,
    act: Act,
    evidence: &Evidence,
    rates: Rates,
    shows: &impl Fn(Id<Check>) -> Vec<usize>,
    position: &impl Fn(Act) -> Option<usize>,
) -> Action {
    let (kind, after) = match act {
        Act::Check(id) => {
            let after = book.checks[id].after.iter().filter_map(|c| position(Act::Check(*c))).collect();
            (ActionKind::Check { reveals: shows(id) }, after)
        }
        Act::Fix(id) => {
            let fix = &book.fixes[id];
            let after = fix.after.iter().filter_map(|f| position(Act::Fix(*f))).collect();
            (ActionKind::Fix { cures: fix.cures.iter().filter_map(|(c, chance)| Some((car.cause(*c)?, *chance))).collect() }, after)
        }
    };
    Action {
        kind,
        minutes: rates.worked(act.minutes(book), act.waits(book)),
        money: act.money(book),
        access: act.access(book).iter().map(|a| a.index()).collect(),
        after,
        danger: act.cautions(book, &evidence.traits).first().map_or(0, |h| grade(book.hazards[*h].level)),
    }
}

fn grade(level: Level) -> u8 {
    match level {
        Level::Care => 1,
        Level::Warn => 2,
        Level::Stop => 3,
    }
}

/// An access step; one that the vehicle surely has not costs nothing.
fn access(step: &Access, traits: &[Option<bool>], rates: Rates) -> plan::Access {
    plan::Access {
        minutes: if step.head.when.keeps(traits) { rates.worked(step.minutes, step.waits) } else { 0.0 },
        needs: step.needs.iter().map(|a| a.index()).collect(),
        undoes: step.undoes.iter().map(|a| a.index()).collect(),
    }
}
