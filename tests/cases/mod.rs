//! The rules' own tests and the comparison of books, as people and CI meet them.

use crate::run::{faultbook, root, scratch};

const RULES: &str = r#"
book b "B"
  stray 1 %
symptom no-pull "Lacks power"
sign hose "Hose"
  states tight, split
  stray 0.2 %
cause hose-split "Hose split"
  prior 3 %
  shows no-pull 90 %
  shows hose split 95 %
cause vanes "Vanes stick"
  prior 2 %
  shows no-pull 80 %
check look "Look"
  takes 5 min
  reveals hose
fix renew "Renew"
  takes 30 min
  parts 45
  cures hose-split
  proof hose tight
fix free "Free"
  takes 120 min
  cures vanes
  proof no-pull absent
"#;

const CASE: &str = r#"
[complaint]
yes = ["no-pull"]
[expect]
causes = ["hose-split"]
within = 1
first-check = ["look"]
most-checks = 1
"#;

/// A book with one case of this text.
fn book(name: &str, rules: &str, case: &str) -> String {
    let folder = scratch(name);
    std::fs::create_dir_all(folder.join("cases")).unwrap();
    std::fs::write(folder.join("b.rules"), rules).unwrap();
    std::fs::write(folder.join("cases/one.toml"), case).unwrap();
    folder.display().to_string()
}

#[test]
fn a_case_that_holds_passes() {
    let done = faultbook(&["test", &book("case-passes", RULES, CASE)]);
    assert_eq!(done.status, 0, "{}{}", done.out, done.err);
    assert!(done.err.contains("1 passed, 0 failed"), "{}", done.err);
}

#[test]
fn a_case_that_fails_says_what_came_and_why() {
    let folder = book("case-fails", RULES, &CASE.replace("\"hose-split\"", "\"vanes\""));
    let done = faultbook(&["test", &folder, "--json"]);
    assert_eq!(done.status, 1);
    let document: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(document["failed"], 1);
    assert!(document["cases"][0]["misses"][0][0].as_str().unwrap().contains("`vanes` as the likeliest cause"), "{}", done.out);
    let because = &document["cases"][0]["because"];
    assert_eq!((because["line"].as_u64(), because["clause"].as_str()), (Some(8), Some("cause hose-split \"Hose split\"")));
    let text = faultbook(&["test", &folder]);
    assert!(text.out.contains("because  how common they are speaks a little for `hose-split` and against `vanes` (+2 dB)"), "{}", text.out);
    assert!(text.out.contains("b.rules:8: cause hose-split"), "{}", text.out);
}

#[test]
fn the_clause_that_weighs_most_is_shown() {
    let rules = RULES.replace("prior 3 %", "prior 2 %").replace("shows no-pull 80 %", "shows no-pull 8 %");
    let folder = book("case-clause", &rules, &CASE.replace("causes = [\"hose-split\"]", "causes = [\"vanes\"]"));
    let text = faultbook(&["test", &folder]);
    assert!(text.out.contains("that `no-pull` is present speaks strongly for `hose-split` and against `vanes` (+10 dB)"), "{}", text.out);
    assert!(text.out.contains("b.rules:10: shows no-pull 90 %"), "{}", text.out);
}

#[test]
fn another_first_check_says_what_the_expected_one_would_cost() {
    let rules = format!("{RULES}check stare \"Stare\"\n  takes 50 min\n  reveals hose\n");
    let folder = book("case-first", &rules, &CASE.replace("[\"look\"]", "[\"stare\"]"));
    let text = faultbook(&["test", &folder]);
    assert!(text.out.contains("came     it begins with `look`; to begin with `stare` costs "), "{}", text.out);
}

#[test]
fn verdicts_go_to_junit_and_coverage() {
    let folder = book("case-junit", RULES, CASE);
    let file = format!("{folder}/out.xml");
    let done = faultbook(&["test", &folder, "--junit", &file, "--coverage", "--cover-at-least", "80"]);
    assert_eq!(done.status, 1, "half of the causes are touched, 80 % were asked for");
    assert!(done.err.ends_with("50.0 % of the causes are touched by a case, at least 80 % are wanted\n"), "{}", done.err);
    for wrong in ["nan", "101", "-1"] {
        let done = faultbook(&["test", &folder, &format!("--cover-at-least={wrong}")]);
        assert!(done.status == 2 && done.err.contains("from 0 to 100"), "{}", done.err);
    }
    assert!(done.out.contains("causes that no case touches (1): vanes"), "{}", done.out);
    let xml = std::fs::read_to_string(&file).unwrap();
    assert!(xml.contains("tests=\"1\" failures=\"0\"") && xml.contains("classname=\"cases\" time=\"0."), "{xml}");
}

