//! What the grammar found after a keyword -> a value of the tree.

use super::codes::IMPOSSIBLE_NUMBER;
use super::kind::Shape;
use super::parse::Rule;
use super::remark::Remark;
use super::span::{Span, Spanned, Word};
use super::tree::{Chance, Condition, Formula, Push, Quantity, Range, Value, Window};
use pest::iterators::{Pair, Pairs};

/// The place of the text that the grammar was given, to turn its offsets into spans.
pub struct At(Span);

impl At {
    /// Offsets count from the start of this span.
    pub fn new(base: Span) -> Self {
        At(base)
    }

    fn span(&self, pair: &Pair<Rule>) -> Span {
        let inner = pair.as_span();
        // white space that the grammar skips, a broken line included, may stand at the end of a rule
        let trimmed = inner.as_str().trim_end_matches(|c: char| c.is_whitespace() || matches!(c, '\\' | '\u{FEFF}'));
        let start = self.0.start + inner.start() as u32;
        Span { file: self.0.file, start, end: start + trimmed.len() as u32 }
    }

    fn word(&self, pair: &Pair<Rule>) -> Word {
        Spanned::new(pair.as_str().to_string(), self.span(pair))
    }

    /// Prose without its quotes and escapes.
    fn text(&self, pair: Pair<Rule>) -> Word {
        let span = self.span(&pair);
        let inner = pair.into_inner().next().map(|p| p.as_str()).unwrap_or("");
        Spanned::new(inner.replace("\\\"", "\"").replace("\\\\", "\\"), span)
    }

    fn number(&self, pair: &Pair<Rule>) -> Result<Spanned<f64>, Remark> {
        let span = self.span(pair);
        match pair.as_str().parse::<f64>() {
            Ok(n) if n.is_finite() => Ok(Spanned::new(n, span)),
            _ => Err(Remark::new(IMPOSSIBLE_NUMBER, format!("`{}` is too large a number", pair.as_str()), span, "no gauge shows this")),
        }
    }
}

/// The parts of a header line.
#[derive(Default)]
pub struct Header {
    /// The name.
    pub name: Option<Word>,
    /// A second bare word, which never fits.
    pub extra: Option<Word>,
    /// The title.
    pub title: Option<Word>,
    /// The comment at the end.
    pub remark: Option<Span>,
}

/// Takes a header line apart.
pub fn header(pair: Option<Pair<Rule>>, at: &At) -> Header {
    let mut head = Header::default();
    for part in pair.into_iter().flat_map(Pair::into_inner) {
        match part.as_rule() {
            Rule::name if head.name.is_none() => head.name = Some(at.word(&part)),
            Rule::name => head.extra = Some(at.word(&part)),
            Rule::title => head.title = part.into_inner().next().map(|t| at.text(t)),
            Rule::remark => head.remark = Some(at.span(&part)),
            _ => {}
        }
    }
    head
}

/// Takes a clause apart; also gives the comment at its end.
pub fn value(shape: Shape, pair: Option<Pair<Rule>>, at: &At) -> Result<(Value, Option<Span>), Remark> {
    let mut remark = None;
    let mut parts = Vec::new();
    for part in pair.into_iter().flat_map(Pair::into_inner) {
        match part.as_rule() {
            Rule::remark => remark = Some(at.span(&part)),
            Rule::end | Rule::comma | Rule::because_word => {}
            _ => parts.push(part),
        }
    }
    Ok((shaped(shape, parts, at)?, remark))
}

