//! Where the job stands -> the next question.

use super::ask::{Ask, Free};
use super::standing::{Proof, Standing};
use super::summary::{View, view};
use crate::bay::{Act, Rates, unproven};
use crate::belief::Limits;
use crate::book::{Access, Book, Check, Finding, Fix, Hazard, Headed, Id, Level, Tool};
use crate::job::{JobSheet, effective};
use crate::plan::{Plan, Step};

/// The next question; none where the job is closed. The error says what is wrong with the sheet.
pub fn next(book: &Book, sheet: &JobSheet, rates: Rates) -> Result<Option<Ask>, String> {
    if sheet.closed.is_some() {
        return Ok(None);
    }
    let standing = Standing::new(book, sheet);
    match view(book, &standing, rates) {
        Ok(view) => Ok(Some(Desk { book, standing: &standing, view: &view, rates }.ask())),
        Err(why) => stuck(sheet, why),
    }
}

/// Where nothing can be worked out from what was answered, the only way on is back.
fn stuck(sheet: &JobSheet, why: String) -> Result<Option<Ask>, String> {
    if effective(&sheet.journal).is_empty() {
        Err(why)
    } else {
        Ok(Some(Ask::new("stuck", "This does not fit together. Go back with b.").line("", why)))
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
                let ask = left.iter().find(|f| self.view.applies(**f)).or(left.first()).map(|f| self.finding("find", *f, "not seen"))?;
                Some(if left.len() > 1 { Ask { progress: format!("{} to look at in this check", left.len()), ..ask } } else { ask })
            }
            (Act::Fix(fix), _) => {
                let done = self.standing.fixes.last()?;
                match done.proofs.iter().find(|p| p.seen.is_none() || !p.settled) {
                    Some(proof) if proof.seen.is_some() => Some(self.settle(proof)),
                    Some(proof) => {
                        let wanted = crate::bay::proof_words(self.book, proof.finding, proof.wanted);
                        let ask = self.finding("proof", proof.finding, "can't be read here");
                        Some(Ask { title: format!("Proof: {wanted}"), ..ask })
                    }
                    None => Some(self.gone(*fix)),
                }
            }
        }
    }

    /// A number counts once it no longer moves: a warm-up or a slow sensor would prove a repair that proves nothing.
    fn settle(&self, proof: &Proof) -> Ask {
        let finding = &self.book.findings[proof.finding];
        let last = proof.seen.as_ref().map_or("", |(_, text)| text.as_str());
        let inside = if proof.holds() { "inside its limit" } else { "out of its limit" };
        let ask = Ask::new(format!("settle:{}", finding.name()), format!("Does it stand still at {last}?"))
            .line("", format!("{last} is {inside}. It counts once it no longer moves: wait, then read it again."))
            .reply("1", "yes, it stands still", "settled");
        Ask { free: finding.gauge().map_or(Free::No, |g| Free::Quantity(g.unit.text.clone())), ..ask }
    }

    fn finding(&self, topic: &str, id: Id<Finding>, unseen: &str) -> Ask {
        let finding = &self.book.findings[id];
        let title = finding.question().unwrap_or(finding.title());
        let mut ask = Ask::new(format!("{topic}:{}", finding.name()), title);
        for (i, state) in finding.states.iter().enumerate() {
            let band = finding.gauge().map_or(String::new(), |_| format!(": {}", crate::bay::band_words(self.book, id, i)));
            ask = ask.reply(&(i + 1).to_string(), &format!("{state}{band}"), state);
        }
        ask = ask.reply("0", unseen, "not-seen");
        if let Some(gauge) = finding.gauge() {
            ask.free = Free::Quantity(gauge.unit.text.clone());
            // digits are numbers here, so the states have letters
            for (i, reply) in ask.replies.iter_mut().enumerate() {
                reply.key = if reply.answer == "not-seen" { "x".into() } else { format!("band {}", i + 1) };
            }
            ask.replies.retain(|r| r.answer == "not-seen");
        }
        ask
    }

    fn gone(&self, fix: Id<Fix>) -> Ask {
        let complaint = self.view.evidence.complaint();
        let what: Vec<&str> = complaint.iter().map(|f| self.book.findings[*f].title()).collect();
        let ask = Ask::new(format!("gone:{}", self.book.fixes[fix].name()), "Is the complaint gone, all of it?");
        ask.line("the complaint was", what.join("; ")).reply("1", "yes, gone", "yes").reply("2", "no, still there", "no")
    }

    fn step(&self) -> Ask {
        let Some(plan) = self.view.plan() else {
            return Ask {
                free: Free::Words,
                ..Ask::new("close", "Nothing abnormal is known, so there is nothing to plan. Type why the job is closed, or go back.")
            };
        };
        let ask = match (self.standing.chosen, plan.tree.first().step) {
            (Some(id), _) => self.check(id),
            (None, Step::Check(a) | Step::Fix(a)) => match self.view.bay.acts[a] {
                Act::Check(id) => self.check(id),
                Act::Fix(id) => self.fix(id),
            },
            (None, Step::Refer | Step::Done) => return self.refer(&plan),
        };
        Ask { progress: steps_left(&plan), why: self.view.reasons(self.book, &plan), ..ask }
    }

    fn refer(&self, plan: &Plan) -> Ask {
        let ask = Ask::new("refer", "Nothing that is left here pays: hand the car to a specialist, with all that was found.");
        Ask { why: self.view.reasons(self.book, plan), ..ask.reply("1", "referred", "referred") }
    }

    fn check(&self, id: Id<Check>) -> Ask {
        let check = &self.book.checks[id];
        let ask = Ask::new(format!("do:{}", check.name()), format!("Check: {}", check.title()));
        let ask = self.with_effort(ask, check.minutes, &check.access, &check.tools);
        let ask = check.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        let ask = self.with_cautions(ask, &check.hazards);
        ask.reply("1", "done, ask me what I saw", "done").reply("s", "skip: no tool, or can't reach", "skip")
    }

    fn fix(&self, id: Id<Fix>) -> Ask {
        let fix = &self.book.fixes[id];
        let ask = Ask::new(format!("do:{}", fix.name()), format!("Fix: {}", fix.title()));
        let ask = self.with_effort(ask, fix.minutes, &fix.access, &fix.tools);
        let ask = fix.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        let mut ask = self.with_cautions(ask, &fix.hazards).reply("1", "done", "done");
        if let Some(unproven) = unproven(self.book, &self.view.bay, id, &Limits::default()) {
            ask = ask.line("not proven", likely_words(unproven.likely));
            for (i, (check, _)) in unproven.checks.iter().take(2).enumerate() {
                let check = &self.book.checks[*check];
                ask = ask.reply(&(i + 2).to_string(), &format!("prove it first: {}", check.title()), check.name());
            }
        }
        ask.reply("s", "skip: not here, not now", "skip")
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
