//! `--version --json`: for scripts that must know which program and which book they talk to. `--version` alone is one line, as everywhere.

use super::failure::Failure;
use super::out::Out;
use crate::book::shipped;
use crate::report::{json, version};
use std::ffi::OsString;

/// Whether just this is asked; `words` are those after the program's name.
pub fn asked(words: &[OsString]) -> bool {
    let version = |w: &OsString| w == "--version" || w == "-V";
    matches!(words, [a, b] if (version(a) && b == "--json") || (a == "--json" && version(b)))
}

/// Prints it.
pub fn run(out: &mut Out) -> Result<u8, Failure> {
    let broken = || {
        Failure::new(
            "the book inside the program can't be read",
            "this program was built from rules that are not sound: run `faultbook lint`",
        )
    };
    let book = shipped::book().ok_or_else(broken)?;
    out.say(&json(&version::document(&book)))?;
    Ok(0)
}
