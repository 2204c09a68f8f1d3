//! A chart as SVG: bands shaded and named, the curve, and where the reading was taken. It needs no script, no font and no network.

use super::{Chart, tick, time};
use std::fmt::Write;

const WIDTH: f64 = 800.0;
const HEIGHT: f64 = 380.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 110.0;
const TOP: f64 = 46.0;
const BOTTOM: f64 = 54.0;
/// Seconds without a sample that part the curve; three stretches at least.
const PAUSE: f64 = 5.0;
/// The normal band, then the others: light enough for black letters, and apart in lightness for those who see no colour.
const SHADES: [&str; 5] = ["#dcefdc", "#fbe3c0", "#f3c7b5", "#e3b7c6", "#cfc3e0"];

/// The chart as an SVG document.
pub fn svg(chart: &Chart) -> String {
    let plot = Plot { span: chart.span(), seconds: chart.curve.seconds() };
    let mut out = String::new();
    let title = escape(&if chart.unit.is_empty() { chart.title.clone() } else { format!("{}, {}", chart.title, chart.unit) });
    let (least, most) = chart.curve.range().unwrap_or((0.0, 0.0));
    let described = format!("From {} to {} over {}.", tick(least, most - least), tick(most, most - least), time(plot.seconds));
    // writing to a String can't fail
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-label=\"{title}. {described}\" font-family=\"sans-serif\" font-size=\"13\">\n\
         <title>{title}</title>\n<desc>{described}</desc>\n<rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fff\"/>\n\
         <text x=\"{LEFT}\" y=\"26\" font-size=\"16\">{title}</text>"
    );
    bands(chart, &plot, &mut out);
    taken(chart, &plot, &mut out);
    curve(chart, &plot, &mut out);
    axes(chart, &plot, &mut out);
    out.push_str("</svg>\n");
    out
}

struct Plot {
    span: (f64, f64),
    seconds: f64,
}

impl Plot {
    fn x(&self, seconds: f64) -> f64 {
        LEFT + (WIDTH - LEFT - RIGHT) * seconds / self.seconds
    }

    fn y(&self, value: f64) -> f64 {
        let (low, high) = self.span;
        TOP + (HEIGHT - TOP - BOTTOM) * ((high - value) / (high - low)).clamp(0.0, 1.0)
    }
}

fn bands(chart: &Chart, plot: &Plot, out: &mut String) {
    let (low, high) = plot.span;
    for (at, (name, pieces)) in chart.bands.iter().enumerate() {
        let shade = SHADES[at.min(SHADES.len() - 1)];
        for (from, to) in pieces.iter().map(|(a, b)| (a.max(low), b.min(high))).filter(|(a, b)| a < b) {
            let (top, bottom) = (plot.y(to), plot.y(from));
            let _ = writeln!(
                out,
                "<rect x=\"{LEFT}\" y=\"{top:.1}\" width=\"{}\" height=\"{:.1}\" fill=\"{shade}\"/>",
                WIDTH - LEFT - RIGHT,
                bottom - top
            );
            let _ = writeln!(out, "<text x=\"{}\" y=\"{:.1}\">{}</text>", WIDTH - RIGHT + 8.0, (top + bottom) / 2.0 + 4.0, escape(name));
        }
    }
}

fn taken(chart: &Chart, plot: &Plot, out: &mut String) {
    for (from, to) in &chart.taken {
        let (x, y, width) = (plot.x(*from), HEIGHT - BOTTOM, (plot.x(*to) - plot.x(*from)).max(1.0));
        let _ = writeln!(out, "<rect x=\"{x:.1}\" y=\"{:.1}\" width=\"{width:.1}\" height=\"6\" fill=\"#444\"/>", y - 6.0);
    }
    if !chart.taken.is_empty() {
        let _ = writeln!(out, "<text x=\"{}\" y=\"{}\">taken here</text>", WIDTH - RIGHT + 8.0, HEIGHT - BOTTOM + 2.0);
    }
}

/// From the least to the greatest value of each stretch and on to the next; a pause parts the curve.
fn curve(chart: &Chart, plot: &Plot, out: &mut String) {
    let (mut path, mut empty) = (String::new(), usize::MAX);
    let pause = (PAUSE / chart.curve.width).ceil().max(3.0) as usize;
    for (at, stretch) in chart.curve.stretches.iter().enumerate() {
        let Some((least, most)) = stretch else {
            empty = empty.saturating_add(1);
            continue;
        };
        let x = plot.x((at as f64 + 0.5) * chart.curve.width);
        let _ = write!(path, "{}{x:.1},{:.1}", if empty > pause { "M" } else { "L" }, plot.y(*least));
        let _ = write!(path, "L{x:.1},{:.1}", plot.y(*most));
        empty = 0;
    }
    let _ = writeln!(
        out,
        "<path d=\"{path}\" fill=\"none\" stroke=\"#123a6b\" stroke-width=\"1.6\" stroke-linejoin=\"round\" stroke-linecap=\"round\"/>"
    );
}

fn axes(chart: &Chart, plot: &Plot, out: &mut String) {
    let (right, bottom) = (WIDTH - RIGHT, HEIGHT - BOTTOM);
    let _ = writeln!(out, "<path d=\"M{LEFT},{TOP}V{bottom}H{right}\" fill=\"none\" stroke=\"#000\"/>");
    let (low, high) = plot.span;
    let (least, most) = chart.curve.range().unwrap_or(plot.span);
    let mut values = chart.limits();
    // the ends of the curve are written where no limit stands close by
    for end in [least, most] {
        if values.iter().all(|v| (plot.y(*v) - plot.y(end)).abs() > 14.0) {
            values.push(end);
        }
    }
    for value in values {
        let y = plot.y(value);
        let text = tick(value, high - low);
        let _ = writeln!(out, "<path d=\"M{},{y:.1}H{LEFT}\" stroke=\"#000\"/>", LEFT - 4.0);
        let _ = writeln!(out, "<text x=\"{}\" y=\"{:.1}\" text-anchor=\"end\">{text}</text>", LEFT - 8.0, y + 4.0);
    }
    for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let at = share * plot.seconds;
        let _ = writeln!(out, "<text x=\"{:.1}\" y=\"{}\" text-anchor=\"middle\">{}</text>", plot.x(at), bottom + 24.0, time(at));
    }
}

/// Text that can't be taken for markup.
fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
