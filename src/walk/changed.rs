//! What the last repair changed, in a few lines: each look before it and after it, the complaint, and what that means.

use super::outcome::Worth;
use super::proof::{FixDone, Proof};
use super::steps::Desk;
use crate::bay::state_words;
use crate::book::{Finding, FindingKind, Headed, Id};
use crate::job::{Observation, Shown};

impl Desk<'_, '_> {
    /// Once its proofs are read and it is known whether the complaint is gone; else nothing.
    pub(super) fn changed(&self) -> Vec<String> {
        let judged = |f: &&FixDone| f.asked && f.gone.is_some() && f.proofs.iter().all(Proof::over);
        let Some(done) = self.standing.fixes.last().filter(judged) else { return vec![] };
        let period = self.standing.fixes.len();
        // what is looked at later is no news of this repair
        let proofs = done.proofs.iter().map(|p| p.finding);
        let seen: Vec<Id<Finding>> = proofs.chain(self.standing.passing(self.book)).collect();
        let mut out = vec![format!("After the repair: {}.", self.book.fixes[done.fix].title())];
        out.extend(seen.into_iter().filter_map(|f| self.around(f, period)));
        let title = |id: &Id<_>| self.book.causes[*id].title();
        out.extend(match self.outcome().worth.last() {
            Some(Worth::Proven(causes)) => Some(format!("Put right: {}.", causes.iter().map(title).collect::<Vec<_>>().join("; "))),
            Some(Worth::InVain) => Some("It was not the fault: nothing that it can change has changed.".into()),
            _ => None,
        });
        out
    }

    /// How a finding stood before a repair and stands since; none where it was not looked at since.
    fn around(&self, id: Id<Finding>, period: usize) -> Option<String> {
        let looks = self.a.looks(id);
        let after = looks.iter().rfind(|(p, _)| *p >= period)?.1;
        let row = &self.book.findings[id];
        if matches!(row.kind, FindingKind::Symptom { .. }) {
            return Some(format!("{}: {}.", row.title(), if after.abnormal() { "still there" } else { "gone" }));
        }
        let now = self.shown(after);
        let before = looks.iter().rfind(|(p, _)| *p < period).map(|(_, o)| self.shown(o)).filter(|b| *b != now);
        Some(format!("{}: {now}{}.", row.title(), before.map_or(String::new(), |b| format!(", before it {b}"))))
    }

    /// What a look showed, as it would be typed.
    pub(super) fn shown(&self, look: &Observation) -> String {
        let row = &self.book.findings[look.finding];
        match (look.shown, row.gauge()) {
            (Shown::Value(value), Some(gauge)) => format!("{value} {}", gauge.unit.text),
            _ => state_words(&row.states[look.likeliest_state()]),
        }
    }
}
