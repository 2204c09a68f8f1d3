//! Bytes of a text, and the lines and characters that the protocol counts in.

use crate::syntax::Span;
use lsp_types::{Position, Range};

/// What a character counts: units of UTF-16, unless the editor agreed to bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Encoding {
    /// Units of UTF-16, what the protocol asks for where nothing is agreed.
    #[default]
    Utf16,
    /// Bytes.
    Utf8,
}

/// A text by its lines.
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
    encoding: Encoding,
}

impl<'t> Lines<'t> {
    /// The lines of a text.
    pub fn new(text: &'t str, encoding: Encoding) -> Self {
        let starts = std::iter::once(0).chain(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1)).collect();
        Lines { text, starts, encoding }
    }

    /// Where a byte stands; past the end it is the end.
    pub fn position(&self, byte: usize) -> Position {
        let byte = self.text.floor_char_boundary(byte);
        let line = self.starts.partition_point(|s| *s <= byte) - 1;
        let before = &self.text[self.starts[line]..byte];
        let character = match self.encoding {
            Encoding::Utf16 => before.encode_utf16().count(),
            Encoding::Utf8 => before.len(),
        };
        Position { line: line as u32, character: character as u32 }
    }

    /// The byte of a place; past the end of a line it is that end.
    pub fn byte(&self, place: Position) -> usize {
        let Some(start) = self.starts.get(place.line as usize).copied() else { return self.text.len() };
        let line = self.line(place.line as usize);
        let wanted = place.character as usize;
        let mut count = 0;
        for (at, c) in line.char_indices() {
            if count >= wanted {
                return start + at;
            }
            count += if self.encoding == Encoding::Utf16 { c.len_utf16() } else { c.len_utf8() };
        }
        start + line.len()
    }

    /// A line without its end.
    pub fn line(&self, line: usize) -> &'t str {
        let Some(start) = self.starts.get(line) else { return "" };
        let end = self.starts.get(line + 1).map_or(self.text.len(), |next| next - 1);
        self.text[*start..end].trim_end_matches('\r')
    }

    /// How many lines there are.
    pub fn count(&self) -> usize {
        self.starts.len()
    }

    /// The range of a span.
    pub fn range(&self, span: Span) -> Range {
        Range { start: self.position(span.start as usize), end: self.position(span.end.max(span.start) as usize) }
    }

    /// The range of the whole text.
    pub fn all(&self) -> Range {
        Range { start: Position::default(), end: self.position(self.text.len()) }
    }
}
