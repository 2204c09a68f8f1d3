//! Words that no symptom hears: other words, near symptoms, or a list; never a dead end, and nothing typed twice.

use super::{saved, sheet, walk};
use crate::run::{faultbook_at, scratch};

/// No danger, nothing done before, no codes, read in full: then nothing abnormal is known.
const TO_THE_LIST: &str = "0\n0\n0\n1\n";

fn quaint(name: &str) -> (std::path::PathBuf, String) {
    let (sheet, rules) = sheet(name);
    std::fs::write(&sheet, "title = \"A van\"\n\n[complaint]\nwords = \"it goes like a snail\"\n").unwrap();
    (sheet, rules)
}

fn open(done: &crate::run::Done) -> String {
    let result: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    result["ask"]["id"].as_str().unwrap().to_string()
}

#[test]
fn other_words_are_added_to_the_first() {
    let (sheet, rules) = quaint("unheard-words");
    let done = walk(&sheet, &rules, &format!("{TO_THE_LIST}and gutless\n"));
    assert!(done.err.contains("no symptom of the book hears: “it goes"), "{}", done.err);
    assert_eq!(open(&done), "symptom:no-pull", "{}", done.err);
    // the sheet's own words stand as they were, the journal has the new ones
    assert_eq!(saved(&sheet)["complaint"]["words"].as_str(), Some("it goes like a snail"));
    let plan = faultbook_at(100, &["plan", sheet.to_str().unwrap(), "--rules", &rules]);
    assert!(plan.out.contains("The customer says “gutless”"), "{}", plan.out);
    let done = walk(&sheet, &rules, "1\n");
    assert!(done.err.contains("Now likeliest"), "{}", done.err);
}

#[test]
fn a_symptom_is_chosen_from_the_list_and_back_takes_it_away() {
    let (sheet, rules) = quaint("unheard-list");
    let done = walk(&sheet, &rules, &format!("{TO_THE_LIST}l\n1\n1\n"));
    assert!(done.err.contains("In which system?") && done.err.contains("1 = Garage (1)"), "{}", done.err);
    assert!(done.err.contains("1 = Lacks power") && done.err.contains("> Lacks power"), "{}", done.err);
    assert!(done.err.contains("Now likeliest"), "{}", done.err);
    let back = walk(&sheet, &rules, "b\n0\n0\n");
    assert_eq!(open(&back), "unheard", "none of these leads back to the systems, then to the words: {}", back.err);
    let on = walk(&sheet, &rules, "0\n");
    assert_eq!(open(&on), "close", "who has nothing to add can close the job: {}", on.err);
    assert!(saved(&sheet)["journal"].as_array().unwrap().len() >= 10, "nothing is rewritten");
    assert!(std::fs::read_to_string(&sheet).unwrap().contains("+no-pull"));
    let page = faultbook_at(100, &["report", sheet.to_str().unwrap(), "--rules", &rules, "--for", "file", "--format", "markdown"]);
    assert!(page.out.contains("Chosen from the list") && page.out.contains("yes: Lacks power"), "{}", page.out);
}

/// With the book that ships: a list has nine lines and `m`, and every screen fits a phone.
#[test]
fn the_list_of_the_book_that_ships_fits_the_phone() {
    let job = scratch("unheard-shipped").join("van.toml");
    std::fs::write(&job, "[complaint]\nwords = \"xyzzy\"\n").unwrap();
    let answers = job.with_extension("answers");
    std::fs::write(&answers, "x\n2\n0\n0\n0\n0\n1\nl\nm\nm\nm\n1\nm\n0\n0\nl\n1\n1\n").unwrap();
    let done = faultbook_at(40, &["walk", job.to_str().unwrap(), "--answers", answers.to_str().unwrap(), "--json"]);
    assert_eq!(done.status, 0, "{}", done.err);
    let lists: Vec<&str> = done.err.split("In which system?").skip(1).map(|s| s.split("\n>").next().unwrap()).collect();
    assert_eq!(lists.len(), 6, "{}", done.err);
    assert!(lists.iter().all(|l| l.contains("m = more") && !l.contains("10 =")), "{}", done.err);
    assert!(lists.iter().all(|l| l.contains("9 = ") || l.contains(" 19 to 2")), "{}", done.err);
    assert!(lists[0].contains(" 1 to 9 of 2") && lists[1].contains(" 10 to 18") && lists[2].contains(" 19 to 2"), "{}", done.err);
    assert_eq!(lists[0], lists[3], "past the end it begins again");
    assert!(done.err.lines().all(|l| l.chars().count() <= 40 || l.contains('/')), "{}", done.err);
    let journal = saved(&job)["journal"].as_array().unwrap().clone();
    assert!(journal.last().unwrap()["answer"].as_str().unwrap().starts_with('+'), "chosen by its key: {}", done.err);
}

/// One word of many is too little to be heard; it makes the symptom near.
#[test]
fn near_symptoms_have_a_key_and_a_name() {
    let (sheet, rules) = sheet("unheard-near");
    let text = std::fs::read_to_string(&rules).unwrap();
    std::fs::write(&rules, text.replace("\"Lacks power\"", "\"Lacks power uphill with the boot loaded\"")).unwrap();
    std::fs::write(&sheet, "[complaint]\nwords = \"it lacks zest\"\n").unwrap();
    let job = sheet.to_str().unwrap();
    let plan = faultbook_at(100, &["plan", job, "--rules", &rules]);
    assert!(plan.out.contains("no symptom of the book hears “it lacks zest”"), "{}", plan.out);
    assert!(plan.out.contains("Lacks power uphill with the boot loaded (no-pull)") && plan.out.contains("--symptom NAME"), "{}", plan.out);
    let json = faultbook_at(100, &["plan", job, "--rules", &rules, "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!((json["unheard"].as_str(), json["near"][0].as_str()), (Some("it lacks zest"), Some("no-pull")));
    let done = walk(&sheet, &rules, &format!("{TO_THE_LIST}1\n"));
    assert!(done.err.contains("1 = Lacks power") && done.err.contains("> Lacks power"), "{}", done.err);
    assert!(done.err.contains("Now likeliest"), "{}", done.err);
}

#[test]
fn a_plan_never_loses_the_words() {
    let lost = faultbook_at(40, &["plan", "--complaint", "xyzzy", "--code", "P0299"]);
    let said = lost.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("no symptom of the book hears “xyzzy”"), "also beside a code: {}", lost.out);
    let heard = faultbook_at(100, &["plan", "--complaint", "it is gutless"]);
    assert!(heard.out.contains("answer what the words may mean") && !heard.out.contains("no symptom"), "{}", heard.out);
}
