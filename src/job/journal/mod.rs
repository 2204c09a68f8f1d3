//! The journal of a job: every answer, in order, never rewritten. Going back is an entry too. On the disk an entry is two words, what was asked and what
//! was answered; [`Event`] is what it says. `words.rs` alone reads and writes those words.

mod words;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Entry {
    /// When, UTC.
    pub at: String,
    /// First figures of the digest of the book it was given under.
    pub book: String,
    /// What was asked: `symptom:low-power`, `do:look-charge-hoses`, `find:charge-hose`, `back`, `note`, …
    pub ask: String,
    /// The answer.
    pub answer: String,
}

/// How a job ended.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Closed {
    /// The day.
    pub day: String,
    /// The causes that were put right.
    pub causes: Vec<String>,
    /// Whether the complaint is gone and a cause of it was put right; else the car was handed on, or the complaint went by itself.
    pub cured: bool,
    /// Why it was closed although a proof was out of its limit or a danger open.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
    /// Fixes that were done in vain: what they were to cure was not it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vain: Vec<String>,
}

/// Yes, no, or nobody knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// It is so.
    Yes,
    /// It is not so.
    No,
    /// Not known.
    Unknown,
}

/// Names with whether each is so.
pub type Signed = Vec<(String, bool)>;

/// Where nothing abnormal is known: which list was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listed {
    /// The question for other words.
    Words,
    /// The list of systems.
    Systems,
    /// The symptoms of a system.
    Symptoms,
}

/// What was said there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Choice {
    /// The list is wanted.
    List,
    /// More of it.
    More,
    /// None of these.
    None,
    /// This symptom of the book.
    Symptom(String),
    /// Other words, or the name of a system.
    Words(String),
}

/// What became of a check or a fix.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taken {
    /// Done.
    Done,
    /// Left out: no tool, no way to reach.
    Skipped,
    /// Another one is done before it.
    Instead(String),
}

/// What a look showed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Look {
    /// It could not be seen or read.
    NotSeen,
    /// A state's name, or a number with its unit.
    Shown(String),
}

/// What is left of the complaint after a repair.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Left {
    /// It could not be tried.
    Untried,
    /// Nothing.
    Nothing,
    /// The complaint is as it was.
    All,
    /// Symptom by symptom.
    Named(Signed),
}

/// What became of a step after the repair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ticked {
    /// Done.
    Done,
    /// Refused by the vehicle, done the manual way.
    ByHand,
    /// Not needed on this vehicle.
    NotNeeded,
    /// Refused: still to do.
    Refused,
}

/// What is still wrong when the complaint is gone.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Subject {
    /// A fault.
    Cause(String),
    /// A reading or a sign.
    Finding(String),
}

/// What is done about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Disposal {
    /// It is planned now.
    Plan,
    /// It is left, and the owner is told.
    Tell,
    /// It is known and harmless, with the reason.
    Harmless(String),
}

/// What an entry says. Names are those of the book it was given under: another book may have no such block.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)] // each is the answer to the question of its name in `Event::read`
pub enum Event {
    Car(String),
    Words(String),
    /// Symptoms that the words may mean: those that are so, and those that were offered and stay open.
    Heard(Signed),
    /// The same of circumstances.
    When(Signed),
    Symptom(String, Known),
    Listed(Listed, Choice),
    Trait(String, Known),
    Dangers(Option<Signed>),
    /// Symptoms that nobody spoke of, and history.
    More(Option<Signed>),
    Vehicle(Option<Signed>),
    Repaired(Option<Signed>),
    Before(Option<Vec<String>>),
    /// The codes, then what was typed among them and is none; nothing where they were not read.
    Codes(Option<(Vec<String>, Vec<String>)>),
    Scan(Known),
    /// A danger that stopped the work is dealt with.
    Safe(String),
    /// Dangers were acknowledged.
    Warned(Vec<String>),
    /// The fault comes and goes, and is not there right now; or it is there again.
    Asleep(bool),
    Leave(Subject, Disposal),
    Act(String, Taken),
    Found(String, Look),
    Proof(String, Look),
    /// A proof stands still at what it was, or was read again.
    Settled(String, Option<Look>),
    /// A proof, or the complaint where nothing is named, is to be tried again.
    Again(Option<String>),
    Gone(String, Left),
    Aftercare(String, Ticked),
    Referred,
    /// Closed, with the reason where something is open.
    Closed(Option<String>),
    Note(String),
    Attached(String),
    Back,
    /// Of a version that this one does not know.
    Other(String, String),
}

impl Entry {
    /// What it says.
    pub fn event(&self) -> Event {
        Event::read(&self.ask, &self.answer)
    }
}

/// Numbers of the entries that still count: each `back` takes away the last one before it; notes and attached files are no answers.
pub fn effective(entries: &[Entry]) -> Vec<usize> {
    let mut out: Vec<usize> = Vec::new();
    for (i, entry) in entries.iter().enumerate() {
        match entry.event() {
            Event::Back => {
                out.pop();
            }
            Event::Note(_) | Event::Attached(_) => {}
            _ => out.push(i),
        }
    }
    out
}
