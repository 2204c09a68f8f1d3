//! What an editor offers beside a remark: the edits it brings, the name that is meant, or to allow it with a reason.

use super::books::Books;
use super::places::Lines;
use crate::lint::can_be_allowed;
use crate::syntax::{FileId, Remark, Span};
use lsp_types::{Range, TextEdit};

/// One change that is offered.
pub struct Offer {
    /// What it does, in words.
    pub title: String,
    /// The changes of this file.
    pub edits: Vec<TextEdit>,
    /// Whether it puts the remark right without a person's judgement.
    pub sure: bool,
    /// The remark.
    pub remark: Remark,
}

/// What is offered in a part of a file.
pub fn offers(books: &Books, file: FileId, lines: &Lines, wanted: Range) -> Vec<Offer> {
    let here = |r: &&Remark| {
        let place = r.span().filter(|s| s.file == file).map(|s| lines.range(s));
        place.is_some_and(|p| p.start.line <= wanted.end.line && p.end.line >= wanted.start.line)
    };
    books.remarks().iter().filter(here).flat_map(|r| of_remark(books, file, lines, r)).collect()
}

fn of_remark(books: &Books, file: FileId, lines: &Lines, remark: &Remark) -> Vec<Offer> {
    let edit = |span: Span, text: &str| TextEdit { range: lines.range(span), new_text: text.into() };
    let mut out = Vec::new();
    let edits: Vec<TextEdit> = remark.edits.iter().filter(|e| e.span.file == file).map(|e| edit(e.span, &e.text)).collect();
    if !edits.is_empty() {
        let title = remark.help.clone().unwrap_or_else(|| "put it right".into());
        out.push(Offer { title, edits, sure: true, remark: remark.clone() });
    }
    if let (Some(meant), Some(span)) = (&remark.meant, remark.span()) {
        let edits = vec![edit(span, meant)];
        out.push(Offer { title: format!("write `{meant}`"), edits, sure: false, remark: remark.clone() });
    }
    if let Some(end) = remark.span().filter(|_| can_be_allowed(remark.code)).and_then(|span| end_of_block(books, span)) {
        let at = Span { start: end, end, file };
        let text = format!("\n  allow {} because \"\"", remark.code.name);
        let title = format!("allow `{}` here, with a reason", remark.code.name);
        out.push(Offer { title, edits: vec![edit(at, &text)], sure: false, remark: remark.clone() });
    }
    out
}

/// Where the block around a place ends.
fn end_of_block(books: &Books, span: Span) -> Option<u32> {
    let blocks = &books.document(span.file)?.blocks;
    let block = blocks.iter().rfind(|b| b.span.start <= span.start)?;
    let trailing = block.clauses.last().and_then(|c| c.trailing).or(block.trailing).map_or(0, |s| s.end);
    Some(block.reach().end.max(trailing))
}