fn shaped(shape: Shape, parts: Vec<Pair<Rule>>, at: &At) -> Result<Value, Remark> {
    let words = |parts: &[Pair<Rule>]| parts.iter().map(|p| at.word(p)).collect::<Vec<_>>();
    let mut rest = parts.clone().into_iter();
    let missing = || Remark::new(super::codes::BROKEN_LINE, "the line ends too early", at.0, "something is missing");
    let first = rest.next();
    Ok(match shape {
        Shape::Flag => Value::Flag,
        Shape::Texts => Value::Texts(parts.into_iter().map(|p| at.text(p)).collect()),
        Shape::Version => Value::Texts(first.map(|p| version(p, at)).into_iter().collect()),
        Shape::Names | Shape::OneName => Value::Names(words(&parts)),
        Shape::Unit => Value::Unit(at.word(&first.ok_or_else(missing)?)),
        Shape::Amount => Value::Quantity(quantity(first.ok_or_else(missing)?, at)?),
        Shape::Number => Value::Number(at.number(&first.ok_or_else(missing)?)?),
        Shape::Chance => Value::Chance(chance(first.ok_or_else(missing)?, at)?),
        Shape::Pushes => {
            Value::Pushes { finding: at.word(&first.ok_or_else(missing)?), pushes: rest.map(|p| push(p, at)).collect::<Result<_, _>>()? }
        }
        Shape::Strays => Value::Strays(parts.into_iter().map(|p| push(p, at)).collect::<Result<_, _>>()?),
        Shape::Links => Value::Links(parts.into_iter().map(|p| link(p, at)).collect::<Result<_, _>>()?),
        Shape::Cures => Value::Cures(parts.into_iter().map(|p| cure(p, at)).collect::<Result<_, _>>()?),
        Shape::Proofs => Value::Proofs(parts.into_iter().map(|p| proof(p, at)).collect::<Result<_, _>>()?),
        Shape::Band => {
            Value::Band { name: at.word(&first.ok_or_else(missing)?), ranges: rest.map(|p| range(p, at)).collect::<Result<_, _>>()? }
        }
        Shape::Hazards => hazards(parts, at),
        Shape::Condition => Value::Condition(any_of(first.ok_or_else(missing)?, at)),
        Shape::Date => Value::Date(at.word(&first.ok_or_else(missing)?)),
        Shape::Hex => {
            let pair = first.ok_or_else(missing)?;
            Value::Hex(Spanned::new(u8::from_str_radix(pair.as_str(), 16).unwrap_or_default(), at.span(&pair)))
        }
        Shape::Suppression => {
            Value::Allow { code: at.word(&first.ok_or_else(missing)?), reason: at.text(rest.next().ok_or_else(missing)?) }
        }
        Shape::Removal => Value::Drop {
            keyword: at.word(&first.ok_or_else(missing)?),
            words: rest.map(|p| if p.as_rule() == Rule::text { at.text(p) } else { at.word(&p) }).collect(),
        },
        Shape::Window => Value::Window(window(parts, at)?),
    })
}

fn version(pair: Pair<Rule>, at: &At) -> Word {
    if pair.as_rule() == Rule::text { at.text(pair) } else { at.word(&pair) }
}

/// The inner pairs without punctuation.
fn inner(pair: Pair<Rule>) -> impl Iterator<Item = Pair<Rule>> {
    let keep = |p: &Pair<Rule>| {
        use Rule::{and_word, close_bracket, comma, open_bracket, or_word, percent_sign, to_word};
        let marks = [comma, open_bracket, close_bracket, percent_sign, and_word, or_word, to_word];
        !marks.contains(&p.as_rule())
    };
    pair.into_inner().filter(keep)
}

fn lost(at: &At) -> Remark {
    Remark::new(super::codes::BROKEN_LINE, "the line can't be read", at.0, "something is missing")
}

fn quantity(pair: Pair<Rule>, at: &At) -> Result<Quantity, Remark> {
    let span = at.span(&pair);
    let mut parts = inner(pair);
    let number = at.number(&parts.next().ok_or_else(|| lost(at))?)?.value;
    Ok(Quantity { number, unit: parts.next().map(|u| at.word(&u)), span })
}

fn chance(pair: Pair<Rule>, at: &At) -> Result<Chance, Remark> {
    let part = inner(pair).next().ok_or_else(|| lost(at))?;
    if part.as_rule() == Rule::name {
        return Ok(Chance::Word(at.word(&part)));
    }
    let span = at.span(&part);
    let number = at.number(&inner(part).next().ok_or_else(|| lost(at))?)?;
    Ok(Chance::Number(Spanned::new(number.value / 100.0, span)))
}

fn push(pair: Pair<Rule>, at: &At) -> Result<Push, Remark> {
    let mut parts: Vec<_> = inner(pair).collect();
    let last = parts.pop().ok_or_else(|| lost(at))?;
    Ok(Push { state: parts.pop().map(|s| at.word(&s)), chance: chance(last, at)? })
}

fn link(pair: Pair<Rule>, at: &At) -> Result<(Word, Chance), Remark> {
    let mut parts = inner(pair);
    let name = parts.next().ok_or_else(|| lost(at))?;
    Ok((at.word(&name), chance(parts.next().ok_or_else(|| lost(at))?, at)?))
}

