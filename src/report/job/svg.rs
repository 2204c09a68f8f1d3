//! A chart drawn as SVG: the bands shaded side by side, one row for each measured value. Words say all that the shading says.

use super::chart::{BandDocument, ChartDocument, PointDocument};
use crate::report::words::number;
use maud::{Markup, html};

/// Width of the drawing; one unit is about a pixel on a phone.
const WIDTH: f64 = 360.0;
const LEFT: f64 = 6.0;
const TOP: f64 = 20.0;
const ROW: f64 = 24.0;
/// Width of a letter of the small type, rounded up.
const LETTER: f64 = 7.0;

/// The drawing; `number` tells it from others on the page.
pub fn svg(chart: &ChartDocument, index: usize) -> Markup {
    let scale = Scale::of(chart);
    let bottom = TOP + 6.0 + ROW * chart.points.len() as f64;
    let (title, desc) = (format!("chart-{index}-title"), format!("chart-{index}-desc"));
    html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {WIDTH} {}", bottom + 24.0)) role="img"
            aria-labelledby=(format!("{title} {desc}")) {
            title id=(title) { (chart.title) }
            desc id=(desc) { "Limits: " (chart.limits()) ". Measured: " (chart.words()) "." }
            @for band in &chart.bands { (shade(&scale, band, bottom)) }
            @for x in ticks(&scale, chart) { (tick(&scale, x, bottom, &chart.unit)) }
            @for (row, point) in chart.points.iter().enumerate() { (mark(&scale, point, TOP + 15.0 + ROW * row as f64, chart)) }
        }
    }
}

/// From the reading's unit to the drawing.
struct Scale {
    low: f64,
    span: f64,
}

impl Scale {
    /// Holds every limit and every value, with room at both ends.
    fn of(chart: &ChartDocument) -> Scale {
        let edges = chart.bands.iter().flat_map(|b| [b.from, b.to]).flatten();
        let all: Vec<f64> = edges.chain(chart.points.iter().map(|p| p.value)).collect();
        let (low, high) = all.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(*x), b.max(*x)));
        let span = if high > low { high - low } else { low.abs().max(1.0) };
        Scale { low: low - 0.18 * span, span: 1.36 * span }
    }

    fn x(&self, value: f64) -> f64 {
        let share = ((value - self.low) / self.span).clamp(0.0, 1.0);
        // a tenth of a pixel is enough, and keeps the file readable
        ((LEFT + share * (WIDTH - 2.0 * LEFT)) * 10.0).round() / 10.0
    }
}

fn shade(scale: &Scale, band: &BandDocument, bottom: f64) -> Markup {
    let (from, to) = (scale.x(band.from.unwrap_or(f64::NEG_INFINITY)), scale.x(band.to.unwrap_or(f64::INFINITY)));
    let class = if band.wanted { "band wanted" } else { "band" };
    let fits = band.state.chars().count() as f64 * LETTER <= to - from;
    let width = ((to - from) * 10.0).round() / 10.0;
    html! {
        rect class=(class) x=(from) y=(TOP) width=(width) height=(bottom - TOP) {}
        @if fits { text class=(class) x=((from + to) / 2.0) y="14" text-anchor="middle" { (band.state) } }
    }
}

/// The limits, each once, those left out that would be written over one another.
fn ticks(scale: &Scale, chart: &ChartDocument) -> Vec<f64> {
    let mut all: Vec<f64> = chart.bands.iter().flat_map(|b| [b.from, b.to]).flatten().collect();
    all.sort_by(f64::total_cmp);
    let mut out: Vec<f64> = Vec::new();
    for x in all {
        let room = (number(x).chars().count() + chart.unit.chars().count() + 2) as f64 * LETTER;
        if out.last().is_none_or(|last| scale.x(x) - scale.x(*last) >= room) {
            out.push(x);
        }
    }
    out
}

fn tick(scale: &Scale, value: f64, bottom: f64, unit: &str) -> Markup {
    let x = scale.x(value);
    html! {
        line class="limit" x1=(x) x2=(x) y1=(TOP) y2=(bottom + 4.0) {}
        text x=(x) y=(bottom + 17.0) text-anchor="middle" { (number(value)) " " (unit) }
    }
}

/// A ring before a repair, a full dot after it, its words on the side with room.
fn mark(scale: &Scale, point: &PointDocument, y: f64, chart: &ChartDocument) -> Markup {
    let x = scale.x(point.value);
    let words = format!("{} {} {}", point.label, number(point.value), chart.unit);
    let long = 12.0 + words.chars().count() as f64 * LETTER;
    // words do not run over a limit where the other side is free
    let free =
        |from: f64, to: f64| from > LEFT && to < WIDTH - LEFT && !ticks(scale, chart).iter().any(|t| (from..to).contains(&scale.x(*t)));
    let right = free(x, x + long) || (!free(x - long, x) && x + long < WIDTH - LEFT);
    let (at, anchor) = if right { (x + 10.0, "start") } else { (x - 10.0, "end") };
    html! {
        circle class=(if point.after { "after" } else { "before" }) cx=(x) cy=(y) r="5" {}
        text class="value" x=(at) y=(y + 4.0) text-anchor=(anchor) { (words) }
    }
}
