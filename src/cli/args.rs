//! The words on the command line.

use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// From a complaint to a proven repair: rules, belief, plan.
#[derive(Parser, Debug)]
#[command(name = "faultbook", version, about, max_term_width = 100)]
pub struct Arguments {
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// What can be done.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Check a book of rules
    Lint(Lint),
}

/// Where the rules come from.
#[derive(Args, Debug, Clone, Default)]
pub struct Rules {
    /// A book of rules instead of the one that ships; again for a workshop's own over it
    #[arg(long = "rules", value_name = "PATH")]
    pub rules: Vec<PathBuf>,
}

/// Arguments of `lint`.
#[derive(Args, Debug)]
pub struct Lint {
    /// Books of rules, each laid over the one before; none means the book that ships
    pub paths: Vec<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}
