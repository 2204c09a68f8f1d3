//! A job sheet, read against a book -> evidence.

use super::hearing::{Heard, listen, nearest_symptoms};
use super::input::InputError;
use super::observation::{Observation, UnknownCode};
use super::reader::{Looks, Reader};
use super::sheet::JobSheet;
use super::traits::known_traits;
use crate::book::{Book, Finding, FindingKind, Fix, Hazard, Id, Trait};

/// What is known of one car.
#[derive(Debug, Clone)]
pub struct Evidence {
    /// Traits by number; none where not known.
    pub traits: Vec<Option<bool>>,
    /// What was seen before any repair, in the order it was said.
    pub seen: Vec<Observation>,
    /// The repairs that the sheet tells of, in order, each with what was seen after it.
    pub periods: Vec<Period>,
    /// Whether the fault was not there when the car was last looked at.
    pub asleep: bool,
    /// What was normal then and passes with the fault: it says nothing.
    pub slept: Vec<Id<Finding>>,
    /// Codes that the book has no rule for.
    pub unknown_codes: Vec<UnknownCode>,
    /// Symptoms that are asked at every intake and were not.
    pub to_ask: Vec<Id<Finding>>,
    /// Traits that are not known and on which it hangs whether some of these apply.
    pub to_settle: Vec<Id<Trait>>,
    /// Symptoms that the customer's words may mean and nobody has confirmed.
    pub heard: Vec<Heard>,
    /// Circumstances that the words may mean and nobody has confirmed.
    pub circumstances: Vec<Heard>,
    /// The parts of the customer's words that no symptom heard; may be empty.
    pub unheard: String,
    /// Where nothing was heard: symptoms nearest to the words, best first.
    pub near: Vec<Id<Finding>>,
    /// Fixes that were done before the car came.
    pub repaired: Vec<Id<Fix>>,
    /// Things said that do not count: they do not apply to this vehicle, or say nothing. In words.
    pub left_out: Vec<String>,
}

/// A repair, and what was seen after it and before the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Period {
    /// The repair that begins it.
    pub fix: Id<Fix>,
    /// What was seen, in the order it was said.
    pub seen: Vec<Observation>,
}

impl Evidence {
    /// The observation of a finding.
    pub fn of(&self, finding: Id<Finding>) -> Option<&Observation> {
        self.seen.iter().rev().find(|o| o.finding == finding)
    }

    /// Whether a finding applies to this vehicle for certain.
    pub fn surely(&self, book: &Book, finding: Id<Finding>) -> bool {
        book.findings[finding].head.when.holds(&self.traits) == Some(true)
    }

    /// Findings that were abnormal: the complaint.
    pub fn complaint(&self) -> Vec<Id<Finding>> {
        self.seen.iter().filter(|o| o.abnormal()).map(|o| o.finding).collect()
    }

    /// Dangers that what was seen raises, worst first, each with the findings that raise it.
    pub fn hazards(&self, book: &Book) -> Vec<(Id<Hazard>, Vec<Id<Finding>>)> {
        let mut out: Vec<(Id<Hazard>, Vec<Id<Finding>>)> = Vec::new();
        for observation in &self.seen {
            let state = observation.likeliest_state();
            for (hazard, states) in &book.findings[observation.finding].hazards {
                if !states.contains(&state) {
                    continue;
                }
                match out.iter_mut().find(|(h, _)| h == hazard) {
                    Some((_, by)) => by.push(observation.finding),
                    None => out.push((*hazard, vec![observation.finding])),
                }
            }
        }
        out.sort_by_key(|(h, _)| (std::cmp::Reverse(book.hazards[*h].level), *h));
        out
    }
}

/// Reads a sheet against a book; all mistakes are found at once.
pub fn evidence(book: &Book, sheet: &JobSheet) -> Result<Evidence, Vec<InputError>> {
    // with the vehicle in doubt the rest is still read, so that all mistakes come out at once
    let settled = known_traits(book, &sheet.vehicle, &sheet.complaint.words);
    let (traits, errors) = settled.map_or_else(|errors| (vec![None; book.traits.len()], errors), |traits| (traits, vec![]));
    let mut reader = Reader::new(book, &traits, errors);
    let repaired = sheet.complaint.repaired_before.iter().filter_map(|name| reader.fix(name, "[complaint] repaired-before")).collect();
    let seen = reader.period(&Looks::intake(sheet));
    let periods = periods(&mut reader, sheet);
    let Reader { unknown: unknown_codes, left_out, slept, errors, .. } = reader;
    if !errors.is_empty() {
        return Err(errors);
    }
    let asleep = sheet.done.last().map_or(sheet.complaint.asleep, |done| done.asleep);
    let answered = |id: Id<Finding>| seen.iter().chain(periods.iter().flat_map(|p| &p.seen)).any(|o| o.finding == id);
    let applies = |f: &Finding| f.head.when.keeps(&traits);
    let always = |f: &Finding| matches!(f.kind, FindingKind::Symptom { always_ask: true, .. });
    let open = book.findings.iter().filter(|(id, f)| always(f) && applies(f) && !answered(*id));
    let to_ask: Vec<Id<Finding>> = open.map(|(id, _)| id).collect();
    let to_settle = settling(book, &traits, &to_ask);
    let words = sheet.complaint.words.trim();
    let heard = listen(book, words, |id| applies(&book.findings[id]));
    let unheard = heard.unheard.join("; ");
    let open = |id: Id<Finding>| !answered(id) && applies(&book.findings[id]);
    let lost = heard.heard.is_empty() && (!unheard.is_empty() || !seen.iter().any(Observation::abnormal));
    let near = if lost { nearest_symptoms(book, words, open) } else { vec![] };
    let not_answered = |heard: Vec<Heard>| -> Vec<Heard> { heard.into_iter().filter(|h| open(h.symptom)).collect() };
    let (heard, circumstances) = (not_answered(heard.heard), not_answered(heard.circumstances));
    Ok(Evidence {
        seen,
        periods,
        asleep,
        slept,
        unknown_codes,
        to_ask,
        to_settle,
        heard,
        circumstances,
        unheard,
        near,
        repaired,
        left_out,
        traits,
    })
}

/// The repairs of a sheet, each with what was seen after it. What was normal while the fault slept is forgotten once it was there again.
fn periods(reader: &mut Reader, sheet: &JobSheet) -> Vec<Period> {
    let mut out = Vec::new();
    for (done, number) in sheet.done.iter().zip(1..) {
        if !done.asleep {
            reader.slept.clear();
        }
        let fix = reader.fix(&done.fix, &format!("[[done]] {number} fix"));
        let seen = reader.period(&Looks::after(done, number));
        out.extend(fix.map(|fix| Period { fix, seen }));
    }
    out
}

/// The unknown traits on which several of these findings wait, each once; one that waits on another trait itself comes after that. A single finding is
/// asked about as it is: one question instead of two.
fn settling(book: &Book, traits: &[Option<bool>], findings: &[Id<Finding>]) -> Vec<Id<Trait>> {
    let can_be_asked = |id: &Id<Trait>| {
        let row = &book.traits[*id];
        traits[id.index()].is_none() && row.ask.is_some() && row.head.when.holds(traits) == Some(true)
    };
    let mut open: Vec<Id<Trait>> = findings.iter().flat_map(|f| book.findings[*f].head.when.traits()).filter(can_be_asked).collect();
    open.sort();
    let single = |id: &Id<Trait>| open.iter().filter(|other| *other == id).count() == 1;
    let mut open: Vec<Id<Trait>> = open.iter().copied().filter(|id| !single(id)).collect();
    open.dedup();
    open
}
