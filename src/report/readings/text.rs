//! Readings of logged drives as text: what is out of order, what is in order, what can't be judged and why.

use super::{LogPage, lack};
use crate::book::{Book, Channel, Finding, Headed, Id};
use crate::job::log::{Drive, Fate, Lack, Shape, Taken, Unread, Verdict, Writing};
use crate::report::Look;
use crate::report::words::{heading, long_heading, minutes, number, wrap};
use indexmap::IndexMap;

/// The page for people.
pub fn text(book: &Book, page: &LogPage, look: Look) -> String {
    let mut out = long_heading(page.name, look.width);
    out.push_str(&(wrap(&recording(page.drive), look.width, "", "") + "\n\n"));
    let states = |abnormal: bool| move |v: &Verdict| matches!(v, Verdict::Stands(_, w) if (likeliest(w) > 0) == abnormal);
    out.push_str(&section(book, page, "Out of order", look, states(true)));
    out.push_str(&section(book, page, "In order", look, states(false)));
    out.push_str(&section(book, page, "Not judged: say what is fitted", look, |v| matches!(v, Verdict::Open(..))));
    out.push_str(&lacks(book, page, look));
    out.push_str(&columns(book, page.drive, look));
    out.trim_end().to_string() + "\n"
}

fn likeliest(weights: &[f64]) -> usize {
    (0..weights.len()).fold(0, |best, k| if weights[k] > weights[best] { k } else { best })
}

/// How much was recorded, and what in it can't be believed.
fn recording(drive: &Drive) -> String {
    let shape = if drive.shape == Shape::Wide { "a column for each signal" } else { "a row for each sample" };
    let mut parts = vec![format!("{} rows in {}, {shape}.", drive.rows, duration(drive.seconds))];
    let pauses = drive.pauses;
    let mut add = |count: u64, one: &str, many: &str| match count {
        0 => {}
        1 => parts.push(format!("{one}.")),
        n => parts.push(format!("{n} {many}.")),
    };
    add(pauses.stops, "The engine stopped once", "stops of the engine");
    add(pauses.jumps, "The clock jumped once", "jumps of the clock");
    add(drive.headings_again, "The headings stand there twice", "repeated rows of headings");
    add(pauses.breaks.saturating_sub(pauses.jumps + drive.headings_again), "One pause", "pauses");
    if pauses.longest > 0.0 {
        parts.push(format!("The longest pause lasted {}.", duration(pauses.longest)));
    }
    if pauses.still > 0.0 {
        parts.push(format!("For {} nothing moved: the recorder had lost contact, and that does not count.", duration(pauses.still)));
    }
    if let Some(Writing::Count(unit)) = drive.time_guessed {
        let unit = if unit < 1e-4 {
            "microseconds or less"
        } else if unit < 0.5 {
            "milliseconds"
        } else {
            "seconds"
        };
        parts.push(format!("Nothing says the unit of time: it was taken for {unit}."));
    }
    let unread = |what: &str, unread: &Unread| {
        let (line, text) = unread.first.as_ref()?;
        Some(match unread.count {
            1 => format!("One {what} could not be read, in line {line}: `{text}`."),
            n => format!("{n} {what}s could not be read, the first in line {line}: `{text}`."),
        })
    };
    parts.extend(unread("row", &drive.bad_rows));
    parts.extend(unread("cell", &drive.bad_cells));
    parts.join(" ")
}

fn duration(seconds: f64) -> String {
    if seconds < 90.0 { format!("{} s", number((seconds * 10.0).round() / 10.0)) } else { minutes(seconds / 60.0) }
}

fn section(book: &Book, page: &LogPage, title: &str, look: Look, belongs: impl Fn(&Verdict) -> bool) -> String {
    let lines: Vec<String> =
        page.judged.iter().filter(|j| belongs(&j.verdict)).filter_map(|j| reading(book, j.finding, &j.verdict)).collect();
    if lines.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = lines.iter().map(|l| wrap(l, look.width, "- ", "  ")).collect();
    format!("{}{}\n\n", heading(title), lines.join("\n"))
}

