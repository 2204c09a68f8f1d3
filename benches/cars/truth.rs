//! What a car shows, now: what its file says, else what is likeliest under exactly its roots; and what is normal, once they are put right.

use super::car::Car;
use faultbook::bay::can_change;
use faultbook::book::{Accuracy, Book, Cause, Finding, Fix, Gauge, Id};
use faultbook::cases::{likeliest, with_likely_conditions};
use faultbook::job::band_weights;

/// A car under repair.
pub struct Truth<'a> {
    book: &'a Book,
    car: &'a Car,
    /// Which roots are put right.
    cured: Vec<bool>,
    /// What they brought about that is still there.
    there: Vec<Id<Cause>>,
}

impl<'a> Truth<'a> {
    pub fn new(book: &'a Book, car: &'a Car) -> Truth<'a> {
        Truth { book, car, cured: vec![false; car.roots.len()], there: car.there.clone() }
    }

    /// Whether all roots are put right.
    pub fn sound(&self) -> bool {
        self.cured.iter().all(|c| *c)
    }

    /// Whether what the roots brought about is put right too.
    pub fn nothing_left(&self) -> bool {
        self.sound() && self.there.is_empty()
    }

    /// How many roots are put right.
    pub fn repaired(&self) -> usize {
        self.cured.iter().filter(|c| **c).count()
    }

    /// Does a fix; tells whether this car needed it. What cures less often than not is taken to have failed.
    pub fn repair(&mut self, fix: Id<Fix>) -> bool {
        let mut needed = self.car.not_vain.contains(&fix);
        for (root, cured) in self.car.roots.iter().zip(&mut self.cured) {
            if !*cured && root.fixes.contains(&fix) {
                (*cured, needed) = (true, true);
            }
        }
        let before = self.there.len();
        self.there.retain(|c| !self.book.fixes[fix].cures(*c));
        needed || self.there.len() < before
    }

    /// Whether a cause is one of the roots that are still there.
    pub fn is_root(&self, cause: Id<Cause>) -> bool {
        self.left().any(|causes| causes.contains(&cause)) || self.there.contains(&cause)
    }

    fn left(&self) -> impl Iterator<Item = &'a [Id<Cause>]> {
        let open = self.car.roots.iter().zip(&self.cured).filter(|(_, cured)| !**cured);
        open.map(|(root, _)| root.causes.as_slice()).collect::<Vec<_>>().into_iter()
    }

    /// The causes that are there, with the conditions that they bring about.
    fn present(&self) -> Vec<Id<Cause>> {
        let roots = self.left().filter_map(|causes| causes.first().copied());
        with_likely_conditions(self.book, &roots.chain(self.there.iter().copied()).collect::<Vec<_>>())
    }

    /// What a look shows, as a technician would type it.
    pub fn shows(&self, id: Id<Finding>) -> String {
        let (finding, present) = (&self.book.findings[id], self.present());
        let stays = self.repaired() == 0 || (!self.sound() && can_change(self.book, &present, id));
        let told = self.car.found.get(&id).filter(|_| stays);
        let state = match told {
            Some(value) => match finding.state(value) {
                Some(state) => state,
                None => return value.clone(),
            },
            None => likeliest(self.book, id, &present),
        };
        match finding.gauge() {
            Some(gauge) => format!("{} {}", rounded(value_in(finding, gauge, state)), gauge.unit.text),
            None => finding.states[state].clone(),
        }
    }

    /// Whether a symptom is there: it goes with what explains it.
    pub fn complained(&self, id: Id<Finding>) -> bool {
        self.car.symptoms.contains(&id) && (self.repaired() == 0 || can_change(self.book, &self.present(), id))
    }
}

/// A value in the middle of the band of a state, or well past its only limit.
fn value_in(finding: &Finding, gauge: &Gauge, state: usize) -> f64 {
    let spread = |limit: f64| match gauge.accuracy {
        Some(Accuracy::Relative(part)) => 2.0 * part * limit.abs(),
        Some(Accuracy::Absolute(width)) => 2.0 * width,
        None => 0.0,
    };
    let past = |limit: f64| spread(limit).max(0.1 * limit.abs()).max(1e-3);
    let inside = |(low, high): &(f64, f64)| match (low.is_finite(), high.is_finite()) {
        (true, true) => (low + high) / 2.0,
        (true, false) => low + past(*low),
        (false, true) => high - past(*high),
        (false, false) => 0.0,
    };
    let weight = |value: &f64| band_weights(finding, gauge, *value)[state];
    gauge.bands[state].iter().map(inside).max_by(|a, b| weight(a).total_cmp(&weight(b))).unwrap_or(0.0)
}

/// Four figures, as an instrument shows it.
fn rounded(value: f64) -> String {
    let decimals = if value == 0.0 { 0.0 } else { (3.0 - value.abs().log10().floor()).clamp(0.0, 6.0) };
    let text = format!("{value:.*}", decimals as usize);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}
