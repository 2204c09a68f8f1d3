//! The checked book: names resolved to numbers, units made one, words turned to chances. A [`Book`] that exists is valid.

use super::dtc::Dtc;
use super::need::Need;
use super::table::{Id, Table};
use super::units::Unit;
use super::window::Window;
use crate::syntax::{Keyword, Span};
use serde::{Deserialize, Serialize};

/// What every block has.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Head {
    /// Its name.
    pub name: String,
    /// Its title, in words for people.
    pub title: String,
    /// Notes for the reader.
    pub notes: Vec<String>,
    /// Where its facts come from.
    pub sources: Vec<Id<Source>>,
    /// For which vehicles it is.
    pub when: Need,
    /// Where it stands.
    pub span: Span,
    /// Remarks it allows, with the reason and the place of the clause.
    pub allows: Vec<(String, String, Span)>,
}

/// Anything with a head.
pub trait Headed {
    /// Its head.
    fn head(&self) -> &Head;
    /// Its name.
    fn name(&self) -> &str {
        &self.head().name
    }
    /// Its title.
    fn title(&self) -> &str {
        &self.head().title
    }
}

macro_rules! headed {
    ($($type:ident),*) => { $(impl Headed for $type { fn head(&self) -> &Head { &self.head } })* };
}
headed!(Source, Trait, Hazard, Access, Tool, Channel, Finding, Cause, Check, Fix, Aftercare, Scale);

/// The whole book.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[allow(missing_docs)] // the tables are named by what they hold
pub struct Book {
    pub about: About,
    pub scales: Table<Scale>,
    pub sources: Table<Source>,
    pub traits: Table<Trait>,
    pub hazards: Table<Hazard>,
    pub access: Table<Access>,
    pub tools: Table<Tool>,
    pub channels: Table<Channel>,
    pub findings: Table<Finding>,
    pub causes: Table<Cause>,
    pub checks: Table<Check>,
    pub fixes: Table<Fix>,
    pub aftercare: Table<Aftercare>,
}

/// What the book says of itself.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct About {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Its version.
    pub version: String,
    /// The day it was last reviewed, as written.
    pub reviewed: String,
    /// Who keeps it.
    pub keeper: String,
    /// What it is for.
    pub about: String,
    /// The book it is laid over.
    pub over: Option<String>,
    /// SHA-256 of all its texts in order, in hexadecimal: which book a journal entry was made with.
    pub digest: String,
    /// The system that each file is about, by the number of the file: its folder, or its own name where that is no part of the book.
    pub systems: Vec<String>,
}

impl Book {
    /// The system that a block belongs to, in words; empty where it comes from elsewhere.
    pub fn system(&self, head: &Head) -> &str {
        self.about.systems.get(head.span.file.0 as usize).map_or("", String::as_str)
    }

    /// Whether work on a car would begin without a question about a danger: it has checks or fixes, and no symptom with a hazard that everybody is asked for.
    pub fn asks_no_danger(&self) -> bool {
        let works = !self.checks.is_empty() || !self.fixes.is_empty();
        let about_one = |f: &Finding| matches!(f.kind, FindingKind::Symptom { always_ask: true, .. }) && !f.hazards.is_empty();
        works && !self.findings.iter().any(|(_, f)| about_one(f))
    }
}

/// Words for chances.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Scale {
    /// Name and title.
    pub head: Head,
    /// Each word with its chance, 0..=1.
    pub words: Vec<(String, f64)>,
    /// The clauses they may stand at; any, where it says none.
    pub at: Vec<Keyword>,
}

/// Where facts come from.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Source {
    /// Name and title.
    pub head: Head,
    /// When and where it was published.
    pub published: Option<String>,
}

/// What a vehicle is or has.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Trait {
    /// Name and title; `when` says where it can be fitted at all.
    pub head: Head,
    /// The question that settles it.
    pub ask: Option<String>,
    /// Words for it, where somebody says what car it is.
    pub heard: Vec<String>,
    /// Traits that can't be there together with it.
    pub excludes: Vec<Id<Trait>>,
}

/// How bad a danger is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Level {
    /// A caution.
    Care,
    /// Somebody can be hurt.
    Warn,
    /// Nothing goes on until it is dealt with.
    Stop,
}

impl Level {
    /// All, worst first.
    pub const ALL: [Level; 3] = [Level::Stop, Level::Warn, Level::Care];

    /// The level that a word in a rule file says.
    pub fn from_word(word: &str) -> Option<Level> {
        Level::ALL.into_iter().find(|level| level.word() == word)
    }

    /// The word in a rule file.
    pub fn word(self) -> &'static str {
        match self {
            Level::Care => "care",
            Level::Warn => "warn",
            Level::Stop => "stop",
        }
    }
}

