//! A sheet with its journal -> where the job stands.

use crate::bay::{Act, Progress};
use crate::book::{Access, Accuracy, Book, Cause, Check, Finding, Fix, Hazard, Headed, Id};
use crate::job::{CodeEntry, Entry, JobSheet, Observation, Shown, band_weights, effective, parse_quantity};
use std::collections::HashMap;

/// Where the job stands.
#[derive(Debug, Clone)]
pub struct Standing {
    /// The sheet with the intake's answers in it.
    pub sheet: JobSheet,
    /// What was done and seen since.
    pub progress: Progress,
    /// The check or fix under way, with what is still to be read of it.
    pub current: Option<(Act, Vec<Id<Finding>>)>,
    /// A check that is to prove the planned fix first, until it is done or left out.
    pub chosen: Option<Id<Check>>,
    /// Fixes done, in order.
    pub fixes: Vec<FixDone>,
    /// Dangers that were said to be dealt with.
    pub safe: Vec<Id<Hazard>>,
    /// The last answer to each question.
    pub answers: HashMap<String, String>,
}

/// A fix that was done.
#[derive(Debug, Clone)]
pub struct FixDone {
    /// The fix.
    pub fix: Id<Fix>,
    /// Its proofs.
    pub proofs: Vec<Proof>,
    /// Whether the complaint is gone; none while not asked.
    pub gone: Option<bool>,
}

/// One proof of a fix.
#[derive(Debug, Clone)]
pub struct Proof {
    /// What is read.
    pub finding: Id<Finding>,
    /// The state it must be in.
    pub wanted: usize,
    /// The state it was in and how it was read; none while not read.
    pub seen: Option<(usize, String)>,
    /// Whether it has stopped moving; only a number can move.
    pub settled: bool,
}

impl Proof {
    /// Whether it was read and is as it must be.
    pub fn holds(&self) -> bool {
        self.seen.as_ref().is_some_and(|(state, _)| *state == self.wanted)
    }
}

impl Standing {
    /// Folds the journal over the sheet. An entry that names nothing in this book is passed over: the book may be newer than the sheet.
    pub fn new(book: &Book, sheet: &JobSheet) -> Standing {
        let start = JobSheet { journal: vec![], ..sheet.clone() };
        let mut standing = Standing {
            sheet: start,
            progress: Progress::default(),
            current: None,
            chosen: None,
            fixes: vec![],
            safe: vec![],
            answers: HashMap::new(),
        };
        for entry in effective(&sheet.journal) {
            standing.take(book, entry);
        }
        standing
    }

    /// Whether something was asked already.
    pub fn asked(&self, id: &str) -> bool {
        self.answers.contains_key(id)
    }

    /// Whether the complaint is gone.
    pub fn cured(&self) -> bool {
        self.fixes.last().is_some_and(|f| f.gone == Some(true))
    }

    /// Findings whose last proof was not read or is out of its limit.
    pub fn open_proofs(&self) -> Vec<Id<Finding>> {
        let all: Vec<&Proof> = self.fixes.iter().flat_map(|f| &f.proofs).collect();
        let held = |p: &&Proof| all.iter().rfind(|q| q.finding == p.finding).is_some_and(|q| q.holds());
        let mut out: Vec<Id<Finding>> = all.iter().filter(|p| !held(p)).map(|p| p.finding).collect();
        out.sort();
        out.dedup();
        out
    }

    /// The causes that the fixes put right, by how likely each was (0..=1). A fix may cure several that look alike: of those it was the likely ones.
    /// A fix that left the complaint as it was put right only what was likely there.
    pub fn put_right(&self, book: &Book, weight: impl Fn(Id<Cause>) -> f64) -> Vec<Id<Cause>> {
        let mut out: Vec<Id<Cause>> = Vec::new();
        for done in &self.fixes {
            let cures = &book.fixes[done.fix].cures;
            let best = cures.iter().map(|c| weight(*c)).fold(0.0, f64::max);
            let least = if done.gone == Some(false) { 0.5 } else { best.min(0.5) };
            let new: Vec<Id<Cause>> =
                cures.iter().filter(|c| weight(**c) >= least.max(f64::MIN_POSITIVE) && !out.contains(c)).copied().collect();
            out.extend(new);
        }
        out
    }

