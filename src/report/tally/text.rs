//! Closed jobs as text: which causes, what was seen with them, how good the work was, and what the book should say instead.

use super::{TallyPage, median};
use crate::book::{Book, Headed};
use crate::report::Look;
use crate::report::words::{heading, minutes, number, wrap};
use crate::tally::{Counts, Estimate, Subject};

/// The page for people.
pub fn text(book: &Book, page: &TallyPage, look: Look) -> String {
    let counts = page.counts;
    let mut out = wrap(&jobs(counts), look.width, "", "") + "\n\n";
    out.push_str(&list("Causes", &causes(book, counts), look));
    out.push_str(&list("What was seen with them", &findings(book, counts), look));
    out.push_str(&list("The work", &work(counts), look));
    let proposed: Vec<String> = page.estimates.iter().filter(|e| e.proposed).map(|e| proposal(book, e)).collect();
    out.push_str(&list("Proposed for your rules", &proposed, look));
    if proposed.is_empty() {
        let why = match counts.jobs {
            0 => "Nothing is proposed: a job counts when `faultbook walk` has closed it with a cause put right.",
            _ => "Nothing is proposed: every number of the book lies inside what these jobs allow.",
        };
        out.push_str(&(wrap(why, look.width, "", "") + "\n\n"));
    }
    let left: Vec<String> = counts.left_out.iter().map(|(name, reason)| format!("{name}: {reason}.")).collect();
    out.push_str(&list("Not counted", &left, look));
    out.trim_end().to_string() + "\n"
}

/// What was counted, in words.
pub fn counted(counts: &Counts) -> String {
    let days = counts.days.as_ref().map_or(String::new(), |(first, last)| format!(", {first} to {last}"));
    format!("{} with a cause put right{days}", plural(counts.jobs, "closed job"))
}

fn jobs(counts: &Counts) -> String {
    let vain =
        if counts.vain == 0 { String::new() } else { format!(" {} in vain, of which nothing is counted.", plural(counts.vain, "repair")) };
    match counts.referred {
        0 => format!("{}.{vain}", counted(counts)),
        n => format!("{}. {} closed without.{vain}", counted(counts), plural(n, "job")),
    }
}

fn plural(n: usize, word: &str) -> String {
    format!("{n} {word}{}", if n == 1 { "" } else { "s" })
}

fn causes(book: &Book, counts: &Counts) -> Vec<String> {
    let mut there: Vec<_> = counts.causes.iter().filter(|c| c.there > 0).collect();
    there.sort_by_key(|c| std::cmp::Reverse(c.there));
    let line = |c: &&crate::tally::CauseCount| {
        let brought = c.there - c.by_itself;
        let rest = if brought > 0 { format!(", {brought} of them brought about by another") } else { String::new() };
        format!("{}: {} of {}{rest}", book.causes[c.cause].title(), c.there, c.of)
    };
    there.iter().map(line).collect()
}

fn findings(book: &Book, counts: &Counts) -> Vec<String> {
    let line = |c: &crate::tally::StrengthCount| {
        let finding = &book.findings[c.finding];
        let of: u64 = c.states.iter().sum();
        let seen = finding.states.iter().zip(&c.states).skip(1).map(|(state, n)| format!("{state} in {n} of {of}"));
        format!("{}, {}: {}", book.causes[c.cause].name(), finding.name(), seen.collect::<Vec<_>>().join(", "))
    };
    counts.strengths.iter().map(line).collect()
}

fn work(counts: &Counts) -> Vec<String> {
    let mut out = Vec::new();
    let first = &counts.first;
    if first.jobs > 0 {
        let each = first.checks as f64 / first.jobs as f64;
        out.push(format!(
            "In {} of {} jobs the first check found what one of the causes shows; {} checks a job on average.",
            first.hits,
            first.jobs,
            number((each * 10.0).round() / 10.0)
        ));
    }
    let by_book = median(counts.times.iter().map(|t| t.by_book).collect());
    let by_clock = median(counts.times.iter().filter_map(|t| t.by_clock).collect());
    if let Some(m) = by_book {
        let clock =
            by_clock.map_or(String::new(), |m| format!(", {} by the clock of the walk, pauses of over an hour left out", minutes(m)));
        out.push(format!("Half of the jobs took less than {} by the times of the book{clock}.", minutes(m)));
    }
    out
}

fn proposal(book: &Book, estimate: &Estimate) -> String {
    let what = match estimate.subject {
        Subject::Prior(cause) => format!("{}: prior", book.causes[cause].name()),
        Subject::Strength(cause, finding, state) => {
            let finding = &book.findings[finding];
            format!("{}: shows {} {}", book.causes[cause].name(), finding.name(), finding.states[state])
        }
    };
    format!(
        "{what} {} instead of {} ({} of {} jobs; nine in ten that it lies between {} and {})",
        fine(estimate.mean),
        fine(estimate.book),
        estimate.seen,
        estimate.of,
        fine(estimate.low),
        fine(estimate.high)
    )
}

/// A percentage to two figures.
fn fine(p: f64) -> String {
    let percent = p * 100.0;
    let places = (1.0 - percent.max(1e-6).log10().floor()).clamp(0.0, 6.0) as usize;
    format!("{percent:.places$} %")
}

fn list(title: &str, lines: &[String], look: Look) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = lines.iter().map(|l| wrap(l, look.width, "- ", "  ")).collect();
    format!("{}{}\n\n", heading(title), lines.join("\n"))
}
