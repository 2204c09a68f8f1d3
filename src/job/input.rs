//! What is wrong with a job sheet or a flag: the place, what, and what to do.

use std::fmt;

/// One mistake in what was handed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InputError {
    /// Where: `[readings] boost-2500`, `--code`.
    pub place: String,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
    /// The line of the text, from 1, where it is known.
    pub line: Option<usize>,
}

impl InputError {
    /// A mistake with its way out.
    pub fn new(place: impl Into<String>, message: impl Into<String>, help: impl Into<String>) -> Self {
        InputError { place: place.into(), message: message.into(), help: help.into(), line: None }
    }

    /// The same, in a line of the text, counted from 1.
    pub fn at_line(self, line: usize) -> Self {
        InputError { line: Some(line), ..self }
    }
}

impl fmt::Display for InputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}\n  help: {}", self.place, self.message, self.help)
    }
}

/// A name on one line: line breaks and tabs become marks too, so that a file can't be called so that it looks like a message.
pub fn harmless_name(name: &str) -> String {
    harmless(name).replace(['\n', '\r', '\t'], "\u{FFFD}")
}

/// Text without control characters that could drive a terminal or turn the direction of writing; each becomes a visible mark.
pub fn harmless(text: &str) -> String {
    let bad =
        |c: char| (c.is_control() && !matches!(c, '\n' | '\r' | '\t')) || matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
    if text.contains(bad) { text.replace(bad, "\u{FFFD}") } else { text.to_string() }
}
