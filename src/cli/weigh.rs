//! `weigh`: the evidence of a job weighed, nothing planned.

use super::args::Job;
use super::failure::Failure;
use super::intake::{Intake, intake};
use super::out::Out;
use crate::belief::{Beliefs, Contradiction, Limits, weigh, weigh_causes};
use crate::book::{Book, Headed};
use crate::car::Car;
use crate::report;

/// Runs the command.
pub fn run(job: &Job, out: &mut Out) -> Result<u8, Failure> {
    let Intake { book, evidence, bay, .. } = intake(job, out)?;
    let car = &bay.car;
    if job.json {
        let beliefs = weigh(&car.network, &car.history, &Limits::default()).map_err(|c| contradiction(&book, car, &c))?;
        out.say(&report::json(&report::weigh::document(&book, &evidence, car, &beliefs)))?;
    } else {
        let beliefs = believe(&book, car)?;
        out.say(&report::weigh::text(&book, &evidence, car, &beliefs, out.look))?;
    }
    Ok(0)
}

/// The weights of the causes, or the findings that contradict each other.
pub fn believe(book: &Book, car: &Car) -> Result<Beliefs, Failure> {
    weigh_causes(&car.network, &car.history, &Limits::default()).map_err(|c| contradiction(book, car, &c))
}

/// Evidence that no car can show: the findings that contradict each other are named.
pub fn contradiction(book: &Book, car: &Car, found: &Contradiction) -> Failure {
    let names = |findings: &[usize]| -> String {
        findings.iter().map(|f| format!("`{}`", book.findings[car.findings[*f]].name())).collect::<Vec<_>>().join(", ")
    };
    let message = match found.conflict.len() {
        0 | 1 => format!("by these rules no car can show {} as it was seen", names(&found.findings)),
        _ => format!(
            "by these rules no car can show {} together as they were seen; the rest is possible without {}",
            names(&found.conflict),
            names(&found.findings)
        ),
    };
    Failure::new(message, "look at these again, or give the finding a `stray` in the rules")
}
