//! `plan`: the checks and repairs of a job for the least expected cost.

use super::args::PlanArguments;
use super::failure::Failure;
use super::intake::{Intake, intake};
use super::out::Out;
use super::weigh::misfit;
use crate::bay::Effort;
use crate::report;
use crate::report::plan::{Form, Planned};

/// Runs the command.
pub fn run(arguments: &PlanArguments, out: &mut Out) -> Result<u8, Failure> {
    let intake = intake(&arguments.job, out)?;
    let look = out.look;
    let form = match (arguments.flat, arguments.whole) {
        (true, _) => Form::Flat,
        (false, true) => Form::Whole,
        (false, false) => Form::Folded,
    };
    let text = planned(&intake, |page| match arguments.job.json {
        true => report::json(&report::plan::document(page, form)),
        false => report::plan::text(page, look, arguments.whole),
    })?;
    out.say(&text)?;
    Ok(0)
}

/// Plans a job from where it stands and shows it.
pub fn planned<T>(intake: &Intake, show: impl FnOnce(&Planned) -> T) -> Result<T, Failure> {
    let session = intake.session(Effort::PAGE);
    let assessment = intake.assessment(&session)?;
    let planned = Planned::new(assessment, &intake.settings.currency).map_err(|e| misfit(&intake.book, &e))?;
    Ok(show(&planned))
}
