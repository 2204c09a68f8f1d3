//! The lints: their catalogue, their pages, and what they find.
mod catalogue;
mod fix;
mod pages;
mod rivals;

use faultbook::book;
use faultbook::lint::{Levels, Texts, look};
use faultbook::syntax::{Remark, Sources, parse};

/// All remarks on files that make one book together, and the files.
pub fn remarks(files: &[(&str, &str)]) -> (Vec<Remark>, Sources) {
    remarks_with(files, &Levels::default())
}

/// The same, with a workshop's own severities.
pub fn remarks_with(files: &[(&str, &str)], levels: &Levels) -> (Vec<Remark>, Sources) {
    let mut sources = Sources::default();
    let mut found = Vec::new();
    let mut documents = Vec::new();
    for (name, text) in files {
        let (document, remarks) = parse(sources.add(*name, *text), text);
        documents.push(document);
        found.extend(remarks);
    }
    // a folder is one book: what brings a second one is laid over the first
    let opens = |d: &faultbook::syntax::Document| d.blocks.iter().any(|b| b.kind.value == faultbook::syntax::Kind::Book && !b.amends);
    let at = (1..documents.len()).find(|at| opens(&documents[*at])).unwrap_or(documents.len());
    let above = documents.split_off(at);
    let layers: Vec<_> = [documents, above].into_iter().filter(|l| !l.is_empty()).collect();
    let (book, remarks) = book::read(&sources, &layers);
    found.extend(remarks);
    let book = book.filter(|_| found.is_empty());
    found.extend(look(&Texts { sources: &sources, layers: &layers, borrowed: 0 }, book.as_ref(), levels));
    found.sort_by_key(|r| r.span());
    (found, sources)
}

/// The book that the examples are laid beside.
pub const BENCH: (&str, &str) = ("bench.rules", include_str!("bench.rules"));
