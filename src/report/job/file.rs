//! The report for the file: all evidence in order, the journal with its times, the book it was made with, the costs.

use super::case::Case;
use super::chart::{ChartDocument, charts};
use super::costs::{CostsDocument, costs};
use super::customer::{StatusDocument, repair, words};
use super::history::{EntryDocument, history};
use super::left::{LeftDocument, left};
use super::page::{Block, Page, Section, alert, danger};
use super::proofs::{DoneDocument, done};
use super::story::{self, AftercareDone, WrongDocument};
use super::{CAUTION, SCHEMA};
use crate::bay::estimate_words;
use crate::book::{FindingKind, Headed};
use crate::job::{CodeStatus, Entry, Event, Observation};
use crate::report::plan::HazardDocument;
use crate::report::seen::observation;
use crate::report::weigh::{MethodDocument, ranked};
use crate::report::words::{minutes, money, number, percent};
use schemars::JsonSchema;
use serde::Serialize;

/// `report --for file`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FileDocument {
    /// Version of this shape.
    pub schema: u32,
    /// The job's title.
    pub title: String,
    /// The day, as written.
    pub day: String,
    /// How the job stands.
    pub status: StatusDocument,
    /// Why it was closed with something open; empty where nothing was.
    pub reason: String,
    /// The book of this report.
    pub book: BookDocument,
    /// First figures of the digests of other books that answers were given under.
    pub other_books: Vec<String>,
    /// What the sheet says of vehicle, complaint and scan: a name and its words.
    pub intake: Vec<(String, String)>,
    /// Everything seen, in order.
    pub evidence: Vec<EvidenceDocument>,
    /// Dangers raised.
    pub dangers: Vec<HazardDocument>,
    /// Causes that may be there now by all that was seen, likeliest first, each with its probability; what was put right is not among them.
    pub causes: Vec<(String, f64)>,
    /// What is going on: states that are likelier there than not and end with their root, with their probability.
    pub conditions: Vec<(String, f64)>,
    /// What was wrong.
    pub wrong: Vec<WrongDocument>,
    /// Repairs with their proofs.
    pub done: Vec<DoneDocument>,
    /// What was measured.
    pub charts: Vec<ChartDocument>,
    /// What is still wrong, and why it was left.
    pub left: Vec<LeftDocument>,
    /// What followed the repair.
    pub aftercare: Vec<AftercareDone>,
    /// The journal.
    pub journal: Vec<EntryDocument>,
    /// Files attached and drives logged, by path.
    pub attachments: Vec<String>,
    /// The costs.
    pub costs: CostsDocument,
    /// Where the probabilities are estimates: how good these are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub method: Option<MethodDocument>,
    /// The same in words.
    #[serde(skip)]
    pub estimate: String,
}

/// Which book.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BookDocument {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Its version.
    pub version: String,
    /// SHA-256 of its texts, hexadecimal.
    pub digest: String,
}

/// One thing seen.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EvidenceDocument {
    /// The finding's name.
    pub id: String,
    /// What was seen, in words.
    pub words: String,
    /// Its state.
    pub state: String,
    /// Whether it is anything but normal.
    pub abnormal: bool,
    /// Whether it is a trouble code that was looked for and is not stored.
    #[serde(skip)]
    pub absent_code: bool,
}

