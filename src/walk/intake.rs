//! The questions before any work: the customer's words, dangers, what was done before, codes, the vehicle. Short, and danger before the rest.

use super::ask::{Ask, Free, ONE_DIGIT, Several};
use super::steps::Desk;
use crate::bay::Question;
use crate::book::{Finding, Fix, Headed, Id, Trait};
use crate::job::{CodeEntry, Event, Heard, heard_repairs};
use std::collections::BTreeMap;

/// A trait is worth a line where its causes together are at least this likely.
const MATTERS: f64 = 0.02;

impl Desk<'_, '_> {
    /// The next question of the intake, if one is open.
    pub(super) fn intake(&self) -> Option<Ask> {
        if !self.standing.progress.done.is_empty() {
            return None;
        }
        let heard = self.a.intake.heard.iter().filter(|h| !self.standing.asked(&self.symptom_id(h.symptom))).map(|h| self.heard(h));
        let first = [self.words(), self.settling(), self.dangers(), self.before()].into_iter().flatten();
        let mut open: Vec<Ask> = first.chain(heard).chain(self.codes()).collect();
        // what nobody has heard yet may still be heard in an answer that is open
        open.extend(self.unheard().filter(|_| open.is_empty()));
        open.extend(self.vehicle().into_iter().chain(self.repaired()));
        if open.is_empty() {
            return self.deciding_trait();
        }
        let progress = match open.len() {
            1 => "intake, about one question left".into(),
            n => format!("intake, about {n} questions left"),
        };
        Some(Ask { progress, ..open.swap_remove(0) })
    }

    fn words(&self) -> Option<Ask> {
        let said = &self.standing.sheet.complaint;
        let blank = said.words.is_empty() && said.yes.is_empty() && self.standing.sheet.scan.codes.is_empty();
        (blank && !self.standing.asked("words")).then(|| Ask { free: Free::Words, ..Ask::new("words", "What does the customer say?") })
    }

    /// A trait on which it hangs which dangers are asked about.
    fn settling(&self) -> Option<Ask> {
        let id = self.a.intake.to_settle.iter().find(|id| !self.standing.asked(&self.trait_id(**id)))?;
        Some(self.ask_trait(*id, "The answer decides which dangers are asked about."))
    }

    pub(super) fn trait_id(&self, id: Id<Trait>) -> String {
        format!("trait:{}", self.book.traits[id].name())
    }

    fn ask_trait(&self, id: Id<Trait>, why: &str) -> Ask {
        let row = &self.book.traits[id];
        let ask = Ask::new(self.trait_id(id), row.ask.as_deref().unwrap_or(row.title())).yes_no("not known");
        Ask { why: vec![why.into()], ..ask }
    }

    /// All that is asked at every intake, at once: most cars have none of it.
    fn dangers(&self) -> Option<Ask> {
        // where nobody knew what it hangs on, it is asked all the same
        let open: Vec<Id<Finding>> =
            self.a.intake.to_ask.iter().copied().filter(|id| !self.standing.asked(&self.symptom_id(*id))).collect();
        if open.is_empty() || self.standing.answers.get("dangers") == Some(&Event::Dangers(None)) {
            return None;
        }
        let words = |id: &Id<Finding>| (self.book.findings[*id].name().to_string(), self.book.findings[*id].title().to_string());
        let list = Several { items: open.iter().map(words).collect(), rest_is_no: true };
        let ask = Ask::new("dangers", "Danger first: is any of these so, now or lately?")
            .none_of(&list, "none of these: asked, and all answered no")
            .reply("x", "could not be asked", "unknown");
        let why = "Each of these can hurt somebody, whatever the car came in for. Those not named count as answered no.";
        Some(Ask { free: Free::Several(list), why: vec![why.into()], ..ask })
    }

    /// What the vehicle has, where the sheet says nothing of it: what matters to the causes that are in question.
    fn vehicle(&self) -> Option<Ask> {
        let said = &self.standing.sheet.vehicle;
        let on_the_sheet = |name: &String| !self.standing.asked(&format!("trait:{name}"));
        if self.standing.asked("vehicle") || said.fitted.iter().chain(&said.not_fitted).any(on_the_sheet) {
            return None;
        }
        let words = |id: &Id<Trait>| (self.book.traits[*id].name().to_string(), self.book.traits[*id].title().to_string());
        let items: Vec<(String, String)> = self.traits_in_question().iter().map(words).collect();
        let list = Several { items, rest_is_no: false };
        let ask = Ask::new("vehicle", "Which of these has the vehicle? A minus before what it surely has not: 1 4 -2.")
            .none_of(&list, "none of these: it surely has none")
            .reply("x", "not known", "unknown");
        let why = "Only what fits this vehicle is looked for. What you leave out stays unknown, and is asked again where it decides.";
        (!list.items.is_empty()).then(|| Ask { free: Free::Several(list), why: vec![why.into()], ..ask })
    }

