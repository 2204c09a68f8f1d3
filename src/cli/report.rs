//! `report`: a job as a page for one reader.

use super::args::{Format, Reader, ReportArguments};
use super::failure::Failure;
use super::files::{harmless, write};
use super::intake::{Intake, intake};
use super::out::Out;
use super::plan::planned;
use crate::bay::Effort;
use crate::report;
use crate::report::job::{Case, Page, customer, file, html, markdown, road};
use crate::walk::Outcome;
use serde::Serialize;
use std::path::Path;

/// Runs the command.
pub fn run(arguments: &ReportArguments, out: &mut Out) -> Result<u8, Failure> {
    let intake = intake(&arguments.job, out)?;
    let format = if arguments.job.json { Format::Json } else { arguments.format };
    let text = match arguments.reader {
        Reader::Road => {
            let sheet = &intake.sheet;
            let title = sheet.title.clone().unwrap_or_else(|| "Job without a title".into());
            let document = planned(&intake, |page| road(page, &title, &sheet.vehicle.note))?;
            render(format, &document, || document.page())
        }
        Reader::Customer => {
            let document = with_case(&intake, customer)?;
            render(format, &document, || document.page())
        }
        Reader::File => {
            let document = with_case(&intake, file)?;
            render(format, &document, || document.page())
        }
    };
    match &arguments.out {
        Some(path) => save(path, &text, out)?,
        None => out.say(&text)?,
    }
    Ok(0)
}

fn with_case<T>(intake: &Intake, make: impl FnOnce(&Case) -> T) -> Result<T, Failure> {
    let session = intake.session(Effort::PAGE);
    let a = intake.assessment(&session)?;
    let (book, sheet, standing) = (&intake.book, &intake.sheet, session.standing());
    let outcome = Outcome::of(standing, a);
    Ok(make(&Case { book, sheet, standing, a, outcome, currency: &intake.settings.currency }))
}

fn render<T: Serialize>(format: Format, document: &T, page: impl Fn() -> Page) -> String {
    match format {
        Format::Html => html(&page()),
        Format::Markdown => markdown(&page()),
        Format::Json => report::json(document),
    }
}

fn save(path: &Path, text: &str, out: &mut Out) -> Result<(), Failure> {
    write(path, &harmless(text))?;
    out.tell(&format!("Written to `{}`.", path.display()))
}
