//! Every fact of a book under a key, so that two books can be laid side by side.

use super::window::window_words;
use crate::bay::{band_words, need_words};
use crate::book::{Accuracy, Book, Cause, Finding, FindingKind, Head, Headed, Id, Need, Table};
use std::collections::BTreeMap;

/// What changed of one block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// It is new.
    New {
        /// Kind and name.
        block: String,
        /// Its title.
        title: String,
    },
    /// It is gone.
    Gone {
        /// Kind and name.
        block: String,
        /// Its title.
        title: String,
    },
    /// Facts of it differ.
    Changed {
        /// Kind and name.
        block: String,
        /// Each fact: what it is of, before, after; empty where it was or is not there.
        facts: Vec<(String, String, String)>,
    },
}

type Facts = BTreeMap<String, BTreeMap<String, String>>;

/// What changed from the old book to the new one, block by block.
pub fn changes(old: &Book, new: &Book) -> Vec<Change> {
    let (before, after) = (facts(old), facts(new));
    let mut blocks: Vec<&String> = before.keys().chain(after.keys()).collect();
    blocks.sort();
    blocks.dedup();
    blocks.into_iter().filter_map(|block| change(block, before.get(block), after.get(block))).collect()
}

fn change(block: &str, before: Option<&BTreeMap<String, String>>, after: Option<&BTreeMap<String, String>>) -> Option<Change> {
    let title = |facts: &BTreeMap<String, String>| facts.get("title").cloned().unwrap_or_default();
    match (before, after) {
        (None, Some(facts)) => Some(Change::New { block: block.into(), title: title(facts) }),
        (Some(facts), None) => Some(Change::Gone { block: block.into(), title: title(facts) }),
        (Some(old), Some(new)) => {
            let mut keys: Vec<&String> = old.keys().chain(new.keys()).collect();
            keys.sort();
            keys.dedup();
            let said = |facts: &BTreeMap<String, String>, key: &String| facts.get(key).cloned().unwrap_or_default();
            let differ = keys.into_iter().filter(|k| old.get(*k) != new.get(*k));
            let facts: Vec<_> = differ.map(|k| (k.clone(), said(old, k), said(new, k))).collect();
            (!facts.is_empty()).then(|| Change::Changed { block: block.into(), facts })
        }
        (None, None) => None,
    }
}

fn facts(book: &Book) -> Facts {
    let mut out = Facts::new();
    let mut add = |kind: &str, head: &Head, facts: Vec<(String, String)>| {
        let mut all: BTreeMap<String, String> = facts.into_iter().filter(|(_, v)| !v.is_empty()).collect();
        all.insert("title".into(), head.title.clone());
        let sources: Vec<&str> = head.sources.iter().map(|s| book.sources[*s].name()).collect();
        if !sources.is_empty() {
            all.insert("source".into(), sources.join(", "));
        }
        if head.when != Need::Always {
            all.insert("when".into(), need_words(book, &head.when));
        }
        if !head.notes.is_empty() {
            all.insert("note".into(), head.notes.join(" "));
        }
        out.insert(format!("{kind} {}", head.name), all);
    };
    for (id, f) in book.findings.iter() {
        add(f.kind_word(), &f.head, finding(book, id));
    }
    for (_, c) in book.causes.iter() {
        let shows = c.shows.iter().flat_map(|s| pushes(book, s.finding, &s.push, "shows"));
        let brings = c.brings.iter().map(|(b, p)| (format!("brings {}", book.causes[*b].name()), percent(*p)));
        let often = if c.is_condition() { "stray" } else { "prior" };
        let own = [(often.to_string(), percent(c.prior)), ("hazard".into(), list(&book.hazards, &c.hazards))];
        add(c.kind_word(), &c.head, own.into_iter().chain(shows).chain(brings).collect());
    }
    for (_, c) in book.checks.iter() {
        add(
            "check",
            &c.head,
            vec![
                ("takes".into(), format!("{} min", c.minutes)),
                ("waits".into(), format!("{} min", c.waits)),
                ("spend".into(), c.spend.to_string()),
                ("access".into(), list(&book.access, &c.access)),
                ("reveals".into(), list(&book.findings, &c.reveals)),
                ("wakes".into(), c.wakes.clone().unwrap_or_default()),
                ("after".into(), list(&book.checks, &c.after)),
                ("hazard".into(), list(&book.hazards, &c.hazards)),
                ("tool".into(), list(&book.tools, &c.tools)),
                ("do".into(), c.does.join(" ")),
            ],
        );
    }
    for (_, f) in book.fixes.iter() {
        let proofs: Vec<String> =
            f.proofs.iter().map(|(p, s)| format!("{} {}", book.findings[*p].name(), book.findings[*p].states[*s])).collect();
        add(
            "fix",
            &f.head,
            vec![
                ("takes".into(), format!("{} min", f.minutes)),
                ("parts".into(), f.parts.to_string()),
                ("access".into(), list(&book.access, &f.access)),
                ("cures".into(), f.cures.iter().map(|(c, p)| cure(book, *c, *p)).collect::<Vec<_>>().join(", ")),
                ("proof".into(), proofs.join(", ")),
                ("then".into(), list(&book.aftercare, &f.then)),
                ("hazard".into(), list(&book.hazards, &f.hazards)),
                ("after".into(), list(&book.fixes, &f.after)),
                ("heard".into(), f.heard.join(", ")),
                ("tool".into(), list(&book.tools, &f.tools)),
                ("do".into(), f.does.join(" ")),
            ],
        );
    }
    for (_, h) in book.hazards.iter() {
        let bars = list(&book.hazards, &h.bars);
        add("hazard", &h.head, vec![("level".into(), h.level.word().into()), ("bars".into(), bars), ("do".into(), h.does.join(" "))]);
    }
    for (_, a) in book.access.iter() {
        add(
            "access",
            &a.head,
            vec![
                ("takes".into(), format!("{} min", a.minutes)),
                ("waits".into(), format!("{} min", a.waits)),
                ("access".into(), list(&book.access, &a.needs)),
                ("undoes".into(), list(&book.access, &a.undoes)),
                ("hazard".into(), list(&book.hazards, &a.hazards)),
                ("do".into(), a.does.join(" ")),
            ],
        );
    }
    for (_, a) in book.aftercare.iter() {
        add(
            "aftercare",
            &a.head,
            vec![
                ("takes".into(), format!("{} min", a.minutes)),
                ("if-refused".into(), a.if_refused.clone().unwrap_or_default()),
                ("after".into(), list(&book.aftercare, &a.after)),
                ("hazard".into(), list(&book.hazards, &a.hazards)),
                ("do".into(), a.does.join(" ")),
            ],
        );
    }
    for (_, s) in book.scales.iter() {
        add("scale", &s.head, s.words.iter().map(|(w, p)| (w.clone(), percent(*p))).collect());
    }
    for (_, t) in book.traits.iter() {
        add(
            "trait",
            &t.head,
            vec![
                ("excludes".into(), list(&book.traits, &t.excludes)),
                ("ask".into(), t.ask.clone().unwrap_or_default()),
                ("heard".into(), t.heard.join(", ")),
            ],
        );
    }
    for (_, c) in book.channels.iter() {
        let unit = c.unit.as_ref().map_or(String::new(), |u| u.text.clone());
        let pid = c.pid.map_or(String::new(), |p| p.to_string());
        add("channel", &c.head, vec![("unit".into(), unit), ("heading".into(), c.headings.join(", ")), ("pid".into(), pid)]);
    }
    for (_, s) in book.sources.iter() {
        add("source", &s.head, vec![("published".into(), s.published.clone().unwrap_or_default())]);
    }
    book.tools.iter().for_each(|(_, t)| add("tool", &t.head, vec![]));
    out
}

