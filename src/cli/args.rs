//! The words on the command line.

use super::examples;
use super::names;
use super::out::Colour;
use super::rule_args::{Compare, Fmt, Lint, Test};
use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::engine::ArgValueCandidates;
use std::path::PathBuf;

/// From a complaint to a proven repair: rules, belief, plan.
#[derive(Parser, Debug)]
#[command(name = "faultbook", version, disable_version_flag = true, about, max_term_width = 100, after_help = examples::PROGRAM)]
pub struct Arguments {
    /// Print the version; with `--json` also the name, version and digest of the book in it
    #[arg(short = 'V', long, action = clap::ArgAction::Version)]
    pub version: Option<bool>,
    /// Whether pages are coloured
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value_t = Colour::Auto)]
    pub color: Colour,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// What can be done.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Walk a job from intake to a proven repair, one question at a time; the answers are kept in the sheet
    #[command(after_help = examples::WALK)]
    Walk(Box<WalkArguments>),
    /// Plan the checks and repairs of a job for the least expected cost
    #[command(after_help = examples::PLAN)]
    Plan(Box<PlanArguments>),
    /// Explain a code, a name of the book or a remark, or list a kind (`symptoms`, `causes`, `lints`, …)
    #[command(after_help = examples::EXPLAIN)]
    Explain(Explain),
    /// Weigh the evidence of a job: how likely is each cause
    #[command(after_help = examples::WEIGH)]
    Weigh(Box<Job>),
    /// Turn logged drives into readings
    #[command(after_help = examples::READINGS)]
    Readings(ReadingsArguments),
    /// Report on a job: for the customer, for the file, or the plan as a page for the road
    #[command(after_help = examples::REPORT)]
    Report(Box<ReportArguments>),
    /// Make a job sheet fit to be shown to others
    #[command(after_help = examples::SHEET)]
    Sheet(super::share::SheetArguments),
    /// Count closed jobs, and propose what your own rules should say
    #[command(after_help = examples::TALLY)]
    Tally(TallyArguments),
    /// Check a book of rules
    #[command(after_help = examples::LINT)]
    Lint(Lint),
    /// Lay rule files out in the one canonical way
    #[command(after_help = examples::FMT)]
    Fmt(Fmt),
    /// Serve an editor that speaks the Language Server Protocol, on standard input and output
    #[command(after_help = examples::EDITOR)]
    Editor,
    /// Begin rules of your own, or make a case of a job sheet
    #[command(after_help = examples::NEW)]
    New(super::new::New),
    /// Judge the cases beside the rules
    #[command(after_help = examples::TEST)]
    Test(Test),
    /// Say what changed between two books, and what that does to plans
    #[command(after_help = examples::COMPARE)]
    Compare(Compare),
    /// Write the network of a job for other programs: to compute with (BIF) or to draw (DOT)
    #[command(after_help = examples::GRAPH)]
    Graph(Box<GraphArguments>),
    /// Write what other programs need: shell completions, man pages, JSON Schemas
    #[command(after_help = examples::PROVIDE)]
    Provide(super::provide::Provide),
}

/// Where the rules come from.
#[derive(Args, Debug, Clone, Default)]
pub struct Rules {
    /// A book of rules instead of the one that ships; again for a workshop's own over it
    #[arg(long = "rules", value_name = "PATH")]
    pub rules: Vec<PathBuf>,
}