#[test]
fn what_is_expected_must_be_in_the_book_and_able_to_fail() {
    let slips = [
        ("causes = [\"hose-split\"]", "causes = [\"hose-spilt\"]", "no cause is named `hose-spilt`; did you mean `hose-split`?"),
        ("within = 1", "hazards = [\"fire\"]", "no hazard is named `fire`"),
        ("[\"look\"]", "[\"lok\"]", "no check is named `lok`; did you mean `look`?"),
        ("causes = [\"hose-split\"]\nwithin = 1\nfirst-check = [\"look\"]", "causes = []", "nothing is expected, so nothing could fail"),
    ];
    for (i, (right, wrong, told)) in slips.into_iter().enumerate() {
        assert!(CASE.contains(right));
        let done = faultbook(&["test", &book(&format!("case-slip-{i}"), RULES, &CASE.replace(right, wrong))]);
        assert!(done.status == 1 && done.out.contains(told), "{}", done.out);
    }
}

#[test]
fn the_drives_that_a_case_names_are_read() {
    let rules = format!(
        "{RULES}channel rpm \"Speed\"\n  unit 1/min\n  heading \"rpm\"\nreading idle \"Idle\"\n  unit 1/min\n  from rpm while rpm below 900 for 2 s take median\n  \
         band ok above 600\n  band low below 600\n  stray 0.1 %\namend cause vanes\n  shows idle 90 %\n"
    );
    let case = "logs = [\"drive.csv\"]\n[complaint]\nyes = [\"no-pull\"]\n[expect]\ncauses = [\"vanes\"]\nwithin = 1\n";
    let folder = book("case-log", &rules, case);
    assert_eq!(faultbook(&["test", &folder]).status, 1, "the drive is not there");
    let drive = |speed: u32| (0..200).map(|i| format!("{},{}\n", f64::from(i) / 10.0, speed + i % 3)).collect::<String>();
    for (speed, status) in [(500, 0), (800, 1)] {
        std::fs::write(format!("{folder}/cases/drive.csv"), format!("time (s),rpm\n{}", drive(speed))).unwrap();
        let done = faultbook(&["test", &folder]);
        assert_eq!(done.status, status, "{speed}: {}{}", done.out, done.err);
    }
}

#[test]
fn verdicts_stand_in_the_order_of_the_files() {
    let folder = book("case-order", RULES, CASE);
    (0..40).for_each(|n| std::fs::write(format!("{folder}/cases/{n:02}.toml"), CASE).unwrap());
    let done = faultbook(&["test", &folder, "--json"]);
    let document: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    let names: Vec<&str> = document["cases"].as_array().unwrap().iter().map(|c| c["name"].as_str().unwrap()).collect();
    assert!(names.len() == 41 && names.is_sorted(), "{names:?}");
    assert_eq!(done.err, "Judging 41 cases.\n41 passed, 0 failed\n", "no bar where nobody looks");
}

#[test]
fn the_book_that_ships_is_not_watched() {
    let done = faultbook(&["test", "--watch"]);
    assert!(done.status == 2 && done.err.contains("name the folder of rules to watch"), "{}", done.err);
}

#[test]
fn a_case_that_can_not_be_read_is_named() {
    let done = faultbook(&["test", &book("case-broken", RULES, "[expect]\ncauses = [1]\n")]);
    assert_eq!(done.status, 1);
    assert!(done.out.contains("one.toml") && done.out.contains("a case that can be read"), "{}", done.out);
}

