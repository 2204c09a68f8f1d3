//! The questions before any work: the customer's words, dangers, what was done before, codes, the vehicle. Short, and danger before the rest.

use super::ask::{Ask, Free, ONE_DIGIT, Several};
use super::standing::List;
use super::steps::Desk;
use super::unheard::quoted;
use crate::book::{Finding, Fix, Headed, Id, Trait};
use crate::job::{Choice, CodeEntry, Event, Heard, Known, Listed, heard_repairs};
use std::collections::BTreeMap;

/// A trait is worth a line where its causes together are at least this likely.
const MATTERS: f64 = 0.02;

impl Desk<'_, '_> {
    /// The next question of the intake, if one is open.
    pub(super) fn intake(&self) -> Option<Ask> {
        if !self.standing.progress.done.is_empty() {
            return None;
        }
        if matches!(self.standing.list, List::Systems(_) | List::Symptoms(..)) {
            return self.unheard();
        }
        let first = [self.car(), self.words(), self.kind_of_car(), self.settling(), self.dangers(), self.before()];
        let mut open: Vec<Ask> = first.into_iter().chain([self.heard(), self.circumstances(), self.codes()]).flatten().collect();
        // what nobody has heard yet may still be heard in an answer that is open
        open.extend(self.unheard().filter(|_| open.is_empty()));
        open.extend(self.vehicle().into_iter().chain(self.repaired()));
        if open.is_empty() {
            return self.more().or_else(|| self.deciding_trait());
        }
        let progress = match open.len() {
            1 => "intake, about one question left".into(),
            n => format!("intake, about {n} questions left"),
        };
        Some(Ask { progress, ..open.swap_remove(0) })
    }

    /// What car it is, where nothing is known of it: everything after it fits the car.
    fn car(&self) -> Option<Ask> {
        let said = &self.standing.sheet.vehicle;
        let blank = said.words.is_empty() && said.fitted.is_empty() && said.not_fitted.is_empty();
        let hears = self.book.traits.iter().any(|(_, t)| !t.heard.is_empty());
        let ask = Ask::new("car", "What car is it?").line("", "For example: 2.2 diesel van 2016, automatic, filter.").reply(
            "x",
            "not known",
            "unknown",
        );
        let why = "Nothing is asked or looked for that this car can't have.";
        (blank && hears && !self.standing.asked("car")).then(|| Ask { free: Free::Words, why: vec![why.into()], ..ask })
    }

    /// Of traits that exclude each other, where what was heard hangs on them: nothing of another fuel is named.
    fn kind_of_car(&self) -> Option<Ask> {
        let heard = self.a.intake.heard.iter().flat_map(|h| self.book.findings[h.symptom].head.when.traits());
        let id = heard.filter(|id| self.a.intake.traits[id.index()].is_none()).find(|id| self.choice(*id).len() > 1)?;
        let open = self.choice(id).iter().all(|id| !self.standing.asked(&self.trait_id(*id)));
        open.then(|| self.ask_trait(id, "Only what fits this car is offered."))
    }

    /// A trait and those not known that it excludes, in the book's order.
    fn choice(&self, id: Id<Trait>) -> Vec<Id<Trait>> {
        let traits = &self.a.intake.traits;
        let may = |row: Id<Trait>| traits[row.index()].is_none() && self.book.traits[row].head.when.keeps(traits);
        self.book.traits.iter().map(|(other, _)| other).filter(|other| *other == id || (self.excludes(id, *other) && may(*other))).collect()
    }

    fn excludes(&self, a: Id<Trait>, b: Id<Trait>) -> bool {
        self.book.traits[a].excludes.contains(&b) || self.book.traits[b].excludes.contains(&a)
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
        let choice = self.choice(id);
        if choice.len() > 1 {
            return self.which(&choice, why);
        }
        let row = &self.book.traits[id];
        let ask = Ask::new(self.trait_id(id), row.ask.as_deref().unwrap_or(row.title())).yes_no("not known");
        Ask { why: vec![why.into()], ..ask }
    }