    /// Traits not known that causes depend on, those of the likeliest first.
    fn traits_in_question(&self) -> Vec<Id<Trait>> {
        let mut weights: BTreeMap<Id<Trait>, f64> = BTreeMap::new();
        for (cause, weight) in self.a.bay.car.causes.iter().zip(&self.a.beliefs.causes) {
            for id in self.book.causes[*cause].head.when.traits() {
                *weights.entry(id).or_default() += weight;
            }
        }
        let unknown = |id: &Id<Trait>| self.a.intake.traits[id.index()].is_none() && self.book.traits[*id].ask.is_some();
        let mut open: Vec<(Id<Trait>, f64)> = weights.into_iter().filter(|(id, w)| unknown(id) && *w >= MATTERS).collect();
        open.sort_by(|a, b| b.1.total_cmp(&a.1));
        open.into_iter().take(ONE_DIGIT).map(|(id, _)| id).collect()
    }

    fn before(&self) -> Option<Ask> {
        if self.standing.asked("before") || !self.standing.sheet.complaint.done_before.is_empty() {
            return None;
        }
        let ask = Ask::new("before", "What was done about it before, and by what kind of workshop?")
            .line("", "For example: chain workshop: codes cleared; friend: new air filter. Put a ; between them.")
            .reply("0", "nothing", "none")
            .reply("x", "not known", "unknown");
        let why = "Parts renewed and codes cleared explain what is no longer there to see. It stands in the report.";
        Some(Ask { free: Free::Words, why: vec![why.into()], ..ask })
    }

    /// Which fixes of the book the words on what was done before mean: only those that could matter now.
    fn repaired(&self) -> Option<Ask> {
        let said = &self.standing.sheet.complaint;
        if self.standing.asked("repaired") || said.done_before.is_empty() || !said.repaired_before.is_empty() {
            return None;
        }
        let weight = |fix: &Id<Fix>| self.book.fixes[*fix].causes().map(|c| self.a.weight(c));
        let matter = heard_repairs(self.book, &self.a.intake.traits, &said.done_before.join(" "))
            .into_iter()
            .filter(|f| weight(f).sum::<f64>() >= MATTERS);
        let words = |id: Id<Fix>| (self.book.fixes[id].name().to_string(), self.book.fixes[id].title().to_string());
        let list = Several { items: matter.take(ONE_DIGIT).map(words).collect(), rest_is_no: true };
        let ask = Ask::new("repaired", "Was one of these done then?").none_of(&list, "none of these").reply("x", "not known", "unknown");
        let why =
            "What a fix cures is less likely after it, though not ruled out: a new part can be the wrong one, faulty, or badly fitted.";
        (!list.items.is_empty()).then(|| Ask { free: Free::Several(list), why: vec![why.into()], ..ask })
    }

    fn heard(&self, heard: &Heard) -> Ask {
        let finding = &self.book.findings[heard.symptom];
        let ask = Ask::new(self.symptom_id(heard.symptom), finding.question().unwrap_or(finding.title())).yes_no("not known");
        let ask = ask.line("the customer's words match", format!("“{}”", heard.words));
        Ask { why: vec!["The words may mean this: only a yes makes it part of the complaint.".into()], ..ask }
    }

    fn symptom_id(&self, id: Id<Finding>) -> String {
        format!("symptom:{}", self.book.findings[id].name())
    }

    fn codes(&self) -> Option<Ask> {
        let scan = &self.standing.sheet.scan;
        if !self.standing.no_codes.is_empty() {
            let ask = Ask::new("codes", format!("No trouble code: {}. Type only that again.", self.standing.no_codes.join(", ")))
                .line("kept", scan.codes.iter().map(CodeEntry::code).collect::<Vec<_>>().join(" "))
                .reply("0", "leave it out", "none");
            return Some(Ask { free: Free::Codes, ..ask });
        }
        if scan.codes.is_empty() && !scan.complete && !self.standing.asked("codes") {
            let ask = Ask::new("codes", "Which trouble codes are stored? Type them all.")
                .reply("0", "none", "none")
                .reply("x", "not read", "unknown");
            return Some(Ask { free: Free::Codes, ..ask });
        }
        let known = self.standing.answers.get("codes").is_some_and(|a| *a != Event::Codes(None));
        (known && !self.standing.asked("scan")).then(|| {
            let ask = Ask::new("scan", "Was every module read, and nothing cleared just before?");
            Ask { why: vec!["Only then does a code that is not there count as absent.".into()], ..ask }.yes_no("not known")
        })
    }

    /// A trait whose answer changes what to do first. It takes plans to find one, so it comes last.
    fn deciding_trait(&self) -> Option<Ask> {
        let mut traits = self.a.questions().into_iter().filter_map(|q| if let Question::Trait(id, _) = q { Some(id) } else { None });
        let id = traits.find(|id| !self.standing.asked(&self.trait_id(*id)))?;
        Some(self.ask_trait(id, "The answer changes what to do first."))
    }
}
