//! Where the job stands -> the next question.

use super::ask::{Ask, Free};
use super::standing::Standing;
use super::summary::{View, view};
use crate::bay::{Act, Question, Rates, Why, unproven};
use crate::belief::Limits;
use crate::book::{Aftercare, Book, Finding, Fix, Headed, Id, Level};
use crate::job::JobSheet;
use crate::plan::Step;

/// The next question; none where the job is closed. The error says what is wrong with the sheet.
pub fn next(book: &Book, sheet: &JobSheet, rates: Rates) -> Result<Option<Ask>, String> {
    if sheet.closed.is_some() {
        return Ok(None);
    }
    let standing = Standing::new(book, sheet);
    if let Some(ask) = words(&standing) {
        return Ok(Some(ask));
    }
    let view = view(book, &standing, rates)?;
    let desk = Desk { book, standing: &standing, view: &view };
    Ok(Some(desk.ask()))
}

/// The first question of an empty sheet.
fn words(standing: &Standing) -> Option<Ask> {
    let said = &standing.sheet.complaint;
    let blank = said.words.is_empty() && said.yes.is_empty() && standing.sheet.scan.codes.is_empty();
    (blank && !standing.asked("words"))
        .then(|| Ask { free: Free::Words, ..Ask::new("words", "What does the customer say? Type the words.") })
}

struct Desk<'a> {
    book: &'a Book,
    standing: &'a Standing,
    view: &'a View,
}

