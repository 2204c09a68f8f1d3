//! Sheet and flags -> a car: what every command that looks at a job does first.

use super::args::{EvidenceFlags, Job};
use super::failure::Failure;
use super::files::{Loaded, load};
use super::out::Out;
use super::readings::add_drives;
use super::settings::Settings;
use super::sheet::read_sheet;
use crate::bay::{Bay, Rates};
use crate::book::Book;
use crate::job::{CodeEntry, Evidence, InputError, JobSheet, ReadingEntry, evidence};
use crate::report::{Look, remarks};
use crate::walk::Standing;
use std::path::{Path, PathBuf};

/// A job, read and understood.
pub struct Intake {
    /// The book it is read against.
    pub book: Book,
    /// The workshop's settings.
    pub settings: Settings,
    /// The sheet with the flags in it, its journal as it stands in the file.
    pub sheet: JobSheet,
    /// What is known.
    pub evidence: Evidence,
    /// The car in the bay.
    pub bay: Bay,
}

impl Intake {
    /// What the workshop's time costs.
    pub fn rates(&self) -> Rates {
        rates(&self.settings)
    }
}

fn rates(settings: &Settings) -> Rates {
    Rates { per_hour: settings.rate, refer: settings.refer_cost }
}

/// Reads sheet, flags, settings and book.
pub fn intake(job: &Job, out: &mut Out) -> Result<Intake, Failure> {
    let start = job.job.clone().filter(|p| p.as_os_str() != "-").unwrap_or_else(|| PathBuf::from("."));
    let settings = Settings::find(&start, &job.money)?;
    let rules = if job.rules.rules.is_empty() { &settings.rules } else { &job.rules.rules };
    let book = sound_book(rules, out)?;
    let mut sheet = job.job.as_deref().map_or_else(|| Ok(JobSheet::default()), |path| read_sheet(path, out))?;
    add_flags(&mut sheet, &job.evidence)?;
    add_logs(&book, &mut sheet, &start)?;
    let standing = Standing::new(&book, &sheet);
    let (answered, progress) = (standing.sheet, standing.progress);
    let evidence = evidence(&book, &answered).map_err(|errors| mistakes(job.job.as_deref(), &errors))?;
    let bay = Bay::new(&book, &evidence, &progress, rates(&settings))
        .map_err(|e| Failure::new(format!("the rules make no sound network: {e}"), "run `faultbook lint`"))?;
    Ok(Intake { book, settings, sheet, evidence, bay })
}

/// Puts the readings of the logged drives that the sheet names into it; `path` is the sheet's own.
pub fn add_logs(book: &Book, sheet: &mut JobSheet, path: &Path) -> Result<(), Failure> {
    if sheet.logs.is_empty() {
        return Ok(());
    }
    // what the walk has asked of the vehicle since counts too
    let vehicle = Standing::new(book, sheet).sheet.vehicle;
    add_drives(book, sheet, &vehicle, path.parent().unwrap_or(Path::new(".")))
}

/// The book at these paths, or the remarks on it and a failure.
pub fn sound_book(rules: &[PathBuf], out: &mut Out) -> Result<Book, Failure> {
    sound(load(rules)?, out)
}

/// The book that was read, or the remarks on it and a failure.
pub fn sound(loaded: Loaded, out: &mut Out) -> Result<Book, Failure> {
    match loaded.book {
        Some(book) => Ok(book),
        None => {
            let plain = Look { colour: false, ..out.look };
            out.tell(remarks::text(&loaded.remarks, &loaded.sources, plain).trim_end())?;
            Err(Failure::new(
                format!("the rules can't be used: {}", remarks::counts(&loaded.remarks)),
                "correct the lines above; `faultbook lint` shows them again",
            ))
        }
    }
}

/// Mistakes in a sheet or in flags, as one failure.
pub fn mistakes(path: Option<&Path>, errors: &[InputError]) -> Failure {
    let place = path.map_or(String::new(), |p| format!("{}: ", p.display()));
    let mut message = format!("{place}{} can't be used", if errors.len() == 1 { "one thing" } else { "some things" });
    for error in errors {
        let place = if path.is_some() { error.place.clone() } else { as_flag(&error.place) };
        message.push_str(&format!("\n  {place}: {}\n    {}", error.message, error.help));
    }
    Failure::new(message, "correct the places named and try again")
}

/// A place of the sheet as the flag that fills it.
fn as_flag(place: &str) -> String {
    let flags = [
        ("[complaint] yes", "--symptom"),
        ("[complaint] no", "--no-symptom"),
        ("[complaint] repaired-before", "--repaired-before"),
        ("[scan] codes", "--code"),
        ("[readings]", "--reading"),
        ("[signs]", "--sign"),
        ("[vehicle] fitted", "--trait"),
        ("[vehicle] not-fitted", "--no-trait"),
    ];
    let found = flags.iter().find_map(|(table, flag)| place.strip_prefix(table).map(|rest| format!("{flag}{rest}")));
    found.unwrap_or_else(|| place.to_string())
}

/// Puts the flags into the sheet; a reading or sign given by flag replaces that of the sheet.
fn add_flags(sheet: &mut JobSheet, flags: &EvidenceFlags) -> Result<(), Failure> {
    if let Some(words) = &flags.complaint {
        sheet.complaint.words = format!("{} {words}", sheet.complaint.words).trim().to_string();
    }
    let clean = |list: &[String]| list.iter().map(|s| super::files::harmless(s)).collect::<Vec<_>>();
    sheet.complaint.yes.extend(clean(&flags.symptoms));
    sheet.complaint.no.extend(clean(&flags.no_symptoms));
    sheet.complaint.repaired_before.extend(clean(&flags.repaired_before));
    sheet.vehicle.fitted.extend(clean(&flags.traits));
    sheet.vehicle.not_fitted.extend(clean(&flags.no_traits));
    sheet.scan.complete |= flags.scan_complete;
    sheet.scan.codes.extend(clean(&flags.codes).into_iter().map(CodeEntry::Plain));
    for text in &flags.readings {
        let (name, value) = pair(text, "--reading", "boost-2500=52 kPa")?;
        sheet.readings.insert(name, ReadingEntry::Text(value));
    }
    for text in &flags.signs {
        let (name, value) = pair(text, "--sign", "charge-hose=oily")?;
        sheet.signs.insert(name, value);
    }
    Ok(())
}

fn pair(text: &str, flag: &str, example: &str) -> Result<(String, String), Failure> {
    let text = super::files::harmless(text);
    match text.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => Ok((name.trim().into(), value.trim().into())),
        _ => Err(Failure::new(format!("{flag} `{text}` has no name and value"), format!("write {flag} \"{example}\""))),
    }
}
