//! Dangers in the walk: a stop that something seen raises wants its word, every other danger is acknowledged once when it arises, and each step says
//! again which of them it touches.

use super::ask::{Ask, Free};
use super::steps::Desk;
use crate::bay::{Act, Raised, need_words};
use crate::book::{Access, Cause, Hazard, Headed, Id, Level, Need};
use crate::job::{Event, Taken};

/// A fault that was looked at and is likelier than this is there.
const SEEN: f64 = 0.95;

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

    /// The cautions of a step in words: in full the first time, by their titles where a step that was done or a screen that was acknowledged had them. What
    /// only a vehicle of another kind may need says so.
    pub(super) fn cautions(&self, act: Act) -> Vec<String> {
        let all = act.cautions(self.book, &self.a.intake.traits);
        self.caution_words(all.into_iter().map(|h| (h, self.only_on(act, h))))
    }

    /// Cautions in words, each with the vehicles that it is for where that is not known.
    pub(super) fn caution_words(&self, cautions: impl Iterator<Item = (Id<Hazard>, String)>) -> Vec<String> {
        let told = self.told();
        let words = |(h, only): (Id<Hazard>, String)| {
            let hazard = &self.book.hazards[h];
            let title = if only.is_empty() { hazard.title().to_string() } else { format!("{} ({only} only)", hazard.title()) };
            if told.contains(&h) { format!("{title}, as before") } else { format!("{title}: {}", hazard.does.join(" ")) }
        };
        cautions.map(words).collect()
    }

    /// The same in full, for who asks why.
    pub(super) fn cautions_in_full(&self, act: Act) -> Vec<String> {
        let told = self.told();
        let again = act.cautions(self.book, &self.a.intake.traits).into_iter().filter(|h| told.contains(h)).map(|h| &self.book.hazards[h]);
        again.map(|h| format!("Caution, {}: {}", h.title(), h.does.join(" "))).collect()
    }

    /// Dangers that were read in full.
    fn told(&self) -> Vec<Id<Hazard>> {
        let done = self
            .standing
            .answers
            .values()
            .filter_map(|e| if let Event::Act(name, Taken::Done) = e { Act::find(self.book, name) } else { None });
        let cautions = done.flat_map(|act| act.cautions(self.book, &self.a.intake.traits));
        cautions.chain(self.standing.warned.iter().chain(&self.standing.safe).copied()).collect()
    }

    /// For which vehicles a caution is, where it is not known whether this is one; else empty.
    fn only_on(&self, act: Act, hazard: Id<Hazard>) -> String {
        let traits = &self.a.intake.traits;
        let steps = act.opens(self.book, traits, &[]);
        let from = |a: &Id<Access>| self.book.access[*a].hazards.contains(&hazard);
        let own = act.hazards(self.book).contains(&hazard);
        let needs: Vec<&Need> = steps.iter().filter(|a| from(a)).map(|a| &self.book.access[*a].head.when).collect();
        match needs.as_slice() {
            [need] if !own && need.holds(traits).is_none() => need_words(self.book, need),
            _ => String::new(),
        }
    }

    /// The repair of a fault that was seen and whose danger keeps looks away: what makes the car safe comes before what needs a safe car.
    pub(super) fn makes_safe(&self) -> Option<Act> {
        let now = self.standing.progress.period();
        let barring = self.a.hazards.iter().filter(|r| r.barring).flat_map(|r| &r.causes);
        let seen = barring.filter(|(c, p)| *p > SEEN && self.a.looked_at(*c, now));
        let mut repairs = seen.filter_map(|(c, _)| Some((*c, self.cheapest(*c)?)));
        repairs.find(|(c, act)| !self.waits_for_its_root(*c, *act)).map(|(_, act)| act)
    }

    /// Whether what likely brought a fault about costs far less to put right than the fault: a dear repair is not done before, to be ruined again.
    fn waits_for_its_root(&self, fault: Id<Cause>, repair: Act) -> bool {
        let brings = |root: &Cause| root.brings.iter().any(|(c, _)| *c == fault);
        let mut roots = self.book.causes.iter().filter(|(id, root)| brings(root) && self.a.weight(*id) > 0.5);
        let cheaper = |act: Act| self.a.price(repair) > 2.0 * self.a.price(act);
        roots.any(|(id, _)| self.cheapest(id).is_some_and(cheaper))
    }

    /// In short form which dangers a step touches: those that stand, and those of its own cautions.
    pub(super) fn with_dangers(&self, ask: Ask, act: Act) -> Ask {
        // a question to the customer touches nothing on the car
        if act.is_asked(self.book) {
            return ask;
        }
        let cautions = act.cautions(self.book, &self.a.intake.traits);
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
