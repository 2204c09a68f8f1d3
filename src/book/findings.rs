//! Blocks -> findings: states, bands, strays.

use super::codes::*;
use super::names::Names;
use super::table::{Id, Table};
use super::types::{Accuracy, Channel, Finding, FindingKind, Gauge, Hazard};
use super::units::{Dimension, Unit};
use super::window::{self, Window};
use super::{bands, clauses, code_table, dtc::Dtc};
use crate::syntax::{Block, Clause, Keyword, Kind, Push, Range, Remark, Value, Word, nearest};

/// Makes a finding of a block; `stray` is the book's own for findings that give none.
pub fn finding(names: &mut Names, block: &Block, stray: f64, channels: &Table<Channel>) -> Option<Finding> {
    let mut head = names.head(block);
    let (kind, states) = match block.kind.value {
        Kind::Symptom => (symptom(block), two("absent", "present")),
        Kind::Code => {
            let code = code(names, &block.name)?;
            if block.title.is_none() {
                head.title = code_table::title(code).unwrap_or_else(|| code.structure());
            }
            (FindingKind::Code(code), two("absent", "present"))
        }
        Kind::Reading => reading(names, block, channels)?,
        _ => {
            let (ask, past) = (clauses::text(block, Keyword::Ask), clauses::one(block, Keyword::Past).is_some());
            (FindingKind::Sign { ask, past }, states(names, block))
        }
    };
    let lasting = lasting(names, block);
    let mut finding = Finding { head, kind, states, stray: vec![], hazards: vec![], lasting };
    finding.stray = strays(names, block, &finding, stray);
    finding.hazards = hazards(names, block, &finding);
    Some(finding)
}

fn two(normal: &str, other: &str) -> Vec<String> {
    vec![normal.into(), other.into()]
}

/// Signs last where nothing else is said: what an inspection shows is there with the fault asleep too. The rest passes with the fault.
fn lasting(names: &mut Names, block: &Block) -> bool {
    match (clauses::one(block, Keyword::Lasting), clauses::one(block, Keyword::Passing)) {
        (Some(_), Some(passing)) => {
            let message = format!("`{}` is said both to last and to pass", block.name.value);
            names.remark(LASTING_AND_PASSING, message, passing.span, "against the other clause", "keep one of the two");
            true
        }
        (None, None) => block.kind.value == Kind::Sign,
        (lasting, _) => lasting.is_some(),
    }
}

fn symptom(block: &Block) -> FindingKind {
    FindingKind::Symptom {
        ask: clauses::text(block, Keyword::Ask),
        heard: clauses::texts(block, Keyword::Heard),
        always_ask: clauses::one(block, Keyword::AlwaysAsk).is_some(),
        circumstance: clauses::one(block, Keyword::Circumstance).is_some(),
    }
}

fn code(names: &mut Names, word: &Word) -> Option<Dtc> {
    match Dtc::parse(&word.value) {
        Ok(code) => Some(code),
        Err(error) => {
            let message = format!("`{}` is no trouble code", word.value);
            names.remark(NO_SUCH_CODE, message, word.span, "here", &error.to_string());
            None
        }
    }
}

fn states(names: &mut Names, block: &Block) -> Vec<String> {
    let words: Vec<&Word> = clauses::names(block, Keyword::States);
    if words.is_empty() {
        return two("no", "yes");
    }
    let mut out: Vec<String> = Vec::new();
    for word in words {
        if out.contains(&word.value) {
            names.remark(TIED_TWICE, format!("`{}` is a state twice", word.value), word.span, "again here", "give each state its own word");
        } else {
            out.push(word.value.clone());
        }
    }
    if out.len() < 2 {
        let span = clauses::one(block, Keyword::States).map_or(block.span, |c| c.span);
        names.remark(
            CLAUSE_MISSING,
            "a sign has two states at least".into(),
            span,
            "only one here",
            "write the normal one first: `states tight, split`",
        );
        out.push("other".into());
    }
    out
}

