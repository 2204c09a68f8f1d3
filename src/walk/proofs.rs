//! What a repair is held against: its proofs, and what is left of the complaint.

use super::standing::Standing;
use crate::bay::{Act, Later, readable};
use crate::book::{Accuracy, Book, Cause, Finding, FindingKind, Fix, Headed, Id};
use crate::job::{Observation, Shown, band_weights, parse_quantity};

/// What stays wrong after a repair may come of something that no rule lists: the answer is never impossible, however strict the rules are. Too little
/// to move a probability that anybody reads.
const UNLISTED: f64 = 1e-6;

/// A fix that was done.
#[derive(Debug, Clone)]
pub struct FixDone {
    /// The fix.
    pub fix: Id<Fix>,
    /// Its proofs, and those of earlier fixes that were read again after it.
    pub proofs: Vec<Proof>,
    /// Whether it was asked if the complaint is gone.
    pub asked: bool,
    /// Whether the complaint is gone; none while not asked, or where it could not be tried.
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
    fn unread(finding: Id<Finding>, wanted: usize) -> Proof {
        Proof { finding, wanted, seen: None, settled: false }
    }

    /// Whether it was read and is as it must be.
    pub fn holds(&self) -> bool {
        self.seen.as_ref().is_some_and(|(state, _)| *state == self.wanted)
    }

    /// Whether it was read, and is not as it must be.
    pub fn fails(&self) -> bool {
        self.seen.as_ref().is_some_and(|(state, text)| *state != self.wanted && text != "not-seen")
    }

    /// Whether nothing more is to be asked of it.
    pub fn over(&self) -> bool {
        self.seen.is_some() && self.settled
    }
}

impl FixDone {
    /// A fix just done, with the proofs that can be read on a vehicle of these traits.
    pub(super) fn new(book: &Book, id: Id<Fix>, traits: &[Option<bool>]) -> FixDone {
        let proofs = book.fixes[id].proofs.iter().filter(|(f, _)| readable(book, traits, *f)).map(|(f, s)| Proof::unread(*f, *s));
        FixDone { fix: id, proofs: proofs.collect(), asked: false, gone: None }
    }

    /// Leaves out the proofs not read yet that this vehicle does not have.
    pub(super) fn leave_out(&mut self, book: &Book, traits: &[Option<bool>]) {
        self.proofs.retain(|p| p.seen.is_some() || readable(book, traits, p.finding));
    }
}

impl Standing {
    /// The last proof of each finding that is not read or is out of its limit.
    pub fn open_proofs(&self) -> Vec<&Proof> {
        let all: Vec<&Proof> = self.fixes.iter().flat_map(|f| &f.proofs).collect();
        let last = |(i, p): &(usize, &&Proof)| !all[i + 1..].iter().any(|q| q.finding == p.finding);
        all.iter().enumerate().filter(last).map(|(_, p)| *p).filter(|p| !p.holds()).collect()
    }

    /// The open proofs that matter: those of a fix that put something right, and those that a cause put right would disturb. What a fix in vain
    /// was to show says nothing of the repair. `weight` is how likely each cause was there, 0..=1.
    pub fn missing_proofs(&self, book: &Book, weight: impl Fn(Id<Cause>) -> f64) -> Vec<Id<Finding>> {
        let right = self.put_right(book, weight);
        let own = |finding: Id<Finding>| {
            let fixes = self.fixes.iter().filter(|f| f.proofs.iter().any(|p| p.finding == finding));
            fixes.into_iter().any(|f| book.fixes[f.fix].causes().any(|c| right.contains(&c)))
        };
        self.open_proofs().into_iter().map(|p| p.finding).filter(|f| own(*f) || moves(book, &right, *f)).collect()
    }

    /// The causes that will be cured once the fix under way is judged, or are.
    fn cured_by_now(&self, book: &Book) -> Vec<Id<Cause>> {
        let mut out = self.progress.cured.clone();
        let last = self.fixes.last().map(|f| book.fixes[f.fix].causes().collect::<Vec<_>>()).unwrap_or_default();
        out.extend(last.iter().filter(|c| !self.progress.cured.contains(c)));
        out
    }

    /// Keeps what was seen after the last repair; a proof read again takes the place of what it showed before.
    fn prove(&mut self, book: &Book, mut observation: Observation) {
        if observation.abnormal() {
            observation.weights[0] = observation.weights[0].max(UNLISTED);
        }
        let cured = self.cured_by_now(book);
        self.progress.seen.retain(|l| !(l.proof && l.observation.finding == observation.finding && l.cured == cured));
        self.progress.seen.push(Later { observation, cured, proof: true });
    }

    /// A proof was read; that of an earlier fix now belongs to the last one.
    pub(super) fn proof(&mut self, book: &Book, name: &str, answer: &str) {
        let Some(id) = book.findings.find(name) else { return };
        let Some(wanted) = self.wanted(id) else { return };
        let seen = observe(book, id, answer);
        let moving = seen.as_ref().is_some_and(|o| matches!(o.shown, Shown::Value(_)));
        // a proof that can't be read proves nothing: it counts as any state but the one wanted
        let state = seen.as_ref().map_or(usize::from(wanted == 0), Observation::likeliest_state);
        let Some(proof) = self.last_proof(id, wanted) else { return };
        (proof.seen, proof.settled) = (Some((state, answer.to_string())), !moving);
        seen.into_iter().for_each(|o| self.prove(book, o));
        self.judged();
    }

