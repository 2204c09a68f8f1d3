//! The blocks of a file: its outline, and what folds.

use super::books::Books;
use super::places::Lines;
use crate::syntax::{Block, FileId, Kind};
use lsp_types::{DocumentSymbol, FoldingRange, FoldingRangeKind, SymbolKind};

/// The blocks as symbols.
pub fn symbols(books: &Books, file: FileId, lines: &Lines) -> Vec<DocumentSymbol> {
    blocks(books, file).map(|b| symbol(b, lines)).collect()
}

fn blocks(books: &Books, file: FileId) -> impl Iterator<Item = &Block> {
    books.document(file).into_iter().flat_map(|d| &d.blocks)
}

#[allow(deprecated)] // the protocol's type has a field that it tells everybody to leave empty
fn symbol(block: &Block, lines: &Lines) -> DocumentSymbol {
    let amend = if block.amends { "amend " } else { "" };
    let title = block.title.as_ref().map_or(String::new(), |t| format!(" {}", t.value));
    DocumentSymbol {
        name: block.name.value.clone(),
        detail: Some(format!("{amend}{}{title}", block.kind.value)),
        kind: shape(block.kind.value),
        tags: None,
        deprecated: None,
        range: lines.range(block.reach()),
        selection_range: lines.range(block.name.span),
        children: None,
    }
}

/// What an editor draws beside a block: the nearest thing it knows.
pub fn shape(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Book => SymbolKind::PACKAGE,
        Kind::Scale | Kind::Channel => SymbolKind::ENUM,
        Kind::Source => SymbolKind::FILE,
        Kind::Trait => SymbolKind::PROPERTY,
        Kind::Hazard => SymbolKind::EVENT,
        Kind::Access | Kind::Tool => SymbolKind::OBJECT,
        Kind::Symptom | Kind::Code | Kind::Reading | Kind::Sign => SymbolKind::VARIABLE,
        Kind::Cause | Kind::Condition => SymbolKind::CLASS,
        Kind::Check | Kind::Fix | Kind::Aftercare => SymbolKind::METHOD,
    }
}

/// Blocks of several lines, and comments of several lines above them.
pub fn folds(books: &Books, file: FileId, lines: &Lines) -> Vec<FoldingRange> {
    let fold = |start: usize, end: usize, kind: FoldingRangeKind| {
        let (start_line, end_line) = (lines.position(start).line, lines.position(end).line);
        let plain = FoldingRange { start_line, end_line, kind: Some(kind), ..FoldingRange::default() };
        (end_line > start_line).then_some(plain)
    };
    let mut out = Vec::new();
    for block in blocks(books, file) {
        let reach = block.reach();
        out.extend(fold(reach.start as usize, reach.end as usize, FoldingRangeKind::Region));
        let comment: Vec<_> = block.leading.iter().filter(|s| s.start < s.end).collect();
        if let (Some(first), Some(last)) = (comment.first(), comment.last()) {
            out.extend(fold(first.start as usize, last.end as usize, FoldingRangeKind::Comment));
        }
    }
    out
}