    fn take(&mut self, book: &Book, entry: &Entry) {
        self.answers.insert(entry.ask.clone(), entry.answer.clone());
        let (topic, name) = entry.ask.split_once(':').unwrap_or((&entry.ask, ""));
        let answer = entry.answer.as_str();
        match topic {
            "words" => self.sheet.complaint.words = answer.into(),
            "symptom" => self.symptom(book, name, answer),
            "trait" => self.vehicle_trait(book, name, answer),
            "repaired" => {
                let named = answer.split_whitespace().filter_map(|w| w.strip_prefix('+'));
                self.sheet.complaint.repaired_before.extend(named.filter(|n| book.fixes.find(n).is_some()).map(String::from));
            }
            "dangers" | "vehicle" => self.several(book, topic, answer),
            "before" if answer != "unknown" => {
                let parts = answer.split(';').map(str::trim).filter(|p| !p.is_empty() && *p != "none");
                self.sheet.complaint.done_before.extend(parts.map(String::from));
            }
            "codes" if answer != "unknown" => {
                self.sheet.scan.codes.extend(answer.split_whitespace().filter(|c| *c != "none").map(|c| CodeEntry::Plain(c.into())))
            }
            "scan" => self.sheet.scan.complete = answer == "yes",
            "danger" => self.safe.extend(book.hazards.find(name)),
            "do" | "prove" => self.step(book, name, answer),
            "find" => self.found(book, name, answer),
            "proof" => self.proof(book, name, answer),
            "settle" => self.settle(book, name, answer),
            "gone" => self.gone(book, answer == "yes"),
            _ => {}
        }
    }

    /// What the book no longer knows is passed over.
    fn symptom(&mut self, book: &Book, name: &str, answer: &str) {
        match answer {
            _ if book.findings.find(name).is_none() => {}
            "yes" => self.sheet.complaint.yes.push(name.into()),
            "no" => self.sheet.complaint.no.push(name.into()),
            _ => {}
        }
    }

    fn vehicle_trait(&mut self, book: &Book, name: &str, answer: &str) {
        match answer {
            _ if book.traits.find(name).is_none() => {}
            "yes" => self.sheet.vehicle.fitted.push(name.into()),
            "no" => self.sheet.vehicle.not_fitted.push(name.into()),
            _ => {}
        }
    }

    /// Several answers at once: `+fuel-smell -oil-lamp-on`.
    fn several(&mut self, book: &Book, topic: &str, answer: &str) {
        for (sign, name) in answer.split_whitespace().filter_map(|word| word.split_at_checked(1)) {
            let answer = match sign {
                "+" => "yes",
                "-" => "no",
                _ => "unknown",
            };
            if topic == "dangers" {
                self.answers.insert(format!("symptom:{name}"), answer.into());
                self.symptom(book, name, answer);
            } else {
                self.answers.insert(format!("trait:{name}"), answer.into());
                self.vehicle_trait(book, name, answer);
            }
        }
    }

    /// A step was taken or left out; or, before a fix, a check was chosen that is to prove it.
    fn step(&mut self, book: &Book, name: &str, answer: &str) {
        if answer != "done" && answer != "skip" {
            self.chosen = book.checks.find(answer);
            return;
        }
        let check = book.checks.find(name).map(Act::Check);
        let Some(act) = check.or_else(|| book.fixes.find(name).map(Act::Fix)) else { return };
        self.chosen = None;
        if answer == "skip" {
            self.progress.skipped.push(act);
        } else {
            self.begin(book, act);
        }
    }

    fn begin(&mut self, book: &Book, act: Act) {
        let access = match act {
            Act::Check(id) => &book.checks[id].access,
            Act::Fix(id) => &book.fixes[id].access,
        };
        access.iter().for_each(|a| open(book, *a, &mut self.progress.open));
        match act {
            Act::Check(id) => {
                let left = book.checks[id].reveals.clone();
                self.current = Some((act, left));
            }
            Act::Fix(id) => {
                let proofs =
                    book.fixes[id].proofs.iter().map(|(f, s)| Proof { finding: *f, wanted: *s, seen: None, settled: false }).collect();
                self.fixes.push(FixDone { fix: id, proofs, gone: None });
                self.current = Some((act, vec![]));
            }
        }
    }

