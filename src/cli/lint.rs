//! `lint`: a book of rules -> remarks.

use super::args::Money;
use super::failure::Failure;
use super::files::{self, Loaded, harmless, load_with, read_input, read_text};
use super::fix;
use super::out::Out;
use super::rule_args::{FailOn, Lint, LintFormat};
use super::settings::Settings;
use super::since::Changed;
use crate::lint::{Levels, Texts, can_be_allowed, look};
use crate::report::lint::{Run, annotations, baseline::Baseline, checkstyle, json, quality, sarif};
use crate::report::{self, remarks};
use crate::syntax::{Remark, Severity};
use std::path::{Path, PathBuf};

/// Runs the command; 1 where a remark is as bad as `--fail-on` says.
pub fn run(arguments: &Lint, out: &mut Out) -> Result<u8, Failure> {
    out.hush(arguments.quiet);
    let since = arguments.since.as_deref().map(Changed::since).transpose()?;
    let start = arguments.paths.first().filter(|p| p.as_os_str() != "-").cloned().unwrap_or_else(|| PathBuf::from("."));
    let levels = Settings::find(&start, &Money::default())?.levels()?;
    let input = input(arguments)?;
    if arguments.fix {
        fix::run(arguments, &levels, out)?;
    }
    let loaded = load_with(&arguments.paths, input)?;
    let found = remarks_of(&loaded, &levels);
    let all = Run::new(&loaded.sources, &found, loaded.layers().iter().flatten());
    let known =
        arguments.baseline.as_deref().map_or_else(|| Ok(Baseline::default()), |file| baseline(file, &all, arguments.write_baseline))?;
    // what can't be read counts, wherever the change was that broke it
    let changed = |r: &Remark| !can_be_allowed(r.code) || since.as_ref().is_none_or(|s| s.touches(r, &loaded.sources));
    let of_old = found.iter().zip(&all.fingerprints).filter(|(r, f)| known.has(r, f)).count();
    let wanted = |(r, f): &(&Remark, &String)| !known.has(r, f) && changed(r);
    let (new, kept): (Vec<Remark>, Vec<String>) =
        found.iter().zip(&all.fingerprints).filter(wanted).map(|(remark, print)| (remark.clone(), print.clone())).unzip();
    let most = if arguments.most == 0 { usize::MAX } else { arguments.most };
    let shown = Run { remarks: &new, fingerprints: kept, most, known: of_old, ..all };
    say(&shown, arguments, out)?;
    Ok(u8::from(new.iter().any(|r| fails(r.severity, arguments.fail_on))))
}

/// Errors of the language and lints together, in order of their places.
pub fn remarks_of(loaded: &Loaded, levels: &Levels) -> Vec<Remark> {
    let texts = Texts { sources: &loaded.sources, layers: loaded.layers(), borrowed: loaded.borrowed };
    let mut found = loaded.remarks.clone();
    found.extend(look(&texts, loaded.book.as_ref(), levels));
    found.sort_by_key(|r| r.span());
    found
}

/// Standard input and its name, where it is wanted.
fn input(arguments: &Lint) -> Result<Option<(String, String)>, Failure> {
    if !arguments.paths.iter().any(|p| p.as_os_str() == "-") {
        return match &arguments.stdin_name {
            Some(_) => Err(Failure::new("`--stdin-name` names nothing", "add `-` to the paths to read standard input")),
            None => Ok(None),
        };
    }
    if arguments.fix {
        return Err(Failure::new("standard input can't be put right in place", "name the file, or leave `--fix` out"));
    }
    let name = arguments.stdin_name.clone().unwrap_or_else(|| "<standard input>".into());
    let bytes = read_input("rules as UTF-8 text")?;
    Ok(Some((name, harmless(&String::from_utf8_lossy(&bytes)))))
}

/// The baseline in a file, or with `write` the one that this run makes.
fn baseline(file: &Path, run: &Run, write: bool) -> Result<Baseline, Failure> {
    if write {
        let new = Baseline::of(run);
        files::write(file, &report::json(&new))?;
        return Ok(new);
    }
    let text = read_text(file)?;
    let found: Baseline = serde_json::from_str(&text).map_err(|e| {
        Failure::new(
            format!("`{}` is no baseline: {e}", file.display()),
            "write it anew: `faultbook lint --baseline FILE --write-baseline`",
        )
    })?;
    match found.schema {
        1 => Ok(found),
        other => Err(Failure::new(format!("`{}` is a baseline of schema {other}", file.display()), "write it anew with this program")),
    }
}

fn say(run: &Run, arguments: &Lint, out: &mut Out) -> Result<(), Failure> {
    let format = if arguments.json { LintFormat::Json } else { arguments.format };
    match format {
        LintFormat::Text => {
            let shown = &run.remarks[..run.remarks.len().min(run.most)];
            out.say_styled(&remarks::text(shown, run.sources, out.look))?;
        }
        LintFormat::Json => out.say(&report::json(&json::document(run)))?,
        LintFormat::Sarif => out.say(&report::json(&sarif::log(run)))?,
        LintFormat::Annotations => out.say(&annotations::text(run))?,
        LintFormat::Checkstyle => out.say(&checkstyle::text(run))?,
        LintFormat::CodeQuality => out.say(&report::json(&quality::issues(run)))?,
    }
    let mut told = remarks::counts(run.remarks);
    if run.left_out() > 0 {
        told.push_str(&format!("; {} not shown (`--most 0` shows all)", run.left_out()));
    }
    if run.known > 0 {
        told.push_str(&format!("; {} known from the baseline", run.known));
    }
    let fixable = run.remarks.iter().filter(|r| !r.edits.is_empty()).count();
    if fixable > 0 {
        told.push_str(&format!("; `--fix` puts {fixable} right"));
    }
    out.tell(&told)
}

fn fails(severity: Severity, fail_on: FailOn) -> bool {
    match fail_on {
        FailOn::Never => false,
        FailOn::Note => true,
        FailOn::Warning => severity >= Severity::Warning,
        FailOn::Error => severity == Severity::Error,
    }
}
