//! `provide`: what shells, manuals and editors need, made from the program's own definitions.

use super::args::{Arguments, Rules};
use super::failure::Failure;
use super::files::write;
use super::intake::sound_book;
use super::out::Out;
use super::settings::Settings;
use crate::book::shipped;
use crate::cases::Expect;
use crate::job::JobSheet;
use crate::report::{self, cases, chapters, compare, explained, job, layout, lint, plan, readings, tally, version, walk, weigh};
use clap::{Args, CommandFactory, Subcommand};
use schemars::schema_for;
use std::path::{Path, PathBuf};

/// Arguments of `provide`.
#[derive(Args, Debug)]
pub struct Provide {
    /// What to write
    #[command(subcommand)]
    pub what: Provided,
}

/// What can be provided.
#[derive(Subcommand, Debug)]
pub enum Provided {
    /// Completions for a shell, to standard output
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Man pages, into a folder
    Man {
        /// The folder
        folder: PathBuf,
    },
    /// The pages of all remarks on rules, as one chapter in Markdown, to standard output
    Lints,
    /// The book as pages in Markdown for a site, a page for each system and sort, into a folder
    Book {
        /// The folder
        folder: PathBuf,
        #[command(flatten)]
        rules: Rules,
    },
    /// The rules that ship with their cases, as text to be read, into a folder
    Rules {
        /// The folder; it must be empty or not there yet
        folder: PathBuf,
    },
    /// The JSON Schema of a document, to standard output
    Schema {
        /// The document
        document: Document,
    },
}

/// Documents with a JSON Schema.
#[derive(clap::ValueEnum, Debug, Clone, Copy)]
pub enum Document {
    /// A job sheet
    Job,
    /// A case: a job sheet with `[expect]` and `[found]`
    Case,
    /// What a case adds to a job sheet under `[expect]`
    Expect,
    /// The workshop's settings
    Settings,
    /// `weigh --json`
    Weigh,
    /// `plan --json`
    Plan,
    /// `readings --json`
    Readings,
    /// `tally --json`
    Tally,
    /// `test --json`
    Test,
    /// `compare --json`
    Compare,
    /// `lint --json`
    Lint,
    /// `fmt --json`
    Fmt,
    /// `explain --json`
    Explain,
    /// `walk --json`
    Walk,
    /// `report --for customer --json`
    ReportCustomer,
    /// `report --for file --json`
    ReportFile,
    /// `report --for road --json`
    ReportRoad,
    /// What `lint --write-baseline` writes
    Baseline,
    /// `--version --json`
    Version,
}

/// Runs the command.
pub fn run(arguments: &Provide, out: &mut Out) -> Result<u8, Failure> {
    match &arguments.what {
        Provided::Completions { shell } => {
            out.say(&completions(*shell)?)?;
        }
        Provided::Man { folder } => man(folder, out)?,
        Provided::Book { folder, rules } => book(folder, &rules.rules, out)?,
        Provided::Lints => out.say(&lint::pages::chapter())?,
        Provided::Rules { folder } => rules(folder, out)?,
        Provided::Schema { document } => out.say(&report::json(&schema(*document)))?,
    }
    Ok(0)
}

/// What makes a shell ask this program for the words that may stand somewhere.
fn completions(shell: clap_complete::Shell) -> Result<String, Failure> {
    let (shell, mut text) = (shell.to_string(), Vec::new());
    let shells = clap_complete::env::Shells::builtins();
    let asks = shells.completer(&shell).map(|s| s.write_registration("COMPLETE", "faultbook", "faultbook", "faultbook", &mut text));
    match asks {
        Some(Ok(())) => Ok(String::from_utf8_lossy(&text).into_owned()),
        _ => Err(Failure::new(format!("there are no completions for `{shell}`"), "name `bash`, `elvish`, `fish`, `powershell` or `zsh`")),
    }
}

fn schema(document: Document) -> schemars::Schema {
    match document {
        Document::Job => schema_for!(JobSheet),
        Document::Case => crate::cases::schema(),
        Document::Expect => schema_for!(Expect),
        Document::Settings => schema_for!(Settings),
        Document::Weigh => schema_for!(weigh::WeighDocument),
        Document::Plan => schema_for!(plan::PlanDocument),
        Document::Readings => schema_for!(readings::ReadingsDocument),
        Document::Tally => schema_for!(tally::TallyDocument),
        Document::Test => schema_for!(cases::TestDocument),
        Document::Compare => schema_for!(compare::CompareDocument),
        Document::Lint => schema_for!(lint::json::LintDocument),
        Document::Fmt => schema_for!(layout::LayoutDocument),
        Document::Explain => schema_for!(explained::ExplainDocument),
        Document::Walk => schema_for!(walk::WalkDocument),
        Document::ReportCustomer => schema_for!(job::CustomerDocument),
        Document::ReportFile => schema_for!(job::FileDocument),
        Document::ReportRoad => schema_for!(job::RoadDocument),
        Document::Baseline => schema_for!(lint::baseline::Baseline),
        Document::Version => schema_for!(version::VersionDocument),
    }
}

/// A page for the program and one for each command.
fn man(folder: &Path, out: &mut Out) -> Result<(), Failure> {
    let cannot = |e: std::io::Error| Failure::writing(folder, &e);
    std::fs::create_dir_all(folder).map_err(cannot)?;
    clap_mangen::generate_to(Arguments::command(), folder).map_err(cannot)?;
    out.tell(&format!("Man pages written to {}.", folder.display()))
}

/// Writes a file, and makes its folder where there is none.
fn lay(path: &Path, text: &str) -> Result<(), Failure> {
    let folder = path.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder).map_err(|e| Failure::writing(folder, &e))?;
    write(path, text)
}

/// The pages of a book.
fn book(folder: &Path, rules: &[PathBuf], out: &mut Out) -> Result<(), Failure> {
    let pages = chapters::pages(&sound_book(rules, out)?);
    for page in &pages {
        lay(&folder.join(&page.path), &page.text)?;
    }
    out.tell(&format!("{} pages of the book written to {}.", pages.len(), folder.display()))
}

/// The rules that ship and their cases, as they lie in the program.
fn rules(folder: &Path, out: &mut Out) -> Result<(), Failure> {
    if std::fs::read_dir(folder).is_ok_and(|mut inside| inside.next().is_some()) {
        return Err(Failure::new(format!("`{}` is not empty", folder.display()), "name a folder that is not there yet"));
    }
    let files: Vec<_> = shipped::files().into_iter().chain(shipped::cases()).collect();
    for (name, text) in &files {
        lay(&folder.join(name.trim_start_matches("<shipped>/")), text)?;
    }
    out.tell(&format!(
        "{} files of the book that ships written to {}, to be read: rules of your own go into a folder of their own.",
        files.len(),
        folder.display()
    ))
}
