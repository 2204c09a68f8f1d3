//! Where the job stands -> the next question.

use super::ask::{Ask, Free};
use super::standing::Standing;
use super::summary::{View, view};
use crate::bay::{Act, Bay, Progress, Rates, Unproven, unproven, unproven_complaint};
use crate::belief::Limits;
use crate::book::{Access, Book, Check, Finding, Fix, Hazard, Headed, Id, Level, Need, Tool, Trait};
use crate::job::{JobSheet, effective};
use crate::plan::{Budget, Plan, Step, plan};

/// The next question; none where the job is closed. The error says what is wrong with the sheet.
pub fn next(book: &Book, sheet: &JobSheet, rates: Rates) -> Result<Option<Ask>, String> {
    if sheet.closed.is_some() {
        return Ok(None);
    }
    let standing = Standing::new(book, sheet);
    match view(book, &standing, rates) {
        Ok(view) => Ok(Some(Desk { book, standing: &standing, view: &view, rates }.ask())),
        Err(why) if effective(&sheet.journal).is_empty() => Err(why),
        // where nothing can be worked out from what was answered, the only way on is back
        Err(why) => Ok(Some(Ask::new("stuck", "This does not fit together. Go back with b.").line("", why))),
    }
}

/// What a question is made from.
pub(super) struct Desk<'a> {
    pub book: &'a Book,
    pub standing: &'a Standing,
    pub view: &'a View,
    pub rates: Rates,
}

