//! `test`: the cases beside the rules, judged on every core.

use super::args::Test;
use super::crew;
use super::failure::Failure;
use super::files::{below, load, read_text, write};
use super::intake::{add_logs, sound};
use super::out::Out;
use crate::bay::Rates;
use crate::book::shipped;
use crate::cases::{Case, coverage, judge, parse};
use crate::report::{self, cases as page};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

/// Cases are judged with the same costs everywhere.
pub const RATES: Rates = Rates { per_hour: 60.0, refer: 1200.0, vain_factor: 2.0 };

/// Runs the command; 1 where a case fails.
pub fn run(arguments: &Test, out: &mut Out) -> Result<u8, Failure> {
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
    let book = sound(loaded, out)?;
    let mut cases = if arguments.paths.is_empty() { read(shipped_cases())? } else { cases_in(&arguments.paths)? };
    if let Some(shard) = arguments.shard {
        cases = shard.of(cases);
    }
    for Case { name, sheet, .. } in &mut cases {
        add_logs(&book, sheet, Path::new(name))?;
    }
    if cases.is_empty() {
        return Err(Failure::new("there are no cases", "put job sheets with an `[expect]` table into a folder `cases` beside the rules"));
    }
    out.tell(&format!("Judging {} case{}.", cases.len(), if cases.len() == 1 { "" } else { "s" }))?;
    let timed = |case: &Case| {
        let start = Instant::now();
        (judge(&book, case, RATES), start.elapsed().as_secs_f64())
    };
    let (verdicts, seconds): (Vec<_>, Vec<_>) = crew::each(&cases, timed, out)?.into_iter().unzip();
    let wanted = arguments.coverage || arguments.cover_at_least.is_some();
    let covered = wanted.then(|| coverage(&book, &cases, &verdicts));
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

fn shipped_cases() -> Vec<(String, String)> {
    shipped::cases().into_iter().map(|(name, text)| (name, text.to_string())).collect()
}

/// The cases below these folders.
fn cases_in(paths: &[PathBuf]) -> Result<Vec<Case>, Failure> {
    let files = paths.iter().map(|path| case_files(path)).collect::<Result<Vec<_>, _>>()?;
    read(files.concat().into_iter().map(|file| Ok((file.display().to_string(), read_text(&file)?))).collect::<Result<_, _>>()?)
}

/// The cases in texts, each with its name.
pub fn read(texts: Vec<(String, String)>) -> Result<Vec<Case>, Failure> {
    texts.iter().map(|(name, text)| parse(name, text).map_err(|e| Failure::new(format!("{}: {}", e.place, e.message), e.help))).collect()
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