    fn found(&mut self, book: &Book, name: &str, answer: &str) {
        let Some(id) = book.findings.find(name) else { return };
        if let Some(check) = self.chosen.filter(|c| self.current.is_none() && book.checks[*c].reveals.contains(&id)) {
            // sheets of older versions go from the choice straight to what was seen
            self.begin(book, Act::Check(check));
            self.chosen = None;
        }
        if let Some(observation) = observe(book, id, answer) {
            self.progress.seen.push((observation, self.progress.cured.clone()));
        }
        if let Some((act, left)) = &mut self.current {
            left.retain(|f| *f != id);
            if left.is_empty() {
                self.progress.done.push(*act);
                self.current = None;
            }
        }
    }

    fn proof(&mut self, book: &Book, name: &str, answer: &str) {
        let Some(id) = book.findings.find(name) else { return };
        let seen = observe(book, id, answer);
        let moves = seen.as_ref().is_some_and(|o| matches!(o.shown, Shown::Value(_)));
        let seen = seen.map(|o| (o.likeliest_state(), answer.to_string()));
        let Some(fix) = self.fixes.last_mut() else { return };
        if let Some(proof) = fix.proofs.iter_mut().find(|p| p.finding == id) {
            // a proof that can't be read proves nothing: it counts as any state but the one wanted
            proof.seen = Some(seen.unwrap_or((usize::from(proof.wanted == 0), answer.to_string())));
            proof.settled = !moves;
        }
    }

    /// A proof was read again: it has settled where it is the same number, as near as it can be read.
    fn settle(&mut self, book: &Book, name: &str, answer: &str) {
        let (Some(id), Some(fix)) = (book.findings.find(name), self.fixes.last_mut()) else { return };
        let Some(proof) = fix.proofs.iter_mut().find(|p| p.finding == id) else { return };
        let value = |text: &str| match observe(book, id, text).map(|o| o.shown) {
            Some(Shown::Value(value)) => Some(value),
            _ => None,
        };
        let before = proof.seen.as_ref().and_then(|(_, text)| value(text));
        proof.settled =
            answer == "settled" || value(answer).zip(before).is_some_and(|(now, then)| (now - then).abs() <= slack(book, id, then));
        if let Some(seen) = observe(book, id, answer) {
            proof.seen = Some((seen.likeliest_state(), answer.to_string()));
        }
    }

    fn gone(&mut self, book: &Book, gone: bool) {
        let Some(fix) = self.fixes.last_mut() else { return };
        fix.gone = Some(gone);
        let id = fix.fix;
        self.progress.done.push(Act::Fix(id));
        self.progress.cured.extend(book.fixes[id].cures.iter().filter(|c| !self.progress.cured.contains(c)).copied().collect::<Vec<_>>());
        self.current = None;
    }
}

/// How far two readings may be apart and still be the same: what the instrument is good for, or one in fifty.
fn slack(book: &Book, id: Id<Finding>, value: f64) -> f64 {
    match book.findings[id].gauge().and_then(|g| g.accuracy) {
        Some(Accuracy::Absolute(width)) => width,
        Some(Accuracy::Relative(part)) => part * value.abs(),
        None => value.abs() / 50.0,
    }
}

/// An answer about a finding as an observation; none where it was not seen.
pub fn observe(book: &Book, id: Id<Finding>, answer: &str) -> Option<Observation> {
    let finding = &book.findings[id];
    if let Some(state) = finding.state(answer) {
        let weights = (0..finding.states.len()).map(|k| f64::from(u8::from(k == state))).collect();
        return Some(Observation { finding: id, weights, shown: Shown::State(state) });
    }
    let gauge = finding.gauge()?;
    let value = parse_quantity(answer, gauge, finding.name()).ok()?;
    Some(Observation { finding: id, weights: band_weights(finding, gauge, value), shown: Shown::Value(value) })
}

/// Opens an access step with what it needs, and closes what it undoes.
fn open(book: &Book, id: Id<Access>, steps: &mut Vec<Id<Access>>) {
    if steps.contains(&id) {
        return;
    }
    book.access[id].needs.iter().for_each(|need| open(book, *need, steps));
    steps.retain(|s| !book.access[id].undoes.contains(s));
    steps.push(id);
}
