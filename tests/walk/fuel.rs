//! Forty invented cars walked, told of no more than their fuel: no screen names what a car of that fuel can't have.

use crate::run::root;
use crate::shipped;
use faultbook::bay::{Effort, Rates};
use faultbook::book::{Book, FindingKind, Headed, Need};
use faultbook::job::{CodeEntry, Entry, JobSheet, evidence};
use faultbook::walk::{Ask, Free, Session, understand};
use serde::Deserialize;

#[derive(Deserialize)]
struct Told {
    complaint: Vec<String>,
    codes: Vec<String>,
}

#[derive(Deserialize)]
struct Fitted {
    fitted: Vec<String>,
}

/// Each car's name, fuel, words and codes.
fn cars() -> Vec<(String, String, String, Vec<String>)> {
    let folder = root().join("benches/cars/data");
    let names = std::fs::read_dir(&folder).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().to_string());
    let mut names: Vec<String> = names.filter_map(|n| n.strip_suffix(".map.toml").map(String::from)).collect();
    names.sort();
    let one = |name: String| {
        let text = |ending: &str| std::fs::read_to_string(folder.join(format!("{name}{ending}"))).unwrap();
        let (told, map): (Told, Fitted) = (toml::from_str(&text(".toml")).unwrap(), toml::from_str(&text(".map.toml")).unwrap());
        let fuel = ["diesel", "petrol"].into_iter().find(|f| map.fitted.iter().any(|t| t == f)).unwrap();
        (name, fuel.to_string(), told.complaint.join(", "), told.codes)
    };
    names.into_iter().map(one).collect()
}

/// All that a screen says, one text.
fn screen(ask: &Ask) -> String {
    let lines = ask.lines.iter().map(|(lead, words)| format!("{lead}: {words}"));
    let replies = ask.replies.iter().map(|r| r.words.clone());
    let items = if let Free::Several(list) = &ask.free { list.items.iter().map(|(_, words)| words.clone()).collect() } else { vec![] };
    [ask.title.clone()].into_iter().chain(lines).chain(ask.why.clone()).chain(replies).chain(items).collect::<Vec<_>>().join("\n")
}

/// What blocks say that a car with these traits can't have: titles and questions, but for those that another block of this car shares.
fn foreign(book: &Book, traits: &[Option<bool>]) -> Vec<String> {
    let keeps = |need: &Need| need.keeps(traits);
    let mut rows: Vec<(bool, String)> = Vec::new();
    rows.extend(book.causes.iter().map(|(_, c)| (keeps(&c.head.when), c.title().to_string())));
    rows.extend(book.fixes.iter().map(|(_, f)| (keeps(&f.head.when), f.title().to_string())));
    rows.extend(book.checks.iter().map(|(_, c)| (keeps(&c.head.when), c.title().to_string())));
    for (_, finding) in book.findings.iter().filter(|(_, f)| matches!(f.kind, FindingKind::Symptom { .. })) {
        rows.extend([Some(finding.title()), finding.question()].into_iter().flatten().map(|t| (keeps(&finding.head.when), t.to_string())));
    }
    let own = |title: &str| rows.iter().any(|(kept, t)| *kept && t.contains(title));
    rows.iter().filter(|(kept, title)| !kept && !own(title)).map(|(_, title)| title.clone()).collect()
}

/// None of a list, not known, or what comes first.
fn shrug(ask: &Ask) -> String {
    let has = |key: &str| ask.replies.iter().any(|r| r.key == key);
    match ask.free {
        Free::Word(ref word) => word.clone(),
        _ => ["0", "x", "1"].into_iter().find(|k| has(k)).unwrap_or("0").into(),
    }
}

/// A walk by somebody who does each step and can see nothing: every screen of the first so many, the intake with them.
const SCREENS: usize = 30;

/// Answers everything with a shrug, and hands each screen over; how many answers came before the first step.
fn shrugged(book: &Book, sheet: JobSheet, mut see: impl FnMut(&Ask)) -> usize {
    let rates = Rates::USUAL;
    let mut session = Session::new(book, sheet, rates, Effort::STEP);
    let mut before = None;
    for answers in 0..SCREENS {
        let Some(ask) = session.next().unwrap_or_else(|e| panic!("{e}")) else { break };
        see(&ask);
        let topic = ask.id.split(':').next().unwrap_or_default();
        if ["do", "refer", "close"].contains(&topic) {
            before.get_or_insert(answers);
        }
        if ["refer", "close"].contains(&topic) {
            break;
        }
        let (ask, answer) = understand(book, &ask, &shrug(&ask)).unwrap_or_else(|e| panic!("{}: {e}", ask.id)).written();
        session.take(Entry { at: String::new(), book: String::new(), ask, answer });
    }
    before.expect("the intake has an end")
}

#[test]
fn no_screen_of_forty_walks_names_what_another_fuel_has() {
    let book = shipped();
    let cars = cars();
    assert_eq!(cars.len(), 40);
    let walk = |(name, fuel, words, codes): &(String, String, String, Vec<String>)| {
        let mut sheet = JobSheet::default();
        sheet.vehicle.words = format!("2.0 {fuel} 2015");
        sheet.complaint.words.clone_from(words);
        sheet.scan.codes = codes.iter().cloned().map(CodeEntry::Plain).collect();
        let traits = evidence(&book, &sheet).unwrap().traits;
        let other = if fuel == "diesel" { "petrol" } else { "diesel" };
        assert_eq!(traits[book.traits.find(other).unwrap().index()], Some(false), "{name}");
        let foreign = foreign(&book, &traits);
        assert!(foreign.len() > 100, "the test looks for next to nothing");
        let answers = shrugged(&book, sheet, |ask| {
            let said = screen(ask);
            let wrong: Vec<&String> = foreign.iter().filter(|title| said.contains(title.as_str())).collect();
            assert!(wrong.is_empty(), "{name}, {fuel}: {wrong:?} on the screen\n{said}");
        });
        assert!(answers <= 12, "{name}: {answers} answers before the first step");
    };
    let next = std::sync::atomic::AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                while let Some(car) = cars.get(next.fetch_add(1, std::sync::atomic::Ordering::Relaxed)) {
                    walk(car);
                }
            });
        }
    });
}
