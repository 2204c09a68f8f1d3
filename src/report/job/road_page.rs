//! The plan for the road laid out: dangers first, then one step after the other to tap through.

use super::CAUTION;
use super::page::{Block, Page, Section, Step, danger};
use super::road::{RoadDocument, RoadRepair, RoadStep, RoadWay};
use crate::report::plan::AftercareDocument;
use crate::report::words::{minutes, money, percent};

impl RoadDocument {
    /// Lays it out.
    pub fn page(&self) -> Page {
        let aftercare: Vec<String> = self.aftercare.iter().map(aftercare).collect();
        let before = (!self.steps.is_empty()).then(|| [Block::text(&self.cost()), Block::text(&self.estimate)]);
        let steps = self.steps.iter().map(|s| Block::Step(s.laid_out()));
        let sections = [
            Section::new("Dangers", self.dangers.iter().map(danger).collect()),
            Section::new("Ask first", vec![Block::list(&self.questions)]),
            Section::new("The steps", before.into_iter().flatten().chain(steps).collect()),
            Section::new("The repair, root first", self.repairs.iter().flat_map(repair).collect()),
            Section::new("After the repair", vec![Block::list(&aftercare)]),
            Section::new("Cautions", vec![Block::text(CAUTION)]),
        ];
        let lead = match self.steps.len() {
            0 => "Nothing abnormal is known that is not put right yet, so there is nothing to plan.",
            _ => "Take the first step, then tap what you found. What is not on this page is planned anew at the desk.",
        };
        Page::new(&self.title, "Plan for the road", vec![self.vehicle.clone()]).lead(lead).sections(sections)
    }

    /// What it is expected to cost, in its two parts.
    fn cost(&self) -> String {
        let price = |amount: f64| format!("{} {}", money(amount), self.currency).trim_end().to_string();
        let (all, repairs) = (self.expected_cost, self.repairs_in_any_case);
        format!(
            "Expected cost {}: repairs that are needed in any case {}, finding them {}.",
            price(all),
            price(repairs),
            price(all - repairs)
        )
    }
}

impl RoadStep {
    fn laid_out(&self) -> Step {
        let verb = match self.kind.as_str() {
            "check" => "Check: ",
            "fix" => "Fix: ",
            _ => "",
        };
        let named = |name: &str, all: &[String]| if all.is_empty() { String::new() } else { format!("{name}: {}", all.join("; ")) };
        let waits = self.waits.map_or(String::new(), |w| format!("Waits {}: the hands are free meanwhile", minutes(w)));
        let mut effort =
            vec![self.minutes.map_or(String::new(), minutes), waits, named("Needs", &self.access), named("Tools", &self.tools)];
        effort.push(named("Not proven yet; prove it first", &self.prove_first));
        effort.retain(|e| !e.is_empty());
        Step {
            number: self.number,
            title: format!("{verb}{}", self.title),
            effort,
            cautions: self.cautions.clone(),
            how: self.how.iter().chain(&self.limits).cloned().collect(),
            ways: self.ways.iter().map(way).collect(),
        }
    }
}

fn way(way: &RoadWay) -> (String, String, Option<usize>) {
    let then = match (way.then.as_str(), way.step) {
        (_, Some(n)) => format!("go to step {n}"),
        ("done", _) => "done: prove it".to_string(),
        _ => "plan again with what you saw".to_string(),
    };
    (format!("{} ({})", way.found, percent(way.probability)), then, way.step)
}

fn repair(repair: &RoadRepair) -> Vec<Block> {
    let mut lines = vec![match &repair.fix {
        Some(fix) => format!("Fix: {fix}"),
        None => "The book has no fix for it: refer.".into(),
    }];
    lines.extend(repair.proofs.iter().map(|p| format!("Proof: {p}")));
    vec![Block::Title(format!("{} ({})", repair.cause, percent(repair.probability))), Block::list(&lines)]
}

fn aftercare(step: &AftercareDocument) -> String {
    let how = if step.does.is_empty() { String::new() } else { format!(": {}", step.does.join(" ")) };
    let manual = step.if_refused.as_ref().map_or(String::new(), |m| format!(" If the tester refuses: {m}"));
    let stop = if how.is_empty() && !manual.is_empty() { "." } else { "" };
    format!("{}{how}{stop}{manual}", step.title)
}
