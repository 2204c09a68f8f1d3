//! Two books compared, as text and as JSON.

use super::Look;
use super::job::escape;
use super::weigh::MethodDocument;
use super::words::{heading, money, percent, wrap};
use crate::bay::estimate_words;
use crate::compare::{Change, Effect, Outcome};
use schemars::JsonSchema;
use serde::Serialize;

/// `compare --json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CompareDocument {
    /// Version of this shape.
    pub schema: u32,
    /// What changed.
    pub changes: Vec<ChangeDocument>,
    /// How many cases and jobs were planned by both books.
    pub tried: usize,
    /// Cars whose plans differ.
    pub plans: Vec<EffectDocument>,
}

/// One change.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ChangeDocument {
    /// Kind and name.
    pub block: String,
    /// `new`, `gone` or `changed`.
    pub change: String,
    /// The facts that differ: of what, before, after.
    pub facts: Vec<(String, String, String)>,
}

/// One plan that differs.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EffectDocument {
    /// The case or job.
    pub name: String,
    /// Before.
    pub before: OutcomeDocument,
    /// After.
    pub after: OutcomeDocument,
}

/// What comes out.
#[derive(Debug, Default, Serialize, JsonSchema)]
pub struct OutcomeDocument {
    /// The likeliest cause.
    pub likeliest: String,
    /// Its probability.
    pub probability: f64,
    /// The first step.
    pub first: String,
    /// Expected cost.
    pub expected_cost: f64,
    /// Where the probabilities are estimates: how good these are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub method: Option<MethodDocument>,
    /// Why nothing came out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub error: Option<String>,
}

/// The document for scripts.
pub fn document(changes: &[Change], effects: &[Effect], tried: usize) -> CompareDocument {
    let change = |c: &Change| match c {
        Change::New { block, .. } => ChangeDocument { block: block.clone(), change: "new".into(), facts: vec![] },
        Change::Gone { block, .. } => ChangeDocument { block: block.clone(), change: "gone".into(), facts: vec![] },
        Change::Changed { block, facts } => ChangeDocument { block: block.clone(), change: "changed".into(), facts: facts.clone() },
    };
    let plans = effects.iter().map(|e| EffectDocument { name: e.name.clone(), before: outcome(&e.before), after: outcome(&e.after) });
    CompareDocument { schema: 1, changes: changes.iter().map(change).collect(), tried, plans: plans.collect() }
}

fn outcome(outcome: &Result<Outcome, String>) -> OutcomeDocument {
    match outcome {
        Ok(o) => OutcomeDocument {
            likeliest: o.likeliest.clone(),
            probability: o.probability,
            first: o.first.clone(),
            expected_cost: o.cost,
            method: MethodDocument::unless_exact(o.method),
            error: None,
        },
        Err(e) => OutcomeDocument { error: Some(e.clone()), ..OutcomeDocument::default() },
    }
}

/// How many plans differ, and in what.
fn summary(effects: &[Effect], tried: usize) -> String {
    let pairs = || effects.iter().filter_map(|e| Some((e.before.as_ref().ok()?, e.after.as_ref().ok()?)));
    let first = pairs().filter(|(a, b)| a.first != b.first).count();
    let likeliest = pairs().filter(|(a, b)| a.likeliest != b.likeliest).count();
    format!("{} of {tried} cars get another plan: {first} another first step, {likeliest} another likeliest cause.", effects.len())
}

/// The page for people.
pub fn text(changes: &[Change], effects: &[Effect], tried: usize, look: Look) -> String {
    let line = |lead: &str, text: &str| wrap(text, look.width, lead, "      ") + "\n";
    let mut out = heading("What changed");
    if changes.is_empty() {
        out.push_str("Nothing, in meaning.\n");
    }
    for change in changes {
        match change {
            Change::New { block, title } => out.push_str(&line("new:  ", &format!("{block}: {title}"))),
            Change::Gone { block, title } => out.push_str(&line("gone: ", &format!("{block}: {title}"))),
            Change::Changed { block, facts } => {
                out.push_str(&line("", block));
                for (of, before, after) in facts {
                    let said = |s: &str| if s.is_empty() { "nothing".to_string() } else { s.to_string() };
                    out.push_str(&line("  ", &format!("{of}: {} -> {}", said(before), said(after))));
                }
            }
        }
    }
    out.push('\n');
    out.push_str(&heading("What it does to plans"));
    out.push_str(&line("", &summary(effects, tried)));
    for effect in effects {
        out.push_str(&line("- ", &effect.name));
        match (&effect.before, &effect.after) {
            (Ok(a), Ok(b)) => {
                if a.likeliest != b.likeliest {
                    out.push_str(&line(
                        "    ",
                        &format!("likeliest: {} {} -> {} {}", a.likeliest, percent(a.probability), b.likeliest, percent(b.probability)),
                    ));
                }
                if a.first != b.first {
                    out.push_str(&line("    ", &format!("first: {} -> {}", a.first, b.first)));
                }
                out.push_str(&line("    ", &format!("expected cost: {} -> {}", money(a.cost), money(b.cost))));
                // of the two the one that is an estimate, else the newer
                let said = [b.method, a.method].map(estimate_words).into_iter().find(|words| !words.is_empty());
                said.iter().for_each(|words| out.push_str(&line("    ", words)));
            }
            (a, b) => {
                let said = |r: &Result<Outcome, String>| r.as_ref().map_or_else(Clone::clone, |o| o.first.clone());
                out.push_str(&line("    ", &format!("{} -> {}", said(a), said(b))));
            }
        }
    }
    out
}

/// The page for a review, in Markdown.
pub fn markdown(changes: &[Change], effects: &[Effect], tried: usize) -> String {
    let said = |s: &str| if s.is_empty() { "nothing".to_string() } else { escape(s) };
    let mut out = String::from("## What changed\n\n");
    if changes.is_empty() {
        out.push_str("Nothing, in meaning.\n");
    }
    for change in changes {
        match change {
            Change::New { block, title } => out.push_str(&format!("- new: **{}** {}\n", escape(block), escape(title))),
            Change::Gone { block, title } => out.push_str(&format!("- gone: **{}** {}\n", escape(block), escape(title))),
            Change::Changed { block, facts } => {
                let facts = facts.iter().map(|(of, before, after)| format!("{}: {} → {}", escape(of), said(before), said(after)));
                out.push_str(&format!("- **{}**: {}\n", escape(block), facts.collect::<Vec<_>>().join("; ")));
            }
        }
    }
    out.push_str(&format!("\n## What it does to plans\n\n{}\n", escape(&summary(effects, tried))));
    if !effects.is_empty() {
        out.push_str("\n| car | likeliest cause | first step | expected cost |\n|---|---|---|---|\n");
    }
    for effect in effects {
        let both = |of: &dyn Fn(&Outcome) -> String| {
            let one = |r: &Result<Outcome, String>| escape(&r.as_ref().map_or_else(Clone::clone, of));
            let (before, after) = (one(&effect.before), one(&effect.after));
            if before == after { after } else { format!("{before} → {after}") }
        };
        let likeliest = both(&|o| format!("{} {}", o.likeliest, percent(o.probability)));
        let (first, cost) = (both(&|o| o.first.clone()), both(&|o| money(o.cost)));
        out.push_str(&format!("| {} | {likeliest} | {first} | {cost} |\n", escape(&effect.name)));
    }
    out
}
