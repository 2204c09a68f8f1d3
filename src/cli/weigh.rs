//! `weigh`: the evidence of a job weighed, nothing planned.

use super::args::Job;
use super::failure::Failure;
use super::intake::intake;
use super::out::Out;
use crate::bay::{Effort, Misfit};
use crate::belief::weigh;
use crate::book::{Book, Finding, Headed, Id};
use crate::report;

/// Runs the command.
pub fn run(job: &Job, out: &mut Out) -> Result<u8, Failure> {
    let intake = intake(job, out)?;
    let book = &intake.book;
    if job.json {
        let bay = intake.bay()?;
        let beliefs =
            weigh(&bay.model.network, &bay.model.history, &Effort::PAGE.weigh).map_err(|c| misfit(book, &Misfit::of(&bay, &c)))?;
        out.say(&report::json(&report::weigh::document(book, &intake.now()?, &bay.car, &beliefs)))?;
    } else {
        let session = intake.session(Effort::PAGE);
        let a = intake.assessment(&session)?;
        out.say(&report::weigh::text(book, &a.now, &a.bay.car, &a.beliefs, out.look))?;
    }
    Ok(0)
}

/// Why a car can't be assessed; of evidence that no car can show, the findings that contradict each other are named.
pub fn misfit(book: &Book, misfit: &Misfit) -> Failure {
    let names = |findings: &[Id<Finding>]| -> String {
        findings.iter().map(|f| format!("`{}`", book.findings[*f].name())).collect::<Vec<_>>().join(", ")
    };
    let Misfit::Contradiction { conflict, findings } = misfit else {
        let help = if let Misfit::Network(_) = misfit { "run `faultbook lint`" } else { "look at the evidence and the rules again" };
        return Failure::new(misfit.to_string(), help);
    };
    let message = match conflict.len() {
        0 | 1 => format!("by these rules no car can show {} as it was seen", names(findings)),
        _ => format!(
            "by these rules no car can show {} together as they were seen; the rest is possible without {}",
            names(conflict),
            names(findings)
        ),
    };
    Failure::new(message, "look at these again, or give the finding a `stray` in the rules")
}