#[test]
fn books_are_compared_in_meaning_and_in_plans() {
    let old = book("compare-old", RULES, CASE);
    let layout = RULES.replace("  prior 3 %\n", "# a comment\n    prior   3.0 %\n");
    let same = faultbook(&["compare", &old, &book("compare-same", &layout, CASE)]);
    assert!(same.out.contains("Nothing, in meaning."), "{}", same.out);
    let changed = RULES.replace("prior 3 %", "prior 0.1 %").replace("parts 45", "parts 400");
    let done = faultbook(&["compare", &old, &book("compare-new", &changed, CASE)]);
    assert_eq!(done.status, 0, "{}", done.err);
    let page = done.out.replace(root().join("target").to_str().unwrap(), "TARGET");
    for line in ["prior: 3 % -> 0.1 %", "parts: 45 -> 400", "likeliest: hose-split", "1 of 1 cars get another plan"] {
        assert!(page.contains(line), "`{line}` is missing:\n{page}");
    }
}

/// A repository with two commits: the hose split made ten times as rare, its case renamed, a recorded job beside the rules.
fn repository(name: &str) -> std::path::PathBuf {
    let folder = scratch(name);
    let git = |arguments: &[&str]| {
        let who = ["-c", "user.name=t", "-c", "user.email=t@example.org", "-c", "commit.gpgsign=false"];
        let done = std::process::Command::new("git").args(who).args(arguments).current_dir(&folder).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    };
    let write = |path: &str, text: &str| {
        std::fs::create_dir_all(folder.join(path).parent().unwrap()).unwrap();
        std::fs::write(folder.join(path), text).unwrap();
    };
    git(&["init", "-q"]);
    write("my rules/b.rules", RULES);
    write("my rules/cases/ä first.toml", CASE);
    write("my rules/cases/lost.toml", CASE);
    write("jobs/old.toml", "[complaint]\nyes = [\"no-pull\"]\n");
    let entry = "[[journal]]\nat = \"2026-11-25T08:00:00Z\"\nbook = \"0\"\n";
    write(
        "jobs/walked.toml",
        &format!("{entry}ask = \"symptom:no-pull\"\nanswer = \"yes\"\n{entry}ask = \"find:hose\"\nanswer = \"split\"\n"),
    );
    write("jobs/faultbook.toml", "");
    git(&["add", "-A"]);
    git(&["commit", "-qm", "one"]);
    write("my rules/b.rules", &RULES.replace("prior 3 %", "prior 0.3 %"));
    std::fs::remove_file(folder.join("my rules/cases/lost.toml")).unwrap();
    git(&["add", "-A"]);
    git(&["commit", "-qm", "two"]);
    folder
}

#[test]
fn revisions_are_compared_with_their_cases_and_recorded_jobs() {
    let folder = repository("compare-git");
    let run = |place: &str, arguments: &[&str]| crate::cli::faultbook(&folder.join(place), &[&["compare"], arguments].concat(), b"");
    let names = |run: &crate::cli::Run| {
        let document: serde_json::Value = serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{e}\n{}", run.err));
        let plans = document["plans"].as_array().unwrap().iter().map(|p| p["name"].as_str().unwrap().to_string()).collect::<Vec<_>>();
        (document["tried"].as_u64().unwrap(), plans)
    };
    let both = run(".", &["HEAD~1:my rules", "HEAD:my rules", "--json"]);
    assert_eq!(names(&both), (2, vec!["cases/lost.toml".to_string(), "cases/ä first.toml".into()]));
    // from a folder below the top, and against the folder as it lies there
    assert_eq!(names(&run("jobs", &["HEAD~1:my rules", "HEAD:my rules", "--json"])), names(&both));
    assert_eq!(names(&run("jobs", &["HEAD~1:my rules", "../my rules", "--json"])), names(&both));
    let jobs = run(".", &["HEAD~1:my rules", "HEAD:my rules", "--json", "--job", "jobs"]);
    assert_eq!(names(&jobs).1[2..], ["jobs/old.toml", "jobs/walked.toml"]);
    let document: serde_json::Value = serde_json::from_str(&jobs.out).unwrap();
    assert_eq!(document["plans"][2]["before"], document["plans"][3]["before"], "what was found later does not count");
    for (place, told) in [("HEAD:nothing", "neither a folder nor a git revision"), ("HEAD:jobs", "holds no rules"), ("--help:x", "neither")]
    {
        let wrong = run(".", &["--", "HEAD:my rules", place]);
        assert!(wrong.status == 2 && wrong.err.contains(told), "{}", wrong.err);
    }
}

