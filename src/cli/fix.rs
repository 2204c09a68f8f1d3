//! `lint --fix`: what needs no judgement is put right in the files, until nothing of the kind is left.

use super::failure::Failure;
use super::files::{self, Loaded, load};
use super::lint::remarks_of;
use super::out::Out;
use super::rule_args::Lint;
use crate::lint::{Levels, apply};
use crate::syntax::{FileId, Severity};
use std::collections::BTreeMap;
use std::path::Path;

/// One edit may uncover another; no book needs more rounds than this.
const ROUNDS: usize = 10;

/// Puts right what can be, and says how much was.
pub fn run(arguments: &Lint, levels: &Levels, out: &mut Out) -> Result<(), Failure> {
    if arguments.paths.is_empty() {
        return Err(Failure::new("the book that ships can't be changed", "name the folder of rules to put right"));
    }
    let mut done: BTreeMap<String, usize> = BTreeMap::new();
    for _ in 0..ROUNDS {
        let loaded = load(&arguments.paths)?;
        if !round(&loaded, levels, &mut done)? {
            break;
        }
    }
    for (file, count) in &done {
        out.tell(&format!("{file}: {count} put right"))?;
    }
    Ok(())
}

/// Puts each file right once; whether anything was changed.
fn round(loaded: &Loaded, levels: &Levels, done: &mut BTreeMap<String, usize>) -> Result<bool, Failure> {
    let found = remarks_of(loaded, levels);
    let mut changed = false;
    for file in loaded.layers().iter().skip(loaded.borrowed).flatten().map(|d| d.file) {
        let source = loaded.sources.get(file);
        let edited = apply(file, &source.text, &found);
        if edited.remarks == 0 || errors(file, &edited.text) > errors(file, &source.text) {
            continue;
        }
        files::exchange(Path::new(&source.name), source.text.as_bytes(), &edited.text)?;
        *done.entry(source.name.clone()).or_default() += edited.remarks;
        changed = true;
    }
    Ok(changed)
}

/// How many lines of a text can't be read.
fn errors(file: FileId, text: &str) -> usize {
    crate::syntax::parse(file, text).1.iter().filter(|r| r.severity == Severity::Error).count()
}