/// Makes the document.
pub fn file(case: &Case) -> FileDocument {
    let about = &case.book.about;
    let fault = |(c, _): &(usize, f64)| !case.book.causes[case.a.bay.car.causes[*c]].is_condition();
    let there = |(_, p): &(usize, f64)| *p > 0.0;
    let causes = ranked(&case.a.beliefs.causes, usize::MAX).into_iter().filter(there).filter(fault).take(8);
    let conditions = case.a.conditions().into_iter().map(|(c, p)| (case.book.causes[c].title().to_string(), p));
    FileDocument {
        schema: SCHEMA,
        title: case.title().into(),
        day: case.day().into(),
        status: StatusDocument::of(case),
        reason: case.sheet.closed.as_ref().map_or(String::new(), |c| c.reason.clone()),
        book: BookDocument {
            name: about.name.clone(),
            title: about.title.clone(),
            version: about.version.clone(),
            digest: about.digest.clone(),
        },
        other_books: other_books(case),
        intake: intake(case),
        evidence: case.seen().map(|o| evidence(case, o)).collect(),
        dangers: story::dangers(case),
        causes: causes.map(|(c, p)| (case.book.causes[case.a.bay.car.causes[c]].title().into(), p)).collect(),
        conditions: conditions.collect(),
        wrong: story::wrong(case),
        done: done(case),
        charts: charts(case),
        left: left(case),
        aftercare: story::aftercare(case),
        journal: history(case),
        attachments: attachments(case),
        costs: costs(case),
        method: MethodDocument::unless_exact(case.a.beliefs.method),
        estimate: estimate_words(case.a.beliefs.method),
    }
}

fn other_books(case: &Case) -> Vec<String> {
    let mut out: Vec<String> = case.sheet.journal.iter().map(|e| e.book.clone()).collect();
    out.retain(|b| !case.book.about.digest.starts_with(b.as_str()));
    out.dedup();
    out
}

fn evidence(case: &Case, o: &Observation) -> EvidenceDocument {
    let finding = &case.book.findings[o.finding];
    EvidenceDocument {
        id: finding.name().into(),
        words: observation(case.book, o),
        state: finding.states[o.likeliest_state()].clone(),
        abnormal: o.abnormal(),
        absent_code: !o.abnormal() && matches!(finding.kind, FindingKind::Code(_)),
    }
}

fn attachments(case: &Case) -> Vec<String> {
    let path = |event| if let Event::Attached(path) = event { Some(path) } else { None };
    let attached = case.sheet.journal.iter().map(Entry::event).filter_map(path);
    attached.chain(case.sheet.logs.iter().cloned()).collect()
}

/// What the sheet says, the answers of the walk in it; what it does not say is left out.
fn intake(case: &Case) -> Vec<(String, String)> {
    let sheet = &case.standing.sheet;
    let codes = sheet.scan.codes.iter().map(|c| format!("{}{}", c.code(), status(c.status())));
    let scan = [("every module read", sheet.scan.complete), ("memory cleared a short while before", sheet.scan.cleared)];
    let scan: Vec<&str> = scan.iter().filter(|(_, yes)| *yes).map(|(w, _)| *w).collect();
    let fix = |name: &String| case.book.fixes.find(name).map_or(name.clone(), |id| case.book.fixes[id].title().to_string());
    let repaired: Vec<String> = sheet.complaint.repaired_before.iter().map(fix).collect();
    let lines = [
        ("Vehicle", sheet.vehicle.note.clone()),
        ("Fitted", sheet.vehicle.fitted.join(", ")),
        ("Not fitted", sheet.vehicle.not_fitted.join(", ")),
        ("Customer's words", sheet.complaint.words.clone()),
        ("Done before", sheet.complaint.done_before.join("; ")),
        ("Repaired before", repaired.join("; ")),
        ("Codes", codes.collect::<Vec<_>>().join(", ")),
        ("Scan", scan.join("; ")),
        ("Codes without a rule", case.a.intake.unknown_codes.iter().map(|u| u.code.clone()).collect::<Vec<_>>().join(", ")),
        ("Left out", case.a.intake.left_out.join("; ")),
    ];
    lines.into_iter().filter(|(_, text)| !text.is_empty()).map(|(name, text)| (name.to_string(), text)).collect()
}

fn status(status: CodeStatus) -> &'static str {
    match status {
        CodeStatus::Confirmed => "",
        CodeStatus::Pending => " (pending)",
        CodeStatus::Permanent => " (permanent)",
        CodeStatus::History => " (history)",
    }
}