fn finding(book: &Book, id: Id<Finding>) -> Vec<(String, String)> {
    let finding = &book.findings[id];
    let mut out = pushes(book, id, &finding.stray, "stray");
    for (hazard, states) in &finding.hazards {
        let on: Vec<&str> = states.iter().map(|s| finding.states[*s].as_str()).collect();
        out.push((format!("hazard {}", book.hazards[*hazard].name()), on.join(", ")));
    }
    out.push(("lasts".into(), if finding.lasting { "lasting" } else { "passing" }.into()));
    out.push(("ask".into(), finding.question().unwrap_or_default().into()));
    match &finding.kind {
        FindingKind::Reading(gauge) => {
            out.push(("from".into(), gauge.window.as_ref().map_or(String::new(), |w| window_words(book, w))));
            out.push(("counts".into(), gauge.counts.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")));
            out.extend(finding.states.iter().enumerate().map(|(i, s)| (format!("band {s}"), band_words(book, id, i))));
            out.push((
                "accurate".into(),
                gauge.accuracy.map_or(String::new(), |a| match a {
                    Accuracy::Relative(p) => percent(p),
                    Accuracy::Absolute(w) => format!("{w} {}", gauge.unit.text),
                }),
            ));
        }
        FindingKind::Symptom { heard, always_ask, circumstance, .. } => {
            out.push(("heard".into(), heard.join(", ")));
            out.push(("always-ask".into(), if *always_ask { "yes".into() } else { String::new() }));
            out.push(("circumstance".into(), if *circumstance { "yes".into() } else { String::new() }));
        }
        FindingKind::Sign { past, .. } => {
            out.push(("states".into(), finding.states.join(", ")));
            out.push(("past".into(), if *past { "yes".into() } else { String::new() }));
        }
        FindingKind::Code(_) => {}
    }
    out
}

fn pushes(book: &Book, id: Id<Finding>, push: &[f64], word: &str) -> Vec<(String, String)> {
    let finding = &book.findings[id];
    let name = |k: usize| {
        if word == "stray" {
            format!("stray {}", finding.states[k + 1])
        } else {
            format!("{word} {} {}", finding.name(), finding.states[k + 1])
        }
    };
    push.iter().enumerate().filter(|(_, p)| **p > 0.0).map(|(k, p)| (name(k), percent(*p))).collect()
}

/// A cause that a fix cures, with its chance where that is not certain.
fn cure(book: &Book, cause: Id<Cause>, chance: f64) -> String {
    let name = book.causes[cause].name();
    if chance < 1.0 { format!("{name} {}", percent(chance)) } else { name.into() }
}

fn list<T: Headed>(table: &Table<T>, ids: &[Id<T>]) -> String {
    ids.iter().map(|id| table[*id].name()).collect::<Vec<_>>().join(", ")
}

/// Six figures: what differs by less differs in rounding.
fn percent(p: f64) -> String {
    let text = format!("{:.4}", p * 100.0);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}
