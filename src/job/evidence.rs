//! A job sheet, read against a book -> evidence.

use super::codes::typed_codes;
use super::hearing::{Heard, listen, nearest_symptoms, symptoms_like};
use super::input::InputError;
use super::reading::{band_weights, parse_quantity};
use super::sheet::{CodeStatus, JobSheet};
use super::traits::known_traits;
use crate::book::{Book, Dtc, Finding, FindingKind, Fix, Hazard, Headed, Id, Trait, title};
use crate::syntax::nearest;

/// What is known of one car.
#[derive(Debug, Clone)]
pub struct Evidence {
    /// Traits by number; none where not known.
    pub traits: Vec<Option<bool>>,
    /// What was seen, in the order it was said.
    pub seen: Vec<Observation>,
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
    /// Things said that do not apply to this vehicle, in words.
    pub left_out: Vec<String>,
}

/// One finding seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// The finding.
    pub finding: Id<Finding>,
    /// How much each state counts, 0..=1; 1 for the state where it is certain.
    pub weights: Vec<f64>,
    /// As it was seen.
    pub shown: Shown,
}

/// How a finding was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// In this state.
    State(usize),
    /// As this number, in the reading's unit.
    Value(f64),
}

/// A code without a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownCode {
    /// The code.
    pub code: String,
    /// Its title or what its structure says.
    pub title: String,
    /// Its status.
    pub status: CodeStatus,
}

impl Observation {
    /// The state that counts most.
    pub fn likeliest_state(&self) -> usize {
        match self.shown {
            Shown::State(state) => state,
            Shown::Value(_) => (0..self.weights.len()).fold(0, |best, k| if self.weights[k] > self.weights[best] { k } else { best }),
        }
    }

    /// Whether it is anything but normal.
    pub fn abnormal(&self) -> bool {
        self.likeliest_state() > 0
    }
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
    let mut reader = Reader { book, traits: &traits, seen: vec![], unknown: vec![], left_out: vec![], errors };
    reader.symptoms(&sheet.complaint.yes, 1, "[complaint] yes");
    reader.symptoms(&sheet.complaint.no, 0, "[complaint] no");
    let repaired: Vec<Id<Fix>> = sheet.complaint.repaired_before.iter().filter_map(|name| reader.fix(name)).collect();
    reader.codes(sheet);
    reader.readings(sheet);
    reader.signs(sheet);
    if !reader.errors.is_empty() {
        return Err(reader.errors);
    }
    let (seen, unknown_codes, left_out) = (reader.seen, reader.unknown, reader.left_out);
    let answered = |id: Id<Finding>| seen.iter().any(|o| o.finding == id);
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
    Ok(Evidence { seen, unknown_codes, to_ask, to_settle, heard, circumstances, unheard, near, repaired, left_out, traits })
}

/// What to do about a name that no symptom has, read as words.
fn like(book: &Book, name: &str) -> Option<String> {
    let names = symptoms_like(book, name)?;
    Some(format!("did you mean {names}? `faultbook explain symptoms` lists them all; free words are for `complaint`"))
}

/// The unknown traits on which these findings wait, each once; one that waits on another trait itself comes after that.
fn settling(book: &Book, traits: &[Option<bool>], findings: &[Id<Finding>]) -> Vec<Id<Trait>> {
    let can_be_asked = |id: &Id<Trait>| {
        let row = &book.traits[*id];
        traits[id.index()].is_none() && row.ask.is_some() && row.head.when.holds(traits) == Some(true)
    };
    let mut open: Vec<Id<Trait>> = findings.iter().flat_map(|f| book.findings[*f].head.when.traits()).filter(can_be_asked).collect();
    open.sort();
    open.dedup();
    open
}

struct Reader<'b> {
    book: &'b Book,
    traits: &'b [Option<bool>],
    seen: Vec<Observation>,
    unknown: Vec<UnknownCode>,
    left_out: Vec<String>,
    errors: Vec<InputError>,
}

