//! Logical lines -> blocks. A line that can't be read is left out and remarked on; the rest stands.

use super::codes::*;
use super::hints;
use super::kind::{Keyword, Kind, Shape};
use super::lines::{Line, LineKind, lines};
use super::message::broken;
use super::remark::{Remark, nearest};
use super::shapes;
use super::span::{FileId, Span, Spanned};
use super::tree::{Block, Clause, Document, Value};
use pest::Parser;

#[derive(pest_derive::Parser)]
#[grammar = "../grammar/rules.pest"]
pub(super) struct Grammar;

/// Reads one file. The document holds all that could be read; the remarks say what could not.
pub fn parse(file: FileId, text: &str) -> (Document, Vec<Remark>) {
    // Bounds hostile input: no line of a real book comes near it.
    pest::set_call_limit(std::num::NonZeroUsize::new(2_000_000));
    if let Some(at) = text.find('\u{FFFD}') {
        return (Document { file, blocks: vec![], closing: vec![] }, vec![not_text(file, at)]);
    }
    let mut reader = Reader { text, document: Document { file, blocks: vec![], closing: vec![] }, ..Reader::new(file, text) };
    for line in lines(file, text) {
        reader.line(line);
    }
    reader.document.closing = std::mem::take(&mut reader.waiting);
    (reader.document, reader.remarks)
}

/// A block without a title stands all the same, so that those who name it don't seem to name nothing.
fn untitled(block: &Block) -> Option<Remark> {
    let needs_title = block.kind.value != Kind::Code && !block.amends;
    (needs_title && block.title.is_none()).then(|| {
        Remark::new(NAMELESS_BLOCK, format!("`{}` has no title", block.name.value), block.name.span, "expected a title after it")
            .help("put the words people should see in double quotes")
    })
}

/// What can't be shown was no text to begin with: a picture, an archive, another encoding.
fn not_text(file: FileId, at: usize) -> Remark {
    let span = Span { file, start: at as u32, end: at as u32 };
    Remark::new(
        NOT_TEXT,
        "this file is not plain text in UTF-8",
        span,
        "from here on at the latest: another encoding, or a control character",
    )
    .help("save it as UTF-8 text, or take it out of the folder")
}

struct Reader<'t> {
    text: &'t str,
    document: Document,
    remarks: Vec<Remark>,
    /// Comment lines not yet given to a block or clause.
    waiting: Vec<Span>,
    /// Whether the clauses to come belong to the last block, or to one whose header is broken.
    place: Place,
}

#[derive(PartialEq)]
enum Place {
    Nowhere,
    Broken,
    InBlock,
}

impl<'t> Reader<'t> {
    fn new(file: FileId, text: &'t str) -> Self {
        let document = Document { file, blocks: vec![], closing: vec![] };
        Reader { text, document, remarks: vec![], waiting: vec![], place: Place::Nowhere }
    }

    fn line(&mut self, line: Line) {
        match line.kind {
            LineKind::Blank => {
                if !self.waiting.is_empty() {
                    self.waiting.push(Span { end: line.span.start, ..line.span });
                }
            }
            LineKind::Comment => self.waiting.push(line.span),
            LineKind::Header if self.is_clause(line.span) => {
                let remark = self.outdented(line.span);
                self.remarks.push(remark);
                self.clause(line.span);
            }
            LineKind::Header => self.header(line.span),
            LineKind::Clause if self.is_header(line.span) => {
                let remark = self.indented(line.span);
                self.remarks.push(remark);
                self.header(line.span);
            }
            LineKind::Clause => self.clause(line.span),
        }
    }

