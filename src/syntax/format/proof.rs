//! Whether two documents say the same, wherever it stands.

use crate::syntax::places::each_span;
use crate::syntax::{Document, FileId, Span};

/// Whether two documents have the same blocks, clauses and values, and the same comments in the same order.
pub fn same(mut one: Document, text: &str, mut other: Document, other_text: &str) -> bool {
    comments(&one, text) == comments(&other, other_text) && {
        strip(&mut one);
        strip(&mut other);
        one == other
    }
}

/// The comments of a document in order, each as its words.
fn comments(document: &Document, text: &str) -> Vec<Vec<String>> {
    let mut spans = Vec::new();
    for block in &document.blocks {
        spans.extend(block.leading.iter().copied().chain(block.trailing));
        for clause in &block.clauses {
            spans.extend(clause.leading.iter().copied().chain(clause.trailing));
        }
    }
    spans.extend(&document.closing);
    spans.iter().filter(|s| s.start < s.end).map(|s| words(text, *s)).collect()
}

/// A comment as words: where a broken line went on in it, the backslash was white space.
fn words(text: &str, span: Span) -> Vec<String> {
    let text = text.get(span.start as usize..span.end as usize).unwrap_or("");
    super::layout::comment(text).split_whitespace().map(str::to_string).collect()
}

/// Takes the comments out and puts all else in one place.
fn strip(document: &mut Document) {
    for block in &mut document.blocks {
        (block.leading, block.trailing) = (vec![], None);
        for clause in &mut block.clauses {
            (clause.leading, clause.trailing) = (vec![], None);
        }
    }
    document.closing.clear();
    document.file = FileId(0);
    each_span(document, &mut |span| *span = Span { file: FileId(0), start: 0, end: 0 });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::parse;

    fn alike(one: &str, other: &str) -> bool {
        same(parse(FileId(0), one).0, one, parse(FileId(7), other).0, other)
    }

    #[test]
    fn only_white_space_may_differ() {
        let text = "# c\ncause a \"A\"\n  prior 3 %\n  shows b often # d\n";
        assert!(alike(text, "# c\n\ncause a \"A\"\n  prior  3 %\n  shows  b  often  # d\n"));
        for (from, to) in [("# c\n", ""), ("# d", "# e"), ("3 %", "4 %"), ("often", "seldom"), ("\"A\"", "\"B\""), ("  prior 3 %\n", "")] {
            assert!(!alike(text, &text.replace(from, to)), "{from} -> {to}");
        }
    }
}
