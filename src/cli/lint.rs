//! `lint`: a book of rules -> remarks.

use super::args::Lint;
use super::failure::Failure;
use super::files::load;
use super::out::Out;
use crate::report::remarks;

/// Runs the command; 1 where a remark is an error.
pub fn run(arguments: &Lint, out: &mut Out) -> Result<u8, Failure> {
    let loaded = load(&arguments.paths)?;
    out.say_styled(&remarks::text(&loaded.remarks, &loaded.sources, out.look))?;
    out.tell(&remarks::counts(&loaded.remarks))?;
    Ok(u8::from(loaded.broken()))
}
