//! A fault that comes and goes and is not there now: what a look can still tell.

use super::act::Act;
use super::progress::Progress;
use crate::belief::{FindingNode, Network, NetworkError};
use crate::book::{Book, Check, Finding, Id};
use crate::car::Car;

/// How often a look meets a fault that was last seen asleep, 0..=1. An estimate of ours, no source.
const AWAKE: f64 = 0.25;

/// What passes with a fault that sleeps now, and which checks wake it.
pub(super) struct Sleep {
    waking: Vec<Id<Check>>,
    asleep: bool,
}

impl Sleep {
    /// The checks that wake it are those for a vehicle of these traits that nobody left out.
    pub(super) fn new(book: &Book, traits: &[Option<bool>], progress: &Progress) -> Sleep {
        let can =
            |id: &Id<Check>, c: &Check| c.wakes.is_some() && c.head.when.keeps(traits) && !progress.skipped.contains(&Act::Check(*id));
        let waking = book.checks.iter().filter(|(id, c)| can(id, c)).map(|(id, _)| id).collect();
        Sleep { waking, asleep: progress.asleep }
    }

    /// Whether a finding is away with the fault, unless it is woken for the look.
    fn passes(&self, book: &Book, finding: Id<Finding>) -> bool {
        self.asleep && !book.findings[finding].lasting
    }

    fn woken(&self, book: &Book, finding: Id<Finding>) -> bool {
        self.waking.iter().any(|c| book.checks[*c].reveals.contains(&finding))
    }

    /// Whether a look by this check would meet the fault asleep although another check wakes it: that one is done instead.
    pub(super) fn in_vain(&self, book: &Book, check: Id<Check>, finding: Id<Finding>) -> bool {
        self.passes(book, finding) && !self.waking.contains(&check) && self.woken(book, finding)
    }

    /// The network as looks meet it: what passes with the fault shows it seldom. Only what was not looked at yet is changed, so that what is known
    /// weighs as before.
    pub(super) fn network(&self, book: &Book, car: &Car) -> Result<Network, NetworkError> {
        let seldom = |f: usize| {
            let id = car.findings[f];
            self.passes(book, id) && !self.woken(book, id) && !car.history.seen.iter().any(|s| s.finding == f)
        };
        let weaker = |push: &[f64]| push.iter().map(|p| p * AWAKE).collect();
        let finding = |(f, node): (usize, &FindingNode)| match seldom(f) {
            true => FindingNode { pushes: node.pushes.iter().map(|(c, push)| (*c, weaker(push))).collect(), ..node.clone() },
            false => node.clone(),
        };
        if !self.asleep {
            return Ok(car.network.clone());
        }
        Network::new(car.network.causes().to_vec(), car.network.findings().iter().enumerate().map(finding).collect())
    }
}
