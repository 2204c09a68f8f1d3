//! A sheet of an older book under a newer one: which of its answers no longer have a place.

use super::proof::observe;
use crate::bay::Act;
use crate::book::Book;
use crate::job::{Choice, Event, JobSheet, Look, Signed, Subject, effective};

/// What the answers that still count ask for and this book no longer has, as the journal names it, each once.
pub fn without_place<'s>(book: &Book, sheet: &'s JobSheet) -> Vec<&'s str> {
    let mut out: Vec<&str> = Vec::new();
    for entry in effective(&sheet.journal).into_iter().map(|i| &sheet.journal[i]) {
        if !has_place(book, &entry.event()) && !out.contains(&entry.ask.as_str()) {
            out.push(&entry.ask);
        }
    }
    out
}

fn has_place(book: &Book, event: &Event) -> bool {
    let finding = |name: &String| book.findings.find(name).is_some();
    let shown = |name: &String, look: &Look| {
        let id = book.findings.find(name);
        id.is_some_and(|id| *look == Look::NotSeen || book.findings[id].gauge().is_some() || observe(book, id, look).is_some())
    };
    let each = |signed: &Option<Signed>, has: &dyn Fn(&String) -> bool| signed.iter().flatten().all(|(name, _)| has(name));
    match event {
        Event::Symptom(name, _) | Event::Again(Some(name)) | Event::Listed(_, Choice::Symptom(name)) => finding(name),
        Event::Found(name, look) | Event::Proof(name, look) | Event::Settled(name, Some(look)) => shown(name, look),
        Event::Settled(name, None) => finding(name),
        Event::Trait(name, _) => book.traits.find(name).is_some(),
        Event::Dangers(signed) | Event::More(signed) => each(signed, &finding),
        Event::Heard(offered) | Event::When(offered) => offered.iter().filter(|(_, so)| *so).all(|(name, _)| finding(name)),
        Event::Vehicle(signed) => each(signed, &|name| book.traits.find(name).is_some()),
        Event::Repaired(signed) => each(signed, &|name| book.fixes.find(name).is_some()),
        Event::Gone(name, _) => book.fixes.find(name).is_some(),
        Event::Act(name, _) => Act::find(book, name).is_some(),
        Event::Safe(name) => book.hazards.find(name).is_some(),
        Event::Warned(names) => names.iter().all(|n| book.hazards.find(n).is_some()),
        Event::Leave(Subject::Cause(name), _) => book.causes.find(name).is_some(),
        Event::Leave(Subject::Finding(name), _) => finding(name),
        Event::Aftercare(name, _) => book.aftercare.find(name).is_some(),
        _ => true,
    }
}
