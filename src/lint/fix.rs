//! The edits that remarks bring with them, worked into a text.

use crate::syntax::{Clause, Edit, FileId, Remark, Sources, Span, Word};
use std::collections::BTreeMap;

/// A text with edits worked in.
pub struct Edited {
    /// The new text.
    pub text: String,
    /// How many remarks were put right.
    pub remarks: usize,
}

/// Works the edits for one file into its text; a remark may have others for other files. One whose edits touch those of an earlier one is
/// left for another round.
pub fn apply(file: FileId, text: &str, remarks: &[Remark]) -> Edited {
    let mut taken: BTreeMap<Span, &Edit> = BTreeMap::new();
    let mut count = 0;
    for remark in remarks {
        let own = || remark.edits.iter().filter(|e| e.span.file == file);
        if own().next().is_some() && own().all(|e| is_free(&taken, e.span)) {
            taken.extend(own().map(|e| (e.span, e)));
            count += 1;
        }
    }
    let mut out = String::new();
    let mut at = 0;
    for edit in taken.into_values() {
        let (start, end) = (edit.span.start as usize, edit.span.end as usize);
        let Some(kept) = text.get(at..start).filter(|_| text.is_char_boundary(end)) else { continue };
        out.push_str(kept);
        out.push_str(&edit.text);
        at = end;
    }
    out.push_str(text.get(at..).unwrap_or(""));
    Edited { text: out, remarks: count }
}

/// Whether a span touches none of those taken, which do not touch each other.
fn is_free(taken: &BTreeMap<Span, &Edit>, span: Span) -> bool {
    let before = taken.range(..=Span { start: span.end, end: u32::MAX, ..span }).next_back();
    before.is_none_or(|(t, _)| t.end < span.start)
}

/// What takes a clause out with its line; a comment at its end stays.
pub fn take_out(sources: &Sources, clause: &Clause) -> Edit {
    let text = &sources.get(clause.span.file).text;
    let (start, end) = (clause.span.start as usize, clause.span.end as usize);
    if let Some(comment) = clause.trailing {
        return Edit { span: Span { end: comment.start, ..clause.span }, text: String::new() };
    }
    let start = text.get(..start).and_then(|t| t.rfind('\n')).map_or(0, |n| n + 1);
    let end = text.get(end..).and_then(|t| t.find('\n')).map_or(text.len(), |n| end + n + 1);
    Edit { span: Span { start: start as u32, end: end as u32, ..clause.span }, text: String::new() }
}

/// What takes one word out of a list of two or more, with its comma.
pub fn take_word(words: &[Word], at: usize) -> Option<Edit> {
    let span = match (words.get(at), words.get(at + 1), at.checked_sub(1).and_then(|b| words.get(b))) {
        (Some(word), Some(next), _) => Span { end: next.span.start, ..word.span },
        (Some(word), None, Some(before)) => Span { start: before.span.end, ..word.span },
        _ => return None,
    };
    Some(Edit { span, text: String::new() })
}
