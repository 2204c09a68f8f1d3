//! What is believed and planned where the job stands, and what of it changed.

use super::standing::Standing;
use crate::bay::{Bay, Question, Raised, Rates, questions, raised};
use crate::belief::{Beliefs, Limits, weigh};
use crate::book::{Book, Finding, Headed, Id};
use crate::job::{Evidence, JobSheet, evidence};
use crate::plan::{Budget, Plan, Step, plan};

/// All that is believed and planned.
pub struct View {
    /// The intake's evidence.
    pub evidence: Evidence,
    /// The car.
    pub bay: Bay,
    /// The weights.
    pub beliefs: Beliefs,
    /// The plan; none where nothing abnormal is known.
    pub plan: Option<Plan>,
    /// Dangers, worst first.
    pub hazards: Vec<Raised>,
    /// Open questions.
    pub questions: Vec<Question>,
}

/// Works it out. The error says what is wrong with the sheet, in words.
pub fn view(book: &Book, standing: &Standing, rates: Rates) -> Result<View, String> {
    let evidence = evidence(book, &standing.sheet).map_err(|e| e.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))?;
    let bay = Bay::new(book, &evidence, &standing.progress, rates).map_err(|e| e.to_string())?;
    let beliefs = weigh(&bay.model.network, &bay.model.seen, &Limits::default()).map_err(|c| {
        let names: Vec<&str> = c.findings.iter().map(|f| book.findings[bay.car.findings[*f]].title()).collect();
        format!("by these rules no car can show all of this; go back and look again at: {}", names.join("; "))
    })?;
    let hazards = raised(book, &evidence, &bay, &beliefs);
    let under_way = standing.current.is_some() || standing.cured();
    let plan = if bay.model.complaint.is_empty() || under_way { None } else { plan(&bay.model, &Budget::STEP, &Limits::default()).ok() };
    let questions =
        if under_way || !standing.progress.done.is_empty() { vec![] } else { questions(book, &evidence, &bay, &beliefs, rates) };
    Ok(View { evidence, bay, beliefs, plan, hazards, questions })
}

impl View {
    /// Whether a finding applies to this vehicle.
    pub fn applies(&self, finding: Id<Finding>) -> bool {
        self.bay.car.finding(finding).is_some()
    }

    /// Why the first step comes first, in words.
    pub fn reasons(&self, book: &Book) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        let mut order: Vec<usize> = (0..self.beliefs.causes.len()).collect();
        order.sort_by(|a, b| self.beliefs.causes[*b].total_cmp(&self.beliefs.causes[*a]));
        let likely = order.iter().take(4).filter(|c| self.beliefs.causes[**c] >= 0.02);
        let likely: Vec<String> =
            likely.map(|c| format!("{} {:.0} %", book.causes[self.bay.car.causes[*c]].title(), self.beliefs.causes[*c] * 100.0)).collect();
        out.push(format!("It may be: {}.", likely.join("; ")));
        if let Some(plan) = &self.plan {
            if let [first, second, ..] = plan.next.as_slice() {
                out.push(format!("On average it saves {:.0} against: {}.", first.saving.max(0.0), self.step_title(book, second.step)));
            }
            out.push(format!("Expected cost to a proven repair: {:.0}.", plan.expected_cost));
        }
        out
    }

    fn step_title(&self, book: &Book, step: Step) -> String {
        match step {
            Step::Check(a) | Step::Fix(a) => match self.bay.acts[a] {
                crate::bay::Act::Check(id) => book.checks[id].title().into(),
                crate::bay::Act::Fix(id) => book.fixes[id].title().into(),
            },
            Step::Refer => "hand the car to a specialist".into(),
            Step::Done => "nothing".into(),
        }
    }
}

/// What a person wants to know after each answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// The likeliest cause and its probability.
    pub likeliest: Option<(String, f64)>,
    /// Causes that the repair so far has put right.
    pub cured: Vec<String>,
}

/// The summary where the job stands.
pub fn summary(book: &Book, sheet: &JobSheet, rates: Rates) -> Option<Summary> {
    let standing = Standing::new(book, sheet);
    let evidence = evidence(book, &standing.sheet).ok()?;
    let bay = Bay::new(book, &evidence, &standing.progress, rates).ok()?;
    let beliefs = weigh(&bay.model.network, &bay.model.seen, &Limits::default()).ok()?;
    let open = (0..beliefs.causes.len()).filter(|c| !standing.progress.cured.contains(&bay.car.causes[*c]));
    let best = open.max_by(|a, b| beliefs.causes[*a].total_cmp(&beliefs.causes[*b]));
    let likeliest =
        best.filter(|_| !bay.model.complaint.is_empty()).map(|c| (book.causes[bay.car.causes[c]].title().to_string(), beliefs.causes[c]));
    let cured = standing.progress.cured.iter().map(|c| book.causes[*c].name().to_string()).collect();
    Some(Summary { likeliest, cured })
}
