//! A sheet holds people's data: what leaves the house holds none that was not meant to.

use super::Bench;
use crate::cli::faultbook;

/// Words that stand nowhere else.
const PERSON: [&str; 9] = [
    "Quillfeather",
    "ZZ-QX 4711",
    "WVWZZZ0000QX00001",
    "Mossbank",
    "Thistledown",
    "Puddlewick",
    "photo-of-owner.jpg",
    "Brackenshaw",
    "Nettlecombe",
];

fn walked() -> Bench {
    let bench = Bench::new();
    let [name, plate, vin, street, before, note, photo, _, _] = PERSON;
    bench.write(
        "job.toml",
        format!(
            "title = \"Van of {name}\"\nlogs = []\n\n[vehicle]\nnote = \"{plate}, VIN {vin}\"\n\n[complaint]\nwords = \"it is gutless on the hill at {street}\"\n"
        ),
    );
    bench.write(photo, "");
    let answers = format!(
        "n {note} wants it by Friday\na {photo}\n0\n{before}: carpets cleaned\n1\nP0299 Brackenshaw\n0\n1\n1\n2\n1\n61\n1\n1\n1\n1\nNettlecombe takes it as it is\n"
    );
    bench.write("answers", answers);
    let done = faultbook(bench.path(), &["walk", "job.toml", "--rules", "garage.rules", "--answers", "answers"], b"");
    assert!(done.err.contains("Job closed"), "{}", done.err);
    let sheet = bench.text("job.toml");
    PERSON.iter().for_each(|word| assert!(sheet.contains(word), "{word} in\n{sheet}"));
    bench
}

fn without(text: &str, words: &[&str]) {
    words.iter().for_each(|word| assert!(!text.contains(word), "`{word}` in\n{text}"));
}

#[test]
fn a_stripped_sheet_names_nobody_and_still_tells_the_job() {
    let bench = walked();
    let done = faultbook(bench.path(), &["sheet", "job.toml", "--strip", "--out", "shared.toml"], b"");
    assert_eq!(done.status, 0, "{}", done.err);
    let text = bench.text("shared.toml");
    without(&text, &PERSON);
    assert!(!text.contains("T0") && !text.contains("T1") && !text.contains("T2"), "no hour: {text}");
    let weigh = |name| faultbook(bench.path(), &["weigh", name, "--rules", "garage.rules", "--json"], b"");
    let causes = |name| serde_json::from_str::<serde_json::Value>(&weigh(name).out).unwrap()["causes"].clone();
    assert_eq!(causes("job.toml"), causes("shared.toml"), "what the book has names for is all there");
    assert_eq!(faultbook(bench.path(), &["tally", "shared.toml", "--rules", "garage.rules"], b"").status, 0);
    let refused = faultbook(bench.path(), &["sheet", "job.toml", "--strip", "--out", "job.toml"], b"");
    assert_eq!(refused.status, 2, "never over the sheet itself");
}

/// Title, vehicle, his own words and the reason are the customer's page; what the workshop noted for itself is not.
#[test]
fn the_customers_page_holds_no_note_of_the_workshop() {
    let bench = walked();
    let [_, _, _, _, before, note, photo, typed, _] = PERSON;
    for format in ["html", "markdown", "json"] {
        let done =
            faultbook(bench.path(), &["report", "job.toml", "--rules", "garage.rules", "--for", "customer", "--format", format], b"");
        assert_eq!(done.status, 0, "{}", done.err);
        without(&done.out, &[before, note, photo, typed]);
    }
}

#[test]
fn a_count_names_nobody() {
    let bench = walked();
    for json in [&[][..], &["--json"]] {
        let done = faultbook(bench.path(), &[&["tally", "job.toml", "--rules", "garage.rules"], json].concat(), b"");
        assert_eq!(done.status, 0, "{}", done.err);
        without(&(done.out + &done.err), &PERSON);
    }
    let write = ["tally", "job.toml", "--rules", "garage.rules", "--prior-weight", "1", "--write", "counted.rules"];
    assert_eq!(faultbook(bench.path(), &write, b"").status, 0);
    without(&bench.text("counted.rules"), &PERSON);
}
