//! What a repair is held against: its proofs, and what is left of the complaint.

use super::proof::{Proof, observe, state_of};
use super::standing::Standing;
use crate::bay::Act;
use crate::book::{Accuracy, Book, Finding, FindingKind, Headed, Id};
use crate::job::{Left, Look, Observation, Shown, band_weights};

/// What stays wrong after a repair may come of something that no rule lists: the answer is never impossible, however strict the rules are. Too little
/// to move a probability that anybody reads.
const UNLISTED: f64 = 1e-6;

impl Standing {
    /// Keeps what was seen after the last repair; a proof read again takes the place of what it showed before.
    fn prove(&mut self, mut observation: Observation) {
        if observation.abnormal() {
            observation.weights[0] = observation.weights[0].max(UNLISTED);
        }
        self.progress.see(observation, true);
    }

    /// A proof was read; that of an earlier fix now belongs to the last one.
    pub(super) fn proof(&mut self, book: &Book, name: &str, look: &Look) {
        let Some(id) = book.findings.find(name) else { return };
        let Some(wanted) = self.wanted(id) else { return };
        let seen = observe(book, id, look);
        let moving = seen.as_ref().is_some_and(|o| matches!(o.shown, Shown::Value(value) if !well_inside(book, id, value, wanted)));
        // a proof that can't be read proves nothing: it counts as any state but the one wanted
        let state = seen.as_ref().map_or(usize::from(wanted == 0), Observation::likeliest_state);
        let Some(proof) = self.last_proof(id, wanted) else { return };
        (proof.seen, proof.settled) = (Some((state, look.clone())), !moving);
        seen.into_iter().for_each(|o| self.prove(o));
        self.judged();
    }

    /// A proof was read again: it has settled where nothing else is named, where it is the same number, as near as it can be read, or well inside its limit.
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
        let still = |now: f64| near(now) || well_inside(book, id, now, wanted);
        proof.settled = look.is_none_or(|look| value(look).is_some_and(still));
        if let Some((look, seen)) = look.and_then(|look| Some((look, observe(book, id, look)?))) {
            proof.seen = Some((seen.likeliest_state(), look.clone()));
            self.prove(seen);
        }
        self.judged();
    }

    /// Something is to be proven once more: a reading, or the complaint itself where nothing is named. What is no proof of a repair is to be as it
    /// normally is.
    pub(super) fn again(&mut self, book: &Book, name: Option<&str>) {
        let proof = name.and_then(|n| book.findings.find(n)).map(|id| (id, self.wanted(id).unwrap_or(0)));
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
        let complaint = self.passing(book);
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
        if there && self.fixes.last().is_some_and(|f| f.again) {
            self.unsee(book);
        }
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

    /// The complaint is back: what was read as normal since the repair was read while the fault was away, and says nothing of what passes with it.
    fn unsee(&mut self, book: &Book) {
        let period = self.progress.period();
        self.progress.seen.retain(|l| l.period < period || l.observation.abnormal() || book.findings[l.observation.finding].lasting);
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

/// Whether a number is further inside the state it must be in than the instrument is good for: what still moves a little stays there, and nobody is asked twice.
fn well_inside(book: &Book, id: Id<Finding>, value: f64, wanted: usize) -> bool {
    let (finding, width) = (&book.findings[id], 2.0 * slack(book, id, value));
    let at = |value: f64, gauge| Observation { finding: id, weights: band_weights(finding, gauge, value), shown: Shown::Value(value) };
    finding.gauge().is_some_and(|gauge| [value - width, value + width].iter().all(|v| at(*v, gauge).likeliest_state() == wanted))
}

/// How far two readings may be apart and still be the same: what the instrument is good for, or one in fifty.
fn slack(book: &Book, id: Id<Finding>, value: f64) -> f64 {
    match book.findings[id].gauge().and_then(|g| g.accuracy) {
        Some(Accuracy::Absolute(width)) => width,
        Some(Accuracy::Relative(part)) => part * value.abs(),
        None => value.abs() / 50.0,
    }
}