    fn slice(&self, span: Span) -> &'t str {
        &self.text[span.start as usize..span.end as usize]
    }

    /// Whether a line in column 1 can only be a clause of the block above it.
    fn is_clause(&self, span: Span) -> bool {
        let word = first_word(self.slice(span));
        let keyword = Keyword::from_word(word).filter(|k| *k != Keyword::Word && Kind::from_word(word).is_none());
        let home = self.document.blocks.last().filter(|_| self.place == Place::InBlock);
        home.is_some_and(|b| keyword.is_some_and(|k| b.kind.value.takes(k)))
    }

    /// Whether an indented line can only open a block: a kind, a name and a title.
    fn is_header(&self, span: Span) -> bool {
        let text = self.slice(span);
        let mut words = text.split_whitespace().skip_while(|w| *w == "amend");
        let kind = words.next().and_then(Kind::from_word).is_some();
        kind && words.next().is_some_and(|name| name.starts_with(|c: char| c.is_ascii_alphabetic()) && !name.ends_with(','))
            && words.next().is_some_and(|title| title.starts_with('"'))
    }

    fn outdented(&self, span: Span) -> Remark {
        let word = first_word(self.slice(span));
        let line = self.text[..span.start as usize].rfind('\n').map_or(0, |n| n + 1) as u32;
        let (message, label) = match self.text[line as usize..span.start as usize].chars().next() {
            Some(c) => (format!("`{word}` is indented with U+{:04X}", u32::from(c)), "expected plain spaces before it"),
            None => (format!("`{word}` is a clause, and this line is not indented"), "expected two spaces before it"),
        };
        let place = Span { end: span.start + word.len() as u32, ..span };
        Remark::new(BROKEN_LINE, message, place, label)
            .help("a line in column 1 opens a block; the lines below it that belong to it are indented")
            .edit(Span { start: line, end: span.start, ..span }, "  ")
    }

    fn indented(&self, span: Span) -> Remark {
        let word = first_word(self.slice(span));
        let line = self.text[..span.start as usize].rfind('\n').map_or(0, |n| n + 1) as u32;
        let place = Span { end: span.start + word.len() as u32, ..span };
        Remark::new(BROKEN_LINE, format!("`{word}` opens a block, and this line is indented"), place, "expected it in column 1")
            .help("let it start in column 1; only clauses are indented")
            .edit(Span { start: line, end: span.start, ..span }, "")
    }

    fn header(&mut self, span: Span) {
        let leading = std::mem::take(&mut self.waiting);
        match self.read_header(span) {
            Ok(block) => {
                self.remarks.extend(untitled(&block));
                self.document.blocks.push(Block { leading, ..block });
                self.place = Place::InBlock;
            }
            Err(remark) => {
                self.remarks.push(remark);
                self.place = Place::Broken;
            }
        }
    }

    fn read_header(&self, span: Span) -> Result<Block, Remark> {
        let text = self.slice(span);
        let first = first_word(text);
        let amends = first == "amend";
        let word = if amends { first_word(text[first.len()..].trim_start()) } else { first };
        let kind_at = text.find(word).unwrap_or(0) as u32 + span.start;
        let kind_span = Span { start: kind_at, end: kind_at + word.len() as u32, ..span };
        let kind = Kind::from_word(word).ok_or_else(|| no_word(text, span).unwrap_or_else(|| unknown_kind(word, kind_span, amends)))?;
        let rest = Span { start: kind_at, ..span };
        let source = self.slice(rest);
        let mut pairs = Grammar::parse(Rule::header, source).map_err(|e| broken(&e, None, source, rest))?;
        let at = shapes::At::new(rest);
        let head = shapes::header(pairs.next(), &at);
        match (head.name, head.title, head.extra) {
            (_, _, Some(extra)) => Err(Remark::new(
                BROKEN_LINE,
                format!("`{}` does not fit here", extra.value),
                extra.span,
                "expected text in quotes or the end of the line",
            )),
            (None, _, _) => Err(Remark::new(NAMELESS_BLOCK, format!("this `{kind}` has no name"), kind_span, "expected a name after it")
                .help(format!("write it in kebab-case: `{kind} my-name \"Title\"`"))),
            (Some(name), title, _) => Ok(Block {
                kind: Spanned::new(kind, kind_span),
                amends,
                name,
                title,
                clauses: vec![],
                leading: vec![],
                trailing: head.remark,
                broken: false,
                span,
            }),
        }
    }

    fn clause(&mut self, span: Span) {
        let leading = std::mem::take(&mut self.waiting);
        match self.place {
            Place::Broken => {}
            Place::Nowhere => self.remarks.push(
                Remark::new(STRAY_CLAUSE, "this line belongs to no block", span, "indented, but nothing stands above it")
                    .help("a block opens in column 1"),
            ),
            Place::InBlock => match self.read_clause(span) {
                Ok(clause) => self.keep(Clause { leading, ..clause }),
                Err(remark) => {
                    self.remarks.push(remark);
                    self.document.blocks.last_mut().iter_mut().for_each(|b| b.broken = true);
                }
            },
        }
    }

    /// Adds a clause to the last block, unless it may stand once and does already.
    fn keep(&mut self, clause: Clause) {
        let Some(block) = self.document.blocks.last_mut() else { return };
        let keyword = clause.keyword.value;
        let twin = (!keyword.repeats()).then(|| block.clauses.iter().find(|c| c.keyword.value == keyword)).flatten();
        if let Some(twin) = twin {
            self.remarks.push(
                Remark::new(REPEATED_CLAUSE, format!("`{keyword}` stands twice in this block"), clause.keyword.span, "again here")
                    .and(twin.keyword.span, "first here")
                    .help("keep one of the two"),
            );
            return;
        }
        block.clauses.push(clause);
    }

    fn read_clause(&self, span: Span) -> Result<Clause, Remark> {
        let block = self.document.blocks.last().ok_or_else(|| Remark::new(STRAY_CLAUSE, "this line belongs to no block", span, "here"))?;
        let text = self.slice(span);
        let word = first_word(text);
        let word_span = Span { end: span.start + word.len() as u32, ..span };
        let keyword = keyword_for(block, word, word_span).map_err(|remark| no_word(text, span).unwrap_or(remark))?;
        let shape = keyword.shape();
        let rest = Span { start: word_span.end, ..span };
        let source = self.slice(rest);
        bounded(shape, source, rest)?;
        let mut pairs = Grammar::parse(shape.grammar_rule(), source).map_err(|e| broken(&e, Some(shape), source, rest))?;
        let at = shapes::At::new(rest);
        let (value, trailing) = shapes::value(shape, pairs.next(), &at)?;
        states(keyword, &value)?;
        let value = match value {
            Value::Chance(chance) if keyword == Keyword::Word => Value::ScaleWord { word: Spanned::new(word.into(), word_span), chance },
            other => other,
        };
        Ok(Clause { keyword: Spanned::new(keyword, word_span), value, leading: vec![], trailing, amends: block.amends, span })
    }
}

