//! `plan --json`.

use super::Planned;
use super::flat::{FlatStepDocument, steps};
use super::tree::{NodeDocument, node};
use crate::bay::{Decides, Question, Speaks, Why};
use crate::book::{FindingKind, Headed};
use crate::plan::Step;
use crate::report::weigh::{MethodDocument, UnknownCodeDocument, ranked, unknown_codes};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

/// The document for scripts.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlanDocument {
    /// Version of this shape.
    pub schema: u32,
    /// Whether the rules ask nobody about a danger (FB317): the dangers below are then not all there may be.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub no_danger_asked: bool,
    /// Dangers, worst first.
    pub hazards: Vec<HazardDocument>,
    /// What to ask first.
    pub questions: Vec<QuestionDocument>,
    /// The customer's words, where no symptom hears them.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unheard: String,
    /// Names of the symptoms nearest to the words, where they are not heard or nothing abnormal is known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub near: Vec<String>,
    /// What is going on: conditions that are likelier there than not, with their probability.
    pub conditions: IndexMap<String, f64>,
    /// Causes, likeliest first.
    pub causes: Vec<CauseDocument>,
    /// Probability that no listed cause is present.
    pub unlisted: f64,
    /// What may be done next, best first.
    pub next: Vec<NextDocument>,
    /// The check that would change the plan most; it settles most of the doubt.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_telling: Option<String>,
    /// Likely repairs, root before consequence.
    pub repairs: Vec<RepairDocument>,
    /// What must follow the likely repairs, in order, each once.
    pub aftercare: Vec<AftercareDocument>,
    /// Expected total cost, money.
    pub expected_cost: f64,
    /// Of that the repairs that are needed in any case, money; the rest is finding the faults, or handing over.
    pub repairs_in_any_case: f64,
    /// No plan costs less, money.
    pub expected_cost_at_least: f64,
    /// Share of the probability that was left out because its sets of causes were too many.
    pub left_out: f64,
    /// How the weights were worked out.
    pub method: MethodDocument,
    /// Codes that the book has no rule for.
    pub unexplained_codes: Vec<UnknownCodeDocument>,
    /// The plan with its branches; not in the flat form.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tree: Option<NodeDocument>,
    /// The plan as numbered steps, each once and none left out; only in the flat form.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub steps: Option<Vec<FlatStepDocument>>,
}

/// A danger.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HazardDocument {
    /// Its name.
    pub id: String,
    /// `stop`, `warn` or `care`.
    pub level: String,
    /// Its title.
    pub title: String,
    /// What to do now.
    #[serde(rename = "do")]
    pub does: Vec<String>,
    /// Findings and causes that raise it.
    pub raised_by: Vec<String>,
}

/// A question.
#[derive(Debug, Serialize, JsonSchema)]
pub struct QuestionDocument {
    /// `symptom` or `trait`.
    pub kind: String,
    /// Its name.
    pub id: String,
    /// The words.
    pub ask: String,
    /// `always-ask`, `heard`, `decides` (its answer changes the first step) or `decides-dangers` (it decides which dangers are asked about).
    pub why: String,
    /// The customer's words, for `heard`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heard: Option<String>,
}

/// A cause.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CauseDocument {
    /// Its name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Its probability.
    pub probability: f64,
    /// The abnormal findings it explains.
    pub explains: Vec<String>,
    /// For the likeliest causes: what speaks for and against it, the strongest first.
    pub speaks: Vec<SpeaksDocument>,
}

/// What one finding says of a cause.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SpeaksDocument {
    /// The finding.
    pub finding: String,
    /// Its state.
    pub state: String,
    /// 10 log10 of what it does to the odds of the cause: above 0 for it, below 0 against it.
    pub decibans: f64,
}

/// A next step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct NextDocument {
    /// `check`, `fix` or `refer`.
    pub kind: String,
    /// Its name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What it costs with the access it still needs, money.
    pub cost: f64,
    /// Expected total cost if it is taken next, money.
    pub expected_total: f64,
    /// What it saves against the best other first step, money; negative for all but the best.
    pub saving: f64,
    /// How much of the doubt it takes away, bits.
    pub settles_bits: f64,
    /// For a first step that is a fix not yet proven: the checks that would prove it, best for their price first.
    pub prove_first: Vec<String>,
    /// Minutes in which nobody works at it, its access with it; only of the first step.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waits: Option<f64>,
    /// Checks that can be done until then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub meanwhile: Vec<String>,
}

/// A repair.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RepairDocument {
    /// The cause.
    pub cause: String,
    /// How likely it is there.
    pub probability: f64,
    /// Its fixes, cheapest first.
    pub fixes: Vec<String>,
    /// Likely causes that are put right before it.
    pub after: Vec<String>,
}

/// An aftercare step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AftercareDocument {
    /// Its name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// How.
    #[serde(rename = "do")]
    pub does: Vec<String>,
    /// The manual way.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub if_refused: Option<String>,
}

/// How the plan itself is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Nested, improbable ends folded.
    Folded,
    /// Nested, as deep as readers follow.
    Whole,
    /// As a list.
    Flat,
}

/// Makes the document.
pub fn document(p: &Planned, form: Form) -> PlanDocument {
    PlanDocument {
        schema: 1,
        no_danger_asked: p.book.asks_no_danger(),
        hazards: hazards(p),
        questions: p.questions.iter().map(|q| question(p, q)).collect(),
        unheard: p.evidence.unheard.clone(),
        near: p.evidence.near.iter().map(|id| p.book.findings[*id].name().to_string()).collect(),
        conditions: p.conditions.iter().map(|(c, q)| (p.book.causes[*c].name().to_string(), *q)).collect(),
        causes: causes(p),
        unlisted: p.beliefs.unlisted,
        next: next(p),
        most_telling: p.most_telling().map(|act| p.name(act).to_string()),
        repairs: repairs(p),
        aftercare: aftercare(p),
        expected_cost: p.plan.expected_cost,
        repairs_in_any_case: p.plan.needed,
        expected_cost_at_least: p.plan.at_least,
        left_out: p.plan.dropped_mass,
        method: p.beliefs.method.into(),
        unexplained_codes: unknown_codes(p.evidence),
        tree: (form != Form::Flat).then(|| node(p, form == Form::Whole)),
        steps: (form == Form::Flat).then(|| steps(p)),
    }
}

