//! What is known of a car, as text: findings, codes without a rule, questions still open.

use super::Look;
use super::words::{heading, number, wrap};
use crate::book::{Book, FindingKind, Fix, Headed, Id};
use crate::job::{Evidence, Observation, Shown};

/// The page part.
pub fn text(book: &Book, evidence: &Evidence, look: Look) -> String {
    let mut out = String::new();
    let abnormal: Vec<&Observation> = evidence.seen.iter().filter(|o| o.abnormal()).collect();
    if !abnormal.is_empty() {
        out.push_str(&heading("What is wrong"));
        abnormal.iter().for_each(|o| out.push_str(&line(&observation(book, o), look)));
        out.push('\n');
    }
    let quiet = |o: &&Observation| !o.abnormal() && !is_code(book, o) && !counts_codes(book, o);
    let fine: Vec<String> = evidence.seen.iter().filter(quiet).map(|o| observation(book, o)).collect();
    if !fine.is_empty() {
        out.push_str(&heading("What is in order"));
        fine.iter().for_each(|f| out.push_str(&line(f, look)));
        out.push('\n');
    }
    if !evidence.repaired.is_empty() {
        out.push_str(&heading("Repaired before"));
        let words = |f: &Id<Fix>| format!("{}: what it cures is less likely now, not ruled out", book.fixes[*f].title());
        evidence.repaired.iter().for_each(|f| out.push_str(&line(&words(f), look)));
        out.push('\n');
    }
    if !evidence.periods.is_empty() {
        out.push_str(&heading("Repaired since"));
        evidence.periods.iter().for_each(|p| out.push_str(&line(book.fixes[p.fix].title(), look)));
        out.push('\n');
    }
    if !evidence.unknown_codes.is_empty() {
        out.push_str(&heading("Codes that no rule explains"));
        evidence.unknown_codes.iter().for_each(|u| out.push_str(&line(&format!("{}: {}", u.code, u.title), look)));
        out.push('\n');
    }
    for left in &evidence.left_out {
        out.push_str(&line(&format!("Left out: {left}."), look));
    }
    out + &unheard(book, evidence, look)
}

/// Words that no symptom hears, and the symptoms nearest to them: else they would be lost.
fn unheard(book: &Book, evidence: &Evidence, look: Look) -> String {
    if evidence.unheard.is_empty() && evidence.near.is_empty() {
        return String::new();
    }
    let plain = |text: &str| wrap(text, look.width, "", "") + "\n";
    let mut out = heading("The customer's words");
    if !evidence.unheard.is_empty() {
        out.push_str(&plain(&format!("Of the customer's words no symptom of the book hears “{}”.", evidence.unheard)));
    }
    for (i, id) in evidence.near.iter().enumerate() {
        let lead = if i == 0 { "Nearest to them:\n" } else { "" };
        out.push_str(&format!("{lead}{}", line(&format!("{} ({})", book.findings[*id].title(), book.findings[*id].name()), look)));
    }
    let named = if evidence.near.is_empty() { "" } else { "If it is one of these: `--symptom NAME`. " };
    let others = "Or say it in other words. `faultbook explain symptoms` lists all symptoms, `faultbook walk JOB` lets you choose.";
    out + &plain(&format!("{named}{others}")) + "\n"
}

fn line(text: &str, look: Look) -> String {
    wrap(text, look.width, "- ", "  ") + "\n"
}

fn is_code(book: &Book, o: &Observation) -> bool {
    matches!(book.findings[o.finding].kind, FindingKind::Code(_))
}

/// A count of codes is worked out: where none is stored, nobody looked at anything.
fn counts_codes(book: &Book, o: &Observation) -> bool {
    book.findings[o.finding].gauge().is_some_and(|g| !g.counts.is_empty())
}

/// One observation in words.
pub fn observation(book: &Book, o: &Observation) -> String {
    let finding = &book.findings[o.finding];
    let state = &finding.states[o.likeliest_state()];
    match (&finding.kind, o.shown) {
        (FindingKind::Code(code), Shown::State(0)) => format!("Not stored: {code}"),
        (FindingKind::Code(code), _) => format!("{code}: {}", finding.title()),
        (FindingKind::Symptom { .. }, Shown::State(0)) => format!("Not: {}", finding.title()),
        (FindingKind::Symptom { .. }, _) => finding.title().to_string(),
        (FindingKind::Reading(gauge), Shown::Value(value)) => {
            let near = if o.weights.iter().filter(|w| **w > 0.05).count() > 1 { ", close to the limit" } else { "" };
            format!("{}: {} {} ({state}{near})", finding.title(), number(value), gauge.unit.text)
        }
        _ => format!("{}: {state}", finding.title()),
    }
}