fn reading(names: &mut Names, block: &Block, channels: &Table<Channel>) -> Option<(FindingKind, Vec<String>)> {
    let Some(Value::Unit(word)) = clauses::one(block, Keyword::Unit).map(|c| &c.value) else {
        let message = format!("`{}` has no unit", block.name.value);
        names.remark(
            CLAUSE_MISSING,
            message,
            block.name.span,
            "expected a `unit` clause",
            "say what it is read in: `unit kPa`, or `unit count` for a plain number",
        );
        return None;
    };
    let unit = names.unit(word)?;
    let (states, bands) = read_bands(names, block, &unit);
    let window = drive_window(names, block, &unit, channels);
    let accuracy = accuracy(names, block, &unit);
    let counts = clauses::names(block, Keyword::Counts).into_iter().filter_map(|word| code(names, word)).collect();
    Some((FindingKind::Reading(Box::new(Gauge { unit, accuracy, bands, window, counts })), states))
}

fn drive_window(names: &mut Names, block: &Block, unit: &Unit, channels: &Table<Channel>) -> Option<Window> {
    let clause = clauses::one(block, Keyword::From)?;
    let Value::Window(written) = &clause.value else { return None };
    window::window(names, written, clause.span, unit, channels)
}

fn accuracy(names: &mut Names, block: &Block, unit: &Unit) -> Option<Accuracy> {
    let quantity = clauses::quantity(block, Keyword::Accurate)?;
    if quantity.number < 0.0 {
        names.remark(NEGATIVE, "an accuracy can't be below zero".into(), quantity.span, "below zero", "write the width to one side");
        return None;
    }
    let Some(word) = &quantity.unit else { return Some(Accuracy::Absolute(quantity.number)) };
    // of a reading that is itself a ratio, `1 %` can only mean one point
    if word.value == "%" && unit.dimension != Dimension::Ratio {
        return Some(Accuracy::Relative(quantity.number / 100.0));
    }
    match unit.convert_width(quantity.number, &word.value) {
        Ok(width) => Some(Accuracy::Absolute(width)),
        Err(error) => {
            names.bad_unit(word, unit, &error);
            None
        }
    }
}

/// The bands in order, pieces of one name together.
fn read_bands(names: &mut Names, block: &Block, unit: &Unit) -> (Vec<String>, Vec<Vec<(f64, f64)>>) {
    let mut states: Vec<String> = Vec::new();
    let mut ranges: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut pieces = Vec::new();
    let mut sound = true;
    for clause in clauses::every(block, Keyword::Band) {
        let Value::Band { name, ranges: written } = &clause.value else { continue };
        let at = states.iter().position(|s| *s == name.value).unwrap_or_else(|| {
            states.push(name.value.clone());
            ranges.push(vec![]);
            states.len() - 1
        });
        for range in written {
            match interval(names, range, unit) {
                Some((low, high)) => {
                    ranges[at].push((low, high));
                    pieces.push(bands::Piece { low, high, span: clause.span });
                }
                None => sound = false,
            }
        }
    }
    if sound {
        names.remarks.extend(bands::check(&block.name.value, &pieces, block.name.span));
    }
    while states.len() < 2 {
        states.push(format!("other-{}", states.len()));
        ranges.push(vec![]);
    }
    (states, ranges)
}

/// A range in the given unit, infinite where it is open.
pub fn interval(names: &mut Names, range: &Range, unit: &Unit) -> Option<(f64, f64)> {
    Some(match range {
        Range::Below(q) => (f64::NEG_INFINITY, names.in_unit(q, unit)?),
        Range::Above(q) => (names.in_unit(q, unit)?, f64::INFINITY),
        // `80 to 140 kPa`: the unit stands once
        Range::Between(low, high) => {
            let shared = crate::syntax::Quantity { unit: low.unit.clone().or_else(|| high.unit.clone()), ..low.clone() };
            (names.in_unit(&shared, unit)?, names.in_unit(high, unit)?)
        }
    })
}

