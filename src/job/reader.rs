//! A sheet's own words for what was looked at -> observations, one period at a time. All mistakes are found at once.

use super::codes::typed_codes;
use super::hearing::symptoms_like;
use super::input::InputError;
use super::observation::{Observation, Shown, UnknownCode};
use super::reading::{band_weights, parse_quantity};
use super::sheet::{CodeEntry, CodeStatus, Done, JobSheet, ReadingEntry};
use crate::book::{Book, Dtc, Finding, FindingKind, Fix, Headed, Id, title};
use crate::syntax::nearest;
use indexmap::IndexMap;

/// What was looked at in one period, as it stands in the sheet.
pub struct Looks<'s> {
    /// Which table of repairs it belongs to, from 1; 0 for the intake.
    period: usize,
    yes: &'s [String],
    no: &'s [String],
    codes: &'s [CodeEntry],
    /// Whether a code that is listed was set in this period.
    fresh: bool,
    /// Whether a code that is not listed is absent.
    whole: bool,
    readings: &'s IndexMap<String, ReadingEntry>,
    signs: &'s IndexMap<String, String>,
    /// Whether the fault was not there meanwhile.
    asleep: bool,
}

impl<'s> Looks<'s> {
    /// Those of the intake.
    pub fn intake(sheet: &'s JobSheet) -> Looks<'s> {
        Looks {
            period: 0,
            yes: &sheet.complaint.yes,
            no: &sheet.complaint.no,
            codes: &sheet.scan.codes,
            fresh: true,
            // a code is only absent where all modules were read and nothing was cleared just before
            whole: sheet.scan.complete && !sheet.scan.cleared,
            readings: &sheet.readings,
            signs: &sheet.signs,
            asleep: sheet.complaint.asleep,
        }
    }

    /// Those after a repair, the first of which is number 1.
    pub fn after(done: &'s Done, number: usize) -> Looks<'s> {
        Looks {
            period: number,
            yes: &done.yes,
            no: &done.no,
            codes: &done.codes,
            fresh: done.cleared,
            whole: done.cleared && done.complete,
            readings: &done.readings,
            signs: &done.signs,
            asleep: done.asleep,
        }
    }

    /// Where something stands in the sheet: a table and key of the intake, or a key of the repair.
    fn place(&self, table: &str, key: &str) -> String {
        match (self.period, table) {
            (0, "readings" | "signs") => format!("[{table}] {key}"),
            (0, _) => format!("[{table}] {key}").trim_end().to_string(),
            (n, "readings" | "signs") => format!("[[done]] {n} {table} {key}"),
            (n, _) => format!("[[done]] {n} {key}").trim_end().to_string(),
        }
    }
}

/// Reads what was looked at against a book.
pub struct Reader<'b> {
    book: &'b Book,
    traits: &'b [Option<bool>],
    seen: Vec<Observation>,
    /// Codes that were set in this period.
    stored: Vec<Dtc>,
    /// Codes that the book has no rule for.
    pub unknown: Vec<UnknownCode>,
    /// What does not count, in words.
    pub left_out: Vec<String>,
    /// Passing findings that were normal while the fault slept: they say nothing.
    pub slept: Vec<Id<Finding>>,
    /// Mistakes in the sheet.
    pub errors: Vec<InputError>,
}

impl<'b> Reader<'b> {
    /// Starts with the mistakes found so far.
    pub fn new(book: &'b Book, traits: &'b [Option<bool>], errors: Vec<InputError>) -> Reader<'b> {
        Reader { book, traits, seen: vec![], stored: vec![], unknown: vec![], left_out: vec![], slept: vec![], errors }
    }

    /// What was seen in one period.
    pub fn period(&mut self, looks: &Looks) -> Vec<Observation> {
        self.symptoms(looks.yes, 1, &looks.place("complaint", "yes"));
        self.symptoms(looks.no, 0, &looks.place("complaint", "no"));
        self.codes(looks);
        self.readings(looks);
        self.signs(looks);
        let seen = std::mem::take(&mut self.seen);
        if looks.asleep { self.awake(seen, looks.period) } else { seen }
    }

    /// What counts although the fault slept: what was abnormal, and what lasts. At the intake a symptom is the customer's word, and that is of the
    /// time when the fault was there.
    fn awake(&mut self, seen: Vec<Observation>, period: usize) -> Vec<Observation> {
        let mut out = Vec::new();
        for look in seen {
            let finding = &self.book.findings[look.finding];
            let told = period == 0 && matches!(finding.kind, FindingKind::Symptom { .. });
            if told || finding.lasting || look.abnormal() {
                out.push(look);
                continue;
            }
            if !matches!(finding.kind, FindingKind::Code(_)) {
                self.left_out.push(format!("`{}` was normal while the fault was not there, which says nothing", finding.name()));
            }
            self.slept.push(look.finding);
        }
        out
    }

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

