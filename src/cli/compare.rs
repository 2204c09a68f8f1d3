//! `compare`: two books, from folders or from revisions of a git repository.

use super::args::Compare;
use super::failure::Failure;
use super::files::{Loaded, assemble, load, with_shipped};
use super::intake::read_sheet;
use super::out::Out;
use super::test::{BUDGET, RATES, cases_in};
use crate::book::Book;
use crate::compare::{changes, effects};
use crate::job::JobSheet;
use crate::report::{self, compare as page, remarks};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Runs the command.
pub fn run(arguments: &Compare, out: &mut Out) -> Result<u8, Failure> {
    let (old, new) = (book(&arguments.old)?, book(&arguments.new)?);
    let cars = cars(arguments)?;
    let changed = changes(&old, &new);
    let effects = effects(&old, &new, &cars, RATES, &BUDGET);
    if arguments.json {
        out.say(&report::json(&page::document(&changed, &effects)))?;
    } else {
        out.say(&page::text(&changed, &effects, cars.len(), out.look))?;
    }
    Ok(0)
}

/// The book in a folder, or at `REVISION:FOLDER` of the git repository here.
fn book(place: &str) -> Result<Book, Failure> {
    let path = Path::new(place);
    let loaded = if path.exists() { load(&[path.to_path_buf()])? } else { from_git(place)? };
    let counts = remarks::counts(&loaded.remarks);
    loaded.book.ok_or_else(|| Failure::new(format!("the rules at `{place}` can't be used: {counts}"), "`faultbook lint` shows why"))
}

fn from_git(place: &str) -> Result<Loaded, Failure> {
    let unknown = || {
        Failure::new(
            format!("`{place}` is neither a folder nor a git revision with one"),
            "name a folder, or `REVISION:FOLDER` such as `HEAD~1:rules`",
        )
    };
    let (revision, folder) = place.split_once(':').ok_or_else(unknown)?;
    let names = git(&["ls-tree", "-r", "--name-only", revision, "--", folder]).ok_or_else(unknown)?;
    let files: Vec<&str> = names.lines().filter(|n| n.ends_with(".rules")).collect();
    if files.is_empty() {
        return Err(unknown());
    }
    let text = |name: &str| {
        git(&["show", &format!("{revision}:{name}")])
            .map(|text| (format!("{revision}:{name}"), super::files::harmless(&text)))
            .ok_or_else(unknown)
    };
    let layer = files.into_iter().map(text).collect::<Result<Vec<_>, _>>()?;
    Ok(assemble(with_shipped(vec![layer])))
}

/// What git prints; none where it fails. Arguments are handed over as they are, never through a shell.
fn git(arguments: &[&str]) -> Option<String> {
    let done = Command::new("git").args(arguments).output().ok()?;
    done.status.success().then(|| String::from_utf8_lossy(&done.stdout).into_owned())
}

/// The cases beside the new book and the jobs named, as sheets.
fn cars(arguments: &Compare) -> Result<Vec<(String, JobSheet)>, Failure> {
    let folder = Path::new(&arguments.new);
    let mut paths: Vec<PathBuf> = if folder.exists() { vec![folder.to_path_buf()] } else { vec![] };
    if !folder.exists() && Path::new(&arguments.old).exists() {
        paths.push(PathBuf::from(&arguments.old));
    }
    let mut cars: Vec<(String, JobSheet)> = cases_in(&paths)?.into_iter().map(|c| (c.name, c.sheet)).collect();
    for job in &arguments.jobs {
        cars.push((job.display().to_string(), read_sheet(job)?));
    }
    Ok(cars)
}