/// Dangers, worst first.
pub fn hazards(p: &Planned) -> Vec<HazardDocument> {
    let one = |r: &crate::bay::Raised| {
        let hazard = &p.book.hazards[r.hazard];
        let findings = r.findings.iter().map(|f| p.book.findings[*f].name().to_string());
        let causes = r.causes.iter().map(|(c, _)| p.book.causes[*c].name().to_string());
        HazardDocument {
            id: hazard.name().into(),
            level: hazard.level.word().into(),
            title: hazard.title().into(),
            does: r.advice(p.book),
            raised_by: findings.chain(causes).collect(),
        }
    };
    p.hazards.iter().map(one).collect()
}

fn question(p: &Planned, question: &Question) -> QuestionDocument {
    match question {
        Question::Symptom(id, why) => {
            let finding = &p.book.findings[*id];
            let (why, heard) = match why {
                Why::Always => ("always-ask", None),
                Why::Heard(words) => ("heard", Some(words.clone())),
            };
            let ask = finding.question().unwrap_or(finding.title()).to_string();
            let circumstance = matches!(finding.kind, FindingKind::Symptom { circumstance: true, .. });
            let kind = if circumstance { "circumstance" } else { "symptom" };
            QuestionDocument { kind: kind.into(), id: finding.name().into(), ask, why: why.into(), heard }
        }
        Question::Trait(id, decides) => {
            let row = &p.book.traits[*id];
            let ask = row.ask.clone().unwrap_or_else(|| row.title().to_string());
            let why = match decides {
                Decides::Dangers => "decides-dangers",
                Decides::FirstStep => "decides",
            };
            QuestionDocument { kind: "trait".into(), id: row.name().into(), ask, why: why.into(), heard: None }
        }
    }
}

fn causes(p: &Planned) -> Vec<CauseDocument> {
    let one = |(index, probability): (usize, f64)| {
        let cause = &p.book.causes[p.bay.car.causes[index]];
        let explains = p.explains(index).iter().map(|f| p.book.findings[*f].name().to_string()).collect();
        let speaks = p.speaks.get(&index).into_iter().flatten().map(|s| said(p, s)).collect();
        CauseDocument { id: cause.name().into(), title: cause.title().into(), probability, explains, speaks }
    };
    ranked(&p.beliefs.causes, p.beliefs.causes.len()).into_iter().map(one).collect()
}

fn said(p: &Planned, speaks: &Speaks) -> SpeaksDocument {
    let finding = &p.book.findings[speaks.finding];
    SpeaksDocument { finding: finding.name().into(), state: finding.states[speaks.state].clone(), decibans: speaks.decibans }
}

fn next(p: &Planned) -> Vec<NextDocument> {
    let one = |n: &crate::plan::Next| {
        let (kind, id, title) = step(p, n.step);
        NextDocument {
            kind,
            id,
            title,
            cost: n.cost,
            expected_total: n.expected_total,
            saving: n.saving,
            settles_bits: n.settles_bits,
            prove_first: vec![],
            waits: None,
            meanwhile: vec![],
        }
    };
    let mut all: Vec<NextDocument> = p.plan.next.iter().map(one).collect();
    if let (Some(first), Some(unproven)) = (all.first_mut(), &p.unproven) {
        first.prove_first = unproven.checks.iter().map(|(c, _)| p.book.checks[*c].name().to_string()).collect();
    }
    if let (Some(first), (waits, checks)) = (all.first_mut().filter(|_| p.waits.0 > 0.0), &p.waits) {
        first.waits = Some(*waits);
        first.meanwhile = checks.iter().map(|c| p.book.checks[*c].name().to_string()).collect();
    }
    all
}

/// Kind, name and title of a step.
pub fn step(p: &Planned, step: Step) -> (String, String, String) {
    let of = |kind: &str, a: usize| (kind.into(), p.name(p.bay.acts[a]).into(), p.title(p.bay.acts[a]).into());
    match step {
        Step::Check(a) => of("check", a),
        Step::Fix(a) => of("fix", a),
        Step::Refer => ("refer".into(), "refer".into(), "Hand the car to a specialist".into()),
        Step::Done => ("done".into(), "done".into(), "Done".into()),
    }
}

fn repairs(p: &Planned) -> Vec<RepairDocument> {
    let one = |r: &crate::bay::Repair| RepairDocument {
        cause: p.book.causes[r.cause].name().into(),
        probability: r.probability,
        fixes: r.fixes.iter().map(|f| p.book.fixes[*f].name().into()).collect(),
        after: r.roots.iter().map(|c| p.book.causes[*c].name().into()).collect(),
    };
    p.repairs.iter().map(one).collect()
}

/// What must follow the likely repairs, in order, each once.
pub fn aftercare(p: &Planned) -> Vec<AftercareDocument> {
    let steps = crate::bay::aftercare(p.book, &p.repairs);
    let one = |id| {
        let step: &crate::book::Aftercare = &p.book.aftercare[id];
        AftercareDocument {
            id: step.name().into(),
            title: step.title().into(),
            does: step.does.clone(),
            if_refused: step.if_refused.clone(),
        }
    };
    steps.into_iter().map(one).collect()
}
