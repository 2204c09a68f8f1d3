//! The report for the customer: what was wrong, how it was proven, what was done, what to watch.

use super::case::Case;
use super::chart::{ChartDocument, charts};
use super::left::{LeftDocument, left};
use super::page::{Block, Page, Section, alert};
use super::proofs::{DoneDocument, done};
use super::story::{self, AftercareDone, WrongDocument};
use super::{CAUTION, SCHEMA};
use crate::bay::estimate_words;
use crate::report::plan::HazardDocument;
use crate::report::weigh::MethodDocument;
use schemars::JsonSchema;
use serde::Serialize;

/// `report --for customer`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CustomerDocument {
    /// Version of this shape.
    pub schema: u32,
    /// The job's title.
    pub title: String,
    /// The day, as written.
    pub day: String,
    /// The vehicle, in the sheet's free words.
    pub vehicle: String,
    /// The customer's own words.
    pub words: String,
    /// What he complained of, in the book's words.
    pub complaint: Vec<String>,
    /// How the job stands.
    pub status: StatusDocument,
    /// What was wrong.
    pub wrong: Vec<WrongDocument>,
    /// What showed it on the car.
    pub found: Vec<String>,
    /// What was looked at and is in order.
    pub in_order: Vec<String>,
    /// What was done, each repair with its proofs.
    pub done: Vec<DoneDocument>,
    /// What was measured.
    pub charts: Vec<ChartDocument>,
    /// What followed the repair.
    pub aftercare: Vec<AftercareDone>,
    /// Why the job was closed with something open; empty where nothing was.
    pub reason: String,
    /// What is still wrong, and why it was left.
    pub left: Vec<LeftDocument>,
    /// What to watch.
    pub watch: Vec<String>,
    /// Dangers that the fault brought.
    pub dangers: Vec<HazardDocument>,
    /// Where the probabilities are estimates: how good these are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub method: Option<MethodDocument>,
    /// The same in words.
    #[serde(skip)]
    pub estimate: String,
}

/// How a job stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StatusDocument {
    /// Closed, the complaint gone, every proof inside its limit.
    Proven,
    /// Closed, the complaint gone, a proof open.
    Unproven,
    /// Closed, the complaint not put right here.
    NotRepaired,
    /// Not closed.
    Open,
}

impl StatusDocument {
    /// Of a job.
    pub fn of(case: &Case) -> StatusDocument {
        match (&case.sheet.closed, case.standing.cured()) {
            (None, _) => StatusDocument::Open,
            (Some(_), false) => StatusDocument::NotRepaired,
            (Some(_), true) if case.outcome.missing.is_empty() => StatusDocument::Proven,
            (Some(_), true) => StatusDocument::Unproven,
        }
    }

    /// In a sentence.
    pub fn words(self) -> &'static str {
        match self {
            StatusDocument::Proven => "Repaired: the complaint is gone, and the repair is proven.",
            StatusDocument::Unproven => "Repaired: the complaint is gone, but the repair is not proven in full.",
            StatusDocument::NotRepaired => "Closed without a repair that took the complaint away.",
            StatusDocument::Open => "The work is not finished: this is how far it has come.",
        }
    }
}

/// Makes the document.
pub fn customer(case: &Case) -> CustomerDocument {
    CustomerDocument {
        schema: SCHEMA,
        title: case.title().into(),
        day: case.day().into(),
        vehicle: case.sheet.vehicle.note.clone(),
        words: case.standing.sheet.complaint.words.clone(),
        complaint: story::complaint(case),
        status: StatusDocument::of(case),
        wrong: story::wrong(case),
        found: story::found(case),
        in_order: story::in_order(case),
        done: done(case),
        charts: charts(case),
        aftercare: story::aftercare(case),
        reason: case.sheet.closed.as_ref().map_or(String::new(), |c| c.reason.clone()),
        left: left(case),
        watch: story::watch(case),
        dangers: story::dangers(case),
        method: MethodDocument::unless_exact(case.a.beliefs.method),
        estimate: estimate_words(case.a.beliefs.method),
    }
}

impl CustomerDocument {
    /// Lays it out.
    pub fn page(&self) -> Page {
        let sections = [
            Section::new("What you told us", vec![Block::quote(&self.words), Block::list(&self.complaint)]),
            self.wrong(),
            self.proven(),
            Section::new("What was measured", self.charts.iter().cloned().map(Block::Chart).collect()),
            Section::new("What followed the repair", vec![Block::list(&words(&self.aftercare, AftercareDone::words))]),
            Section::new("What is left, and why", vec![Block::list(&words(&self.left, LeftDocument::words))]),
            Section::new("What to watch", vec![Block::list(&self.watch), Block::text(&self.estimate)]),
            self.cautions(),
        ];
        Page::new(&self.title, "Report for the customer", vec![self.vehicle.clone(), self.day.clone()])
            .lead(self.status.words())
            .sections(sections)
    }

    fn wrong(&self) -> Section {
        let mut blocks = vec![Block::list(&words(&self.wrong, WrongDocument::words))];
        blocks.extend(Block::listed("This is what showed it:", &self.found));
        blocks.extend(Block::listed("Looked at, and in order:", &self.in_order));
        Section::new("What was wrong", blocks)
    }

    fn proven(&self) -> Section {
        let mut blocks: Vec<Block> = self.done.iter().flat_map(repair).collect();
        if !self.reason.is_empty() {
            blocks.push(alert("note", "Closed all the same, because", vec![self.reason.clone()]));
        }
        Section::new("What was done, and how it was proven", blocks)
    }

    fn cautions(&self) -> Section {
        let past = self.status == StatusDocument::Proven && !self.dangers.is_empty();
        let mut blocks =
            vec![Block::text(if past { "The fault raised these dangers. Should one show again, do what stands here." } else { "" })];
        blocks.extend(self.dangers.iter().map(super::page::danger));
        blocks.push(Block::text("A reading holds for the day it was taken."));
        blocks.push(Block::text(CAUTION));
        Section::new("Cautions", blocks)
    }
}

/// A repair with its proofs.
pub fn repair(done: &DoneDocument) -> Vec<Block> {
    let mut lines: Vec<String> = done.proofs.iter().map(|p| p.words()).collect();
    lines.push(done.outcome().into());
    vec![Block::Title(done.title.clone()), Block::list(&lines)]
}

/// A list in words.
pub fn words<T>(all: &[T], one: fn(&T) -> String) -> Vec<String> {
    all.iter().map(one).collect()
}
