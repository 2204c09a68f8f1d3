//! A step that takes away what keeps people or air safe.

use super::prelude::*;
use crate::book::Head;

pub const LINT: Lint = Lint::book("FB227", "defeated-equipment", Severity::Error, check);

/// What such a step is called. Common practice, no source.
const DEFEATS: &[&str] = &[
    "delete", "blank off", "blanked off", "gut the", "hollow out", "code out", "coded out", "map out", "mapped out", "remap without",
    "disable", "bypass the", "fool the", "cheat the", "remove for good",
];

/// What must stay: emission equipment (42 USC 7522(a)(3); UK C&U Regulations 1986, reg. 61A) and what protects people.
const PROTECTED: &[&str] = &[
    "particulate filter", "dpf", "egr", "catalyst", "catalytic", "reagent", "scr", "urea", "oxygen sensor", "lambda", "airbag",
    "pretensioner", "seat belt", "anti-lock", "abs", "stability", "immobiliser", "interlock", "monitor",
];

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    let checks = book.checks.iter().map(|(_, c)| (&c.head, c.does.clone()));
    let fixes = book.fixes.iter().map(|(_, f)| (&f.head, f.does.clone()));
    let aftercare = book.aftercare.iter().map(|(_, a)| (&a.head, a.does.iter().chain(&a.if_refused).cloned().collect()));
    for (head, does) in checks.chain(fixes).chain(aftercare) {
        let said = std::iter::once(&head.title).chain(&does);
        if let Some(what) = said.flat_map(|text| text.split_inclusive(['.', ';', ':'])).find_map(defeats) {
            found.push(remark(head, what));
        }
    }
}

/// The protected thing that a sentence does away with; a sentence that says not to is none.
fn defeats(sentence: &str) -> Option<&'static str> {
    let text = sentence.to_lowercase();
    let starts = subject::word_starts(&text);
    let has = |phrase: &str| subject::has_words(&starts, phrase);
    if !DEFEATS.iter().any(|d| has(d)) || ["never ", "not ", "no ", "illegal", "against the law"].iter().any(|w| has(w)) {
        return None;
    }
    PROTECTED.iter().find(|p| has(p)).copied()
}

fn remark(head: &Head, what: &str) -> Remark {
    let message = format!("`{}` seems to defeat equipment that must work ({what})", head.name);
    let remark = Remark::new(LINT.code, message, head.span, "removing or defeating it is never a repair");
    remark.help("name the repair that makes it work again")
}