#[test]
fn what_changes_in_meaning_is_told_and_what_does_not_is_not() {
    let traits = "trait diesel \"Diesel\"\n  ask \"Diesel?\"\n";
    let windowed = "channel rpm \"Speed\"\n  unit 1/min\n\
        reading idle \"Idle\"\n  unit 1/min\n  from rpm while rpm above 500 for 2 s take median\n  band ok above 600\n  band low below 600\n";
    let old =
        format!("{RULES}{traits}{windowed}amend cause vanes\n  when diesel\n  shows idle 20 %\namend check look\n  do \"Squeeze it.\"\n");
    let new = old.replace("when diesel", "when not diesel").replace("for 2 s", "for 4 s").replace("Squeeze", "Pinch").replace("600", "650");
    let done = faultbook(&["compare", &book("compare-a", &old, CASE), &book("compare-b", &new, CASE)]);
    let wanted = [
        "when: diesel -> not diesel",
        "for 2 s take median -> rpm while rpm above 500 for 4 s take median",
        "do: Squeeze it. -> Pinch it.",
        "band low: below 600 1/min -> below 650 1/min",
    ];
    for line in wanted {
        assert!(done.out.replace("\n      ", " ").contains(line), "`{line}` is missing:\n{}", done.out);
    }
}

#[test]
fn one_broken_case_does_not_stop_the_others() {
    let folder = book("case-broken", RULES, CASE);
    std::fs::write(format!("{folder}/cases/broken.toml"), "[expect\ncauses = []\n").unwrap();
    let file = format!("{folder}/out.xml");
    let done = faultbook(&["test", &folder, "--junit", &file, "--json"]);
    assert_eq!(done.status, 1, "{}", done.err);
    let document: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!((document["passed"].as_u64(), document["failed"].as_u64()), (Some(1), Some(1)), "{}", done.out);
    let miss = document["cases"].as_array().unwrap().iter().find(|c| c["passed"] == false).unwrap();
    assert!(miss["misses"][0][0] == "a case that can be read" && miss["misses"][0][1].as_str().unwrap().contains("broken.toml"), "{miss}");
    let xml = std::fs::read_to_string(&file).unwrap();
    assert!(xml.contains("tests=\"2\" failures=\"1\""), "{xml}");
}

/// A workshop's own cause is covered by its own case, whatever the book below has.
#[test]
fn coverage_is_of_the_causes_of_ones_own_layer() {
    let own = "book own \"Own\"\n  over faultbook\nsign yard-strap \"Strap\"\n  states firm, torn\n  stray 0.5 %\ncause yard-strap-torn \"Strap torn\"\n  \
        prior 1 %\n  shows yard-strap torn 90 %\ncheck pull-strap \"Pull\"\n  takes 1 min\n  reveals yard-strap\nfix renew-strap \"Renew\"\n  takes 5 min\n  \
        cures yard-strap-torn\n  proof yard-strap firm\n";
    let case = "[signs]\nyard-strap = \"torn\"\n[expect]\ncauses = [\"yard-strap-torn\"]\n";
    let folder = book("case-own", own, case);
    let done = faultbook(&["test", &folder, "--cover-at-least", "100"]);
    assert_eq!(done.status, 0, "{}{}", done.out, done.err);
    assert!(done.out.contains("100 % of the causes are touched"), "{}", done.out);
    std::fs::remove_file(format!("{folder}/cases/case.toml")).ok();
}

/// The schema is judged by a library for JSON Schema (draft 2020-12), not by our own reader.
#[test]
fn the_cases_that_ship_keep_to_the_schema() {
    let schema: serde_json::Value = serde_json::from_str(&faultbook(&["provide", "schema", "case"]).out).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let cases = faultbook::book::shipped::cases();
    assert!(cases.len() > 250);
    for (name, text) in &cases {
        let case: toml::Table = toml::from_str(text).unwrap();
        let errors: Vec<String> =
            validator.iter_errors(&serde_json::to_value(&case).unwrap()).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
    }
    for wrong in ["title = \"no expectation\"", "[expect]\ncauses = []\nwithn = 1", "colour = \"red\"\n[expect]\ncauses = []"] {
        let case: toml::Table = toml::from_str(wrong).unwrap();
        assert!(!validator.is_valid(&serde_json::to_value(&case).unwrap()), "{wrong}");
    }
}
