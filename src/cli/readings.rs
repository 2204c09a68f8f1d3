//! `readings`: logged drives -> readings; also the drives that a job sheet names.

use super::args::ReadingsArguments;
use super::failure::Failure;
use super::files::{harmless, write};
use super::intake::{mistakes, sound_book};
use super::limits::LOG;
use super::out::Out;
use crate::book::{Book, Headed};
use crate::disk;
use crate::job::log::{self, Drive, Traced, Verdict, judge};
use crate::job::{JobSheet, ReadingEntry, known_traits, settle};
use crate::report::chart::{self, Chart};
use crate::report::{self, readings};
use crate::syntax::nearest;
use indexmap::IndexMap;
use std::io::{BufReader, stdin};
use std::path::Path;

/// Runs the command.
pub fn run(arguments: &ReadingsArguments, out: &mut Out) -> Result<u8, Failure> {
    let book = sound_book(&arguments.rules.rules, out)?;
    let traits = settle(&book, &arguments.traits, &arguments.no_traits).map_err(|errors| mistakes(None, &errors))?;
    let traced = arguments.chart.as_deref().map(|name| traced(&book, name)).transpose()?;
    let names: Vec<String> = arguments.logs.iter().map(|p| harmless(&p.display().to_string())).collect();
    let drives: Vec<Drive> = arguments.logs.iter().map(|p| read(&book, p, traced)).collect::<Result<_, _>>()?;
    let pages: Vec<_> = names.iter().zip(&drives).map(|(name, drive)| readings::LogPage::new(&book, name, drive, &traits)).collect();
    if let Some(path) = &arguments.svg {
        write_svg(&book, &drives, traced, path)?;
    }
    // headings are whatever stood in the log: none of them may drive a terminal
    if arguments.json {
        out.say(&harmless(&report::json(&readings::document(&book, &pages))))?;
    } else if let Some(traced) = traced {
        for (name, drive) in names.iter().zip(&drives) {
            let chart = Chart::new(&book, drive, traced).ok_or_else(|| nothing_to_draw(name))?;
            out.say(&harmless(&chart::text(&chart, out.look)))?;
        }
    } else {
        let pages: Vec<String> = pages.iter().map(|p| readings::text(&book, p, out.look)).collect();
        out.say(&harmless(&pages.join("\n")))?;
    }
    Ok(0)
}

/// The drive in a file, or on standard input for `-`.
fn read(book: &Book, path: &Path, traced: Option<Traced>) -> Result<Drive, Failure> {
    let name = path.display();
    let drive = if path.as_os_str() == "-" {
        log::read(book, stdin().lock(), traced)
    } else {
        let file = disk::open(path, LOG).map_err(|e| Failure::unread(path, &e))?;
        log::read(book, BufReader::with_capacity(1 << 16, file), traced)
    };
    drive.map_err(|e| Failure::new(format!("{name}: {}: {}", e.place, e.message), e.help))
}

/// The reading or channel of that name.
fn traced(book: &Book, name: &str) -> Result<Traced, Failure> {
    let name = harmless(name);
    let reading = book.findings.find(&name).map(Traced::Reading).filter(|t| t.formula(book).is_some());
    let channel = book.channels.find(&name).map(Traced::Channel);
    reading.or(channel).ok_or_else(|| {
        let windowed = book.findings.iter().filter(|(_, f)| f.gauge().is_some_and(|g| g.window.is_some())).map(|(_, f)| f.name());
        let near = nearest(&name, windowed.chain(book.channels.names())).map(|n| format!("did you mean `{n}`?"));
        let help = near.unwrap_or_else(|| "name a channel (`faultbook explain channels`) or a reading with a `from`".into());
        Failure::new(format!("`{name}` is no channel, and no reading that a log gives"), help)
    })
}

fn nothing_to_draw(name: &str) -> Failure {
    Failure::new(
        format!("`{name}` has no samples of what is to be drawn"),
        "run `readings` without `--chart` to see which columns are there",
    )
}

fn write_svg(book: &Book, drives: &[Drive], traced: Option<Traced>, path: &Path) -> Result<(), Failure> {
    let ([drive], Some(traced)) = (drives, traced) else {
        return Err(Failure::new("`--svg` draws one curve of one log", "give one log, and `--chart NAME`"));
    };
    let chart = Chart::new(book, drive, traced).ok_or_else(|| nothing_to_draw("the log"))?;
    write(path, &harmless(&chart::svg(&chart)))
}

/// Puts the readings of the drives a sheet names into it, where it does not give them by hand; a later drive replaces an earlier one.
/// `folder` is where the sheet lies.
pub fn add_drives(book: &Book, sheet: &mut JobSheet, vehicle: &crate::job::Vehicle, folder: &Path) -> Result<(), Failure> {
    // mistakes in the vehicle are told where the sheet is read
    let Ok(traits) = known_traits(book, vehicle, "") else { return Ok(()) };
    let mut found: IndexMap<String, ReadingEntry> = IndexMap::new();
    for path in &sheet.logs {
        let drive = read(book, &folder.join(path), None).map_err(|e| {
            Failure::new(format!("`logs` of the sheet: {}", e.message), format!("{}; the path goes out from the sheet's folder", e.help))
        })?;
        for judged in judge(book, &drive, &traits) {
            if let Verdict::Stands(taken, _) = judged.verdict {
                found.insert(book.findings[judged.finding].name().into(), ReadingEntry::Number(taken.value));
            }
        }
    }
    for (name, entry) in found {
        sheet.readings.entry(name).or_insert(entry);
    }
    Ok(())
}
