//! The network of a job for other programs: BIF for any tool that computes with Bayesian networks, DOT for a picture.
//!
//! BIF is the Interchange Format for Bayesian Networks 0.15 (Cozman 1998). It has no place for evidence: this stands in
//! remarks above the network, `// evidence: VARIABLE = STATE`, one a line.

use crate::belief::{Contradiction, TableNode, TableRole, expand};
use crate::book::{Book, Headed};
use crate::car::Car;
use std::collections::HashSet;
use std::fmt::Write;

/// The network in BIF: what the evidence hangs on, or the whole car.
///
/// # Errors
/// [`Contradiction`] when an observation does not fit the network.
pub fn bif(book: &Book, car: &Car, whole: bool) -> Result<String, Contradiction> {
    let nodes = expand(&car.network, &car.history, whole)?;
    let variables = variables(book, car, &nodes);
    let mut out = String::from("// Interchange Format for Bayesian Networks 0.15. The evidence to set:\n");
    for (node, variable) in nodes.iter().zip(&variables) {
        if let Some(state) = evidence(car, node) {
            line(&mut out, &format!("// evidence: {} = {}", variable.name, variable.states[state]));
        }
    }
    out.push_str("network job {\n}\n");
    for variable in &variables {
        line(&mut out, &format!("variable {} {{", variable.name));
        line(&mut out, &format!("  type discrete [ {} ] {{ {} }};\n}}", variable.states.len(), variable.states.join(", ")));
    }
    for (node, variable) in nodes.iter().zip(&variables) {
        let parents: Vec<&Variable> = node.parents.iter().map(|&p| &variables[p]).collect();
        out.push_str(&probability(node, variable, &parents));
    }
    Ok(out)
}

/// How many numbers the tables of the network hold at most, known before any is worked out.
pub fn numbers(car: &Car, whole: bool) -> usize {
    let table = |links: usize, states: usize| states.saturating_add(links.saturating_mul(2).saturating_mul(states).saturating_mul(states));
    let periods = car.history.repairs.len() + 1;
    let causes = car.network.causes().iter().map(|c| table(c.brought_by.len(), 2).saturating_mul(periods));
    let findings = car.network.findings().iter().enumerate().map(|(f, node)| {
        let looks = car.history.seen.iter().filter(|s| s.finding == f).count();
        table(node.pushes.len(), node.stray.len() + 1).saturating_mul(looks.max(usize::from(whole)))
    });
    causes.chain(findings).fold(0, usize::saturating_add)
}

struct Variable {
    name: String,
    states: Vec<String>,
}

/// The state that the evidence says, if this variable carries any.
fn evidence(car: &Car, node: &TableNode) -> Option<usize> {
    match node.role {
        TableRole::Reading => Some(1),
        TableRole::Finding(_, Some(place)) => car.history.seen[place].sure_state(),
        TableRole::Cause(_) | TableRole::End(_) | TableRole::History(_) | TableRole::Finding(_, None) | TableRole::Step => None,
    }
}

/// Names for all variables: those of the book; steps and readings after what they belong to.
fn variables(book: &Book, car: &Car, nodes: &[TableNode]) -> Vec<Variable> {
    let mut taken = HashSet::new();
    let mut named: Vec<Option<String>> = nodes.iter().map(|node| own_name(book, car, node.role)).collect();
    for name in named.iter_mut().flatten() {
        *name = free(&mut taken, name);
    }
    let mut variables: Vec<Variable> = Vec::with_capacity(nodes.len());
    for (i, node) in nodes.iter().enumerate() {
        let belongs_to = || match node.role {
            // the step's chain goes on until the next node of the book
            TableRole::Step => named[i..].iter().flatten().next().map(|name| format!("{name}--step")),
            _ => named[..i].iter().rev().flatten().next().map(|name| format!("{name}--reading")),
        };
        let name = named[i].clone().unwrap_or_else(|| free(&mut taken, &belongs_to().unwrap_or_default()));
        variables.push(Variable { name, states: states(book, car, node) });
    }
    variables
}

fn own_name(book: &Book, car: &Car, role: TableRole) -> Option<String> {
    match role {
        TableRole::Cause(c) => Some(book.causes[car.causes[c]].name().to_string()),
        TableRole::End(c) => Some(format!("{}--end", book.causes[car.causes[c]].name())),
        TableRole::Finding(f, _) | TableRole::History(f) => Some(book.findings[car.findings[f]].name().to_string()),
        TableRole::Step | TableRole::Reading => None,
    }
}

/// The name, or the name with the first number that makes it new.
fn free(taken: &mut HashSet<String>, name: &str) -> String {
    let mut candidate = name.to_string();
    let mut number = 1;
    while !taken.insert(candidate.clone()) {
        number += 1;
        candidate = format!("{name}--{number}");
    }
    candidate
}

