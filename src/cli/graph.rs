//! `graph`: the network of a job for other programs.

use super::args::{GraphArguments, GraphFormat};
use super::failure::Failure;
use super::intake::{Intake, intake};
use super::out::Out;
use super::weigh::contradiction;
use crate::report::graph::{bif, dot};

/// Runs the command.
pub fn run(arguments: &GraphArguments, out: &mut Out) -> Result<u8, Failure> {
    let Intake { book, bay, .. } = intake(&arguments.job(), out)?;
    let write = match arguments.format {
        GraphFormat::Bif => bif,
        GraphFormat::Dot => dot,
    };
    let text = write(&book, &bay.car, arguments.whole).map_err(|found| contradiction(&book, &bay.car, &found))?;
    out.say(&text)?;
    Ok(0)
}
