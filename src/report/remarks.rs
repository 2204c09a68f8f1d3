//! Remarks -> text for people, through miette, and one line each for machines that read lines.

use super::excerpt::Excerpt;
use super::lint::severity_word;
use crate::job::harmless_name;
use crate::syntax::{Remark, Severity, Sources, Span};
use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, SourceCode};
use std::fmt;

/// Remarks shown where something else was wanted.
const FIRST: usize = 20;

/// How text is laid out.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// Columns.
    pub width: usize,
    /// Whether colour may repeat what the words say.
    pub colour: bool,
}

/// All remarks as text, each with its lines of the file.
pub fn text(remarks: &[Remark], sources: &Sources, look: Look) -> String {
    let width = look.width.max(30);
    let theme = if look.colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme).with_width(width).with_links(false);
    let mut out = String::new();
    for (i, remark) in remarks.iter().enumerate() {
        out.push_str(if i > 0 { "\n" } else { "" });
        let shown = Shown::new(remark, sources, width);
        if handler.render_report(&mut out, &shown).is_err() {
            out.push_str(&format!("{}: {}\n", remark.code.id, remark.message));
        }
    }
    out
}

/// The first remarks as text, where something else was wanted; what is left out is said.
pub fn first(remarks: &[Remark], sources: &Sources, look: Look) -> String {
    let (shown, rest) = remarks.split_at(remarks.len().min(FIRST));
    let more = if rest.is_empty() { String::new() } else { format!("\n… and {} more: `faultbook lint` shows them\n", rest.len()) };
    text(shown, sources, look) + &more
}

/// How many errors, warnings and notes.
pub fn counts(remarks: &[Remark]) -> String {
    let count = |s: Severity| remarks.iter().filter(|r| r.severity == s).count();
    let some = |n: usize, word: &str| (n > 0).then(|| format!("{n} {word}{}", if n == 1 { "" } else { "s" }));
    let parts = [some(count(Severity::Error), "error"), some(count(Severity::Warning), "warning"), some(count(Severity::Note), "note")];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { "nothing to remark".into() } else { parts.join(", ") }
}

/// A place as people write it: `file:line:column`.
pub fn place(span: Span, sources: &Sources) -> String {
    let (line, column) = sources.line_column(span);
    format!("{}:{line}:{column}", harmless_name(&sources.get(span.file).name))
}

struct Shown<'r> {
    remark: &'r Remark,
    excerpt: Option<Excerpt<'r>>,
    help: Option<String>,
}

impl<'r> Shown<'r> {
    fn new(remark: &'r Remark, sources: &'r Sources, width: usize) -> Self {
        let excerpt = Excerpt::new(&remark.labels, sources, width);
        // a place that is not drawn is named
        let elsewhere = excerpt.iter().flat_map(|e| &e.left_out);
        let mut lines: Vec<String> = elsewhere.map(|l| format!("{}: {}", l.text, place(l.span, sources))).collect();
        lines.extend(remark.help.clone());
        Shown { remark, excerpt, help: (!lines.is_empty()).then(|| lines.join("\n")) }
    }
}

impl fmt::Debug for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.remark.message)
    }
}

impl std::error::Error for Shown<'_> {}

impl Diagnostic for Shown<'_> {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(format!("{} {} {}", severity_word(self.remark.severity), self.remark.code.id, self.remark.code.name)))
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.remark.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Note => miette::Severity::Advice,
        })
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help.as_ref().map(|h| Box::new(h) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.excerpt.as_ref().map(|e| e as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let excerpt = self.excerpt.as_ref()?;
        Some(Box::new(excerpt.labels()))
    }
}
