//! A lint run as lines that a CI log turns into marks beside the code: `::error file=…,line=…::message`, the workflow commands
//! that several hosts read. Other hosts print them as they are, and they can be read so.

use super::{Run, region};
use crate::syntax::{Remark, Severity, Sources};

/// One line for each remark.
pub fn text(run: &Run) -> String {
    run.shown().map(|(remark, _)| line(remark, run.sources)).collect()
}

fn line(remark: &Remark, sources: &Sources) -> String {
    let word = match remark.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "notice",
    };
    let place = remark.span().map_or(String::new(), |span| {
        let [line, column, end_line, end_column] = region(span, sources);
        let file = property(&sources.get(span.file).name);
        format!("file={file},line={line},col={column},endLine={end_line},endColumn={end_column},")
    });
    let title = property(&format!("{} {}", remark.code.id, remark.code.name));
    let labels = remark.labels.first().map(|l| format!(" ({})", l.text)).unwrap_or_default();
    let help = remark.help.as_ref().map(|h| format!("\nhelp: {h}")).unwrap_or_default();
    format!("::{word} {place}title={title}::{}\n", data(&format!("{}{labels}{help}", remark.message)))
}

/// What stands after the last `::`.
fn data(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// What stands after a `=`.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}
