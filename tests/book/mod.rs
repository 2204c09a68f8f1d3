//! What a text of rules becomes: conditions beside causes, cures with their chance, findings that last or pass.

mod amend;

use faultbook::book::{Book, CauseKind, read, shipped};
use faultbook::syntax::{Sources, parse};
use std::fmt::Debug;

const RULES: &str = r#"book bench "Bench"
symptom dim "Lamps dim"
reading volts "Volts"
  unit V
  band ok above 13
  band low below 13
  lasting
sign strap "Strap"
  passing
sign belt "Belt"
cause strap-loose "Strap loose"
  prior 1 %
  brings supply-low usually, cells-spoilt 5 %
cause cells-spoilt "Cells spoilt"
  prior 1 %
condition supply-low "Supply low"
  stray 0.2 %
  shows dim often
  brings cells-spoilt 3 %
check wiggle "Wiggle"
  takes 2 min
  reveals strap
  wakes "wiggle it"
fix clean "Clean the strap"
  cures strap-loose usually
fix renew "Renew strap and battery"
  cures strap-loose, cells-spoilt 90 %
"#;

/// The book of these layers, or the names of the errors.
fn layers(texts: &[&str]) -> Result<Book, Vec<&'static str>> {
    let mut sources = Sources::default();
    let layers = texts.iter().enumerate().map(|(i, text)| {
        let (document, remarks) = parse(sources.add(format!("{i}.rules"), *text), text);
        assert!(remarks.is_empty(), "{remarks:?}");
        vec![document]
    });
    let layers: Vec<_> = layers.collect();
    let (book, remarks) = read(&sources, &layers);
    book.ok_or_else(|| remarks.iter().map(|r| r.code.name).collect())
}

fn cures(book: &Book, fix: &str) -> Vec<(String, f64)> {
    let fix = &book.fixes[book.fixes.find(fix).unwrap()];
    fix.cures.iter().map(|(c, p)| (book.causes[*c].head.name.clone(), *p)).collect()
}

#[test]
fn conditions_stand_among_the_causes_and_keep_their_numbers() {
    let book = layers(&[RULES]).unwrap();
    let rows: Vec<_> = book.causes.iter().map(|(_, c)| (c.head.name.as_str(), c.kind, c.prior)).collect();
    use CauseKind::{Condition, Fault};
    assert_eq!(rows, [("strap-loose", Fault, 0.01), ("cells-spoilt", Fault, 0.01), ("supply-low", Condition, 0.002)]);
    let brings = |name: &str| book.causes[book.causes.find(name).unwrap()].brings.iter().map(|(c, p)| (c.index(), *p)).collect::<Vec<_>>();
    assert_eq!(brings("strap-loose"), [(2, 0.75), (1, 0.05)]);
    assert_eq!(brings("supply-low"), [(1, 0.03)]);
}

#[test]
fn a_fix_cures_for_certain_unless_it_says_how_surely() {
    let book = layers(&[RULES]).unwrap();
    assert_eq!(cures(&book, "clean"), [("strap-loose".into(), 0.75)]);
    assert_eq!(cures(&book, "renew"), [("strap-loose".into(), 1.0), ("cells-spoilt".into(), 0.9)]);
}

#[test]
fn signs_last_and_the_rest_passes_unless_they_say_otherwise() {
    let book = layers(&[RULES]).unwrap();
    let lasting: Vec<_> = book.findings.iter().filter(|(_, f)| f.lasting).map(|(_, f)| f.head.name.as_str()).collect();
    assert_eq!(lasting, ["volts", "belt"]);
    assert_eq!(book.checks.iter().map(|(_, c)| c.wakes.as_deref()).collect::<Vec<_>>(), [Some("wiggle it")]);
}

