//! Lints 100 000 generated lines of rules, and parses them bare, in one run: `cargo bench --bench lint_speed`.
//!
//! Wanted (issue of the rules as code): lint in under a second, and in at most three times the bare parse.

#![allow(clippy::print_stdout, clippy::unwrap_used)] // a bench talks and may stop

mod book;

use faultbook::book::read;
use faultbook::lint::{Levels, Texts, look};
use faultbook::syntax::{Document, Remark, Sources, parse};
use rustix::time::{ClockId, clock_gettime};
use std::time::Instant;

const LINES: usize = 100_000;
const RUNS: usize = 7;

fn main() {
    let files = book::files(LINES);
    let lines: usize = files.iter().map(|(_, text)| text.lines().count()).sum();
    let bytes: usize = files.iter().map(|(_, text)| text.len()).sum();
    println!("{lines} lines, {bytes} bytes, {} files; medians of {RUNS} runs, seconds (processor time in brackets)", files.len());
    let (found, _) = lint(&files);
    println!("remarks: {}", found.len());
    let parsed = median(|| drop(parsed(&files)));
    let linted = median(|| drop(lint(&files)));
    println!("bare parse  {:.3} ({:.3})", parsed.0, parsed.1);
    println!("lint        {:.3} ({:.3})", linted.0, linted.1);
    println!("ratio       {:.2} ({:.2})", linted.0 / parsed.0, linted.1 / parsed.1);
}

fn parsed(files: &[(String, String)]) -> (Sources, Vec<Document>, Vec<Remark>) {
    let (mut sources, mut documents, mut remarks) = (Sources::default(), vec![], vec![]);
    for (name, text) in files {
        let (document, found) = parse(sources.add(name, text), text);
        documents.push(document);
        remarks.extend(found);
    }
    (sources, documents, remarks)
}

/// All that `lint` does but reading the files and printing.
fn lint(files: &[(String, String)]) -> (Vec<Remark>, usize) {
    let (sources, documents, mut remarks) = parsed(files);
    let layers = [documents];
    let (book, found) = read(&sources, &layers);
    remarks.extend(found);
    remarks.extend(look(&Texts { sources: &sources, layers: &layers, borrowed: 0 }, book.as_ref(), &Levels::default()));
    let causes = book.map_or(0, |b| b.causes.len());
    assert!(causes > 0, "the generated book is broken: {:?}", remarks.first());
    (remarks, causes)
}

/// Wall and processor time in seconds, each the median of several runs.
fn median(mut work: impl FnMut()) -> (f64, f64) {
    let mut times: Vec<(f64, f64)> = (0..RUNS).map(|_| timed(&mut work)).collect();
    let mut middle = |of: fn(&(f64, f64)) -> f64| {
        times.sort_by(|a, b| of(a).total_cmp(&of(b)));
        of(&times[RUNS / 2])
    };
    (middle(|t| t.0), middle(|t| t.1))
}

fn timed(work: &mut impl FnMut()) -> (f64, f64) {
    let (wall, processor) = (Instant::now(), processor());
    work();
    (wall.elapsed().as_secs_f64(), self::processor() - processor)
}

fn processor() -> f64 {
    let time = clock_gettime(ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 * 1e-9
}
