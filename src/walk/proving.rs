//! The questions after a repair: its proofs, and what is left of the complaint.

use super::ask::{Ask, Free, Several};
use super::proof::{FixDone, Proof};
use super::steps::Desk;
use crate::bay::{Act, can_change, proof_asks, proof_wants};
use crate::book::{Check, Finding, Headed, Id};

impl Desk<'_, '_> {
    /// What is still to be proven of the fix under way.
    pub(super) fn proving(&self) -> Option<Ask> {
        let done = self.standing.fixes.last()?;
        let own = done.proofs.iter().find(|p| !p.over());
        let open = own.map(|p| if p.seen.is_some() { self.settle(p) } else { self.proof(p) });
        open.or_else(|| self.proof_of_an_earlier_fix(done)).or_else(|| (!done.asked).then(|| self.gone(done)))
    }

    fn proof(&self, proof: &Proof) -> Ask {
        let (must, wanted) = proof_wants(self.book, proof.finding, proof.wanted);
        let ask = self.finding("proof", proof.finding, "can't be read here");
        let before = self.standing.fixes.iter().rev().flat_map(|f| &f.proofs).filter(|p| p.finding == proof.finding && p.fails());
        let before = before.filter_map(Proof::showed).next();
        let title = format!("Proof: {}", proof_asks(self.book, proof.finding));
        // what it must show stands at once under what is asked
        let lines = [(must.to_string(), wanted)].into_iter().chain(ask.lines.clone()).collect();
        let ask = Ask { title, lines, ..ask }.line("before this repair it was", before.unwrap_or_default());
        let still = if self.book.findings[proof.finding].gauge().is_some() { "Type it once it no longer moves." } else { "" };
        self.with_cautions_of_the_look(ask.line("", still), proof.finding)
    }

    /// How a proof is read can hurt like the check that reads it: its cautions, and the dangers that it touches.
    fn with_cautions_of_the_look(&self, ask: Ask, finding: Id<Finding>) -> Ask {
        let here = |check: &Check| check.reveals.contains(&finding) && check.head.when.keeps(&self.a.intake.traits);
        let looks = self.book.checks.iter().filter(|(_, check)| here(check)).map(|(id, _)| Act::Check(id));
        let look = looks.min_by(|a, b| self.a.price(*a).total_cmp(&self.a.price(*b)));
        look.into_iter().flat_map(|act| self.cautions(act)).fold(ask, |ask, words| ask.line("caution", words))
    }

    /// A proof that failed before and that this fix may have put right shows it by being read again.
    fn proof_of_an_earlier_fix(&self, done: &FixDone) -> Option<Ask> {
        let here = |p: &&&Proof| done.proofs.iter().any(|q| q.finding == p.finding);
        let open = self.standing.open_proofs();
        let cures: Vec<_> = self.book.fixes[done.fix].causes().collect();
        let again = open.iter().filter(|p| !here(p) && p.fails() && self.a.applies(p.finding));
        again.into_iter().find(|p| can_change(self.book, &cures, p.finding)).map(|p| self.proof(p))
    }

    /// A number near its limit or out of it counts once it no longer moves: a warm-up or a slow sensor would prove a repair that proves nothing.
    fn settle(&self, proof: &Proof) -> Ask {
        let finding = &self.book.findings[proof.finding];
        let last = proof.showed().unwrap_or_default();
        let inside = if proof.holds() { "inside its limit" } else { "out of its limit" };
        let ask = Ask::new(format!("settle:{}", finding.name()), format!("Does it stand still at {last}?"))
            .line("", format!("{last} is {inside}. It counts once it no longer moves: wait, then read it again."))
            .reply("1", "yes, it stands still", "settled");
        Ask { free: finding.gauge().map_or(Free::No, |g| Free::Quantity(g.unit.text.clone())), ..ask }
    }

    /// Whether the complaint is gone; of several symptoms, which are still there.
    fn gone(&self, done: &FixDone) -> Ask {
        let id = format!("gone:{}", self.book.fixes[done.fix].name());
        let title = |f: &Id<Finding>| self.book.findings[*f].title().to_string();
        let complaint: Vec<Id<Finding>> = self.standing.to_try(self.book).into_iter().filter(|f| self.a.applies(*f)).collect();
        let untried = if self.standing.progress.asleep { "it sleeps: nobody can tell" } else { "could not be tried now" };
        if self.standing.passing(self.book).len() < 2 {
            let what: Vec<String> = match complaint.is_empty() {
                true => self.a.intake.complaint().iter().map(title).collect(),
                false => complaint.iter().map(title).collect(),
            };
            let ask = Ask::new(id, "Try it: is the complaint gone?").line("the complaint was", what.join("; "));
            return ask.reply("1", "yes, gone", "yes").reply("2", "no, still there", "no").reply("x", untried, "unknown");
        }
        let items: Vec<(String, String)> = complaint.iter().map(|f| (self.book.findings[*f].name().into(), title(f))).collect();
        let list = Several { items, rest_is_no: true };
        let why = "What is gone and what is left tells which fault is still there. Those not named count as gone.";
        let ask = Ask::new(id, "Try it: which of these are still there?")
            .none_of(&list, "none of these: the complaint is gone")
            .reply("x", untried, "unknown");
        Ask { free: Free::Several(list), why: vec![why.into()], ..ask }
    }
}
