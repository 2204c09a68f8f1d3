//! `test`: the cases beside the rules, judged on every core.

use super::crew;
use super::failure::Failure;
use super::files::{below, load, read_text, write};
use super::intake::{add_logs, sound};
use super::out::Out;
use super::rule_args::Test;
use crate::bay::Rates;
use crate::book::{Book, shipped};
use crate::cases::{Case, Verdict, coverage, judge, parse};
use crate::report::{self, cases as page};
use crate::syntax::FileId;
use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

/// Cases are judged with the same costs everywhere.
pub const RATES: Rates = Rates::USUAL;

/// Runs the command; 1 where a case fails.
pub fn run(arguments: &Test, out: &mut Out) -> Result<u8, Failure> {
    out.hush(arguments.quiet);
    if !arguments.watch {
        return once(arguments, out);
    }
    if arguments.paths.is_empty() {
        return Err(Failure::new("the book that ships does not change", "name the folder of rules to watch"));
    }
    loop {
        // taken before, so that a change while the cases are judged counts
        let before = newest(&arguments.paths);
        if let Err(failure) = once(arguments, out) {
            out.tell(&failure.to_string())?;
        }
        out.tell("Waiting for a change. Stop with Ctrl-C.")?;
        while newest(&arguments.paths) == before {
            std::thread::sleep(Duration::from_millis(500));
        }
    }
}

fn once(arguments: &Test, out: &mut Out) -> Result<u8, Failure> {
    let start = Instant::now();
    let loaded = load(&arguments.paths)?;
    let sources = loaded.sources.clone();
    let own: HashSet<FileId> = loaded.layers().iter().skip(loaded.borrowed).flatten().map(|d| d.file).collect();
    let book = sound(loaded, out)?;
    let mut texts = if arguments.paths.is_empty() { shipped_cases() } else { texts_in(&arguments.paths)? };
    if texts.is_empty() {
        out.tell("There are no cases: put job sheets with an `[expect]` table into a folder `cases` beside the rules.")?;
    }
    if let Some(shard) = arguments.shard {
        texts = shard.of(texts);
    }
    let (cases, unread) = usable(texts, &book);
    out.tell(&format!("Judging {} case{}.", cases.len(), if cases.len() == 1 { "" } else { "s" }))?;
    let timed = |case: &Case| {
        let start = Instant::now();
        (judge(&book, case, RATES), start.elapsed().as_secs_f64())
    };
    let judged = crew::each(&cases, timed, out)?.into_iter().chain(unread.into_iter().map(|verdict| (verdict, 0.0)));
    let (verdicts, seconds): (Vec<_>, Vec<_>) = judged.unzip();
    let wanted = arguments.coverage || arguments.cover_at_least.is_some();
    let covered = wanted.then(|| coverage(&book, &cases, &verdicts, |head| own.contains(&head.span.file)));
    if let Some(file) = &arguments.junit {
        write(file, &page::junit(&verdicts, &seconds, &sources, start.elapsed().as_secs_f64()))?;
    }
    if arguments.json {
        out.say(&report::json(&page::document(&verdicts, &sources, covered.as_ref())))?;
    } else {
        out.say(&page::text(&verdicts, &sources, covered.as_ref(), out.look))?;
    }
    let failed = verdicts.iter().filter(|v| !v.passed()).count();
    out.tell(&format!("{} passed, {failed} failed", verdicts.len() - failed))?;
    let thin = covered.zip(arguments.cover_at_least).filter(|(c, least)| c.causes_covered * 100.0 < *least);
    if let Some((covered, least)) = &thin {
        out.tell(&format!("{:.1} % of the causes are touched by a case, at least {least} % are wanted", covered.causes_covered * 100.0))?;
    }
    Ok(u8::from(failed > 0 || thin.is_some()))
}

fn shipped_cases() -> Vec<Named> {
    shipped::cases().into_iter().map(|(name, text)| (name, Ok(text.to_string()))).collect()
}

/// A file's name, and its text or why it can't be read.
type Named = (String, Result<String, Failure>);

/// The texts of the cases below these folders, each with its file.
fn texts_in(paths: &[PathBuf]) -> Result<Vec<Named>, Failure> {
    let files = paths.iter().map(|path| case_files(path)).collect::<Result<Vec<_>, _>>()?;
    Ok(files.concat().into_iter().map(|file| (file.display().to_string(), read_text(&file))).collect())
}

/// The cases that can be read, and the verdicts on the others: one broken case says nothing of the rest.
fn usable(texts: Vec<Named>, book: &Book) -> (Vec<Case>, Vec<Verdict>) {
    let (mut cases, mut unread) = (Vec::new(), Vec::new());
    for (name, text) in texts {
        match text.and_then(|text| one(&name, &text)).and_then(|mut case| {
            add_logs(book, &mut case.sheet, Path::new(&name))?;
            Ok(case)
        }) {
            Ok(case) => cases.push(case),
            Err(failure) => unread.push(Verdict::failed(&name, "a case that can be read", failure.to_string())),
        }
    }
    (cases, unread)
}

/// The cases in texts, each with its name.
pub fn read(texts: Vec<(String, String)>) -> Result<Vec<Case>, Failure> {
    texts.iter().map(|(name, text)| one(name, text)).collect()
}

/// The case in a text.
pub fn one(name: &str, text: &str) -> Result<Case, Failure> {
    parse(name, text).map_err(Failure::mistake)
}

/// The files of the cases below a folder, in order.
pub fn case_files(path: &Path) -> Result<Vec<PathBuf>, Failure> {
    if path.is_dir() { below(path, is_case) } else { Ok(vec![]) }
}

/// Whether a file holds a case, by its path: TOML right in a folder named `cases`.
pub fn is_case(path: &Path) -> bool {
    let folder = path.parent().and_then(Path::file_name);
    folder.is_some_and(|n| n == "cases") && path.extension().is_some_and(|e| e == "toml")
}

/// The time of the last change below these paths.
fn newest(paths: &[PathBuf]) -> Option<SystemTime> {
    let own = |path: &PathBuf| {
        let inner = std::fs::read_dir(path).ok().map(|d| d.filter_map(|e| Some(e.ok()?.path())).collect::<Vec<_>>());
        inner.and_then(|i| newest(&i)).max(std::fs::metadata(path).and_then(|m| m.modified()).ok())
    };
    paths.iter().filter_map(own).max()
}
