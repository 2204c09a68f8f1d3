//! Text -> logical lines: a line that ends in `\` goes on in the next.
//!
//! Everything after this works on one line at a time, which is what keeps an error in one from hiding another.

use super::span::{FileId, Span};

/// What a logical line is, told by its first character alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineKind {
    /// Nothing but white space.
    Blank,
    /// Only a comment.
    Comment,
    /// Starts in column 1: opens a block.
    Header,
    /// Indented: a clause.
    Clause,
}

/// One logical line, without its line break.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// What it is.
    pub kind: LineKind,
    /// Where it stands, from its first printing character to its last.
    pub span: Span,
}

/// Cuts a text into logical lines.
pub fn lines(file: FileId, text: &str) -> Vec<Line> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let end = logical_end(text, at);
        out.push(line(file, text, at, end));
        at = end + usize::from(end < text.len());
    }
    out
}

/// The byte of the line break that ends the logical line, or the end of the text.
fn logical_end(text: &str, start: usize) -> usize {
    let mut from = start;
    loop {
        let end = text[from..].find('\n').map_or(text.len(), |n| from + n);
        let goes_on = text[from..end].trim_end_matches('\r').ends_with('\\');
        if !goes_on || end == text.len() || text[from..end].trim_start().starts_with('#') {
            return end;
        }
        from = end + 1;
    }
}

fn line(file: FileId, text: &str, start: usize, end: usize) -> Line {
    let raw = &text[start..end];
    let body = raw.trim_start_matches('\u{FEFF}');
    let inner = body.trim();
    let kind = match inner.chars().next() {
        None => LineKind::Blank,
        Some('#') => LineKind::Comment,
        Some(_) if body.starts_with([' ', '\t']) => LineKind::Clause,
        Some(_) => LineKind::Header,
    };
    let first = end - raw.len() + raw.find(inner).unwrap_or(0);
    let span = Span { file, start: first as u32, end: (first + inner.len()) as u32 };
    Line { kind, span }
}
