//! The plan for the road: dangers, questions, numbered steps with everything needed to take them away from the desk.

use super::SCHEMA;
use crate::bay::{Act, Question, band_words, estimate_words, proof_words};
use crate::book::{Access, Hazard, Headed, Id, Tool};
use crate::plan::Step;
use crate::report::plan::{AftercareDocument, HazardDocument, Numbered, Onward, Planned, aftercare, hazards, numbered, step};
use crate::report::weigh::MethodDocument;
use crate::report::words::minutes;
use schemars::JsonSchema;
use serde::Serialize;

/// More steps than this are no plan for a phone: what is seen by then plans anew.
const STEPS: usize = 40;

/// `report --for road`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RoadDocument {
    /// Version of this shape.
    pub schema: u32,
    /// The job's title.
    pub title: String,
    /// The vehicle, in the sheet's free words.
    pub vehicle: String,
    /// Dangers, worst first.
    pub dangers: Vec<HazardDocument>,
    /// What to ask first, in words.
    pub questions: Vec<String>,
    /// The steps, in the order they are come to.
    pub steps: Vec<RoadStep>,
    /// Likely repairs, root first.
    pub repairs: Vec<RoadRepair>,
    /// What must follow them.
    pub aftercare: Vec<AftercareDocument>,
    /// Money that the steps are expected to cost to a proven repair, or to handing over.
    pub expected_cost: f64,
    /// Of that the repairs that are needed in any case, money; the rest is finding the faults, or handing over.
    pub repairs_in_any_case: f64,
    /// The money's name; empty where none is set.
    pub currency: String,
    /// Where the probabilities are estimates: how good these are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub method: Option<MethodDocument>,
    /// The same in words.
    #[serde(skip)]
    pub estimate: String,
}

/// One step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RoadStep {
    /// Its number, from 1.
    pub number: usize,
    /// `check`, `fix` or `refer`.
    pub kind: String,
    /// Its name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Minutes of work without access; none for a referral.
    pub minutes: Option<f64>,
    /// Minutes in which nobody works at it, without access.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waits: Option<f64>,
    /// Access it needs.
    pub access: Vec<String>,
    /// Tools it needs.
    pub tools: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// How to do it.
    pub how: Vec<String>,
    /// Limits to read by.
    pub limits: Vec<String>,
    /// For a fix that is not yet proven: the checks that would prove it, best for their price first.
    pub prove_first: Vec<String>,
    /// How it may turn out.
    pub ways: Vec<RoadWay>,
}

/// One way a step may turn out.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RoadWay {
    /// What is found, in words.
    pub found: String,
    /// How probable, 0..=1.
    pub probability: f64,
    /// `step`, `done` or `plan-again`.
    pub then: String,
    /// The step to go on at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<usize>,
}

/// One likely repair.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RoadRepair {
    /// The cause.
    pub cause: String,
    /// How likely it is there, 0..=1.
    pub probability: f64,
    /// The fix; none where the book has none.
    pub fix: Option<String>,
    /// What must prove it, with limits.
    pub proofs: Vec<String>,
}

/// Makes the document; title and vehicle are the sheet's own words.
pub fn road(p: &Planned, title: &str, vehicle: &str) -> RoadDocument {
    let steps = if p.plan.in_question.is_empty() { vec![] } else { numbered(p, STEPS) };
    RoadDocument {
        schema: SCHEMA,
        title: title.into(),
        vehicle: vehicle.into(),
        dangers: hazards(p),
        questions: p.questions.iter().map(|q| question(p, q)).collect(),
        steps: steps.iter().enumerate().map(|(i, n)| road_step(p, i + 1, n)).map(|s| proven_first(p, s)).collect(),
        repairs: p.repairs.iter().map(|r| repair(p, r)).collect(),
        aftercare: aftercare(p),
        expected_cost: p.plan.expected_cost,
        repairs_in_any_case: p.plan.needed.min(p.plan.expected_cost),
        currency: p.currency.to_string(),
        method: MethodDocument::unless_exact(p.beliefs.method),
        estimate: estimate_words(p.beliefs.method),
    }
}

