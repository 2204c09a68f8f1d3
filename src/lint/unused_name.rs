//! A source, trait, hazard, access step or tool that nothing names.

use super::prelude::*;
use crate::book::{Book, Id, Table};

pub const LINT: Lint = Lint::book("FB201", "unused-name", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    let heads = subject::heads(book);
    let scales = book.scales.iter().map(|(_, s)| &s.head);
    let sources = heads.iter().map(|(_, h)| *h).chain(scales).flat_map(|h| h.sources.iter().copied());
    unused("source", &book.sources, sources, found);
    unused("trait", &book.traits, heads.iter().flat_map(|(_, h)| h.when.traits()), found);
    unused("hazard", &book.hazards, hazards(book), found);
    let access = book.checks.iter().flat_map(|(_, c)| &c.access).chain(book.fixes.iter().flat_map(|(_, f)| &f.access));
    unused("access", &book.access, access.chain(book.access.iter().flat_map(|(_, a)| &a.needs)).copied(), found);
    let tools = book.checks.iter().flat_map(|(_, c)| &c.tools).chain(book.fixes.iter().flat_map(|(_, f)| &f.tools));
    unused("tool", &book.tools, tools.copied(), found);
}

fn hazards(book: &Book) -> impl Iterator<Item = Id<crate::book::Hazard>> {
    let findings = book.findings.iter().flat_map(|(_, f)| f.hazards.iter().map(|(id, _)| *id));
    let causes = book.causes.iter().flat_map(|(_, c)| &c.hazards);
    let access = book.access.iter().flat_map(|(_, a)| &a.hazards);
    let checks = book.checks.iter().flat_map(|(_, c)| &c.hazards);
    let fixes = book.fixes.iter().flat_map(|(_, f)| &f.hazards);
    let aftercare = book.aftercare.iter().flat_map(|(_, a)| &a.hazards);
    findings.chain(causes.chain(access).chain(checks).chain(fixes).chain(aftercare).copied())
}

fn unused<T: Headed>(kind: &str, table: &Table<T>, named: impl Iterator<Item = Id<T>>, found: &mut Vec<Remark>) {
    let mut used = vec![false; table.len()];
    named.for_each(|id| used[id.index()] = true);
    for (_, row) in table.iter().filter(|(id, _)| !used[id.index()]) {
        let remark = Remark::new(LINT.code, format!("nothing names the {kind} `{}`", row.name()), row.head().span, "defined and never used");
        found.push(remark.help("name it where it belongs, or take the block out"));
    }
}
