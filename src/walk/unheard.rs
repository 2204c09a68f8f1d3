//! Where nothing abnormal is known after the intake: other words, or a symptom from a list. Nothing that was said is lost or typed again.

use super::ask::{Ask, Free, ONE_DIGIT};
use super::standing::{List, Standing};
use super::steps::Desk;
use crate::book::{Book, Finding, FindingKind, Headed, Id};
use crate::job::{Choice, Event, Known, Listed};

impl Standing {
    /// Takes an answer to one of the questions below.
    pub(super) fn look_up(&mut self, book: &Book, asked: Listed, choice: &Choice) {
        self.list = match (asked, choice, std::mem::take(&mut self.list)) {
            (_, Choice::Symptom(name), _) => {
                self.take(book, &Event::Symptom(name.clone(), Known::Yes));
                List::Closed
            }
            (Listed::Words, Choice::List, _) | (Listed::Symptoms, Choice::None, _) => List::Systems(0),
            (Listed::Words, Choice::None, _) => List::Left,
            (Listed::Systems, Choice::More, List::Systems(from)) => List::Systems(from + ONE_DIGIT),
            (Listed::Symptoms, Choice::More, List::Symptoms(system, from)) => List::Symptoms(system, from + ONE_DIGIT),
            (Listed::Systems, Choice::Words(system), _) => List::Symptoms(system.clone(), 0),
            (Listed::Words, Choice::Words(words), _) => {
                let said = &mut self.sheet.complaint.words;
                *said = if said.is_empty() { words.clone() } else { format!("{said}; {words}") };
                List::Closed
            }
            _ => List::Closed,
        };
    }
}

impl Desk<'_, '_> {
    /// Asked until something abnormal is known, or the technician goes on without.
    pub(super) fn unheard(&self) -> Option<Ask> {
        let lost = !self.a.intake.unheard.is_empty() && self.a.intake.heard.is_empty() && !self.standing.asked("heard");
        match &self.standing.list {
            List::Left => None,
            List::Closed if !self.a.anything_wrong() => {
                Some(self.other_words("So far nothing abnormal is known. Say it in other words, or choose."))
            }
            // beside a code or a symptom, too, what was said is not passed over in silence; once is enough
            List::Closed if lost && !self.standing.asked("unheard") => {
                Some(self.other_words("Not all that was said is heard. Say it in other words, or choose."))
            }
            List::Closed => None,
            List::Systems(from) => Some(self.systems(*from)),
            List::Symptoms(system, from) => Some(self.symptoms(system, *from)),
        }
    }

    fn other_words(&self, title: &str) -> Ask {
        let evidence = &self.a.intake;
        let mut ask = Ask::new("unheard", title).line("no symptom of the book hears", quoted(&evidence.unheard));
        for (i, id) in evidence.near.iter().enumerate() {
            ask = ask.reply(&(i + 1).to_string(), self.book.findings[*id].title(), &format!("+{}", self.book.findings[*id].name()));
        }
        let ask = ask.reply("l", "choose from the list of symptoms", "list").reply("0", "go on without a symptom", "none");
        let why = "Without a symptom, a code or a reading there is nothing to plan. The words said so far are kept, yours are added.";
        Ask { free: Free::Words, why: vec![why.into()], ..ask }
    }

    fn systems(&self, from: usize) -> Ask {
        let mut systems: Vec<(&str, usize)> = Vec::new();
        for id in self.open_symptoms() {
            let system = self.book.system(&self.book.findings[id].head);
            match systems.iter_mut().find(|(name, _)| *name == system) {
                Some((_, count)) => *count += 1,
                None => systems.push((system, 1)),
            }
        }
        systems.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        let rows = systems.into_iter().map(|(system, count)| (format!("{system} ({count})"), system.to_string()));
        page(Ask::new("system", "In which system?"), rows.collect(), from)
    }

    fn symptoms(&self, system: &str, from: usize) -> Ask {
        let own = self.open_symptoms().filter(|id| self.book.system(&self.book.findings[*id].head) == system);
        let rows = own.map(|id| (self.book.findings[id].title().to_string(), format!("+{}", self.book.findings[id].name())));
        page(Ask::new("which", format!("Which symptom ({system})?")), rows.collect(), from)
    }

    /// Symptoms that may be there and that nobody has answered.
    fn open_symptoms(&self) -> impl Iterator<Item = Id<Finding>> {
        let traits = &self.a.intake.traits;
        let rows = self.book.findings.iter().filter(|(_, f)| matches!(f.kind, FindingKind::Symptom { .. }) && f.head.when.keeps(traits));
        rows.map(|(id, _)| id).filter(|id| self.a.intake.of(*id).is_none())
    }
}

/// As many rows as have a digit, from one on; past the end it begins again.
fn page(ask: Ask, rows: Vec<(String, String)>, from: usize) -> Ask {
    let from = if from < rows.len() { from } else { 0 };
    let shown = rows.iter().skip(from).take(ONE_DIGIT).enumerate();
    let title = if rows.len() > ONE_DIGIT {
        format!("{} {} to {} of {}", ask.title, from + 1, (from + ONE_DIGIT).min(rows.len()), rows.len())
    } else {
        ask.title.clone()
    };
    let why = "Nothing abnormal is known yet, and without that there is nothing to plan. `b` goes back to the question before.";
    let ask = Ask { title, why: vec![why.into()], ..ask };
    let ask = shown.fold(ask, |ask, (i, (words, answer))| ask.reply(&(i + 1).to_string(), words, answer));
    let ask = if rows.len() > ONE_DIGIT { ask.reply("m", "more", "more") } else { ask };
    ask.reply("0", "none of these", "none")
}

pub(super) fn quoted(words: &str) -> String {
    if words.is_empty() { String::new() } else { format!("“{words}”") }
}