fn question(p: &Planned, question: &Question) -> String {
    match question {
        Question::Symptom(id, _) => p.book.findings[*id].question().unwrap_or(p.book.findings[*id].title()).into(),
        Question::Trait(id, _) => p.book.traits[*id].ask.clone().unwrap_or_else(|| p.book.traits[*id].title().into()),
    }
}

fn road_step(p: &Planned, number: usize, numbered: &Numbered) -> RoadStep {
    let (kind, id, title) = step(p, numbered.node.step);
    let ways = numbered.ways.iter().map(way).collect();
    let none = Vec::new;
    let (access, tools, cautions, how, limits, prove_first) = (none(), none(), none(), none(), none(), none());
    let plain = RoadStep { number, kind, id, title, minutes: None, waits: None, access, tools, cautions, how, limits, prove_first, ways };
    match numbered.node.step {
        Step::Check(a) | Step::Fix(a) => with_act(p, p.bay.acts[a], plain),
        _ => plain,
    }
}

/// The first step says what would prove it, where it is a fix not yet proven.
fn proven_first(p: &Planned, step: RoadStep) -> RoadStep {
    match &p.unproven {
        Some(unproven) if step.number == 1 => {
            let checks = unproven.checks.iter().take(2);
            RoadStep { prove_first: checks.map(|(c, _)| p.book.checks[*c].title().into()).collect(), ..step }
        }
        _ => step,
    }
}

fn with_act(p: &Planned, act: Act, plain: RoadStep) -> RoadStep {
    let book = p.book;
    let limits = match act {
        Act::Check(id) => {
            let read = book.checks[id].reveals.iter().filter(|f| book.findings[**f].gauge().is_some());
            read.map(|f| limits(p, *f)).collect()
        }
        Act::Fix(id) => book.fixes[id].proofs.iter().map(|(f, s)| format!("Proof: {}", proof_words(book, *f, *s))).collect(),
    };
    let caution = |h: &Id<Hazard>| format!("{}: {}", book.hazards[*h].title(), book.hazards[*h].does.join(" "));
    RoadStep {
        minutes: Some(act.minutes(book)),
        waits: Some(act.waits(book)).filter(|w| *w > 0.0),
        access: act.access(book).iter().map(|a| access_words(p, *a)).collect(),
        tools: act.tools(book).iter().map(|t: &Id<Tool>| book.tools[*t].title().into()).collect(),
        cautions: act.cautions(book, &p.evidence.traits).iter().map(caution).collect(),
        how: act.does(book).to_vec(),
        limits,
        ..plain
    }
}

fn access_words(p: &Planned, id: Id<Access>) -> String {
    let row = &p.book.access[id];
    let title = if row.waits > 0.0 { format!("{} (waits {})", row.title(), minutes(row.waits)) } else { row.title().into() };
    if row.does.is_empty() { title } else { format!("{title}: {}", row.does.join(" ")) }
}

/// The bands of a reading: `Boost at 2500 rpm: healthy 80 to 140 kPa; low below 80 kPa`.
fn limits(p: &Planned, id: Id<crate::book::Finding>) -> String {
    let finding = &p.book.findings[id];
    let bands = finding.states.iter().enumerate().map(|(i, s)| format!("{s} {}", band_words(p.book, id, i)));
    format!("{}: {}", finding.title(), bands.collect::<Vec<_>>().join("; "))
}

fn way((found, probability, onward): &(String, f64, Onward)) -> RoadWay {
    let (then, step) = match onward {
        Onward::Step(n) => ("step", Some(*n)),
        Onward::Done => ("done", None),
        Onward::Again => ("plan-again", None),
    };
    RoadWay { found: found.clone(), probability: *probability, then: then.into(), step }
}

fn repair(p: &Planned, repair: &crate::bay::Repair) -> RoadRepair {
    let fix = repair.fixes.first().map(|f| &p.book.fixes[*f]);
    RoadRepair {
        cause: p.book.causes[repair.cause].title().into(),
        probability: repair.probability,
        fix: fix.map(|f| f.title().into()),
        proofs: fix.map_or(vec![], |f| f.proofs.iter().map(|(f, s)| proof_words(p.book, *f, *s)).collect()),
    }
}