impl Reader<'_> {
    /// The finding of that name and kind.
    fn find(&mut self, name: &str, kind: &str, place: &str) -> Option<Id<Finding>> {
        let book = self.book;
        match book.findings.find(name) {
            Some(id) if book.findings[id].kind_word() == kind => Some(id),
            Some(id) => {
                let is = book.findings[id].kind_word();
                self.errors.push(InputError::new(
                    place,
                    format!("`{name}` is a {is}, not a {kind}"),
                    format!("give it where a {is} belongs"),
                ));
                None
            }
            None => {
                let names = book.findings.iter().filter(|(_, f)| f.kind_word() == kind).map(|(_, f)| f.name());
                let near = nearest(name, names).map(|n| format!("did you mean `{n}`?"));
                let near = near.or_else(|| (kind == "symptom").then(|| like(book, name)).flatten());
                let help = near.unwrap_or_else(|| format!("`faultbook explain {kind}s` lists them"));
                self.errors.push(InputError::new(place, format!("no {kind} is named `{name}`"), help));
                None
            }
        }
    }

    fn fix(&mut self, name: &str) -> Option<Id<Fix>> {
        let found = self.book.fixes.find(name);
        if found.is_none() {
            let near = nearest(name, self.book.fixes.iter().map(|(_, f)| f.name())).map(|n| format!("did you mean `{n}`?"));
            let help = near.unwrap_or_else(|| "`faultbook explain fixes` lists them; free words belong in done-before".into());
            self.errors.push(InputError::new("[complaint] repaired-before", format!("no fix is named `{name}`"), help));
        }
        found
    }

    fn see(&mut self, finding: Id<Finding>, weights: Vec<f64>, shown: Shown, place: &str) {
        let row = &self.book.findings[finding];
        if !row.head.when.keeps(self.traits) {
            self.left_out.push(format!("`{}` does not apply to this vehicle", row.name()));
            return;
        }
        if let Some(first) = self.seen.iter().find(|o| o.finding == finding) {
            if first.shown != shown {
                self.errors.push(InputError::new(
                    place,
                    format!("`{}` is given twice, and differently", row.name()),
                    "keep one of the two",
                ));
            }
            return;
        }
        self.seen.push(Observation { finding, weights, shown });
    }

    fn see_state(&mut self, finding: Id<Finding>, state: usize, place: &str) {
        let weights = (0..self.book.findings[finding].states.len()).map(|k| f64::from(u8::from(k == state))).collect();
        self.see(finding, weights, Shown::State(state), place);
    }

    fn symptoms(&mut self, names: &[String], state: usize, place: &str) {
        for name in names {
            if let Some(id) = self.find(name, "symptom", place) {
                self.see_state(id, state, place);
            }
        }
    }

    fn codes(&mut self, sheet: &JobSheet) {
        for entry in &sheet.scan.codes {
            match typed_codes(entry.code()) {
                Err(no) => self.errors.push(InputError::new("[scan] codes", format!("`{}` is no trouble code", no.word), no.help)),
                Ok(codes) => codes.into_iter().for_each(|code| self.code(code, entry.status())),
            }
        }
        // a code is only absent where all modules were read and nothing was cleared just before
        if sheet.scan.complete && !sheet.scan.cleared {
            let rest = self.book.findings.iter().filter(|(_, f)| matches!(f.kind, FindingKind::Code(_)) && f.head.when.keeps(self.traits));
            let rest: Vec<_> = rest.map(|(id, _)| id).filter(|id| !self.seen.iter().any(|o| o.finding == *id)).collect();
            rest.into_iter().for_each(|id| self.see_state(id, 0, "[scan]"));
        }
    }

    fn code(&mut self, code: Dtc, status: CodeStatus) {
        let text = code.to_string();
        let known = self.book.findings.find(&text).filter(|id| self.book.findings[*id].head.when.keeps(self.traits));
        match known {
            Some(id) => self.see_state(id, 1, "[scan] codes"),
            None if self.unknown.iter().any(|u| u.code == text) => {}
            None => {
                let title = title(code).map_or_else(|| code.structure(), |t| format!("{t} ({})", code.structure()));
                self.unknown.push(UnknownCode { code: text, title, status });
            }
        }
    }

    fn readings(&mut self, sheet: &JobSheet) {
        for (name, entry) in &sheet.readings {
            let place = format!("[readings] {name}");
            let Some(id) = self.find(name, "reading", &place) else { continue };
            let finding = &self.book.findings[id];
            let Some(gauge) = finding.gauge() else { continue };
            match parse_quantity(&entry.text(), gauge, &place) {
                Ok(value) => self.see(id, band_weights(finding, gauge, value), Shown::Value(value), &place),
                Err(error) => self.errors.push(error),
            }
        }
    }

    fn signs(&mut self, sheet: &JobSheet) {
        for (name, word) in &sheet.signs {
            let place = format!("[signs] {name}");
            let Some(id) = self.find(name, "sign", &place) else { continue };
            let finding = &self.book.findings[id];
            match finding.state(word) {
                Some(state) => self.see_state(id, state, &place),
                None => {
                    let near = nearest(word, finding.states.iter().map(String::as_str)).map(|n| format!("did you mean `{n}`? "));
                    let help = format!("{}it can be {}", near.unwrap_or_default(), finding.states.join(", "));
                    self.errors.push(InputError::new(place, format!("`{name}` has no state `{word}`"), help));
                }
            }
        }
    }
}
