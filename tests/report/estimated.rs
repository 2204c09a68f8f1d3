//! Where the evidence is too wide for an exact answer, every page and every document says that its probabilities are estimates, and how good.

use crate::run::{Done, faultbook, scratch};
use serde_json::Value;
use std::path::{Path, PathBuf};

const SYMPTOMS: u64 = 36;
const CAUSES: u64 = 120;

/// A book in which every cause shows some five symptoms from all over; a third of them rust, for which there is a check.
fn tangled(prior: u64) -> String {
    let mut bits = 1u64;
    let mut next = |below: u64| {
        bits = bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (bits >> 33) % below
    };
    let mut text = String::from("book tangled \"Tangled\"\nsign rust \"Rust\"\n  states none, some\n  stray some 1 %\n");
    text += "check look \"Look for rust\"\n  takes 1 min\n  reveals rust\n";
    (0..SYMPTOMS).for_each(|s| text += &format!("symptom s{s} \"S{s}\"\n  stray 1 %\n"));
    for c in 0..CAUSES {
        text += &format!("cause c{c} \"C{c}\"\n  prior {prior} %\n");
        let shown: std::collections::BTreeSet<u64> = (0..5).map(|_| next(SYMPTOMS)).collect();
        shown.into_iter().for_each(|s| text += &format!("  shows s{s} {} %\n", 20 + next(60)));
        if c % 3 == 0 {
            text += "  shows rust some 70 %\n";
        }
        text += &format!("fix f{c} \"F{c}\"\n  takes 10 min\n  cures c{c}\n");
    }
    text
}

/// Everything is complained of.
fn sheet() -> String {
    let all: Vec<String> = (0..SYMPTOMS).map(|s| format!("\"s{s}\"")).collect();
    format!(
        "title = \"Tangled\"\n[complaint]\nwords = \"all of it\"\ndone-before = [\"nothing\"]\nyes = [{}]\n[scan]\ncomplete = true\n",
        all.join(", ")
    )
}

/// A folder with a book, a case beside it and a job.
fn folder(name: &str, prior: u64) -> PathBuf {
    let folder = scratch(name);
    std::fs::create_dir(folder.join("cases")).unwrap();
    std::fs::write(folder.join("tangled.rules"), tangled(prior)).unwrap();
    std::fs::write(folder.join("job.toml"), sheet()).unwrap();
    let case = format!("{}[expect]\ncauses = [\"c1\"]\nwithin = 1\n", sheet());
    std::fs::write(folder.join("cases/all.toml"), case).unwrap();
    folder
}

fn run(folder: &Path, command: &str, more: &[&str]) -> Done {
    let (job, rules) = (folder.join("job.toml"), folder.join("tangled.rules"));
    faultbook(&[&[command, job.to_str().unwrap(), "--rules", rules.to_str().unwrap(), "--refer-cost", "9000"], more].concat())
}

/// Both on the page, which may break the line anywhere.
fn says_so(page: &str) {
    let words = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("the probabilities are estimated, ± ") && words.contains("% (one standard error)"), "{page}");
}

fn says_how_good(method: &Value) {
    assert_eq!(method["kind"], "sampled", "{method}");
    let error = |name: &str| method[name].as_f64().unwrap();
    assert!(error("standard_error") > 0.0 && error("standard_error") < 0.2, "{method}");
    assert!(error("evidence_error") > 0.0 && error("evidence_error") < 2.0, "{method}");
}

fn json(done: &Done) -> Value {
    serde_json::from_str(&done.out).unwrap_or_else(|e| panic!("{e}: {}{}", done.out, done.err))
}

#[test]
fn the_weights() {
    let folder = folder("estimated-weigh", 1);
    says_so(&run(&folder, "weigh", &[]).out);
    let first = run(&folder, "weigh", &["--json"]);
    says_how_good(&json(&first)["method"]);
    assert_eq!(first.out, run(&folder, "weigh", &["--json"]).out);
}

#[test]
fn the_plan() {
    let folder = folder("estimated-plan", 1);
    says_so(&run(&folder, "plan", &[]).out);
    // of a plan this deep the reader of the tests takes only the part
    let document = run(&folder, "plan", &["--json"]).out;
    let method = document.split_once("\"method\": ").unwrap().1.split_inclusive('}').next().unwrap();
    says_how_good(&serde_json::from_str(method).unwrap());
}

#[test]
fn the_reports() {
    let folder = folder("estimated-report", 1);
    for (reader, format) in [("customer", "markdown"), ("file", "markdown"), ("road", "html")] {
        let page = run(&folder, "report", &["--for", reader, "--format", format]).out;
        says_so(&page.replace('\\', ""));
        says_how_good(&json(&run(&folder, "report", &["--for", reader, "--json"]))["method"]);
    }
}

#[test]
fn the_cases() {
    let folder = folder("estimated-test", 1);
    let (rules, junit) = (folder.to_str().unwrap(), folder.join("verdicts.xml"));
    says_so(&faultbook(&["test", rules, "--junit", junit.to_str().unwrap()]).out);
    says_so(&std::fs::read_to_string(junit).unwrap());
    says_how_good(&json(&faultbook(&["test", rules, "--json"]))["cases"][0]["method"]);
}

#[test]
fn the_comparison_of_two_books() {
    let (old, new) = (folder("estimated-old", 1), folder("estimated-new", 2));
    let books = [old.to_str().unwrap(), new.to_str().unwrap()];
    says_so(&faultbook(&["compare", books[0], books[1]]).out);
    let plans = &json(&faultbook(&["compare", books[0], books[1], "--json"]))["plans"];
    says_how_good(&plans[0]["before"]["method"]);
    says_how_good(&plans[0]["after"]["method"]);
}

/// Why this step, how likely an unproven repair is, and what an answer changed.
#[test]
fn the_walk() {
    let folder = folder("estimated-walk", 1);
    let answers = folder.join("answers");
    // that no symptom hears these words is said once, and passed over
    std::fs::write(&answers, "0\nw\n1\n2\n1\nq\n").unwrap();
    let said = run(&folder, "walk", &["--answers", answers.to_str().unwrap()]).err;
    for place in ["It may be: ", "Now likeliest: ", "not proven: "] {
        let after = said.split_once(place).unwrap_or_else(|| panic!("no `{place}`: {said}")).1;
        says_so(&after.chars().take(300).collect::<String>());
    }
}

/// An exact answer says nothing of the kind.
#[test]
fn what_is_exact_is_not_called_an_estimate() {
    let folder = folder("estimated-not", 1);
    std::fs::write(folder.join("job.toml"), "[complaint]\nyes = [\"s1\"]\n").unwrap();
    for command in ["weigh", "plan"] {
        assert!(!run(&folder, command, &[]).out.contains("estimated"));
        assert_eq!(json(&run(&folder, command, &["--json"]))["method"]["kind"], "exact");
    }
    for reader in super::READERS {
        assert!(!run(&folder, "report", &["--for", reader]).out.contains("estimated"), "{reader}");
        assert!(json(&run(&folder, "report", &["--for", reader, "--json"])).get("method").is_none(), "{reader}");
    }
}
