//! A reading that can't be read well enough to tell its bands apart.

use super::prelude::*;
use crate::book::{Accuracy, Gauge};

pub const LINT: Lint = Lint::book("FB225", "coarse-accuracy", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, finding) in subject.book.findings.iter() {
        let Some((gauge, accuracy)) = finding.gauge().and_then(|g| Some((g, g.accuracy?))) else { continue };
        let Some(band) = narrow(gauge, accuracy) else { continue };
        let state = &finding.states[band];
        let message = format!("`{}` can't be read finely enough to be sure of `{state}`", finding.name());
        let at = subject.clauses(&finding.head, Keyword::Accurate).last().map_or(finding.head.span, |c| c.span);
        let remark = Remark::new(LINT.code, message, at, "wider than the band").and(subject.at(&finding.head, Keyword::Band, state), "this band");
        found.push(remark.help("widen the band or name a finer instrument: in its very middle one reading in three falls beside it"));
    }
}

/// A band with limits on both sides that are less than two sigma apart.
fn narrow(gauge: &Gauge, accuracy: Accuracy) -> Option<usize> {
    gauge.bands.iter().position(|ranges| match ranges.as_slice() {
        [(low, high)] if low.is_finite() && high.is_finite() => {
            let two_sigma = match accuracy {
                Accuracy::Absolute(width) => width,
                Accuracy::Relative(part) => part * ((low + high) / 2.0).abs(),
            };
            high - low < two_sigma
        }
        _ => false,
    })
}