impl FileDocument {
    /// Lays it out.
    pub fn page(&self) -> Page {
        let intake = self.intake.iter().map(|(name, text)| vec![name.clone(), text.clone()]).collect();
        // a whole scan has hundreds of codes that are not there: one line
        let (absent, shown): (Vec<_>, Vec<_>) = self.evidence.iter().partition(|e| e.absent_code);
        let absent = (!absent.is_empty()).then(|| format!("Looked for and not stored: {} trouble codes", absent.len()));
        let rows = shown.into_iter().map(|e| e.words.clone()).chain(absent);
        let evidence = rows.enumerate().map(|(i, words)| vec![format!("{}", i + 1), words]).collect();
        let going_on: Vec<String> = self.conditions.iter().map(|(title, p)| format!("{title}: {}", percent(*p))).collect();
        let causes: Vec<String> = self.causes.iter().map(|(title, p)| format!("{title}: {}", percent(*p))).collect();
        let sections = [
            Section::new("Intake", vec![Block::table(&["What", "As given"], intake)]),
            Section::new("Dangers", self.dangers.iter().map(danger).collect()),
            Section::new("Evidence, in order", vec![Block::table(&["No.", "Seen"], evidence)]),
            Section::new("What is going on", vec![Block::list(&going_on)]),
            Section::new("What may be there now, by all that was seen", vec![Block::list(&causes), Block::text(&self.estimate)]),
            Section::new("What was wrong", vec![Block::list(&words(&self.wrong, WrongDocument::words))]),
            self.repairs(),
            Section::new("What is left, and why", vec![Block::list(&words(&self.left, LeftDocument::words))]),
            Section::new("Readings", self.charts.iter().cloned().map(Block::Chart).collect()),
            Section::new("After the repair", vec![Block::list(&words(&self.aftercare, AftercareDone::words))]),
            Section::new("Journal", vec![Block::table(&["Time (UTC)", "What", "Answer"], self.journal.iter().map(entry).collect())]),
            Section::new("Attached", vec![Block::list(&self.attachments)]),
            self.costs(),
            self.book(),
        ];
        Page::new(&self.title, "Report for the file", vec![self.day.clone()]).lead(self.status.words()).sections(sections)
    }

    fn repairs(&self) -> Section {
        let mut blocks: Vec<Block> = self.done.iter().flat_map(repair).collect();
        if !self.reason.is_empty() {
            blocks.push(alert("note", "Closed all the same, because", vec![self.reason.clone()]));
        }
        Section::new("Repairs and their proofs", blocks)
    }

    fn costs(&self) -> Section {
        let c = &self.costs;
        let price = |x: f64| format!("{} {}", money(x), c.currency).trim_end().to_string();
        let mut rows: Vec<Vec<String>> =
            c.lines.iter().map(|l| vec![l.what.clone(), number(l.minutes), price(l.parts), price(l.cost)]).collect();
        if rows.is_empty() {
            return Section::new("Costs", vec![]);
        }
        rows.push(vec!["All".into(), number(c.minutes), String::new(), price(c.total)]);
        let waits = if c.waits > 0.0 { format!(", and {} of waiting, which costs less", minutes(c.waits)) } else { String::new() };
        let note = format!("By the book's times and prices, {} for an hour of work: {} in all{waits}.", price(c.rate), minutes(c.minutes));
        Section::new("Costs", vec![Block::Text(note), Block::table(&["What", "Minutes", "Parts", "Cost"], rows)])
    }

    fn book(&self) -> Section {
        let b = &self.book;
        let mut lines = vec![format!("{} ({}), version {}", b.title, b.name, b.version), format!("SHA-256 of its rules: {}", b.digest)];
        if !self.other_books.is_empty() {
            lines.push(format!("Some answers were given under other versions of the rules: {}.", self.other_books.join(", ")));
        }
        Section::new("The book of rules", vec![Block::list(&lines), Block::text(CAUTION)])
    }
}

fn entry(e: &EntryDocument) -> Vec<String> {
    let at = e.at.trim_end_matches('Z').replace('T', " ");
    let back = if e.taken_back { " (taken back)" } else { "" };
    vec![at, e.what.clone(), format!("{}{back}", e.words)]
}
