//! `sheet --strip`: a job sheet without what points to a person or a car.

use super::failure::Failure;
use super::files::{harmless, write};
use super::out::Out;
use super::sheet::read_sheet;
use crate::job::stripped;
use clap::Args;
use std::path::PathBuf;

/// Arguments of `sheet`.
#[derive(Args, Debug)]
pub struct SheetArguments {
    /// The job sheet (TOML); `-` for standard input
    pub job: PathBuf,
    /// Leave out title, notes, the customer's words, paths and hours: what points to a person or a car
    #[arg(long, required = true)]
    pub strip: bool,
    /// Write it to a file instead of standard output
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// Runs the command.
pub fn run(arguments: &SheetArguments, out: &mut Out) -> Result<u8, Failure> {
    let sheet = stripped(read_sheet(&arguments.job, out)?);
    let text = toml::to_string(&sheet)
        .map_err(|e| Failure::new(format!("the sheet can't be written: {e}"), "look at the sheet for something that is no text"))?;
    match &arguments.out {
        Some(path) => {
            write(path, &harmless(&text))?;
            out.tell(&format!("Written to `{}`. Read it once before it leaves the house.", path.display()))?;
        }
        None => out.say(&text)?,
    }
    Ok(0)
}
