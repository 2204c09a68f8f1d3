//! Blocks -> the checked book: one function for each kind of block.

use super::clauses::{self, text, texts};
use super::codes::*;
use super::findings::{self, push_vector};
use super::names::Names;
use super::table::{Id, Table};
use super::types::*;
use crate::syntax::{Block, Keyword, Kind, Push, Value, nearest};

/// A source of facts.
pub fn source(names: &mut Names, block: &Block) -> Source {
    Source { head: names.head(block), published: text(block, Keyword::Published) }
}

/// A trait of a vehicle.
pub fn vehicle_trait(names: &mut Names, block: &Block) -> Trait {
    Trait {
        head: names.head(block),
        ask: text(block, Keyword::Ask),
        heard: texts(block, Keyword::Heard),
        excludes: names.list(block, Keyword::Excludes, Kind::Trait),
    }
}

/// A danger.
pub fn hazard(names: &mut Names, block: &Block) -> Hazard {
    let head = names.head(block);
    let word = clauses::names(block, Keyword::Level).first().copied();
    let level = match word.map(|w| (w.value.as_str(), w.span, Level::from_word(&w.value))) {
        Some((_, _, Some(level))) => level,
        Some((other, span, None)) => {
            let near = nearest(other, Level::ALL.map(Level::word)).map(|n| format!("did you mean `{n}`?"));
            let help = near.unwrap_or_else(|| "a level is `stop`, `warn` or `care`".into());
            names.remark(UNKNOWN_WORD, format!("`{other}` is no level"), span, "expected `stop`, `warn` or `care`", &help);
            Level::Stop
        }
        None => {
            names.remark(
                CLAUSE_MISSING,
                format!("`{}` has no level", head.name),
                block.name.span,
                "expected a `level` clause",
                "write `level stop`, `level warn` or `level care`",
            );
            Level::Stop
        }
    };
    Hazard { head, level, bars: names.list(block, Keyword::Bars, Kind::Hazard), does: texts(block, Keyword::Do) }
}

/// A set-up step.
pub fn access(names: &mut Names, block: &Block) -> Access {
    Access {
        head: names.head(block),
        minutes: names.minutes(block, Keyword::Takes),
        waits: names.minutes(block, Keyword::Waits),
        needs: names.list(block, Keyword::Access, Kind::Access),
        undoes: names.list(block, Keyword::Undoes, Kind::Access),
        hazards: names.list(block, Keyword::Hazard, Kind::Hazard),
        does: texts(block, Keyword::Do),
    }
}

/// A tool.
pub fn tool(names: &mut Names, block: &Block) -> Tool {
    Tool { head: names.head(block) }
}

/// A column of a log.
pub fn channel(names: &mut Names, block: &Block) -> Channel {
    let unit = match clauses::one(block, Keyword::Unit).map(|c| &c.value) {
        Some(Value::Unit(word)) => names.unit(word),
        _ => None,
    };
    let pid = match clauses::one(block, Keyword::Pid).map(|c| &c.value) {
        Some(Value::Hex(byte)) => Some(byte.value),
        _ => None,
    };
    Channel { head: names.head(block), unit, headings: texts(block, Keyword::Heading), pid }
}

/// A fault, or a state that faults bring about.
pub fn cause(names: &mut Names, block: &Block, findings: &Table<Finding>) -> Cause {
    let head = names.head(block);
    let kind = if block.kind.value == Kind::Condition { CauseKind::Condition } else { CauseKind::Fault };
    let prior = match clauses::one(block, if kind == CauseKind::Condition { Keyword::Stray } else { Keyword::Prior }).map(|c| &c.value) {
        Some(Value::Chance(chance)) => names.chance(chance, Keyword::Prior).unwrap_or(0.0),
        Some(Value::Strays(pushes)) => stray(names, &head, pushes),
        _ => 0.0,
    };
    let mut cause = Cause { head, kind, prior, shows: vec![], brings: vec![], hazards: names.list(block, Keyword::Hazard, Kind::Hazard) };
    shows(names, block, &mut cause, findings);
    brings(names, block, &mut cause);
    cause
}

/// The one chance of a condition's stray: it is there or not, so there are no states to name.
fn stray(names: &mut Names, head: &Head, pushes: &[Push]) -> f64 {
    if let Some(push) = pushes.iter().find(|p| p.state.is_some()).or(pushes.get(1)) {
        let at = push.state.as_ref().map_or(push.chance.span(), |s| s.span);
        let message = format!("`{}` is there or not: a condition has no states", head.name);
        names.remark(UNKNOWN_STATE, message, at, "expected one chance alone", "write one chance: `stray 0.1 %`");
    }
    pushes.first().and_then(|p| names.chance(&p.chance, Keyword::Stray)).unwrap_or(0.0)
}

fn shows(names: &mut Names, block: &Block, cause: &mut Cause, findings: &Table<Finding>) {
    for clause in clauses::every(block, Keyword::Shows) {
        let Value::Pushes { finding: word, pushes } = &clause.value else { continue };
        let Some(id) = names.find_finding::<Finding>(word) else { continue };
        // a finding whose own block is broken has been remarked on there
        let Some(finding) = (id.index() < findings.len()).then(|| &findings[id]) else { continue };
        let push = push_vector(names, pushes, finding, clause);
        match cause.shows.iter_mut().find(|s| s.finding == id) {
            Some(first) => {
                if first.push.iter().zip(&push).any(|(a, b)| *a > 0.0 && *b > 0.0) {
                    let message = format!("`{}` shows `{}` twice in the same state", cause.head.name, word.value);
                    names.remark(TIED_TWICE, message, clause.span, "again here", "keep one of the two");
                }
                first.push.iter_mut().zip(&push).for_each(|(a, b)| *a = a.max(*b));
                if first.push.iter().sum::<f64>() > 1.0 + 1e-9 {
                    names.remark(
                        CHANCES_TOO_MANY,
                        format!("the chances for `{}` sum to more than 100 %", word.value),
                        clause.span,
                        "together with the line above",
                        "what is left of 100 % is the chance that it shows nothing",
                    );
                }
            }
            None => cause.shows.push(Shows { finding: id, push, span: clause.span }),
        }
    }
}

