//! What a repair is held against: its proofs, and what is left of the complaint.

use super::standing::Standing;
use crate::bay::{Act, readable};
use crate::book::{Accuracy, Book, Finding, FindingKind, Fix, Headed, Id};
use crate::job::{Left, Look, Observation, Shown, band_weights, parse_quantity};

/// A fix that was done.
#[derive(Debug, Clone)]
pub struct FixDone {
    /// The fix.
    pub fix: Id<Fix>,
    /// Its proofs, and those of earlier fixes that were read again after it.
    pub proofs: Vec<Proof>,
    /// Whether it is settled what is left of the complaint.
    pub asked: bool,
    /// Whether somebody tried it.
    pub tried: bool,
    /// Whether all of the complaint is to be tried once more.
    pub(super) again: bool,
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
    pub seen: Option<(usize, Look)>,
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
        self.seen.as_ref().is_some_and(|(state, look)| *state != self.wanted && *look != Look::NotSeen)
    }

    /// What it showed, as it was given; none where it was not read.
    pub fn showed(&self) -> Option<&str> {
        match self.seen.as_ref()? {
            (_, Look::Shown(text)) => Some(text),
            (_, Look::NotSeen) => None,
        }
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
        FixDone { fix: id, proofs: proofs.collect(), asked: false, tried: false, again: false, gone: None }
    }

    /// Leaves out the proofs not read yet that this vehicle does not have.
    pub(super) fn leave_out(&mut self, book: &Book, traits: &[Option<bool>]) {
        self.proofs.retain(|p| p.seen.is_some() || readable(book, traits, p.finding));
    }
}

impl Standing {
    /// Keeps what was seen after the last repair; a proof read again takes the place of what it showed before.
    fn prove(&mut self, observation: Observation) {
        self.progress.see(observation, true);
    }

    /// A proof was read; that of an earlier fix now belongs to the last one.
    pub(super) fn proof(&mut self, book: &Book, name: &str, look: &Look) {
        let Some(id) = book.findings.find(name) else { return };
        let Some(wanted) = self.wanted(id) else { return };
        let seen = observe(book, id, look);
        let moving = seen.as_ref().is_some_and(|o| matches!(o.shown, Shown::Value(_)));
        // a proof that can't be read proves nothing: it counts as any state but the one wanted
        let state = seen.as_ref().map_or(usize::from(wanted == 0), Observation::likeliest_state);
        let Some(proof) = self.last_proof(id, wanted) else { return };
        (proof.seen, proof.settled) = (Some((state, look.clone())), !moving);
        seen.into_iter().for_each(|o| self.prove(o));
        self.judged();
    }

    /// A proof was read again: it has settled where nothing else is named, or where it is the same number, as near as it can be read.
    pub(super) fn settle(&mut self, book: &Book, name: &str, look: Option<&Look>) {
        let Some(id) = book.findings.find(name) else { return };
        let Some(wanted) = self.wanted(id) else { return };
        let value = |look: &Look| match observe(book, id, look).map(|o| o.shown) {
            Some(Shown::Value(value)) => Some(value),
            _ => None,
        };
        let Some(proof) = self.last_proof(id, wanted) else { return };
        let before = proof.seen.as_ref().and_then(|(_, look)| value(look));
        let near = |now: f64| before.is_some_and(|then| (now - then).abs() <= slack(book, id, then));
        proof.settled = look.is_none_or(|look| value(look).is_some_and(near));
        if let Some((look, seen)) = look.and_then(|look| Some((look, observe(book, id, look)?))) {
            proof.seen = Some((seen.likeliest_state(), look.clone()));
            self.prove(seen);
        }
        self.judged();
    }

    /// Something is to be proven once more: a reading, or the complaint itself where nothing is named.
    pub(super) fn again(&mut self, book: &Book, name: Option<&str>) {
        let proof = name.and_then(|n| book.findings.find(n)).and_then(|id| Some((id, self.wanted(id)?)));
        match proof {
            Some((id, wanted)) => {
                let Some(proof) = self.last_proof(id, wanted) else { return };
                *proof = Proof::unread(id, wanted);
            }
            None => self.fixes.last_mut().into_iter().for_each(|f| (f.asked, f.again, f.gone) = (false, true, None)),
        }
        self.current = self.fixes.last().map(|f| (Act::Fix(f.fix), vec![]));
    }

    /// Whether the complaint is gone after the last fix, as a whole or symptom by symptom.
    pub(super) fn gone(&mut self, book: &Book, left: &Left) {
        let complaint = self.complained(book);
        // while the fault sleeps nobody can try whether it is gone; that it is there wakes it
        let there = match left {
            Left::All => true,
            Left::Named(names) => names.iter().any(|(_, stands)| *stands),
            Left::Nothing | Left::Untried => false,
        };
        let left = if self.progress.asleep && !there { &Left::Untried } else { left };
        let stands = |f: &Id<Finding>| match left {
            Left::Untried => None,
            Left::Nothing => Some(false),
            // of several symptoms a bare no does not say which
            Left::All => (complaint.len() == 1).then_some(true),
            Left::Named(names) => names.iter().find(|(name, _)| name == book.findings[*f].name()).map(|(_, stands)| *stands),
        };
        let seen = complaint.iter().filter_map(|f| Some(state_of(book, *f, usize::from(stands(f)?))));
        seen.collect::<Vec<_>>().into_iter().for_each(|o| self.prove(o));
        let nothing_left = self.still_there(book).is_empty();
        let Some(fix) = self.fixes.last_mut() else { return };
        (fix.asked, fix.again, fix.tried) = (true, false, *left != Left::Untried);
        fix.gone = match left {
            Left::Untried => None,
            Left::Nothing => Some(true),
            Left::All => Some(false),
            Left::Named(_) => Some(nothing_left),
        };
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

/// How far two readings may be apart and still be the same: what the instrument is good for, or one in fifty.
fn slack(book: &Book, id: Id<Finding>, value: f64) -> f64 {
    match book.findings[id].gauge().and_then(|g| g.accuracy) {
        Some(Accuracy::Absolute(width)) => width,
        Some(Accuracy::Relative(part)) => part * value.abs(),
        None => value.abs() / 50.0,
    }
}

/// What a look showed as an observation; none where it was not seen.
pub fn observe(book: &Book, id: Id<Finding>, look: &Look) -> Option<Observation> {
    let Look::Shown(answer) = look else { return None };
    let finding = &book.findings[id];
    if let Some(state) = finding.state(answer) {
        return Some(state_of(book, id, state));
    }
    let gauge = finding.gauge()?;
    let value = parse_quantity(answer, gauge, finding.name()).ok()?;
    Some(Observation { finding: id, weights: band_weights(finding, gauge, value), shown: Shown::Value(value) })
}

/// A finding seen in this state for certain.
fn state_of(book: &Book, id: Id<Finding>, state: usize) -> Observation {
    let weights = (0..book.findings[id].states.len()).map(|k| f64::from(u8::from(k == state))).collect();
    Observation { finding: id, weights, shown: Shown::State(state) }
}
