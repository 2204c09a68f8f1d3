//! A chart in characters: half a line high is the smallest step, limits of bands are dotted and named beside their line.

use super::{Chart, tick, time};
use crate::report::Look;
use crate::report::explain::ranges;
use crate::report::words::{long_heading, number, wrap};

/// Lines of the drawing.
const LINES: usize = 12;

/// The chart, with the same in words below it.
pub fn text(chart: &Chart, look: Look) -> String {
    let (low, high) = chart.span();
    let limits = chart.limits();
    let labels = labels(chart, &limits, low, high);
    let side = labels.iter().map(|l| l.chars().count()).max().unwrap_or(0);
    let width = look.width.saturating_sub(side + 2).max(10);
    let columns = columns(chart, width);
    let mut out = long_heading(&title(chart), look.width);
    for (line, label) in labels.iter().enumerate() {
        let dotted = limits.iter().any(|l| line_of(*l, low, high) == line);
        let cells: String = columns.iter().map(|c| cell(*c, line, low, high, dotted)).collect();
        out.push_str(format!("{label:>side$} │{cells}").trim_end());
        out.push('\n');
    }
    out.push_str(&format!("{:side$} └{}\n", "", "─".repeat(width)));
    out.push_str(&axis(chart, side, width));
    for sentence in words(chart) {
        out.push_str(&(wrap(&sentence, look.width, "", "  ") + "\n"));
    }
    out
}

fn title(chart: &Chart) -> String {
    if chart.unit.is_empty() { chart.title.clone() } else { format!("{}, {}", chart.title, chart.unit) }
}

/// The line a value stands in, counted from the top.
fn line_of(value: f64, low: f64, high: f64) -> usize {
    half_of(value, low, high) / 2
}

fn half_of(value: f64, low: f64, high: f64) -> usize {
    let share = ((high - value) / (high - low)).clamp(0.0, 1.0);
    ((share * (2 * LINES) as f64) as usize).min(2 * LINES - 1)
}

/// The value at the side of each line: the ends, and the limits in between.
fn labels(chart: &Chart, limits: &[f64], low: f64, high: f64) -> Vec<String> {
    let mut labels = vec![String::new(); LINES];
    let (least, most) = chart.curve.range().unwrap_or((low, high));
    for value in [least, most].iter().chain(limits) {
        labels[line_of(*value, low, high)] = tick(*value, high - low);
    }
    labels
}

/// Least and greatest value in each column of the drawing.
fn columns(chart: &Chart, width: usize) -> Vec<Option<(f64, f64)>> {
    let stretches = &chart.curve.stretches;
    let of = |column: usize| {
        let (from, to) = (column * stretches.len() / width, ((column + 1) * stretches.len()).div_ceil(width));
        let known = stretches.get(from..to.max(from + 1).min(stretches.len()))?.iter().flatten();
        known.copied().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    };
    (0..width).map(of).collect()
}

fn cell(column: Option<(f64, f64)>, line: usize, low: f64, high: f64, dotted: bool) -> char {
    let covers = |half: usize| column.is_some_and(|(least, most)| (half_of(most, low, high)..=half_of(least, low, high)).contains(&half));
    match (covers(2 * line), covers(2 * line + 1)) {
        (true, true) => '█',
        (true, false) => '▀',
        (false, true) => '▄',
        (false, false) if dotted => '┄',
        _ => ' ',
    }
}

/// The times, and under them where the reading was taken.
fn axis(chart: &Chart, side: usize, width: usize) -> String {
    let end = time(chart.curve.seconds());
    let mut out = format!("{:side$}  0{end:>rest$}\n", "", rest = width.saturating_sub(1));
    if chart.taken.is_empty() {
        return out;
    }
    let column = |t: f64| ((t / chart.curve.seconds()) * width as f64) as usize;
    let taken = |at: usize| chart.taken.iter().any(|(from, to)| (column(*from)..=column(*to)).contains(&at));
    let marks: String = (0..width).map(|at| if taken(at) { '═' } else { ' ' }).collect();
    out.push_str(format!("{:side$}  {marks}", "").trim_end());
    out.push('\n');
    out
}

/// The same for those who can't see the drawing.
fn words(chart: &Chart) -> Vec<String> {
    let unit = &chart.unit;
    let (least, most) = chart.curve.range().unwrap_or((0.0, 0.0));
    let (first, last) = chart.curve.ends.unwrap_or((least, most));
    let mut out = vec![format!(
        "From {} to {} {unit}; {} at the beginning, {} at the end.",
        number(least),
        number(most),
        number(first),
        number(last)
    )];
    if !chart.taken.is_empty() {
        let times: Vec<String> = chart.taken.iter().take(6).map(|(a, b)| format!("{} to {}", time(*a), time(*b))).collect();
        let more = if chart.taken.len() > 6 { ", …" } else { "" };
        out.push(format!("The reading was taken where ═ stands: {}{more}.", times.join(", ")));
    }
    if !chart.bands.is_empty() {
        let bands: Vec<String> = chart.bands.iter().map(|(name, pieces)| format!("{name} {}", ranges(pieces, unit))).collect();
        out.push(format!("Bands: {}.", bands.join("; ")));
    }
    out
}
