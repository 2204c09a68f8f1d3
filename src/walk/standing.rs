//! A sheet with its journal -> where the job stands.

use super::proofs::{FixDone, observe};
use super::unheard::List;
use crate::bay::{Act, Later, Progress};
use crate::book::{Access, Book, Cause, Check, Finding, Hazard, Headed, Id};
use crate::job::{CodeEntry, Entry, JobSheet, effective, settle};
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
    /// What was typed among the codes and is none.
    pub no_codes: Vec<String>,
    /// The list of symptoms that is looked at, where nothing abnormal is known.
    pub list: List,
    /// The last answer to each question.
    pub answers: HashMap<String, String>,
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
            no_codes: vec![],
            list: List::default(),
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

    /// Whether a repair was done of which nobody could try if the complaint is gone.
    pub fn untried(&self) -> bool {
        self.fixes.last().is_some_and(|f| f.asked && f.gone.is_none())
    }

    /// Whether the complaint is gone.
    pub fn cured(&self) -> bool {
        self.fixes.last().is_some_and(|f| f.gone == Some(true))
    }

    /// The causes that the fixes put right, by how likely each was (0..=1). A fix may cure several that look alike: of those it was the likely ones.
    /// A fix that left the complaint as it was put right only what was likely there.
    pub fn put_right(&self, book: &Book, weight: impl Fn(Id<Cause>) -> f64) -> Vec<Id<Cause>> {
        let mut out: Vec<Id<Cause>> = Vec::new();
        for done in &self.fixes {
            let cures: Vec<Id<Cause>> = book.fixes[done.fix].causes().collect();
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
            "unheard" | "system" | "which" => self.look_up(book, topic, answer),
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
            "codes" => self.codes(answer),
            "scan" => self.sheet.scan.complete = answer == "yes",
            "danger" => self.safe.extend(book.hazards.find(name)),
            "do" | "prove" => self.step(book, name, answer),
            "find" => self.found(book, name, answer),
            "proof" => self.proof(book, name, answer),
            "settle" => self.settle(book, name, answer),
            "again" => self.again(book, name),
            "gone" => self.gone(book, answer),
            _ => {}
        }
    }

    /// Codes, `none`, or `unknown`; with a `?` before what was typed and is no code.
    fn codes(&mut self, answer: &str) {
        let words = answer.split_whitespace().filter(|w| !matches!(*w, "none" | "unknown"));
        let (bad, good): (Vec<&str>, Vec<&str>) = words.partition(|w| w.starts_with('?'));
        self.sheet.scan.codes.extend(good.into_iter().map(|c| CodeEntry::Plain(c.into())));
        self.no_codes = bad.into_iter().map(|w| w[1..].into()).collect();
    }

    /// What the book no longer knows is passed over.
    pub(super) fn symptom(&mut self, book: &Book, name: &str, answer: &str) {
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
        self.leave_out(book);
    }

    /// What is known of the vehicle by now, trait by trait.
    fn traits(&self, book: &Book) -> Vec<Option<bool>> {
        let said = &self.sheet.vehicle;
        settle(book, &said.fitted, &said.not_fitted).unwrap_or_else(|_| vec![None; book.traits.len()])
    }

    /// What does not apply to the vehicle is not to be looked for in the step under way.
    fn leave_out(&mut self, book: &Book) {
        let traits = self.traits(book);
        match &mut self.current {
            Some((Act::Check(_), left)) => left.retain(|f| book.findings[*f].head.when.keeps(&traits)),
            Some((Act::Fix(_), _)) => self.fixes.last_mut().into_iter().for_each(|f| f.leave_out(book, &traits)),
            None => {}
        }
        self.finish();
    }

    /// A check with nothing left to look at is done.
    fn finish(&mut self) {
        if let Some((act, _)) = self.current.take_if(|(act, left)| matches!(act, Act::Check(_)) && left.is_empty()) {
            self.progress.done.push(act);
        }
    }

    /// Whether a finding is known already: since the last fix, or by the sheet before any.
    fn known(&self, book: &Book, id: Id<Finding>) -> bool {
        let name = book.findings[id].name();
        let (sheet, complaint) = (&self.sheet, &self.sheet.complaint);
        let said = complaint.yes.iter().chain(&complaint.no).any(|n| n == name);
        let at_intake = said || sheet.readings.contains_key(name) || sheet.signs.contains_key(name);
        let since = self.progress.seen.iter().any(|l| l.observation.finding == id && l.cured == self.progress.cured);
        since || (at_intake && self.progress.cured.is_empty())
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
                let left = book.checks[id].reveals.iter().copied().filter(|f| !self.known(book, *f)).collect();
                self.current = Some((act, left));
            }
            Act::Fix(id) => {
                self.fixes.push(FixDone::new(book, id, &self.traits(book)));
                self.current = Some((act, vec![]));
            }
        }
        self.leave_out(book);
    }

    fn found(&mut self, book: &Book, name: &str, answer: &str) {
        let Some(id) = book.findings.find(name) else { return };
        if let Some(check) = self.chosen.filter(|c| self.current.is_none() && book.checks[*c].reveals.contains(&id)) {
            // sheets of older versions go from the choice straight to what was seen
            self.begin(book, Act::Check(check));
            self.chosen = None;
        }
        match (observe(book, id, answer), &self.current) {
            (Some(observation), _) => self.progress.seen.push(Later { observation, cured: self.progress.cured.clone(), proof: false }),
            (None, Some((Act::Check(check), _))) => self.progress.unseen.push((*check, id)),
            (None, _) => {}
        }
        if let Some((_, left)) = &mut self.current {
            left.retain(|f| *f != id);
        }
        self.finish();
    }
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
