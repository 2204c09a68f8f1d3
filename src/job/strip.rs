//! A sheet -> the same sheet without what points to a person or a car: fit to be shown to others.
//!
//! Kept is what the book has names for: traits, symptoms, codes, readings, states, what was done and in which order. Left out is what somebody
//! wrote in words of their own, paths, and the time of day.

use super::journal::{Choice, Disposal, Entry, Event};
use super::sheet::{Complaint, JobSheet, Vehicle};

/// What stands in the place of somebody's words.
const LEFT_OUT: &str = "left out";

/// The sheet without words of anybody's own.
pub fn stripped(sheet: JobSheet) -> JobSheet {
    let closed = sheet.closed.map(|mut closed| {
        closed.reason = if closed.reason.is_empty() { String::new() } else { LEFT_OUT.into() };
        closed
    });
    JobSheet {
        title: None,
        vehicle: Vehicle { note: String::new(), ..sheet.vehicle },
        complaint: Complaint { words: String::new(), done_before: vec![], ..sheet.complaint },
        logs: vec![],
        journal: sheet.journal.iter().filter_map(entry).collect(),
        closed,
        ..sheet
    }
}

fn entry(entry: &Entry) -> Option<Entry> {
    let event = match entry.event() {
        Event::Note(_) | Event::Attached(_) => return None,
        Event::Other(ask, _) => Event::Other(ask, LEFT_OUT.into()),
        Event::Words(_) => Event::Words(LEFT_OUT.into()),
        Event::Listed(list, Choice::Words(_)) => Event::Listed(list, Choice::Words(LEFT_OUT.into())),
        Event::Before(_) => Event::Before(None),
        Event::Codes(Some((codes, _))) => Event::Codes(Some((codes, vec![]))),
        Event::Leave(subject, Disposal::Harmless(_)) => Event::Leave(subject, Disposal::Harmless(LEFT_OUT.into())),
        Event::Closed(Some(_)) => Event::Closed(Some(LEFT_OUT.into())),
        other => other,
    };
    let (ask, answer) = event.written();
    // the day tells how long the job took; the hour tells who was there
    Some(Entry { at: entry.at.get(..10).unwrap_or_default().to_string(), ask, answer, ..entry.clone() })
}