impl Desk<'_> {
    fn ask(&self) -> Ask {
        None.or_else(|| self.danger())
            .or_else(|| self.current())
            .or_else(|| self.after_cure())
            .or_else(|| self.intake())
            .unwrap_or_else(|| self.step())
    }

    /// A danger that stops the work and that something seen raises: nothing else is asked before it is dealt with.
    fn danger(&self) -> Option<Ask> {
        let open = self.view.hazards.iter().find(|r| {
            self.book.hazards[r.hazard].level == Level::Stop && !r.findings.is_empty() && !self.standing.safe.contains(&r.hazard)
        })?;
        let hazard = &self.book.hazards[open.hazard];
        let mut ask = Ask::new(format!("danger:{}", hazard.name()), format!("STOP: {}", hazard.title()));
        ask.lines = open.advice(self.book).into_iter().map(|d| (String::new(), d)).collect();
        ask.lines.push((String::new(), "Go on only when that is done. Then type the word.".into()));
        ask.why = open.findings.iter().map(|f| format!("Raised by: {}", self.book.findings[*f].title())).collect();
        Some(Ask { free: Free::Word("safe".into()), ..ask })
    }

    /// What is still to be read of the step under way.
    fn current(&self) -> Option<Ask> {
        match self.standing.current.as_ref()? {
            (Act::Check(_), left) => {
                let id = *left.first()?;
                let unseen = if self.book.findings[id].gauge().is_some() { "could not be read" } else { "could not be seen" };
                let ask = self.finding("find", id, unseen);
                Some(if left.len() > 1 { Ask { progress: format!("{} to look at in this check", left.len()), ..ask } } else { ask })
            }
            (Act::Fix(_), _) => self.proving(),
        }
    }

    /// Asks for a finding: a number, or one of its states.
    pub(super) fn finding(&self, topic: &str, id: Id<Finding>, unseen: &str) -> Ask {
        let finding = &self.book.findings[id];
        let ask = Ask::new(format!("{topic}:{}", finding.name()), finding.question().unwrap_or(finding.title()));
        let ask = match (finding.gauge(), finding.states.as_slice()) {
            (Some(gauge), _) => Ask { free: Free::Quantity(gauge.unit.text.clone()), ..ask },
            // states without names of their own answer a question of yes or no
            (None, [no, yes]) if matches!((no.as_str(), yes.as_str()), ("absent", "present") | ("no", "yes")) => {
                ask.reply("1", "yes", yes).reply("2", "no", no)
            }
            (None, states) => states.iter().enumerate().fold(ask, |ask, (i, s)| ask.reply(&(i + 1).to_string(), s, s)),
        };
        self.with_other_vehicle(ask.reply("x", unseen, "not-seen"), self.deciding(&[&finding.head.when], |keeps| keeps(&finding.head.when)))
    }

    fn step(&self) -> Ask {
        if self.view.bay.model.complaint.is_empty() {
            let title = "Nothing abnormal is known, so there is nothing to plan. Type why the job is closed, or go back.";
            return Ask { free: Free::Words, ..Ask::new("close", title) };
        }
        let plan = self.view.plan();
        let act = |a: usize| self.view.bay.acts[a];
        let ask = match (self.standing.chosen, plan.as_ref().map(|p| p.tree.first().step)) {
            (Some(id), _) => self.check(id),
            (None, Some(Step::Check(a) | Step::Fix(a))) => match act(a) {
                Act::Check(id) => self.check(id),
                Act::Fix(id) => self.fix(id),
            },
            (None, Some(Step::Refer | Step::Done) | None) => self.last_look().unwrap_or_else(|| self.refer()),
        };
        let (progress, why) = plan.map(|p| (steps_left(&p), self.view.reasons(self.book, &p))).unwrap_or_default();
        let progress = if ask.id == "refer" { String::new() } else { progress };
        Ask { progress, why, ..ask }
    }

    /// A check that was tried once and showed nothing, where nothing else is left.
    fn last_look(&self) -> Option<Ask> {
        let tried = &self.standing.progress.unseen;
        let twice = |pair: &_| tried.iter().filter(|p| *p == pair).count() > 1;
        let unseen: Vec<_> = tried.iter().filter(|p| twice(p)).copied().collect();
        if unseen.len() == tried.len() {
            return None;
        }
        let progress = Progress { unseen, ..self.standing.progress.clone() };
        let mut bay = Bay::new(self.book, &self.view.evidence, &progress, self.rates).ok()?;
        bay.bar(self.book, &self.view.hazards);
        let Step::Check(act) = plan(&bay.model, &Budget::PLAN, &Limits::STEP).ok()?.tree.first().step else { return None };
        let Act::Check(id) = bay.acts[act] else { return None };
        let again = tried.iter().any(|(check, _)| *check == id);
        again.then(|| self.check(id).line("once more", "it could not be seen before, and nothing else is left that pays"))
    }

    fn refer(&self) -> Ask {
        let ask = Ask::new("refer", "Nothing that is left here pays: hand the car to a specialist, with all that was found.");
        let skipped = self.standing.progress.skipped.iter();
        let checks = skipped.filter_map(|act| if let Act::Check(id) = act { Some(&self.book.checks[*id]) } else { None }).take(7);
        let ask = checks.enumerate().fold(ask.reply("1", "referred", "referred"), |ask, (i, check)| {
            let words = format!("left out before, take it up after all: {}", check.title());
            ask.reply_to(format!("do:{}", check.name()), &(i + 2).to_string(), &words, check.name())
        });
        match unproven_complaint(self.book, &self.view.bay, &Limits::GLANCE) {
            Some(unproven) => {
                let likeliest = format!(
                    "{}: {}. A specialist wants a finding.",
                    self.book.causes[unproven.cause].title(),
                    likely_words(unproven.likely)
                );
                self.prove_first(ask.line("not proven", likeliest).line("", self.view.estimate()), &unproven)
            }
            None => ask,
        }
    }

    /// Traits not known yet, each with the answer by which something falls away. `needs` are all conditions that it hangs on, `stays` tells by them whether it stays.
    fn deciding(&self, needs: &[&Need], stays: impl Fn(&dyn Fn(&Need) -> bool) -> bool) -> Vec<(Id<Trait>, bool)> {
        let known = &self.view.evidence.traits;
        let mut open: Vec<Id<Trait>> = needs.iter().flat_map(|n| n.traits()).filter(|t| known[t.index()].is_none()).collect();
        open.sort();
        open.dedup();
        let falls = |(id, fitted): &(Id<Trait>, bool)| {
            let mut supposed = known.clone();
            supposed[id.index()] = Some(*fitted);
            !stays(&|need: &Need| need.keeps(&supposed))
        };
        open.into_iter().flat_map(|id| [(id, false), (id, true)]).filter(falls).collect()
    }

    /// Adds an answer for each trait by which this vehicle may be another one: it is learnt, and the plan is made without all that falls away.
    fn with_other_vehicle(&self, ask: Ask, traits: Vec<(Id<Trait>, bool)>) -> Ask {
        traits.into_iter().enumerate().fold(ask, |ask, (i, (id, fitted))| {
            let key = if i == 0 { "f".to_string() } else { format!("f{}", i + 1) };
            let (lead, answer) = if fitted { ("not on this vehicle, it has", "yes") } else { ("not fitted on this vehicle", "no") };
            ask.reply_to(self.trait_id(id), &key, &format!("{lead}: {}", self.book.traits[id].title()), answer)
        })
    }

    fn check(&self, id: Id<Check>) -> Ask {
        let check = &self.book.checks[id];
        let ask = Ask::new(format!("do:{}", check.name()), format!("Check: {}", check.title()));
        let ask = self.with_effort(ask, check.minutes, &check.access, &check.tools);
        let ask = check.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        let ask = self.with_cautions(ask, &check.hazards);
        let ask = ask.reply("1", "done, ask me what I saw", "done").reply("s", "skip: no tool, or can't reach", "skip");
        let shows: Vec<&Need> = check.reveals.iter().map(|f| &self.book.findings[*f].head.when).collect();
        let needs: Vec<&Need> = shows.iter().copied().chain([&check.head.when]).collect();
        self.with_other_vehicle(ask, self.deciding(&needs, |keeps| keeps(&check.head.when) && shows.iter().any(|n| keeps(n))))
    }

    /// The two checks that prove best, each with the next free figure as its key.
    fn prove_first(&self, ask: Ask, unproven: &Unproven) -> Ask {
        let checks = unproven.checks.iter().take(2).map(|(check, _)| &self.book.checks[*check]);
        checks.fold(ask, |ask, check| {
            let key = (ask.replies.len() + 1).to_string();
            ask.reply_to(format!("do:{}", check.name()), &key, &format!("prove it first: {}", check.title()), check.name())
        })
    }

    fn fix(&self, id: Id<Fix>) -> Ask {
        let fix = &self.book.fixes[id];
        let ask = Ask::new(format!("do:{}", fix.name()), format!("Fix: {}", fix.title()));
        let ask = self.with_effort(ask, fix.minutes, &fix.access, &fix.tools);
        let ask = fix.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        let mut ask = self.with_cautions(ask, &fix.hazards).reply("1", "done", "done");
        if let Some(unproven) = unproven(self.book, &self.view.bay, id, &Limits::GLANCE) {
            let told = ask.line("not proven", likely_words(unproven.likely)).line("", self.view.estimate());
            ask = self.prove_first(told, &unproven);
        }
        let ask = ask.reply("s", "skip: not here, not now", "skip");
        let cures: Vec<&Need> = fix.causes().map(|c| &self.book.causes[c].head.when).collect();
        let needs: Vec<&Need> = cures.iter().copied().chain([&fix.head.when]).collect();
        self.with_other_vehicle(ask, self.deciding(&needs, |keeps| keeps(&fix.head.when) && cures.iter().any(|n| keeps(n))))
    }

    fn with_cautions(&self, ask: Ask, hazards: &[Id<Hazard>]) -> Ask {
        hazards.iter().fold(ask, |ask, h| {
            let hazard = &self.book.hazards[*h];
            ask.line("caution", format!("{}: {}", hazard.title(), hazard.does.join(" ")))
        })
    }

    fn with_effort(&self, ask: Ask, minutes: f64, access: &[Id<Access>], tools: &[Id<Tool>]) -> Ask {
        let closed = access.iter().filter(|a| !self.standing.progress.open.contains(a));
        let steps: Vec<&str> = closed.map(|a| self.book.access[*a].title()).collect();
        let tools: Vec<&str> = tools.iter().map(|t| self.book.tools[*t].title()).collect();
        ask.line("takes", format!("{minutes:.0} min")).line("first", steps.join("; ")).line("tools", tools.join("; "))
    }
}

/// A probability in words; what is not proven is never said to be certain.
fn likely_words(p: f64) -> String {
    if p > 0.99 { "over 99 % likely, but nothing seen on the car shows it".into() } else { format!("{:.0} % likely", p * 100.0) }
}

/// How many checks and fixes the plan expects from here, in words.
fn steps_left(plan: &Plan) -> String {
    let reached = plan.tree.reached();
    let work = plan.tree.nodes.iter().zip(reached).filter(|(node, _)| matches!(node.step, Step::Check(_) | Step::Fix(_)));
    match work.map(|(_, p)| p).sum::<f64>().round() {
        n if n < 1.5 => "about one step left".into(),
        n => format!("about {n:.0} steps left, this one counted"),
    }
}
