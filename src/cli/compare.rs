//! `compare`: two books, from folders or from revisions of a git repository, and what the change does to known cars.

use super::crew;
use super::failure::Failure;
use super::files::{Loaded, assemble, load, read_text};
use super::intake::{add_logs, sound};
use super::out::Out;
use super::revision::Revision;
use super::rule_args::{Compare, CompareFormat, FailOnChange};
use super::sheet::read_sheet;
use super::tally::sheets;
use super::test::{RATES, case_files, is_case, read};
use crate::book::Book;
use crate::compare::{Car, Effect, changes, effect};
use crate::job::JobSheet;
use crate::report::{self, compare as page};
use crate::walk::Standing;
use std::path::{Path, PathBuf};

/// A book and the cases beside it.
struct Side {
    book: Book,
    /// The cases by their path within the folder.
    cases: Vec<(String, String)>,
}

/// Runs the command; 1 where the change is as great as `--fail-on` says.
pub fn run(arguments: &Compare, out: &mut Out) -> Result<u8, Failure> {
    out.hush(arguments.quiet);
    let (old, new) = (side(&arguments.old, out)?, side(&arguments.new, out)?);
    let mut cars = cases(&old, &new)?;
    for file in sheets(&arguments.jobs)? {
        cars.push(job(&file, &old.book, &new.book, out)?);
    }
    out.tell(&format!("Planning {} cars by both books.", cars.len()))?;
    let effects = crew::each(&cars, |car| effect(&old.book, &new.book, car, RATES), out)?;
    let effects: Vec<Effect> = effects.into_iter().filter(Effect::matters).collect();
    let changed = changes(&old.book, &new.book);
    match if arguments.json { CompareFormat::Json } else { arguments.format } {
        CompareFormat::Json => out.say(&report::json(&page::document(&changed, &effects, cars.len())))?,
        CompareFormat::Text => out.say(&page::text(&changed, &effects, cars.len(), out.look))?,
        CompareFormat::Markdown => out.say(&page::markdown(&changed, &effects, cars.len()))?,
    }
    Ok(u8::from(match arguments.fail_on {
        FailOnChange::Never => false,
        FailOnChange::Plans => !effects.is_empty(),
        FailOnChange::Meaning => !changed.is_empty() || !effects.is_empty(),
    }))
}

/// The book in a folder, or at `REVISION:FOLDER` of the git repository here.
fn side(place: &str, out: &mut Out) -> Result<Side, Failure> {
    let path = PathBuf::from(place);
    let (loaded, cases) = if path.exists() { (load(std::slice::from_ref(&path))?, in_folder(&path)?) } else { in_revision(place)? };
    Ok(Side { book: sound(loaded, out)?, cases })
}

fn in_folder(path: &Path) -> Result<Vec<(String, String)>, Failure> {
    let name = |file: &Path| file.strip_prefix(path).unwrap_or(file).display().to_string();
    case_files(path)?.iter().map(|file| Ok((name(file), read_text(file)?))).collect()
}

fn in_revision(place: &str) -> Result<(Loaded, Vec<(String, String)>), Failure> {
    let revision = Revision::open(place)?;
    let rules = revision.texts(|file| file.extension().is_some_and(|e| e == "rules"))?;
    if rules.is_empty() {
        return Err(Failure::new(format!("`{place}` holds no rules"), "name a folder with `.rules` files in it"));
    }
    let rules = rules.into_iter().map(|(name, text)| (format!("{place}/{name}"), text)).collect();
    Ok((assemble(vec![rules]), revision.texts(is_case)?))
}

/// The cases of both sides; where both have one of the same path, that of the new side counts.
fn cases(old: &Side, new: &Side) -> Result<Vec<Car>, Failure> {
    let lost = old.cases.iter().filter(|(name, _)| !new.cases.iter().any(|(other, _)| other == name));
    let mut all: Vec<(String, String)> = new.cases.iter().chain(lost).cloned().collect();
    all.sort();
    Ok(read(all)?.into_iter().map(|case| Car { name: case.name, before: case.sheet.clone(), after: case.sheet }).collect())
}

/// A recorded job as it stood at its intake: what the walk asked then counts, what was done and found later does not.
fn job(file: &Path, old: &Book, new: &Book, out: &mut Out) -> Result<Car, Failure> {
    let recorded = read_sheet(file, out)?;
    let intake = |book: &Book| -> Result<JobSheet, Failure> {
        let mut sheet = recorded.clone();
        add_logs(book, &mut sheet, file)?;
        Ok(Standing::new(book, &sheet).sheet)
    };
    Ok(Car { name: file.display().to_string(), before: intake(old)?, after: intake(new)? })
}
