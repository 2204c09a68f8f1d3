//! Verdicts of cases, as text, JSON and JUnit XML.

use super::Look;
use super::weigh::MethodDocument;
use super::words::{wrap, xml};
use crate::bay::estimate_words;
use crate::cases::{Coverage, Verdict, Why};
use crate::syntax::Sources;
use serde::Serialize;

/// `test --json`.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub struct TestDocument {
    /// Version of this shape.
    pub schema: u32,
    /// Cases that passed.
    pub passed: usize,
    /// Cases that failed.
    pub failed: usize,
    /// Every case.
    pub cases: Vec<CaseDocument>,
    /// What no case touches, where asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub untouched: Option<CoverageDocument>,
}

/// One case.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub struct CaseDocument {
    /// Its name.
    pub name: String,
    /// Whether it passed.
    pub passed: bool,
    /// What was not as expected: expected, came.
    pub misses: Vec<(String, String)>,
    /// Where another cause than those expected is the likeliest: what weighs most between them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<BecauseDocument>,
    /// Checks until the repair.
    pub checks: usize,
    /// Place of each expected cause in the ranking.
    pub ranks: Vec<(String, usize)>,
    /// Where the probabilities are estimates: how good these are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub method: Option<MethodDocument>,
}

/// What weighs most, and the clause of the rules that says so.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub struct BecauseDocument {
    /// In words.
    pub words: String,
    /// The rule file.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
    /// The clause.
    pub clause: String,
}

/// What no case touches.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub struct CoverageDocument {
    /// Causes.
    pub causes: Vec<String>,
    /// Checks.
    pub checks: Vec<String>,
    /// Fixes.
    pub fixes: Vec<String>,
    /// Dangers that something raises and no case expects.
    pub hazards: Vec<String>,
    /// Share of the causes that a case touches, 0..=1.
    pub causes_covered: f64,
}

/// The document for scripts.
pub fn document(verdicts: &[Verdict], sources: &Sources, coverage: Option<&Coverage>) -> TestDocument {
    let case = |v: &Verdict| CaseDocument {
        name: v.name.clone(),
        passed: v.passed(),
        misses: v.misses.iter().map(|m| (m.expected.clone(), m.came.clone())).collect(),
        because: v.why.as_ref().map(|why| because(why, sources)),
        checks: v.driven.checks,
        ranks: v.ranks.clone(),
        method: v.method.and_then(MethodDocument::unless_exact),
    };
    let passed = verdicts.iter().filter(|v| v.passed()).count();
    let untouched = coverage.map(|c| CoverageDocument {
        causes: c.causes.clone(),
        checks: c.checks.clone(),
        fixes: c.fixes.clone(),
        hazards: c.hazards.clone(),
        causes_covered: c.causes_covered,
    });
    TestDocument { schema: 1, passed, failed: verdicts.len() - passed, cases: verdicts.iter().map(case).collect(), untouched }
}

fn because(why: &Why, sources: &Sources) -> BecauseDocument {
    let source = sources.get(why.clause.file);
    let (line, _) = sources.line_column(why.clause);
    let clause = source.text.lines().nth(line - 1).unwrap_or("").split_whitespace().collect::<Vec<_>>().join(" ");
    BecauseDocument { words: why.words.clone(), file: source.name.clone(), line, clause }
}

/// The failures, for people.
pub fn text(verdicts: &[Verdict], sources: &Sources, coverage: Option<&Coverage>, look: Look) -> String {
    let mut out = String::new();
    for verdict in verdicts.iter().filter(|v| !v.passed()) {
        out.push_str(&format!("failed: {}\n", verdict.name));
        for miss in &verdict.misses {
            out.push_str(&(wrap(&format!("expected {}", miss.expected), look.width, "  ", "    ") + "\n"));
            out.push_str(&(wrap(&format!("came     {}", miss.came), look.width, "  ", "    ") + "\n"));
        }
        if let Some(why) = &verdict.why {
            let BecauseDocument { words, file, line, clause } = because(why, sources);
            out.push_str(&(wrap(&format!("because  {words}"), look.width, "  ", "    ") + "\n"));
            out.push_str(&(wrap(&format!("{file}:{line}: {clause}"), look.width, "    ", "    ") + "\n"));
        }
    }
    let estimated = verdicts.iter().filter(|v| !estimate(v).is_empty()).map(|v| (&v.name, estimate(v)));
    for (name, estimate) in estimated {
        out.push_str(&(wrap(&format!("{name}: {estimate}"), look.width, "", "  ") + "\n"));
    }
    if let Some(c) = coverage {
        for (kind, names) in [("causes", &c.causes), ("checks", &c.checks), ("fixes", &c.fixes), ("hazards", &c.hazards)] {
            let named = if names.is_empty() { String::new() } else { format!(": {}", names.join(", ")) };
            out.push_str(&(wrap(&format!("{kind} that no case touches ({}){named}", names.len()), look.width, "", "  ") + "\n"));
        }
        out.push_str(&format!("{:.0} % of the causes are touched by a case\n", c.causes_covered * 100.0));
    }
    out
}

fn estimate(verdict: &Verdict) -> String {
    verdict.method.map_or(String::new(), estimate_words)
}

/// JUnit XML, as CI systems read it; with the seconds that each case took, and all of them.
pub fn junit(verdicts: &[Verdict], seconds: &[f64], sources: &Sources, all: f64) -> String {
    let failed = verdicts.iter().filter(|v| !v.passed()).count();
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites><testsuite name=\"faultbook\" tests=\"{}\" failures=\"{failed}\" errors=\"0\" time=\"{:.3}\">\n",
        verdicts.len(),
        all
    );
    for (verdict, seconds) in verdicts.iter().zip(seconds) {
        out.push_str(&format!("<testcase name=\"{}\" classname=\"cases\" time=\"{seconds:.3}\">", xml(&verdict.name)));
        let why = verdict.why.as_ref().map(|why| because(why, sources));
        let why = why.map_or(String::new(), |b| format!("; because {} ({}:{}: {})", b.words, b.file, b.line, b.clause));
        for miss in &verdict.misses {
            let came = format!("came {}{why} {}", miss.came, estimate(verdict)).trim_end().to_string();
            out.push_str(&format!("<failure message=\"expected {}\">{}</failure>", xml(&miss.expected), xml(&came)));
        }
        out.push_str("</testcase>\n");
    }
    out + "</testsuite></testsuites>\n"
}
