//! One question with the answers that are valid now.

use crate::job::Event;

/// So many lines of a list have a digit each.
pub(super) const ONE_DIGIT: usize = 9;

/// A question.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// What the journal calls it.
    pub id: String,
    /// The question or the step, in one line.
    pub title: String,
    /// How far the job is, in words; may be empty.
    pub progress: String,
    /// What to know before answering: a lead (may be empty) and words.
    pub lines: Vec<(String, String)>,
    /// Why this is asked, for who wants to know.
    pub why: Vec<String>,
    /// The answers that one key gives.
    pub replies: Vec<Reply>,
    /// What else may be typed.
    pub free: Free,
}

/// An answer by one key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    /// The key.
    pub key: String,
    /// What it means, in words.
    pub words: String,
    /// What it says; it may answer another question than the one asked.
    pub says: Event,
}

impl Reply {
    /// Whether it is this answer to the question asked, as the journal writes it.
    pub fn answers(&self, ask: &Ask, answer: &str) -> bool {
        self.says.written() == (ask.id.clone(), answer.to_string())
    }
}

/// What may be typed beside the keys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Free {
    /// Nothing.
    No,
    /// A number, in this unit where none is written.
    Quantity(String),
    /// Any words.
    Words,
    /// Trouble codes.
    Codes,
    /// Exactly this word: the answer can't be given by a slip of the finger.
    Word(String),
    /// The numbers of those that are so; a minus before a number says that it is not so.
    Several(Several),
}

impl Free {
    /// What may be typed, in one word; none where only keys are.
    pub fn word(&self) -> Option<&str> {
        match self {
            Free::No => None,
            Free::Quantity(_) => Some("number"),
            Free::Words => Some("words"),
            Free::Codes => Some("codes"),
            Free::Word(word) => Some(word),
            Free::Several(_) => Some("numbers"),
        }
    }

    /// The unit of a number that is typed without one.
    pub fn unit(&self) -> Option<&str> {
        if let Free::Quantity(unit) = self { Some(unit) } else { None }
    }
}

/// A list of which several may be so, asked at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Several {
    /// Each by its name in the book and in words.
    pub items: Vec<(String, String)>,
    /// Whether those that are not named are not so; else they stay unknown.
    pub rest_is_no: bool,
}

impl Ask {
    /// A question without answers yet.
    pub fn new(id: impl Into<String>, title: impl Into<String>) -> Ask {
        Ask { id: id.into(), title: title.into(), progress: String::new(), lines: vec![], why: vec![], replies: vec![], free: Free::No }
    }

    /// Adds a line.
    pub fn line(mut self, lead: &str, words: impl Into<String>) -> Ask {
        let words = words.into();
        if !words.is_empty() {
            self.lines.push((lead.into(), words));
        }
        self
    }

    /// Adds an answer by one key.
    pub fn reply(self, key: &str, words: &str, answer: &str) -> Ask {
        let says = Event::read(&self.id, answer);
        self.says(key, words, says)
    }

    /// Adds an answer by one key that may answer another question.
    pub fn says(mut self, key: &str, words: &str, says: Event) -> Ask {
        self.replies.push(Reply { key: key.into(), words: words.into(), says });
        self
    }

    /// Yes, no, or not known.
    pub fn yes_no(self, unknown: &str) -> Ask {
        self.reply("1", "yes", "yes").reply("2", "no", "no").reply("x", unknown, "unknown")
    }

    /// Adds the answer that none of a list is so.
    pub fn none_of(self, list: &Several, words: &str) -> Ask {
        let none: Vec<String> = list.items.iter().map(|(name, _)| format!("-{name}")).collect();
        self.reply("0", words, &none.join(" "))
    }
}
