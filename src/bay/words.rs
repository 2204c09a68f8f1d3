//! Bands, proofs and conditions in words, for who must read them off a gauge.

use crate::belief::Method;
use crate::book::{Book, COUNT, Finding, Headed, Id, Need};

/// That the probabilities are estimates, and how good these are; empty where they are exact. The same words stand wherever one is shown.
pub fn estimate_words(method: Method) -> String {
    let Method::Sampled { standard_error, .. } = method else { return String::new() };
    let off = (standard_error * 100.0).ceil().max(1.0);
    format!("Too much is open for an exact answer: the probabilities are estimated, ± {off:.0} % (one standard error).")
}

/// A band with its unit: `2 to 10 mbar`, `above 140 kPa`; empty for findings without bands.
pub fn band_words(book: &Book, finding: Id<Finding>, state: usize) -> String {
    let Some(gauge) = book.findings[finding].gauge() else { return String::new() };
    let unit = if gauge.unit.text == COUNT { "" } else { &gauge.unit.text };
    let one = |(low, high): &(f64, f64)| match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("{low} to {high} {unit}"),
        (false, true) => format!("below {high} {unit}"),
        (true, false) => format!("above {low} {unit}"),
        (false, false) => "any value".into(),
    };
    let all = gauge.bands[state].iter().map(|range| one(range).trim_end().to_string());
    all.collect::<Vec<_>>().join(" or ")
}

/// What a proof must show, in one line.
pub fn proof_words(book: &Book, finding: Id<Finding>, state: usize) -> String {
    let (must, wanted) = proof_wants(book, finding, state);
    format!("{} {must}: {wanted}", proof_asks(book, finding))
}

/// What is asked for a proof: the question where it is one of yes or no, so that neither answer says its opposite.
pub fn proof_asks(book: &Book, finding: Id<Finding>) -> &str {
    let row = &book.findings[finding];
    row.question().filter(|_| row.is_yes_or_no()).unwrap_or(row.title())
}

/// What the answer to a proof must be: the lead, and the state with its band. A state may be any word: `healthy`, `follows`, `none`.
pub fn proof_wants(book: &Book, finding: Id<Finding>, state: usize) -> (&'static str, String) {
    let row = &book.findings[finding];
    if row.is_yes_or_no() {
        return ("must be answered", if state == 0 { "no" } else { "yes" }.into());
    }
    let (wanted, band) = (state_words(&row.states[state]), band_words(book, finding, state));
    ("must show", if band.is_empty() { wanted } else { format!("{wanted}, {band}") })
}

/// A state as people say it: `goes with coil`; its name in the book, which may be typed too, has dashes.
pub fn state_words(state: &str) -> String {
    state.replace('-', " ")
}

/// For which vehicles something is: `diesel and not (dpf or hybrid)`.
pub fn need_words(book: &Book, need: &Need) -> String {
    let bracketed = |part: &Need| match part {
        Need::All(_) | Need::Any(_) => format!("({})", need_words(book, part)),
        _ => need_words(book, part),
    };
    let join = |parts: &[Need], word: &str| parts.iter().map(bracketed).collect::<Vec<_>>().join(word);
    match need {
        Need::Always => "every vehicle".into(),
        Need::Has(id) => book.traits[*id].name().into(),
        Need::Not(inner) => format!("not {}", bracketed(inner)),
        Need::All(parts) => join(parts, " and "),
        Need::Any(parts) => join(parts, " or "),
    }
}

/// A weight of evidence in words, either way.
pub fn how_strongly(decibans: f64) -> &'static str {
    match decibans.abs() {
        d if d >= 20.0 => "very strongly",
        d if d >= 10.0 => "strongly",
        d if d >= 5.0 => "clearly",
        _ => "a little",
    }
}
