//! What was repaired, and how each repair was proven.

use super::case::Case;
use crate::bay::proof_words;
use crate::book::Headed;
use crate::walk::{Proof, Worth};
use schemars::JsonSchema;
use serde::Serialize;

/// A repair that was done.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DoneDocument {
    /// The fix's name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Whether the complaint was gone after it; none where not asked.
    pub gone: Option<bool>,
    /// `proven`, `in-vain` where it changed nothing, or `open`.
    pub worth: String,
    /// Its proofs.
    pub proofs: Vec<ProofDocument>,
}

/// One proof.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ProofDocument {
    /// What is read.
    pub id: String,
    /// What it must show, with its limit.
    pub must: String,
    /// What it showed, as it was given; none where it was not read.
    pub showed: Option<String>,
    /// Whether it is inside its limit.
    pub held: bool,
}

/// The repairs, in order.
pub fn done(case: &Case) -> Vec<DoneDocument> {
    let one = |(f, worth): (&crate::walk::FixDone, &Worth)| {
        let fix = &case.book.fixes[f.fix];
        let proofs = f.proofs.iter().map(|p| proof(case, p)).collect();
        DoneDocument { id: fix.name().into(), title: fix.title().into(), gone: f.gone, worth: word(worth).into(), proofs }
    };
    case.standing.fixes.iter().zip(&case.outcome.worth).map(one).collect()
}

fn word(worth: &Worth) -> &'static str {
    match worth {
        Worth::Proven(_) => "proven",
        Worth::InVain => "in-vain",
        Worth::Open => "open",
    }
}

fn proof(case: &Case, proof: &Proof) -> ProofDocument {
    let finding = &case.book.findings[proof.finding];
    let showed = proof.showed().map(String::from);
    ProofDocument { id: finding.name().into(), must: proof_words(case.book, proof.finding, proof.wanted), showed, held: proof.holds() }
}

impl ProofDocument {
    /// In words.
    pub fn words(&self) -> String {
        let showed = self.showed.as_deref().map_or("It was not read.".to_string(), |s| format!("It showed: {s}."));
        let end = match (self.held, self.showed.is_some()) {
            (true, _) => " Inside its limit: proven.",
            (false, true) => " Out of its limit: not proven.",
            (false, false) => " Not proven.",
        };
        format!("{}. {showed}{end}", self.must)
    }
}

impl DoneDocument {
    /// Whether the complaint was gone, in words; empty where not asked.
    pub fn outcome(&self) -> &'static str {
        match self.gone {
            _ if self.worth == "in-vain" => "It changed nothing: this was not the fault.",
            Some(true) => "The complaint was gone after it.",
            Some(false) => "The complaint was still there after it.",
            None => "",
        }
    }
}