    /// The fix of that name.
    pub fn fix(&mut self, name: &str, place: &str) -> Option<Id<Fix>> {
        let found = self.book.fixes.find(name);
        if found.is_none() {
            let near = nearest(name, self.book.fixes.iter().map(|(_, f)| f.name())).map(|n| format!("did you mean `{n}`?"));
            let help = near.unwrap_or_else(|| "`faultbook explain fixes` lists them; free words belong in done-before".into());
            self.errors.push(InputError::new(place, format!("no fix is named `{name}`"), help));
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

    fn codes(&mut self, looks: &Looks) {
        let place = looks.place("scan", "codes");
        for entry in looks.codes {
            match typed_codes(entry.code()) {
                Err(no) => self.errors.push(InputError::new(place.clone(), format!("`{}` is no trouble code", no.word), no.help)),
                Ok(codes) if looks.fresh => codes.into_iter().for_each(|code| self.code(code, entry.status(), &place)),
                Ok(codes) => self.left_out.extend(
                    codes
                        .iter()
                        .map(|code| format!("`{code}` was read without clearing the memory after that repair: it may be from before")),
                ),
            }
        }
        if looks.whole {
            let rest = self.book.findings.iter().filter(|(_, f)| matches!(f.kind, FindingKind::Code(_)) && f.head.when.keeps(self.traits));
            let rest: Vec<_> = rest.map(|(id, _)| id).filter(|id| !self.seen.iter().any(|o| o.finding == *id)).collect();
            rest.into_iter().for_each(|id| self.see_state(id, 0, &place));
        }
        self.families(looks, &place);
    }

    /// Readings that count codes: how many of a family are stored is one fact, and the single codes of the family don't count again beside it.
    fn families(&mut self, looks: &Looks, place: &str) {
        let stored = std::mem::take(&mut self.stored);
        for (id, finding) in self.book.findings.iter().filter(|(_, f)| f.head.when.keeps(self.traits)) {
            let Some(gauge) = finding.gauge().filter(|g| !g.counts.is_empty()) else { continue };
            let count = gauge.counts.iter().filter(|code| stored.contains(code)).count() as f64;
            // without a whole scan, none typed is not none stored
            if (count == 0.0 && !looks.whole) || looks.readings.contains_key(finding.name()) {
                continue;
            }
            let book = self.book;
            self.seen.retain(|o| !matches!(&book.findings[o.finding].kind, FindingKind::Code(code) if gauge.counts.contains(code)));
            self.see(id, band_weights(finding, gauge, count), Shown::Value(count), place);
        }
    }

    fn code(&mut self, code: Dtc, status: CodeStatus, place: &str) {
        self.stored.push(code);
        let text = code.to_string();
        let counts = |f: &Finding| f.gauge().is_some_and(|g| g.counts.contains(&code)) && f.head.when.keeps(self.traits);
        let known = self.book.findings.find(&text).filter(|id| self.book.findings[*id].head.when.keeps(self.traits));
        match known {
            Some(id) => self.see_state(id, 1, place),
            None if self.unknown.iter().any(|u| u.code == text) || self.book.findings.iter().any(|(_, f)| counts(f)) => {}
            None => {
                let title = title(code).map_or_else(|| code.structure(), |t| format!("{t} ({})", code.structure()));
                self.unknown.push(UnknownCode { code: text, title, status });
            }
        }
    }

    fn readings(&mut self, looks: &Looks) {
        for (name, entry) in looks.readings {
            let place = looks.place("readings", name);
            let Some(id) = self.find(name, "reading", &place) else { continue };
            let finding = &self.book.findings[id];
            let Some(gauge) = finding.gauge() else { continue };
            match parse_quantity(&entry.text(), gauge, &place) {
                Ok(value) => self.see(id, band_weights(finding, gauge, value), Shown::Value(value), &place),
                Err(error) => self.errors.push(error),
            }
        }
    }

    fn signs(&mut self, looks: &Looks) {
        for (name, word) in looks.signs {
            let place = looks.place("signs", name);
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

/// What to do about a name that no symptom has, read as words.
fn like(book: &Book, name: &str) -> Option<String> {
    let names = symptoms_like(book, name)?;
    Some(format!("did you mean {names}? `faultbook explain symptoms` lists them all; free words are for `complaint`"))
}
