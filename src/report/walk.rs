//! A question of the walk as lines for a terminal: append only, narrow first, words before signs.

use super::Look;
use super::words::wrap;
use crate::walk::{Ask, Free};

/// The question with what to know and the answers that are valid now.
pub fn text(ask: &Ask, look: Look) -> String {
    let mut out = String::from("\n");
    out.push_str(&line("", &ask.title, look));
    for (lead, words) in &ask.lines {
        let text = if lead.is_empty() { words.clone() } else { format!("{lead}: {words}") };
        out.push_str(&line("  ", &text, look));
    }
    for reply in &ask.replies {
        out.push_str(&line("  ", &format!("{} = {}", reply.key, reply.words), look));
    }
    match &ask.free {
        Free::No => {}
        Free::Quantity(unit) => out.push_str(&line("  ", &format!("or the number, in {unit}"), look)),
        Free::Words => out.push_str(&line("  ", "or your own words", look)),
        Free::Codes => out.push_str(&line("  ", "or the codes: P0299 P0401", look)),
        Free::Word(word) => out.push_str(&line("  ", &format!("type {word}"), look)),
    }
    out
}

/// Why it is asked.
pub fn why(ask: &Ask, look: Look) -> String {
    if ask.why.is_empty() {
        line("  ", "It is the next thing this job needs.", look)
    } else {
        ask.why.iter().map(|w| line("  ", w, look)).collect()
    }
}

/// The keys that are valid at every question.
pub fn keys(look: Look) -> String {
    line("", "At every question: w why, b back, n WORDS note, a PATH attach a file, q save and leave.", look)
}

fn line(lead: &str, text: &str, look: Look) -> String {
    wrap(text, look.width, lead, &format!("{lead}  ")) + "\n"
}
