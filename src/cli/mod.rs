//! Arguments -> calls. The only room that touches files, environment, clock or terminal.

mod answers;
mod args;
mod compare;
mod crew;
mod editor;
mod examples;
mod explain;
mod failure;
mod files;
mod fix;
mod fmt;
mod graph;
mod intake;
mod journal;
mod limits;
mod lint;
mod names;
mod new;
mod out;
mod plan;
mod provide;
mod readings;
mod report;
mod revision;
mod rule_args;
mod settings;
mod shard;
mod share;
mod sheet;
mod since;
mod tally;
mod test;
mod version;
mod walk;
mod weigh;
mod workspace;

pub use args::Arguments;
pub use failure::Failure;

use args::Command;
use clap::{CommandFactory, Parser};
use clap_complete::CompleteEnv;
use out::Out;
use std::process::ExitCode;

/// Runs the program: 0 done, 1 the input was read and fails, 2 it could not be used.
pub fn main() -> ExitCode {
    // a shell that asks for the words that may stand here gets them, and nothing else
    CompleteEnv::with_factory(Arguments::command).complete();
    let mut out = Out::of_process();
    let words: Vec<_> = std::env::args_os().skip(1).collect();
    let done = if version::asked(&words) {
        version::run(&mut out)
    } else {
        match Arguments::try_parse() {
            Ok(arguments) => {
                out.coloured(arguments.color);
                run(&arguments.command, &mut out)
            }
            Err(error) => return clap_error(&error),
        }
    };
    match done {
        Ok(status) => ExitCode::from(status),
        Err(failure) => {
            // when even standard error is gone there is nobody left to tell
            out.fail(&failure.to_string()).ok();
            ExitCode::from(2)
        }
    }
}

/// Help and version are results; anything else could not be used.
fn clap_error(error: &clap::Error) -> ExitCode {
    error.print().ok();
    if error.use_stderr() { ExitCode::from(2) } else { ExitCode::SUCCESS }
}

fn run(command: &Command, out: &mut Out) -> Result<u8, Failure> {
    match command {
        Command::Weigh(job) => weigh::run(job, out),
        Command::Plan(arguments) => plan::run(arguments, out),
        Command::Walk(arguments) => walk::run(arguments, out),
        Command::Report(arguments) => report::run(arguments, out),
        Command::Sheet(arguments) => share::run(arguments, out),
        Command::Tally(arguments) => tally::run(arguments, out),
        Command::Test(arguments) => test::run(arguments, out),
        Command::Compare(arguments) => compare::run(arguments, out),
        Command::Provide(arguments) => provide::run(arguments, out),
        Command::Graph(arguments) => graph::run(arguments, out),
        Command::Readings(arguments) => readings::run(arguments, out),
        Command::Lint(arguments) => lint::run(arguments, out),
        Command::Explain(arguments) => explain::run(arguments, out),
        Command::New(arguments) => new::run(arguments, out),
        Command::Editor => editor::run(out),
        Command::Fmt(arguments) => fmt::run(arguments, out),
    }
}
