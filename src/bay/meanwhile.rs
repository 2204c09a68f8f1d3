//! Steps that stand still for a time, and what can be done until then.

use super::act::Act;
use super::assessment::Assessment;
use crate::book::{Access, Check, Id};

/// So many checks are named at most.
const MOST: usize = 3;

impl Assessment<'_> {
    /// Minutes in which nobody works at a step: its own and those of the access that is still closed.
    pub fn waits(&self, act: Act) -> f64 {
        act.waits(self.book) + self.closed(act).iter().map(|a| self.book.access[*a].waits).sum::<f64>()
    }

    /// Checks of the plan that can be done while a step waits, the best first: each can begin at once, waits for nothing itself, fits into the time, shows
    /// something that the step does not, undoes nothing that the step stands on, and has no caution: whatever runs the engine or lifts the car could end the wait,
    /// and the book need not say so. None where nothing is planned or the step does not wait.
    pub fn meanwhile(&self, act: Act) -> Vec<Id<Check>> {
        let (waits, stands_on) = (self.waits(act), act.opens(self.book, &self.intake.traits, &[]));
        let Some(plan) = self.plan().ok().filter(|_| waits > 0.0) else { return vec![] };
        let others = plan.next.iter().filter_map(|n| self.act(n.step)).filter(|a| *a != act);
        let checks = others.filter_map(|a| if let Act::Check(id) = a { Some(id) } else { None });
        let shown = if let Act::Check(id) = act { self.book.checks[id].reveals.as_slice() } else { &[] };
        let fits = |id: &Id<Check>| {
            let (own, opens) = (Act::Check(*id), self.closed(Act::Check(*id)));
            let minutes = self.book.checks[*id].minutes + opens.iter().map(|a| self.book.access[*a].minutes).sum::<f64>();
            let parted = |a: &Id<Access>| {
                stands_on.iter().any(|b| self.book.access[*a].undoes.contains(b) || self.book.access[*b].undoes.contains(a))
            };
            let more = self.book.checks[*id].reveals.iter().any(|f| !shown.contains(f));
            let harmless = own.cautions(self.book, &self.intake.traits).is_empty();
            more && harmless
                && self.waits(own) <= 0.0
                && minutes <= waits
                && !own.opens(self.book, &self.intake.traits, &[]).iter().any(parted)
        };
        checks.filter(fits).take(MOST).collect()
    }
}
