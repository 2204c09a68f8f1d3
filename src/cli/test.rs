//! `test`: the cases beside the rules, judged.

use super::args::Test;
use super::failure::Failure;
use super::files::read_text;
use super::intake::sound_book;
use super::out::Out;
use crate::bay::Rates;
use crate::book::{Book, shipped};
use crate::cases::{Case, Verdict, judge, parse};
use crate::plan::Budget;
use crate::report::words::wrap;
use std::path::{Path, PathBuf};

/// A case is judged with a smaller budget than a plan proper: there are many.
const BUDGET: Budget = Budget { work: 3_000_000, sets: 150 };

/// Runs the command; 1 where a case fails.
pub fn run(arguments: &Test, out: &mut Out) -> Result<u8, Failure> {
    let book = sound_book(&arguments.paths, out)?;
    let cases = cases(&arguments.paths)?;
    if cases.is_empty() {
        return Err(Failure::new("there are no cases", "put job sheets with an `[expect]` table into a folder `cases` beside the rules"));
    }
    let verdicts = judged(&book, &cases);
    let failed: Vec<&Verdict> = verdicts.iter().filter(|v| !v.passed()).collect();
    for verdict in &failed {
        out.say(&format!("failed: {}\n", verdict.name))?;
        for miss in &verdict.misses {
            out.say(&(wrap(&format!("expected {}", miss.expected), out.look.width, "  ", "    ") + "\n"))?;
            out.say(&(wrap(&format!("came     {}", miss.came), out.look.width, "  ", "    ") + "\n"))?;
        }
    }
    out.tell(&format!("{} passed, {} failed", verdicts.len() - failed.len(), failed.len()))?;
    Ok(u8::from(!failed.is_empty()))
}

/// All cases judged, on every core.
fn judged(book: &Book, cases: &[Case]) -> Vec<Verdict> {
    let rates = Rates { per_hour: 60.0, refer: 1200.0 };
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let share = cases.len().div_ceil(workers).max(1);
    std::thread::scope(|scope| {
        let threads: Vec<_> = cases
            .chunks(share)
            .map(|part| scope.spawn(move || part.iter().map(|c| judge(book, c, rates, &BUDGET)).collect::<Vec<_>>()))
            .collect();
        threads.into_iter().flat_map(|t| t.join().unwrap_or_default()).collect()
    })
}

fn cases(paths: &[PathBuf]) -> Result<Vec<Case>, Failure> {
    let mut texts = Vec::new();
    if paths.is_empty() {
        texts.extend(shipped::cases().into_iter().map(|(name, text)| (name, text.to_string())));
    }
    for path in paths {
        let mut files = Vec::new();
        find(path, &mut files)?;
        files.sort();
        for file in files {
            texts.push((file.display().to_string(), read_text(&file)?));
        }
    }
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