/// States of a finding: the tables of the belief grow with their square.
const MOST_STATES: usize = 100;

/// A remark where a finding has more states than anybody can tell apart.
fn states(keyword: Keyword, value: &Value) -> Result<(), Remark> {
    match value {
        Value::Names(names) | Value::Texts(names) if keyword == Keyword::States && names.len() > MOST_STATES => {
            let message = format!("{} states are more than anybody can tell apart", names.len());
            let help = "make several findings of it, or bands of a reading";
            Err(Remark::new(BROKEN_LINE, message, names[MOST_STATES].span, format!("{MOST_STATES} at most")).help(help))
        }
        _ => Ok(()),
    }
}

/// Brackets within brackets: more than this nobody can follow.
const DEEPEST: usize = 32;
/// Bytes of a condition or a sum: more than this nobody can read.
const LONGEST: usize = 4000;
/// Bytes of any other clause: a page of prose is a tenth of it.
const LONGEST_PROSE: usize = 50_000;

/// A remark where a clause is built deeper or longer than this program will follow; both would cost it its stack.
fn bounded(shape: Shape, text: &str, span: Span) -> Result<(), Remark> {
    if !matches!(shape, Shape::Condition | Shape::Window) {
        let end = text.floor_char_boundary(LONGEST_PROSE);
        let start = span.start + end as u32;
        let long = || {
            let label = format!("{LONGEST_PROSE} bytes at most, and these are {}", text.len());
            Remark::new(BROKEN_LINE, "this clause is too long", Span { start, end: start, ..span }, label)
        };
        return if text.len() > LONGEST_PROSE {
            Err(long().help("write what a person reads at the car, and keep the rest in a document"))
        } else {
            Ok(())
        };
    }
    let mut depth = 0usize;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            b'(' => depth += 1,
            b')' => depth = depth.saturating_sub(1),
            b'#' => break,
            _ => {}
        }
        if depth > DEEPEST || at >= LONGEST {
            let at = (0..=at).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
            let wide = text[at..].chars().next().map_or(1, char::len_utf8) as u32;
            let start = span.start + at as u32;
            let (message, label) = match depth > DEEPEST {
                true => ("the brackets are nested too deep", format!("{DEEPEST} within each other at most")),
                false => ("this clause is too long", format!("{LONGEST} characters at most")),
            };
            return Err(Remark::new(BROKEN_LINE, message, Span { start, end: start + wide, ..span }, label)
                .help("give a part of it a name of its own: a trait, a channel or a reading"));
        }
    }
    Ok(())
}

