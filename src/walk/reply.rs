//! What a person typed -> the answer the journal keeps, or what is wrong with it.

use super::ask::{Ask, Free, Reply, Several};
use crate::book::{Book, COUNT};
use crate::job::{Choice, Event, Listed, Signed, Typed, given_codes, typed_reading};

/// Understands an answer to a question. The error says what may be typed.
pub fn understand(book: &Book, ask: &Ask, typed: &str) -> Result<Event, String> {
    let typed = typed.trim();
    let same = |r: &&Reply| r.key.eq_ignore_ascii_case(typed) || r.words == typed || r.answers(ask, typed);
    if let Some(reply) = ask.replies.iter().find(same) {
        return Ok(reply.says.clone());
    }
    if ask.id == "heard" && has_words(typed) {
        return Ok(Event::Listed(Listed::Words, Choice::Words(typed.into())));
    }
    let event = free(book, ask, typed).map(|answer| Event::read(&ask.id, &answer))?;
    Ok(match (event, &ask.free) {
        (Event::Heard(named), Free::Several(list)) => Event::Heard(with_rest(named, list)),
        (Event::When(named), Free::Several(list)) => Event::When(with_rest(named, list)),
        (event, _) => event,
    })
}

fn free(book: &Book, ask: &Ask, typed: &str) -> Result<String, String> {
    match &ask.free {
        Free::Word(word) if typed.eq_ignore_ascii_case(word) => Ok(word.clone()),
        Free::Words if has_words(typed) => Ok(typed.to_string()),
        Free::Codes if !typed.is_empty() => codes(typed).map_err(|e| format!("{e}: {}", valid(ask))),
        Free::Several(list) if !typed.is_empty() => {
            several(list, typed).ok_or_else(|| format!("`{typed}` is no answer here: {}", valid(ask)))
        }
        Free::Quantity(unit) if !typed.is_empty() => quantity(book, ask, typed, unit),
        _ => Err(format!("`{typed}` is no answer here: {}", valid(ask))),
    }
}

/// Whether somebody wrote words: a digit by itself is a slip of the finger.
fn has_words(typed: &str) -> bool {
    typed.split(|c: char| !c.is_alphabetic()).any(|word| word.chars().nth(1).is_some())
}

/// The codes that are some; with a `?` before each word that is none, so that only that is asked again.
fn codes(typed: &str) -> Result<String, String> {
    let text = |codes: Vec<String>| codes.join(" ");
    if let Ok(codes) = given_codes(typed) {
        return Ok(if codes.is_empty() { "none".into() } else { text(codes) });
    }
    let read = |w: &str| given_codes(w).map(text).map_err(|no| (format!("?{w}"), format!("`{w}`: {}", no.help)));
    let words: Vec<Result<String, (String, String)>> =
        typed.split([' ', ',', ';']).filter(|w| !w.is_empty()).map(read).filter(|r| r.as_ref() != Ok(&String::new())).collect();
    if words.iter().all(Result::is_err) {
        return Err(words.into_iter().filter_map(Result::err).map(|(_, why)| why).collect::<Vec<_>>().join("; "));
    }
    Ok(words.into_iter().map(|w| w.unwrap_or_else(|(kept, _)| kept)).collect::<Vec<_>>().join(" "))
}

/// Each item with its sign: `+` it is so, `-` it is not. All that the answer says is in it, so that a later book can't read more into it.
fn several(list: &Several, typed: &str) -> Option<String> {
    let mut signs: Vec<Option<char>> = vec![list.rest_is_no.then_some('-'); list.items.len()];
    for word in typed.split([' ', ',', ';']).filter(|w| !w.is_empty()) {
        let (sign, digits) = word.strip_prefix('-').map_or(('+', word), |rest| ('-', rest));
        let at = digits.parse::<usize>().ok()?.checked_sub(1)?;
        *signs.get_mut(at)? = Some(sign);
    }
    let named = list.items.iter().zip(&signs).filter_map(|((name, _), sign)| sign.map(|s| format!("{s}{name}")));
    Some(named.collect::<Vec<_>>().join(" "))
}

/// What was named, and what was offered beside it.
fn with_rest(mut named: Signed, list: &Several) -> Signed {
    let rest: Vec<String> = list.items.iter().map(|(name, _)| name.clone()).filter(|n| !named.iter().any(|(m, _)| m == n)).collect();
    named.extend(rest.into_iter().map(|name| (name, false)));
    named
}

fn quantity(book: &Book, ask: &Ask, typed: &str, unit: &str) -> Result<String, String> {
    let name = ask.id.rsplit(':').next().unwrap_or_default();
    let Some(finding) = book.findings.find(name).map(|id| &book.findings[id]) else { return Err(valid(ask)) };
    match typed_reading(typed, finding).map_err(|e| format!("{}; {}", e.message, e.help))? {
        Typed::Value(value) => Ok(format!("{value} {unit}")),
        Typed::State(state) => Ok(finding.states[state].clone()),
    }
}

/// The answers that a question takes, in words.
pub fn valid(ask: &Ask) -> String {
    let mut parts: Vec<String> = ask.replies.iter().map(|r| format!("{} {}", r.key, r.words)).collect();
    match &ask.free {
        Free::No => {}
        Free::Quantity(unit) if unit == COUNT => parts.push("a number".into()),
        Free::Quantity(unit) => parts.push(format!("a number in {unit}")),
        Free::Words => parts.push("your own words".into()),
        Free::Codes => parts.push("codes such as P0299 P0401".into()),
        Free::Word(word) => parts.push(format!("the word `{word}`")),
        Free::Several(list) => parts.push(format!("numbers from 1 to {}", list.items.len())),
    }
    parts.join(", ")
}
