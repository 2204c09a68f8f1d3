//! What comes after the repair: the steps to tick off, and the closing of the job.

use super::ask::{Ask, Free};
use super::steps::Desk;
use crate::book::{Aftercare, Finding, FindingKind, Fix, Headed, Id, Level};

impl Desk<'_> {
    /// Once the complaint is gone, or nobody can try it now: aftercare in order, then close.
    pub(super) fn after_cure(&self) -> Option<Ask> {
        if !self.standing.cured() && !self.standing.untried() && !self.standing.asked("refer") {
            return None;
        }
        let fixes: Vec<Id<Fix>> = self.standing.fixes.iter().map(|f| f.fix).collect();
        let steps = crate::bay::aftercare_of(self.book, &fixes);
        let open = steps.iter().enumerate().find(|(_, s)| !self.standing.asked(&format!("aftercare:{}", self.book.aftercare[**s].name())));
        Some(open.map_or_else(|| self.close(), |(i, step)| self.aftercare(*step, steps.len() - i)))
    }

    fn aftercare(&self, id: Id<Aftercare>, left: usize) -> Ask {
        let step = &self.book.aftercare[id];
        let mut ask = Ask::new(format!("aftercare:{}", step.name()), step.title());
        ask.progress = format!("after the repair, {left} to tick off");
        ask = step.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        ask = step.hazards.iter().fold(ask, |ask, h| ask.line("caution", self.book.hazards[*h].does.join(" ")));
        ask = ask.reply("1", "done", "done").reply("2", "not needed on this vehicle", "not-needed");
        match &step.if_refused {
            Some(way) => ask.line("if the vehicle refuses", way.clone()).reply("3", "refused, done the manual way", "done-manually").reply(
                "4",
                "refused, and the manual way failed too: still to do",
                "refused",
            ),
            None => ask.reply("3", "refused: still to do", "refused"),
        }
    }

    /// A job is closed when its proofs are inside their limits and no danger is open, or with a reason that stands in the sheet.
    fn close(&self) -> Ask {
        let missing = self.standing.missing_proofs(self.book, |c| self.view.weight(c));
        let open = self.open_ends(&missing);
        let ask = Ask::new("close", if open.is_empty() { "Close the job?" } else { "The job can't simply be closed." });
        let likely = self.still_likely();
        let estimate = if likely.is_empty() { String::new() } else { self.view.estimate() };
        let ask = likely.into_iter().fold(ask, |ask, l| ask.line("may still be there, look before it goes", l)).line("", estimate);
        if open.is_empty() {
            return ask.reply("1", "close it", "closed");
        }
        let ask = open.into_iter().fold(ask, |ask, o| ask.line("open", o));
        let ask = ask.line("", "Put it right, or type why it is closed all the same: the reason stands in the report.");
        let untried = self.standing.untried().then(|| ("again".to_string(), "try now if the complaint is gone".to_string()));
        let title = |f: &Id<Finding>| format!("read again: {}", self.book.findings[*f].title());
        let proofs = missing.iter().map(|f| (format!("again:{}", self.book.findings[*f].name()), title(f)));
        let ways = untried.into_iter().chain(proofs).enumerate();
        let ask = ways.fold(ask, |ask, (i, (id, words))| ask.reply_to(id, &(i + 1).to_string(), &words, "now"));
        Ask { free: Free::Words, ..ask }
    }

    /// Causes that what was seen still speaks for: consequences of the root above all.
    fn still_likely(&self) -> Vec<String> {
        let (bay, weights) = (&self.view.bay, &self.view.beliefs.causes);
        let open = (0..weights.len()).filter(|c| weights[*c] >= 0.3 && !self.standing.progress.cured.contains(&bay.car.causes[*c]));
        open.map(|c| format!("{} ({:.0} %)", self.book.causes[bay.car.causes[c]].title(), weights[c] * 100.0)).collect()
    }

    fn open_ends(&self, missing: &[Id<Finding>]) -> Vec<String> {
        let untried = self.standing.untried().then(|| "nobody has tried yet if the complaint is gone".to_string());
        let proofs = missing.iter().map(|f| format!("the proof is not inside its limit: {}", self.book.findings[*f].title()));
        let refused = self.book.aftercare.iter().filter(|(_, a)| self.answered(a.name(), "refused"));
        let refused = refused.map(|(_, a)| format!("still to do, the vehicle refused it: {}", a.title()));
        let stops = self.view.hazards.iter().filter(|r| self.book.hazards[r.hazard].level == Level::Stop);
        let stops = stops.filter(|r| r.findings.iter().any(|f| self.stands(*f)));
        let dangers = stops.map(|r| format!("danger: {}", self.book.hazards[r.hazard].title()));
        untried.into_iter().chain(proofs).chain(refused).chain(dangers).collect()
    }

    fn answered(&self, aftercare: &str, answer: &str) -> bool {
        self.standing.answers.get(&format!("aftercare:{aftercare}")).is_some_and(|a| a == answer)
    }

    /// Whether what raised a danger still stands. With the complaint gone, what the customer felt is gone; what was seen on the car is gone only where a
    /// cause that was put right shows it, or where it was read anew.
    fn stands(&self, finding: Id<Finding>) -> bool {
        let felt = matches!(self.book.findings[finding].kind, FindingKind::Symptom { .. } | FindingKind::Code(_));
        let proven = self.standing.fixes.iter().flat_map(|f| &f.proofs).any(|p| p.finding == finding && p.holds());
        let put_right = self.standing.put_right(self.book, |c| self.view.weight(c));
        let explained = put_right.iter().any(|c| self.book.causes[*c].shows.iter().any(|s| s.finding == finding));
        !(self.standing.cured() && (felt || proven || explained))
    }
}
