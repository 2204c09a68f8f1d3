//! The pages of the codes: one for a terminal, all as the chapter of the documentation, one as a document.

use super::severity_word;
use crate::lint::{LINTS, codes, page};
use crate::report::Look;
use crate::report::words::{heading, wrap};
use crate::syntax::Code;
use schemars::JsonSchema;
use serde::Serialize;

/// `explain CODE --json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CodeDocument {
    /// Version of this shape.
    pub schema: u32,
    /// Stable code, such as `FB206`.
    pub code: String,
    /// Readable name, such as `reading-without-source`.
    pub name: String,
    /// `error`, `warning` or `note`, where no settings change it.
    pub severity: String,
    /// Its page, as Markdown.
    pub page: String,
}

/// A code as a document.
pub fn document(code: Code) -> CodeDocument {
    let page = page(code.id).unwrap_or_default().to_string();
    CodeDocument { schema: 1, code: code.id.into(), name: code.name.into(), severity: severity_word(code.severity).into(), page }
}

/// What the code is, in one sentence.
pub fn summary(code: Code) -> &'static str {
    page(code.id).unwrap_or_default().lines().map(str::trim).find(|l| !l.is_empty() && !l.starts_with('#')).unwrap_or(code.name)
}

/// Why the code matters, as one paragraph.
pub fn why(code: Code) -> String {
    let page = page(code.id).unwrap_or_default();
    let after = page.split("\n## Why it matters\n").nth(1).unwrap_or_default();
    let part = after.split("\n## ").next().unwrap_or_default();
    format!("{} {}", summary(code), part.split_whitespace().collect::<Vec<_>>().join(" ")).trim().to_string()
}

/// The page of a code for a terminal.
pub fn text(code: Code, look: Look) -> String {
    let mut out = heading(&format!("{} {}", code.id, code.name));
    out.push_str(&format!("{}\n", severity_word(code.severity)));
    let mut in_rules = false;
    for line in page(code.id).unwrap_or_default().lines().skip(1) {
        match line {
            _ if line.starts_with("```") => in_rules = !in_rules,
            _ if in_rules => out.push_str(format!("    {line}").trim_end()),
            _ => out.push_str(&wrap(line.trim_start_matches("## "), look.width, "", "")),
        }
        if !line.starts_with("```") {
            out.push('\n');
        }
    }
    out
}

/// What the chapter begins with.
const OPENING: &str = "# What lint remarks on

Made from the pages in `src/lint/pages` by `faultbook provide lints`. `faultbook explain CODE` shows one of them.

FB0 and FB1 are errors: the rules can't be used with them. FB2 looks at the text, FB3 at what is tied to what, FB4 at what the
belief and the plan make of it. FB2, FB3 and FB4 can be kept back in one block, or in a whole book, by a line
`allow NAME because \"…\"`; `[lint]` in `faultbook.toml` changes their severity or turns them off: `unused-name = \"error\"`.
";

/// The pages of all codes as one chapter, in Markdown.
pub fn chapter() -> String {
    let mut out = format!(
        "{OPENING}\n{} codes, {} of them lints.\n\n| code | name | severity | what |\n|---|---|---|---|\n",
        codes().count(),
        LINTS.len()
    );
    for code in codes() {
        let Code { id, name, severity } = code;
        out.push_str(&format!("| {id} | [{name}](#{}-{name}) | {} | {} |\n", id.to_lowercase(), severity_word(severity), summary(code)));
    }
    for code in codes() {
        let lower =
            page(code.id).unwrap_or_default().lines().map(|l| if l.starts_with('#') { format!("#{l}\n") } else { format!("{l}\n") });
        out.push_str(&format!("\n{}", lower.collect::<String>()));
    }
    out
}