fn states(book: &Book, car: &Car, node: &TableNode) -> Vec<String> {
    let words = |words: &[&str]| words.iter().map(ToString::to_string).collect();
    match node.role {
        TableRole::Cause(_) | TableRole::End(_) => {
            let ended = (1..node.states - 1).map(|k| format!("ended-{k}"));
            std::iter::once("absent".to_string()).chain(ended).chain(["present".to_string()]).collect()
        }
        TableRole::Finding(f, _) => book.findings[car.findings[f]].states.clone(),
        TableRole::History(f) => {
            let states = &book.findings[car.findings[f]].states;
            let name = |history: &Vec<usize>| history.iter().map(|&k| states[k].as_str()).collect::<Vec<_>>().join("--then--");
            node.histories.iter().map(name).collect()
        }
        TableRole::Step => (0..node.states).map(|k| format!("s{k}")).collect(),
        TableRole::Reading => words(&["other", "as-seen"]),
    }
}

fn probability(node: &TableNode, variable: &Variable, parents: &[&Variable]) -> String {
    let numbers = |row: &[f64]| row.iter().map(|p| format!("{p:?}")).collect::<Vec<_>>().join(", ");
    if parents.is_empty() {
        return format!("probability ( {} ) {{\n  table {};\n}}\n", variable.name, numbers(&node.rows[0]));
    }
    let names: Vec<&str> = parents.iter().map(|p| p.name.as_str()).collect();
    let mut out = format!("probability ( {} | {} ) {{\n", variable.name, names.join(", "));
    for (i, row) in node.rows.iter().enumerate() {
        line(&mut out, &format!("  ({}) {};", combination(i, parents).join(", "), numbers(row)));
    }
    out + "}\n"
}

/// The states of the parents that a row stands for; the last runs fastest.
fn combination<'a>(mut row: usize, parents: &[&'a Variable]) -> Vec<&'a str> {
    let mut states: Vec<&str> = Vec::new();
    for parent in parents.iter().rev() {
        states.push(&parent.states[row % parent.states.len()]);
        row /= parent.states.len();
    }
    states.reverse();
    states
}

/// The network as a picture in the DOT language of Graphviz: causes round, conditions round and dashed, findings square, what was seen drawn twice.
///
/// # Errors
/// [`Contradiction`] when an observation does not fit the network.
pub fn dot(book: &Book, car: &Car, whole: bool) -> Result<String, Contradiction> {
    let nodes = expand(&car.network, &car.history, whole)?;
    let shown = |role: fn(&TableRole) -> Option<usize>| -> Vec<usize> {
        let mut all: Vec<usize> = nodes.iter().filter_map(|n| role(&n.role)).collect();
        all.sort_unstable();
        all.dedup();
        all
    };
    let causes = shown(|role| if let TableRole::Cause(c) = role { Some(*c) } else { None });
    let findings = shown(|role| match role {
        TableRole::Finding(f, _) | TableRole::History(f) => Some(*f),
        _ => None,
    });
    let cause_id = |c: usize| {
        let cause = &book.causes[car.causes[c]];
        format!("\"{} {}\"", cause.kind_word(), cause.name())
    };
    let finding_id = |f: usize| format!("\"finding {}\"", book.findings[car.findings[f]].name());
    let mut out = String::from("digraph job {\n  rankdir = LR;\n");
    for &c in &causes {
        let cause = &book.causes[car.causes[c]];
        let style = if cause.is_condition() { ", style = dashed" } else { "" };
        line(&mut out, &format!("  {} [label = {}, shape = ellipse{style}];", cause_id(c), quoted(cause.title())));
        for (parent, strength) in &car.network.causes()[c].brought_by {
            line(&mut out, &format!("  {} -> {} [label = \"{}\"];", cause_id(*parent), cause_id(c), share(*strength)));
        }
    }
    for &f in &findings {
        let lines = 1 + usize::from(car.history.seen.iter().any(|s| s.finding == f));
        let title = quoted(book.findings[car.findings[f]].title());
        line(&mut out, &format!("  {} [label = {title}, shape = box, peripheries = {lines}];", finding_id(f)));
        for (cause, push) in car.network.findings()[f].pushes.iter().filter(|(c, _)| causes.binary_search(c).is_ok()) {
            let shares: Vec<String> = push.iter().map(|p| share(*p)).collect();
            line(&mut out, &format!("  {} -> {} [label = \"{}\"];", cause_id(*cause), finding_id(f), shares.join(", ")));
        }
    }
    Ok(out + "}\n")
}

fn line(out: &mut String, text: &str) {
    // writing to a string cannot fail
    writeln!(out, "{text}").ok();
}

fn share(p: f64) -> String {
    format!("{:.3} %", p * 100.0)
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