#[test]
fn amendments_replace_a_cure_a_stray_and_what_lasts() {
    let amended = "amend fix renew\n  cures cells-spoilt often\namend fix clean\n  drop cures strap-loose\n  cures cells-spoilt 20 %\n\
        amend condition supply-low\n  stray 1 %\namend reading volts\n  passing\namend sign belt\n  passing\n";
    let book = layers(&[RULES, amended]).unwrap();
    assert_eq!(cures(&book, "renew"), [("strap-loose".into(), 1.0), ("cells-spoilt".into(), 0.72)]);
    assert_eq!(cures(&book, "clean"), [("cells-spoilt".into(), 0.2)]);
    assert!((book.causes[book.causes.find("supply-low").unwrap()].prior - 0.01).abs() < 1e-12);
    assert!(book.findings.iter().all(|(_, f)| !f.lasting));
}

#[test]
fn what_no_condition_can_be_is_refused() {
    let wrong = |more: &str| layers(&[RULES, more]).map(|_| ()).unwrap_err();
    assert_eq!(wrong("amend fix clean\n  cures supply-low\n"), ["cured-condition"]);
    assert_eq!(wrong("amend condition supply-low\n  stray low 1 %\n"), ["unknown-state"]);
    assert_eq!(wrong("amend condition supply-low\n  stray 1 %, 2 %\n"), ["unknown-state"]);
    assert_eq!(wrong("amend cause supply-low\n  shows dim often\n"), ["nothing-to-amend"]);
    assert_eq!(wrong("cause lonely \"Lonely\"\n  shows dim often\n"), ["never-there"]);
    assert!(layers(&[RULES, "condition lonely \"Lonely\"\n  shows dim often\n"]).is_ok());
    assert_eq!(wrong("amend condition supply-low\n  brings strap-loose 1 %\n"), ["loop"]);
    assert_eq!(wrong("amend fix clean\n  cures strap-loose, strap-loose\n"), ["tied-twice"]);
    assert_eq!(wrong("sign both \"Both\"\n  lasting\n  passing\n"), ["lasting-and-passing"]);
    let prior = parse(Sources::default().add("a.rules", ""), "condition a \"A\"\n  prior 1 %\n").1;
    assert_eq!(prior.iter().map(|r| r.code.name).collect::<Vec<_>>(), ["misplaced-clause"]);
}

/// Each field of both in a line of its own; the first lines that differ.
fn same(what: &str, one: &impl Debug, other: &impl Debug) {
    let (one, other) = (format!("{one:#?}"), format!("{other:#?}"));
    let mut lines = one.lines().zip(other.lines()).enumerate();
    if let Some((at, (one, other))) = lines.find(|(_, (a, b))| a != b) {
        panic!("{what}, line {at}: {one} and {other}");
    }
    assert_eq!(one.len(), other.len(), "{what}");
}

/// The texts that ship are on the disk as well: what the build made of them is what reading them makes.
#[test]
fn the_book_in_the_program_is_the_book_on_the_disk() {
    let rules = crate::run::root().join("rules");
    let mut sources = Sources::default();
    let read_in = shipped::files().into_iter().map(|(name, text)| {
        let path = rules.join(name.strip_prefix("<shipped>/").unwrap());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text, "{}", path.display());
        let (document, remarks) = parse(sources.add(name, text), text);
        assert!(remarks.is_empty(), "{remarks:?}");
        document
    });
    let layers = [read_in.collect::<Vec<_>>()];
    let (book, remarks) = read(&sources, &layers);
    assert!(remarks.is_empty(), "{remarks:?}");
    let (book, loaded) = (book.unwrap(), shipped::book().unwrap());
    same("book", &book, &loaded);
    for (_, finding) in book.findings.iter() {
        assert_eq!(book.findings.find(&finding.head.name), loaded.findings.find(&finding.head.name));
    }
    same("documents", &layers[0], &shipped::documents());
    let texts = |sources: &Sources| sources.iter().map(|(_, s)| (s.name.clone(), s.text.to_string())).collect::<Vec<_>>();
    assert_eq!(texts(&sources), texts(&shipped::sources()));
}

/// Were an image left out or unreadable, the texts would be parsed at every start, and nobody would notice.
#[test]
fn every_image_is_taken_from_the_program() {
    let images = shipped::Reading::new().images().unwrap();
    assert_eq!(images.clone().map(|(name, _)| name), shipped::IMAGES);
    for (name, bytes) in images {
        assert!(shipped::lies_ready(name, &bytes), "{name} is not as the build made it");
    }
}
