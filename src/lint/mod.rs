//! Texts and book -> remarks on what can be read and yet is probably a mistake. One lint a file, its page beside it in `pages/`.
//!
//! Lints never change a book, never print, and never look at a car. What they find about a sound book they work out from the
//! same model that the belief and the plan use.

mod allows;
mod fingerprint;
mod fix;
mod levels;
mod pages;
mod subject;
mod traces;
mod vehicles;

pub use fingerprint::fingerprints;
pub use fix::{Edited, apply};
pub use levels::{Level, Levels, UnknownCode};
pub use pages::{names as page_names, page};
pub use subject::{Subject, Texts};

use crate::book::{self, Book};
use crate::syntax::{self, Code, FileId, Remark, Severity};
use std::collections::HashSet;

/// A lint: its code, and what it looks at.
pub struct Lint {
    /// The code of its remarks.
    pub code: Code,
    looks_at: LooksAt,
}

enum LooksAt {
    /// What is written, even where it makes no book.
    Texts(fn(&Texts, &mut Vec<Remark>)),
    /// A sound book.
    Book(fn(&Subject, &mut Vec<Remark>)),
    /// The `allow` clauses, once every other lint has had its say.
    Allows(fn(&[allows::Idle], &mut Vec<Remark>)),
}

impl Lint {
    const fn texts(id: &'static str, name: &'static str, severity: Severity, check: fn(&Texts, &mut Vec<Remark>)) -> Lint {
        Lint { code: Code { id, name, severity }, looks_at: LooksAt::Texts(check) }
    }

    const fn book(id: &'static str, name: &'static str, severity: Severity, check: fn(&Subject, &mut Vec<Remark>)) -> Lint {
        Lint { code: Code { id, name, severity }, looks_at: LooksAt::Book(check) }
    }

    const fn allows(id: &'static str, name: &'static str, severity: Severity, check: fn(&[allows::Idle], &mut Vec<Remark>)) -> Lint {
        Lint { code: Code { id, name, severity }, looks_at: LooksAt::Allows(check) }
    }
}

macro_rules! lints {
    ($($module:ident)*) => {
        $(mod $module;)*
        /// Every lint, in the order of the codes.
        pub const LINTS: &[Lint] = &[$($module::LINT),*];
    };
}

lints! {
    // text: FB2xx
    unused_name titles_alike heard_twice mixed_units two_spellings reading_without_source hazard_without_advice symptom_without_question
    maker_code reserved_code untitled_code unreachable_when needless_when never_together same_question unused_allow unknown_allow
    code_in_small_letters unsigned_book impossible_day empty_words repeated_words action_without_time abnormal_first coarse_accuracy
    words_alike defeated_equipment abnormal_proof trait_without_question amended_twice empty_file
    // graph: FB3xx
    unreached_cause uncured_cause fix_without_proof undisturbed_proof unrevealed_finding action_without_caution finding_without_hazard
    unused_aftercare contradictory_access unasked_danger fix_without_aftercare silent_cause needless_access uncured_consequence
    unbrought_condition conditions_elsewhere no_danger_asked
    // model: FB4xx
    causes_alike idle_check outdone_check unmoved_finding unshown_finding certain_strength empty_strength finding_without_stray
    outlying_prior drowning_stray unshown_state
}

/// The codes of all remarks on rule files: those of reading, those of the book, those of the lints.
pub fn codes() -> impl Iterator<Item = Code> {
    syntax::codes::ALL.iter().chain(book::codes::ALL).copied().chain(LINTS.iter().map(|l| l.code))
}

/// The code of that id or name.
pub fn code(id_or_name: &str) -> Option<Code> {
    codes().find(|c| c.id.eq_ignore_ascii_case(id_or_name) || c.name == id_or_name)
}

/// Whether it is a lint's code: one that can be allowed, turned down or off.
pub fn can_be_allowed(code: Code) -> bool {
    LINTS.iter().any(|l| l.code == code)
}

/// All lints' remarks that nobody has allowed, in order of their places, with the severities of `levels`. Where there is no
/// sound book, only the texts are looked at.
pub fn look(texts: &Texts, book: Option<&Book>, levels: &Levels) -> Vec<Remark> {
    let mut found = Vec::new();
    let subject = book.map(|b| Subject::new(*texts, b));
    let mut asked = Vec::new();
    for lint in LINTS.iter().filter(|l| levels.anywhere(l.code)) {
        match (&lint.looks_at, &subject) {
            (LooksAt::Texts(check), _) => check(texts, &mut found),
            (LooksAt::Book(check), Some(subject)) => check(subject, &mut found),
            _ => continue,
        }
        asked.push(lint.code);
    }
    let (mut found, idle) = allows::sift(texts, found, &asked);
    for lint in LINTS {
        if let (LooksAt::Allows(check), true) = (&lint.looks_at, levels.anywhere(lint.code)) {
            check(&idle, &mut found);
        }
    }
    let own: HashSet<FileId> = texts.own().map(|d| d.file).collect();
    found.retain_mut(|r| {
        let file = r.span().map(|s| s.file).filter(|f| own.contains(f));
        let level = file.and_then(|f| levels.of(r.code, &texts.sources.get(f).name));
        r.severity = level.unwrap_or(r.severity);
        level.is_some()
    });
    found.sort_by(|a, b| (a.span(), a.code.id).cmp(&(b.span(), b.code.id)));
    found
}

/// What every lint's file needs.
mod prelude {
    pub(super) use super::{Lint, Subject, Texts, subject};
    pub(super) use crate::book::Headed;
    pub(super) use crate::syntax::{Block, Clause, Keyword, Kind, Remark, Severity, Value, Word};
}
