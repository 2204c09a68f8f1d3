//! `test`: the cases beside the rules, judged on every core.

use super::args::Test;
use super::failure::Failure;
use super::files::read_text;
use super::intake::sound_book;
use super::out::Out;
use crate::bay::Rates;
use crate::book::{Book, shipped};
use crate::cases::{Case, Verdict, coverage, judge, parse};
use crate::plan::Budget;
use crate::report::{self, cases as page};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

/// A case is judged with a smaller budget than a plan proper: there are many.
pub const BUDGET: Budget = Budget { work: 5_000_000, sets: 150 };
/// Cases are judged with the same costs everywhere.
pub const RATES: Rates = Rates { per_hour: 60.0, refer: 1200.0 };

/// Runs the command; 1 where a case fails.
pub fn run(arguments: &Test, out: &mut Out) -> Result<u8, Failure> {
    if !arguments.watch {
        return once(arguments, out);
    }
    loop {
        if let Err(failure) = once(arguments, out) {
            out.tell(&failure.to_string())?;
        }
        out.tell("Waiting for a change. Stop with Ctrl-C.")?;
        let before = newest(&arguments.paths);
        while newest(&arguments.paths) == before {
            std::thread::sleep(Duration::from_millis(500));
        }
    }
}

fn once(arguments: &Test, out: &mut Out) -> Result<u8, Failure> {
    let start = Instant::now();
    let book = sound_book(&arguments.paths, out)?;
    let cases = if arguments.paths.is_empty() { read(shipped_cases())? } else { cases_in(&arguments.paths)? };
    if cases.is_empty() {
        return Err(Failure::new("there are no cases", "put job sheets with an `[expect]` table into a folder `cases` beside the rules"));
    }
    out.tell(&format!("Judging {} cases.", cases.len()))?;
    let verdicts = judged(&book, &cases);
    let wanted = arguments.coverage || arguments.cover_at_least.is_some();
    let covered = wanted.then(|| coverage(&book, &cases, &verdicts));
    if let Some(file) = &arguments.junit {
        let written = std::fs::write(file, page::junit(&verdicts, start.elapsed().as_secs_f64()));
        written.map_err(|e| Failure::new(format!("`{}` can't be written: {e}", file.display()), "check the path"))?;
    }
    if arguments.json {
        out.say(&report::json(&page::document(&verdicts, covered.as_ref())))?;
    } else {
        out.say(&page::text(&verdicts, covered.as_ref(), out.look))?;
    }
    let failed = verdicts.iter().filter(|v| !v.passed()).count();
    out.tell(&format!("{} passed, {failed} failed", verdicts.len() - failed))?;
    let thin = covered.zip(arguments.cover_at_least).is_some_and(|(c, least)| c.causes_covered * 100.0 < least);
    Ok(u8::from(failed > 0 || thin))
}

/// All cases judged, on every core.
fn judged(book: &Book, cases: &[Case]) -> Vec<Verdict> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let share = cases.len().div_ceil(workers).max(1);
    std::thread::scope(|scope| {
        let judge_all = |part: &[Case]| part.iter().map(|c| judge(book, c, RATES, &BUDGET)).collect::<Vec<_>>();
        let threads: Vec<_> = cases.chunks(share).map(|part| scope.spawn(move || judge_all(part))).collect();
        threads.into_iter().flat_map(|t| t.join().unwrap_or_default()).collect()
    })
}

fn shipped_cases() -> Vec<(String, String)> {
    shipped::cases().into_iter().map(|(name, text)| (name, text.to_string())).collect()
}

/// The cases below these folders.
pub fn cases_in(paths: &[PathBuf]) -> Result<Vec<Case>, Failure> {
    let mut texts = Vec::new();
    for path in paths {
        let mut files = Vec::new();
        find(path, &mut files)?;
        files.sort();
        for file in files {
            texts.push((file.display().to_string(), read_text(&file)?));
        }
    }
    read(texts)
}

fn read(texts: Vec<(String, String)>) -> Result<Vec<Case>, Failure> {
    texts.iter().map(|(name, text)| parse(name, text).map_err(|e| Failure::new(format!("{}: {}", e.place, e.message), e.help))).collect()
}

/// TOML files in folders named `cases`.
fn find(path: &Path, out: &mut Vec<PathBuf>) -> Result<(), Failure> {
    let unreadable =
        |e: std::io::Error| Failure::new(format!("`{}` can't be read: {e}", path.display()), "check the path and its permissions");
    if !path.is_dir() {
        return Ok(());
    }
    let inside = path.file_name().is_some_and(|n| n == "cases");
    for entry in std::fs::read_dir(path).map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?.path();
        if entry.is_dir() && !entry.is_symlink() {
            find(&entry, out)?;
        } else if inside && entry.extension().is_some_and(|e| e == "toml") {
            out.push(entry);
        }
    }
    Ok(())
}

/// The time of the last change below these paths.
fn newest(paths: &[PathBuf]) -> Option<SystemTime> {
    let own = |path: &PathBuf| {
        let inner = std::fs::read_dir(path).ok().map(|d| d.filter_map(|e| Some(e.ok()?.path())).collect::<Vec<_>>());
        inner.and_then(|i| newest(&i)).max(std::fs::metadata(path).and_then(|m| m.modified()).ok())
    };
    paths.iter().filter_map(own).max()
}
