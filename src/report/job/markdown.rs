//! A page as Markdown (CommonMark, with the tables of GitHub's). Whatever came from a sheet is escaped: it reads as it was written and marks up nothing.

use super::chart::ChartDocument;
use super::page::{Alert, Block, Page, Section, Step};

/// The file.
pub fn markdown(page: &Page) -> String {
    let mut parts = vec![format!("# {}", escape(&page.title)), escape(&page.kind)];
    if !page.facts.is_empty() {
        parts.push(page.facts.iter().map(|f| escape(f)).collect::<Vec<_>>().join(" · "));
    }
    if !page.lead.is_empty() {
        parts.push(format!("**{}**", escape(&page.lead)));
    }
    parts.extend(page.sections.iter().map(section));
    parts.join("\n\n") + "\n"
}

fn section(section: &Section) -> String {
    let blocks = section.blocks.iter().map(block);
    std::iter::once(format!("## {}", escape(&section.title))).chain(blocks).collect::<Vec<_>>().join("\n\n")
}

fn block(block: &Block) -> String {
    match block {
        Block::Title(text) => format!("### {}", escape(text)),
        Block::Text(text) => escape(text),
        Block::Quote(text) => format!("> {}", escape(text)),
        Block::List(lines) => list(lines),
        Block::Table(head, rows) => table(head, rows),
        Block::Alert(alert) => warning(alert),
        Block::Chart(chart) => measured(chart),
        Block::Step(one) => step(one),
    }
}

fn list(lines: &[String]) -> String {
    lines.iter().map(|l| format!("- {}", escape(l))).collect::<Vec<_>>().join("\n")
}

fn table(head: &[String], rows: &[Vec<String>]) -> String {
    let row = |cells: &[String]| format!("| {} |", cells.iter().map(|c| escape(c)).collect::<Vec<_>>().join(" | "));
    let rule = format!("|{}", " --- |".repeat(head.len()));
    let body = rows.iter().map(|r| row(r));
    [row(head), rule].into_iter().chain(body).collect::<Vec<_>>().join("\n")
}

fn warning(alert: &Alert) -> String {
    let lines = alert.lines.iter().map(|l| format!("> {}", escape(l)));
    std::iter::once(format!("> **{}**", escape(&alert.heading()))).chain(lines).collect::<Vec<_>>().join("\n>\n")
}

fn measured(chart: &ChartDocument) -> String {
    let row = |p: &super::chart::PointDocument| {
        let value = format!("{} {}", crate::report::words::number(p.value), chart.unit);
        vec![p.label.clone(), value, if p.inside { "yes".into() } else { "no".to_string() }]
    };
    let head = ["When", "Measured", "Inside its limit"].map(String::from);
    let rows: Vec<Vec<String>> = chart.points.iter().map(row).collect();
    format!("### {}\n\nLimits: {}.\n\n{}", escape(&chart.title), escape(&chart.limits()), table(&head, &rows))
}

fn step(step: &Step) -> String {
    let mut parts = vec![format!("### {}. {}", step.number, escape(&step.title))];
    parts.extend(step.effort.iter().map(|e| escape(e)));
    parts.extend(step.cautions.iter().map(|c| format!("**Caution.** {}", escape(c))));
    if !step.how.is_empty() {
        parts.push(list(&step.how));
    }
    let ways: Vec<String> = step.ways.iter().map(|(found, then, _)| format!("{found}: {then}")).collect();
    if !ways.is_empty() {
        parts.push(format!("What you may find:\n\n{}", list(&ways)));
    }
    parts.join("\n\n")
}

/// Text that marks up nothing: every character with a meaning gets its backslash (CommonMark 0.31, 2.4), line breaks become spaces.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for (i, c) in text.split_whitespace().collect::<Vec<_>>().join(" ").char_indices() {
        let at_start = i == 0 && matches!(c, '-' | '+' | '=');
        if at_start || matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '!') {
            out.push('\\');
        }
        out.push(c);
    }
    numbered(out)
}

/// A leading `3.` or `3)` would open a list.
fn numbered(text: String) -> String {
    let digits = text.chars().take_while(char::is_ascii_digit).count();
    let (number, rest) = text.split_at(digits);
    let marks = rest.strip_prefix(['.', ')']).is_some_and(|after| after.is_empty() || after.starts_with(' '));
    if digits > 0 && marks { format!("{number}\\{rest}") } else { text }
}