/// A danger to people.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Hazard {
    /// Name and title.
    pub head: Head,
    /// How bad.
    pub level: Level,
    /// While this danger stands, no check is offered that has one of these as its caution.
    pub bars: Vec<Id<Hazard>>,
    /// What to do now.
    pub does: Vec<String>,
}

/// A set-up step that opens several checks.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Access {
    /// Name and title.
    pub head: Head,
    /// Minutes of work it takes, 0 or more.
    pub minutes: f64,
    /// Minutes in which nobody works at it, 0 or more: the engine cools, the night passes.
    pub waits: f64,
    /// What it needs first.
    pub needs: Vec<Id<Access>>,
    /// What it closes again.
    pub undoes: Vec<Id<Access>>,
    /// Cautions.
    pub hazards: Vec<Id<Hazard>>,
    /// How.
    pub does: Vec<String>,
}

/// A tool.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Tool {
    /// Name and title.
    pub head: Head,
}

/// One column of a logged drive.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Channel {
    /// Name and title.
    pub head: Head,
    /// The unit its values are kept in.
    pub unit: Option<Unit>,
    /// Column headings that mean it.
    pub headings: Vec<String>,
    /// The identifier of the generic data service.
    pub pid: Option<u8>,
}

/// What is seen, read, stored or reported.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Finding {
    /// Name and title.
    pub head: Head,
    /// Which kind, with what only that kind has.
    pub kind: FindingKind,
    /// Its states, the normal one first; at least two.
    pub states: Vec<String>,
    /// The push by something the book does not list, to the states after the first; each 0..=1, together at most 1.
    pub stray: Vec<f64>,
    /// Dangers, each with the states that raise it (never the first).
    pub hazards: Vec<(Id<Hazard>, Vec<usize>)>,
    /// Whether what disturbs it can be seen while the fault is asleep: a trace that stays. Else it passes with the fault.
    pub lasting: bool,
}

/// The four kinds of findings.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub enum FindingKind {
    /// What the customer reports.
    Symptom {
        /// The question.
        ask: Option<String>,
        /// Customers' words for it.
        heard: Vec<String>,
        /// Whether it is asked at every intake.
        always_ask: bool,
        /// Whether it says when the rest comes rather than what is wrong.
        circumstance: bool,
    },
    /// A trouble code.
    Code(Dtc),
    /// A number.
    Reading(Box<Gauge>),
    /// What an inspection shows.
    Sign {
        /// The question.
        ask: Option<String>,
        /// Whether it tells what happened before the car came: asked once, and no repair changes it.
        past: bool,
    },
}

/// How a reading is read.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Gauge {
    /// Its unit; bands and values are in it.
    pub unit: Unit,
    /// Two sigma of what it is read with.
    pub accuracy: Option<Accuracy>,
    /// The ranges of each state, in the order of the states: from, to (infinite at the ends).
    pub bands: Vec<Vec<(f64, f64)>>,
    /// How a logged drive gives it.
    pub window: Option<Window>,
    /// Codes of which it says how many are stored: it is worked out from the codes that were read, and nobody takes it. Empty for most.
    pub counts: Vec<Dtc>,
}

/// Two sigma of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Accuracy {
    /// A part of the value read.
    Relative(f64),
    /// In the reading's own unit.
    Absolute(f64),
}

/// How long a row of the causes is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum CauseKind {
    /// A fault: there until a fix cures it.
    Fault,
    /// A state: there as long as something brings it about, and gone with that.
    Condition,
}

/// A fault, or a state that faults bring about.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Cause {
    /// Name and title.
    pub head: Head,
    /// Whether it is a fault or a state.
    pub kind: CauseKind,
    /// How often it is there by itself, 0..=1; for a condition, how often something that the book does not list brings it about.
    pub prior: f64,
    /// What it shows.
    pub shows: Vec<Shows>,
    /// What it brings about, each with its chance.
    pub brings: Vec<(Id<Cause>, f64)>,
    /// Dangers while it is in question.
    pub hazards: Vec<Id<Hazard>>,
}

/// One finding that a cause shows.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Shows {
    /// The finding.
    pub finding: Id<Finding>,
    /// The chances to push it to the states after the first; each 0..=1, together at most 1.
    pub push: Vec<f64>,
    /// The place of the clause.
    pub span: Span,
}

/// An action that reveals findings.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Check {
    /// Name and title.
    pub head: Head,
    /// Minutes of work it takes, without access.
    pub minutes: f64,
    /// Minutes in which nobody works at it, 0 or more: a pressure that is left to hold.
    pub waits: f64,
    /// Money spent on it.
    pub spend: f64,
    /// Access steps it needs.
    pub access: Vec<Id<Access>>,
    /// Tools it needs.
    pub tools: Vec<Id<Tool>>,
    /// The findings it reveals.
    pub reveals: Vec<Id<Finding>>,
    /// How it brings out a fault that comes and goes, in words; none where it does not.
    pub wakes: Option<String>,
    /// How to do it.
    pub does: Vec<String>,
    /// Cautions.
    pub hazards: Vec<Id<Hazard>>,
    /// Checks that come first.
    pub after: Vec<Id<Check>>,
}

