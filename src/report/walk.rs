//! A question of the walk as lines for a terminal: append only, narrow first, words before signs.

use super::Look;
use super::words::{NO_DANGER_ASKED, percent, wrap};
use crate::book::COUNT;
use crate::job::Event;
use crate::walk::{Ask, Free, Several, Summary, valid};
use schemars::JsonSchema;
use serde::Serialize;

/// The question with what to know and the answers that are valid now.
pub fn text(ask: &Ask, look: Look) -> String {
    let mut out = String::from("\n");
    if !ask.progress.is_empty() {
        out.push_str(&line("", &format!("({})", ask.progress), look));
    }
    out.push_str(&line("", &ask.title, look));
    for (lead, words) in &ask.lines {
        let text = if lead.is_empty() { words.clone() } else { format!("{lead}: {words}") };
        out.push_str(&line("  ", &text, look));
    }
    if let Free::Several(list) = &ask.free {
        for (i, (_, words)) in list.items.iter().enumerate() {
            out.push_str(&line("  ", &format!("{} = {words}", i + 1), look));
        }
    }
    for reply in &ask.replies {
        out.push_str(&line("  ", &format!("{} = {}", reply.key, reply.words), look));
    }
    let or = if ask.replies.is_empty() { "type" } else { "or" };
    match &ask.free {
        Free::No => {}
        Free::Quantity(unit) if unit == COUNT => out.push_str(&line("  ", &format!("{or} the number"), look)),
        Free::Quantity(unit) => out.push_str(&line("  ", &format!("{or} the number, in {unit} or with its unit"), look)),
        Free::Words => out.push_str(&line("  ", &format!("{or} your own words"), look)),
        Free::Codes => out.push_str(&line("  ", &format!("{or} the codes: P0299 P0401"), look)),
        Free::Several(_) => out.push_str(&line("  ", &format!("{or} the numbers of those that are so: 1 4"), look)),
        Free::Word(word) => out.push_str(&line("  ", &format!("type {word}"), look)),
    }
    out
}

/// `walk --json`: where the walk stopped.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum WalkDocument {
    /// At a question.
    Open {
        /// Version of this shape.
        schema: u32,
        /// `false`.
        closed: bool,
        /// The question that is open.
        ask: AskDocument,
    },
    /// At the end.
    Closed {
        /// Version of this shape.
        schema: u32,
        /// `true`.
        closed: bool,
        /// Names of the causes that were put right.
        causes: Vec<String>,
    },
}

/// A question.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AskDocument {
    /// What it is known by.
    pub id: String,
    /// How far the walk is; may be empty.
    pub progress: String,
    /// The question.
    pub title: String,
    /// What to know before it is answered.
    pub lines: Vec<LeadDocument>,
    /// Why it is asked.
    pub why: Vec<String>,
    /// Where several may be so: each with its words.
    pub items: Vec<ItemDocument>,
    /// Answers of one key.
    pub replies: Vec<ReplyDocument>,
    /// What may be typed instead.
    #[serde(rename = "type")]
    pub free: Option<String>,
    /// The unit of a number that may be typed.
    pub unit: Option<String>,
}

/// A line above a question.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LeadDocument {
    /// What it is about; may be empty.
    pub lead: String,
    /// The words.
    pub words: String,
}

/// One of several that may be so.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ItemDocument {
    /// Its name.
    pub name: String,
    /// Its words.
    pub words: String,
}

/// An answer of one key.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReplyDocument {
    /// The key.
    pub key: String,
    /// What it says.
    pub words: String,
}

/// The document of a question that is open.
pub fn open(ask: &Ask) -> WalkDocument {
    let items = if let Free::Several(list) = &ask.free { list.items.as_slice() } else { &[] };
    let ask = AskDocument {
        id: ask.id.clone(),
        progress: ask.progress.clone(),
        title: ask.title.clone(),
        lines: ask.lines.iter().map(|(lead, words)| LeadDocument { lead: lead.clone(), words: words.clone() }).collect(),
        why: ask.why.clone(),
        items: items.iter().map(|(name, words)| ItemDocument { name: name.clone(), words: words.clone() }).collect(),
        replies: ask.replies.iter().map(|r| ReplyDocument { key: r.key.clone(), words: r.words.clone() }).collect(),
        free: ask.free.word().map(String::from),
        unit: ask.free.unit().map(String::from),
    };
    WalkDocument::Open { schema: 1, closed: false, ask }
}

/// Why it is asked.
pub fn why(ask: &Ask, look: Look) -> String {
    if ask.why.is_empty() {
        line("  ", "It is the next thing this job needs.", look)
    } else {
        ask.why.iter().map(|w| line("  ", w, look)).collect()
    }
}

