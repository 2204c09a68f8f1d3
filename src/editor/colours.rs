//! What each word of a file is, for the colours of an editor.

use super::books::Books;
use super::places::Lines;
use super::uses::{Sort, of_block};
use crate::syntax::{Block, Chance, Clause, FileId, Quantity, Range, Span, Value};
use lsp_types::{SemanticToken, SemanticTokenModifier, SemanticTokenType};

/// The types of words, by the numbers that are sent, and their one modifier.
pub const LEGEND: (&[SemanticTokenType], &[SemanticTokenModifier]) = (
    &[
        SemanticTokenType::KEYWORD,
        SemanticTokenType::CLASS,
        SemanticTokenType::PROPERTY,
        SemanticTokenType::ENUM_MEMBER,
        SemanticTokenType::NUMBER,
        SemanticTokenType::STRING,
        SemanticTokenType::COMMENT,
    ],
    &[SemanticTokenModifier::DECLARATION],
);

const KEYWORD: u32 = 0;
const NAME: u32 = 1;
const CLAUSE: u32 = 2;
const STATE: u32 = 3;
const NUMBER: u32 = 4;
const PROSE: u32 = 5;
const COMMENT: u32 = 6;

/// All words of a file, each by its distance from the one before.
pub fn tokens(books: &Books, file: FileId, lines: &Lines) -> Vec<SemanticToken> {
    let Some(document) = books.document(file) else { return vec![] };
    let mut marks: Vec<(Span, u32, u32)> = Vec::new();
    for block in &document.blocks {
        of_one(block, &mut marks);
    }
    marks.extend(document.closing.iter().map(|s| (*s, COMMENT, 0)));
    marks.retain(|(s, ..)| s.file == file && s.start < s.end);
    marks.sort();
    laid_out(&marks, lines)
}

fn of_one(block: &Block, marks: &mut Vec<(Span, u32, u32)>) {
    marks.push((block.kind.span, KEYWORD, 0));
    marks.extend(block.title.iter().map(|t| (t.span, PROSE, 0)));
    marks.extend(block.leading.iter().chain(&block.trailing).map(|s| (*s, COMMENT, 0)));
    for used in of_block(block) {
        let what = match used.sort {
            Sort::State(_) => STATE,
            Sort::Chance(_) => NUMBER,
            _ => NAME,
        };
        marks.push((used.word.span, what, u32::from(used.defines)));
    }
    for clause in &block.clauses {
        of_clause(clause, marks);
    }
}

fn of_clause(clause: &Clause, marks: &mut Vec<(Span, u32, u32)>) {
    if !matches!(clause.value, Value::ScaleWord { .. }) {
        marks.push((clause.keyword.span, CLAUSE, 0));
    }
    marks.extend(clause.leading.iter().chain(&clause.trailing).map(|s| (*s, COMMENT, 0)));
    let mut number = |span: Span| marks.push((span, NUMBER, 0));
    let mut chance = |c: &Chance| {
        if let Chance::Number(n) = c {
            number(n.span);
        }
    };
    match &clause.value {
        Value::Pushes { pushes, .. } | Value::Strays(pushes) => pushes.iter().for_each(|p| chance(&p.chance)),
        Value::Links(links) => links.iter().for_each(|(_, c)| chance(c)),
        Value::Cures(cures) => cures.iter().filter_map(|(_, c)| c.as_ref()).for_each(chance),
        Value::Chance(c) | Value::ScaleWord { chance: c, .. } => chance(c),
        Value::Number(n) => number(n.span),
        Value::Hex(n) => number(n.span),
        Value::Date(day) => number(day.span),
        Value::Quantity(q) => number(q.span),
        Value::Band { ranges, .. } => ranges.iter().flat_map(ends).for_each(|q| number(q.span)),
        Value::Texts(words) => words.iter().for_each(|w| marks.push((w.span, PROSE, 0))),
        Value::Allow { code, reason } => marks.extend([(code.span, NAME, 0), (reason.span, PROSE, 0)]),
        Value::Window(window) => {
            window.holds.iter().flat_map(|(_, range)| ends(range)).chain(&window.held).for_each(|q| number(q.span));
        }
        _ => {}
    }
}

fn ends(range: &Range) -> Vec<&Quantity> {
    match range {
        Range::Below(end) | Range::Above(end) => vec![end],
        Range::Between(low, high) => vec![low, high],
    }
}

/// Marks in order, none over another, each on one line, as the protocol counts them.
fn laid_out(marks: &[(Span, u32, u32)], lines: &Lines) -> Vec<SemanticToken> {
    let (mut out, mut line, mut column, mut reached) = (Vec::new(), 0, 0, 0);
    for (span, what, modifier) in marks {
        let range = lines.range(*span);
        if span.start < reached || range.start.line != range.end.line {
            continue;
        }
        reached = span.end;
        let delta_line = range.start.line - line;
        let delta_start = if delta_line == 0 { range.start.character - column } else { range.start.character };
        let length = range.end.character - range.start.character;
        out.push(SemanticToken { delta_line, delta_start, length, token_type: *what, token_modifiers_bitset: *modifier });
        (line, column) = (range.start.line, range.start.character);
    }
    out
}