/// What is left of a stray clause that names states: an amendment leaves the states it does not name as they are below.
fn strays(names: &mut Names, block: &Block, finding: &Finding, default: f64) -> Vec<f64> {
    let count = finding.states.len() - 1;
    let Some(clause) = clauses::one(block, Keyword::Stray) else { return vec![default / count as f64; count] };
    let Value::Strays(pushes) = &clause.value else { return vec![0.0; count] };
    let (named, plain): (Vec<Push>, Vec<Push>) = pushes.iter().cloned().partition(|p| p.state.is_some());
    let rest = match plain.as_slice() {
        [one] if count > 1 && (named.is_empty() || clause.amends) => names.chance(&one.chance, Keyword::Stray).unwrap_or(0.0),
        [] if clause.amends => default,
        _ => return push_vector(names, pushes, finding, clause),
    };
    let mut out = push_vector(names, &named, finding, clause);
    for (at, chance) in out.iter_mut().enumerate() {
        let said = named.iter().any(|p| p.state.as_ref().is_some_and(|s| s.value == finding.states[at + 1]));
        *chance = if said { *chance } else { rest / count as f64 };
    }
    out
}

/// Chances by state: state `k` at `k - 1`.
pub fn push_vector(names: &mut Names, pushes: &[Push], finding: &Finding, clause: &Clause) -> Vec<f64> {
    let span = clause.span;
    let broken = names.is_broken(&finding.head.name);
    let mut out = vec![0.0; finding.states.len() - 1];
    for push in pushes {
        let (Some(state), Some(chance)) = (pushed_state(names, push, finding), names.chance(&push.chance, clause.keyword.value)) else {
            continue;
        };
        if state == 0 && broken {
            continue;
        }
        if state == 0 {
            let at = push.state.as_ref().map_or(span, |s| s.span);
            names.remark(
                MEANINGLESS_PUSH,
                format!("`{}` is the normal state of `{}`", finding.states[0], finding.head.name),
                at,
                "nothing is pushed there",
                "name one of the states after it",
            );
            continue;
        }
        if out[state - 1] > 0.0 {
            names.remark(
                MEANINGLESS_PUSH,
                format!("`{}` of `{}` is named twice", finding.states[state], finding.head.name),
                push.chance.span(),
                "again here",
                "once is enough",
            );
        }
        out[state - 1] = chance;
    }
    let sum: f64 = out.iter().sum();
    if sum > 1.0 + 1e-9 {
        let message = format!("the chances for `{}` sum to {:.0} %", finding.head.name, sum * 100.0);
        names.remark(CHANCES_TOO_MANY, message, span, "100 % at most", "what is left of 100 % is the chance that it shows nothing");
    }
    out
}

fn pushed_state(names: &mut Names, push: &Push, finding: &Finding) -> Option<usize> {
    match &push.state {
        Some(word) => state(names, word, finding),
        None if finding.states.len() == 2 => Some(1),
        None if names.is_broken(&finding.head.name) => None,
        None => {
            let message = format!("`{}` has more than one state that is not normal", finding.head.name);
            let help = format!("name one of `{}`", finding.states[1..].join("`, `"));
            names.remark(UNKNOWN_STATE, message, push.chance.span(), "expected a state before the chance", &help);
            None
        }
    }
}

/// The number of a state; a remark where the finding has none of that name.
pub fn state(names: &mut Names, word: &Word, finding: &Finding) -> Option<usize> {
    let found = finding.state(&word.value);
    // the state may stand in the line that can't be read
    if found.is_none() && !names.is_broken(&finding.head.name) {
        let near = nearest(&word.value, finding.states.iter().map(String::as_str));
        let label = format!("it has `{}`", finding.states.join("`, `"));
        let remark = Remark::new(UNKNOWN_STATE, format!("`{}` has no state `{}`", finding.head.name, word.value), word.span, label);
        names.remarks.push(remark.help("use one of its states").suggest(near));
    }
    found
}

fn hazards(names: &mut Names, block: &Block, finding: &Finding) -> Vec<(Id<Hazard>, Vec<usize>)> {
    let mut out = Vec::new();
    for clause in clauses::every(block, Keyword::Hazard) {
        let Value::Hazards { names: hazards, states } = &clause.value else { continue };
        let mut on: Vec<usize> = states.iter().filter_map(|s| state(names, s, finding)).collect();
        if states.is_empty() {
            on = (1..finding.states.len()).collect();
        }
        for word in hazards {
            if let Some(id) = names.find(word, Kind::Hazard) {
                out.push((id, on.clone()));
            }
        }
    }
    out
}
