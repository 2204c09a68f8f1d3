//! Which book lies over which: the `book` blocks of the layers, and the names that a book laid over nothing does without.

use super::codes::*;
use super::{clauses, shipped};
use crate::syntax::{Block, Document, Keyword, Kind, Remark, Word, nearest};
use std::collections::HashSet;
use std::sync::OnceLock;

/// Remarks on layers with two books in them, and on books laid over one that is not there.
pub fn check(layers: &[Vec<Document>]) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let mut below: Vec<&str> = Vec::new();
    for layer in layers {
        let blocks = layer.iter().flat_map(|d| &d.blocks);
        let books: Vec<&Block> = blocks.filter(|b| b.kind.value == Kind::Book && !b.amends).collect();
        if let [first, rest @ ..] = books.as_slice() {
            remarks.extend(rest.iter().map(|again| second(first, again)));
        }
        let over = books.iter().flat_map(|b| clauses::names(b, Keyword::Over));
        remarks.extend(over.filter(|o| !below.contains(&o.value.as_str())).map(|o| missing(o, &below)));
        below.extend(books.iter().map(|b| b.name.value.as_str()));
    }
    remarks
}

fn second(first: &Block, again: &Block) -> Remark {
    let message = format!("`{}` and `{}` are two books in one", first.name.value, again.name.value);
    Remark::new(SECOND_BOOK, message, again.span, "again here")
        .and(first.span, "first here")
        .help("one folder is one book: keep one `book` block, or give each book a folder and lay one over the other")
}

fn missing(over: &Word, below: &[&str]) -> Remark {
    let mut there: Vec<&str> = below.to_vec();
    there.extend(name().filter(|own| !below.contains(own)));
    let near = nearest(&over.value, there.iter().copied());
    let help = match there.contains(&over.value.as_str()) {
        true => format!("let the lowest book say `over {}`", over.value),
        false => format!("the books there are: `{}`; a book of your own is named by its folder, before this one", there.join("`, `")),
    };
    let message = format!("there is no book `{}` below this one", over.value);
    Remark::new(NO_SUCH_BOOK, message, over.span, "laid over nothing").help(help).suggest(near)
}

/// The name of the book that ships.
fn name() -> Option<&'static str> {
    static NAME: OnceLock<Option<String>> = OnceLock::new();
    NAME.get_or_init(shipped::name).as_deref()
}

/// Whether these blocks are those of the book that ships, or of one laid over it.
pub fn over_shipped<'b>(blocks: impl IntoIterator<Item = &'b Block>) -> bool {
    let name = name();
    blocks.into_iter().any(|b| b.kind.value == Kind::Book && Some(b.name.value.as_str()) == name)
}

/// What to say where a name is not there because the book that ships was left out.
pub fn left_out<'b>(blocks: impl IntoIterator<Item = &'b Block>, word: &str) -> Option<String> {
    if over_shipped(blocks) { None } else { of_shipped(word) }
}

/// The same, where it is known that it was left out.
pub fn of_shipped(word: &str) -> Option<String> {
    static NAMES: OnceLock<HashSet<&str>> = OnceLock::new();
    let names = NAMES.get_or_init(|| {
        let headers = |text: &'static str| text.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()));
        let files = shipped::files().into_iter();
        files.flat_map(|(_, text)| headers(text)).filter_map(|line| line.split_whitespace().nth(1)).collect()
    });
    let over = name().unwrap_or_default();
    let help = || format!("the book that ships has this name: write `over {over}` in your `book` block, and your rules are laid over it");
    names.contains(word).then(help)
}