/// One car: a job sheet, flags, or both.
#[derive(Args, Debug, Clone, Default)]
pub struct Job {
    /// The job sheet (TOML); `-` for standard input
    pub job: Option<PathBuf>,
    #[command(flatten)]
    pub evidence: EvidenceFlags,
    #[command(flatten)]
    pub rules: Rules,
    #[command(flatten)]
    pub money: Money,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `plan`.
#[derive(Args, Debug, Clone, Default)]
pub struct PlanArguments {
    #[command(flatten)]
    pub job: Job,
    /// Fold nothing: every step and every branch
    #[arg(long)]
    pub whole: bool,
    /// With --json: the plan as a list of numbered steps, however deep it is
    #[arg(long, requires = "json")]
    pub flat: bool,
}

/// Arguments of `graph`.
#[derive(Args, Debug, Clone, Default)]
pub struct GraphArguments {
    /// The job sheet (TOML); `-` for standard input
    pub job: Option<PathBuf>,
    #[command(flatten)]
    pub evidence: EvidenceFlags,
    #[command(flatten)]
    pub rules: Rules,
    /// How it is written
    #[arg(long, value_enum, default_value_t = GraphFormat::Bif)]
    pub format: GraphFormat,
    /// All causes and findings of the vehicle, not only what the evidence hangs on
    #[arg(long)]
    pub whole: bool,
}

impl GraphArguments {
    /// The car it is about.
    pub fn job(&self) -> Job {
        Job { job: self.job.clone(), evidence: self.evidence.clone(), rules: self.rules.clone(), ..Job::default() }
    }
}

/// How a network is written.
#[derive(ValueEnum, Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum GraphFormat {
    /// Interchange Format for Bayesian Networks 0.15
    #[default]
    Bif,
    /// Language of Graphviz
    Dot,
}

/// Arguments of `walk`.
#[derive(Args, Debug, Clone)]
pub struct WalkArguments {
    /// The job sheet (TOML); every answer is appended to it
    pub job: PathBuf,
    /// Take the answers from a file, one a line, instead of asking
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    #[command(flatten)]
    pub rules: Rules,
    #[command(flatten)]
    pub money: Money,
    /// Where the walk stops, print the open question or the end as one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `report`.
#[derive(Args, Debug, Clone)]
pub struct ReportArguments {
    #[command(flatten)]
    pub job: Job,
    /// Who reads it
    #[arg(long = "for", value_name = "READER", value_enum, default_value_t = Reader::Customer)]
    pub reader: Reader,
    /// How it is written; `--json` is the same as `--format json`
    #[arg(long, value_enum, default_value_t = Format::Html)]
    pub format: Format,
    /// Write it to a file instead of standard output
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// Who reads a report.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// Who owns the car: what was wrong, how it was proven, what to watch
    Customer,
    /// Who must know in a year: all evidence, the journal, the book, the costs
    File,
    /// Who lies under the car: the plan, one step after the other
    Road,
}

/// How a report is written.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// One file, no script, nothing from the network
    Html,
    /// CommonMark with tables
    Markdown,
    /// For scripts
    Json,
}

/// Evidence on the command line; it is added to that of the sheet.
#[derive(Args, Debug, Clone, Default)]
pub struct EvidenceFlags {
    /// The customer's own words
    #[arg(long, value_name = "WORDS")]
    pub complaint: Option<String>,
    /// A trouble code that is stored: `P0299`
    #[arg(long = "code", value_name = "CODE", add = ArgValueCandidates::new(names::codes_of_the_book))]
    pub codes: Vec<String>,
    /// Every module was read and nothing was cleared: codes not named are absent
    #[arg(long)]
    pub scan_complete: bool,
    /// The fault comes and goes and was not there while the car was looked at: what was normal then says nothing
    #[arg(long)]
    pub asleep: bool,
    /// A symptom that is there: `low-power`
    #[arg(long = "symptom", value_name = "NAME", add = ArgValueCandidates::new(names::symptoms))]
    pub symptoms: Vec<String>,
    /// A symptom that is not there
    #[arg(long = "no-symptom", value_name = "NAME", add = ArgValueCandidates::new(names::symptoms))]
    pub no_symptoms: Vec<String>,
    /// A fix that was done before the car came
    #[arg(long = "repaired-before", value_name = "FIX", add = ArgValueCandidates::new(names::fixes))]
    pub repaired_before: Vec<String>,
    /// A reading with its unit: `boost-2500=52 kPa`
    #[arg(long = "reading", value_name = "NAME=VALUE", add = ArgValueCandidates::new(names::readings))]
    pub readings: Vec<String>,
    /// What an inspection showed: `charge-hose=oily`
    #[arg(long = "sign", value_name = "NAME=STATE", add = ArgValueCandidates::new(names::signs))]
    pub signs: Vec<String>,
    /// What car it is, in free words: "2.2 diesel van 2016, automatic, filter"
    #[arg(long, value_name = "WORDS")]
    pub car: Option<String>,
    /// A trait the vehicle has: `diesel`
    #[arg(long = "trait", value_name = "NAME", add = ArgValueCandidates::new(names::traits))]
    pub traits: Vec<String>,
    /// A trait the vehicle has not
    #[arg(long = "no-trait", value_name = "NAME", add = ArgValueCandidates::new(names::traits))]
    pub no_traits: Vec<String>,
}

