//! Sheet and flags -> a car: what every command that looks at a job does first.

use super::args::{EvidenceFlags, Job};
use super::failure::Failure;
use super::files::{Loaded, load};
use super::limits::WORDS;
use super::out::Out;
use super::readings::add_drives;
use super::settings::Settings;
use super::sheet::read_sheet;
use super::weigh::misfit;
use crate::bay::{Assessment, Bay, Effort};
use crate::book::Book;
use crate::job::{CodeEntry, Evidence, InputError, JobSheet, ReadingEntry, evidence};
use crate::report::{Look, remarks};
use crate::walk::{Session, Standing, Trouble};
use std::path::{Path, PathBuf};

/// A job, read.
pub struct Intake {
    /// The book it is read against.
    pub book: Book,
    /// The workshop's settings.
    pub settings: Settings,
    /// The sheet with the flags in it, its journal as it stands in the file.
    pub sheet: JobSheet,
    /// Where the sheet lies; none for flags alone.
    path: Option<PathBuf>,
}

impl Intake {
    /// The job where it stands.
    pub fn session(&self, effort: Effort) -> Session<'_> {
        Session::new(&self.book, self.sheet.clone(), self.settings.rates(), effort)
    }

    /// What is believed and planned there, or what is wrong with the sheet.
    pub fn assessment<'s, 'b>(&self, session: &'s Session<'b>) -> Result<&'s Assessment<'b>, Failure> {
        session.assessment().map_err(|trouble| match trouble {
            Trouble::Sheet(errors) => mistakes(self.path.as_deref(), errors),
            Trouble::Misfit(why) => misfit(&self.book, why),
        })
    }

    /// The car in the bay where the job stands, nothing weighed yet.
    pub fn bay(&self) -> Result<Bay, Failure> {
        let standing = Standing::new(&self.book, &self.sheet);
        let bay = Bay::new(&self.book, &self.evidence(&standing)?, &standing.progress, self.settings.rates());
        bay.map_err(|e| misfit(&self.book, &e.into()))
    }

    /// What is known where the job stands.
    pub fn now(&self) -> Result<Evidence, Failure> {
        let standing = Standing::new(&self.book, &self.sheet);
        Ok(standing.progress.now(&self.evidence(&standing)?))
    }

    fn evidence(&self, standing: &Standing) -> Result<Evidence, Failure> {
        evidence(&self.book, &standing.sheet).map_err(|errors| mistakes(self.path.as_deref(), &errors))
    }
}

/// Reads sheet, flags, settings and book.
pub fn intake(job: &Job, out: &mut Out) -> Result<Intake, Failure> {
    let start = job.job.clone().filter(|p| p.as_os_str() != "-").unwrap_or_else(|| PathBuf::from("."));
    let settings = Settings::find(&start, &job.money)?;
    let rules = settings.rules_or(&job.rules.rules);
    let book = sound_book(rules, out)?;
    let mut sheet = job.job.as_deref().map_or_else(|| Ok(JobSheet::default()), |path| read_sheet(path, out))?;
    add_flags(&mut sheet, &job.evidence)?;
    add_logs(&book, &mut sheet, &start)?;
    Ok(Intake { book, settings, sheet, path: job.job.clone() })
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
            out.tell(remarks::first(&loaded.remarks, &loaded.sources, plain).trim_end())?;
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
        let length = sheet.complaint.words.chars().count();
        if length > WORDS {
            let message = format!("--complaint: {length} characters with those of the sheet, and {WORDS} are the most");
            return Err(Failure::new(message, "keep what is the matter with the car"));
        }
    }
    if let Some(words) = &flags.car {
        sheet.vehicle.words = super::files::harmless(format!("{} {words}", sheet.vehicle.words).trim());
    }
    let clean = |list: &[String]| list.iter().map(|s| super::files::harmless(s)).collect::<Vec<_>>();
    sheet.complaint.yes.extend(clean(&flags.symptoms));
    sheet.complaint.no.extend(clean(&flags.no_symptoms));
    sheet.complaint.repaired_before.extend(clean(&flags.repaired_before));
    sheet.vehicle.fitted.extend(clean(&flags.traits));
    sheet.vehicle.not_fitted.extend(clean(&flags.no_traits));
    sheet.scan.complete |= flags.scan_complete;
    sheet.complaint.asleep |= flags.asleep;
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
