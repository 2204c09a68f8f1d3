//! A document -> its lines: where blank lines, comments and columns stand.

use super::words::{Words, Writer};
use crate::syntax::{Block, Clause, Document, Keyword, Span};
use std::collections::HashMap;

/// A line longer than this is broken, where it can be.
const WIDTH: usize = 120;
/// What a clause is indented by.
const INDENT: &str = "  ";
/// White space after the longest word of a column.
const GAP: usize = 2;

/// The document in the canonical layout. `text` is what it was read from; its line ends are kept.
pub fn text(document: &Document, text: &str) -> String {
    let mut page = Page { text, writer: Writer(text), lines: vec![] };
    let mut before: Option<&Block> = None;
    for block in &document.blocks {
        page.between(before, block);
        page.block(block);
        before = Some(block);
    }
    page.comments_above(&document.closing, before.is_some());
    let end = if text.split('\n').next().is_some_and(|line| line.ends_with('\r')) { "\r\n" } else { "\n" };
    while page.lines.last().is_some_and(String::is_empty) {
        page.lines.pop();
    }
    page.lines.iter().flat_map(|line| [line.as_str(), end]).collect()
}

/// A comment as one line, without what would make it go on in the next.
pub fn comment(text: &str) -> String {
    let lines = text.lines().map(|line| line.trim().trim_end_matches('\\').trim_end());
    lines.collect::<Vec<_>>().join(" ").trim_end().to_string()
}

struct Page<'t> {
    text: &'t str,
    writer: Writer<'t>,
    lines: Vec<String>,
}

impl Page<'_> {
    /// Comments and the blank line between a block and the one before.
    fn between(&mut self, before: Option<&Block>, block: &Block) {
        let start = block.leading.first().map_or(block.span.start, |s| s.start);
        let packed = before.is_some_and(|b| single(b) && single(block) && b.kind.value == block.kind.value);
        if packed && block.leading.is_empty() && !self.blank_before(start) {
            return;
        }
        self.comments_above(&block.leading, before.is_some());
    }

    /// Whole comment lines above a block: indented ones still belong to the block before, the rest stand in column 1.
    fn comments_above(&mut self, spans: &[Span], after_block: bool) {
        let indented = |span: &&Span| after_block && (span.start == span.end || !self.in_column_one(**span));
        let own = spans.iter().take_while(indented).count();
        let own = spans[..own].iter().rposition(|s| s.start < s.end).map_or(0, |last| last + 1);
        self.comments(&spans[..own], INDENT);
        if after_block {
            self.blank();
        }
        self.comments(&spans[own..], "");
    }

    fn comments(&mut self, spans: &[Span], indent: &str) {
        for span in spans {
            match self.writer.slice(*span) {
                text if text.is_empty() => self.blank(),
                text => self.lines.push(format!("{indent}{}", text.trim_end())),
            }
        }
    }

    /// One blank line, however many are asked for.
    fn blank(&mut self) {
        if self.lines.last().is_some_and(|line| !line.is_empty()) {
            self.lines.push(String::new());
        }
    }

    fn block(&mut self, block: &Block) {
        let amend = if block.amends { "amend " } else { "" };
        let mut line = format!("{amend}{} {}", block.kind.value, self.writer.slice(block.name.span));
        if let Some(title) = &block.title {
            line = format!("{line} {}", self.writer.slice(title.span));
        }
        self.lines.push(line);
        self.trailing(block.trailing);
        let rows: Vec<(String, Words)> =
            block.clauses.iter().map(|c| (self.writer.slice(c.keyword.span), self.writer.words(&c.value))).collect();
        let columns = Columns::of(block, &rows);
        for (i, (clause, (keyword, words))) in block.clauses.iter().zip(rows).enumerate() {
            self.clause(clause, i > 0, &keyword, &words, &columns);
        }
    }

    fn clause(&mut self, clause: &Clause, may_blank: bool, keyword: &str, words: &Words, columns: &Columns) {
        let start = clause.leading.first().map_or(clause.span.start, |s| s.start);
        if may_blank && self.blank_before(start) {
            self.blank();
        }
        self.comments(&clause.leading, INDENT);
        let mut line = format!("{INDENT}{keyword:<0$}", columns.keyword);
        if let Some(column) = &words.column {
            line = format!("{line}{column:<0$}", columns.of_keyword(clause.keyword.value));
        }
        self.broken(line, &words.pieces);
        self.trailing(clause.trailing);
    }

    /// Adds pieces to a line, going on in the next where it grows too long.
    fn broken(&mut self, start: String, pieces: &[String]) {
        let margin = " ".repeat(width(&start));
        let mut line = start;
        for (i, piece) in pieces.iter().enumerate() {
            // the broken line's own ` \` takes two columns
            if i > 0 && width(&line) + 1 + width(piece) > WIDTH - 2 {
                self.lines.push(format!("{line} \\"));
                line = format!("{margin}{piece}");
            } else {
                line = format!("{line}{}{piece}", if i == 0 { "" } else { " " });
            }
        }
        self.lines.push(line.trim_end().to_string());
    }

    /// A comment at the end of the last line.
    fn trailing(&mut self, span: Option<Span>) {
        if let (Some(span), Some(line)) = (span, self.lines.last_mut()) {
            *line = format!("{line}  {}", comment(&self.writer.slice(span)));
        }
    }

    fn in_column_one(&self, span: Span) -> bool {
        let before = &self.text[..span.start as usize];
        before.is_empty() || before.ends_with(['\n', '\u{FEFF}'])
    }

    /// Whether the line above the one that holds this byte is blank.
    fn blank_before(&self, byte: u32) -> bool {
        let mut above = self.text[..byte as usize].rsplit('\n').skip(1);
        above.next().is_some_and(|line| line.trim().is_empty())
    }
}

fn single(block: &Block) -> bool {
    block.clauses.is_empty()
}

fn width(text: &str) -> usize {
    unicode_width::UnicodeWidthStr::width(text)
}

/// How wide the columns of a block are, gap included.
struct Columns {
    keyword: usize,
    words: HashMap<Keyword, usize>,
}

impl Columns {
    fn of(block: &Block, rows: &[(String, Words)]) -> Columns {
        let keyword = rows.iter().map(|(k, _)| width(k)).max().unwrap_or(0) + GAP;
        let mut words = HashMap::new();
        for (clause, (_, row)) in block.clauses.iter().zip(rows) {
            let entry = words.entry(clause.keyword.value).or_insert(0);
            *entry = row.column.as_deref().map_or(0, |c| width(c) + GAP).max(*entry);
        }
        Columns { keyword, words }
    }

    fn of_keyword(&self, keyword: Keyword) -> usize {
        self.words.get(&keyword).copied().unwrap_or(0)
    }
}