fn brings(names: &mut Names, block: &Block, cause: &mut Cause) {
    for clause in clauses::every(block, Keyword::Brings) {
        let Value::Links(links) = &clause.value else { continue };
        for (word, chance) in links {
            let (Some(id), Some(chance)) = (names.find::<Cause>(word, Kind::Cause), names.chance(chance, Keyword::Brings)) else {
                continue;
            };
            if cause.brings.iter().any(|(other, _)| *other == id) {
                names.remark(
                    TIED_TWICE,
                    format!("`{}` brings `{}` twice", cause.head.name, word.value),
                    word.span,
                    "again here",
                    "keep one of the two",
                );
                continue;
            }
            cause.brings.push((id, chance));
        }
    }
}

/// A check.
pub fn check(names: &mut Names, block: &Block) -> Check {
    let head = names.head(block);
    let words = clauses::names(block, Keyword::Reveals);
    if words.is_empty() {
        names.remark(
            CLAUSE_MISSING,
            format!("`{}` reveals nothing", head.name),
            block.name.span,
            "expected a `reveals` clause",
            "name the findings it settles: `reveals charge-hose`",
        );
    }
    let mut reveals = Vec::new();
    for word in words {
        match names.find_finding(word) {
            Some(id) if reveals.contains(&id) => {
                names.remark(TIED_TWICE, format!("`{}` is revealed twice", word.value), word.span, "again here", "once is enough")
            }
            Some(id) => reveals.push(id),
            None => {}
        }
    }
    Check {
        head,
        minutes: names.minutes(block, Keyword::Takes),
        waits: names.minutes(block, Keyword::Waits),
        spend: names.money(block, Keyword::Spend),
        access: names.list(block, Keyword::Access, Kind::Access),
        tools: names.list(block, Keyword::Tool, Kind::Tool),
        reveals,
        wakes: text(block, Keyword::Wakes),
        does: texts(block, Keyword::Do),
        hazards: names.list(block, Keyword::Hazard, Kind::Hazard),
        after: names.list(block, Keyword::After, Kind::Check),
    }
}

/// A fix.
pub fn fix(names: &mut Names, block: &Block, table: &Table<Finding>) -> Fix {
    let head = names.head(block);
    let cures = cures(names, block);
    if clauses::one(block, Keyword::Cures).is_none() {
        names.remark(
            CLAUSE_MISSING,
            format!("`{}` cures nothing", head.name),
            block.name.span,
            "expected a `cures` clause",
            "name the causes it puts right: `cures charge-hose-split`",
        );
    }
    let mut proofs = Vec::new();
    for clause in clauses::every(block, Keyword::Proof) {
        let Value::Proofs(list) = &clause.value else { continue };
        for (word, band) in list {
            let Some(id) = names.find_finding::<Finding>(word) else { continue };
            let Some(finding) = (id.index() < table.len()).then(|| &table[id]) else { continue };
            let state = band.as_ref().map_or(Some(0), |b| findings::state(names, b, finding));
            proofs.extend(state.map(|s| (id, s)));
        }
    }
    Fix {
        head,
        minutes: names.minutes(block, Keyword::Takes),
        parts: names.money(block, Keyword::Parts),
        access: names.list(block, Keyword::Access, Kind::Access),
        tools: names.list(block, Keyword::Tool, Kind::Tool),
        cures,
        proofs,
        then: names.list(block, Keyword::Then, Kind::Aftercare),
        does: texts(block, Keyword::Do),
        hazards: names.list(block, Keyword::Hazard, Kind::Hazard),
        after: names.list(block, Keyword::After, Kind::Fix),
        heard: texts(block, Keyword::Heard),
    }
}

/// The causes that a fix cures, each with its chance; for certain where none is given.
fn cures(names: &mut Names, block: &Block) -> Vec<(Id<Cause>, f64)> {
    let mut out: Vec<(Id<Cause>, f64)> = Vec::new();
    for (word, chance) in clauses::cures(block) {
        let (id, chance) = (names.find::<Cause>(word, Kind::Cause), chance.as_ref().map_or(Some(1.0), |c| names.chance(c, Keyword::Cures)));
        let (Some(id), Some(chance)) = (id, chance) else { continue };
        if names.kind_of(word) == Some(Kind::Condition) {
            let message = format!("`{}` is a condition: no fix cures it", word.value);
            let help = "cure what brings it about; what stays until it is put right itself is a `cause`";
            names.remark(CURED_CONDITION, message, word.span, "it ends with what brings it about", help);
        } else if out.iter().any(|(other, _)| *other == id) {
            let message = format!("`{}` is named twice after `cures`", word.value);
            names.remark(TIED_TWICE, message, word.span, "again here", "once is enough");
        } else {
            out.push((id, chance));
        }
    }
    out
}

/// An aftercare step.
pub fn aftercare(names: &mut Names, block: &Block) -> Aftercare {
    Aftercare {
        head: names.head(block),
        minutes: names.minutes(block, Keyword::Takes),
        does: texts(block, Keyword::Do),
        if_refused: text(block, Keyword::IfRefused),
        hazards: names.list(block, Keyword::Hazard, Kind::Hazard),
        after: names.list(block, Keyword::After, Kind::Aftercare),
    }
}
