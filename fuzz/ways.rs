//! What is tried with any bytes: each function is the body of one fuzz target, and of one test of mutated seeds (`tests/faults/ways.rs`).
//! None may panic, hang, or break what its docs say.

use faultbook::bay::{Effort, Rates};
use faultbook::belief::Limits;
use faultbook::book::{Book, read};
use faultbook::cases::{judge, parse as parse_case};
use faultbook::cli::Arguments;
use faultbook::compare::changes;
use faultbook::job::{Entry, Event, JobSheet, log, parse_quantity, typed_codes};
use faultbook::lint::{Levels, Texts, apply, look};
use faultbook::plan::Budget;
use faultbook::syntax::{FileId, Severity, Sources, Unformatted, format, parse};
use faultbook::walk::{Session, understand, without_place};
use std::sync::LazyLock;

/// A way: its name, what is tried, and the kind of bytes it is fed with.
pub type Way = (&'static str, fn(&[u8]), Seeds);

/// All ways.
pub const WAYS: &[Way] = &[
    ("rules_fmt", rules_fmt, Seeds::Rules),
    ("lint_fix", lint_fix, Seeds::Rules),
    ("job_sheet", job_sheet, Seeds::Sheets),
    ("journal", journal, Seeds::Answers),
    ("walk_answers", walk_answers, Seeds::Answers),
    ("case_file", case_file, Seeds::Cases),
    ("drive_log", drive_log, Seeds::Logs),
    ("typed_words", typed_words, Seeds::Answers),
    ("arguments", arguments, Seeds::Arguments),
];

/// What the first bytes are made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seeds {
    Rules,
    Sheets,
    Answers,
    Cases,
    Logs,
    Arguments,
}

const RATES: Rates = Rates::USUAL;
const EFFORT: Effort =
    Effort { weigh: Limits { samples: 20, ..Limits::GLANCE }, glance: Limits::GLANCE, plan: Budget { work: 20_000, sets: 10 } };

/// A small book with a danger, a reading with a window, a sign, a trait, two causes that look alike, a check and fixes.
pub const RULES: &str = include_str!("small.rules");

static BOOK: LazyLock<Book> = LazyLock::new(|| book_of(RULES).unwrap_or_else(|| panic!("the small book is sound")));

fn book_of(text: &str) -> Option<Book> {
    let mut sources = Sources::default();
    let file = sources.add("fuzz.rules", text);
    let (document, remarks) = parse(file, text);
    read(&sources, &[vec![document]]).0.filter(|_| remarks.iter().all(|r| r.severity != Severity::Error))
}

/// Rules laid out are laid out for good, and mean what they meant.
pub fn rules_fmt(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match format(FileId(0), text) {
        Err(Unformatted::Broken(remarks)) => assert!(!remarks.is_empty()),
        Err(Unformatted::Unproven) => panic!("a new layout that can't be proved"),
        Ok(laid) => {
            assert_eq!(format(FileId(0), &laid).as_deref(), Ok(&laid[..]), "laid out twice");
            if let (Some(old), new) = (book_of(text), book_of(&laid)) {
                let new = new.unwrap_or_else(|| panic!("sound before, not sound laid out"));
                assert!(changes(&old, &new).is_empty(), "the layout changed the meaning");
            }
        }
    }
}

/// What a lint puts right can be read at least as well as before, and ends.
pub fn lint_fix(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let mut text = text.to_string();
    for _ in 0..10 {
        let mut sources = Sources::default();
        let file = sources.add("fuzz.rules", text.as_str());
        let (document, mut found) = parse(file, &text);
        let layers = vec![vec![document]];
        let book = read(&sources, &layers).0.filter(|_| found.is_empty());
        found.extend(look(&Texts { sources: &sources, layers: &layers, borrowed: 0 }, book.as_ref(), &Levels::default()));
        let edited = apply(file, &text, &found);
        if edited.remarks == 0 {
            break;
        }
        text = edited.text;
    }
}