fn cure(pair: Pair<Rule>, at: &At) -> Result<(Word, Option<Chance>), Remark> {
    let mut parts = inner(pair);
    let name = parts.next().ok_or_else(|| lost(at))?;
    Ok((at.word(&name), parts.next().map(|c| chance(c, at)).transpose()?))
}

fn proof(pair: Pair<Rule>, at: &At) -> Result<(Word, Option<Word>), Remark> {
    let mut parts = inner(pair);
    let finding = parts.next().ok_or_else(|| lost(at))?;
    Ok((at.word(&finding), parts.next().map(|s| at.word(&s))))
}

fn range(pair: Pair<Rule>, at: &At) -> Result<Range, Remark> {
    let part = inner(pair).next().ok_or_else(|| lost(at))?;
    let rule = part.as_rule();
    let mut ends = inner(part).map(|q| quantity(q, at));
    let mut end = || ends.next().unwrap_or_else(|| Err(lost(at)));
    Ok(match rule {
        Rule::below => Range::Below(end()?),
        Rule::above => Range::Above(end()?),
        _ => Range::Between(end()?, end()?),
    })
}

fn hazards(parts: Vec<Pair<Rule>>, at: &At) -> Value {
    let (mut names, mut states) = (Vec::new(), Vec::new());
    for part in parts {
        match part.as_rule() {
            Rule::on_states => states = inner(part).map(|p| at.word(&p)).collect(),
            _ => names.push(at.word(&part)),
        }
    }
    Value::Hazards { names, states }
}

fn any_of(pair: Pair<Rule>, at: &At) -> Condition {
    single_or(inner(pair).map(|p| all_of(p, at)).collect(), Condition::Any)
}

fn all_of(pair: Pair<Rule>, at: &At) -> Condition {
    single_or(inner(pair).map(|p| maybe_not(p, at)).collect(), Condition::All)
}

fn single_or(mut parts: Vec<Condition>, many: fn(Vec<Condition>) -> Condition) -> Condition {
    match (parts.len(), parts.pop()) {
        (1, Some(only)) => only,
        (_, Some(last)) => {
            parts.push(last);
            many(parts)
        }
        (_, None) => many(parts),
    }
}

fn maybe_not(pair: Pair<Rule>, at: &At) -> Condition {
    let mut negated = false;
    let mut condition = Condition::All(vec![]);
    for part in inner(pair) {
        match part.as_rule() {
            Rule::negation => negated = true,
            Rule::name => condition = Condition::Is(at.word(&part)),
            _ => condition = any_of(part, at),
        }
    }
    if negated { Condition::Not(Box::new(condition)) } else { condition }
}

fn window(parts: Vec<Pair<Rule>>, at: &At) -> Result<Window, Remark> {
    let mut out = Window { value: Formula::Number(Spanned::new(0.0, at.0)), holds: vec![], held: None, taken: None };
    for part in parts {
        match part.as_rule() {
            Rule::sum => out.value = formula(part.into_inner(), at)?,
            Rule::during => out.holds = inner(part).map(|h| holds(h, at)).collect::<Result<_, _>>()?,
            Rule::held => out.held = inner(part).next().map(|q| quantity(q, at)).transpose()?,
            Rule::taken => out.taken = inner(part).next().map(|n| at.word(&n)),
            _ => {}
        }
    }
    Ok(out)
}

fn holds(pair: Pair<Rule>, at: &At) -> Result<(Word, Range), Remark> {
    let mut parts = inner(pair);
    let name = parts.next().ok_or_else(|| lost(at))?;
    Ok((at.word(&name), range(parts.next().ok_or_else(|| lost(at))?, at)?))
}

/// A sum or a product: operands with signs between them, worked out from the left.
fn formula(mut parts: Pairs<Rule>, at: &At) -> Result<Formula, Remark> {
    let mut left = operand(parts.next().ok_or_else(|| lost(at))?, at)?;
    while let (Some(sign), Some(right)) = (parts.next(), parts.next()) {
        let sign = sign.as_str().chars().next().unwrap_or('+');
        left = Formula::Binary(Box::new(left), sign, Box::new(operand(right, at)?));
    }
    Ok(left)
}

fn operand(pair: Pair<Rule>, at: &At) -> Result<Formula, Remark> {
    match pair.as_rule() {
        Rule::product | Rule::sum => formula(pair.into_inner(), at),
        Rule::number => Ok(Formula::Number(at.number(&pair)?)),
        Rule::name => Ok(Formula::Channel(at.word(&pair))),
        _ => operand(inner(pair).next().ok_or_else(|| lost(at))?, at),
    }
}