    /// A proof was read again: it has settled where it is the same number, as near as it can be read.
    pub(super) fn settle(&mut self, book: &Book, name: &str, answer: &str) {
        let Some(id) = book.findings.find(name) else { return };
        let Some(wanted) = self.wanted(id) else { return };
        let value = |text: &str| match observe(book, id, text).map(|o| o.shown) {
            Some(Shown::Value(value)) => Some(value),
            _ => None,
        };
        let Some(proof) = self.last_proof(id, wanted) else { return };
        let before = proof.seen.as_ref().and_then(|(_, text)| value(text));
        proof.settled =
            answer == "settled" || value(answer).zip(before).is_some_and(|(now, then)| (now - then).abs() <= slack(book, id, then));
        if let Some(seen) = observe(book, id, answer) {
            proof.seen = Some((seen.likeliest_state(), answer.to_string()));
            self.prove(book, seen);
        }
        self.judged();
    }

    /// Something is to be proven once more: a reading, or the complaint itself where nothing is named.
    pub(super) fn again(&mut self, book: &Book, name: &str) {
        let proof = book.findings.find(name).and_then(|id| Some((id, self.wanted(id)?)));
        match proof {
            Some((id, wanted)) => {
                let Some(proof) = self.last_proof(id, wanted) else { return };
                *proof = Proof::unread(id, wanted);
            }
            None => self.fixes.last_mut().into_iter().for_each(|f| (f.asked, f.gone) = (false, None)),
        }
        self.current = self.fixes.last().map(|f| (Act::Fix(f.fix), vec![]));
    }

    /// Whether the complaint is gone after the last fix, as a whole or symptom by symptom.
    pub(super) fn gone(&mut self, book: &Book, answer: &str) {
        let complaint = self.complained(book);
        let Some(fix) = self.fixes.last_mut() else { return };
        let id = fix.fix;
        fix.asked = true;
        fix.gone = match answer {
            "unknown" => None,
            "yes" | "no" => Some(answer == "yes"),
            named => Some(!named.split_whitespace().any(|word| word.starts_with('+'))),
        };
        let stands = |f: &Id<Finding>| match answer {
            "yes" => Some(false),
            // of several symptoms a bare no does not say which
            "no" => (complaint.len() == 1).then_some(true),
            named => {
                named.split_whitespace().find(|word| word.get(1..) == Some(book.findings[*f].name())).map(|word| word.starts_with('+'))
            }
        };
        for finding in &complaint {
            let seen = stands(finding).and_then(|stands| observe(book, *finding, &book.findings[*finding].states[usize::from(stands)]));
            seen.into_iter().for_each(|o| self.prove(book, o));
        }
        self.progress.cured = self.cured_by_now(book);
        self.progress.done.push(Act::Fix(id));
        self.current = None;
    }

    /// The symptoms that were complained of.
    pub(super) fn complained(&self, book: &Book) -> Vec<Id<Finding>> {
        let found = self.sheet.complaint.yes.iter().filter_map(|name| book.findings.find(name));
        let mut out: Vec<Id<Finding>> = found.filter(|f| matches!(book.findings[*f].kind, FindingKind::Symptom { .. })).collect();
        out.sort();
        out.dedup();
        out
    }

    /// The state that a proof must be in, by the last fix that names it.
    fn wanted(&self, finding: Id<Finding>) -> Option<usize> {
        self.fixes.iter().rev().flat_map(|f| &f.proofs).find(|p| p.finding == finding).map(|p| p.wanted)
    }

    /// The proof of the last fix about a finding; an earlier fix's is taken over.
    fn last_proof(&mut self, finding: Id<Finding>, wanted: usize) -> Option<&mut Proof> {
        let proofs = &mut self.fixes.last_mut()?.proofs;
        if !proofs.iter().any(|p| p.finding == finding) {
            proofs.push(Proof::unread(finding, wanted));
        }
        proofs.iter_mut().find(|p| p.finding == finding)
    }

    /// A fix that was judged before is no longer under way once its proofs are read.
    fn judged(&mut self) {
        if self.fixes.last().is_some_and(|f| f.asked && f.proofs.iter().all(Proof::over)) {
            self.current = None;
        }
    }
}

/// Whether one of these causes, itself or through what it brings about, disturbs a finding.
pub(super) fn moves(book: &Book, causes: &[Id<Cause>], finding: Id<Finding>) -> bool {
    let mut reach = causes.to_vec();
    let mut at = 0;
    while let Some(&cause) = reach.get(at) {
        if book.causes[cause].shows.iter().any(|s| s.finding == finding) {
            return true;
        }
        let new: Vec<_> = book.causes[cause].brings.iter().map(|(c, _)| *c).filter(|c| !reach.contains(c)).collect();
        reach.extend(new);
        at += 1;
    }
    false
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