/// The answer in words, as it was understood.
pub fn echo(ask: &Ask, said: &Event, look: Look) -> String {
    let (_, answer) = said.written();
    let words = match (&ask.free, ask.replies.iter().find(|r| r.says == *said)) {
        (_, Some(reply)) => reply.words.clone(),
        (Free::Several(list), None) if matches!(said, Event::Heard(_) | Event::When(_)) => {
            let ticked: Vec<&str> = answer.split(' ').filter(|w| w.starts_with('+')).collect();
            several(list, &ticked.join(" "))
        }
        (Free::Several(list), None) => several(list, &answer),
        (Free::Codes, None) => answer.split(' ').filter(|c| !c.starts_with('?')).collect::<Vec<_>>().join(" "),
        _ => answer,
    };
    wrap(&words, look.width, "> ", "    ") + "\n"
}

/// Those that are so, then those that were said not to be where the rest stays unknown.
fn several(list: &Several, answer: &str) -> String {
    let with = |sign: char| {
        let named = answer.split_whitespace().filter_map(move |w| w.strip_prefix(sign));
        named.filter_map(|n| list.items.iter().find(|(name, _)| name == n)).map(|(_, words)| words.as_str()).collect::<Vec<_>>().join("; ")
    };
    let all = !answer.split_whitespace().any(|w| w.starts_with('-'));
    let (yes, no) = (with('+'), if list.rest_is_no && !all { "all others".into() } else { with('-') });
    let no = if no.is_empty() { String::new() } else { format!("not: {no}") };
    [yes, no].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(". ")
}

/// What an answer changed: what a repair came to, the likeliest cause, and what is ruled out; empty where nothing moved by much.
pub fn change(before: Option<&Summary>, now: Option<&Summary>, look: Look) -> String {
    let (none, nothing) = (Vec::new(), Vec::new());
    let (old, new) = (before.map_or(&none, |s| &s.likely), now.map_or(&none, |s| &s.likely));
    let was = |title: &str| old.iter().find(|(t, _)| t == title).map(|(_, p)| *p);
    let mut out = String::new();
    for repaired in
        now.map_or(&nothing, |s| &s.changed).iter().filter(|_| before.is_none_or(|b| now.is_some_and(|n| n.changed != b.changed)))
    {
        out.push_str(&line("", repaired, look));
    }
    if let Some((title, p)) = new.first() {
        let first = old.first().is_none_or(|(t, _)| t != title);
        if first || was(title).is_none_or(|w| (w - p).abs() >= 0.05) {
            let before = was(title).filter(|w| percent(*w) != percent(*p)).map_or(String::new(), |w| format!(" (was {})", percent(w)));
            let estimate = now.map_or("", |s| &s.estimate);
            out.push_str(&line("", format!("Now likeliest: {title}, {}{before}. {estimate}", percent(*p)).trim_end(), look));
        }
    }
    let known = |title: &String| before.is_some_and(|s| s.conditions.iter().any(|(t, _)| t == title));
    for (title, p) in now.map_or(&none, |s| &s.conditions).iter().filter(|(t, _)| !known(t)) {
        out.push_str(&line("", &format!("What is going on: {title}, {}.", percent(*p)), look));
    }
    // what was just put right was said above
    let said = |title: &str| now.is_some_and(|s| s.changed.iter().any(|line| line.contains(title)));
    let out_now =
        new.iter().filter(|(title, p)| *p < 0.02 && was(title).is_some_and(|w| w >= 0.1) && !said(title)).map(|(t, _)| t.as_str());
    let out_now: Vec<&str> = out_now.collect();
    if !out_now.is_empty() {
        out.push_str(&line("", &format!("Hardly possible now: {}.", out_now.join("; ")), look));
    }
    out
}

/// What a newer book means for a sheet.
pub fn newer(old: &str, new: &str, lost: &[&str], look: Look) -> String {
    let lost = match lost {
        [] => "Every answer still has its place.".to_string(),
        lost => format!("These answers have no place in the new ones and are passed over: {}.", lost.join(", ")),
    };
    line("", &format!("The rules have changed since the last answer ({old}, now {new}). {lost} The plan is made anew."), look)
}

/// What is said where the rules ask nobody about a danger.
pub fn no_danger_asked(look: Look) -> String {
    line("!! ", NO_DANGER_ASKED, look)
}

/// The keys that are valid at every question.
pub fn keys(look: Look) -> String {
    line("", "At every question: ? these keys, w why, b back, v the car, n WORDS note, a PATH attach a file, q save and leave.", look)
}

/// What may be typed at this one.
pub fn answers(ask: &Ask, look: Look) -> String {
    line("", &format!("Here: {}.", valid(ask)), look)
}

fn line(lead: &str, text: &str, look: Look) -> String {
    wrap(text, look.width, lead, &format!("{lead}  ")) + "\n"
}