/// Any text as a job sheet: refused with a place, or understood.
pub fn job_sheet(bytes: &[u8]) {
    let Ok(sheet) = std::str::from_utf8(bytes).map_err(drop).and_then(|t| toml::from_str::<JobSheet>(t).map_err(drop)) else { return };
    weighed(&sheet);
}

/// Any journal: each line `ASK ANSWER` an entry. Every beginning of it goes on with a question or an end.
pub fn journal(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let entry = |line: &str| {
        let (ask, answer) = line.split_once(' ').unwrap_or((line, ""));
        Entry { at: String::new(), book: "0".into(), ask: ask.into(), answer: answer.into() }
    };
    let mut session = Session::new(&BOOK, JobSheet::default(), RATES, EFFORT);
    for line in text.lines().take(24) {
        let entry = entry(line);
        let (ask, answer) = entry.event().written();
        assert_eq!(Event::read(&ask, &answer), entry.event(), "written and read back");
        session.take(entry);
        without_place(&BOOK, session.sheet());
        session.next().ok();
    }
    weighed(session.sheet());
}

fn weighed(sheet: &JobSheet) {
    let session = Session::new(&BOOK, sheet.clone(), RATES, EFFORT);
    match session.evidence() {
        Err(mistakes) => assert!(mistakes.iter().all(|m| !m.message.is_empty() && !m.help.is_empty())),
        Ok(_) => drop(session.next()),
    }
}

/// Any keys at a walk, one answer a line: each is refused with what may be typed, or leads to a sheet that is read back as it was written, and that
/// asks the same next as the walk that has just been there.
pub fn walk_answers(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let mut session = Session::new(&BOOK, JobSheet::default(), RATES, EFFORT);
    for typed in text.lines().take(24) {
        let Ok(Some(ask)) = session.next() else { break };
        match understand(&BOOK, &ask, typed) {
            Err(why) => assert!(!why.is_empty()),
            Ok(said) => {
                let (ask, answer) = said.written();
                let entry = Entry { at: String::new(), book: "0".into(), ask, answer };
                let written = toml::to_string(&entry).unwrap_or_else(|e| panic!("{e}"));
                assert_eq!(toml::from_str::<Entry>(&written).as_ref(), Ok(&entry));
                session.take(entry);
            }
        }
    }
    let again = Session::new(&BOOK, session.sheet().clone(), RATES, EFFORT);
    assert_eq!(again.next().map(|ask| ask.map(|a| a.id)), session.next().map(|ask| ask.map(|a| a.id)), "resumed");
}

/// Any text as a case.
pub fn case_file(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match parse_case("cases/fuzz.toml", text) {
        Err(mistake) => assert!(!mistake.message.is_empty()),
        Ok(case) => drop(judge(&BOOK, &case, RATES)),
    }
}

/// Any bytes as a log, against the book: every reading is a finite number.
pub fn drive_log(bytes: &[u8]) {
    if let Ok(drive) = log::read(&BOOK, bytes, None) {
        assert!(drive.seconds.is_finite() && drive.seconds >= 0.0, "{}", drive.seconds);
        assert!(drive.readings.iter().all(|r| r.result.as_ref().is_ok_and(|t| t.value.is_finite()) || r.result.is_err()));
    }
}

/// What people type as codes and as readings.
pub fn typed_words(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    for line in text.lines() {
        if let Ok(codes) = typed_codes(line) {
            let again: Vec<String> = codes.iter().map(ToString::to_string).collect();
            assert_eq!(typed_codes(&again.join(" ")).ok(), Some(codes), "{again:?}");
        }
        for gauge in BOOK.findings.iter().filter_map(|(_, f)| f.gauge()) {
            assert!(parse_quantity(line, gauge, "fuzz").map_or(true, f64::is_finite), "{line}");
        }
    }
}

/// Any words on the command line, one a line.
pub fn arguments(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let words = std::iter::once("faultbook").chain(text.lines());
    let _ = <Arguments as clap::Parser>::try_parse_from(words);
}
