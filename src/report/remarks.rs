//! Remarks -> text for people, through miette, and one line each for machines that read lines.

use crate::syntax::{Remark, Severity, Source, Sources, Span};
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents,
};
use std::fmt;

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
    let theme = if look.colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme).with_width(look.width.max(30)).with_links(false);
    let mut out = String::new();
    for remark in remarks {
        let shown = Shown::new(remark, sources);
        if handler.render_report(&mut out, &shown).is_err() {
            out.push_str(&format!("{}: {}\n", remark.code.id, remark.message));
        }
    }
    out
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
    format!("{}:{line}:{column}", sources.get(span.file).name)
}

/// A line longer than this, as in a file that is no text, is named but not shown.
const LONGEST_LINE: usize = 1000;

struct Shown<'r> {
    remark: &'r Remark,
    source: Option<Named<'r>>,
    help: Option<String>,
}

impl<'r> Shown<'r> {
    fn new(remark: &'r Remark, sources: &'r Sources) -> Self {
        let main = remark.span();
        let file = main.filter(|s| short_lines(*s, sources)).map(|s| (s.file, sources.get(s.file)));
        // a place in another file, or in a line that can't be drawn, is named
        let elsewhere = remark.labels.iter().filter(|l| Some(l.span.file) != file.map(|(id, _)| id));
        let mut lines: Vec<String> = elsewhere.map(|l| format!("{}: {}", l.text, place(l.span, sources))).collect();
        lines.extend(remark.help.clone());
        let source = file.map(|(_, f)| Named(f));
        Shown { remark, source, help: (!lines.is_empty()).then(|| lines.join("\n")) }
    }
}

/// A file and the name to show over its lines.
struct Named<'r>(&'r Source);

impl SourceCode for Named<'_> {
    fn read_span<'a>(&'a self, span: &SourceSpan, before: usize, after: usize) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let found = self.0.text.read_span(span, before, after)?;
        let (line, column, lines) = (found.line(), found.column(), found.line_count());
        Ok(Box::new(MietteSpanContents::new_named(self.0.name.clone(), found.data(), *found.span(), line, column, lines)))
    }
}

fn short_lines(span: Span, sources: &Sources) -> bool {
    let text = &sources.get(span.file).text;
    let (start, end) = ((span.start as usize).min(text.len()), (span.end as usize).min(text.len()));
    let before = text.as_bytes()[..start].iter().rev().take(LONGEST_LINE).position(|b| *b == b'\n');
    let after = text.as_bytes()[end..].iter().take(LONGEST_LINE).position(|b| *b == b'\n');
    (before.is_some() || start < LONGEST_LINE)
        && (after.is_some() || text.len() - end < LONGEST_LINE)
        && end - start.min(end) < LONGEST_LINE
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
        Some(Box::new(format!("{} {}", self.remark.code.id, self.remark.code.name)))
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
        self.source.as_ref().map(|s| s as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        self.source.as_ref()?;
        let file = self.remark.span()?.file;
        let labels = self.remark.labels.iter().filter(move |l| l.span.file == file);
        Some(Box::new(labels.map(|l| LabeledSpan::new(Some(l.text.clone()), l.span.start as usize, (l.span.end - l.span.start) as usize))))
    }
}
