//! Where nothing that is left pays here: the car is handed over with what is proven, what would be next and what that costs.

use super::ask::Ask;
use super::steps::{Desk, chance, instead};
use crate::bay::{Act, Progress, Unproven};
use crate::book::Headed;

impl Desk<'_, '_> {
    /// A check that was tried once and showed nothing, where nothing else is left.
    pub(super) fn last_look(&self) -> Option<Ask> {
        let tried = &self.standing.progress.unseen;
        let twice = |pair: &_| tried.iter().filter(|p| *p == pair).count() > 1;
        let unseen: Vec<_> = tried.iter().filter(|p| twice(p)).copied().collect();
        if unseen.len() == tried.len() {
            return None;
        }
        let progress = Progress { unseen, ..self.standing.progress.clone() };
        let again = self.a.supposing(self.a.intake.clone(), progress, self.a.effort).ok()?;
        let Act::Check(id) = again.first()? else { return None };
        let again = tried.iter().any(|(check, _)| *check == id);
        again.then(|| self.check(id).line("once more", "it could not be seen before, and nothing else is left that pays"))
    }

    pub(super) fn refer(&self) -> Ask {
        let ask = Ask::new("refer", "Nothing that is left here pays: hand the car to a specialist, with all that was found.");
        let ask = self.proven_lines().into_iter().fold(ask, |ask, l| ask.line("proven", l));
        let ask = self.next_lines().into_iter().fold(ask, |ask, l| ask.line("next would be", l));
        let ask = self.take_up(ask.reply("1", "referred", "referred"), 7);
        match self.a.unproven_complaint() {
            Some(unproven) => {
                let title = self.book.causes[unproven.cause].title();
                let likeliest = format!("{title}: {} likely. A specialist wants a finding.", chance(unproven.likely));
                self.prove_first(ask.line("not proven", likeliest).line("", self.a.estimate()), &unproven, f64::INFINITY)
            }
            None => ask,
        }
    }

    /// Faults that are proven to be there, seen on the car.
    fn proven_lines(&self) -> Vec<String> {
        let now = self.standing.progress.period();
        let proven = self.a.standing(0.95).into_iter().filter(|(c, _)| self.a.looked_at(*c, now));
        proven.map(|(c, p)| format!("{}, {}", self.book.causes[c].title(), chance(p))).collect()
    }

    /// The repairs of what is likely there, or else what the plan would do next, with what they cost by the book.
    fn next_lines(&self) -> Vec<String> {
        let words = |act: Act| format!("{}, {:.0} by the book", act.title(self.book), self.a.price(act));
        let fixes = self.a.standing(0.5).into_iter().filter_map(|(c, _)| self.cheapest(c)).take(3);
        let fixes: Vec<String> = fixes.map(words).collect();
        if !fixes.is_empty() {
            return fixes;
        }
        let plan = self.a.plan().ok();
        let next = plan.into_iter().flat_map(|p| &p.next).find_map(|n| self.a.act(n.step));
        next.into_iter().map(words).collect()
    }

    /// What was left out can be taken up after all; at most so many, the cheapest first.
    pub(super) fn take_up(&self, ask: Ask, most: usize) -> Ask {
        let mut left: Vec<Act> = self.standing.progress.skipped.clone();
        left.sort_by(|a, b| self.a.price(*a).total_cmp(&self.a.price(*b)));
        left.dedup();
        left.into_iter().take(most).fold(ask, |ask, act| {
            let key = (ask.replies.len() + 1).to_string();
            let words = format!("left out before, take it up after all: {}", act.title(self.book));
            ask.says(&key, &words, instead(act.name(self.book), act.name(self.book)))
        })
    }

    /// The two checks that prove best and cost less than this, each with the next free figure as its key.
    pub(super) fn prove_first(&self, ask: Ask, unproven: &Unproven, below: f64) -> Ask {
        let cheaper = unproven.checks.iter().filter(|(check, _)| self.a.price(Act::Check(*check)) < below);
        cheaper.take(2).map(|(check, _)| &self.book.checks[*check]).fold(ask, |ask, check| {
            let key = (ask.replies.len() + 1).to_string();
            ask.says(&key, &format!("prove it first: {}", check.title()), instead(check.name(), check.name()))
        })
    }
}
