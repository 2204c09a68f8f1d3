//! A repair done, with its proofs, and a look as an observation.

use crate::bay::readable;
use crate::book::{Book, Finding, Fix, Headed, Id};
use crate::job::{Look, Observation, Shown, band_weights, parse_quantity};

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
    pub(super) fn unread(finding: Id<Finding>, wanted: usize) -> Proof {
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

    /// Takes the proofs among what was seen after it.
    pub(super) fn told(&mut self, book: &Book, seen: &[Observation]) {
        for proof in &mut self.proofs {
            let Some(look) = seen.iter().find(|o| o.finding == proof.finding) else { continue };
            let finding = &book.findings[proof.finding];
            let words = match (look.shown, finding.gauge()) {
                (Shown::Value(value), Some(gauge)) => format!("{value} {}", gauge.unit.text),
                _ => finding.states[look.likeliest_state()].clone(),
            };
            (proof.seen, proof.settled) = (Some((look.likeliest_state(), Look::Shown(words))), true);
        }
    }

    /// Leaves out what was as it must be before the repair already: it can't prove it. Where nothing else would, all stay, so that something is read.
    pub(super) fn leave_what_held(&mut self, held: impl Fn(&Proof) -> bool) {
        if !self.proofs.iter().all(&held) {
            self.proofs.retain(|p| !held(p));
        }
    }

    /// Leaves out the proofs not read yet that this vehicle does not have.
    pub(super) fn leave_out(&mut self, book: &Book, traits: &[Option<bool>]) {
        self.proofs.retain(|p| p.seen.is_some() || readable(book, traits, p.finding));
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
pub(super) fn state_of(book: &Book, id: Id<Finding>, state: usize) -> Observation {
    let weights = (0..book.findings[id].states.len()).map(|k| f64::from(u8::from(k == state))).collect();
    Observation { finding: id, weights, shown: Shown::State(state) }
}
