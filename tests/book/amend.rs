//! What an amendment changes, and what it leaves as it was.

use super::layers;
use faultbook::book::{Book, FindingKind, read, shipped};
use faultbook::syntax::{Block, Document, Keyword, Remark, Sources, Value, parse};

/// The book that ships, with rules over it.
struct Over {
    sources: Sources,
    shipped: Vec<Document>,
}

impl Over {
    fn new() -> Over {
        let mut sources = Sources::default();
        let shipped = shipped::files().into_iter().map(|(name, text)| parse(sources.add(name, text), text).0).collect();
        Over { sources, shipped }
    }

    fn with(&self, rules: &str) -> Result<Book, Vec<Remark>> {
        let mut sources = self.sources.clone();
        let (document, remarks) = parse(sources.add("own.rules", rules), rules);
        assert!(remarks.is_empty(), "{remarks:?}");
        let (book, remarks) = read(&sources, &[self.shipped.clone(), vec![document]]);
        book.ok_or(remarks)
    }

    fn readings(&self) -> Vec<&Block> {
        let has_bands = |b: &&Block| b.clauses.iter().any(|c| c.keyword.value == Keyword::Band);
        self.shipped.iter().flat_map(|d| &d.blocks).filter(has_bands).collect()
    }
}

/// What a reading's states are, and how far each reaches.
fn bands(book: &Book, name: &str) -> (Vec<String>, Vec<Vec<(f64, f64)>>) {
    let finding = &book.findings[book.findings.find(name).unwrap()];
    let FindingKind::Reading(gauge) = &finding.kind else { panic!("{name}") };
    (finding.states.clone(), gauge.bands.clone())
}

const OVER: &str = "book own \"Own\"\n  over faultbook\n";

/// For every reading that ships, each of its bands in turn stated anew as it is: nothing changes, neither which band is the normal one.
#[test]
fn a_band_stated_anew_keeps_its_place() {
    let over = Over::new();
    let plain = over.with(OVER).unwrap();
    let readings = over.readings();
    assert!(readings.len() >= 252, "{}", readings.len());
    for at in 0..8 {
        let mut rules = OVER.to_string();
        let mut amended = 0;
        for reading in &readings {
            let written = reading.clauses.iter().filter(|c| matches!(c.value, Value::Band { .. }));
            let Some(clause) = written.clone().nth(at) else { continue };
            let name =
                |c: &faultbook::syntax::Clause| if let Value::Band { name, .. } = &c.value { name.value.clone() } else { String::new() };
            if written.clone().filter(|c| name(c) == name(clause)).count() > 1 {
                continue;
            }
            rules.push_str(&format!("amend reading {}\n  {}\n", reading.name.value, over.sources.slice(clause.span)));
            amended += 1;
        }
        if amended == 0 {
            assert!(at >= 3);
            break;
        }
        let book = over.with(&rules).unwrap_or_else(|remarks| panic!("band {at}: {} errors, the first: {:?}", remarks.len(), remarks[0]));
        for reading in &readings {
            assert_eq!(bands(&book, &reading.name.value), bands(&plain, &reading.name.value), "{}", reading.name.value);
        }
    }
}

/// The limit between the first two bands of every reading moved, both bands stated anew: the others and the normal one stay.
#[test]
fn a_limit_can_be_moved() {
    let over = Over::new();
    let plain = over.with(OVER).unwrap();
    let mut rules = OVER.to_string();
    let mut moved = Vec::new();
    for reading in over.readings() {
        let name = &reading.name.value;
        let (states, ranges) = bands(&plain, name);
        let [[a], [b], ..] = [ranges[0].as_slice(), ranges[1].as_slice()] else { continue };
        let shared = if same(a.1, b.0) {
            a.1
        } else if same(a.0, b.1) {
            a.0
        } else {
            continue;
        };
        let widest = [a.1 - a.0, b.1 - b.0].into_iter().fold(f64::INFINITY, f64::min);
        let limit = shared + if widest.is_finite() { widest / 7.0 } else { 0.5 };
        let shift = |(low, high): (f64, f64)| (if same(low, shared) { limit } else { low }, if same(high, shared) { limit } else { high });
        let written = |(low, high): (f64, f64)| match (low.is_finite(), high.is_finite()) {
            (false, _) => format!("below {high}"),
            (_, false) => format!("above {low}"),
            _ => format!("{low} to {high}"),
        };
        let (first, second) = (shift(*a), shift(*b));
        // the second first: the order in the amendment says nothing
        rules.push_str(&format!(
            "amend reading {name}\n  band {} {}\n  band {} {}\n",
            states[1],
            written(second),
            states[0],
            written(first)
        ));
        moved.push((name.clone(), states, first, second));
    }
    assert!(moved.len() > 200, "{}", moved.len());
    let book = over.with(&rules).unwrap_or_else(|remarks| panic!("{} errors, the first: {:?}", remarks.len(), remarks[0]));
    for (name, states, first, second) in moved {
        let (now, ranges) = bands(&book, &name);
        assert_eq!((now, ranges[0][0], ranges[1][0]), (states, first, second), "{name}");
    }
}

const SIGNS: &str = "book b \"B\"\n  stray 4 %\nsign own \"Own\"\n  states a, b, c\n  stray b 1 %, c 2 %\n\
    sign even \"Even\"\n  states a, b, c\n  stray 6 %\nsign plain \"Plain\"\n  states a, b, c\n";

