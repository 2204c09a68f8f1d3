//! `plan`: the hazards, the questions, the weighed causes and the order of checks and repairs.

use super::args::PlanArguments;
use super::failure::Failure;
use super::intake::{Intake, intake};
use super::out::Out;
use super::weigh::{believe, contradiction};
use crate::bay::{Act, dangers, questions, repairs, speaks, unproven, unproven_complaint};
use crate::belief::Limits;
use crate::plan::{Budget, PlanError, Step, plan};
use crate::report;
use crate::report::plan::Planned;
use crate::report::weigh::ranked;

/// Repairs less likely than this are not prepared for.
const REPAIRS_FROM: f64 = 0.1;

/// Causes for which is said what speaks for and against them.
const SHOWN: usize = 10;

/// Runs the command.
pub fn run(arguments: &PlanArguments, out: &mut Out) -> Result<u8, Failure> {
    let intake = intake(&arguments.job, out)?;
    let look = out.look;
    let text = planned(&intake, |page| match arguments.job.json {
        true => report::json(&report::plan::document(page, arguments.whole)),
        false => report::plan::text(page, look, arguments.whole),
    })?;
    out.say(&text)?;
    Ok(0)
}

/// Plans a job and shows it.
pub fn planned<T>(intake: &Intake, show: impl FnOnce(&Planned) -> T) -> Result<T, Failure> {
    let Intake { book, settings, evidence, bay, .. } = intake;
    let beliefs = believe(book, &bay.car)?;
    let mut bay = bay.clone();
    let hazards = dangers(book, evidence, &mut bay, &beliefs.causes);
    let bay = &bay;
    let planned = plan(&bay.model, &Budget::PLAN, &Limits::default()).map_err(|error| match error {
        PlanError::Contradiction(found) => contradiction(book, &bay.car, &found),
        other => Failure::new(other.to_string(), "look at the evidence and the rules again"),
    })?;
    let unproven = match planned.next.first().map(|n| n.step) {
        Some(Step::Fix(a)) => match bay.acts[a] {
            Act::Fix(fix) => unproven(book, bay, fix, &Limits::GLANCE),
            Act::Check(_) => None,
        },
        Some(Step::Refer) => unproven_complaint(book, bay, &Limits::GLANCE),
        _ => None,
    };
    let shown: Vec<usize> = ranked(&beliefs.causes, SHOWN).into_iter().map(|(c, _)| c).collect();
    Ok(show(&Planned {
        book,
        evidence,
        bay,
        beliefs: &beliefs,
        plan: &planned,
        hazards: &hazards,
        questions: &questions(book, evidence, bay, &beliefs, intake.rates()),
        repairs: &repairs(book, bay, &beliefs, REPAIRS_FROM),
        speaks: &shown.iter().copied().zip(speaks(bay, &shown, &Limits::GLANCE)).collect(),
        unproven: unproven.as_ref(),
        currency: &settings.currency,
    }))
}
