//! Where things stand: files, and byte ranges in them.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::sync::OnceLock;

/// The number of a file within its [`Sources`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct FileId(pub u32);

/// A range of bytes in one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The span from the start of `self` to the end of `other`.
    pub fn to(self, other: Span) -> Span {
        Span { end: other.end.max(self.end), ..self }
    }
}

/// A value and the place it was read from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Spanned<T> {
    /// What was read.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Ties a value to its place.
    pub fn new(value: T, span: Span) -> Self {
        Spanned { value, span }
    }
}

/// A word with its place: a name, a state, a word of a scale, a piece of prose.
pub type Word = Spanned<String>;

/// One file: the name people know it by and its text.
#[derive(Debug, Clone)]
pub struct Source {
    /// Path as the user wrote it, or a stand-in such as `<standard input>`.
    pub name: String,
    /// The whole text.
    pub text: Cow<'static, str>,
    /// The byte that each line starts at, once somebody asks for a line.
    lines: OnceLock<Vec<u32>>,
}

impl Source {
    fn lines(&self) -> &[u32] {
        let starts = || self.text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at as u32 + 1);
        self.lines.get_or_init(|| std::iter::once(0).chain(starts()).collect())
    }
}

/// All files of a run, in the order they were read.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<Source>,
}

impl Sources {
    /// Adds a file and returns its number.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> FileId {
        self.push(name.into(), Cow::Owned(text.into()))
    }

    /// Adds a file whose text lies in the program, which need not be copied.
    pub fn add_static(&mut self, name: impl Into<String>, text: &'static str) -> FileId {
        self.push(name.into(), Cow::Borrowed(text))
    }

    fn push(&mut self, name: String, text: Cow<'static, str>) -> FileId {
        self.files.push(Source { name, text, lines: OnceLock::new() });
        FileId((self.files.len() - 1) as u32)
    }

    /// A file's new text.
    pub fn replace(&mut self, file: FileId, text: impl Into<String>) {
        if let Some(source) = self.files.get_mut(file.0 as usize) {
            let name = std::mem::take(&mut source.name);
            *source = Source { name, text: Cow::Owned(text.into()), lines: OnceLock::new() };
        }
    }

    /// The file of that number. A number from another run gives an empty file.
    pub fn get(&self, file: FileId) -> &Source {
        static NONE: Source = Source { name: String::new(), text: Cow::Borrowed(""), lines: OnceLock::new() };
        self.files.get(file.0 as usize).unwrap_or(&NONE)
    }

    /// All files with their numbers.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &Source)> {
        self.files.iter().enumerate().map(|(i, f)| (FileId(i as u32), f))
    }

    /// How many files there are.
    pub fn len(&self) -> usize {
        self.files.len()
    }

    /// Whether no file was read.
    pub fn is_empty(&self) -> bool {
        self.files.is_empty()
    }

    /// The text under a span; empty where the span does not fit the file.
    pub fn slice(&self, span: Span) -> &str {
        self.get(span.file).text.get(span.start as usize..span.end as usize).unwrap_or("")
    }

    /// Line and column (both from 1, columns in characters) of a span's start.
    pub fn line_column(&self, span: Span) -> (usize, usize) {
        let source = self.get(span.file);
        let (text, lines) = (&source.text, source.lines());
        let at = (span.start as usize).min(text.len());
        // found, not counted: a file may have as many remarks as lines
        let line = lines.partition_point(|start| *start as usize <= at).max(1);
        let start = lines.get(line - 1).map_or(0, |start| *start as usize);
        let column = text.get(start..at).unwrap_or_default().chars().count() + 1;
        (line, column)
    }
}
