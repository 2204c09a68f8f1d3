//! `provide`: what shells, manuals and editors need, made from the program's own definitions.

use super::args::{Arguments, Document, Provide, Provided};
use super::failure::Failure;
use super::files::write;
use super::intake::sound_book;
use super::out::Out;
use super::settings::Settings;
use crate::cases::Expect;
use crate::job::JobSheet;
use crate::report::{self, cases, chapters, compare, layout, lint, plan, readings, tally, version, weigh};
use clap::CommandFactory;
use schemars::schema_for;
use std::path::{Path, PathBuf};

/// Runs the command.
pub fn run(arguments: &Provide, out: &mut Out) -> Result<u8, Failure> {
    match &arguments.what {
        Provided::Completions { shell } => {
            let mut text = Vec::new();
            clap_complete::generate(*shell, &mut Arguments::command(), "faultbook", &mut text);
            out.say(&String::from_utf8_lossy(&text))?;
        }
        Provided::Man { folder } => man(folder, out)?,
        Provided::Book { folder, rules } => book(folder, &rules.rules, out)?,
        Provided::Lints => out.say(&lint::pages::chapter())?,
        Provided::Schema { document } => out.say(&report::json(&schema(*document)))?,
    }
    Ok(0)
}

fn schema(document: Document) -> schemars::Schema {
    match document {
        Document::Job => schema_for!(JobSheet),
        Document::Expect => schema_for!(Expect),
        Document::Settings => schema_for!(Settings),
        Document::Weigh => schema_for!(weigh::WeighDocument),
        Document::Plan => schema_for!(plan::PlanDocument),
        Document::Readings => schema_for!(readings::ReadingsDocument),
        Document::Tally => schema_for!(tally::TallyDocument),
        Document::Test => schema_for!(cases::TestDocument),
        Document::Compare => schema_for!(compare::CompareDocument),
        Document::Lint => schema_for!(lint::json::LintDocument),
        Document::Fmt => schema_for!(layout::LayoutDocument),
        Document::Version => schema_for!(version::VersionDocument),
    }
}

/// A page for the program and one for each command.
fn man(folder: &Path, out: &mut Out) -> Result<(), Failure> {
    let cannot = |e: std::io::Error| Failure::writing(folder, &e);
    std::fs::create_dir_all(folder).map_err(cannot)?;
    clap_mangen::generate_to(Arguments::command(), folder).map_err(cannot)?;
    out.tell(&format!("Man pages written to {}.", folder.display()))
}

/// The pages of a book; folders are made as they are needed.
fn book(folder: &Path, rules: &[PathBuf], out: &mut Out) -> Result<(), Failure> {
    let pages = chapters::pages(&sound_book(rules, out)?);
    for page in &pages {
        let path = folder.join(&page.path);
        let parent = path.parent().unwrap_or(folder);
        std::fs::create_dir_all(parent).map_err(|e| Failure::writing(parent, &e))?;
        write(&path, &page.text)?;
    }
    out.tell(&format!("{} pages of the book written to {}.", pages.len(), folder.display()))
}