/// What time and a specialist cost.
#[derive(Args, Debug, Clone, Default)]
pub struct Money {
    /// Money for an hour of work
    #[arg(long, value_name = "MONEY-PER-HOUR", value_parser = amount, allow_negative_numbers = true)]
    pub rate: Option<f64>,
    /// Money it costs to hand the car to a specialist, his repairs not counted
    #[arg(long, value_name = "MONEY", value_parser = amount, allow_negative_numbers = true)]
    pub refer_cost: Option<f64>,
    /// How many times its price a repair that cures nothing counts (default 2)
    #[arg(long, value_name = "FACTOR", value_parser = factor, allow_negative_numbers = true)]
    pub vain_factor: Option<f64>,
}

/// Arguments of `readings`.
#[derive(Args, Debug)]
pub struct ReadingsArguments {
    /// Logged drives (CSV of any layout); `-` for standard input
    #[arg(required = true, value_name = "LOG")]
    pub logs: Vec<PathBuf>,
    #[command(flatten)]
    pub rules: Rules,
    /// A trait the vehicle has; a reading is judged where it is known to apply
    #[arg(long = "trait", value_name = "NAME", add = ArgValueCandidates::new(names::traits))]
    pub traits: Vec<String>,
    /// A trait the vehicle has not
    #[arg(long = "no-trait", value_name = "NAME", add = ArgValueCandidates::new(names::traits))]
    pub no_traits: Vec<String>,
    /// Draw this reading or channel over time instead
    #[arg(long, value_name = "NAME")]
    pub chart: Option<String>,
    /// Also write the drawing as SVG
    #[arg(long, value_name = "FILE", requires = "chart")]
    pub svg: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `tally`.
#[derive(Args, Debug)]
pub struct TallyArguments {
    /// Closed job sheets, and folders of them
    #[arg(required = true, value_name = "JOBS")]
    pub jobs: Vec<PathBuf>,
    #[command(flatten)]
    pub rules: Rules,
    /// For how many jobs a prior of the book stands (200 if not given)
    #[arg(long, value_name = "JOBS", value_parser = jobs, allow_negative_numbers = true)]
    pub prior_weight: Option<f64>,
    /// For how many jobs a strength of the book stands (10 if not given)
    #[arg(long, value_name = "JOBS", value_parser = jobs, allow_negative_numbers = true)]
    pub strength_weight: Option<f64>,
    /// Put the proposals into this rule file; nothing else in it is touched
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `explain`.
#[derive(Args, Debug)]
pub struct Explain {
    /// A name of the book, a trouble code, the code or name of a remark on rules, or a kind in the plural
    #[arg(add = ArgValueCandidates::new(names::explained))]
    pub name: String,
    #[command(flatten)]
    pub rules: Rules,
    /// Fold nothing: every row of long lists
    #[arg(long)]
    pub whole: bool,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

fn amount(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| "give an amount of money of 0 or more, such as 60".into())
}

fn factor(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| "give how many times it counts: 1 or more, such as 2".into())
}

fn jobs(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| "give a number of jobs, such as 50".into())
}
