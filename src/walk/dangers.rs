//! Dangers in the walk: a stop that something seen raises wants its word, every other danger is acknowledged once when it arises, and each step says
//! again which of them it touches.

use super::ask::{Ask, Free};
use super::steps::Desk;
use crate::bay::{Act, Raised};
use crate::book::{Headed, Id, Level};
use crate::job::Event;

impl Desk<'_, '_> {
    /// A danger that stops the work and that something seen raises: nothing else is asked before it is dealt with.
    pub(super) fn stop(&self) -> Option<Ask> {
        let open = self.a.hazards.iter().find(|r| self.stops(r) && !self.standing.safe.contains(&r.hazard))?;
        let hazard = &self.book.hazards[open.hazard];
        let mut ask = Ask::new(format!("danger:{}", hazard.name()), format!("STOP: {}", hazard.title()));
        ask.lines = open.advice(self.book).into_iter().map(|d| (String::new(), d)).collect();
        ask.lines.push((String::new(), "Go on only when that is done. Then type the word.".into()));
        ask.why = vec![self.raised_by(open)];
        Some(Ask { free: Free::Word("safe".into()), ..ask })
    }

    fn stops(&self, raised: &Raised) -> bool {
        self.book.hazards[raised.hazard].level == Level::Stop && !raised.findings.is_empty()
    }

    /// The dangers that were not said yet, all on one screen: those that something seen raises, or also those of causes that may be there.
    pub(super) fn warnings(&self, of_causes: bool) -> Option<Ask> {
        let fresh = |r: &&Raised| !self.standing.warned.contains(&r.hazard) && !self.standing.safe.contains(&r.hazard);
        let due = |r: &&Raised| !self.stops(r) && (of_causes || !r.findings.is_empty());
        let open: Vec<&Raised> = self.a.hazards.iter().filter(fresh).filter(due).collect();
        if open.is_empty() {
            return None;
        }
        let mut ask = Ask::new("warnings", if open.len() == 1 { "Mind this danger." } else { "Mind these dangers." });
        for raised in &open {
            let hazard = &self.book.hazards[raised.hazard];
            ask = ask.line(lead(hazard.level), hazard.title());
            ask = raised.advice(self.book).into_iter().fold(ask, |ask, d| ask.line("", d));
        }
        let why = open.iter().map(|r| format!("{}: {}", self.book.hazards[r.hazard].title(), self.raised_by(r))).collect();
        let names = open.iter().map(|r| self.book.hazards[r.hazard].name().to_string()).collect();
        Some(Ask { why, ..ask }.says("1", "seen, go on", Event::Warned(names)))
    }

    /// In short form which dangers a step touches: those that stand, and those of its own cautions.
    pub(super) fn with_dangers(&self, ask: Ask, act: Act) -> Ask {
        let cautions = act.cautions(self.book);
        let touches = |r: &&Raised| {
            let hazard = &self.book.hazards[r.hazard];
            let serious = hazard.level > Level::Care && r.stands();
            let cures = |fix: Id<_>| r.causes.iter().any(|(c, _)| self.book.fixes[fix].cures(*c));
            let mends = matches!(act, Act::Fix(fix) if cures(fix));
            serious || mends || cautions.iter().any(|c| *c == r.hazard || hazard.bars.contains(c))
        };
        let titles: Vec<&str> = self.a.hazards.iter().filter(touches).map(|r| self.book.hazards[r.hazard].title()).collect();
        ask.line("danger", titles.join("; "))
    }

    fn raised_by(&self, raised: &Raised) -> String {
        let findings = raised.findings.iter().map(|f| self.book.findings[*f].title().to_string());
        let causes = raised.causes.iter().map(|(c, p)| format!("{} ({:.0} %)", self.book.causes[*c].title(), p * 100.0));
        format!("Raised by: {}", findings.chain(causes).collect::<Vec<_>>().join("; "))
    }
}

fn lead(level: Level) -> &'static str {
    match level {
        Level::Stop => "STOP",
        Level::Warn => "WARNING",
        Level::Care => "care",
    }
}
