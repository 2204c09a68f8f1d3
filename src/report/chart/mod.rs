//! A curve over time with the bands of its reading: drawn in characters, or as SVG with the bands shaded.

mod svg;
mod text;

pub use svg::svg;
pub use text::text;

use crate::book::{Book, Headed, Take};
use crate::job::log::{Drive, Trace, Traced};

/// A limit is drawn where the curve keeps a part of the height of at least one in four.
const FLAT: f64 = 3.0;

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// What it is.
    pub title: String,
    /// Its unit; may be empty.
    pub unit: String,
    /// The curve.
    pub curve: Trace,
    /// Bands by name, each with its ranges; the first is the normal one.
    pub bands: Vec<(String, Vec<(f64, f64)>)>,
    /// From when to when the reading was taken, seconds.
    pub taken: Vec<(f64, f64)>,
}

impl Chart {
    /// The chart of what was traced in a drive; none where nothing was sampled.
    pub fn new(book: &Book, drive: &Drive, traced: Traced) -> Option<Chart> {
        let curve = drive.trace.clone().filter(|t| t.range().is_some())?;
        Some(match traced {
            Traced::Channel(id) => {
                let channel = &book.channels[id];
                let unit = channel.unit.as_ref().map_or(String::new(), |u| u.text.clone());
                Chart { title: channel.title().into(), unit, curve, bands: vec![], taken: vec![] }
            }
            Traced::Reading(id) => {
                let finding = &book.findings[id];
                let gauge = finding.gauge()?;
                // a spread or a duration is no value of the curve, so its bands have no place beside it
                let apart = gauge.window.as_ref().is_none_or(|w| matches!(w.take, Take::Spread | Take::Duration));
                let bands = if apart { vec![] } else { finding.states.iter().cloned().zip(gauge.bands.clone()).collect() };
                let result = drive.readings.iter().find(|r| r.finding == id).and_then(|r| r.result.as_ref().ok());
                let taken = result.map_or(vec![], |t| t.stretches.clone());
                Chart { title: finding.title().into(), unit: gauge.unit.text.clone(), curve, bands, taken }
            }
        })
    }

    /// Least and greatest value to draw: the curve, and a limit of the normal band unless that would press the curve flat.
    fn span(&self) -> (f64, f64) {
        let (least, most) = self.curve.range().unwrap_or((0.0, 1.0));
        let height = (most - least).max(1e-9 + 0.05 * most.abs());
        let near = |limit: &f64| limit.is_finite() && *limit > least - FLAT * height && *limit < most + FLAT * height;
        let limits = self.bands.first().map_or(vec![], |(_, ranges)| ranges.iter().flat_map(|(a, b)| [*a, *b]).collect::<Vec<_>>());
        let (low, high) = limits.iter().filter(|l| near(l)).fold((least, most), |(low, high), l| (low.min(*l), high.max(*l)));
        let margin = (high - low).max(height) * 0.06;
        (low - margin, high + margin)
    }

    /// The limits between bands, inside the span.
    fn limits(&self) -> Vec<f64> {
        let (low, high) = self.span();
        let mut all: Vec<f64> = self.bands.iter().flat_map(|(_, r)| r.iter().flat_map(|(a, b)| [*a, *b])).collect();
        all.retain(|l| l.is_finite() && *l > low && *l < high);
        all.sort_by(f64::total_cmp);
        all.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        all
    }
}

/// A time on the axis: seconds, or minutes and seconds.
fn time(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{seconds:.0} s")
    } else {
        format!("{:.0}:{:02.0} min", (seconds / 60.0).floor(), (seconds % 60.0).floor())
    }
}

/// A value on an axis that spans so much.
fn tick(value: f64, span: f64) -> String {
    let places = (2.0 - span.max(1e-9).log10().floor()).clamp(0.0, 6.0) as usize;
    let text = format!("{value:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}
