//! What may stand where somebody types: told by the text before the place, since the line is not whole yet.

use super::books::Books;
use super::hover::code_title;
use super::places::Lines;
use super::signature::signature;
use super::uses::{Sort, key, named};
use crate::book;
use crate::lint;
use crate::syntax::{Keyword, Kind, Shape};
use lsp_types::{CompletionItem, CompletionItemKind, Position};

/// Units the trade writes most.
const UNITS: &[&str] = &[
    "kPa", "bar", "mbar", "psi", "V", "mV", "A", "mA", "ohm", "kohm", "degC", "K", "%", "s", "ms", "min", "h", "km/h", "1/min", "Hz", "mg",
    "g", "g/s", "kg/h", "mm", "km", "l", "l/h", "Nm", "kW", "deg", "count",
];

/// What may stand at a place.
pub fn at(books: &Books, lines: &Lines, place: Position) -> Vec<CompletionItem> {
    let Some(before) = typed(lines, place).filter(|b| b.matches('"').count() % 2 == 0) else { return vec![] };
    let typed = before.rfind([' ', '\t', ',']).map_or(0, |i| i + 1);
    let done = before[..typed].trim_end();
    match before.starts_with([' ', '\t']) {
        false => header(books, done),
        true => above(lines, place.line as usize).map_or(vec![], |block| Clause { books, block, done: done.trim_start() }.items()),
    }
}

/// What stands in a line before a place; none in a comment.
pub fn typed<'t>(lines: &Lines<'t>, place: Position) -> Option<&'t str> {
    let whole = lines.line(place.line as usize);
    let start = lines.byte(Position { character: 0, ..place });
    let before = &whole[..whole.floor_char_boundary(lines.byte(place) - start)];
    (!before.contains('#')).then_some(before)
}

/// The block that a line belongs to: its kind, its name, and whether it amends.
pub struct Header {
    pub kind: Kind,
    name: String,
    amends: bool,
}

/// The head of the block that a line belongs to.
pub fn above(lines: &Lines, line: usize) -> Option<Header> {
    let opens = |text: &&str| text.starts_with(|c: char| c.is_ascii_alphabetic());
    let header = (0..line).rev().map(|l| lines.line(l)).find(opens)?;
    let amends = header.starts_with("amend ");
    let mut words = header.split_whitespace().skip(usize::from(amends));
    Some(Header { kind: Kind::from_word(words.next()?)?, name: words.next().unwrap_or("").to_string(), amends })
}

fn header(books: &Books, done: &str) -> Vec<CompletionItem> {
    let words: Vec<&str> = done.split_whitespace().collect();
    let kinds = || Kind::ALL.iter().map(|k| item(k.word(), "", CompletionItemKind::KEYWORD));
    match words.as_slice() {
        [] => kinds().chain([item("amend", "change a block of a book below", CompletionItemKind::KEYWORD)]).collect(),
        ["amend"] => kinds().collect(),
        ["amend", kind] => Kind::from_word(kind).map_or(vec![], |k| names(books, &Sort::Block(k))),
        ["code"] => codes(),
        _ => vec![],
    }
}

struct Clause<'b> {
    books: &'b Books,
    block: Header,
    /// What is whole of the line, from its keyword on.
    done: &'b str,
}