impl Desk<'_> {
    fn ask(&self) -> Ask {
        None.or_else(|| self.danger())
            .or_else(|| self.current())
            .or_else(|| self.after_cure())
            .or_else(|| self.question())
            .or_else(|| self.codes())
            .unwrap_or_else(|| self.step())
    }

    /// A danger that stops the work and that something seen raises: nothing else is asked before it is dealt with.
    fn danger(&self) -> Option<Ask> {
        let open = self.view.hazards.iter().find(|r| {
            self.book.hazards[r.hazard].level == Level::Stop && !r.findings.is_empty() && !self.standing.safe.contains(&r.hazard)
        })?;
        let hazard = &self.book.hazards[open.hazard];
        let mut ask = Ask::new(format!("danger:{}", hazard.name()), format!("STOP: {}", hazard.title()));
        ask.lines = hazard.does.iter().map(|d| (String::new(), d.clone())).collect();
        ask.lines.push((String::new(), "Go on only when that is done. Type the word safe.".into()));
        ask.why = open.findings.iter().map(|f| format!("Raised by: {}", self.book.findings[*f].title())).collect();
        Some(Ask { free: Free::Word("safe".into()), ..ask })
    }

    fn question(&self) -> Option<Ask> {
        let open = self.view.questions.iter().find(|q| !self.standing.asked(&self.question_id(q)))?;
        let id = self.question_id(open);
        Some(match open {
            Question::Symptom(symptom, why) => {
                let finding = &self.book.findings[*symptom];
                let mut ask = Ask::new(id, finding.question().unwrap_or(finding.title())).yes_no("not known");
                if let Why::Heard(words) = why {
                    ask = ask.line("the customer's words match", format!("“{words}”"));
                }
                ask.why.push("Asked before any check: it costs a word, and it may be a danger or settle a cause.".into());
                ask
            }
            Question::Trait(id_) => {
                let row = &self.book.traits[*id_];
                let mut ask = Ask::new(id, row.ask.as_deref().unwrap_or(row.title())).yes_no("not known");
                ask.why.push("The answer changes what to do first.".into());
                ask
            }
        })
    }

    fn question_id(&self, question: &Question) -> String {
        match question {
            Question::Symptom(id, _) => format!("symptom:{}", self.book.findings[*id].name()),
            Question::Trait(id) => format!("trait:{}", self.book.traits[*id].name()),
        }
    }

    fn codes(&self) -> Option<Ask> {
        let scan = &self.standing.sheet.scan;
        if scan.codes.is_empty() && !scan.complete && !self.standing.asked("codes") {
            let ask = Ask::new("codes", "Which trouble codes are stored? Type them all.")
                .reply("1", "none", "none")
                .reply("2", "not read", "unknown");
            return Some(Ask { free: Free::Codes, ..ask });
        }
        let known = self.standing.answers.get("codes").is_some_and(|a| a != "unknown");
        (known && !self.standing.asked("scan")).then(|| {
            let ask = Ask::new("scan", "Was every module read, and nothing cleared just before?");
            Ask { why: vec!["Only then does a code that is not there count as absent.".into()], ..ask }.yes_no("not known")
        })
    }

    /// What is still to be read of the step under way.
    fn current(&self) -> Option<Ask> {
        match self.standing.current.as_ref()? {
            (Act::Check(_), left) => {
                left.iter().find(|f| self.view.applies(**f)).or(left.first()).map(|f| self.finding("find", *f, "not seen"))
            }
            (Act::Fix(fix), _) => {
                let done = self.standing.fixes.last()?;
                match done.proofs.iter().find(|p| p.seen.is_none()) {
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
            ask.lines.push((String::new(), format!("Type the number, in {} unless you write another unit.", gauge.unit.text)));
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

    /// Once the complaint is gone: aftercare in order, then close.
    fn after_cure(&self) -> Option<Ask> {
        if !self.standing.cured() && !self.standing.asked("refer") {
            return None;
        }
        let fixes: Vec<Id<Fix>> = self.standing.fixes.iter().map(|f| f.fix).collect();
        let steps = crate::bay::aftercare_of(self.book, &fixes);
        let open = steps.iter().enumerate().find(|(_, s)| !self.standing.asked(&format!("aftercare:{}", self.book.aftercare[**s].name())));
        Some(open.map_or_else(|| self.close(), |(i, step)| self.aftercare(*step, steps.len() - i)))
    }

    fn aftercare(&self, id: Id<Aftercare>, left: usize) -> Ask {
        let step = &self.book.aftercare[id];
        let mut ask = Ask::new(format!("aftercare:{}", step.name()), step.title()).line("", format!("{left} to go."));
        ask = step.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        ask = step.hazards.iter().fold(ask, |ask, h| ask.line("caution", self.book.hazards[*h].does.join(" ")));
        ask = ask.reply("1", "done", "done").reply("2", "not needed on this vehicle", "not-needed");
        match &step.if_refused {
            Some(way) => ask.line("if the tester refuses", way.clone()).reply("3", "tester refused, done the manual way", "done-manually"),
            None => ask,
        }
    }

    /// A job is closed when its proofs are inside their limits and no danger is open, or with a reason that stands in the sheet.
    fn close(&self) -> Ask {
        let open = self.open_ends();
        let ask = Ask::new("close", if open.is_empty() { "Close the job?" } else { "The job can't simply be closed." });
        let ask = self.still_likely().into_iter().fold(ask, |ask, l| ask.line("may still be there, look before it goes", l));
        let mut ask = open.iter().fold(ask, |ask, o| ask.line("open", o.clone()));
        if open.is_empty() {
            return ask.reply("1", "close it", "closed");
        }
        ask.lines.push((
            String::new(),
            "Go back and put it right, or type why it is closed all the same: the reason stands in the report.".into(),
        ));
        Ask { free: Free::Words, ..ask }
    }

    /// Causes that what was seen still speaks for: consequences of the root above all.
    fn still_likely(&self) -> Vec<String> {
        let (bay, weights) = (&self.view.bay, &self.view.beliefs.causes);
        let open = (0..weights.len()).filter(|c| weights[*c] >= 0.3 && !self.standing.progress.cured.contains(&bay.car.causes[*c]));
        open.map(|c| format!("{} ({:.0} %)", self.book.causes[bay.car.causes[c]].title(), weights[c] * 100.0)).collect()
    }

    fn open_ends(&self) -> Vec<String> {
        let proofs = self.standing.fixes.iter().filter(|f| f.gone == Some(true)).flat_map(|f| f.open_proofs().collect::<Vec<_>>());
        let proofs = proofs.map(|f| format!("the proof is not inside its limit: {}", self.book.findings[f].title()));
        let dangers = self.view.hazards.iter().filter(|r| self.book.hazards[r.hazard].level == Level::Stop && !r.findings.is_empty());
        let dangers = dangers.filter(|_| !self.standing.cured()).map(|r| format!("danger: {}", self.book.hazards[r.hazard].title()));
        proofs.chain(dangers).collect()
    }

    fn step(&self) -> Ask {
        let Some(plan) = &self.view.plan else {
            return Ask {
                free: Free::Words,
                ..Ask::new("close", "Nothing abnormal is known, so there is nothing to plan. Type why the job is closed, or go back.")
            };
        };
        match plan.tree.first().step {
            Step::Check(a) => self.check(self.view.bay.acts[a]),
            Step::Fix(a) => self.fix(self.view.bay.acts[a]),
            Step::Refer | Step::Done => {
                let ask = Ask::new("refer", "Nothing that is left here pays: hand the car to a specialist, with all that was found.");
                ask.reply("1", "referred", "referred")
            }
        }
    }

    fn check(&self, act: Act) -> Ask {
        let Act::Check(id) = act else { return self.fix(act) };
        let check = &self.book.checks[id];
        let mut ask = Ask::new(format!("do:{}", check.name()), format!("Check: {}", check.title()));
        ask = self.with_effort(ask, act);
        ask = check.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        ask = check.hazards.iter().fold(ask, |ask, h| {
            ask.line("caution", format!("{}: {}", self.book.hazards[*h].title(), self.book.hazards[*h].does.join(" ")))
        });
        ask.why = self.view.reasons(self.book);
        ask.reply("1", "done, ask me what I saw", "done").reply("s", "skip: no tool, or can't reach", "skip")
    }

    fn fix(&self, act: Act) -> Ask {
        let Act::Fix(id) = act else { return self.check(act) };
        let fix = &self.book.fixes[id];
        let mut ask = Ask::new(format!("do:{}", fix.name()), format!("Fix: {}", fix.title()));
        ask = self.with_effort(ask, act);
        ask = fix.does.iter().fold(ask, |ask, d| ask.line("", d.clone()));
        ask = fix.hazards.iter().fold(ask, |ask, h| {
            ask.line("caution", format!("{}: {}", self.book.hazards[*h].title(), self.book.hazards[*h].does.join(" ")))
        });
        ask.why = self.view.reasons(self.book);
        ask = ask.reply("1", "done", "done");
        if let Some(unproven) = unproven(self.book, &self.view.bay, id, &Limits::default()) {
            ask = ask.line("not proven", format!("{:.0} % likely", unproven.likely * 100.0));
            for (i, (check, _)) in unproven.checks.iter().take(2).enumerate() {
                let check = &self.book.checks[*check];
                ask = ask.reply(&(i + 2).to_string(), &format!("prove it first: {}", check.title()), check.name());
            }
        }
        ask.reply("s", "skip: not here, not now", "skip")
    }

    fn with_effort(&self, ask: Ask, act: Act) -> Ask {
        let (minutes, access, tools) = match act {
            Act::Check(id) => (self.book.checks[id].minutes, &self.book.checks[id].access, &self.book.checks[id].tools),
            Act::Fix(id) => (self.book.fixes[id].minutes, &self.book.fixes[id].access, &self.book.fixes[id].tools),
        };
        let steps: Vec<&str> =
            access.iter().filter(|a| !self.standing.progress.open.contains(a)).map(|a| self.book.access[*a].title()).collect();
        let tools: Vec<&str> = tools.iter().map(|t| self.book.tools[*t].title()).collect();
        ask.line("takes", format!("{minutes:.0} min")).line("first", steps.join("; ")).line("tools", tools.join("; "))
    }
}
