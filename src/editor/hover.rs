//! What a word means, for whoever rests on it; and the number behind each word for a chance.

use super::books::Books;
use super::places::Lines;
use super::signature::signature;
use super::uses::{Sort, Use, of_block};
use crate::book::{Dtc, in_percent};
use crate::report::explain;
use crate::syntax::{Block, FileId, Keyword, Kind};
use lsp_types::{InlayHint, InlayHintKind, InlayHintLabel, Range};

/// So many lines of an explanation are shown; `faultbook explain` has them all.
const MOST: usize = 24;

/// The explanation of what stands at a byte, as Markdown, and where it stands.
pub fn at(books: &Books, file: FileId, byte: usize) -> Option<(String, crate::syntax::Span)> {
    if let Some(used) = books.at(file, byte) {
        return Some((of_use(books, &used)?, used.word.span));
    }
    let document = books.document(file)?;
    let within = |s: crate::syntax::Span| (s.start as usize..=s.end as usize).contains(&byte);
    let block = document.blocks.iter().rfind(|b| b.span.start as usize <= byte)?;
    if within(block.kind.span) {
        return Some((kind(block.kind.value), block.kind.span));
    }
    let clause = block.clauses.iter().find(|c| within(c.keyword.span))?;
    Some((keyword(block, clause.keyword.value), clause.keyword.span))
}

fn of_use(books: &Books, used: &Use) -> Option<String> {
    match &used.sort {
        Sort::Chance(_) => chance(books, &used.word.value),
        Sort::State(finding) => state(books, finding, &used.word.value),
        _ => name(books, &used.key()),
    }
}

fn name(books: &Books, name: &str) -> Option<String> {
    let lines = books.book().and_then(|book| explain::lines(book, name));
    let Some(lines) = lines else {
        let block = books.block(books.definition(name)?)?;
        let title = block.title.as_ref().map_or(String::new(), |t| format!("**{}**\n\n", t.value));
        return Some(format!("{title}{} `{name}`", block.kind.value));
    };
    let mut out = String::new();
    for (at, (lead, text)) in lines.iter().take(MOST).enumerate() {
        match (at, lead.is_empty()) {
            (0, _) => out.push_str(&format!("**{text}**\n\n")),
            (_, true) => out.push_str(&format!("{text}\n\n")),
            (_, false) => out.push_str(&format!("- {lead}: {text}\n")),
        }
    }
    if lines.len() > MOST {
        out.push_str(&format!("\n{} more: `faultbook explain {name} --whole`", lines.len() - MOST));
    }
    Some(out)
}

fn state(books: &Books, finding: &str, state: &str) -> Option<String> {
    let book = books.book()?;
    let row = &book.findings[book.findings.find(finding)?];
    let at = row.state(state)?;
    let reach = row.gauge().map(|g| format!(": {}", explain::ranges(&g.bands[at], &g.unit.text))).unwrap_or_default();
    let place = if at == 0 { "the normal state" } else { "a state" };
    Some(format!("`{state}`{reach}\n\n{place} of `{finding}` ({}): {}", row.head.title, row.states.join(", ")))
}

/// The number behind a word, as it would be written, and the scale it is of.
fn number(books: &Books, word: &str) -> Option<(String, String)> {
    let scales = books.book()?.scales.iter();
    let mut found =
        scales.filter_map(|(_, s)| s.words.iter().find(|(w, _)| w == word).map(|(_, p)| (in_percent(*p), s.head.title.clone())));
    found.next()
}

fn chance(books: &Books, word: &str) -> Option<String> {
    let (number, scale) = number(books, word)?;
    Some(format!("`{word}`: {number}\n\n{scale}"))
}

fn kind(kind: Kind) -> String {
    let clauses: Vec<String> = kind.clauses().iter().map(|k| format!("`{k}`")).collect();
    format!("**{kind}** NAME \"Title\"\n\ntakes {}, and as every block `note`, `source`, `allow`", clauses.join(", "))
}

/// A clause as it is written.
fn keyword(block: &Block, keyword: Keyword) -> String {
    let again = if keyword.repeats() { "may stand again" } else { "stands once" };
    format!("**{}**\n\nof {}; {again}", signature(keyword), block.kind.value.one())
}

/// The number behind each word for a chance in a part of a file.
pub fn hints(books: &Books, file: FileId, lines: &Lines, wanted: Range) -> Vec<InlayHint> {
    let blocks = books.document(file).into_iter().flat_map(|d| &d.blocks);
    let words = blocks.flat_map(of_block).filter(|u| matches!(u.sort, Sort::Chance(_)) && !u.defines);
    let hint = |used: Use| {
        let position = lines.position(used.word.span.end as usize);
        let label = InlayHintLabel::String(number(books, &used.word.value)?.0);
        let here = (wanted.start..=wanted.end).contains(&position);
        let kind = Some(InlayHintKind::PARAMETER);
        here.then_some(InlayHint {
            position,
            label,
            kind,
            text_edits: None,
            tooltip: None,
            padding_left: Some(true),
            padding_right: None,
            data: None,
        })
    };
    words.filter_map(hint).collect()
}

/// The title of a trouble code, where the standard gives it one.
pub fn code_title(code: &str) -> Option<String> {
    crate::book::title(Dtc::parse(code).ok()?)
}
