//! A measured reading with its bands and its points before and after: the chart's model, for scripts as it is and for the drawing.

use super::case::Case;
use crate::book::{Finding, Headed, Id};
use crate::job::{Shown, parse_quantity};
use crate::report::words::number;
use crate::walk::Proof;
use schemars::JsonSchema;
use serde::Serialize;

/// A reading drawn.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ChartDocument {
    /// The reading's name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Unit of every number here.
    pub unit: String,
    /// Its bands, in the book's order.
    pub bands: Vec<BandDocument>,
    /// What was measured, in order of time.
    pub points: Vec<PointDocument>,
}

/// One piece of a band.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BandDocument {
    /// The state it means.
    pub state: String,
    /// Lower limit; none where it is open.
    pub from: Option<f64>,
    /// Upper limit; none where it is open.
    pub to: Option<f64>,
    /// Whether the reading must be in here.
    pub wanted: bool,
}

/// One measured value.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PointDocument {
    /// `before`, `after`, or after which repair.
    pub label: String,
    /// Whether a repair came before it.
    pub after: bool,
    /// The value.
    pub value: f64,
    /// Whether it lies in a band it must be in.
    pub inside: bool,
}

/// Every reading of the job that has a value, those with a proof first.
pub fn charts(case: &Case) -> Vec<ChartDocument> {
    let proofs = case.standing.fixes.iter().flat_map(|f| f.proofs.iter().map(|p| p.finding));
    let mut ids: Vec<Id<Finding>> = Vec::new();
    for id in proofs.chain(case.seen().map(|o| o.finding)) {
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    ids.into_iter().filter_map(|id| chart(case, id)).collect()
}

fn chart(case: &Case, id: Id<Finding>) -> Option<ChartDocument> {
    let finding = &case.book.findings[id];
    let gauge = finding.gauge()?;
    let proof = case.standing.fixes.iter().flat_map(|f| &f.proofs).rfind(|p| p.finding == id);
    let wanted = proof.map_or(0, |p| p.wanted);
    let piece = |state: usize, (low, high): &(f64, f64)| BandDocument {
        state: finding.states[state].clone(),
        from: Some(*low).filter(|x| x.is_finite()),
        to: Some(*high).filter(|x| x.is_finite()),
        wanted: state == wanted,
    };
    let bands: Vec<BandDocument> = gauge.bands.iter().enumerate().flat_map(|(s, pieces)| pieces.iter().map(move |p| piece(s, p))).collect();
    let points = points(case, id, &bands);
    let unit = gauge.unit.text.clone();
    (!points.is_empty()).then(|| ChartDocument { id: finding.name().into(), title: finding.title().into(), unit, bands, points })
}

fn points(case: &Case, id: Id<Finding>, bands: &[BandDocument]) -> Vec<PointDocument> {
    let mut out: Vec<PointDocument> = Vec::new();
    let mut add = |label: String, after: bool, value: f64| {
        let inside = bands.iter().any(|b| b.wanted && b.from.is_none_or(|x| value >= x) && b.to.is_none_or(|x| value <= x));
        out.push(PointDocument { label, after, value, inside });
    };
    let intake = case.a.intake.seen.iter().map(|o| (o, false));
    let later = case.standing.progress.seen.iter().filter(|l| !l.proof).map(|l| (&l.observation, l.period > 0));
    for (seen, after) in intake.chain(later).filter(|(o, _)| o.finding == id) {
        if let Shown::Value(value) = seen.shown {
            add(if after { "between" } else { "before" }.into(), after, value);
        }
    }
    let Some(gauge) = case.book.findings[id].gauge() else { return out };
    for done in &case.standing.fixes {
        let read = done.proofs.iter().filter(|p| p.finding == id).filter_map(Proof::showed);
        for value in read.filter_map(|text| parse_quantity(text, gauge, "").ok()) {
            add("after".into(), true, value);
        }
    }
    out
}

impl ChartDocument {
    /// The limits in words: `healthy 10 to 22 A; high above 22 A`.
    pub fn limits(&self) -> String {
        let one = |b: &BandDocument| match (b.from, b.to) {
            (Some(low), Some(high)) => format!("{} {} to {} {}", b.state, number(low), number(high), self.unit),
            (Some(low), None) => format!("{} above {} {}", b.state, number(low), self.unit),
            (None, Some(high)) => format!("{} below {} {}", b.state, number(high), self.unit),
            (None, None) => format!("{} at any value", b.state),
        };
        self.bands.iter().map(one).collect::<Vec<_>>().join("; ")
    }

    /// The points in words: `before 31 A, out of its limit; after 16 A, inside`.
    pub fn words(&self) -> String {
        let one = |p: &PointDocument| {
            let place = if p.inside { "inside its limit" } else { "out of its limit" };
            format!("{} {} {}, {place}", p.label, number(p.value), self.unit)
        };
        self.points.iter().map(one).collect::<Vec<_>>().join("; ")
    }
}
