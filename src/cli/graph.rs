//! `graph`: the network of a job for other programs.

use super::args::{GraphArguments, GraphFormat};
use super::failure::Failure;
use super::intake::intake;
use super::out::Out;
use super::weigh::misfit;
use crate::bay::Misfit;
use crate::report::graph::{bif, dot, numbers};

/// Numbers in the tables of a network that is written: some 40 MB of text.
const MOST: usize = 2_000_000;

/// Runs the command.
pub fn run(arguments: &GraphArguments, out: &mut Out) -> Result<u8, Failure> {
    let intake = intake(&arguments.job(), out)?;
    let (book, bay) = (&intake.book, intake.bay()?);
    let write = match arguments.format {
        GraphFormat::Bif => bif,
        GraphFormat::Dot => dot,
    };
    let numbers = numbers(&bay.car, arguments.whole);
    if numbers > MOST {
        return Err(Failure::new(
            format!("the network takes {numbers} numbers to write down, and {MOST} are the most"),
            "leave `--whole` out, or give the findings with most states fewer of them, or fewer causes",
        ));
    }
    let text = write(book, &bay.car, arguments.whole).map_err(|found| misfit(book, &Misfit::of(&bay, &found)))?;
    out.say(&text)?;
    Ok(0)
}
