//! The words on the command line of the commands for those who write rules.

use super::shard::Shard;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `lint`.
#[derive(Args, Debug)]
pub struct Lint {
    /// Books of rules, each laid over the one before, `-` for standard input; none means the book that ships
    pub paths: Vec<PathBuf>,
    /// How to print the remarks
    #[arg(long, value_enum, default_value_t = LintFormat::Text)]
    pub format: LintFormat,
    /// Print one JSON document; short for `--format json`
    #[arg(long, conflicts_with = "format")]
    pub json: bool,
    /// The least severity that makes the run fail (exit status 1)
    #[arg(long, value_enum, value_name = "LEVEL", default_value_t = FailOn::Error)]
    pub fail_on: FailOn,
    /// Put right what needs no judgement, in the files
    #[arg(long, conflicts_with_all = ["write_baseline", "stdin_name"])]
    pub fix: bool,
    /// Leave out the lints that this file lists: those an old book had when it was written
    #[arg(long, value_name = "FILE")]
    pub baseline: Option<PathBuf>,
    /// Write all lints of this run into that file
    #[arg(long, requires = "baseline")]
    pub write_baseline: bool,
    /// What standard input is called; a file of this name among the paths is replaced by it
    #[arg(long, value_name = "NAME")]
    pub stdin_name: Option<String>,
    /// Only what is about lines that changed since a revision of the git repository here; errors are always shown
    #[arg(long, value_name = "REVISION")]
    pub since: Option<String>,
    /// Say nothing beside the remarks
    #[arg(short, long)]
    pub quiet: bool,
    /// Remarks shown at most; 0 shows all
    #[arg(long, value_name = "NUMBER", default_value_t = 500, value_parser = whole, allow_negative_numbers = true)]
    pub most: usize,
}

/// How remarks are printed.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum LintFormat {
    /// For people, with the lines
    Text,
    /// One document
    Json,
    /// SARIF 2.1.0
    Sarif,
    /// Lines that a CI log turns into marks beside the code
    Annotations,
    /// XML that build servers read from any checker
    Checkstyle,
    /// The list that code hosts show beside a change
    CodeQuality,
}

/// The least severity that fails.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum FailOn {
    /// Errors
    Error,
    /// Errors and warnings
    Warning,
    /// Any remark
    Note,
    /// Nothing
    Never,
}

/// Arguments of `test`.
#[derive(Args, Debug)]
pub struct Test {
    /// Books of rules, each laid over the one before, with their cases; none means the book that ships
    pub paths: Vec<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// Also write the verdicts as JUnit XML
    #[arg(long, value_name = "FILE")]
    pub junit: Option<PathBuf>,
    /// Say which causes, checks, fixes and dangers no case touches
    #[arg(long)]
    pub coverage: bool,
    /// Fail where fewer causes than this are touched by a case
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    pub cover_at_least: Option<f64>,
    /// Judge only the Kth of N equal shares of the cases, so that N machines can judge them all
    #[arg(long, value_name = "K/N")]
    pub shard: Option<Shard>,
    /// Say nothing beside the verdicts
    #[arg(short, long)]
    pub quiet: bool,
    /// Judge again whenever a file changes
    #[arg(long)]
    pub watch: bool,
}

/// Arguments of `compare`.
#[derive(Args, Debug)]
pub struct Compare {
    /// The old book with its cases: a folder, or `REVISION:FOLDER` of the git repository here
    pub old: String,
    /// The new book
    pub new: String,
    /// Recorded jobs whose plans are compared beside the cases: sheets, and folders of them
    #[arg(long = "job", value_name = "JOBS")]
    pub jobs: Vec<PathBuf>,
    /// How to print it
    #[arg(long, value_enum, default_value_t = CompareFormat::Text)]
    pub format: CompareFormat,
    /// Print one JSON document; short for `--format json`
    #[arg(long, conflicts_with = "format")]
    pub json: bool,
    /// What makes the run fail (exit status 1)
    #[arg(long, value_enum, value_name = "WHAT", default_value_t = FailOnChange::Never)]
    pub fail_on: FailOnChange,
    /// Say nothing beside the comparison
    #[arg(short, long)]
    pub quiet: bool,
}

/// How a comparison is printed.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum CompareFormat {
    /// For people
    Text,
    /// One document
    Json,
    /// For the page of a review: CommonMark with tables
    Markdown,
}

/// What change fails.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum FailOnChange {
    /// Nothing
    Never,
    /// A car that gets another plan
    Plans,
    /// Any change of meaning
    Meaning,
}

/// Arguments of `fmt`.
#[derive(Args, Debug)]
pub struct Fmt {
    /// Rule files and folders of them; `-` lays out standard input and prints it
    #[arg(required = true)]
    pub paths: Vec<PathBuf>,
    /// Change nothing: list the files that are laid out otherwise, show the difference, and exit with 1 if there are any
    #[arg(long)]
    pub check: bool,
    /// Say nothing beside the files
    #[arg(short, long)]
    pub quiet: bool,
    /// What standard input is called in messages
    #[arg(long, value_name = "NAME", default_value = "<standard input>")]
    pub stdin_name: String,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

fn whole(text: &str) -> Result<usize, String> {
    text.trim().parse().map_err(|_| "give a whole number of 0 or more".into())
}

fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim_end_matches('%').trim().parse().ok().filter(|p| (0.0..=100.0).contains(p));
    number.ok_or_else(|| "give a number from 0 to 100".into())
}