/// An action that cures causes.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Fix {
    /// Name and title.
    pub head: Head,
    /// Minutes it takes, without access.
    pub minutes: f64,
    /// Money for parts.
    pub parts: f64,
    /// Access steps it needs.
    pub access: Vec<Id<Access>>,
    /// Tools it needs.
    pub tools: Vec<Id<Tool>>,
    /// The causes it cures, each with the chance that it does, 0..=1. None of them is a condition.
    pub cures: Vec<(Id<Cause>, f64)>,
    /// The readings and signs that prove it, each with the state it must be in.
    pub proofs: Vec<(Id<Finding>, usize)>,
    /// What must follow.
    pub then: Vec<Id<Aftercare>>,
    /// How to do it.
    pub does: Vec<String>,
    /// Cautions.
    pub hazards: Vec<Id<Hazard>>,
    /// Fixes that come first.
    pub after: Vec<Id<Fix>>,
    /// People's words for it, where it was done before the car came.
    pub heard: Vec<String>,
}

/// What must follow a fix.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Aftercare {
    /// Name and title.
    pub head: Head,
    /// Minutes it takes.
    pub minutes: f64,
    /// How to do it.
    pub does: Vec<String>,
    /// The manual way, where the tester refuses.
    pub if_refused: Option<String>,
    /// Cautions.
    pub hazards: Vec<Id<Hazard>>,
    /// What comes first.
    pub after: Vec<Id<Aftercare>>,
}

impl Cause {
    /// Whether it is a state that ends with what brings it about.
    pub fn is_condition(&self) -> bool {
        self.kind == CauseKind::Condition
    }

    /// What it is called in a rule file.
    pub fn kind_word(&self) -> &'static str {
        match self.kind {
            CauseKind::Fault => "cause",
            CauseKind::Condition => "condition",
        }
    }
}

impl Fix {
    /// The causes it cures, however surely.
    pub fn causes(&self) -> impl DoubleEndedIterator<Item = Id<Cause>> + Clone + '_ {
        self.cures.iter().map(|(cause, _)| *cause)
    }

    /// Whether it may cure this cause.
    pub fn cures(&self, cause: Id<Cause>) -> bool {
        self.causes().any(|c| c == cause)
    }
}

impl Finding {
    /// Whether it only says what happened before or when the complaint comes: no repair makes it go away, and it accuses nothing by itself.
    pub fn is_hint(&self) -> bool {
        matches!(self.kind, FindingKind::Symptom { circumstance, .. } if circumstance || self.lasting) || self.is_past()
    }

    /// Whether it is seen on the car as it stands now: measured, and not told of the past.
    pub fn is_seen_on_car(&self) -> bool {
        self.is_measured() && !self.is_past()
    }

    /// Whether it tells what happened before the car came, so that no repair changes it.
    pub fn is_past(&self) -> bool {
        matches!(self.kind, FindingKind::Sign { past: true, .. })
    }

    /// Whether somebody takes it with a tool or with his eyes: a reading or a sign.
    pub fn is_measured(&self) -> bool {
        matches!(self.kind, FindingKind::Reading(_) | FindingKind::Sign { .. })
    }

    /// The number of the state of that name.
    pub fn state(&self, name: &str) -> Option<usize> {
        self.states.iter().position(|s| s == name)
    }

    /// What it is called in a rule file.
    pub fn kind_word(&self) -> &'static str {
        match self.kind {
            FindingKind::Symptom { .. } => "symptom",
            FindingKind::Code(_) => "code",
            FindingKind::Reading(_) => "reading",
            FindingKind::Sign { .. } => "sign",
        }
    }

    /// The gauge, for a reading.
    pub fn gauge(&self) -> Option<&Gauge> {
        match &self.kind {
            FindingKind::Reading(gauge) => Some(gauge),
            _ => None,
        }
    }

    /// Whether it is worked out of several values, all of which may be typed.
    pub fn takes_several(&self) -> bool {
        self.gauge().is_some() && self.title().contains("greatest less least")
    }

    /// Whether its states have no names of their own: they answer a question of yes or no.
    pub fn is_yes_or_no(&self) -> bool {
        matches!(self.states.as_slice(), [no, yes] if matches!((no.as_str(), yes.as_str()), ("absent", "present") | ("no", "yes")))
    }

    /// The question to ask a person about it.
    pub fn question(&self) -> Option<&str> {
        match &self.kind {
            FindingKind::Symptom { ask, .. } | FindingKind::Sign { ask, .. } => ask.as_deref(),
            _ => None,
        }
    }
}