/// One reading: title, value, state, and how good the value is.
fn reading(book: &Book, id: Id<Finding>, verdict: &Verdict) -> Option<String> {
    let finding = &book.findings[id];
    let unit = &finding.gauge()?.unit.text;
    let (taken, state) = match verdict {
        Verdict::Stands(taken, weights) => {
            let near = if weights.iter().filter(|w| **w > 0.05).count() > 1 { ", close to the limit" } else { "" };
            (taken, format!("{}{near}", finding.states[likeliest(weights)]))
        }
        Verdict::Open(taken, open) => {
            let names: Vec<String> = open.iter().map(|t| format!("`{}`", book.traits[*t].name())).collect();
            (taken, format!("not known: {}", names.join(", ")))
        }
        Verdict::Lacks(_) => return None,
    };
    Some(format!("{}: {} {unit} ({state}). {}", finding.title(), short(taken.value), quality(taken, unit)))
}

fn quality(taken: &Taken, unit: &str) -> String {
    let samples = if taken.samples == 1 { "one sample".into() } else { format!("{} samples", taken.samples) };
    let stretches = match taken.stretches.len() {
        1 => duration(taken.seconds),
        n => format!("{} in {n} stretches", duration(taken.seconds)),
    };
    format!("{samples} from {} to {} {unit}, {stretches}", short(taken.least), short(taken.most))
}

/// Four figures are more than any sensor here is good for.
fn short(value: f64) -> String {
    let places = (3.0 - value.abs().max(1e-9).log10().floor()).clamp(0.0, 6.0) as usize;
    let text = format!("{value:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

/// What there is not enough data for; readings that miss the same columns together.
fn lacks(book: &Book, page: &LogPage, look: Look) -> String {
    let mut missing: IndexMap<&[Id<Channel>], Vec<&str>> = IndexMap::new();
    let mut lines = Vec::new();
    for judged in &page.judged {
        let Verdict::Lacks(why) = &judged.verdict else { continue };
        let finding = &book.findings[judged.finding];
        if let Lack::NoChannel(channels) = why {
            missing.entry(channels).or_default().push(finding.name());
        } else {
            let needed = finding.gauge().and_then(|g| g.window.as_ref()).map_or(0.0, |w| w.seconds);
            lines.push(format!("{}: {}.", finding.title(), lack(book, why, needed)));
        }
    }
    for (channels, names) in missing {
        let why = lack(book, &Lack::NoChannel(channels.to_vec()), 0.0);
        lines.push(format!("{}: {why}.", names.join(", ")));
    }
    list("Not enough data", &lines, look)
}

/// What became of the columns that give nothing, and of those whose unit nobody said.
fn columns(book: &Book, drive: &Drive, look: Look) -> String {
    let title = |c: &Id<Channel>| book.channels[*c].title();
    let unit = |c: &Id<Channel>| book.channels[*c].unit.as_ref().map_or("no unit", |u| u.text.as_str());
    let mut lines = Vec::new();
    let mut unknown = Vec::new();
    for column in &drive.columns {
        let heading = &column.heading;
        match &column.fate {
            Fate::Gives { unit_said: true, .. } => {}
            Fate::Gives { channel, .. } => lines.push(format!("`{heading}` says no unit: taken to be in {}.", unit(channel))),
            Fate::WrongUnit(channel, said) => {
                lines.push(format!("`{heading}` is left out: `{said}` can't be the unit of {}.", title(channel)))
            }
            Fate::Again(channel, first) => lines.push(format!("`{heading}` is left out: `{first}` gives {} already.", title(channel))),
            Fate::Unknown => unknown.push(format!("`{heading}`")),
        }
    }
    if !unknown.is_empty() {
        let names = unknown.join(", ");
        lines.push(format!("The book has no channel for {names}; a `heading` of a `channel` in your own rules gives it one."));
    }
    list("Columns", &lines, look)
}

fn list(title: &str, lines: &[String], look: Look) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = lines.iter().map(|l| wrap(l, look.width, "- ", "  ")).collect();
    format!("{}{}\n\n", heading(title), lines.join("\n"))
}