impl Clause<'_> {
    fn items(&self) -> Vec<CompletionItem> {
        let mut words = self.done.split_whitespace();
        let Some(first) = words.next() else { return self.keywords() };
        let rest = self.done[first.len()..].trim_start();
        match Keyword::from_word(first).filter(|k| *k != Keyword::Word) {
            Some(Keyword::Drop) if rest.is_empty() => self.keywords(),
            Some(Keyword::Drop) => {
                let inner = rest.split_whitespace().next().and_then(Keyword::from_word);
                inner.map_or(vec![], |k| self.after(k, rest[k.word().len().min(rest.len())..].trim_start()))
            }
            Some(keyword) => self.after(keyword, rest),
            None => vec![],
        }
    }

    fn keywords(&self) -> Vec<CompletionItem> {
        let own = self.block.kind.clauses().iter().copied().filter(|k| *k != Keyword::Word);
        let drop = self.block.amends.then_some(Keyword::Drop);
        let all = own.chain([Keyword::Note, Keyword::Source, Keyword::Allow]).chain(drop);
        all.map(|k| item(k.word(), &signature(k), CompletionItemKind::PROPERTY)).collect()
    }

    /// What may stand after a keyword, once `rest` is there.
    fn after(&self, keyword: Keyword, rest: &str) -> Vec<CompletionItem> {
        let part = rest.rsplit(',').next().unwrap_or("").trim();
        let words: Vec<&str> = part.split_whitespace().collect();
        let sort = named(self.block.kind, keyword);
        let of_sort = || sort.as_ref().map_or(vec![], |s| names(self.books, s));
        let first = rest.split_whitespace().next().unwrap_or("");
        match (keyword.shape(), words.as_slice()) {
            (Shape::Names, _) if keyword == Keyword::States => vec![],
            (Shape::Names, _) if keyword == Keyword::StandsAt => {
                book::CHANCED.iter().map(|k| item(k.word(), "", CompletionItemKind::PROPERTY)).collect()
            }
            (Shape::OneName, []) if keyword == Keyword::Level => words_of(&book::Level::ALL.map(book::Level::word)),
            (Shape::Names | Shape::OneName, []) => of_sort(),
            (Shape::Pushes, []) if rest.is_empty() => of_sort().into_iter().chain(codes()).collect(),
            (Shape::Pushes, [] | [_]) => [self.states(first), self.chances(keyword)].concat(),
            (Shape::Pushes, [..]) => self.chances(keyword),
            (Shape::Strays, []) => [self.states(&self.block.name), self.chances(keyword)].concat(),
            (Shape::Strays | Shape::Chance, _) => self.chances(keyword),
            (Shape::Links | Shape::Cures | Shape::Proofs, []) => of_sort(),
            (Shape::Links | Shape::Cures, [_]) => self.chances(keyword),
            (Shape::Proofs, [finding]) => self.states(finding),
            (Shape::Hazards, _) if rest.split_whitespace().any(|w| w == "on") => self.states(&self.block.name),
            (Shape::Hazards, []) => of_sort(),
            (Shape::Hazards, [_]) => words_of(&["on"]),
            (Shape::Condition, _) if matches!(words.last(), None | Some(&("and" | "or" | "not"))) => {
                [of_sort(), words_of(&["not"])].concat()
            }
            (Shape::Condition, _) => words_of(&["and", "or"]),
            (Shape::Window, _) if words.last() == Some(&"take") => words_of(&book::Take::ALL.map(|(word, _)| word)),
            (Shape::Window, _) => [of_sort(), words_of(&["while", "and", "below", "above", "to", "for", "take"])].concat(),
            (Shape::Unit, []) => words_of(UNITS),
            (Shape::Amount, [number]) if number.parse::<f64>().is_ok() => {
                words_of(if matches!(keyword, Keyword::Takes | Keyword::Waits) { &["min", "h"] } else { UNITS })
            }
            (Shape::Band, []) if rest.is_empty() => self.states(&self.block.name),
            (Shape::Band, [_]) => words_of(&["below", "above"]),
            (Shape::Suppression, []) => lint::LINTS.iter().map(|l| item(l.code.name, l.code.id, CompletionItemKind::CONSTANT)).collect(),
            (Shape::Suppression, [_]) => words_of(&["because"]),
            _ => vec![],
        }
    }

    fn states(&self, finding: &str) -> Vec<CompletionItem> {
        let Some(book) = self.books.book() else { return vec![] };
        let states = book.findings.find(&key(finding)).map(|id| book.findings[id].states.clone()).unwrap_or_default();
        states.iter().map(|s| item(s, finding, CompletionItemKind::ENUM_MEMBER)).collect()
    }

    /// The words of the scales that may stand at a clause, with their numbers.
    fn chances(&self, keyword: Keyword) -> Vec<CompletionItem> {
        let Some(book) = self.books.book() else { return vec![] };
        let fitting = book.scales.iter().map(|(_, s)| s).filter(|s| s.at.is_empty() || s.at.contains(&keyword));
        fitting.flat_map(|s| &s.words).map(|(word, p)| item(word, &book::in_percent(*p), CompletionItemKind::VALUE)).collect()
    }
}

fn names(books: &Books, sort: &Sort) -> Vec<CompletionItem> {
    books.names(sort).into_iter().map(|(name, title)| item(name, title, CompletionItemKind::REFERENCE)).collect()
}

/// All codes that a standard gives a title.
fn codes() -> Vec<CompletionItem> {
    let titled = book::titled().into_iter().map(|c| c.to_string());
    titled.map(|code| item(&code, &code_title(&code).unwrap_or_default(), CompletionItemKind::CONSTANT)).collect()
}

fn words_of(words: &[&str]) -> Vec<CompletionItem> {
    words.iter().map(|w| item(w, "", CompletionItemKind::KEYWORD)).collect()
}

fn item(label: &str, detail: &str, kind: CompletionItemKind) -> CompletionItem {
    let detail = (!detail.is_empty()).then(|| detail.to_string());
    CompletionItem { label: label.to_string(), detail, kind: Some(kind), ..CompletionItem::default() }
}
