//! The journal in words: every entry in order, those taken back marked as such.

use super::case::Case;
use crate::bay::{Act, state_words};
use crate::book::{Book, Headed};
use crate::job::{Choice, Entry, Event, Left, Listed, Look, Signed, Subject, effective};
use schemars::JsonSchema;
use serde::Serialize;

/// One entry of the journal.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EntryDocument {
    /// When, UTC, as written.
    pub at: String,
    /// First figures of the digest of the book it was given under.
    pub book: String,
    /// What was asked, as written.
    pub ask: String,
    /// What was asked, in words.
    pub what: String,
    /// The answer, as written.
    pub answer: String,
    /// The answer in words: the titles of what is so, and of what is not.
    pub words: String,
    /// Whether it was taken back later.
    pub taken_back: bool,
}

/// The whole journal.
pub fn history(case: &Case) -> Vec<EntryDocument> {
    let counts = effective(&case.sheet.journal);
    let one = |(i, e): (usize, &Entry)| {
        let event = e.event();
        let answers = !matches!(event, Event::Back | Event::Note(_) | Event::Attached(_));
        EntryDocument {
            at: e.at.clone(),
            book: e.book.clone(),
            ask: e.ask.clone(),
            what: what(case.book, &event).unwrap_or_else(|| e.ask.clone()),
            words: words(case.book, &event).unwrap_or_else(|| e.answer.clone()),
            answer: e.answer.clone(),
            taken_back: answers && !counts.contains(&i),
        }
    };
    case.sheet.journal.iter().enumerate().map(one).collect()
}

/// Answers to a list by their titles; none for any other, which stands as written.
fn words(book: &Book, event: &Event) -> Option<String> {
    let chosen = |name: &String| vec![(name.clone(), true)];
    if let Event::Found(name, Look::Shown(shown)) | Event::Proof(name, Look::Shown(shown)) = event {
        let state = book.findings.find(name).is_some_and(|id| book.findings[id].states.contains(shown));
        return state.then(|| state_words(shown));
    }
    if let Event::Warned(names) = event {
        let title = |n: &String| book.hazards.find(n).map_or(n.clone(), |id| book.hazards[id].title().to_string());
        return Some(names.iter().map(title).collect::<Vec<_>>().join("; "));
    }
    let signed: Signed = match event {
        Event::Dangers(signed) | Event::More(signed) | Event::Vehicle(signed) | Event::Repaired(signed) => signed.clone()?,
        // what was offered and not taken was not said to be absent
        Event::Heard(offered) | Event::When(offered) => offered.iter().filter(|(_, so)| *so).cloned().collect(),
        Event::Gone(_, Left::Named(names)) => names.clone(),
        Event::Listed(_, Choice::Symptom(name)) => chosen(name),
        _ => return None,
    };
    let title = |name: &str| {
        let symptom = book.findings.find(name).map(|id| book.findings[id].title());
        let fitted = || book.traits.find(name).map(|id| book.traits[id].title());
        let fix = || book.fixes.find(name).map(|id| book.fixes[id].title());
        symptom.or_else(fitted).or_else(fix).unwrap_or(name).to_string()
    };
    let with = |so: bool| signed.iter().filter(|(_, s)| *s == so).map(|(name, _)| title(name)).collect::<Vec<_>>().join("; ");
    let said = [("yes", with(true)), ("no", with(false))].into_iter().filter(|(_, titles)| !titles.is_empty());
    let said: Vec<String> = said.map(|(sign, titles)| format!("{sign}: {titles}")).collect();
    let offered = matches!(event, Event::Heard(all) | Event::When(all) if !all.is_empty());
    match said.is_empty() {
        true => offered.then(|| "none of these".into()),
        false => Some(said.join(". ")),
    }
}

/// What was asked, in words; none where this book has no such name.
fn what(book: &Book, event: &Event) -> Option<String> {
    let of = |lead: &str, title: Option<&str>| title.map(|t| format!("{lead}: {t}"));
    let finding = |name: &str| book.findings.find(name).map(|id| book.findings[id].title());
    let hazard = |name: &str| book.hazards.find(name).map(|id| book.hazards[id].title());
    match event {
        Event::Symptom(name, _) => of("Asked", finding(name)),
        Event::Found(name, _) => of("Seen", finding(name)),
        Event::Proof(name, _) => of("Proof", finding(name)),
        Event::Again(Some(name)) => of("To be read again", finding(name)),
        Event::Settled(name, _) => of("Proof read again", finding(name)),
        Event::Act(name, _) => Act::find(book, name).map(|act| {
            let kind = if let Act::Check(_) = act { "Check" } else { "Fix" };
            format!("{kind}: {}", act.title(book))
        }),
        Event::Trait(name, _) => of("Vehicle", book.traits.find(name).map(|id| book.traits[id].title())),
        Event::Safe(name) => of("Danger dealt with", hazard(name)),
        Event::Warned(_) => Some("Dangers acknowledged".into()),
        Event::Asleep(_) => Some("The fault sleeps".into()),
        Event::Leave(Subject::Cause(name), _) => of("Still there", book.causes.find(name).map(|id| book.causes[id].title())),
        Event::Leave(Subject::Finding(name), _) => of("Still out of order", finding(name)),
        Event::Gone(name, left) => of(gone(left), book.fixes.find(name).map(|id| book.fixes[id].title())),
        Event::Aftercare(name, _) => of("After the repair", book.aftercare.find(name).map(|id| book.aftercare[id].title())),
        _ => plain(event).map(String::from),
    }
}

/// Of several symptoms the answer says which are still there, of one whether it is gone.
fn gone(left: &Left) -> &'static str {
    if let Left::Named(_) = left { "Still there after" } else { "Complaint gone after" }
}

fn plain(event: &Event) -> Option<&'static str> {
    Some(match event {
        Event::Car(_) => "What car it is",
        Event::Words(_) => "The customer's words",
        Event::Heard(_) => "Heard in the words",
        Event::When(_) => "When it comes",
        Event::Listed(Listed::Words, _) => "The customer's words, once more",
        Event::Listed(Listed::Systems, _) => "Looked for in the system",
        Event::Listed(Listed::Symptoms, _) => "Chosen from the list",
        Event::Dangers(_) => "Dangers asked for",
        Event::More(_) => "Asked besides",
        Event::Vehicle(_) => "The vehicle",
        Event::Before(_) => "Done before",
        Event::Repaired(_) => "Repaired before",
        Event::Codes(_) => "Codes stored",
        Event::Again(None) => "To be tried again: the complaint",
        Event::Scan(_) => "Every module read, nothing cleared",
        Event::Referred => "Handed to a specialist",
        Event::Closed(_) => "Closed",
        Event::Note(_) => "Note",
        Event::Attached(_) => "Attached",
        Event::Back => "Went back one answer",
        _ => return None,
    })
}
