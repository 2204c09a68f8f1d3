//! What stands after a keyword -> words, cut where a long line may be broken.

use crate::syntax::tree::{Chance, Condition, Formula, Push, Quantity, Range, Value, Window};
use crate::syntax::{Span, Word};

/// The words of one clause.
#[derive(Debug, Default)]
pub struct Words {
    /// The word that is lined up with its like in the clauses around it.
    pub column: Option<String>,
    /// The rest; a line may be broken between any two.
    pub pieces: Vec<String>,
}

/// Takes words from the text they were read from.
pub struct Writer<'t>(pub &'t str);

impl Writer<'_> {
    /// The words of a value.
    pub fn words(&self, value: &Value) -> Words {
        let rest = |pieces| Words { column: None, pieces };
        match value {
            Value::Flag => Words::default(),
            Value::Texts(words) | Value::Names(words) => rest(listed(words.iter().map(|w| self.word(w)))),
            Value::Unit(word) | Value::Date(word) => rest(vec![self.word(word)]),
            Value::Quantity(quantity) => rest(vec![self.quantity(quantity)]),
            Value::Number(number) => rest(vec![self.slice(number.span)]),
            Value::Hex(byte) => rest(vec![self.slice(byte.span)]),
            Value::Chance(chance) | Value::ScaleWord { chance, .. } => rest(vec![self.chance(chance)]),
            Value::Pushes { finding, pushes } => Words { column: Some(self.word(finding)), pieces: self.pushes(pushes) },
            Value::Strays(pushes) => rest(self.pushes(pushes)),
            Value::Links(links) => self.links(links),
            Value::Cures(cures) => rest(listed(cures.iter().map(|(cause, chance)| self.cure(cause, chance.as_ref())))),
            Value::Proofs(proofs) => rest(listed(proofs.iter().map(|(f, s)| self.pair(f, s.as_ref())))),
            Value::Band { name, ranges } => Words { column: Some(self.word(name)), pieces: listed(ranges.iter().map(|r| self.range(r))) },
            Value::Hazards { names, states } => rest(self.hazards(names, states)),
            Value::Condition(condition) => rest(self.condition(condition)),
            Value::Allow { code, reason } => rest(vec![self.word(code), format!("because {}", self.word(reason))]),
            Value::Drop { keyword, words } => rest(std::iter::once(keyword).chain(words).map(|w| self.word(w)).collect()),
            Value::Window(window) => rest(self.window(window)),
        }
    }

    /// The text at a place.
    pub fn slice(&self, span: Span) -> String {
        self.0.get(span.start as usize..span.end as usize).unwrap_or("").to_string()
    }

    fn word(&self, word: &Word) -> String {
        self.slice(word.span)
    }

    fn quantity(&self, quantity: &Quantity) -> String {
        match &quantity.unit {
            None => self.slice(quantity.span),
            Some(unit) => {
                let number = self.slice(Span { end: unit.span.start, ..quantity.span });
                format!("{} {}", bare(&number), self.word(unit))
            }
        }
    }

    fn chance(&self, chance: &Chance) -> String {
        match chance {
            Chance::Word(word) => self.word(word),
            Chance::Number(number) => format!("{} %", bare(self.slice(number.span).trim_end_matches('%'))),
        }
    }

    fn pushes(&self, pushes: &[Push]) -> Vec<String> {
        listed(pushes.iter().map(|p| match &p.state {
            Some(state) => format!("{} {}", self.word(state), self.chance(&p.chance)),
            None => self.chance(&p.chance),
        }))
    }

    fn links(&self, links: &[(Word, Chance)]) -> Words {
        match links {
            [(cause, chance)] => Words { column: Some(self.word(cause)), pieces: vec![self.chance(chance)] },
            _ => Words { column: None, pieces: listed(links.iter().map(|(c, p)| format!("{} {}", self.word(c), self.chance(p)))) },
        }
    }

    fn cure(&self, cause: &Word, chance: Option<&Chance>) -> String {
        chance.map_or(self.word(cause), |chance| format!("{} {}", self.word(cause), self.chance(chance)))
    }

    fn pair(&self, first: &Word, second: Option<&Word>) -> String {
        second.map_or(self.word(first), |second| format!("{} {}", self.word(first), self.word(second)))
    }

    fn range(&self, range: &Range) -> String {
        match range {
            Range::Below(end) => format!("below {}", self.quantity(end)),
            Range::Above(end) => format!("above {}", self.quantity(end)),
            Range::Between(low, high) => format!("{} to {}", self.quantity(low), self.quantity(high)),
        }
    }

    fn hazards(&self, names: &[Word], states: &[Word]) -> Vec<String> {
        let mut pieces = listed(names.iter().map(|w| self.word(w)));
        let mut on = listed(states.iter().map(|w| self.word(w)));
        if let Some(first) = on.first_mut() {
            *first = format!("on {first}");
        }
        pieces.append(&mut on);
        pieces
    }

    fn condition(&self, condition: &Condition) -> Vec<String> {
        match condition {
            Condition::Is(word) => vec![self.word(word)],
            Condition::Not(inner) => vec![format!("not {}", self.part(inner, |c| matches!(c, Condition::Is(_))))],
            Condition::All(parts) => {
                let plain = |c: &Condition| matches!(c, Condition::Is(_) | Condition::Not(_));
                joined("and", parts.iter().map(|p| self.part(p, plain)))
            }
            Condition::Any(parts) => joined("or", parts.iter().map(|p| self.part(p, |c| !matches!(c, Condition::Any(_))))),
        }
    }

    /// A part of a condition, in brackets unless it is plain enough to stand without.
    fn part(&self, condition: &Condition, plain: impl Fn(&Condition) -> bool) -> String {
        let inner = self.condition(condition).join(" ");
        if plain(condition) { inner } else { format!("({inner})") }
    }

    fn window(&self, window: &Window) -> Vec<String> {
        let mut pieces = vec![self.formula(&window.value)];
        let holds = window.holds.iter().map(|(channel, range)| format!("{} {}", self.word(channel), self.range(range)));
        pieces.extend(holds.enumerate().map(|(i, h)| format!("{} {h}", if i == 0 { "while" } else { "and" })));
        pieces.extend(window.held.iter().map(|h| format!("for {}", self.quantity(h))));
        pieces.extend(window.taken.iter().map(|t| format!("take {}", self.word(t))));
        pieces
    }

    fn formula(&self, formula: &Formula) -> String {
        match formula {
            Formula::Number(number) => self.slice(number.span),
            Formula::Channel(word) => self.word(word),
            Formula::Binary(left, sign, right) => {
                let left = self.operand(left, strength(*sign));
                let right = self.operand(right, strength(*sign) + 1);
                format!("{left} {sign} {right}")
            }
        }
    }

    /// An operand, in brackets where its own sign binds less than is wanted.
    fn operand(&self, formula: &Formula, wanted: u8) -> String {
        let inner = self.formula(formula);
        match formula {
            Formula::Binary(_, sign, _) if strength(*sign) < wanted => format!("({inner})"),
            _ => inner,
        }
    }
}

fn strength(sign: char) -> u8 {
    if matches!(sign, '*' | '/') { 1 } else { 0 }
}

/// A number without the white space (or broken line) that followed it.
fn bare(number: &str) -> &str {
    number.trim_end_matches(|c: char| c.is_whitespace() || c == '\\' || c == '\u{FEFF}')
}

/// Words of a list: a comma after each but the last.
fn listed(words: impl Iterator<Item = String>) -> Vec<String> {
    let mut pieces: Vec<String> = words.map(|w| w + ",").collect();
    if let Some(last) = pieces.last_mut() {
        last.pop();
    }
    pieces
}

/// Parts with a word between them.
fn joined(between: &str, parts: impl Iterator<Item = String>) -> Vec<String> {
    parts.enumerate().map(|(i, part)| if i == 0 { part } else { format!("{between} {part}") }).collect()
}