#[test]
fn a_stray_of_one_state_leaves_those_of_the_others() {
    let stray = |amended: &str, sign: &str| {
        let book = layers(&[SIGNS, amended]).unwrap();
        book.findings[book.findings.find(sign).unwrap()].stray.clone()
    };
    let near = |found: Vec<f64>, wanted: [f64; 2]| {
        assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-12), "{found:?}, not {wanted:?}");
    };
    near(stray("amend sign own\n  stray c 3 %\n", "own"), [0.01, 0.03]);
    near(stray("amend sign even\n  stray c 5 %\n", "even"), [0.03, 0.05]);
    near(stray("amend sign plain\n  stray c 5 %\n", "plain"), [0.02, 0.05]);
    near(stray("amend sign own\n  stray 8 %\n", "own"), [0.04, 0.04]);
    near(stray("amend sign own\n  drop stray b\n", "own"), [0.0, 0.02]);
    near(stray("amend sign own\n  drop stray\n", "own"), [0.02, 0.02]);
}

#[test]
fn a_book_lies_over_one_that_is_there() {
    let wrong = |texts: &[&str]| layers(texts).map(|_| ()).unwrap_err();
    assert_eq!(wrong(&["book a \"A\"\n  over bb\n"]), ["no-such-book"]);
    assert_eq!(wrong(&["book a \"A\"\n", "book b \"B\"\n  over b\n"]), ["no-such-book"]);
    assert_eq!(wrong(&["book a \"A\"\nbook b \"B\"\n"]), ["second-book"]);
    assert!(layers(&["book a \"A\"\n", "book b \"B\"\n  over a\n"]).is_ok());
}

fn helps(rules: &str) -> Vec<String> {
    let mut sources = Sources::default();
    let (document, _) = parse(sources.add("own.rules", rules), rules);
    read(&sources, &[vec![document]]).1.into_iter().map(|r| format!("{}; {}", r.message, r.help.unwrap_or_default())).collect()
}

#[test]
fn a_slip_in_over_names_the_books_there_are() {
    let all = helps("book own \"Own\"\n  over faultbok\n");
    assert_eq!(all, ["there is no book `faultbok` below this one; did you mean `faultbook`?"]);
    assert!(helps("book own \"Own\"\n  over yard\n")[0].contains("the books there are: `faultbook`"));
}

/// The names are blocks of the book that ships; the first is one of those that its common files hold.
#[test]
fn rules_without_over_are_told_where_their_names_are() {
    let all = helps("check stare \"Stare\"\n  takes 1 min\n  reveals boost-2500\namend reading boost-2500\n  note \"ours\"\n");
    assert_eq!(all.len(), 2, "{all:?}");
    assert!(all.iter().all(|told| told.contains("write `over faultbook` in your `book` block")), "{all:?}");
    assert!(!helps("check stare \"Stare\"\n  takes 1 min\n  reveals nothing-so-named\n")[0].contains("over"));
}

const SCALED: &str = "book b \"B\"\nscale common \"Common\"\n  stands-at prior, stray\n  now-and-then 0.3 %\nscale sure \"Sure\"\n  \
    stands-at shows, brings, cures\n  mostly 80 %\nsymptom dim \"Dim\"\n";

#[test]
fn words_stand_where_their_scale_says() {
    let wrong = |rules: &str| helps(&format!("{SCALED}cause c \"C\"\n{rules}"));
    assert_eq!(wrong("  prior now-and-then\n  shows dim mostly\n"), Vec::<String>::new());
    let told = wrong("  prior mostly\n  shows dim now-and-then\n");
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told[0].starts_with("`mostly` is a word of the scale `sure`, which does not stand at `prior`; write a number such as `75 %`, or one of `now-and-then` 0.3 %"), "{told:?}");
    assert!(told[1].contains("does not stand at `shows`"), "{told:?}");
    assert_eq!(
        wrong("  prior 1 %\n  shows dim hardly\n"),
        ["no scale has the word `hardly`; write a number such as `75 %`, or one of `mostly` 80 %"]
    );
    assert_eq!(helps("book b \"B\"\nscale s \"S\"\n  stands-at spend\n  mostly 80 %\n").len(), 1);
    // the scales that ship, which stand in for missing ones, say it too
    assert_eq!(helps("book b \"B\"\nsymptom dim \"Dim\"\ncause c \"C\"\n  prior often\n  shows dim common\n").len(), 2);
}

#[test]
fn a_line_that_cannot_be_read_leaves_no_phantom_states() {
    for broken in ["  band ok abov 12\n  band low below 12\n", "  band ok above 12\n  band low blow 12\n"] {
        let told = helps(&format!("book b \"B\"\nreading r \"R\"\n  unit V\n{broken}cause c \"C\"\n  prior 1 %\n  shows r low 80 %\n"));
        assert!(told.is_empty(), "{told:?}");
    }
    let told = helps("book b \"B\"\nreading r \"R\"\n  unit V\n  band ok above 9\n  band mid 9 to 4\n  band low below 4\n");
    assert_eq!(told, ["a band of `r` ends before it starts; write the lower number first"]);
}

/// Limits of neighbours are one number, not two that are near.
fn same(a: f64, b: f64) -> bool {
    a.total_cmp(&b).is_eq()
}
