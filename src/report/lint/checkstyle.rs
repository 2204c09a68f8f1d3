//! A lint run in the XML that build servers read from any checker: `file` elements with an `error` for each remark.

use super::{Run, region, severity_word};
use crate::report::words::xml;
use crate::syntax::{Remark, Severity};
use indexmap::IndexMap;

/// The whole document.
pub fn text(run: &Run) -> String {
    let mut files: IndexMap<&str, String> = IndexMap::new();
    for (remark, _) in run.shown() {
        let name = remark.span().map_or("", |s| run.sources.get(s.file).name.as_str());
        files.entry(name).or_default().push_str(&element(remark, run));
    }
    let files: String = files.iter().map(|(name, inner)| format!("  <file name=\"{}\">\n{inner}  </file>\n", xml(name))).collect();
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<checkstyle version=\"4.3\">\n{files}</checkstyle>\n")
}

fn element(remark: &Remark, run: &Run) -> String {
    let [line, column, ..] = remark.span().map_or([1; 4], |s| region(s, run.sources));
    let severity = if remark.severity == Severity::Note { "info" } else { severity_word(remark.severity) };
    let help = remark.help.as_ref().map(|h| format!("; {h}")).unwrap_or_default();
    let (message, source) = (format!("{}{help}", remark.message), format!("faultbook.{}.{}", remark.code.id, remark.code.name));
    format!("    <error line=\"{line}\" column=\"{column}\" severity=\"{severity}\" message=\"{}\" source=\"{source}\"/>\n", xml(&message))
}