    /// Traits of which a vehicle has one: one question with one answer.
    fn which(&self, choice: &[Id<Trait>], why: &str) -> Ask {
        let name = |id: &Id<Trait>| self.book.traits[*id].name().to_string();
        let ask = Ask::new(self.trait_id(choice[0]), "Which of these is it?");
        let ask = choice
            .iter()
            .enumerate()
            .fold(ask, |ask, (i, id)| ask.says(&(i + 1).to_string(), self.book.traits[*id].title(), Event::Trait(name(id), Known::Yes)));
        let ask = ask.says("0", "none of these", Event::Trait(name(&choice[0]), Known::No));
        let ask = ask.says("x", "not known", Event::Trait(name(&choice[0]), Known::Unknown));
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
        let open = self.traits_in_question();
        let never = |id: &Id<Trait>| self.choice(*id).iter().all(|id| !self.standing.asked(&self.trait_id(*id)));
        if let Some(id) = open.iter().find(|id| self.choice(**id).len() > 1 && never(id)) {
            return Some(self.ask_trait(*id, "Only what fits this vehicle is looked for."));
        }
        let items: Vec<(String, String)> = open.iter().filter(|id| self.choice(**id).len() == 1).map(words).collect();
        let list = Several { items, rest_is_no: false };
        let ask = Ask::new("vehicle", "Which of these has the vehicle? A minus before what it surely has not: 1 4 -2.")
            .none_of(&list, "none of these: it surely has none")
            .reply("x", "not known", "unknown");
        let why = "Only what fits this vehicle is looked for. What you leave out stays unknown; `f` at a step says that it is not fitted.";
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
        // who was asked which of several it is saw them all
        let seen = |id: Id<Trait>| {
            self.book.traits.iter().any(|(other, _)| self.excludes(id, other) && self.standing.asked(&self.trait_id(other)))
        };
        let unknown = |id: &Id<Trait>| self.a.intake.traits[id.index()].is_none() && self.book.traits[*id].ask.is_some() && !seen(*id);
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

    /// The symptoms that the words may mean: one is asked for a yes or no, several are ticked on one screen, best first.
    fn heard(&self) -> Option<Ask> {
        let open: Vec<&Heard> = self.a.intake.heard.iter().filter(|h| !self.standing.asked(&self.symptom_id(h.symptom))).collect();
        let why =
            "The words may mean this: only what is ticked counts. What you leave out stays open. Own words are added to the customer's.";
        let ask = match open.as_slice() {
            [] => return None,
            [one] => {
                let finding = &self.book.findings[one.symptom];
                let ask = Ask::new(self.symptom_id(one.symptom), finding.question().unwrap_or(finding.title())).yes_no("not known");
                ask.line("the customer says", quoted(&one.words))
            }
            several => {
                let ask = Ask::new("heard", "Which of these does the customer mean?");
                self.offered(ask, several).says("l", "choose from the list of symptoms", Event::Listed(Listed::Words, Choice::List))
            }
        };
        Some(Ask { why: vec![why.into()], ..ask.line("no symptom of the book hears", quoted(&self.a.intake.unheard)) })
    }

    /// When it comes, where the words say so.
    fn circumstances(&self) -> Option<Ask> {
        let open = self.a.intake.circumstances.iter().filter(|h| !self.standing.asked(&self.symptom_id(h.symptom)));
        let open: Vec<&Heard> = open.collect();
        let ask = Ask::new("when", "When does it come? Tick what the customer means.");
        let why = "When it comes tells causes apart. Only what is ticked counts.";
        (!open.is_empty()).then(|| Ask { why: vec![why.into()], ..self.offered(ask, &open) })
    }

    /// A list to tick, each with the customer's own words.
    fn offered(&self, ask: Ask, heard: &[&Heard]) -> Ask {
        let row = |h: &&Heard| {
            let finding = &self.book.findings[h.symptom];
            (finding.name().to_string(), format!("{}: {}", finding.title(), quoted(&h.words)))
        };
        let list = Several { items: heard.iter().map(row).collect(), rest_is_no: false };
        let none: Vec<String> = list.items.iter().map(|(name, _)| format!("-{name}")).collect();
        Ask { free: Free::Several(list), ..ask.reply("0", "none of these", &none.join(" ")) }
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
            let ask = Ask::new("scan", "Were all modules read, with nothing cleared before it?");
            let ask = self
                .a
                .intake
                .unknown_codes
                .iter()
                .fold(ask, |ask, u| ask.line("no rule of the book explains", format!("{}: {}", u.code, u.title)));
            Ask { why: vec!["Only then does a code that is not there count as absent.".into()], ..ask }.yes_no("not known")
        })
    }

    /// What nobody spoke of and is worth a word, once, where the rest is known: on one screen.
    fn more(&self) -> Option<Ask> {
        if self.standing.asked("more") {
            return None;
        }
        let open = |id| !self.standing.asked(&self.symptom_id(id)) && self.a.intake.surely(self.book, id);
        let row = |id: Id<Finding>| {
            let finding = &self.book.findings[id];
            (finding.name().to_string(), finding.question().unwrap_or(finding.title()).to_string())
        };
        let list = Several { items: self.a.worth_asking(open).into_iter().map(row).collect(), rest_is_no: true };
        let ask = Ask::new("more", "Ask the customer, too: which of these are so?")
            .none_of(&list, "none of these: asked, and all answered no")
            .reply("x", "could not be asked", "unknown");
        let why = "Each of these costs but a word, and the answer may change what is done first. Those not named count as answered no.";
        (!list.items.is_empty()).then(|| Ask { free: Free::Several(list), why: vec![why.into()], ..ask })
    }

    /// A trait on which the first step hangs, and a cause in question with it: asked before anybody goes to the car. What stood in the list of what the
    /// vehicle has is not asked a second time: a step that needs it can be answered with "not fitted".
    fn deciding_trait(&self) -> Option<Ask> {
        if self.standing.asked("vehicle") {
            return None;
        }
        let first = self.a.first().filter(|_| self.a.anything_wrong())?;
        let hangs = self.falls_with(first);
        let mut open = self.traits_in_question().into_iter().filter(|id| hangs.iter().any(|(t, _)| t == id));
        let id = open.find(|id| !self.standing.asked(&self.trait_id(*id)))?;
        Some(self.ask_trait(id, "The answer changes what to do first."))
    }
}
