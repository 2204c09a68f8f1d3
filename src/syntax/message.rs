//! The grammar's own errors -> a remark in the words of the workshop.

use super::codes::BROKEN_LINE;
use super::hints::{Refused, hint};
use super::kind::Shape;
use super::parse::Rule;
use super::remark::Remark;
use super::span::Span;
use pest::error::{Error, ErrorVariant, InputLocation};

/// Makes a remark of what the grammar says about the text at `base`.
pub fn broken(error: &Error<Rule>, shape: Option<Shape>, text: &str, base: Span) -> Remark {
    let at = match error.location {
        InputLocation::Pos(p) | InputLocation::Span((p, _)) => p.min(text.len()),
    };
    // what is wrong is the next word, not the space before it; at the end of a line there is none
    let next = at + text[at..].len() - text[at..].trim_start_matches([' ', '\t']).len();
    let at = if next < text.len() { next } else { at };
    if let Some(remark) = hint(&Refused { text, base, at, shape }) {
        return remark;
    }
    let found = word_at(text, at);
    let start = base.start + at as u32;
    let span = Span { file: base.file, start, end: start + found.len().max(text[at..].chars().next().map_or(1, char::len_utf8)) as u32 };
    let span = Span { end: span.end.min(base.end.max(span.start)), ..span };
    let message = match (found.is_empty(), found.starts_with('"')) {
        (true, _) => "the line ends too early".to_string(),
        (_, true) if !found[1..].contains('"') => "the closing quote is missing".to_string(),
        _ => format!("`{}` does not fit here", clipped(found)),
    };
    Remark::new(BROKEN_LINE, message, span, expected(error))
}

/// The word that starts at a byte, as far as white space, a comma or the end.
fn word_at(text: &str, at: usize) -> &str {
    let rest = &text[at..];
    if rest.starts_with('"') {
        return rest.lines().next().unwrap_or(rest);
    }
    let end = rest.find(|c: char| c.is_whitespace() || c == ',').unwrap_or(rest.len());
    if end == 0 { &rest[..rest.chars().next().map_or(0, char::len_utf8)] } else { &rest[..end] }
}

/// A word short enough for a message.
fn clipped(word: &str) -> String {
    const MOST: usize = 40;
    if word.chars().count() <= MOST { word.to_string() } else { word.chars().take(MOST).chain(['…']).collect() }
}

fn expected(error: &Error<Rule>) -> String {
    let ErrorVariant::ParsingError { positives, .. } = &error.variant else {
        return "this can't be read".into();
    };
    let mut words: Vec<&str> = positives.iter().filter_map(|r| name_of(*r)).collect();
    words.sort_unstable();
    words.dedup();
    match words.split_last() {
        None => "this can't be read".into(),
        Some((last, [])) => format!("expected {last}"),
        Some((last, rest)) => format!("expected {} or {last}", rest.join(", ")),
    }
}

/// What a rule of the grammar is called in a message; none for what would only confuse.
fn name_of(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::name | Rule::one_name => "a name",
        Rule::text | Rule::inner | Rule::title | Rule::escape => "text in quotes",
        Rule::number => "a number",
        Rule::unit => "a unit",
        Rule::quantity => "a number with its unit",
        Rule::chance | Rule::percent | Rule::push => "a chance (`usually` or `75 %`)",
        Rule::percent_sign => "`%`",
        Rule::link => "a cause and a chance",
        Rule::cure => "a cause",
        Rule::proof => "a finding",
        Rule::range | Rule::below | Rule::above | Rule::between => "`below X`, `X to Y` or `above X`",
        Rule::comma => "a comma",
        Rule::open_bracket => "`(`",
        Rule::close_bracket => "`)`",
        Rule::end => "the end of the line",
        Rule::any_of | Rule::all_of | Rule::maybe_not => "a trait",
        Rule::and_word => "`and`",
        Rule::or_word => "`or`",
        Rule::to_word => "`to`",
        Rule::because_word => "`because` and the reason in quotes",
        Rule::day => "a day such as 2026-11-25",
        Rule::hex_byte => "two hexadecimal digits",
        Rule::sum | Rule::product | Rule::operand => "a channel or a number",
        Rule::kind => "the kind of a block",
        _ => return None,
    })
}
