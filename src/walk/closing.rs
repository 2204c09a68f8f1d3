//! What comes after the repair: the steps to tick off, and the closing of the job.

use super::ask::{Ask, Free};
use super::steps::{Desk, chance};
use crate::bay::can_change;
use crate::book::{Aftercare, Finding, FindingKind, Fix, Headed, Id, Level};
use crate::job::{Event, Ticked};

impl Desk<'_, '_> {
    /// Once the complaint is gone, or nobody can try it now: what is still wrong, aftercare in order, then close.
    pub(super) fn after_cure(&self) -> Option<Ask> {
        let referred = self.standing.asked("refer");
        if !self.standing.cured() && !self.standing.untried() && !referred {
            return None;
        }
        if !referred && self.goes_on() {
            return None;
        }
        let left = if referred { None } else { self.leftover() };
        left.or_else(|| self.ticking()).or_else(|| Some(self.close()))
    }

    /// The next step after the repairs that is to be ticked off.
    fn ticking(&self) -> Option<Ask> {
        let fixes: Vec<Id<Fix>> = self.standing.fixes.iter().map(|f| f.fix).collect();
        let steps = crate::bay::aftercare_of(self.book, &fixes);
        let mut open =
            steps.iter().enumerate().filter(|(_, s)| !self.standing.asked(&format!("aftercare:{}", self.book.aftercare[**s].name())));
        open.next().map(|(i, step)| self.aftercare(*step, steps.len() - i))
    }

    fn aftercare(&self, id: Id<Aftercare>, left: usize) -> Ask {
        let step = &self.book.aftercare[id];
        let mut ask = Ask::new(format!("aftercare:{}", step.name()), step.title());
        ask.progress = format!("after the repair, {left} to tick off");
        ask = step.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        ask = self.caution_words(step.hazards.iter().map(|h| (*h, String::new()))).into_iter().fold(ask, |ask, c| ask.line("caution", c));
        ask = ask.reply("1", "done", "done").reply("2", "not needed on this vehicle", "not-needed");
        match &step.if_refused {
            Some(way) => ask.line("if the vehicle refuses", way.clone()).reply("3", "refused, done the manual way", "done-manually").reply(
                "4",
                "refused, and the manual way failed too: still to do",
                "refused",
            ),
            None => ask.reply("3", "could not be done: still to do", "refused"),
        }
    }

    /// A job is closed when its proofs are inside their limits and no danger is open, or with a reason that stands in the sheet.
    fn close(&self) -> Ask {
        let missing = &self.outcome().missing;
        let open = self.open_ends(missing);
        let ask = Ask::new("close", if open.is_empty() { "Close the job?" } else { "The job can't simply be closed." });
        let vain = self.outcome().vain(self.standing);
        let vain = vain.iter().map(|f| self.book.fixes[*f].title());
        let ask = vain.fold(ask, |ask, f| ask.line("in vain, it was not the fault", f));
        let ask = self.left_lines().into_iter().fold(ask, |ask, l| ask.line("left", l));
        let likely = self.still_likely();
        let estimate = if likely.is_empty() { String::new() } else { self.a.estimate() };
        let ask = likely.into_iter().fold(ask, |ask, l| ask.line("may still be there, look before it goes", l)).line("", estimate);
        let back = |ask: Ask| match self.standing.cured() {
            true => ask.says("t", "the complaint is back: try it again", Event::Again(None)),
            false => ask,
        };
        if open.is_empty() {
            return back(ask.reply("1", "close it", "closed"));
        }
        let ask = open.into_iter().fold(ask, |ask, o| ask.line("open", o));
        let ask = ask.line("", "Put it right, or type why it is closed all the same: the reason stands in the report.");
        let untried = self.standing.untried().then(|| (None, "try now if the complaint is gone".to_string()));
        let row = |f: &Id<Finding>| &self.book.findings[*f];
        let proofs = missing.iter().map(|f| (Some(row(f).name().to_string()), format!("read again: {}", row(f).title())));
        let ways = untried.into_iter().chain(proofs).enumerate();
        let ask = ways.fold(ask, |ask, (i, (name, words))| ask.says(&(i + 1).to_string(), &words, Event::Again(name)));
        Ask { free: Free::Words, ..back(ask) }
    }

    /// Faults that may be there all the same, though less likely than not.
    fn still_likely(&self) -> Vec<String> {
        let open = self.a.standing(0.3).into_iter().filter(|(_, p)| *p <= 0.5);
        open.map(|(c, p)| format!("{} ({})", self.book.causes[c].title(), chance(p))).collect()
    }

    fn open_ends(&self, missing: &[Id<Finding>]) -> Vec<String> {
        let untried = self.standing.untried().then(|| "nobody has tried yet if the complaint is gone".to_string());
        let proofs = missing.iter().map(|f| format!("the proof is not inside its limit: {}", self.book.findings[*f].title()));
        let refused = self.book.aftercare.iter().filter(|(_, a)| self.refused(a.name()));
        let refused = refused.map(|(_, a)| format!("still to do, the vehicle refused it: {}", a.title()));
        let stops = self.a.hazards.iter().filter(|r| self.book.hazards[r.hazard].level == Level::Stop);
        let stops = stops.filter(|r| r.findings.iter().any(|f| self.stands(*f)));
        let dangers = stops.map(|r| format!("danger: {}", self.book.hazards[r.hazard].title()));
        untried.into_iter().chain(proofs).chain(refused).chain(dangers).collect()
    }

    fn refused(&self, aftercare: &str) -> bool {
        let answer = self.standing.answers.get(&format!("aftercare:{aftercare}"));
        matches!(answer, Some(Event::Aftercare(_, Ticked::Refused)))
    }

    /// Whether what raised a danger still stands. With the complaint gone, what the customer felt is gone; what was seen on the car is gone only where a
    /// cause that was put right shows it, or where it was read anew.
    fn stands(&self, finding: Id<Finding>) -> bool {
        let felt = matches!(self.book.findings[finding].kind, FindingKind::Symptom { .. } | FindingKind::Code(_));
        let proven = self.standing.fixes.iter().flat_map(|f| &f.proofs).any(|p| p.finding == finding && p.holds());
        let explained = can_change(self.book, &self.outcome().put_right(), finding);
        !(self.standing.cured() && (felt || proven || explained))
    }
}
