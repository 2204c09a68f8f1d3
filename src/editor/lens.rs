//! What stands above a cause and a case: which cases cover the cause and what tells it from its neighbours; whether the case passes, and why not.

use super::books::Books;
use super::places::{Encoding, Lines};
use crate::book::{Book, Cause, Check, Headed, Id, Shows};
use crate::cases::Verdict;
use crate::syntax::{FileId, Kind};
use lsp_types::{CodeLens, Command, Range};
use std::collections::{BTreeMap, HashMap};

/// So many neighbours of a cause are named.
const NEIGHBOURS: usize = 3;
/// So many names stand in one line.
const NAMES: usize = 3;
/// Two chances that differ by less tell nobody anything.
const APART: f64 = 0.2;

/// The cases that expect each cause, by its name.
pub type Covered = BTreeMap<String, Vec<String>>;

/// Above each cause of a file: its cases, and its nearest neighbours with the check that tells it from them.
pub fn of_causes(books: &Books, file: FileId, lines: &Lines, covered: &Covered) -> Vec<CodeLens> {
    let Some((book, document)) = books.book().zip(books.document(file)) else { return vec![] };
    let ties = Ties::of(book);
    let mut out = Vec::new();
    for block in document.blocks.iter().filter(|b| b.kind.value == Kind::Cause) {
        let Some(id) = book.causes.find(&block.name.value) else { continue };
        let range = lines.range(block.name.span);
        let cases = covered.get(&block.name.value).map_or(&[][..], Vec::as_slice);
        out.push(lens(
            range,
            match cases {
                [] => "no case expects it".into(),
                [one] => format!("covered by {one}"),
                more => format!("covered by {} cases: {}", more.len(), some(more)),
            },
        ));
        out.extend(ties.neighbours(id).into_iter().map(|other| lens(range, ties.told(id, other))));
    }
    out
}

/// Above a case: what came of it.
pub fn of_verdict(verdict: &Verdict, text: &str, encoding: Encoding) -> Vec<CodeLens> {
    let lines = Lines::new(text, encoding);
    let expects = (0..lines.count()).find(|l| lines.line(*l).trim() == "[expect]").unwrap_or(0) as u32;
    let at = |line: u32| Range { start: lsp_types::Position { line, character: 0 }, end: lsp_types::Position { line, character: 0 } };
    if verdict.passed() {
        let checks = verdict.driven.checks;
        return vec![lens(at(expects), format!("passes: cured after {checks} check{}", if checks == 1 { "" } else { "s" }))];
    }
    let misses = verdict.misses.iter().map(|m| format!("fails: expected {}, and {}", m.expected, m.came));
    let why = verdict.why.iter().map(|w| format!("what weighs most: {}", w.words));
    misses.chain(why).map(|title| lens(at(expects), title)).collect()
}

fn lens(range: Range, title: String) -> CodeLens {
    // a command without a name: there is something to read, and nothing to run
    let command = Command { title: title.replace('\n', " "), command: String::new(), arguments: None };
    CodeLens { range, command: Some(command), data: None }
}

fn some(names: &[String]) -> String {
    let shown = names.iter().take(NAMES).map(String::as_str).collect::<Vec<_>>().join(", ");
    if names.len() > NAMES { format!("{shown}, …") } else { shown }
}

/// The links of a book turned round.
struct Ties<'b> {
    book: &'b Book,
    /// For each finding, the causes that show it.
    shown_by: HashMap<usize, Vec<Id<Cause>>>,
    /// For each finding, the checks that reveal it.
    revealed_by: HashMap<usize, Vec<Id<Check>>>,
}

impl<'b> Ties<'b> {
    fn of(book: &'b Book) -> Self {
        let mut shown_by: HashMap<usize, Vec<Id<Cause>>> = HashMap::new();
        let mut revealed_by: HashMap<usize, Vec<Id<Check>>> = HashMap::new();
        for (id, cause) in book.causes.iter().filter(|(_, c)| !c.is_condition()) {
            cause.shows.iter().for_each(|s| shown_by.entry(s.finding.index()).or_default().push(id));
        }
        for (id, check) in book.checks.iter() {
            check.reveals.iter().for_each(|f| revealed_by.entry(f.index()).or_default().push(id));
        }
        Ties { book, shown_by, revealed_by }
    }

    /// The causes that show most of what this one shows, the nearest first.
    fn neighbours(&self, cause: Id<Cause>) -> Vec<Id<Cause>> {
        let mut shared: BTreeMap<Id<Cause>, f64> = BTreeMap::new();
        for own in &self.book.causes[cause].shows {
            for other in self.shown_by.get(&own.finding.index()).into_iter().flatten().filter(|o| **o != cause) {
                let both = self.book.causes[*other].shows.iter().find(|s| s.finding == own.finding).map_or(0.0, |s| alike(own, s));
                *shared.entry(*other).or_default() += both;
            }
        }
        let mut all: Vec<(Id<Cause>, f64)> = shared.into_iter().filter(|(_, both)| *both > 0.0).collect();
        all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        all.into_iter().take(NEIGHBOURS).map(|(id, _)| id).collect()
    }

    /// What tells one cause from another: the check whose findings differ most between the two.
    fn told(&self, one: Id<Cause>, other: Id<Cause>) -> String {
        let (a, b) = (&self.book.causes[one], &self.book.causes[other]);
        let findings = a.shows.iter().chain(&b.shows).map(|s| s.finding);
        let apart = |f| (f, difference(shows(a, f), shows(b, f)));
        let told = findings.map(apart).filter(|(_, by)| *by >= APART);
        let best = told.filter_map(|(f, by)| Some((self.cheapest(f)?, by))).reduce(|best, next| if next.1 > best.1 { next } else { best });
        match best {
            Some((check, _)) => format!("told from {} by {}", b.name(), self.book.checks[check].name()),
            None => format!("told from {} by no check", b.name()),
        }
    }

    /// The check of least work that reveals a finding.
    fn cheapest(&self, finding: Id<crate::book::Finding>) -> Option<Id<Check>> {
        let checks = self.revealed_by.get(&finding.index())?.iter().copied();
        checks.min_by(|a, b| self.book.checks[*a].minutes.total_cmp(&self.book.checks[*b].minutes))
    }
}

fn shows(cause: &Cause, finding: Id<crate::book::Finding>) -> Option<&Shows> {
    cause.shows.iter().find(|s| s.finding == finding)
}

/// How much of a push two causes have in common, 0..=1.
fn alike(one: &Shows, other: &Shows) -> f64 {
    one.push.iter().zip(&other.push).map(|(a, b)| a.min(*b)).sum()
}

/// The greatest difference between two pushes, state by state, 0..=1.
fn difference(one: Option<&Shows>, other: Option<&Shows>) -> f64 {
    let push = |s: Option<&Shows>, k: usize| s.and_then(|s| s.push.get(k).copied()).unwrap_or(0.0);
    let states = one.or(other).map_or(0, |s| s.push.len());
    (0..states).map(|k| (push(one, k) - push(other, k)).abs()).fold(0.0, f64::max)
}
