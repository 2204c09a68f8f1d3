//! A check that another one outdoes in everything.

use super::prelude::*;
use crate::book::{Check, Id};

pub const LINT: Lint = Lint::book("FB403", "outdone-check", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, check) in subject.book.checks.iter() {
        let Some(first) = check.reveals.first() else { continue };
        let rivals = subject.revealed_by[first.index()].iter().filter(|r| **r != id).map(|r| (*r, &subject.book.checks[*r]));
        // of two that are equal in everything, the later is the one too many
        let better = |(r, rival): &(Id<Check>, &Check)| outdoes(subject, rival, check) && (*r < id || !outdoes(subject, check, rival));
        let Some((_, rival)) = rivals.into_iter().find(better) else { continue };
        let message = format!("`{}` is never worth doing: `{}` reveals as much for no more", check.name(), rival.name());
        let remark = Remark::new(LINT.code, message, check.head.span, "this one").and(rival.head.span, "outdone by this one");
        found.push(remark.help("take it out, or say what it does better: less time, less access, one more finding"));
    }
}

/// Whether the rival reveals at least as much for no more time, money, access, tools or danger, wherever the other applies.
fn outdoes(subject: &Subject, rival: &Check, check: &Check) -> bool {
    let within = |inner: &[Id<crate::book::Access>], outer: &[Id<crate::book::Access>]| {
        let outer = subject.opened(outer);
        subject.opened(inner).iter().all(|a| outer.contains(a))
    };
    rival.minutes <= check.minutes
        && rival.waits <= check.waits
        && rival.spend <= check.spend
        && check.reveals.iter().all(|f| rival.reveals.contains(f))
        && within(&rival.access, &check.access)
        && rival.tools.iter().all(|t| check.tools.contains(t))
        && rival.hazards.iter().all(|h| check.hazards.contains(h))
        && rival.after.iter().all(|a| check.after.contains(a))
        && subject.vehicles.implies(&check.head.when, &rival.head.when)
}