/// The first word of a line.
fn first_word(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).unwrap_or(text.len());
    if end == 0 { text.split_whitespace().next().unwrap_or(text) } else { &text[..end] }
}

/// What stands at the start of a line in the place of a word.
fn no_word(text: &str, span: Span) -> Option<Remark> {
    let first = text.split_whitespace().next().unwrap_or("");
    hints::comment_mark(text, span).or_else(|| hints::odd_character(first, span))
}

fn keyword_for(block: &Block, word: &str, span: Span) -> Result<Keyword, Remark> {
    let kind = block.kind.value;
    match Keyword::from_word(word) {
        Some(Keyword::Drop) if block.amends => Ok(Keyword::Drop),
        Some(k) if kind.takes(k) && k != Keyword::Word => Ok(k),
        _ if kind == Kind::Scale => Ok(Keyword::Word),
        Some(k) => Err(misplaced(kind, k, span)),
        None => {
            let known = kind.clauses().iter().map(|k| k.word()).chain(["note", "source", "allow", "drop"]);
            let label = format!("{} has no such clause", kind.one());
            Err(Remark::new(UNKNOWN_CLAUSE, format!("`{word}` is no clause"), span, label)
                .help(format!("{} takes {}", kind.one(), list(kind)))
                .suggest(nearest(word, known)))
        }
    }
}

fn misplaced(kind: Kind, keyword: Keyword, span: Span) -> Remark {
    let homes: Vec<&str> = Kind::ALL.iter().filter(|k| k.takes(keyword)).map(|k| k.word()).collect();
    let home = if homes.is_empty() { "an `amend`".to_string() } else { format!("`{}`", homes.join("`, `")) };
    let help = match (kind, keyword) {
        (Kind::Condition, Keyword::Prior | Keyword::Proof) => {
            "a condition ends with what brings it about: the prior belongs to its causes, the proof to their fixes".into()
        }
        _ => format!("{} takes {}", kind.one(), list(kind)),
    };
    Remark::new(MISPLACED_CLAUSE, format!("`{keyword}` does not belong in {}", kind.one()), span, format!("it belongs in {home}"))
        .help(help)
}

fn list(kind: Kind) -> String {
    let words: Vec<String> =
        kind.clauses().iter().map(|k| format!("`{k}`")).chain(["`note`".into(), "`source`".into(), "`allow`".into()]).collect();
    words.join(", ")
}

fn unknown_kind(word: &str, span: Span, amends: bool) -> Remark {
    let mut kinds: Vec<&str> = Kind::ALL.iter().map(|k| k.word()).collect();
    if !amends {
        kinds.push("amend");
    }
    let near = nearest(word, kinds.iter().copied());
    Remark::new(UNKNOWN_KIND, format!("`{word}` opens no block"), span, "a line in column 1 opens a block")
        .help(format!("blocks are `{}`; clauses are indented", kinds.join("`, `")))
        .suggest(near)
}

/// The grammar rule of a shape; here because the rules are made by this module's parser.
impl Shape {
    pub(super) fn grammar_rule(self) -> Rule {
        match self {
            Shape::Flag => Rule::flag,
            Shape::Texts => Rule::texts,
            Shape::Names => Rule::names,
            Shape::OneName => Rule::one_name,
            Shape::Unit => Rule::unit_only,
            Shape::Amount => Rule::amount,
            Shape::Number => Rule::plain_number,
            Shape::Chance => Rule::chance_only,
            Shape::Pushes => Rule::pushes,
            Shape::Strays => Rule::strays,
            Shape::Links => Rule::links,
            Shape::Cures => Rule::cures,
            Shape::Proofs => Rule::proofs,
            Shape::Band => Rule::band,
            Shape::Hazards => Rule::hazards,
            Shape::Condition => Rule::condition,
            Shape::Date => Rule::date,
            Shape::Hex => Rule::hex,
            Shape::Suppression => Rule::suppression,
            Shape::Removal => Rule::removal,
            Shape::Window => Rule::window,
            Shape::Version => Rule::version,
        }
    }
}
