//! `new`: a book of one's own to begin with, and a case made of a job sheet.

use super::failure::Failure;
use super::files::{harmless, write_new};
use super::journal::today;
use super::names;
use super::out::Out;
use super::sheet::read_sheet;
use super::test::one;
use crate::syntax::{FileId, format};
use clap::{Args, Subcommand};
use clap_complete::engine::ArgValueCandidates;
use std::path::{Path, PathBuf};

/// Arguments of `new`.
#[derive(Args, Debug)]
pub struct New {
    /// What to begin
    #[command(subcommand)]
    pub what: Begun,
}

/// What can be begun.
#[derive(Subcommand, Debug)]
pub enum Begun {
    /// A folder with a book of your own, laid over the one that ships
    Rules {
        /// The folder
        folder: PathBuf,
    },
    /// A case made of a job sheet, in the folder `cases` beside the rules
    Case {
        /// The job sheet (TOML)
        job: PathBuf,
        /// The folder of the rules
        #[arg(long, value_name = "FOLDER", default_value = "rules")]
        rules: PathBuf,
        /// A cause that was there; those the sheet was closed with, if none is given
        #[arg(long = "cause", value_name = "NAME", add = ArgValueCandidates::new(names::causes))]
        causes: Vec<String>,
    },
}

/// Runs the command.
pub fn run(arguments: &New, out: &mut Out) -> Result<u8, Failure> {
    match &arguments.what {
        Begun::Rules { folder } => rules(folder, out)?,
        Begun::Case { job, rules, causes } => case(job, rules, causes, out)?,
    }
    Ok(0)
}

/// A book over the one that ships: it lints, is laid out and has no case that could fail.
fn rules(folder: &Path, out: &mut Out) -> Result<(), Failure> {
    let file = folder.join("own.rules");
    let title = folder.file_name().map_or("rules".into(), |n| harmless(&n.to_string_lossy()));
    let text = book(&name_of(&title), &title, &today());
    std::fs::create_dir_all(folder.join("cases")).map_err(|e| Failure::writing(folder, &e))?;
    if !write_new(&file, &format(FileId(0), &text).unwrap_or(text))? {
        let message = format!("`{}` is there already", file.display());
        return Err(Failure::new(message, "name another folder; nothing was changed"));
    }
    out.tell(&format!("Begun: {}. Its cases go into {}.", file.display(), folder.join("cases").display()))
}

fn book(name: &str, title: &str, today: &str) -> String {
    format!(
        "# Rules of one's own, laid over the book that ships. docs/language.md has every block and clause;\n\
         # `faultbook explain causes` lists what there is to amend, `faultbook lint`, `fmt` and `test` take this folder.\n\n\
         book {name} \"Rules of {}\"\n  edition 1\n  version \"1\"\n  reviewed {today}\n  keeper \"who looks after these rules\"\n  over faultbook\n\n\
         # What comes in more often here than the book says:\n\
         # amend cause charge-hose-split\n#   prior  2 %\n#   note   \"Look first where the lower hose passes the fan shroud.\"\n",
        title.replace(['"', '\\'], "")
    )
}

/// A name of a folder as a name of the language.
fn name_of(title: &str) -> String {
    let kept: String = title.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let name = kept.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
    // a name begins with a letter, and that of the book that ships is taken
    let letter = name.starts_with(|c: char| c.is_ascii_lowercase());
    if letter && name != "faultbook" { name } else { format!("book-{name}").trim_end_matches('-').to_string() }
}

/// A case beside the rules: the sheet as it was at its intake, and the causes that were found.
fn case(job: &Path, rules: &Path, named: &[String], out: &mut Out) -> Result<(), Failure> {
    let sheet = read_sheet(job, out)?;
    let found = sheet.closed.as_ref().map(|c| c.causes.clone()).unwrap_or_default();
    let causes: Vec<String> = if named.is_empty() { found } else { named.iter().map(|n| harmless(n)).collect() };
    if causes.is_empty() {
        let message = format!("`{}` does not say what was wrong with the car", job.display());
        return Err(Failure::new(message, "close the job in `faultbook walk`, or name each cause with `--cause NAME`"));
    }
    let stem = job.file_stem().map_or("case".into(), |s| s.to_string_lossy().into_owned());
    let file: PathBuf = rules.join("cases").join(format!("{stem}.toml"));
    let case = at_intake(job, &causes)?;
    one(&file.display().to_string(), &case)?;
    std::fs::create_dir_all(rules.join("cases")).map_err(|e| Failure::writing(rules, &e))?;
    if !write_new(&file, &case)? {
        return Err(Failure::new(format!("`{}` is there already", file.display()), "take it away, or give the sheet another name"));
    }
    out.tell(&format!("Written: {}. `faultbook test {}` judges it.", file.display(), rules.display()))
}

/// The text of a sheet without what came after its intake, and with what is expected; its own comments and order stay.
fn at_intake(job: &Path, causes: &[String]) -> Result<String, Failure> {
    let text = super::files::read_text(job)?;
    let unread = |e: toml_edit::TomlError| Failure::new(format!("`{}` can't be read: {}", job.display(), e.message()), "correct the sheet");
    let mut sheet: toml_edit::DocumentMut = text.parse().map_err(unread)?;
    for later in ["journal", "closed", "done"] {
        sheet.remove(later);
    }
    let folder = job.parent().unwrap_or(Path::new("."));
    if let Some(logs) = sheet.get_mut("logs").and_then(|l| l.as_array_mut()) {
        let whole =
            |log: &toml_edit::Value| log.as_str().and_then(|l| Some(std::path::absolute(folder.join(l)).ok()?.display().to_string()));
        let paths: Vec<String> = logs.iter().filter_map(whole).collect();
        *logs = paths.into_iter().collect();
    }
    let causes: Vec<String> = causes.iter().map(|name| toml_edit::Value::from(name).to_string().trim().to_string()).collect();
    Ok(format!("{}\n\n[expect]\ncauses = [{}]\n", sheet.to_string().trim_end(), causes.join(", ")))
}
