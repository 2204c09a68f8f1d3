//! What is believed and planned where the job stands, and what of it changed.

use super::standing::Standing;
use crate::bay::{Bay, Raised, Rates, dangers, estimate_words};
use crate::belief::{Beliefs, Limits, weigh_causes};
use crate::book::{Book, Cause, Finding, Headed, Id};
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
    /// Dangers, worst first.
    pub hazards: Vec<Raised>,
}

/// Works it out. The error says what is wrong with the sheet, in words.
pub fn view(book: &Book, standing: &Standing, rates: Rates) -> Result<View, String> {
    let evidence = evidence(book, &standing.sheet).map_err(|e| e.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))?;
    let mut bay = Bay::new(book, &evidence, &standing.progress, rates).map_err(|e| e.to_string())?;
    let beliefs = weigh_causes(&bay.model.network, &bay.model.history, &Limits::STEP).map_err(|c| {
        let names: Vec<&str> = c.findings.iter().map(|f| book.findings[bay.car.findings[*f]].title()).collect();
        format!("by these rules no car can show all of this; go back and look again at: {}", names.join("; "))
    })?;
    let hazards = dangers(book, &standing.progress.now(&evidence), &mut bay, &beliefs.causes);
    Ok(View { evidence, bay, beliefs, hazards })
}

impl View {
    /// Whether a finding applies to this vehicle.
    pub fn applies(&self, finding: Id<Finding>) -> bool {
        self.bay.car.finding(finding).is_some()
    }

    /// The plan from here; none where nothing abnormal is known.
    pub fn plan(&self) -> Option<Plan> {
        if self.bay.model.complaint.is_empty() { None } else { plan(&self.bay.model, &Budget::PLAN, &Limits::STEP).ok() }
    }

    /// How likely a cause is by all that was seen, 0..=1; 0 where it does not apply.
    pub fn weight(&self, cause: Id<Cause>) -> f64 {
        self.bay.car.cause(cause).map_or(0.0, |c| self.beliefs.causes[c])
    }

    /// Why the first step comes first, in words.
    pub fn reasons(&self, book: &Book, plan: &Plan) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        let mut order: Vec<usize> = (0..self.beliefs.causes.len()).filter(|c| !self.bay.model.cured().contains(c)).collect();
        order.sort_by(|a, b| self.beliefs.causes[*b].total_cmp(&self.beliefs.causes[*a]));
        let likely = order.iter().take(4).filter(|c| self.beliefs.causes[**c] >= 0.02);
        let likely: Vec<String> =
            likely.map(|c| format!("{} {:.0} %", book.causes[self.bay.car.causes[*c]].title(), self.beliefs.causes[*c] * 100.0)).collect();
        out.push(format!("It may be: {}.", likely.join("; ")));
        out.extend(Some(self.estimate()).filter(|words| !words.is_empty()));
        if let [first, second, ..] = plan.next.as_slice() {
            out.push(format!("On average it saves {:.0} against: {}.", first.saving.max(0.0), self.step_title(book, second.step)));
        }
        out.push(format!("Expected cost to a proven repair: {:.0}.", plan.expected_cost));
        out
    }

    /// How good the probabilities are where they are estimates, in words; else empty.
    pub fn estimate(&self) -> String {
        estimate_words(self.beliefs.method)
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
    /// The causes that are not put right yet with their probability, the likeliest first; empty where nothing abnormal is known, while a
    /// repair is not judged yet, and once the complaint is gone.
    pub likely: Vec<(String, f64)>,
    /// How good these are where they are estimates, in words; else empty.
    pub estimate: String,
    /// Causes that the repairs have put right, by name: those that were likely there.
    pub put_right: Vec<String>,
    /// Whether the complaint is gone and a cause of it was put right.
    pub cured: bool,
}

/// The summary where the job stands.
pub fn summary(book: &Book, sheet: &JobSheet, rates: Rates) -> Option<Summary> {
    let standing = Standing::new(book, sheet);
    let view = view(book, &standing, rates).ok()?;
    let open = view.bay.car.causes.iter().filter(|c| !standing.progress.cured.contains(c));
    let mut likely: Vec<(String, f64)> = open.map(|c| (book.causes[*c].title().to_string(), view.weight(*c))).collect();
    likely.sort_by(|a, b| b.1.total_cmp(&a.1));
    if view.bay.model.complaint.is_empty() || standing.cured() || standing.fixes.last().is_some_and(|f| f.gone.is_none()) {
        likely.clear();
    }
    let put_right: Vec<String> = standing.put_right(book, |c| view.weight(c)).iter().map(|c| book.causes[*c].name().to_string()).collect();
    Some(Summary { likely, estimate: view.estimate(), cured: standing.cured() && !put_right.is_empty(), put_right })
}
